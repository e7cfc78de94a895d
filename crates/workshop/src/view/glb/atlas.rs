//! The sides' own texture: every run of a side has a strip of it, and on it the side of the solid that it was sawn from.
//!
//! Strips stand on shelves, the highest first (next-fit decreasing height; Coffman, Garey, Johnson, Tarjan 1980). Where it
//! fails: a job with very much side has it drawn coarser.

use measure::Watch;
use measure::colour::to_byte;
use rayon::prelude::*;

use super::body::{Body, Run};
use crate::view::backdrop::Face;

/// Across the texture, pixels.
const ACROSS: usize = 2048;
/// The most pixels down.
const MOST_DOWN: usize = 2048;
/// The finest that sides are drawn, pixels a mm: they are seen aslant.
const FINEST: f32 = 3.0;
/// How much coarser each try is, until all fits.
const COARSER: f32 = 0.92;
/// Pixels about a strip that repeat its rim, so that smoothing takes nothing of its neighbour.
const RIM: usize = 1;

/// Where a run's strip lies, pixels from the upper left.
#[derive(Clone, Copy, Debug, Default)]
struct Strip {
    left: usize,
    top: usize,
    wide: usize,
    high: usize,
}

/// The places of all runs, in the order of bodies and their runs.
pub(super) struct Atlas {
    strips: Vec<Vec<Strip>>,
    scale: f32,
    /// Pixels down.
    down: usize,
}

impl Atlas {
    /// Finds a place for every run.
    pub(super) fn new(bodies: &[Body]) -> Atlas {
        let mut scale = FINEST;
        loop {
            let atlas = Atlas::packed(bodies, scale);
            if atlas.down <= MOST_DOWN {
                return atlas;
            }
            scale *= COARSER;
        }
    }

    fn packed(bodies: &[Body], scale: f32) -> Atlas {
        let pixels = |mm: f32| (mm * scale).ceil() as usize + 2 * RIM;
        let strip = |run: &Run| {
            let long = run.along().last().copied().unwrap_or(0.0);
            Strip { wide: pixels(long).min(ACROSS), high: pixels(run.rise), ..Strip::default() }
        };
        let mut strips: Vec<Vec<Strip>> = bodies.iter().map(|body| body.runs.iter().map(strip).collect()).collect();
        let mut order: Vec<&mut Strip> = strips.iter_mut().flatten().collect();
        order.sort_by_key(|strip| std::cmp::Reverse((strip.high, strip.wide)));
        let (mut left, mut top, mut high) = (0, 0, 0);
        for strip in order {
            if left + strip.wide > ACROSS {
                (left, top, high) = (0, top + high, 0);
            }
            high = high.max(strip.high);
            (strip.left, strip.top) = (left, top);
            left += strip.wide;
        }
        Atlas { strips, scale, down: (top + high).max(1) }
    }

    /// Shares of the texture for a place of a run: mm along, mm down from the edge.
    pub(super) fn place(&self, (body, run): (usize, usize)) -> impl Fn(f32, f32) -> [f32; 2] {
        let (strip, scale) = (self.strips[body][run], self.scale);
        let size = [ACROSS as f32, self.down as f32];
        let rim = RIM as f32;
        move |along, low| {
            let at = [strip.left as f32 + rim + along * scale, strip.top as f32 + rim + low * scale];
            [0, 1].map(|axis| (at[axis] / size[axis]).clamp(0.0, 1.0))
        }
    }

    /// The texture: sRGB, three bytes a pixel, and its size. `None` when stopped.
    pub(super) fn painted(&self, (bodies, faces): (&[Body], &[&Face]), watch: Watch) -> Option<(Vec<u8>, [usize; 2])> {
        let mut pixels = vec![0; ACROSS * self.down * 3];
        let all = bodies.iter().zip(faces).zip(&self.strips).flat_map(|((body, face), strips)| {
            body.runs.iter().zip(strips).map(move |(run, strip)| (run, *face, strip))
        });
        let all: Vec<_> = all.collect();
        let blocks: Vec<Vec<u8>> = all
            .par_iter()
            .map(|(run, face, strip)| if watch.stopped() { Vec::new() } else { self.side(run, (face, strip)) })
            .collect();
        if watch.stopped() {
            return None;
        }
        for ((_, _, strip), block) in all.iter().zip(blocks) {
            for (row, line) in block.chunks_exact(strip.wide * 3).enumerate() {
                let first = ((strip.top + row) * ACROSS + strip.left) * 3;
                pixels[first..first + line.len()].copy_from_slice(line);
            }
        }
        Some((pixels, [ACROSS, self.down]))
    }

    /// The strip of one run.
    fn side(&self, run: &Run, (face, strip): (&Face, &Strip)) -> Vec<u8> {
        let long = run.along();
        let sample = 1.0 / self.scale;
        let mm = |pixel: usize| ((pixel as f32 + 0.5 - RIM as f32) / self.scale).max(0.0);
        let mut block = Vec::with_capacity(strip.wide * strip.high * 3);
        for row in 0..strip.high {
            let low = mm(row).min(run.rise);
            for column in 0..strip.wide {
                let [x, y] = at(run, &long, mm(column));
                let colour = face.bare([x, y, -low], sample);
                block.extend(colour.map(|channel| to_byte(f64::from(channel))));
            }
        }
        block
    }
}

/// The place on the page, mm, so far along a run.
fn at(run: &Run, long: &[f32], along: f32) -> [f32; 2] {
    let last = long.len().saturating_sub(2);
    let from = long.partition_point(|reached| *reached <= along).saturating_sub(1).min(last);
    let Some(to) = run.path.get(from + 1) else { return run.path.first().copied().unwrap_or_default() };
    let share = ((along - long[from]) / (long[from + 1] - long[from]).max(1e-6)).clamp(0.0, 1.0);
    [0, 1].map(|axis| run.path[from][axis] + share * (to[axis] - run.path[from][axis]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(long: f32, rise: f32) -> Run {
        Run { path: vec![[0.0, 0.0], [long, 0.0]], out: vec![[0.0, -1.0]; 2], foot: 0.0, rise }
    }

    /// No two strips share a pixel, and all lie on the texture, also where there is more side than room at the finest.
    #[test]
    fn strips_lie_apart_on_the_texture() {
        let bodies: Vec<Body> = (0..900)
            .map(|at| Body {
                runs: (0..4)
                    .map(|side| run(1.0 + (at * 7 + side * 31) as f32 % 290.0, 5.0 + (at % 40) as f32))
                    .collect(),
                ..Body::default()
            })
            .collect();
        let atlas = Atlas::new(&bodies);
        let mut taken = vec![false; ACROSS * atlas.down];
        for strip in atlas.strips.iter().flatten() {
            for row in strip.top..strip.top + strip.high {
                for pixel in &mut taken[row * ACROSS + strip.left..][..strip.wide] {
                    assert!(!std::mem::replace(pixel, true), "{strip:?}");
                }
            }
        }
        assert!(atlas.down <= MOST_DOWN && atlas.scale < FINEST);
    }
}
