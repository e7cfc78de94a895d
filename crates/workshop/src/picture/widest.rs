//! The widest circle that fits into each region, on the pixel grid.
//!
//! Exact squared distance from each pixel to the nearest pixel of another label or beyond the frame: run lengths down the
//! columns, then lower envelopes of parabolas along each run of a row (Meijster, Roerdink, Hesselink 2000). A circle
//! about a pixel's middle reaches half a pixel less than the distance between middles.

use super::grid::Grid;

/// What lies beyond the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beyond {
    /// Another label: nothing is sawn there.
    Other,
    /// More of the same: the frame is no border.
    Same,
}

/// Farther than any pixel of a working raster.
const FAR: u32 = 1 << 15;

/// By pixel, the squared distance to the nearest pixel of another label.
pub(super) fn distances(grid: Grid, labels: &[u32], beyond: Beyond) -> Vec<u32> {
    let down = columns(grid, labels, beyond);
    let mut out = vec![0; grid.len()];
    let mut hull = Hull::default();
    for y in 0..grid.height {
        let row = y * grid.width;
        let mut start = 0;
        while start < grid.width {
            let label = labels[row + start];
            let mut end = start + 1;
            while end < grid.width && labels[row + end] == label {
                end += 1;
            }
            let open = (start == 0 && beyond == Beyond::Same, end == grid.width && beyond == Beyond::Same);
            hull.sweep(&down[row + start..row + end], open, &mut out[row + start..row + end]);
            start = end;
        }
    }
    out
}

/// Distance up or down to the nearest pixel of another label.
fn columns(grid: Grid, labels: &[u32], beyond: Beyond) -> Vec<u32> {
    let edge = if beyond == Beyond::Other { 1 } else { FAR };
    let mut out = vec![1u32; grid.len()];
    out[..grid.width].fill(edge);
    for at in grid.width..grid.len() {
        if labels[at] == labels[at - grid.width] {
            out[at] = out[at - grid.width] + 1;
        }
    }
    let last = grid.len() - grid.width;
    out[last..].iter_mut().for_each(|d| *d = edge.min(*d));
    for at in (0..last).rev() {
        let below = if labels[at] == labels[at + grid.width] { out[at + grid.width] + 1 } else { 1 };
        out[at] = out[at].min(below);
    }
    out
}

/// The lower envelope along one run: places of the parabolas and where each begins to be the lowest.
#[derive(Default)]
struct Hull {
    stack: Vec<(i64, i64, i64)>,
}

impl Hull {
    /// `down` holds vertical distances; pixels just beyond an end that is not open are another label.
    fn sweep(&mut self, down: &[u32], open: (bool, bool), out: &mut [u32]) {
        self.stack.clear();
        if !open.0 {
            self.push(-1, 0);
        }
        down.iter().enumerate().for_each(|(x, d)| self.push(x as i64, i64::from(*d) * i64::from(*d)));
        if !open.1 {
            self.push(down.len() as i64, 0);
        }
        let mut k = 0;
        for (x, out) in out.iter_mut().enumerate() {
            let x = x as i64;
            while k + 1 < self.stack.len() && self.stack[k + 1].2 <= x {
                k += 1;
            }
            let (at, height, _) = self.stack[k];
            *out = ((x - at) * (x - at) + height) as u32;
        }
    }

    /// Adds the parabola `height + (x − at)²`; an entry's third number is the first whole x at which it is the lowest.
    fn push(&mut self, at: i64, height: i64) {
        while let Some(&(last, lower, from)) = self.stack.last() {
            let crossing = (at * at + height - last * last - lower).div_euclid(2 * (at - last)) + 1;
            if crossing > from {
                self.stack.push((at, height, crossing));
                return;
            }
            self.stack.pop();
        }
        self.stack.push((at, height, i64::MIN));
    }
}

/// The diameter in pixels of the circle about a pixel at squared distance `square` from another label.
pub(super) fn diameter(square: u32) -> f64 {
    2.0 * f64::from(square).sqrt() - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// By trying every pixel of another label and every place just beyond the frame.
    fn by_trial(grid: Grid, labels: &[u32], at: usize, beyond: Beyond) -> Option<u32> {
        let (x, y) = ((at % grid.width) as i64, (at / grid.width) as i64);
        let frame = [x + 1, y + 1, grid.width as i64 - x, grid.height as i64 - y].map(|d| d * d);
        let others = (0..grid.len()).filter(|o| labels[*o] != labels[at]).map(|o| {
            let (dx, dy) = ((o % grid.width) as i64 - x, (o / grid.width) as i64 - y);
            dx * dx + dy * dy
        });
        others.chain(frame.into_iter().filter(|_| beyond == Beyond::Other)).min().map(|d| d as u32)
    }

    proptest! {
        #[test]
        fn distances_are_exact(width in 1usize..14, height in 1usize..14, seed in prop::collection::vec(0u32..3, 196)) {
            let grid = Grid { width, height };
            let labels: Vec<u32> = (0..grid.len()).map(|at| seed[at % seed.len()]).collect();
            for beyond in [Beyond::Other, Beyond::Same] {
                let found = distances(grid, &labels, beyond);
                for at in 0..grid.len() {
                    let nearest = by_trial(grid, &labels, at, beyond).unwrap_or(FAR * FAR);
                    prop_assert_eq!(found[at].min(FAR * FAR), nearest);
                }
            }
        }
    }
}
