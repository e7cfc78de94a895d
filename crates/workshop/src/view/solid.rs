//! The wood under a face: a solid of rings, vessels, rays, fibre and streaks, cut where the piece lies.
//!
//! Marks multiply the wood's colour; each is a share of light taken away (an optical depth), browner than grey. The mean
//! of all marks over a large face of this wood is measured once and divided out, so that the face keeps the colour of the
//! table. Broad zones along the board have the table's spread: neighbours of one wood differ as boards and places do.
//! Where it fails: no knots, no sapwood; its shapes are from memory and no portrait of a board.

use super::anatomy::{self, Anatomy, Rings};
use super::marks;
use super::noise::{hash, noise3, share, step};
use super::rings::Log;
use crate::work::{Axis, Wood};

/// How broad zones take them: half as brown.
const ZONE_TINT: [f32; 3] = [0.92, 1.0, 1.1];
/// How deep the darkest ring of a wood with contrast 100 goes.
const RING_DEPTH: f32 = 1.5;
/// How marks take red, green and blue: they are browner, not greyer.
const MARK_TINT: [f32; 3] = [0.84, 1.0, 1.2];
/// Fibre ends drink more finish and look darker: depth at full lean.
const LEAN_DEPTH: f32 = 0.35;
/// Broad zones, mm: length and width.
const ZONE_MM: [(f32, f32); 2] = [(230.0, 34.0), (75.0, 15.0)];
/// Standard deviation of the two zones' noise together, at these weights: measured in a test.
const ZONE_WEIGHT: [f32; 2] = [1.9, 1.3];
/// Streaks of colour, mm: length and width.
const STREAK_MM: (f32, f32) = (150.0, 7.0);
/// How a blue stain takes red, green and blue: sapwood between is yellow beside it.
const STAIN_TINT: [f32; 3] = [1.25, 1.0, 0.63];
/// Zones of stain and the feathers of their edges, mm: length and width. From memory of stained boards.
const STAIN_MM: [(f32, f32); 2] = [(150.0, 24.0), (45.0, 1.5)];
/// From this lightness down marks are laid on more strongly, at most so many times: equal shares of little light differ less
/// to the eye, and a black wood without its grain looks like plastic.
const DARK_LIGHTNESS: f32 = 52.0;
const DARK_MOST: f32 = 2.8;
/// Places at which the mean of a wood is measured.
const MEASURED: usize = 8192;
/// How far the piece may lie along the board, mm: nothing then repeats between pieces.
const BOARD_MM: f32 = 3000.0;

/// What a solid shows at a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shown {
    /// What red, green and blue of the wood's colour are multiplied by.
    pub colour: [f32; 3],
    /// How far fibre leans out of the face along the grain, as a sine.
    pub lean: f32,
}

/// What all solids of one wood share.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    anatomy: Anatomy,
    ring_mm: f32,
    rings: f32,
    zones: f32,
    /// How many times stronger marks are than on a pale wood.
    stronger: f32,
    mean: [f32; 3],
}

impl Kind {
    /// The kind of a wood; `lightness` is L* of the face shown, `sample` the sampling distance in mm.
    pub(super) fn new(wood: &Wood, lightness: f64, sample: f32) -> Kind {
        let stronger = ((DARK_LIGHTNESS + 16.0) / (lightness as f32 + 16.0)).clamp(1.0, DARK_MOST);
        let contrast = wood.figure.contrast as f32 / 100.0;
        let mut kind = Kind {
            anatomy: anatomy::of(&wood.id, wood.figure),
            ring_mm: (wood.figure.ring as f32 / 100.0).max(0.2),
            // Rings that are strong of themselves need less.
            rings: RING_DEPTH * contrast * (1.0 + (stronger - 1.0) * (1.0 - contrast)),
            // L* = 116 Y^(1/3) − 16, so that a share s of light is s (L* + 16) / 3 of lightness.
            zones: wood.spread as f32 / 100.0 * 3.0 / (lightness as f32 + 16.0),
            stronger,
            mean: [1.0; 3],
        };
        kind.mean = kind.measured(sample);
        kind
    }

    fn measured(&self, sample: f32) -> [f32; 3] {
        let mut sum = [0.0f64; 3];
        for at in 0..MEASURED {
            let dice = |which| share(at as i32, which, 0x3e41_90c7);
            let solid = Solid::new(self.clone(), Axis::default(), (hash(at as i32 / 32, 5, 77), [0.0, 0.0]));
            let shown = solid.shown([400.0 * (dice(0) - 0.5), 200.0 * (dice(1) - 0.5), 0.0], sample);
            sum.iter_mut().zip(shown.colour).for_each(|(sum, colour)| *sum += f64::from(colour));
        }
        sum.map(|sum| (sum / MEASURED as f64) as f32)
    }
}

/// The wood of one piece.
#[derive(Clone, Debug)]
pub(super) struct Solid {
    kind: Kind,
    log: Log,
    along: [f32; 2],
    centre: [f32; 2],
    seed: u32,
    offset: f32,
}

impl Solid {
    /// A solid with its grain along `axis`, about the piece's middle (mm), cut from the board where `seed` says.
    pub(super) fn new(kind: Kind, axis: Axis, (seed, centre): (u32, [f32; 2])) -> Solid {
        let radians = axis.to_degrees() as f32 * std::f32::consts::PI / 180.0;
        let log = Log::new(&kind.anatomy, kind.ring_mm, seed);
        // y points down, the angle turns counterclockwise as seen.
        let along = [libm::cosf(radians), -libm::sinf(radians)];
        Solid { kind, log, along, centre, seed, offset: BOARD_MM * (share(9, 0, seed) - 0.5) }
    }

    /// The same, cut so much further along the board, mm.
    pub(super) fn further(self, mm: f32) -> Solid {
        Solid { log: self.log.further(mm), offset: self.offset + mm, ..self }
    }

    /// The direction of the grain on the page, a unit vector.
    pub(super) fn along(&self) -> [f32; 2] {
        self.along
    }

    /// What shows at a place: x, y of the page and z above the face, mm; `sample` is the sampling distance, mm.
    pub(super) fn shown(&self, [x, y, z]: [f32; 3], sample: f32) -> Shown {
        let (x, y) = (x - self.centre[0], y - self.centre[1]);
        let u = x * self.along[0] + y * self.along[1];
        let at = [u, y * self.along[0] - x * self.along[1], z];
        let far = [u + self.offset, at[1], z];
        let kind = &self.kind;
        let place = self.log.place(at);
        let blur = sample / kind.ring_mm * (0.15 + 0.85 * place.quartered);
        let lean =
            marks::lean(&kind.anatomy, &place, far, self.seed) + marks::sheen(kind.stronger, far, (sample, self.seed));
        let clear = kind.anatomy.flat + (1.0 - kind.anatomy.flat) * place.quartered;
        let dark = clear * kind.rings * self.log.dark(&place, at, blur)
            + kind.stronger * marks::pores(&kind.anatomy, &place, far, (sample, self.seed))
            + marks::rays(&kind.anatomy, &place, far[0], (sample, self.seed))
            + kind.stronger * marks::fibre(far, (sample, self.seed))
            + LEAN_DEPTH * lean.abs()
            + kind.stronger * self.streaks(far);
        let (zone, stain) = (self.zones(far), self.stain(far));
        let depth = |c: usize| dark * MARK_TINT[c] + zone * ZONE_TINT[c] + stain * STAIN_TINT[c];
        Shown { colour: std::array::from_fn(|c| libm::expf(-depth(c)) / kind.mean[c]), lean }
    }

    fn zones(&self, [u, v, w]: [f32; 3]) -> f32 {
        let zone = |at: usize| {
            let (long, wide) = ZONE_MM[at];
            ZONE_WEIGHT[at] * noise3([u / long, v / wide, w / wide], self.seed ^ (60 + at as u32))
        };
        self.kind.zones * (zone(0) + zone(1))
    }

    /// Blue stain: it climbs along the grain and fills some of the sapwood, feathered at its edges.
    fn stain(&self, [u, v, w]: [f32; 3]) -> f32 {
        let deep = self.kind.anatomy.stain;
        if deep == 0.0 {
            return 0.0;
        }
        let layer = |at: usize| {
            let (long, wide) = STAIN_MM[at];
            noise3([u / long, v / wide, w / wide], self.seed ^ (80 + at as u32))
        };
        deep * step(-0.35, 0.45, layer(0) + 0.45 * layer(1))
    }

    fn streaks(&self, [u, v, w]: [f32; 3]) -> f32 {
        let (long, wide) = STREAK_MM;
        let streak = noise3([u / long, v / wide, w / wide], self.seed ^ 70);
        let swing = if self.kind.anatomy.rings == Rings::Band { 0.2 } else { 0.9 };
        swing * self.kind.anatomy.streaks * (streak + 0.5 * streak * streak.abs())
    }
}

#[cfg(test)]
mod tests {
    use measure::colour::{Lab, delta_e_2000};

    use super::*;

    fn solid(key: &str, seed: u32) -> (Lab, Solid) {
        let wood = &crate::wood::table()[&crate::work::WoodId(key.into())];
        let colour = wood.colour.value;
        (colour, Solid::new(Kind::new(wood, colour.l, 0.15), Axis::degrees(30.0), (seed, [0.0, 0.0])))
    }

    /// The mean in linear light over a square of `side` mm about a place.
    fn mean((colour, solid): &(Lab, Solid), [x, y]: [f32; 2], side: f32) -> Lab {
        let base = colour.to_linear();
        let mut sum = [0.0; 3];
        for at in 0..1600 {
            let place = [x + side * share(at, 1, 5), y + side * share(at, 2, 5), 0.0];
            let shown = solid.shown(place, 0.15).colour;
            (0..3).for_each(|c| sum[c] += base[c] * f64::from(shown[c]) / 1600.0);
        }
        Lab::from_linear(sum)
    }

    /// Two steps along the grain differ less than two across it.
    #[test]
    fn marks_run_along_the_grain() {
        let wood = &crate::wood::table()[&crate::work::WoodId("oak-red".into())];
        let solid = Solid::new(Kind::new(wood, 60.0, 0.1), Axis::degrees(90.0), (3, [0.0, 0.0]));
        let change = |dx: f32, dy: f32| -> f32 {
            let at = |i: i32| ((i % 60) as f32 * 0.9, (i / 60) as f32 * 0.7);
            let green = |x: f32, y: f32| solid.shown([x, y, 0.0], 0.1).colour[1];
            (0..3600).map(at).map(|(x, y)| (green(x + dx, y + dy) - green(x, y)).abs()).sum()
        };
        assert!(change(0.0, 1.0) * 2.0 < change(1.0, 0.0));
    }

    /// Places of 12 mm on many pieces differ from the table's colour by its spread.
    #[test]
    fn places_differ_by_the_spread_of_the_table() {
        for key in ["maple-hard", "cedar-western-red", "goncalo-alves", "padauk-african"] {
            let spread = f64::from(crate::wood::table()[&crate::work::WoodId(key.into())].spread) / 100.0;
            let squares = (1..60).map(|seed| {
                let solid = solid(key, seed * 7919);
                delta_e_2000(mean(&solid, [0.0, 0.0], 12.0), solid.0)
            });
            let rms = (squares.map(|off| off * off).sum::<f64>() / 59.0).sqrt();
            println!("{key}: {rms:.2} of {spread}");
            assert!((0.6..1.7).contains(&(rms / spread)), "{key}: {rms:.2} of {spread}");
        }
    }

    /// Every wood of the table keeps its colour over the faces of many pieces; one seed is one log.
    #[test]
    fn a_large_face_keeps_the_colour_of_the_table() {
        for (id, wood) in crate::wood::table() {
            let colour = wood.colour.value;
            let kind = Kind::new(&wood, colour.l, 0.15);
            let (base, mut sum) = (colour.to_linear(), [0.0; 3]);
            for seed in 0..96 {
                let solid = Solid::new(kind.clone(), Axis::degrees(30.0), (hash(seed, 1, 99), [0.0, 0.0]));
                for at in 0..150 {
                    let place = [360.0 * (share(at, 1, 5) - 0.5), 160.0 * (share(at, 2, 5) - 0.5), 0.0];
                    let shown = solid.shown(place, 0.15).colour;
                    (0..3).for_each(|c| sum[c] += base[c] * f64::from(shown[c]) / 14400.0);
                }
            }
            let off = delta_e_2000(colour, Lab::from_linear(sum));
            assert!(off < 1.0, "{id}: {off:.2}");
        }
    }
}
