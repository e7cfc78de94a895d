//! Outlines of areas, derived from the borders; neighbours; the widest circle of each area.
//!
//! Rings are found by walking borders with the area to the right. Where an area meets itself at a junction, the walk
//! turns so that the rings part there and touch in a point, which every polygon library accepts.

mod raster;
pub(in crate::pattern) mod rings;
pub(crate) mod widest;

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Circle, Point, line};
use rayon::prelude::*;

use crate::work::{AreaId, Border, BorderId, Pattern, Size};

/// What is derived from a pattern.
#[derive(Clone, Debug, Default)]
pub struct Outlines {
    /// Each border flattened, from its start to its end (a ring's last point is its first).
    pub lines: BTreeMap<BorderId, Vec<Point>>,
    /// Each area's outline.
    pub areas: BTreeMap<AreaId, Outline>,
    /// Every pair of touching areas (lower id first), whatever the gap.
    pub meetings: BTreeMap<(AreaId, AreaId), Meeting>,
    /// By border, the areas to its left and right.
    sides: BTreeMap<BorderId, (Option<AreaId>, Option<AreaId>)>,
    panel: Size,
}

/// The outline of an area.
#[derive(Clone, Debug)]
pub struct Outline {
    /// Rings of the flattened borders' own points: the outer one first, then the holes. The first point is not
    /// repeated. On the page the outer ring runs clockwise, holes counterclockwise.
    pub rings: Vec<Vec<Point>>,
    /// The borders of each ring in order, and whether each is walked from start to end.
    pub borders: Vec<Vec<(BorderId, bool)>>,
    /// Exact area of the cubics by Green's theorem, mm².
    pub area_mm2: f64,
    /// The widest circle inside, to 10 µm.
    pub widest: Circle,
}

/// Where two areas touch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Meeting {
    /// The borders that they share.
    pub borders: Vec<BorderId>,
    /// Their common length, mm.
    pub length_mm: f64,
}

impl Outlines {
    /// The panel that the outlines divide.
    pub fn panel(&self) -> Size {
        self.panel
    }
}

/// Derives outlines. The pattern must pass `prove`.
pub fn outlines(pattern: &Pattern, panel: Size) -> Outlines {
    outlines_after(pattern, panel, &Outlines::default())
}

/// The same, with the outlines before the last change at hand: the widest circle, which costs most, is looked for again
/// only where the rings are others.
pub(crate) fn outlines_after(pattern: &Pattern, panel: Size, before: &Outlines) -> Outlines {
    let made = lines_only(pattern, panel);
    let walks = rings::walks(pattern, &made.lines, rings::Turn::Part);
    // An indexed parallel map keeps the order, so the result does not depend on threads.
    let ids: Vec<AreaId> = pattern.areas.keys().copied().collect();
    let areas: Vec<Outline> = ids
        .par_iter()
        .map(|id| {
            let walks = walks.get(id).cloned().unwrap_or_default();
            outline(pattern, &made.lines, walks, before.areas.get(id))
        })
        .collect();
    let meetings = meetings(pattern, &made.lines);
    Outlines { areas: ids.into_iter().zip(areas).collect(), meetings, ..made }
}

/// An outer ring, and how many of its edges in turn are of which border.
#[derive(Clone, Debug)]
pub struct Outer {
    /// Its points, the first not repeated.
    pub ring: Vec<Point>,
    /// The borders in order, each with its number of edges.
    pub borders: Vec<(BorderId, usize)>,
}

/// The outer ring of some areas alone, quick enough for an edit.
pub fn outer_rings(pattern: &Pattern, areas: &BTreeSet<AreaId>) -> BTreeMap<AreaId, Outer> {
    let asked =
        |border: &Border| [border.left, border.right].iter().any(|s| s.area().is_some_and(|a| areas.contains(&a)));
    let borders = pattern.borders.iter().filter(|(_, border)| asked(border)).map(|(id, border)| (*id, border.clone()));
    let part = Pattern { borders: borders.collect(), ..Pattern::default() };
    let lines: BTreeMap<BorderId, Vec<Point>> =
        part.borders.iter().map(|(id, border)| (*id, line(&border.curve))).collect();
    let walks = rings::walks(&part, &lines, rings::Turn::Part);
    let outer = |area: &AreaId| {
        let walk = walks.get(area)?.iter().find(|walk| green20(&part, walk) > 0)?;
        let borders = walk.iter().map(|(id, _)| (*id, lines[id].len() - 1)).collect();
        Some((*area, Outer { ring: rings::points(walk, &lines), borders }))
    };
    areas.iter().filter_map(outer).collect()
}

/// Lines and sides without outlines or meetings: enough for `labels` and `at`, and ten times as quick.
pub(in crate::pattern) fn lines_only(pattern: &Pattern, panel: Size) -> Outlines {
    Outlines {
        lines: pattern.borders.iter().map(|(id, border)| (*id, line(&border.curve))).collect(),
        sides: pattern.borders.iter().map(|(id, border)| (*id, (border.left.area(), border.right.area()))).collect(),
        panel,
        ..Outlines::default()
    }
}

fn outline(
    pattern: &Pattern,
    lines: &BTreeMap<BorderId, Vec<Point>>,
    walks: Vec<rings::Walk>,
    before: Option<&Outline>,
) -> Outline {
    let mut rings: Vec<(i128, rings::Walk)> = walks.into_iter().map(|walk| (green20(pattern, &walk), walk)).collect();
    // The outer ring alone runs clockwise; holes keep the order of their first border.
    rings.sort_by(|a, b| (b.0 > 0).cmp(&(a.0 > 0)).then_with(|| a.1.cmp(&b.1)));
    let area20: i128 = rings.iter().map(|(area, _)| area).sum();
    let borders: Vec<rings::Walk> = rings.into_iter().map(|(_, walk)| walk).collect();
    let rings: Vec<Vec<Point>> = borders.iter().map(|walk| rings::points(walk, lines)).collect();
    let known = before.filter(|before| before.rings == rings).map(|before| before.widest);
    Outline { widest: known.unwrap_or_else(|| widest::circle(&rings)), rings, borders, area_mm2: area20 as f64 / 20e6 }
}

/// Twenty times the area inside a walk, µm².
pub(in crate::pattern) fn green20(pattern: &Pattern, walk: &[(BorderId, bool)]) -> i128 {
    let of = |border: &Border| border.curve.iter().map(|cubic| cubic.green20()).sum::<i128>();
    walk.iter().map(|(id, forward)| if *forward { of(&pattern.borders[id]) } else { -of(&pattern.borders[id]) }).sum()
}

fn meetings(pattern: &Pattern, lines: &BTreeMap<BorderId, Vec<Point>>) -> BTreeMap<(AreaId, AreaId), Meeting> {
    let mut meetings: BTreeMap<(AreaId, AreaId), Meeting> = BTreeMap::new();
    for (id, border) in &pattern.borders {
        if let (Some(left), Some(right)) = (border.left.area(), border.right.area()) {
            let meeting = meetings.entry((left.min(right), left.max(right))).or_default();
            meeting.borders.push(*id);
            meeting.length_mm += length_mm(&lines[id]);
        }
    }
    meetings
}

fn length_mm(line: &[Point]) -> f64 {
    let chord = |a: Point, b: Point| libm::hypot(f64::from(b.x - a.x), f64::from(b.y - a.y));
    line.windows(2).map(|ends| chord(ends[0], ends[1])).sum::<f64>() / 1000.0
}

#[cfg(test)]
mod tests;
