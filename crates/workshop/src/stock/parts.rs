//! Parts of a board: what is planed to one thickness, and where the board is crosscut so that each part is planed by itself.
//!
//! Pieces of two thicknesses may share a board where a straight cut, square to x, parts them. The cuts are worked out from where
//! the pieces lie and are kept nowhere: laying out anew moves them, until the maker makes one.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::Point;

use super::cut::cut_rings_of;
use super::lay::bounds;
use super::place::{gone, laid, thickness};
use crate::work::{BoardId, Laying, Number, Unit, Work};

/// A sixteenth of an inch, µm: what is read off a rule.
const MEASURED_IN_UM: f64 = 25_400.0 / 16.0;

/// What lies along a board, µm of x, and how thick it becomes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Run {
    pub low: i32,
    pub high: i32,
    pub thickness: Um,
}

impl Run {
    /// What a piece takes of its board where it lies.
    pub fn of(ring: &[Point], thickness: Um) -> Run {
        let (low, high) = bounds(ring);
        Run { low: low.x, high: high.x, thickness }
    }

    /// Whether both may come from one board: they are of one thickness, or a straight cut parts them.
    pub fn parted(&self, other: &Run, laying: &Laying) -> bool {
        let clear = |one: &Run, next: &Run| one.high.saturating_add(laying.apart.0) <= next.low;
        self.thickness == other.thickness || laying.crosscut && (clear(self, other) || clear(other, self))
    }
}

/// The stretches of a board, between its ends, from which pieces of a thickness may come beside what lies there. A piece keeps off
/// the new edges as off any.
pub(super) fn free(runs: &[Run], thickness: Um, (low, high): (i32, i32), laying: &Laying) -> Vec<(i32, i32)> {
    let room = laying.edge.0 + laying.apart.0;
    let mut others: Vec<Run> = runs.iter().filter(|run| run.thickness != thickness).copied().collect();
    others.sort_unstable();
    let mut from = low;
    let mut found = Vec::new();
    for other in others {
        found.push((from, other.low - room));
        from = from.max(other.high + room);
    }
    found.push((from, high));
    found.retain(|(from, to)| to - from > 2 * laying.edge.0);
    found
}

/// A part of a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// Where it begins, from the board's left end.
    pub from: Um,
    /// Where it ends.
    pub to: Um,
    /// How thick what lies on it becomes; `None` where nothing is left to be cut.
    pub thickness: Option<Um>,
}

/// The parts of a board from its left end on: one, unless pieces of several thicknesses lie on it.
pub fn parts(work: &Work, id: BoardId) -> Vec<Part> {
    let Some(board) = work.boards.get(&id) else { return Vec::new() };
    let (low, high) = bounds(&board.outline);
    let thick = || lying(work, id).filter_map(|number| thickness(work, number));
    let first = thick().next();
    if thick().all(|thickness| Some(thickness) == first) {
        return vec![Part { from: Um(0), to: Um(high.x - low.x), thickness: first }];
    }
    let runs = gathered(runs(work, id).into_values().collect());
    let cuts: Vec<i32> = runs.windows(2).map(|pair| low.x + cut(work, pair, low.x)).collect();
    let ends = || std::iter::once(low.x).chain(cuts.iter().copied()).chain([high.x]);
    let part = |((from, to), run): ((i32, i32), &Run)| Part {
        from: Um(from - low.x),
        to: Um(to - low.x),
        thickness: Some(run.thickness),
    };
    ends().zip(ends().skip(1)).zip(&runs).map(part).collect()
}

/// Where the cut between two runs is made, from the board's left end: where it can be measured off if there is room, else in the
/// middle.
fn cut(work: &Work, pair: &[Run], left: i32) -> i32 {
    let (from, to) = (pair[0].high - left, pair[1].low - left);
    let middle = f64::from(from.midpoint(to));
    let step = match work.choices.unit {
        Unit::Mm => 1000.0,
        Unit::Inch => MEASURED_IN_UM,
    };
    let even = ((middle / step).round() * step).round() as i32;
    let edge = work.choices.laying.edge.0;
    if (from + edge..=to - edge).contains(&even) { even } else { from.midpoint(to) }
}

/// What lies on a board and is not yet cut.
pub(super) fn lying(work: &Work, id: BoardId) -> impl Iterator<Item = Number> {
    let here = work.layout.iter().filter(move |(_, chosen)| chosen.value.board == id);
    here.filter(|(number, chosen)| !gone(work, **number, &chosen.value)).map(|(number, _)| *number)
}

/// Where that lies along it, of pieces whose thickness is known.
pub(super) fn runs(work: &Work, id: BoardId) -> BTreeMap<Number, Run> {
    let run = |(number, outer): (Number, Vec<Point>)| {
        let thickness = thickness(work, number)?;
        Some((number, Run::of(&laid(&outer, &work.layout[&number].value), thickness)))
    };
    cut_rings_of(work, lying(work, id)).into_iter().filter_map(run).collect()
}

/// Runs in order, those of one thickness that follow each other as one. What no straight cut parts (a check tells of it) is one as
/// well, of the greater thickness.
fn gathered(mut runs: Vec<Run>) -> Vec<Run> {
    runs.sort_unstable();
    let mut found: Vec<Run> = Vec::new();
    for run in runs {
        match found.last_mut().filter(|last| last.thickness == run.thickness || last.high >= run.low) {
            Some(last) => {
                (last.high, last.thickness) = (last.high.max(run.high), last.thickness.max(run.thickness));
            }
            None => found.push(run),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(low: i32, high: i32, thickness: i32) -> Run {
        Run { low, high, thickness: Um(thickness) }
    }

    #[test]
    fn free_stretches_keep_off_what_is_of_another_thickness() {
        let laying = Laying::default();
        let room = laying.edge.0 + laying.apart.0;
        let runs = [run(100_000, 200_000, 12_000), run(210_000, 250_000, 12_000), run(400_000, 500_000, 18_000)];
        assert_eq!(free(&runs, Um(18_000), (0, 600_000), &laying), [(0, 100_000 - room), (250_000 + room, 600_000)]);
        assert_eq!(free(&runs, Um(12_000), (0, 600_000), &laying), [(0, 400_000 - room), (500_000 + room, 600_000)]);
        assert_eq!(free(&[], Um(12_000), (0, 600_000), &laying), [(0, 600_000)]);
        assert_eq!(free(&[run(0, 600_000, 9_000)], Um(12_000), (0, 600_000), &laying), []);
    }

    #[test]
    fn runs_of_one_thickness_are_one_and_so_is_what_no_cut_parts() {
        let runs = vec![run(300, 400, 12), run(0, 100, 12), run(120, 200, 12), run(450, 600, 18), run(590, 700, 9)];
        assert_eq!(gathered(runs), [run(0, 400, 12), run(450, 700, 18)]);
    }
}
