//! The widest circle that fits into each region, on the pixel grid.
//!
//! Exact squared distance from each pixel to the nearest pixel of another label or beyond the frame: run lengths down the
//! columns, then lower envelopes of parabolas along each run of a row (Meijster, Roerdink, Hesselink 2000). A circle
//! about a pixel's middle reaches half a pixel less than the distance between middles.

use rayon::prelude::*;

use super::grid::{Grid, NOBODY};

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

/// Rows that one thread takes at least: a small region is not worth a second one.
const ROWS: usize = 64;

/// By pixel, the squared distance to the nearest pixel of another label.
pub(super) fn distances(grid: Grid, labels: &[u32], beyond: Beyond) -> Vec<u32> {
    let down = columns(grid, labels, beyond);
    let mut out = vec![0; grid.len()];
    // Each row stands alone, so the result does not depend on threads.
    out.par_chunks_mut(grid.width).enumerate().with_min_len(ROWS).for_each_init(Hull::default, |hull, (y, out)| {
        let row = y * grid.width..(y + 1) * grid.width;
        along(&labels[row.clone()], &down[row], beyond, (hull, out));
    });
    out
}

/// The distances of one row, run by run.
fn along(labels: &[u32], down: &[u32], beyond: Beyond, (hull, out): (&mut Hull, &mut [u32])) {
    let mut start = 0;
    while start < labels.len() {
        let run = labels[start..].iter().take_while(|label| **label == labels[start]).count();
        let end = start + run;
        let open = (start == 0 && beyond == Beyond::Same, end == labels.len() && beyond == Beyond::Same);
        hull.sweep(&down[start..end], open, &mut out[start..end]);
        start = end;
    }
}

/// The squared distance at the middle of a widest circle, and its pixel.
pub(super) type Core = (u32, usize);

/// Every so many pixels, across and down, a look is taken first: what lies there passes over most others.
const LOOKS: usize = 8;

/// By label the squared distance at the middle of its widest circle, and the first pixel that has it; beyond the frame is
/// another label. Exact, but only where no bound tells beforehand that a pixel has less.
pub(super) fn cores(grid: Grid, labels: &[u32], count: u32) -> Vec<Core> {
    let down = columns(grid, labels, Beyond::Other);
    let look = |step: usize, least: &[Core]| {
        let band = |(number, rows): (usize, &[u32])| {
            let mut cores = vec![(0, 0); count as usize];
            let first = number * ROWS;
            for y in (first..first + rows.len() / grid.width).filter(|y| y % step == step / 2) {
                let row = y * grid.width..(y + 1) * grid.width;
                look_along((&labels[row.clone()], &down[row.clone()]), (row.start, step), (least, &mut cores));
            }
            cores
        };
        // The first band wins among equals, whatever the threads do.
        let bands: Vec<Vec<Core>> = labels.par_chunks(ROWS * grid.width).enumerate().map(band).collect();
        bands.into_iter().fold(vec![(0, 0); count as usize], |mut all, band| {
            all.iter_mut().zip(band).filter(|(all, own)| own.0 > all.0).for_each(|(all, own)| *all = own);
            all
        })
    };
    let least = look(LOOKS, &vec![(0, 0); count as usize]);
    look(1, &least)
}

/// Looks at every `step`th pixel of a row for circles wider than those known and no narrower than the `least` ones.
fn look_along((labels, down): (&[u32], &[u32]), (start, step): (usize, usize), (least, cores): (&[Core], &mut [Core])) {
    let mut from = 0;
    for run in labels.chunk_by(|a, b| a == b) {
        let end = from + run.len();
        if run[0] != NOBODY {
            let (least, core) = (least[run[0] as usize].0, &mut cores[run[0] as usize]);
            for x in (from..end).filter(|x| x % step == step / 2) {
                let far = (x + 1 - from).min(end - x) as u32;
                let mut square = far.min(down[x]) * far.min(down[x]);
                let mut dx = 1;
                while square > core.0 && square >= least && dx * dx < square {
                    let near = down[x - dx as usize].min(down[x + dx as usize]);
                    square = square.min(dx * dx + near * near);
                    dx += 1;
                }
                if square > core.0 && square >= least {
                    *core = (square, start + x);
                }
            }
        }
        from = end;
    }
}

/// Distance up or down to the nearest pixel of another label.
fn columns(grid: Grid, labels: &[u32], beyond: Beyond) -> Vec<u32> {
    let edge = if beyond == Beyond::Other { 1 } else { FAR };
    let mut out = vec![FAR; grid.len()];
    out[..grid.width].fill(edge);
    let wide = grid.width;
    for start in (wide..grid.len()).step_by(wide) {
        let (before, row) = out[start - wide..start + wide].split_at_mut(wide);
        step(row, before, &labels[start..][..wide], &labels[start - wide..][..wide]);
    }
    let last = grid.len() - wide;
    out[last..].iter_mut().for_each(|d| *d = edge.min(*d));
    for start in (0..last).step_by(wide).rev() {
        let (row, below) = out[start..start + 2 * wide].split_at_mut(wide);
        step(row, below, &labels[start..][..wide], &labels[start + wide..][..wide]);
    }
    out
}

/// Distances of a row, where the row beside it is known.
fn step(row: &mut [u32], beside: &[u32], own: &[u32], others: &[u32]) {
    for (((out, beside), own), other) in row.iter_mut().zip(beside).zip(own).zip(others) {
        *out = (*out).min(if own == other { beside + 1 } else { 1 });
    }
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

        #[test]
        fn cores_are_the_first_of_the_widest(width in 1usize..70, height in 1usize..70, seed in 0u64..1000, spots in 1usize..9) {
            let grid = Grid { width, height };
            let mut dice = measure::Dice::new(seed);
            let middles: Vec<(f64, f64)> = (0..spots).map(|_| (dice.share() * width as f64, dice.share() * height as f64)).collect();
            let near = |at: usize, (x, y): (f64, f64)| libm::hypot((at % width) as f64 - x, (at / width) as f64 - y);
            let nearest = |at: usize| (0..spots).min_by(|a, b| near(at, middles[*a]).total_cmp(&near(at, middles[*b])));
            let labels: Vec<u32> = (0..grid.len()).map(|at| nearest(at).filter(|k| *k > 0).map_or(NOBODY, |k| k as u32 - 1)).collect();
            let mut wanted = vec![(0, 0); spots - 1];
            for (at, square) in distances(grid, &labels, Beyond::Other).into_iter().enumerate().filter(|(at, _)| labels[*at] != NOBODY) {
                let core = &mut wanted[labels[at] as usize];
                *core = if square > core.0 { (square, at) } else { *core };
            }
            prop_assert_eq!(cores(grid, &labels, spots as u32 - 1), wanted);
        }
    }
}
