//! The light on the board, told by the white beside it: a tint, and a plane in lightness.

use super::{BURNT, BURNT_MOST, overexposed};
use crate::picture::Raster;
use crate::picture::plane::{Plane, byte, is_convex, linear};
use crate::work::{Refusal, Way};

/// Fewer pixels of white than this tell no slope of the light.
const PIXELS_LEAST: usize = 400;

/// White whose linear green is under this is too dark to divide by: its last byte is 2 % of it.
const DARKEST: f64 = 0.03;

/// Channels of white that are farther apart than this ratio are no lamp's light: at 2700 K red is about 4 times blue.
const TINT_MOST: f64 = 4.0;

/// White that strays from its plane by more than this share is no plain white; paper in a photograph strays 1 to 3 %.
const STRAY_MOST: f64 = 0.12;

/// The light falls by no more than this share from end to end; more is a shadow's edge.
const FALL_MOST: f64 = 0.6;

/// What a white surface would give back at a place of the board's plane.
pub(super) struct Light {
    tint: [f64; 3],
    /// At the first corner, more along the length, more along the width.
    slope: [f64; 3],
}

impl Light {
    /// From a patch of white that gives back the share `reflects`.
    pub fn new(raster: &Raster, plane: &Plane, (white, reflects): (&[(f64, f64); 4], f64)) -> Result<Light, Refusal> {
        let seen = patch(raster, plane, white);
        if seen.len() < PIXELS_LEAST {
            return Err(no_white("The patch of white is too small to tell the light"));
        }
        let burnt = seen.iter().filter(|seen| seen.burnt).count();
        if burnt as f64 > BURNT_MOST * seen.len() as f64 {
            return Err(overexposed("white"));
        }
        let count = seen.len() as f64;
        let mean: [f64; 3] = std::array::from_fn(|c| seen.iter().map(|seen| seen.light[c]).sum::<f64>() / count);
        let (most, least) =
            (mean.iter().fold(0.0, |a: f64, b| a.max(*b)), mean.iter().fold(f64::MAX, |a, b| a.min(*b)));
        if mean[1] < DARKEST || most > TINT_MOST * least {
            return Err(no_white("What is marked as white is dark or coloured"));
        }
        let grey: Vec<f64> =
            seen.iter().map(|seen| (0..3).map(|c| seen.light[c] / mean[c]).sum::<f64>() / 3.0).collect();
        let slope = fitted(&seen, &grey);
        let stray = |(seen, grey): (&Seen, &f64)| {
            let off = grey - at(&slope, seen.on);
            off * off
        };
        if (seen.iter().zip(&grey).map(stray).sum::<f64>() / count).sqrt() > STRAY_MOST {
            return Err(no_white("What is marked as white is not one plain surface"));
        }
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|on| at(&slope, on));
        if corners.iter().any(|light| !(1.0 - FALL_MOST..=1.0 + FALL_MOST).contains(light)) {
            return Err(no_white("The white tells no even fall of the light over the board"));
        }
        Ok(Light { tint: mean.map(|channel| channel / reflects), slope })
    }

    /// The channels under even white light.
    pub fn even(&self, seen: [f64; 3], on: (f64, f64)) -> [f64; 3] {
        std::array::from_fn(|c| seen[c] / (self.tint[c] * at(&self.slope, on)))
    }
}

fn at(slope: &[f64; 3], on: (f64, f64)) -> f64 {
    slope[0] + slope[1] * on.0 + slope[2] * on.1
}

/// A pixel of the white.
struct Seen {
    on: (f64, f64),
    light: [f64; 3],
    burnt: bool,
}

fn patch(raster: &Raster, plane: &Plane, white: &[(f64, f64); 4]) -> Vec<Seen> {
    let side = |value: fn(&(f64, f64)) -> f64| {
        let all = white.iter().map(value);
        (all.clone().fold(f64::MAX, f64::min) as usize, all.fold(0.0, f64::max) as usize)
    };
    let ((left, right), (top, bottom)) = (side(|p| p.0), side(|p| p.1));
    let mut seen = Vec::new();
    for y in top..=bottom {
        for x in left..=right {
            let middle = (x as f64 + 0.5, y as f64 + 0.5);
            if inside(white, middle)
                && let Some(on) = plane.on_plane(middle)
            {
                let burnt = byte(raster, middle).iter().any(|b| *b >= BURNT);
                seen.push(Seen { on, light: linear(raster, middle), burnt });
            }
        }
    }
    seen
}

pub(super) fn inside(four: &[(f64, f64); 4], at: (f64, f64)) -> bool {
    debug_assert!(is_convex(four), "it was judged before");
    (0..4).all(|side| {
        let (a, b) = (four[side], four[(side + 1) % 4]);
        (b.0 - a.0) * (at.1 - a.1) - (b.1 - a.1) * (at.0 - a.0) > 0.0
    })
}

/// Least squares about the middle of the patch.
fn fitted(seen: &[Seen], grey: &[f64]) -> [f64; 3] {
    let count = seen.len() as f64;
    let mean = |value: &dyn Fn(usize) -> f64| (0..seen.len()).map(value).sum::<f64>() / count;
    let (mx, my, mg) = (mean(&|i| seen[i].on.0), mean(&|i| seen[i].on.1), mean(&|i| grey[i]));
    let (x, y, g) = (|i: usize| seen[i].on.0 - mx, |i: usize| seen[i].on.1 - my, |i: usize| grey[i] - mg);
    let (xx, yy, xy) = (mean(&|i| x(i) * x(i)), mean(&|i| y(i) * y(i)), mean(&|i| x(i) * y(i)));
    let (xg, yg) = (mean(&|i| x(i) * g(i)), mean(&|i| y(i) * g(i)));
    let det = xx * yy - xy * xy;
    if det <= f64::EPSILON * xx * yy {
        return [mg, 0.0, 0.0];
    }
    let (along, across) = ((xg * yy - yg * xy) / det, (yg * xx - xg * xy) / det);
    [mg - along * mx - across * my, along, across]
}

fn no_white(what: &str) -> Refusal {
    Refusal::new(format!("{what}.")).way(Way::advice(
        "Lay a sheet of white paper or a grey card along a long edge of the board, in the same light, and mark a plain part of it.",
    ))
}
