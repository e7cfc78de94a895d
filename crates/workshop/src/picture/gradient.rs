//! How strongly colour changes at each pixel: the Di Zenzo gradient.
//!
//! The largest eigenvalue of the structure tensor summed over the three channels (Di Zenzo, "A note on the gradient of a
//! multi-image", 1986), of colours smoothed by a Gaussian. Lines narrower than about two pixels read as one edge.

use rayon::prelude::*;

use super::even::{Even, STEPS};
use super::grid::Grid;

/// Smoothing before differences are taken, pixels. Less lets sensor noise make leaves; more joins the two sides of a
/// fine line. Other values are untried.
const SIGMA: f64 = 0.8;

/// Half the width of the smoothing window: three sigma.
const REACH: usize = 3;

/// Levels per unit of colour difference a pixel.
const LEVELS_PER_UNIT: f32 = 16.0;

/// The highest level; steeper edges are alike.
pub(super) const TOP: u16 = 1023;

/// The gradient's level at each pixel, 0 to `TOP`.
pub(super) fn gradient(grid: Grid, plane: &[Even]) -> Vec<u16> {
    let smooth = smooth_down(grid, &smooth_across(grid, plane));
    let mut out = vec![0; grid.len()];
    out.par_chunks_mut(grid.width).enumerate().for_each(|(y, row)| {
        for (x, level) in row.iter_mut().enumerate() {
            *level = steepness(grid, &smooth, x, y);
        }
    });
    out
}

fn steepness(grid: Grid, smooth: &[[f32; 3]], x: usize, y: usize) -> u16 {
    let at = |x: usize, y: usize| smooth[y * grid.width + x];
    let (left, right) = (at(x.saturating_sub(1), y), at((x + 1).min(grid.width - 1), y));
    let (up, down) = (at(x, y.saturating_sub(1)), at(x, (y + 1).min(grid.height - 1)));
    let (mut xx, mut xy, mut yy) = (0.0f32, 0.0f32, 0.0f32);
    for k in 0..3 {
        let (dx, dy) = ((right[k] - left[k]) * 0.5, (down[k] - up[k]) * 0.5);
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    let largest = (xx + yy + ((xx - yy) * (xx - yy) + 4.0 * xy * xy).sqrt()) * 0.5;
    (largest.sqrt() * LEVELS_PER_UNIT).min(f32::from(TOP)) as u16
}

fn window() -> [f32; REACH + 1] {
    let weights: [f64; REACH + 1] = std::array::from_fn(|i| libm::exp(-((i * i) as f64) / (2.0 * SIGMA * SIGMA)));
    let total = weights[0] + 2.0 * weights[1..].iter().sum::<f64>();
    weights.map(|w| (w / total) as f32)
}

fn smooth_across(grid: Grid, plane: &[Even]) -> Vec<[f32; 3]> {
    let window = window();
    let mut out = vec![[0.0; 3]; grid.len()];
    out.par_chunks_mut(grid.width).zip(plane.par_chunks(grid.width)).for_each(|(out, row)| {
        let row: Vec<[f32; 3]> = row.iter().map(|c| c.map(|v| f32::from(v) / STEPS as f32)).collect();
        for (x, out) in out.iter_mut().enumerate() {
            *out = weighted(&window, x, row.len(), |x| row[x]);
        }
    });
    out
}

fn smooth_down(grid: Grid, across: &[[f32; 3]]) -> Vec<[f32; 3]> {
    let window = window();
    let mut out = vec![[0.0; 3]; grid.len()];
    out.par_chunks_mut(grid.width).enumerate().for_each(|(y, out)| {
        for (x, out) in out.iter_mut().enumerate() {
            *out = weighted(&window, y, grid.height, |y| across[y * grid.width + x]);
        }
    });
    out
}

#[inline]
fn weighted(window: &[f32; REACH + 1], at: usize, len: usize, value: impl Fn(usize) -> [f32; 3]) -> [f32; 3] {
    let mut out = value(at).map(|v| v * window[0]);
    for (i, w) in window.iter().enumerate().skip(1) {
        let (low, high) = (value(at.saturating_sub(i)), value((at + i).min(len - 1)));
        (0..3).for_each(|k| out[k] += w * (low[k] + high[k]));
    }
    out
}
