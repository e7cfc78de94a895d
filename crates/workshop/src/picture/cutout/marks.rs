//! Marks as pixels: what they lie over is theirs, whatever colours and edges say.

use measure::length::Um;
use measure::plane::Point;

use crate::picture::grid::Grid;
use crate::picture::scale::Blocks;
use crate::work::{Size, SubjectMarks};

/// How wide a mark is; at least the pixels that its line goes through.
const WIDE: Um = Um(1_000);

/// What is said of a pixel, a block or a leaf: kept or dropped; `None` where nothing is.
pub(super) type Said = Vec<Option<bool>>;

/// What marks say of each pixel. Of marks over the same pixel the last counts, in one round that to keep.
pub(super) fn painted(grid: Grid, panel: Size, rounds: &[SubjectMarks]) -> Said {
    let mut said = vec![None; grid.len()];
    for round in rounds {
        for (strokes, keep) in [(&round.drop, false), (&round.keep, true)] {
            strokes.iter().for_each(|stroke| paint(grid, panel, stroke, |pixel| said[pixel] = Some(keep)));
        }
    }
    said
}

/// What they say of each block; where its pixels differ it is kept.
pub(super) fn of_blocks(blocks: Blocks, said: &Said) -> Said {
    if blocks.side == 1 {
        return said.clone();
    }
    let touched = |side| blocks.touched(&said.iter().map(|said| *said == Some(side)).collect::<Vec<_>>());
    let of = |(kept, dropped): (bool, bool)| if kept { Some(true) } else { dropped.then_some(false) };
    touched(true).into_iter().zip(touched(false)).map(of).collect()
}

/// Calls for each pixel of a picture, so many across and down, under a stroke on the panel, µm.
pub(crate) fn under_mark((width, height): (u32, u32), panel: Size, stroke: &[Point], found: impl FnMut(usize)) {
    paint(Grid::new(width, height), panel, stroke, found);
}

/// Calls for each pixel under a stroke on the panel, µm; what lies a little beside the picture is moved to its edge.
fn paint(grid: Grid, panel: Size, stroke: &[Point], mut found: impl FnMut(usize)) {
    let scale = |at: i32, side: Um, count: usize| {
        (f64::from(at) / f64::from(side.0.max(1)) * count as f64).clamp(0.0, count as f64 - 0.5)
    };
    let to_pixel = |p: &Point| (scale(p.x, panel.width, grid.width), scale(p.y, panel.height, grid.height));
    let reach = f64::from(WIDE.0) / 2.0 / f64::from(panel.width.0.max(1)) * grid.width as f64;
    let ends: Vec<(f64, f64)> = stroke.iter().map(to_pixel).collect();
    let touch = ends.first().map(|end| (*end, *end));
    for (a, b) in touch.into_iter().chain(ends.windows(2).map(|pair| (pair[0], pair[1]))) {
        let steps = (b.0 - a.0).abs().max((b.1 - a.1).abs()).ceil().max(1.0);
        for step in 0..=steps as usize {
            let share = step as f64 / steps;
            let (x, y) = (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
            found(y as usize * grid.width + x as usize);
        }
        let (top, bottom) = (a.1.min(b.1) - reach, a.1.max(b.1) + reach);
        for row in top.max(0.0) as usize..(bottom.max(0.0) as usize + 1).min(grid.height) {
            let Some((left, right)) = span(a, b, reach, row as f64 + 0.5) else { continue };
            let first = (left - 0.5).ceil().max(0.0) as usize;
            let end = ((right - 0.5).floor() + 1.0).clamp(0.0, grid.width as f64) as usize;
            (first..end).for_each(|x| found(row * grid.width + x));
        }
    }
}

/// From where to where a line with round ends lies across a level.
fn span(a: (f64, f64), b: (f64, f64), reach: f64, y: f64) -> Option<(f64, f64)> {
    let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut meet = |x: f64| (left, right) = (left.min(x), right.max(x));
    for end in [a, b] {
        let square = reach * reach - (y - end.1) * (y - end.1);
        if square >= 0.0 {
            meet(end.0 - square.sqrt());
            meet(end.0 + square.sqrt());
        }
    }
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let long = (dx * dx + dy * dy).sqrt();
    if long > 0.0 {
        let (nx, ny) = (-dy / long * reach, dx / long * reach);
        let corners = [(a.0 + nx, a.1 + ny), (b.0 + nx, b.1 + ny), (b.0 - nx, b.1 - ny), (a.0 - nx, a.1 - ny)];
        for at in 0..4 {
            let (one, other) = (corners[at], corners[(at + 1) % 4]);
            if (one.1 <= y) != (other.1 <= y) {
                meet(one.0 + (other.0 - one.0) * (y - one.1) / (other.1 - one.1));
            }
        }
    }
    (left <= right).then_some((left, right))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By the distance of each pixel's centre from the line.
    #[test]
    fn a_mark_lies_over_the_pixels_within_half_its_width() {
        let grid = Grid::new(60, 40);
        let panel = Size { width: Um(12_000), height: Um(8_000) };
        for stroke in [&[(3_000, 3_000)][..], &[(2_100, 1_300), (9_700, 6_200)], &[(11_000, 2_000), (11_000, 7_900)]] {
            let points: Vec<Point> = stroke.iter().map(|(x, y)| Point::new(*x, *y)).collect();
            let said = painted(grid, panel, &[SubjectMarks { keep: vec![points], drop: vec![] }]);
            let (a, b) = (stroke[0], stroke[stroke.len() - 1]);
            let [ax, ay, bx, by] = [a.0, a.1, b.0, b.1].map(|um| f64::from(um) / 200.0);
            for (at, said) in said.iter().enumerate() {
                let (x, y) = ((at % 60) as f64 + 0.5, (at / 60) as f64 + 0.5);
                let (dx, dy) = (bx - ax, by - ay);
                let along = (((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy).max(1e-9)).clamp(0.0, 1.0);
                let off = libm::hypot(x - ax - dx * along, y - ay - dy * along);
                assert_eq!(said.is_some(), off <= 2.5, "{x} {y} is {off} from the line");
            }
        }
    }

    #[test]
    fn of_marks_over_one_place_the_last_counts() {
        let (grid, panel) = (Grid::new(10, 10), Size { width: Um(10_000), height: Um(10_000) });
        let mark = || vec![vec![Point::new(4_500, 4_500)]];
        let (keep, drop) = (SubjectMarks { keep: mark(), drop: vec![] }, SubjectMarks { keep: vec![], drop: mark() });
        let both = SubjectMarks { keep: mark(), drop: mark() };
        let said = |rounds: &[SubjectMarks]| painted(grid, panel, rounds)[44];
        assert_eq!(said(&[keep.clone(), drop.clone()]), Some(false));
        assert_eq!(said(&[drop, keep]), Some(true));
        assert_eq!(said(&[both]), Some(true));
    }
}
