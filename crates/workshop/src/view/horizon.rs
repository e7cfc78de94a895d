//! The horizon of every sample of a height field in one direction, in O(1) a sample.
//!
//! Lines are swept from the light's side; each keeps the upper convex hull of what it has passed, and the tangent from
//! a new sample to that hull is its horizon: V. Timonen and J. Westerholm, "Scalable height field self-shadowing",
//! Computer Graphics Forum 29 (2010). Lines follow the direction by whole steps, so each sample lies on one line; a
//! shade's edge may step by half a sample, which several directions and the pixel's four samples smooth over.

use measure::Watch;
use rayon::prelude::*;

/// A height field: mm, row by row.
#[derive(Clone, Debug)]
pub(super) struct Heights {
    pub across: usize,
    pub down: usize,
    /// Distance between samples, mm.
    pub step: f32,
    pub mm: Vec<f32>,
}

/// Rows handled together when a field is turned over: a square of them fits the cache.
const BLOCK: usize = 32;

impl Heights {
    /// Rows become columns.
    pub(super) fn turned(&self) -> Heights {
        Heights { across: self.down, down: self.across, step: self.step, mm: turned(&self.mm, self.across) }
    }
}

/// A grid of `across` columns with rows and columns changed.
pub(super) fn turned<T: Copy + Default + Send + Sync>(of: &[T], across: usize) -> Vec<T> {
    let down = of.len() / across;
    let mut to = vec![T::default(); of.len()];
    to.par_chunks_mut(down * BLOCK).enumerate().for_each(|(block, rows)| {
        let columns = rows.len() / down;
        for y in 0..down {
            let from = &of[y * across + block * BLOCK..][..columns];
            from.iter().enumerate().for_each(|(x, value)| rows[x * down + y] = *value);
        }
    });
    to
}

/// What stands highest in one direction.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Horizon {
    /// The slope up to it, rise over run, never below 0.
    pub slope: f32,
    /// The column where it stands.
    pub column: u32,
}

impl Horizon {
    /// The share of the sky above it, weighted by the cosine: 1 − sin² of its angle.
    pub(super) fn open(&self) -> f32 {
        1.0 / (1.0 + self.slope * self.slope)
    }
}

/// Adds to `sums`, for each sample, what `give` makes of the slope under which the highest thing stands in the direction
/// `toward`, and of how far off it stands, mm. `toward` must be more across than down: turn the field otherwise.
pub(super) fn sweep(
    heights: &Heights,
    toward: [f32; 2],
    sums: &mut [[f32; 2]],
    (give, watch): (impl Fn(f32, f32) -> [f32; 2] + Sync, Watch),
) -> Option<()> {
    let shear = Shear::new(heights, toward);
    let far = |column: usize, horizon: &Horizon| horizon.column.abs_diff(column as u32) as f32 * shear.stride;
    let keep = |column, horizon: Horizon| give(horizon.slope, far(column, &horizon));
    let lines = shear.horizons(heights, (keep, watch))?;
    sums.par_chunks_mut(heights.across).enumerate().for_each(|(row, sums)| {
        for (column, sum) in sums.iter_mut().enumerate() {
            sum.iter_mut().zip(shear.at(&lines, (row, column))).for_each(|(sum, more)| *sum += more);
        }
    });
    Some(())
}

/// Lines through the grid: at column `i` a line lies `shift[i]` rows further down.
pub(super) struct Shear {
    shift: Vec<i32>,
    lowest: i32,
    lines: usize,
    across: usize,
    stride: f32,
    backwards: bool,
}

/// A point of a hull: along the line and up, mm; its column.
type Peak = (f32, f32, u32);

impl Shear {
    pub(super) fn new(heights: &Heights, toward: [f32; 2]) -> Shear {
        let slope = toward[1] / toward[0];
        let shift: Vec<i32> = (0..heights.across).map(|i| (i as f32 * slope).round() as i32).collect();
        let (low, high) = shift.iter().fold((0, 0), |(low, high), s| (low.min(*s), high.max(*s)));
        Shear {
            shift,
            lowest: -high,
            lines: heights.down + (high - low) as usize,
            across: heights.across,
            stride: heights.step * (1.0 + slope * slope).sqrt(),
            backwards: toward[0] > 0.0,
        }
    }

    /// What is kept of the horizons of the columns along every line. `None` when stopped.
    pub(super) fn horizons<T: Copy + Default + Send + Sync>(
        &self,
        heights: &Heights,
        (keep, watch): (impl Fn(usize, Horizon) -> T + Sync, Watch),
    ) -> Option<Vec<T>> {
        let mut lines = vec![T::default(); self.lines * self.across];
        lines.par_chunks_mut(self.across).enumerate().for_each_init(Vec::new, |hull, (line, out)| {
            if !watch.stopped() {
                self.line(heights, line, (hull, &mut |column, horizon| out[column] = keep(column, horizon)));
            }
        });
        (!watch.stopped()).then_some(lines)
    }

    /// The horizon of the sample at a row and column.
    pub(super) fn at<T: Copy>(&self, lines: &[T], (row, column): (usize, usize)) -> T {
        lines[self.line_of(row, column) * self.across + column]
    }

    /// The sample that makes the horizon of another.
    pub(super) fn index(&self, (row, column): (usize, usize), horizon: &Horizon) -> usize {
        let at = horizon.column as usize;
        let row = row as i32 - self.shift[column] + self.shift[at];
        row as usize * self.across + at
    }

    fn line_of(&self, row: usize, column: usize) -> usize {
        (row as i32 - self.shift[column] - self.lowest) as usize
    }

    fn line(&self, heights: &Heights, line: usize, (hull, give): (&mut Vec<Peak>, &mut impl FnMut(usize, Horizon))) {
        hull.clear();
        for step in 0..heights.across {
            let column = if self.backwards { heights.across - 1 - step } else { step };
            let row = line as i32 + self.lowest + self.shift[column];
            if (0..heights.down as i32).contains(&row) {
                let height = heights.mm[row as usize * heights.across + column];
                give(column, tangent(hull, (step as f32 * self.stride, height, column as u32)));
            }
        }
    }
}

/// What the point sees highest of the hull, which then takes it in.
fn tangent(hull: &mut Vec<Peak>, point: Peak) -> Horizon {
    let rise = |from: &Peak| (from.1 - point.1) / (point.0 - from.0);
    while let [.., second, top] = hull[..] {
        if rise(&second) < rise(&top) {
            break;
        }
        hull.pop();
    }
    let seen = hull.last().map_or((0.0, point.2), |top| (rise(top), top.2));
    hull.push(point);
    if seen.0 <= 0.0 { Horizon { slope: 0.0, column: point.2 } } else { Horizon { slope: seen.0, column: seen.1 } }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against every earlier sample of the line, tried one by one.
    #[test]
    fn horizons_are_those_of_trying_everything() {
        let (across, down) = (61, 37);
        let mm = (0..across * down).map(|i| super::super::noise::share(i as i32, 3, 9) * 20.0).collect();
        let heights = Heights { across, down, step: 0.5, mm };
        for toward in [[-0.8, -0.6], [0.9, 0.3], [-1.0, 0.0]] {
            let mut found = vec![[0.0; 2]; across * down];
            sweep(&heights, toward, &mut found, (|slope, far| [slope, far], Watch::silent())).expect("nobody stops it");
            let shear = Shear::new(&heights, toward);
            for (at, [slope, far]) in found.iter().enumerate() {
                let (expected, run) = tried(&heights, &shear, (at / across, at % across));
                assert!((slope - expected).abs() < 1e-3, "{at}: {slope} {expected}");
                assert!((far - run).abs() < 1e-3, "{at}: {far} {run}");
            }
        }
    }

    fn tried(heights: &Heights, shear: &Shear, (row, column): (usize, usize)) -> (f32, f32) {
        let line = shear.line_of(row, column);
        let here = heights.mm[row * heights.across + column];
        let others =
            (0..heights.across).filter(|other| if shear.backwards { *other > column } else { *other < column });
        let slope = |other: usize| {
            let row = line as i32 + shear.lowest + shear.shift[other];
            let inside = (0..heights.down as i32).contains(&row);
            let run = other.abs_diff(column) as f32 * shear.stride;
            if inside { ((heights.mm[row as usize * heights.across + other] - here) / run, run) } else { (0.0, 0.0) }
        };
        others.map(slope).fold((0.0, 0.0), |most, one| if one.0 > most.0 { one } else { most })
    }

    #[test]
    fn turning_twice_gives_back() {
        let of: Vec<f32> = (0..70 * 45).map(|i| i as f32).collect();
        assert_eq!(turned(&turned(&of, 70), 45), of);
    }
}
