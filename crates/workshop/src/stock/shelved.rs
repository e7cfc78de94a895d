//! One board in two copies, the shop's and a job's, joined by the board that both last agreed on.
//!
//! What either changed since holds; where only one has, its word stands. Pieces that a job cut stay cut until the job takes
//! them back itself.

use measure::plane::Point;

use super::clip::{clipped, same, same_on};
use super::cut::cut_rings_of;
use super::edit::{find, touched};
use super::lay::covered;
use super::place::{alone, laid};
use super::sound::{ring, sound};
use crate::work::{Board, BoardId, By, Changes, Number, Refusal, Used, Way, Work, Zone};

/// A job's board with what the shop knows of it, pieces under the job's numbers. It is refused where both were sawn since
/// they agreed, each in its own way.
pub(super) fn merged(here: &Board, base: Option<&Board>, there: &Board) -> Result<Board, Refusal> {
    let form = form(here, base, there).filter(|_| here.wood == there.wood).ok_or_else(|| unlike(here))?;
    // Of a board that was sawn the price was parted with it.
    let price = if one_form(here, there) { word(here, base, there, |board| &board.price) } else { form.price };
    let board = Board {
        name: word(here, base, there, |board| &board.name),
        grain: word(here, base, there, |board| &board.grain),
        price,
        photograph: word(here, base, there, |board| &board.photograph),
        outline: form.outline.clone(),
        thickness: form.thickness,
        used: used(here, base, there, form),
        shop: here.shop,
        from: here.from,
        ..noted(here, base, there, &form.outline)
    };
    sound(&board)?;
    Ok(board)
}

/// The shop's board with the faults and zones that either noted, as far as they lie within an edge.
pub(super) fn noted(here: &Board, base: Option<&Board>, there: &Board, outline: &[Point]) -> Board {
    let faults = |board: &Board| cut_faults(&board.faults, outline);
    let zones = |board: &Board| cut_zones(&board.zones, outline);
    Board {
        faults: joined(&faults(here), base.map(faults).as_deref(), faults(there), |one, other| same(one, other)),
        zones: joined(&zones(here), base.map(zones).as_deref(), zones(there), same_zone),
        ..there.clone()
    }
}

/// Whether two zones are one.
pub(super) fn same_zone(one: &Zone, other: &Zone) -> bool {
    (&one.name, one.keep) == (&other.name, other.keep) && same(&one.outline, &other.outline)
}

/// The copy whose edge and thickness hold: wood that either has lost is gone. None where they cannot be of one board.
pub(super) fn form<'a>(here: &'a Board, base: Option<&Board>, there: &'a Board) -> Option<&'a Board> {
    if one_form(here, there) {
        return Some(here);
    }
    let within = |inner: &'a Board, outer: &Board| Some(inner).filter(|_| part_of(inner, outer));
    match base {
        Some(base) if one_form(here, base) => within(there, here),
        Some(base) if one_form(there, base) => within(here, there),
        Some(_) => None,
        None => within(there, here).or_else(|| within(here, there)),
    }
}

/// Whether two boards have one edge and one thickness.
pub(super) fn one_form(one: &Board, other: &Board) -> bool {
    (&one.outline, one.thickness) == (&other.outline, other.thickness)
}

/// Whether a board can be what was left of another.
pub(super) fn part_of(inner: &Board, outer: &Board) -> bool {
    inner.wood == outer.wood && inner.thickness <= outer.thickness && covered(&inner.outline, &outer.outline)
}

/// The job's word where it has changed, else the shop's.
fn word<T: PartialEq + Clone>(here: &Board, base: Option<&Board>, there: &Board, of: impl Fn(&Board) -> &T) -> T {
    let changed = base.is_none_or(|base| of(base) != of(here));
    of(if changed { here } else { there }).clone()
}

/// What the shop has, with what the job has added since, without what it has taken out. Without a base nothing is taken out.
fn joined<T: Clone>(here: &[T], base: Option<&[T]>, there: Vec<T>, alike: impl Fn(&T, &T) -> bool) -> Vec<T> {
    let holds = |list: &[T], one: &T| list.iter().any(|other| alike(one, other));
    let based = |one: &T| base.is_some_and(|base| holds(base, one));
    let added: Vec<T> = here.iter().filter(|one| !based(one) && !holds(&there, one)).cloned().collect();
    let kept = there.into_iter().filter(|one| !based(one) || holds(here, one));
    kept.chain(added).collect()
}

/// Faults as far as they lie on a board; one that falls into several pieces there is kept whole.
pub(super) fn cut_faults(faults: &[Vec<Point>], outline: &[Point]) -> Vec<Vec<Point>> {
    let one_piece = |cut: &Vec<Point>| ring(cut, "A fault").is_ok();
    let kept =
        |fault: &Vec<Point>| clipped(fault, outline).map(|cut| if one_piece(&cut) { cut } else { fault.clone() });
    faults.iter().filter_map(kept).collect()
}

/// Zones as far as they lie on a board.
pub(super) fn cut_zones(zones: &[Zone], outline: &[Point]) -> Vec<Zone> {
    let cut = |zone: &Zone| Some(Zone { outline: clipped(&zone.outline, outline)?, ..zone.clone() });
    let fits = |zone: &Zone| covered(&zone.outline, outline) && ring(&zone.outline, "A zone").is_ok();
    zones.iter().filter_map(cut).filter(fits).collect()
}

/// What the job itself cut from a board.
pub(super) fn own(board: &Board) -> impl Iterator<Item = &Used> {
    board.used.iter().filter(|used| used.piece != Number(0))
}

/// The job's own cuts whole, so that it can take them back wherever the board ends by now, and the cuts of others that the
/// shop knows.
fn used(here: &Board, base: Option<&Board>, there: &Board, form: &Board) -> Vec<Used> {
    let outline = &form.outline;
    let among = |list: &[Used], one: &Used| list.iter().any(|other| same_on(outline, &one.ring, &other.ring));
    let taken_back: Vec<Used> =
        base.into_iter().flat_map(own).filter(|used| !among(&here.used, used)).cloned().collect();
    let mut all: Vec<Used> = own(here).cloned().collect();
    for one in &there.used {
        if clipped(&one.ring, outline).is_some() && !among(&all, one) && !among(&taken_back, one) {
            all.push(foreign(one));
        }
    }
    all
}

/// A board as the shop keeps it: whose pieces were cut from it is the job's own affair.
pub(super) fn shelved(board: &Board) -> Board {
    let mut used: Vec<Used> = Vec::new();
    for one in &board.used {
        add_cut(&mut used, &board.outline, one);
    }
    let faults = cut_faults(&board.faults, &board.outline);
    Board { shop: None, from: None, faults, used, ..board.clone() }
}

/// Notes a cut on a board of the shop, as far as it lies on it, once.
pub(super) fn add_cut(used: &mut Vec<Used>, outline: &[Point], cut: &Used) {
    if let Some(ring) = clipped(&cut.ring, outline)
        && used.iter().all(|known| !same(&known.ring, &ring))
    {
        used.push(Used { piece: Number(0), ring });
    }
}

fn foreign(used: &Used) -> Used {
    Used { piece: Number(0), ..used.clone() }
}

pub(super) fn unlike(here: &Board) -> Refusal {
    let what = format!(
        "Board \"{}\" and the shop's cannot be one board any more: they are of unlike woods, or each was sawn in its own way.",
        here.name
    );
    Refusal::new(what).way(Way::advice(
        "Look which it is with spelk shop. Where the shop is right, undo the sawing here, or take the board and its rests off \
         the job (edit: stock, away) and bring it again; else put it right in the shop (spelk shop with edits).",
    ))
}

/// The board as the job has it and as both agree on it, once the job knows what the shop has.
pub(super) fn agreed(work: &Work, id: BoardId, (number, there): (BoardId, &Board)) -> Result<(Board, Board), Refusal> {
    let here = find(work, id)?;
    let base = work.shelf.get(&id).filter(|_| here.shop == Some(number));
    let board = Board { shop: Some(number), ..merged(here, base, there)? };
    let known = || own(here).chain(base.into_iter().flat_map(own));
    let outline = &there.outline;
    let named = |used: &Used| known().find(|own| same_on(outline, &own.ring, &used.ring)).unwrap_or(used).clone();
    let mut used: Vec<Used> = there.used.iter().map(named).collect();
    used.extend(own(here).filter(|used| clipped(&used.ring, outline).is_none()).cloned());
    Ok((board.clone(), Board { used, shop: board.shop, from: board.from, ..there.clone() }))
}

/// Agrees with the shop on a board. What acts laid where there is no sound wood now lies nowhere; what is pinned there
/// stays, and a check tells of it.
pub(super) fn agree(work: &mut Work, id: BoardId, number: BoardId, there: &Board) -> Result<Changes, Refusal> {
    sound(there)?;
    let (board, base) = agreed(work, id, (number, there))?;
    let mut changes = touched(id);
    let here = work.layout.iter().filter(|(_, chosen)| chosen.value.board == id && chosen.by == By::Act);
    for (number, outer) in cut_rings_of(work, here.map(|(number, _)| *number)) {
        let lie = work.layout[&number].value;
        let ring = laid(&outer, &lie);
        let wrong = |board| alone(&work.choices.laying, board, &work.pieces[&number], (&lie, By::Act, &ring)).is_some();
        if wrong(&board) && !wrong(&work.boards[&id]) {
            work.layout.remove(&number);
            changes.pieces.insert(number);
        }
    }
    work.boards.insert(id, board);
    work.shelf.insert(id, base);
    Ok(changes)
}

/// Whether the shop knows all that it must of a board of its own before the job forgets it: the job's cuts, and that it was
/// sawn in two. Boards that are not in the shop are the job's own affair.
pub(super) fn told(work: &Work, id: BoardId) -> bool {
    let Some(here) = work.boards.get(&id) else { return true };
    let Some(shelved) = lineage(work, id).find(|id| work.boards[id].shop.is_some()) else { return true };
    let base = work.shelf.get(&shelved);
    let known = |cut: &Used| {
        let mut all = base.into_iter().flat_map(own);
        all.any(|known| known.piece == cut.piece && same_on(&here.outline, &known.ring, &cut.ring))
    };
    own(here).all(known) && work.boards.values().all(|rest| rest.from != Some(id) || rest.shop.is_some())
}

/// A board, the one that it is the rest of, and so on, as far as they are on the job's rack.
pub(super) fn lineage(work: &Work, id: BoardId) -> impl Iterator<Item = BoardId> {
    let before = |id: &BoardId| work.boards[id].from.filter(|from| from < id && work.boards.contains_key(from));
    std::iter::successors(Some(id).filter(|id| work.boards.contains_key(id)), before)
}
