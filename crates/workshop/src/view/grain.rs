//! The face of a piece as a section through a solid of its wood: rings about a pith line, streaks, fibre, pores.
//!
//! All marks have mean zero over a large face, so that the face keeps the wood's colour. Their strength comes from the
//! table's `Figure`; their shape is from memory of planed boards. Where it fails: no rays, no knots, no curl.

use super::noise::{fade, noise, share};
use crate::work::{Axis, Figure};

/// How deep the darkest late wood of a wood with contrast 100 darkens its face. Above 1 zebrawood turns black.
const RING_DEPTH: f32 = 0.88;
/// Mean of `ring_profile` over a ring.
const RING_MEAN: f32 = 0.275;
/// Where in a ring the late wood ends.
const RING_TURN: f32 = 0.9;
/// Broad streaks along the board, mm: length and width.
const STREAK_MM: (f32, f32) = (110.0, 11.0);
/// Fibre, coarse and fine, mm: length and width.
const FIBRE_MM: [(f32, f32); 2] = [(16.0, 0.7), (6.0, 0.32)];
/// One pore at most in each such cell, mm: length and width.
const PORE_CELL_MM: (f32, f32) = (4.0, 0.5);
/// Width of a pore as a share of its cell.
const PORE_WIDTH: f32 = 0.42;
/// Mean length of a pore as a share of its cell.
const PORE_LENGTH: f32 = 0.6;
/// How much a pore darkens.
const PORE_DEPTH: f32 = 0.5;
/// A mark narrower than this many samples is faded out before it can alias.
const FINEST_SAMPLES: f32 = 2.0;
/// How far the piece may lie along the board, mm: nothing then repeats between pieces.
const BOARD_MM: f32 = 4000.0;

/// The wood under one face.
#[derive(Clone, Debug)]
pub(super) struct Solid {
    along: [f32; 2],
    seed: u32,
    place: [f32; 2],
    pith: [f32; 2],
    lean: f32,
    ring_mm: f32,
    rings: f32,
    pores: f32,
}

impl Solid {
    /// The solid of a wood with `figure`, its grain along `axis`, the face cut where `seed` says.
    pub(super) fn new(figure: Figure, axis: Axis, seed: u32) -> Solid {
        let radians = axis.to_degrees() as f32 * std::f32::consts::PI / 180.0;
        let dice = |which: i32| share(which, 0, seed);
        let side = if dice(2) < 0.5 { -1.0 } else { 1.0 };
        Solid {
            // y points down, the angle turns counterclockwise as seen.
            along: [libm::cosf(radians), -libm::sinf(radians)],
            seed,
            place: [BOARD_MM * (dice(0) - 0.5), 120.0 * (dice(1) - 0.5)],
            pith: [side * (12.0 + 50.0 * dice(3)), 10.0 + 45.0 * dice(4)],
            lean: 0.07 * (dice(5) - 0.5),
            ring_mm: (figure.ring as f32 / 100.0).max(0.2),
            rings: figure.contrast as f32 / 100.0,
            pores: figure.pores as f32 / 100.0,
        }
    }

    /// The direction of the grain on the page, a unit vector.
    pub(super) fn along(&self) -> [f32; 2] {
        self.along
    }

    /// How much darker than its mean the face is at a place (mm), as a share; `sample` is the sampling distance, mm.
    pub(super) fn darkness(&self, x: f32, y: f32, sample: f32) -> f32 {
        let u = x * self.along[0] + y * self.along[1] + self.place[0];
        let v = -x * self.along[1] + y * self.along[0];
        self.ring(u, v, sample) + self.streak(u, v) + self.fibre(u, v, sample) + self.pore(u, v, sample)
    }

    fn ring(&self, u: f32, v: f32, sample: f32) -> f32 {
        let strength = RING_DEPTH * self.rings * seen(self.ring_mm * 0.5, sample);
        if strength < 0.002 {
            return 0.0;
        }
        let wander = 3.5 * noise(u / 70.0, v / 45.0, self.seed ^ 1) + 0.25 * noise(u / 18.0, v / 3.0, self.seed ^ 2);
        let across = v - self.pith[0];
        let below = self.pith[1] + self.lean * (u - self.place[0]) + wander;
        let phase = (across * across + below * below).sqrt() / self.ring_mm;
        let count = phase.floor();
        let heavy = 0.7 + 0.6 * share(count as i32, 7, self.seed);
        strength * heavy * (ring_profile(phase - count) - RING_MEAN)
    }

    fn streak(&self, u: f32, v: f32) -> f32 {
        (0.045 + 0.1 * self.rings) * noise(u / STREAK_MM.0, (v + self.place[1]) / STREAK_MM.1, self.seed ^ 3)
            + 0.025 * noise(u / 9.0, (v + self.place[1]) / 22.0, self.seed ^ 4)
    }

    fn fibre(&self, u: f32, v: f32, sample: f32) -> f32 {
        let depth = 0.045 + 0.07 * self.pores;
        let layer = |at: usize| {
            let (length, width) = FIBRE_MM[at];
            depth * seen(width, sample) * noise(u / length, v / width, self.seed ^ (5 + at as u32))
        };
        layer(0) + layer(1)
    }

    fn pore(&self, u: f32, v: f32, sample: f32) -> f32 {
        let depth = PORE_DEPTH * seen(PORE_CELL_MM.1 * PORE_WIDTH, sample * 0.5);
        if self.pores < 0.03 || depth < 0.01 {
            return 0.0;
        }
        let often = 0.55 * self.pores;
        let (cell_v, within_v) = cell(v / PORE_CELL_MM.1);
        // Rows are shifted against each other, or pores would stand in columns.
        let (cell_u, within_u) = cell(u / PORE_CELL_MM.0 + share(cell_v, 11, self.seed));
        let there = share(cell_u, cell_v, self.seed ^ 8) < often;
        let length = PORE_LENGTH + 0.5 * (share(cell_u, cell_v, self.seed ^ 9) - 0.5);
        let open = there && within_u < length && (within_v - 0.5).abs() < 0.5 * PORE_WIDTH;
        depth * (f32::from(u8::from(open)) - often * PORE_LENGTH * PORE_WIDTH)
    }
}

/// Early wood light, late wood dark, then the winter's edge.
fn ring_profile(within: f32) -> f32 {
    if within < RING_TURN {
        let t = within / RING_TURN;
        t * t * t
    } else {
        (1.0 - within) / (1.0 - RING_TURN)
    }
}

/// How much of a mark of this width survives sampling.
fn seen(width: f32, sample: f32) -> f32 {
    fade((width / (FINEST_SAMPLES * sample)).clamp(0.0, 1.0))
}

fn cell(at: f32) -> (i32, f32) {
    let low = at.floor();
    (low as i32, at - low)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean over a hand-wide face is the wood's own colour within 1.5 % of its light: about half a ΔE.
    #[test]
    fn marks_take_as_much_as_they_give() {
        let figure = Figure { ring: 260, contrast: 45, pores: 50 };
        for seed in 1..6 {
            let solid = Solid::new(figure, Axis::degrees(30.0), seed);
            let marks = (0..500).flat_map(|y| (0..500).map(move |x| (x as f32 * 0.4, y as f32 * 0.4)));
            let mean = marks.map(|(x, y)| solid.darkness(x, y, 0.1)).sum::<f32>() / 250_000.0;
            assert!(mean.abs() < 0.015, "seed {seed}: {mean}");
        }
    }

    /// Two steps along the grain differ less than two across it.
    #[test]
    fn marks_run_along_the_grain() {
        let solid = Solid::new(Figure { ring: 200, contrast: 40, pores: 40 }, Axis::degrees(90.0), 3);
        let change = |dx: f32, dy: f32| -> f32 {
            let at = |i: i32| ((i % 60) as f32 * 0.9, (i / 60) as f32 * 0.7);
            (0..3600)
                .map(at)
                .map(|(x, y)| (solid.darkness(x + dx, y + dy, 0.1) - solid.darkness(x, y, 0.1)).abs())
                .sum()
        };
        assert!(change(0.0, 1.0) * 2.0 < change(1.0, 0.0));
    }
}
