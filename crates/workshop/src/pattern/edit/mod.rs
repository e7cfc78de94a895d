//! Edits of the pattern: each keeps every invariant and every other number.
//!
//! A piece that is opened or dropped is gone, and its number with it: closing the area again makes a piece with a new
//! number, because what was said at the bench of the old number must never be read of another piece.

mod accept;
mod again;
mod bend;
mod cut;
mod draw;
mod faces;
mod ink;
mod line;
mod merge;
mod names;
mod overlay;
mod run;
mod settle;
mod split;
mod stroke;
mod track;

use std::collections::BTreeSet;

use measure::length::{Um, mm_text};

use super::refuse_if_made;
use crate::work::edit::pattern::Edit;
use crate::work::{Area, AreaId, Becomes, BorderId, Changes, Number, Piece, Refusal, Side, Spot, Way, Work};

pub use accept::accept;
pub use again::{Around, held, settled, splice};
pub use ink::{of_parts, with_ink};
pub(super) use merge::unite;

/// A gap narrower than a fine blade's kerf cannot be sawn on purpose; a wider one than 3 mm is a shadow.
const GAP_UM: std::ops::RangeInclusive<i32> = 300..=3000;

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    let before: BTreeSet<AreaId> = work.pattern.areas.keys().copied().collect();
    let (changes, touched) = match edit {
        Edit::Merge(areas) => (merge::merge(work, areas)?, areas.clone()),
        Edit::Split { area, along } => (split::split(work, *area, along)?, vec![*area]),
        Edit::Open(area) => (clear(work, *area, Becomes::Shadow)?, vec![*area]),
        Edit::Drop(area) => (clear(work, *area, Becomes::Ground)?, vec![*area]),
        Edit::Close(area) => (close(work, *area)?, vec![*area]),
        Edit::Draw { along } => with_areas(draw::draw(work, along)?),
        Edit::Reshape { at, to, width } => with_sides(bend::reshape(work, [*at, *to], *width)?, work),
        Edit::Smooth { along, by } => with_sides(bend::smooth(work, along, *by)?, work),
        Edit::Straighten { along } => with_sides(bend::straighten(work, along)?, work),
        Edit::Junction { at, to, width } => with_sides(bend::junction(work, [*at, *to], *width)?, work),
        Edit::Gap { border, gap } => (set_gap(work, *border, *gap)?, beside(work, *border)),
        Edit::Hold(area) => (find(work, *area).map(|_| changed(*area))?, vec![*area]),
        Edit::LetGo(area) => return let_go(work, *area),
        Edit::Ink { part, open } => return ink::set(work, *part, *open),
        Edit::Line { line, becomes, width } => return line::set(work, *line, (*becomes, *width)),
    };
    let new = work.pattern.areas.keys().copied().filter(|id| !before.contains(id));
    work.held.extend(touched.into_iter().chain(new.collect::<Vec<_>>()));
    work.held.retain(|id| work.pattern.areas.contains_key(id));
    Ok(changes)
}

fn changed(area: AreaId) -> Changes {
    Changes { areas: [area].into(), ..Changes::default() }
}

fn with_areas(changes: Changes) -> (Changes, Vec<AreaId>) {
    let areas = changes.areas.iter().copied().collect();
    (changes, areas)
}

fn with_sides(changes: Changes, work: &Work) -> (Changes, Vec<AreaId>) {
    let changed = changes.borders.iter().filter(|id| work.pattern.borders.contains_key(id));
    let areas = changed.flat_map(|id| beside(work, *id)).collect();
    (changes, areas)
}

fn beside(work: &Work, border: BorderId) -> Vec<AreaId> {
    let border = &work.pattern.borders[&border];
    [border.left, border.right].into_iter().filter_map(Side::area).collect()
}

fn let_go(work: &mut Work, area: AreaId) -> Result<Changes, Refusal> {
    find(work, area)?;
    refuse_if_made(work, &pieces_of(work, [area]))?;
    work.held.remove(&area);
    Ok(changed(area))
}

/// Makes an area shadow or ground. A piece that was there is gone with all that was said of it.
fn clear(work: &mut Work, id: AreaId, becomes: Becomes) -> Result<Changes, Refusal> {
    let area = find(work, id)?;
    let word = if becomes == Becomes::Shadow { "shadow" } else { "ground" };
    if area.becomes == becomes {
        return Err(Refusal::new(format!("Area {id} is {word} already.")).at(at(id)));
    }
    let mut changes = Changes { areas: [id].into(), ..Changes::default() };
    if let Becomes::Piece(number) = area.becomes {
        refuse_if_made(work, &[number])?;
        work.pieces.remove(&number);
        names::forget(work, number, &mut changes);
    }
    work.pattern.areas.insert(id, Area { becomes, ..area });
    Ok(changes)
}

fn close(work: &mut Work, id: AreaId) -> Result<Changes, Refusal> {
    let area = find(work, id)?;
    if let Becomes::Piece(number) = area.becomes {
        return Err(Refusal::new(format!("Area {id} is piece {number} already.")).at(at(id)));
    }
    let number = work.next.new_number();
    work.pieces.insert(number, planned(id));
    work.pattern.areas.insert(id, Area { becomes: Becomes::Piece(number), ..area });
    Ok(Changes { areas: [id].into(), pieces: [number].into(), ..Changes::default() })
}

fn set_gap(work: &mut Work, id: BorderId, gap: Um) -> Result<Changes, Refusal> {
    let border = work.pattern.borders.get(&id).ok_or_else(|| {
        Refusal::new(format!("There is no border {id}.")).way(Way::advice("Point at the border in the pattern again."))
    })?;
    let spot = Spot { borders: vec![id], ..Spot::default() };
    if border.left == Side::Beyond || border.right == Side::Beyond {
        return Err(Refusal::new("The edge of the panel has nothing beyond it to stand apart from.")
            .at(spot)
            .way(Way::advice("Choose a border between two areas.")));
    }
    if gap != Um(0) && !GAP_UM.contains(&gap.0) {
        let (least, most) = (mm_text(Um(*GAP_UM.start())), mm_text(Um(*GAP_UM.end())));
        return Err(Refusal::new(format!("A gap of {} cannot be.", mm_text(gap)))
            .at(spot)
            .way(Way::advice(format!("Give 0 for a plain saw line, or {least} to {most}."))));
    }
    refuse_if_made(work, &pieces_of(work, [border.left.area(), border.right.area()].into_iter().flatten()))?;
    let border = work.pattern.borders.get_mut(&id).expect("the border was found above");
    border.gap = gap;
    Ok(Changes { borders: [id].into(), ..Changes::default() })
}

fn planned(area: AreaId) -> Piece {
    Piece { area, values: Default::default(), state: Default::default() }
}

fn at(id: AreaId) -> Spot {
    Spot { areas: vec![id], ..Spot::default() }
}

fn find(work: &Work, id: AreaId) -> Result<Area, Refusal> {
    work.pattern.areas.get(&id).copied().ok_or_else(|| {
        Refusal::new(format!("There is no area {id} in the pattern."))
            .way(Way::advice("It may have been merged: point at the place in the pattern again."))
    })
}

/// The numbers of those areas that are pieces.
fn pieces_of(work: &Work, areas: impl IntoIterator<Item = AreaId>) -> Vec<Number> {
    let number = |id: AreaId| match work.pattern.areas.get(&id)?.becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    };
    areas.into_iter().filter_map(number).collect()
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_tools;
