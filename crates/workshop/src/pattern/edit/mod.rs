//! Edits of the pattern: each keeps every invariant and every other number.
//!
//! A piece that is opened or dropped is gone, and its number with it: closing the area again makes a piece with a new
//! number, because what was said at the bench of the old number must never be read of another piece.

mod accept;
mod bend;
mod cut;
mod draw;
mod faces;
mod merge;
mod names;
mod settle;
mod split;
mod stroke;
mod track;

use measure::length::{Um, mm_text};

use super::refuse_if_made;
use crate::work::edit::pattern::Edit;
use crate::work::{Area, AreaId, Becomes, BorderId, Changes, Number, Piece, Refusal, Side, Spot, Way, Work};

pub use accept::accept;

/// A gap narrower than a fine blade's kerf cannot be sawn on purpose; a wider one than 3 mm is a shadow.
const GAP_UM: std::ops::RangeInclusive<i32> = 300..=3000;

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Merge(areas) => merge::merge(work, areas),
        Edit::Split { area, along } => split::split(work, *area, along),
        Edit::Open(area) => clear(work, *area, Becomes::Shadow),
        Edit::Drop(area) => clear(work, *area, Becomes::Ground),
        Edit::Close(area) => close(work, *area),
        Edit::Draw { along } => draw::draw(work, along),
        Edit::Reshape { at, to, width } => bend::reshape(work, [*at, *to], *width),
        Edit::Smooth { along, by } => bend::smooth(work, along, *by),
        Edit::Straighten { along } => bend::straighten(work, along),
        Edit::Junction { at, to, width } => bend::junction(work, [*at, *to], *width),
        Edit::Gap { border, gap } => set_gap(work, *border, *gap),
    }
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
