//! The lamp: where it stands, how much of it a place sees, and what it gives to a surface.

use measure::Watch;
use rayon::prelude::*;

use super::horizon::{Heights, sweep, turned};
use super::pose::Light;

/// How far the lamp reaches above and below its height, as tangents, 8° or so either way: it makes a shade's edge soft.
const LAMP_RIM: f32 = 0.3;
/// How far the lamp reaches to either side, in degrees: eight places of it are swept, and between two of them a shade runs
/// over evenly.
const LAMP_ASIDE: [f32; 8] = [-7.0, -5.0, -3.0, -1.0, 1.0, 3.0, 5.0, 7.0];
const ASIDE_STEP: f32 = 2.0;
/// A shade runs over between samples whose heights differ by less, mm: the same face, up to its eased edge.
const LEVEL_MM: f32 = 1.2;
/// The widest that it runs over, samples.
const WIDEST: f32 = 48.0;
/// The lowest and the highest that a lamp may stand, degrees: flatter and all is shade, and from straight in front light
/// has no side.
const LOWEST: u32 = 15;
const HIGHEST: u32 = 85;
/// The lamp is a little warm, the sky makes up for it: together they are white.
const LAMP_TINT: [f32; 3] = [1.035, 1.0, 0.94];

/// A lamp far away.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lamp {
    /// Towards it: x right, y down, z towards the eye.
    pub toward: [f32; 3],
    /// The tangent of its height above the wall.
    pub slope: f32,
    /// Its share of the light on a flat face.
    pub share: f32,
    /// Where it comes from on the wall, degrees clockwise from above.
    pub from: f32,
}

impl Lamp {
    pub(super) fn new(light: Light) -> Lamp {
        let height = radians(light.height.clamp(LOWEST, HIGHEST) as f32);
        let from = (light.from % 360) as f32;
        let [x, y] = on_wall(from);
        let (flat, up) = (libm::cosf(height), libm::sinf(height));
        Lamp { toward: [x * flat, y * flat, up], slope: up / flat, share: light.share.min(100) as f32 / 100.0, from }
    }

    /// What it gives to a surface that sees all of it, in shares of all light on a flat face.
    pub(super) fn on(&self, normal: [f32; 3]) -> f32 {
        let [x, y, z] = self.toward;
        self.share * (normal[0] * x + normal[1] * y + normal[2] * z).max(0.0) / z
    }

    /// The colour of its light.
    pub(super) fn tint(&self) -> [f32; 3] {
        LAMP_TINT
    }

    /// The light from all round that makes the two together white.
    pub(super) fn sky(&self) -> [f32; 3] {
        LAMP_TINT.map(|tint| 1.0 - self.share * tint)
    }

    /// How much of it each sample sees, 0 to 1. `None` when stopped.
    pub(super) fn seen(&self, heights: &Heights, watch: Watch) -> Option<Vec<f32>> {
        let rim = LAMP_RIM.min(0.8 * self.slope);
        let hidden = |slope: f32, far: f32| {
            let hidden = ((slope - self.slope + rim) / (2.0 * rim)).clamp(0.0, 1.0);
            let share = hidden * hidden * (3.0 - 2.0 * hidden) / LAMP_ASIDE.len() as f32;
            [share, share * far]
        };
        let ways = LAMP_ASIDE.map(|aside| on_wall(self.from + aside));
        let shade = gather(heights, &ways, (hidden, watch))?;
        let [x, y] = on_wall(self.from);
        let even = |at: usize| (1.0 - evened(heights, (&shade, at), [-y, x])).clamp(0.0, 1.0);
        Some((0..shade.len()).into_par_iter().with_min_len(4096).map(even).collect())
    }

    /// How far a surface mirrors the lamp into the eye: the cosine to the half vector, sharpened.
    pub(super) fn mirrored(&self, normal: [f32; 3], sharpness: f32) -> f32 {
        let half = [self.toward[0], self.toward[1], self.toward[2] + 1.0];
        let length = (half[0] * half[0] + half[1] * half[1] + half[2] * half[2]).sqrt();
        let cosine = (normal[0] * half[0] + normal[1] * half[1] + normal[2] * half[2]).max(0.0) / length;
        libm::powf(cosine, sharpness)
    }
}

/// The direction on the wall, `degrees` clockwise from above: x right, y down.
fn on_wall(degrees: f32) -> [f32; 2] {
    [libm::sinf(radians(degrees)), -libm::cosf(radians(degrees))]
}

fn radians(degrees: f32) -> f32 {
    degrees * (std::f32::consts::PI / 180.0)
}

/// The shade of a sample as it is between the places of the lamp that were swept: the mean across the light, as wide as two of
/// them lie apart at what throws it. `shade` has the share that is hidden and its sum with how far off that stands, mm.
fn evened(heights: &Heights, (shade, at): (&[[f32; 2]], usize), across: [f32; 2]) -> f32 {
    let [hidden, far] = shade[at];
    let wide = (far / hidden.max(1e-6) * radians(ASIDE_STEP) / heights.step).min(WIDEST);
    if hidden <= 0.0 || wide <= 1.0 {
        return hidden;
    }
    let (column, row) = ((at % heights.across) as f32, (at / heights.across) as f32);
    let reach = (0.5 * wide + 0.5).floor() as i32;
    let (mut sum, mut count) = (0.0, 0.0);
    for tap in -reach..=reach {
        let [x, y] = across.map(|part| part * tap as f32);
        let (x, y) = ((column + x).round(), (row + y).round());
        if x < 0.0 || y < 0.0 || x >= heights.across as f32 || y >= heights.down as f32 {
            continue;
        }
        let other = y as usize * heights.across + x as usize;
        if (heights.mm[other] - heights.mm[at]).abs() < LEVEL_MM {
            let weight = (0.5 * wide + 0.5 - tap.abs() as f32).min(1.0);
            sum += weight * shade[other][0];
            count += weight;
        }
    }
    sum / count
}

/// Sums what `give` makes of the horizons and how far off they stand over all directions.
fn gather(
    heights: &Heights,
    toward: &[[f32; 2]],
    (give, watch): (impl Fn(f32, f32) -> [f32; 2] + Sync, Watch),
) -> Option<Vec<[f32; 2]>> {
    let flat = |way: &&[f32; 2]| way[0].abs() >= way[1].abs();
    let mut sums = vec![[0.0; 2]; heights.mm.len()];
    for way in toward.iter().filter(flat) {
        sweep(heights, *way, &mut sums, (&give, watch))?;
    }
    let steep: Vec<_> = toward.iter().filter(|way| !flat(way)).collect();
    if steep.is_empty() {
        return Some(sums);
    }
    let (heights, mut aside) = (heights.turned(), vec![[0.0; 2]; sums.len()]);
    for way in steep {
        sweep(&heights, [way[1], way[0]], &mut aside, (&give, watch))?;
    }
    let back = turned(&aside, heights.across);
    sums.par_iter_mut().zip(back).for_each(|(sum, more)| (0..2).for_each(|of| sum[of] += more[of]));
    Some(sums)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lambert's cosine law on a plane tilted towards and away from the lamp: every value to 1 %.
    #[test]
    fn a_tilted_plane_takes_light_by_the_cosine() {
        let lamp = Lamp::new(Light { from: 270, height: 50, share: 100 });
        for tilt in [-30.0f64, -15.0, 0.0, 20.0, 40.0] {
            // Leaning to the left is leaning towards the lamp.
            let (sine, cosine) = (libm::sin(tilt.to_radians()), libm::cos(tilt.to_radians()));
            let expected = libm::cos((40.0 - tilt).to_radians()) / libm::cos(40.0f64.to_radians());
            let found = f64::from(lamp.on([-sine as f32, 0.0, cosine as f32]));
            assert!((found / expected - 1.0).abs() < 0.01, "{tilt}: {found} {expected}");
        }
    }
}
