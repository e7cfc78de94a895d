//! The relief seen from aside: which top or wall each place of the picture shows.
//!
//! Method: parallel rays, tilted about the upright axis, so that every row of the picture is one row of the height field.
//! Columns of the relief are taken from the eye's side to the far side; together they hide all from where the highest of
//! them so far reaches, so each shows exactly what sticks out beyond that: one pass a row, no search (a floating horizon;
//! Wright 1973). Where it fails: walls stand upright in whole samples, and what lies beyond the panel is bare wall.

use super::field::Grid;
use super::horizon::Heights;

/// A rise between neighbouring samples that counts as a wall, in samples; below it is the slope of an eased edge.
const WALL_SAMPLES: f32 = 3.0;

/// What a place of the picture shows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) enum Hit {
    /// The wall that the relief hangs on.
    #[default]
    Beyond,
    /// The top of a column.
    Top(usize),
    /// The wall of a column, so high above the backer (mm).
    Wall(usize, f32),
}

/// The eye's place aside.
#[derive(Clone, Copy, Debug)]
pub(super) struct Oblique {
    cosine: f32,
    sine: f32,
    /// Samples of the picture to the far side of the panel's edge.
    lead: f32,
    /// The lowest that anything stands, mm, 0 or below.
    lowest: f32,
    /// Samples across the picture, a whole number of pixels.
    pub across: usize,
    /// Columns of the relief from a place to the one in front of its wall: 1 or −1.
    pub toward: i32,
}

impl Oblique {
    /// The eye `aside` degrees to the right, left below 0.
    pub(super) fn new(aside: i32, grid: &Grid, heights: &Heights) -> Oblique {
        let angle = aside.abs() as f32 * (std::f32::consts::PI / 180.0);
        let (sine, cosine) = (libm::sinf(angle), libm::cosf(angle));
        let highest = heights.mm.iter().copied().fold(0.0, f32::max);
        let lowest = heights.mm.iter().copied().fold(0.0, f32::min);
        let lead = highest * sine / grid.step;
        let fine = grid.fine as usize;
        let across = ((grid.across as f32 * cosine + lead).ceil() as usize).div_ceil(fine).max(1) * fine;
        Oblique { cosine, sine, lead, lowest, across, toward: if aside < 0 { -1 } else { 1 } }
    }

    /// What every sample of a row of the picture shows.
    pub(super) fn row(&self, heights: &Heights, row: usize) -> Vec<Hit> {
        let line = &heights.mm[row * heights.across..][..heights.across];
        let mut hits = vec![Hit::Beyond; self.across];
        let (count, step) = (heights.across, heights.step);
        let mut hidden = count as f32 * self.cosine + self.lead;
        for near in 0..count {
            // Columns counted from the eye's side; places from the far side.
            let (column, at) = (self.column(near, count), (count - 1 - near) as f32);
            let raised = line[column] * self.sine / step - self.lead;
            let (top_end, top_start) = ((at + 1.0) * self.cosine - raised, at * self.cosine - raised);
            let high =
                near.checked_sub(1).map_or(line[column], |before| line[column] - line[self.column(before, count)]);
            let wall = if high > WALL_SAMPLES * step { top_end } else { hidden };
            let foot = ((at + 1.0) * self.cosine + self.lead - self.lowest * self.sine / step).min(hidden);
            for place in self.places(wall, foot) {
                let off = (at + 1.0) * self.cosine + self.lead - (place as f32 + 0.5);
                hits[self.seen(place)] = Hit::Wall(column, (off * step / self.sine).clamp(self.lowest, line[column]));
            }
            for place in self.places(top_start, wall.min(hidden)) {
                hits[self.seen(place)] = Hit::Top(column);
            }
            hidden = hidden.min(top_start);
        }
        hits
    }

    fn column(&self, near: usize, count: usize) -> usize {
        if self.toward < 0 { near } else { count - 1 - near }
    }

    fn seen(&self, place: usize) -> usize {
        if self.toward < 0 { self.across - 1 - place } else { place }
    }

    /// The samples of the picture whose middles lie from one place to another.
    fn places(&self, from: f32, to: f32) -> std::ops::Range<usize> {
        let sample = |at: f32| ((at - 0.5).ceil().max(0.0) as usize).min(self.across);
        sample(from)..sample(to).max(sample(from))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One row: flat on the left, a step of `rise` mm on the right; 0.1 mm a sample.
    fn step(rise: f32) -> (Grid, Heights) {
        let grid = Grid { width: 400, height: 1, fine: 1, across: 400, down: 1, step: 0.1, rim: 0 };
        let mm = (0..400).map(|at| if at < 200 { rise } else { 0.0 }).collect();
        (grid, Heights { across: 400, down: 1, step: 0.1, mm })
    }

    fn count(hits: &[Hit], of: fn(&Hit) -> bool) -> f64 {
        hits.iter().filter(|hit| of(hit)).count() as f64
    }

    /// A wall of 10 mm seen 30° aside is 10 sin 30° = 5 mm wide; tops are narrower by the cosine; nothing else is seen.
    #[test]
    fn a_wall_is_as_wide_as_its_sine() {
        for (aside, rise) in [(30, 10.0f32), (15, 10.0), (20, 4.0)] {
            let (grid, heights) = step(rise);
            let hits = Oblique::new(aside, &grid, &heights).row(&heights, 0);
            let angle = f64::from(aside).to_radians();
            let wall = count(&hits, |hit| matches!(hit, Hit::Wall(199, _)));
            assert!((wall - f64::from(rise) * 10.0 * libm::sin(angle)).abs() <= 1.5, "{aside}: {wall}");
            let tops = count(&hits, |hit| matches!(hit, Hit::Top(_)));
            assert!((tops - 400.0 * libm::cos(angle)).abs() <= 2.5, "{aside}: {tops}");
        }
    }

    /// From the other side the low half is hidden behind the step by its rise times the tangent, and no wall is seen
    /// but that of the panel's edge.
    #[test]
    fn a_step_hides_what_lies_behind_it() {
        let (grid, heights) = step(10.0);
        let hits = Oblique::new(-30, &grid, &heights).row(&heights, 0);
        let low = count(&hits, |hit| matches!(hit, Hit::Top(at) if *at >= 200));
        let expected = 200.0 * libm::cos(30f64.to_radians()) - 100.0 * libm::sin(30f64.to_radians());
        assert!((low - expected).abs() <= 1.5, "{low} {expected}");
        assert_eq!(count(&hits, |hit| matches!(hit, Hit::Wall(at, _) if *at > 0)), 0.0);
    }

    #[test]
    fn straight_on_shows_every_column_once() {
        let (grid, heights) = step(10.0);
        let hits = Oblique::new(0, &grid, &heights).row(&heights, 0);
        assert_eq!(hits, (0..400).map(Hit::Top).collect::<Vec<_>>());
    }
}
