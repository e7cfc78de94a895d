//! More pieces in one place, fewer in another.
//!
//! The cost of a merge is weighed by the places that its two regions lie in, so the same pieces are dealt out otherwise. Cost
//! falls with about the square of the number of pieces, so a place that wants twice as many has its costs fourfold; how
//! many come of it depends on the picture, and no place goes finer than the limits.

use measure::length::Um;

use super::grid::Grid;
use crate::work::{Place, Size};

/// The most that places together weigh, and the inverse of the least: sixteen times as many pieces, or a sixteenth.
const MOST: f32 = 256.0;

/// The weight of each block by the places over the panel; empty without a place. Where places overlap each counts, so that what is
/// asked for twice is more than what is asked for once.
pub(super) fn weights(grid: Grid, panel: Size, places: &[Place]) -> Vec<f32> {
    if places.is_empty() {
        return Vec::new();
    }
    let mut weights = vec![1.0; grid.len()];
    for place in places {
        let times = f64::from(place.percent) / 100.0;
        within(grid, panel, place, |at| weights[at] = (weights[at] * (times * times) as f32).clamp(1.0 / MOST, MOST));
    }
    weights
}

/// Calls for every block whose middle lies in the place, by crossings of its row (even-odd).
pub(super) fn within(grid: Grid, panel: Size, place: &Place, mut found: impl FnMut(usize)) {
    let side = |length: Um, count: usize| f64::from(length.0.max(1)) / count as f64;
    let (across, down) = (side(panel.width, grid.width), side(panel.height, grid.height));
    for y in 0..grid.height {
        let level = (y as f64 + 0.5) * down;
        let mut crossings: Vec<f64> = Vec::new();
        for (i, a) in place.around.iter().enumerate() {
            let b = place.around[(i + 1) % place.around.len()];
            let (ay, by) = (f64::from(a.y), f64::from(b.y));
            if (ay > level) != (by > level) {
                crossings.push(f64::from(a.x) + (f64::from(b.x) - f64::from(a.x)) * (level - ay) / (by - ay));
            }
        }
        crossings.sort_by(f64::total_cmp);
        let column = |x: f64| (x / across - 0.5).ceil().clamp(0.0, grid.width as f64) as usize;
        for pair in crossings.chunks_exact(2) {
            (column(pair[0])..column(pair[1])).for_each(|x| found(y * grid.width + x));
        }
    }
}
