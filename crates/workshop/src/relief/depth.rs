//! Depth marks spread over the pieces, and a guess where nobody has marked.
//!
//! Marks: harmonic on the graph of touching pieces (a weighted Laplacian; weights are common border lengths) with marked
//! and settled pieces as fixed points, drawn slightly to the guess so that a mark's reach is bounded. The guess: each
//! piece that seems to lie in front wishes to stand a step above the one behind, all of them together by least squares
//! (HodgeRank: Jiang, Lim, Yao, Ye 2011), stretched over the job's range of heights. Harmonic values are flat far from
//! marks; the wishes between touching pieces keep such places alive.

use std::collections::BTreeMap;

use measure::solve::{Laplacian, conjugate_gradient};

use super::front::Front;
use super::system::{System, pinned};
use crate::pattern::Outlines;
use crate::wood::whose;
use crate::work::{AreaId, Becomes, Depth, Number, PartId, Whom, Work};

/// Relative residual at which the linear systems are left: far below a micrometre.
const EXACT: f64 = 1e-12;
/// The pull of the guess against the pull of the neighbours. Higher, and marks reach less far.
const DRAW: f64 = 0.02;
/// How much touching pieces without evidence are drawn level, against those with.
const WITHOUT_EVIDENCE: f64 = 0.1;
/// Evidence at which a guess counts in full, radians.
const CLEAR: f64 = 1.0;
/// What lies beyond these shares of the pieces is drawn in to the job's range, so that one odd piece does not flatten
/// the rest.
const STRETCH: (f64, f64) = (0.04, 0.96);

/// A touching pair of nodes and their common length in mm.
type Touch = (usize, usize, f64);

/// The height that each piece of the system is drawn to, µm, in the order of its numbers.
pub(super) fn targets(work: &Work, outlines: &Outlines, system: &System, fronts: &[Front]) -> Vec<i64> {
    let touches = touches(work, outlines, system);
    let guess = guess(work, system, &touches, fronts);
    let marks = marked(work);
    let heights = if marks.is_empty() { guess } else { spread(work, system, &touches, (&guess, &marks)) };
    heights.iter().map(|height| height.round() as i64).collect()
}

/// Touching pieces, by their place among the numbers.
fn touches(work: &Work, outlines: &Outlines, system: &System) -> Vec<Touch> {
    let place = |area: &AreaId| match work.pattern.areas.get(area)?.becomes {
        Becomes::Piece(number) => system.node(number).map(|node| node - 1),
        _ => None,
    };
    let touch = |((a, b), meeting): (&(AreaId, AreaId), &crate::pattern::Meeting)| {
        Some((place(a)?, place(b)?, meeting.length_mm))
    };
    outlines.meetings.iter().filter_map(touch).filter(|(a, b, length)| a != b && *length > 0.0).collect()
}

fn guess(work: &Work, system: &System, touches: &[Touch], fronts: &[Front]) -> Vec<f64> {
    let stock = &work.choices.stock;
    let place = |number| system.node(number).map(|node| node - 1);
    let mut steps: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for front in fronts {
        if let (Some(a), Some(b)) = (place(front.front), place(front.behind)) {
            let sure = (front.evidence / CLEAR).min(1.0);
            steps.insert((a.min(b), a.max(b)), if a < b { sure } else { -sure });
        }
    }
    let count = system.numbers.len();
    let mut laplacian = Laplacian::new(count);
    for &(a, b, length) in touches {
        let step = steps.get(&(a.min(b), a.max(b))).map(|step| if a < b { *step } else { -step });
        let sure = step.map_or(WITHOUT_EVIDENCE, f64::abs);
        laplacian.tie(a, b, length * sure.max(WITHOUT_EVIDENCE), step.map_or(0.0, f64::signum));
        laplacian.anchor(a, DRAW * length, 0.0);
        laplacian.anchor(b, DRAW * length, 0.0);
    }
    let rank = conjugate_gradient(&laplacian, &vec![0.0; count], EXACT);
    stretch(&rank, (f64::from(stock.lowest.0), f64::from(stock.highest.0)))
}

/// Linear from the ranks to the range; all in the middle when nothing differs.
fn stretch(rank: &[f64], (lowest, highest): (f64, f64)) -> Vec<f64> {
    let mut sorted = rank.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at =
        |share: f64| sorted.get((share * (sorted.len().max(1) - 1) as f64).round() as usize).copied().unwrap_or(0.0);
    let (low, high) = (at(STRETCH.0), at(STRETCH.1));
    let share = |rank: f64| if high - low > 1e-9 { ((rank - low) / (high - low)).clamp(0.0, 1.0) } else { 0.5 };
    rank.iter().map(|rank| lowest + share(*rank) * (highest - lowest)).collect()
}

/// The mark of each marked piece: its own, else that of the innermost marked part that it lies in.
pub(super) fn marked(work: &Work) -> BTreeMap<Number, Depth> {
    let mut parts: Vec<(usize, PartId, Depth)> = Vec::new();
    for (whom, depth) in &work.marks {
        if let Whom::Part(part) = whom {
            parts.push((nesting(work, *part), *part, *depth));
        }
    }
    parts.sort_unstable_by_key(|(nesting, part, _)| (*nesting, *part));
    let of_parts = parts.into_iter().map(|(_, part, depth)| (Whom::Part(part), depth));
    let of_pieces =
        work.marks.iter().filter(|(whom, _)| matches!(whom, Whom::Piece(_))).map(|(whom, depth)| (*whom, *depth));
    let mut marked = BTreeMap::new();
    for (whom, depth) in of_parts.chain(of_pieces) {
        whose(work, whom).into_iter().for_each(|number| {
            marked.insert(number, depth);
        });
    }
    marked
}

/// How many parts a part lies in.
fn nesting(work: &Work, part: PartId) -> usize {
    let outer = |part: &PartId| work.parts.get(part)?.within;
    std::iter::successors(Some(part), outer).take(work.parts.len() + 1).count()
}

/// The height that a mark stands for: within the range, so that there is room around it.
fn height_of(work: &Work, depth: Depth) -> f64 {
    let share = match depth {
        Depth::Far => 0.12,
        Depth::Middle => 0.5,
        Depth::Near => 0.88,
    };
    let (lowest, highest) = (f64::from(work.choices.stock.lowest.0), f64::from(work.choices.stock.highest.0));
    lowest + share * (highest - lowest)
}

/// Marked and settled pieces fixed, the others harmonic between them.
fn spread(
    work: &Work,
    system: &System,
    touches: &[Touch],
    (guess, marks): (&[f64], &BTreeMap<Number, Depth>),
) -> Vec<f64> {
    let fixed = |number: &Number| match pinned(work, *number) {
        Some(height) => Some(f64::from(height.0)),
        None => marks.get(number).map(|depth| height_of(work, *depth)),
    };
    let fixed: Vec<Option<f64>> = system.numbers.iter().map(fixed).collect();
    let start: Vec<f64> = fixed.iter().zip(guess).map(|(fixed, guess)| fixed.unwrap_or(*guess)).collect();
    harmonic(&start, &fixed, touches)
}

/// Harmonic between the fixed values, drawn slightly to the start.
fn harmonic(start: &[f64], fixed: &[Option<f64>], touches: &[Touch]) -> Vec<f64> {
    let mut laplacian = Laplacian::new(start.len());
    for &(a, b, length) in touches {
        match (fixed[a], fixed[b]) {
            (None, None) => laplacian.tie(a, b, length, 0.0),
            (None, Some(height)) => laplacian.anchor(a, length, height),
            (Some(height), None) => laplacian.anchor(b, length, height),
            (Some(_), Some(_)) => {}
        }
        for free in [a, b].into_iter().filter(|at| fixed[*at].is_none()) {
            laplacian.anchor(free, DRAW * length, start[free]);
        }
    }
    conjugate_gradient(&laplacian, start, EXACT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_marks_heights_climb_evenly() {
        let touches: Vec<Touch> = (0..4).map(|i| (i, i + 1, 10.0)).collect();
        let fixed = [Some(0.0), None, None, None, Some(40.0)];
        let heights = harmonic(&[0.0, 20.0, 20.0, 20.0, 40.0], &fixed, &touches);
        assert!(heights.windows(2).all(|pair| (5.0..15.0).contains(&(pair[1] - pair[0]))), "{heights:?}");
    }

    /// What a walk of d pieces keeps of a change: each piece hands on at most this share of it, since `DRAW` takes the rest.
    #[test]
    fn a_mark_moves_what_lies_far_off_by_no_more_than_its_reach_says() {
        let side = 30;
        let (mut touches, mut dice) = (Vec::new(), 7u64);
        for at in 0..side * side {
            for (next, joined) in [(at + 1, at % side + 1 < side), (at + side, at + side < side * side)] {
                dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                if joined {
                    touches.push((at, next, 1.0 + (dice >> 33) as f64 / 1e8));
                }
            }
        }
        let start: Vec<f64> = (0..side * side).map(|at| 12_000.0 + (at * 7919 % 33_000) as f64).collect();
        let with = |mark: f64| {
            let mut fixed = vec![None; side * side];
            (fixed[0], fixed[17]) = (Some(mark), Some(20_000.0));
            harmonic(&start, &fixed, &touches)
        };
        let change = 33_000.0;
        let (low, high) = (with(12_000.0), with(12_000.0 + change));
        for at in 1..side * side {
            let away = (at % side + at / side) as i32;
            let moved = (high[at] - low[at]).abs();
            assert!(moved <= change * libm::pow(1.0 / (1.0 + DRAW), f64::from(away)) + 1e-3, "{at}: {moved}");
            assert!(
                away < 12 || moved < 1500.0,
                "past twelve pieces a mark moves nothing by a readable step: {at}: {moved}"
            );
        }
    }

    #[test]
    fn ranks_fill_the_range_and_nothing_is_flat_without_cause() {
        assert_eq!(stretch(&[0.0, 1.0, 2.0], (10.0, 30.0)), [10.0, 20.0, 30.0]);
        assert_eq!(stretch(&[1.0, 1.0], (10.0, 30.0)), [20.0, 20.0]);
    }
}
