//! The outline that a piece is sawn by: its outer ring, moved out where spare wood is left for fitting.
//!
//! The gaps of borders are not taken off, so there is always a little more wood than the saw leaves.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::Point;

use super::lay::grown_by;
use crate::pattern::{Outer, Outline, Outlines, outer_rings};
use crate::saw::spare;
use crate::work::{AreaId, BorderId, Number, Work};

/// The cut outlines of all pieces, outer rings alone.
pub fn cut_rings(work: &Work, outlines: &Outlines) -> BTreeMap<Number, Vec<Point>> {
    let ring = |number: Number, outline: &Outline| {
        let (ring, walk) = (outline.rings.first()?, outline.borders.first()?);
        Some(cut_ring(work, number, ring, walk.iter().map(|(id, _)| (*id, outlines.lines[id].len() - 1))))
    };
    let pieces = work.pieces.iter();
    pieces.filter_map(|(number, piece)| Some((*number, ring(*number, outlines.areas.get(&piece.area)?)?))).collect()
}

/// The same for some pieces, quick enough for an edit.
pub(super) fn cut_rings_of(work: &Work, numbers: impl IntoIterator<Item = Number>) -> BTreeMap<Number, Vec<Point>> {
    let areas: BTreeMap<AreaId, Number> =
        numbers.into_iter().filter_map(|number| Some((work.pieces.get(&number)?.area, number))).collect();
    let found = outer_rings(&work.pattern, &areas.keys().copied().collect::<BTreeSet<_>>());
    let ring = |(area, outer): (AreaId, Outer)| {
        let number = areas[&area];
        (number, cut_ring(work, number, &outer.ring, outer.borders.iter().copied()))
    };
    found.into_iter().map(ring).collect()
}

/// A ring moved out along the borders that ask for spare wood; `along` says whose each stretch of edges is.
fn cut_ring(work: &Work, number: Number, ring: &[Point], along: impl Iterator<Item = (BorderId, usize)>) -> Vec<Point> {
    if work.fits.keys().all(|(later, _)| *later != number) {
        return ring.to_vec();
    }
    let reach: Vec<f64> =
        along.flat_map(|(id, edges)| std::iter::repeat_n(f64::from(spare(work, number, id).0), edges)).collect();
    if reach.iter().all(|reach| *reach == 0.0) {
        return ring.to_vec();
    }
    grown_by(ring, &reach)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::saw;
    use crate::work::edit::saw::Edit;

    fn twice_area(ring: &[Point]) -> f64 {
        let next = |at: usize| ring[(at + 1) % ring.len()];
        (0..ring.len())
            .map(|at| f64::from(ring[at].x) * f64::from(next(at).y) - f64::from(next(at).x) * f64::from(ring[at].y))
            .sum()
    }

    /// Along a joint of length L the spare wood s adds about L·s; where the line bends one way and the other it evens out.
    #[test]
    fn spare_wood_is_added_at_that_joint_alone() {
        let mut work = accepted(3, 2);
        let outlines = outlines(&work.pattern, work.panel);
        let before = cut_rings(&work, &outlines);
        let joint = saw::joints(&work, &outlines, &saw::plan(&work, &outlines)).remove(0);
        saw::apply(&mut work, &Edit::CutTo { piece: joint.later, to: joint.first }).expect("they touch");
        let after = cut_rings(&work, &outlines);
        let changed: Vec<Number> = after.keys().copied().filter(|number| before[number] != after[number]).collect();
        assert_eq!(changed, [joint.later]);
        let added = (twice_area(&after[&joint.later]) - twice_area(&before[&joint.later])) / 2.0;
        let expected = f64::from(joint.length.0) * f64::from(work.choices.saw.spare.0);
        assert!((added / expected - 1.0).abs() < 0.1, "{added} against {expected}");
        assert_eq!(cut_rings_of(&work, [joint.later]), [(joint.later, after[&joint.later].clone())].into());
    }
}
