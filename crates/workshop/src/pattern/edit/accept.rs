//! Accepting a draft: it becomes the pattern, and its pieces get numbers in reading order.
//!
//! A piece that is there already keeps its number, its parts and what the maker chose, where old and new overlap by over
//! half of either; such pairs are unique. A new piece joins the part that lay where most of it lies. Overlap is counted on a
//! raster, so it is sure to about a pixel's width of outline.

use std::collections::BTreeMap;

use measure::plane::Point;

use super::names;
use crate::pattern::outline::lines_only;
use crate::pattern::{prove, refuse_if_made};
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, By, Changes, Chosen, Counters, Ends, JunctionId, Number, Part, PartId,
    Pattern, Piece, PieceValues, Refusal, Side, State, Way, Work,
};

/// Pixels along the longer side of the raster that overlaps are counted on: 0.4 mm on a panel of 400 mm.
const RASTER: f64 = 1000.0;

/// Makes a draft the pattern: pieces get numbers in reading order. Refused where something is cut or set.
pub fn accept(work: &mut Work, draft: &Pattern) -> Result<Changes, Refusal> {
    let old: Vec<Number> = work.pieces.keys().copied().collect();
    let stays: BTreeMap<Number, AreaId> =
        draft.areas.iter().filter_map(|(id, area)| held_piece(work, *id, area)).collect();
    refuse_if_made(work, &old.iter().copied().filter(|number| !stays.contains_key(number)).collect::<Vec<_>>())?;
    if draft.areas.is_empty() || !prove(draft, work.panel).is_empty() {
        return Err(Refusal::new("This draft is not whole, so it cannot become the pattern.")
            .way(Way::advice("Trace the picture again.")));
    }
    let overlaps = Overlaps::of(work, draft);
    let mut changes = all_of(&work.pattern);
    changes.pieces.extend(old);
    let (pattern, areas) = renamed(draft, &mut work.next);
    let numbers = numbered(work, draft, &overlaps);
    let before = std::mem::take(&mut work.pieces);
    for (drafted, number) in numbers.iter().filter(|(_, number)| !before.contains_key(number)) {
        if let Some(home) = overlaps.part_of(work, *drafted) {
            work.parts.get_mut(&home).expect("it was found among the parts").pieces.insert(*number);
            changes.parts.insert(home);
        }
    }
    work.pattern = pattern;
    for (drafted, number) in &numbers {
        let area = areas[drafted];
        work.pattern.areas.get_mut(&area).expect("every area of the draft was renamed").becomes =
            Becomes::Piece(*number);
        if let Some(piece) = before.get(number).filter(|_| stays.get(number) == Some(drafted)) {
            work.pieces.insert(*number, Piece { area, ..piece.clone() });
            continue;
        }
        let values = before.get(number).map(|piece| settled(&piece.values)).unwrap_or_default();
        work.pieces.insert(*number, Piece { area, values, state: State::Planned });
    }
    for gone in before.keys().filter(|number| !work.pieces.contains_key(number)).copied().collect::<Vec<_>>() {
        names::forget(work, gone, &mut changes);
        if let Some(into) = overlaps.most_of(gone).and_then(|area| numbers.get(&area)) {
            names::retire(work, gone, *into);
        }
    }
    work.held = work.held.iter().filter_map(|id| areas.get(id).copied()).collect();
    let added = all_of(&work.pattern);
    changes.areas.extend(added.areas);
    changes.borders.extend(added.borders);
    changes.pieces.extend(numbers.values());
    Ok(changes)
}

/// A piece that a draft traced around what is held leaves as it was: its area bears the same id and number.
fn held_piece(work: &Work, id: AreaId, area: &Area) -> Option<(Number, AreaId)> {
    match area.becomes {
        Becomes::Piece(number) if work.pieces.get(&number).is_some_and(|piece| piece.area == id) => Some((number, id)),
        _ => None,
    }
}

fn all_of(pattern: &Pattern) -> Changes {
    let (areas, borders) = (pattern.areas.keys().copied().collect(), pattern.borders.keys().copied().collect());
    Changes { areas, borders, ..Changes::default() }
}

/// What the maker chose; what acts chose rested on the old pattern.
fn settled(values: &PieceValues) -> PieceValues {
    fn kept<T: Clone>(chosen: &Option<Chosen<T>>) -> Option<Chosen<T>> {
        chosen.clone().filter(|chosen| chosen.by != By::Act)
    }
    PieceValues {
        wood: kept(&values.wood),
        grain: kept(&values.grain),
        height: kept(&values.height),
        thickness: kept(&values.thickness),
        raiser: kept(&values.raiser),
    }
}

/// The draft under ids of the job's own, and which area became which.
fn renamed(draft: &Pattern, next: &mut Counters) -> (Pattern, BTreeMap<AreaId, AreaId>) {
    let areas: BTreeMap<AreaId, AreaId> = draft.areas.keys().map(|id| (*id, next.new_area())).collect();
    let junctions: BTreeMap<JunctionId, JunctionId> =
        draft.junctions.keys().map(|id| (*id, next.new_junction())).collect();
    let side = |side: Side| side.area().map_or(Side::Beyond, |id| Side::Area(areas[&id]));
    let ends = |ends: Ends| match ends {
        Ends::Between(a, b) => Ends::Between(junctions[&a], junctions[&b]),
        ring @ Ends::Ring(_) => ring,
    };
    let renamed_border =
        |b: &Border| Border { ends: ends(b.ends), left: side(b.left), right: side(b.right), ..b.clone() };
    let borders: BTreeMap<BorderId, Border> =
        draft.borders.values().map(|border| (next.new_border(), renamed_border(border))).collect();
    let pattern = Pattern {
        junctions: draft.junctions.iter().map(|(id, at)| (junctions[id], *at)).collect(),
        borders,
        areas: draft.areas.iter().map(|(id, area)| (areas[id], *area)).collect(),
    };
    (pattern, areas)
}

/// The number of each piece of the draft: kept from before, or new, in reading order.
fn numbered(work: &mut Work, draft: &Pattern, overlaps: &Overlaps) -> BTreeMap<AreaId, Number> {
    let pieces = draft.areas.iter().filter(|(_, area)| matches!(area.becomes, Becomes::Unnumbered | Becomes::Piece(_)));
    let order = reading_order(pieces.map(|(id, area)| (*id, *area)).collect(), draft, work);
    let stays: BTreeMap<AreaId, Number> = draft
        .areas
        .iter()
        .filter_map(|(id, area)| held_piece(work, *id, area))
        .map(|(number, id)| (id, number))
        .collect();
    let taken = |number: &Number| !stays.values().any(|stays| stays == number);
    let number = |id: AreaId| stays.get(&id).copied().or_else(|| overlaps.kept(id).filter(taken));
    order.into_iter().map(|id| (id, number(id).unwrap_or_else(|| work.next.new_number()))).collect()
}

/// Rows from the top, each from the left. A row is half as high as the mean area is wide.
fn reading_order(mut areas: Vec<(AreaId, Area)>, draft: &Pattern, work: &Work) -> Vec<AreaId> {
    let panel = f64::from(work.panel.width.0) * f64::from(work.panel.height.0);
    let band = ((panel / draft.areas.len() as f64).sqrt() / 2.0) as i32;
    areas.sort_by_key(|(id, area)| (area.at.y, area.at.x, *id));
    let mut order = Vec::new();
    while let Some((_, first)) = areas.first() {
        let low = first.at.y.saturating_add(band);
        let row = areas.partition_point(|(_, area)| area.at.y <= low);
        let mut row: Vec<_> = areas.drain(..row).collect();
        row.sort_by_key(|(id, Area { at: Point { x, y }, .. })| (*x, *y, *id));
        order.extend(row.into_iter().map(|(id, _)| id));
    }
    order
}

/// How the pieces that were there lie over the areas of a draft.
#[derive(Default)]
struct Overlaps {
    /// Pixels by piece and area of the draft.
    common: BTreeMap<(Number, AreaId), u64>,
    old: BTreeMap<Number, u64>,
    new: BTreeMap<AreaId, u64>,
}

impl Overlaps {
    fn of(work: &Work, draft: &Pattern) -> Overlaps {
        let mut overlaps = Overlaps::default();
        if work.pieces.is_empty() {
            return overlaps;
        }
        let scale = RASTER / f64::from(work.panel.width.0.max(work.panel.height.0));
        let pixels = |side: i32| ((f64::from(side) * scale).round() as u32).max(1);
        let (width, height) = (pixels(work.panel.width.0), pixels(work.panel.height.0));
        let labels = |pattern: &Pattern| lines_only(pattern, work.panel).labels(width, height).of;
        let number: BTreeMap<AreaId, Number> =
            work.pieces.iter().map(|(number, piece)| (piece.area, *number)).collect();
        let was = labels(&work.pattern);
        let is = labels(draft);
        for (was, is) in was.into_iter().zip(is) {
            let area = AreaId(is);
            *overlaps.new.entry(area).or_default() += 1;
            if let Some(number) = number.get(&AreaId(was)) {
                *overlaps.old.entry(*number).or_default() += 1;
                *overlaps.common.entry((*number, area)).or_default() += 1;
            }
        }
        overlaps
    }

    /// The number that an area of the draft keeps: they share over half of either.
    fn kept(&self, area: AreaId) -> Option<Number> {
        let over_half = |((number, other), common): (&(Number, AreaId), &u64)| {
            (*other == area && 2 * common > self.old[number] && 2 * common > self.new[&area]).then_some(*number)
        };
        self.common.iter().find_map(over_half)
    }

    /// The part whose pieces lay over more than half of an area of the draft.
    fn part_of(&self, work: &Work, area: AreaId) -> Option<PartId> {
        let lay = |number: &Number| self.common.get(&(*number, area)).copied().unwrap_or(0);
        let all = self.new.get(&area).copied()?;
        let over_half = |part: &Part| 2 * part.pieces.iter().map(lay).sum::<u64>() > all;
        work.parts.iter().find(|(_, part)| over_half(part)).map(|(id, _)| *id)
    }

    /// The area of the draft that most of a piece went into; of equals the first.
    fn most_of(&self, number: Number) -> Option<AreaId> {
        let of_it = self.common.iter().filter(|((other, _), _)| *other == number);
        of_it.max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(a.0))).map(|((_, area), _)| *area)
    }
}
