//! Light from all round, and what faces throw back at each other.
//!
//! Sixteen directions, in opposite pairs, are swept for their horizons. Above the horizon is sky; below it stands a wall,
//! taken as upright, facing the sample, in the colour of the face it belongs to. Such a wall sees the lamp if it faces
//! it, half the sky that is open on the other side, and the sample itself; so the light that goes to and fro between a
//! hollow and its walls is a geometric series with a closed sum:
//! B = ρ (D + S + R) / (1 − ρ M), with D the lamp, S the open sky, R what walls throw, M what they throw back of B.
//! In an even light on white faces this gives white everywhere, as it must. Where it fails: walls all have one light from
//! foot to top, and each sample sees the faces of its own surroundings only.

use measure::Watch;
use rayon::prelude::*;

use super::edges::KERF_MM;
use super::horizon::{Heights, Horizon, Shear, turned};
use super::light::Lamp;

/// Half of the directions, those more across than down; each stands for itself and its opposite. With the same turned
/// over they are 16, a sixteenth of a turn apart and none along an axis.
const TOWARD: [[f32; 2]; 4] =
    [[0.980_785, 0.195_090], [0.831_470, 0.555_570], [0.980_785, -0.195_090], [0.831_470, -0.555_570]];
/// Weight of one direction.
const WEIGHT: f32 = 1.0 / 16.0;

/// What a place receives apart from the lamp.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Around {
    /// Share of open sky, weighted by the cosine.
    pub open: f32,
    /// Thrown by walls, red, green, blue.
    pub thrown: [f32; 3],
    /// Share of its own light that walls throw back.
    pub back: [f32; 3],
}

impl Around {
    /// The same so deep (mm) in a narrow gap, which lets in a share and hides the rest behind walls of the sample's colour.
    pub(super) fn narrowed(&self, deep: f32, colour: [f32; 3]) -> Around {
        let share = let_in(deep);
        Around {
            open: share * self.open,
            thrown: self.thrown.map(|thrown| share * thrown),
            back: std::array::from_fn(|c| share * self.back[c] + (1.0 - share) * colour[c]),
        }
    }

    /// The same where so much of the sky is known to be open: walls throw more or less as they take more or less.
    pub(super) fn opened(&self, open: f32) -> Around {
        let share = ((1.0 - open) / (1.0 - self.open).max(1e-3)).min(4.0);
        Around { open, thrown: self.thrown.map(|thrown| share * thrown), back: self.back.map(|back| share * back) }
    }

    /// Adds a share of another.
    pub(super) fn add(&mut self, other: &Around, share: f32) {
        self.open += share * other.open;
        for c in 0..3 {
            self.thrown[c] += share * other.thrown[c];
            self.back[c] += share * other.back[c];
        }
    }
}

/// The share of light that comes so deep (mm) into a kerf.
pub(super) fn let_in(deep: f32) -> f32 {
    KERF_MM / (KERF_MM + 2.0 * deep.max(0.0))
}

/// The surroundings as the sweep needs them: heights, colours of faces, the lamp and how much of it is seen.
pub(super) struct Scene<'a> {
    pub heights: Heights,
    /// Reflectance, red, green, blue, of each sample.
    pub colours: Vec<[f32; 3]>,
    /// How much of the lamp each sample sees.
    pub seen: Vec<f32>,
    pub lamp: &'a Lamp,
}

/// What each sample receives from all round. `None` when stopped.
pub(super) fn around(scene: Scene, watch: Watch) -> Option<Vec<Around>> {
    let across = scene.heights.across;
    let mut sums = vec![Around::default(); scene.heights.mm.len()];
    TOWARD.iter().try_for_each(|&way| pair(&scene, way, &mut sums, watch))?;
    let lamp = Lamp { toward: [scene.lamp.toward[1], scene.lamp.toward[0], scene.lamp.toward[2]], ..*scene.lamp };
    let aside = Scene {
        heights: scene.heights.turned(),
        colours: turned(&scene.colours, across),
        seen: turned(&scene.seen, across),
        lamp: &lamp,
    };
    drop(scene);
    let down = aside.heights.across;
    sums = turned(&sums, across);
    TOWARD.iter().try_for_each(|&way| pair(&aside, way, &mut sums, watch))?;
    Some(turned(&sums, down))
}

fn pair(scene: &Scene, way: [f32; 2], sums: &mut [Around], watch: Watch) -> Option<()> {
    let heights = &scene.heights;
    let back = [-way[0], -way[1]];
    let (ahead, behind) = (Shear::new(heights, way), Shear::new(heights, back));
    let whole = |_, horizon: Horizon| horizon;
    let far = ahead.horizons(heights, (whole, watch))?;
    let near = behind.horizons(heights, (whole, watch))?;
    sums.par_chunks_mut(heights.across).enumerate().for_each(|(row, sums)| {
        for (column, sum) in sums.iter_mut().enumerate() {
            let place = (row, column);
            let seen = scene.seen[row * heights.across + column];
            let (one, other) = (ahead.at(&far, place), behind.at(&near, place));
            let (wall, opposite) = (ahead.index(place, &one), behind.index(place, &other));
            let lit = |[x, y]: [f32; 2]| (seen * scene.lamp.on([x, y, 0.0]), 1.0 - scene.lamp.share);
            add(sum, (&one, &other), scene.colours[wall], lit(back));
            add(sum, (&other, &one), scene.colours[opposite], lit(way));
        }
    });
    Some(())
}

/// One direction: what is open, what the wall below the horizon throws, what it throws back.
fn add(sum: &mut Around, (here, opposite): (&Horizon, &Horizon), wall: [f32; 3], (lamp, sky): (f32, f32)) {
    let (open, across) = (here.open(), 0.5 * opposite.open());
    sum.open += WEIGHT * open;
    let hidden = WEIGHT * (1.0 - open);
    for c in 0..3 {
        sum.thrown[c] += hidden * wall[c] * (lamp + sky * across);
        sum.back[c] += hidden * wall[c] * (1.0 - across);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::pose::Light;

    /// Flat to the left, a step of `rise` mm up in the middle; 1 mm a sample.
    fn step(rise: f32) -> Heights {
        let (across, down) = (400, 600);
        let mm = (0..across * down).map(|at| if at % across >= 200 { rise } else { 0.0 }).collect();
        Heights { across, down, step: 1.0, mm }
    }

    fn around_of(heights: Heights, white: f32) -> Vec<Around> {
        let lamp = Lamp::new(Light { share: 0, ..Light::default() });
        let many = heights.mm.len();
        let scene = Scene { heights, colours: vec![[white; 3]; many], seen: vec![1.0; many], lamp: &lamp };
        around(scene, Watch::silent()).expect("nobody stops it")
    }

    /// A long wall takes (1 − cos φ) / 2 of the cosine-weighted hemisphere of a place from which its top stands φ high
    /// (view factor of an infinite wall, e.g. Howell, A Catalog of Radiation Heat Transfer Configuration Factors).
    #[test]
    fn a_long_wall_takes_its_share_of_the_sky() {
        for (rise, away) in [(10.0f64, 10usize), (20.0, 10), (10.0, 30), (5.0, 40)] {
            let found = around_of(step(rise as f32), 0.5)[300 * 400 + 200 - away].open;
            let cosine = away as f64 / (rise * rise + (away * away) as f64).sqrt();
            let expected = (1.0 + cosine) / 2.0;
            assert!((f64::from(found) / expected - 1.0).abs() < 0.01, "{rise} {away}: {found} {expected}");
        }
    }

    /// Under a high wall, the bottom of a hollow has its sky, what the walls throw, and what they throw back: they add
    /// up to all of the light when everything is white.
    #[test]
    fn a_white_hollow_in_even_light_is_white() {
        for around in around_of(step(25.0), 1.0).iter().step_by(37) {
            let sent = (around.open + around.thrown[1]) / (1.0 - around.back[1]);
            assert!((sent - 1.0).abs() < 0.01, "{around:?}");
        }
    }
}
