//! Outlines of areas that are gathered into fewer, without the searches that a pattern of a job asks for.

use std::collections::BTreeMap;

use measure::plane::{Point, line};

use super::outline::rings::{Turn, points, walks};
use crate::work::{AreaId, Border, BorderId, Pattern, Side};

/// A pattern with its borders flattened, to be gathered again and again.
pub struct Fine {
    pattern: Pattern,
    lines: BTreeMap<BorderId, Vec<Point>>,
}

/// What is left when areas are gathered.
pub struct Gathered {
    /// By what the areas went into, its rings, the first point not repeated.
    pub rings: BTreeMap<u32, Vec<Vec<Point>>>,
    /// The borders that still part something.
    pub lines: Vec<Vec<Point>>,
}

impl Fine {
    /// Of a pattern that passes `prove`.
    pub fn new(pattern: Pattern) -> Fine {
        let lines = pattern.borders.iter().map(|(id, border)| (*id, line(&border.curve))).collect();
        Fine { pattern, lines }
    }

    /// Gathers the areas as `into` says, area `n` by its entry `n - 1`; areas with `None` have no rings, and their borders
    /// stay.
    pub fn gather(&self, into: &[Option<u32>]) -> Gathered {
        let side = |side: Side| {
            let gathered = side.area().and_then(|id| into.get(id.0 as usize - 1).copied().flatten());
            gathered.map_or(Side::Beyond, |name| Side::Area(AreaId(name)))
        };
        let parting = |border: &Border| {
            let (left, right) = (side(border.left), side(border.right));
            (left != right).then(|| Border { left, right, curve: Vec::new(), ..border.clone() })
        };
        let borders: BTreeMap<BorderId, Border> =
            self.pattern.borders.iter().filter_map(|(id, border)| Some((*id, parting(border)?))).collect();
        let left = Pattern { borders, ..Pattern::default() };
        let walked = walks(&left, &self.lines, Turn::Part);
        let rings =
            walked.iter().map(|(id, walks)| (id.0, walks.iter().map(|walk| points(walk, &self.lines)).collect()));
        Gathered { rings: rings.collect(), lines: left.borders.keys().map(|id| self.lines[id].clone()).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::work::edit::{Edit, pattern};

    /// The rings are those of the same areas merged by the maker, up to where each begins.
    #[test]
    fn gathering_is_merging() {
        let mut work = accepted(6, 4);
        let fine = Fine::new(work.pattern.clone());
        let pairs = outlines(&work.pattern, work.panel).meetings;
        let (one, other) = *pairs.keys().nth(7).unwrap();
        let highest = work.pattern.areas.keys().map(|id| id.0).max().unwrap();
        let into: Vec<_> = (1..=highest).map(|id| Some(if id == other.0 { one.0 } else { id })).collect();
        let gathered = fine.gather(&into);
        crate::apply(&mut work, &Edit::Pattern(pattern::Edit::Merge(vec![one, other]))).unwrap();
        let merged = outlines(&work.pattern, work.panel);
        let sorted = |rings: &[Vec<Point>]| {
            let mut points: Vec<Point> = rings.iter().flatten().copied().collect();
            points.sort_by_key(|point| (point.x, point.y));
            points
        };
        let kept = merged.areas.values().map(|outline| sorted(&outline.rings));
        let mut kept: Vec<_> = kept.collect();
        let mut found: Vec<_> = gathered.rings.values().map(|rings| sorted(rings)).collect();
        kept.sort_by_key(|points| points[0].x * 4096 + points[0].y);
        found.sort_by_key(|points| points[0].x * 4096 + points[0].y);
        assert_eq!(found, kept);
        assert_eq!(gathered.lines.len(), fine.lines.len() - pairs[&(one, other)].borders.len());
    }
}
