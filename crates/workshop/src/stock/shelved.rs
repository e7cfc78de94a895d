//! One board in two copies: the shop's and a job's. Wood that either has lost is gone.

use super::cut::cut_rings_of;
use super::edit::{find, touched};
use super::lay::{clear, covered};
use super::place::{alone, laid};
use crate::work::{Board, BoardId, By, Changes, Number, Refusal, Used, Way, Work};

/// A board as both copies know it. Its name, price, grain and photograph are those of `told`; its edge is the shorter one, its
/// thickness the lesser; faults, zones and cuts are those of either. It is refused where the copies cannot be of one board.
pub fn joined(told: &Board, other: &Board) -> Result<Board, Refusal> {
    let shorter = if covered(&other.outline, &told.outline) {
        Some(&other.outline)
    } else {
        Some(&told.outline).filter(|outline| covered(outline, &other.outline))
    };
    let outline = shorter.filter(|_| told.wood == other.wood).ok_or_else(|| unlike(told, other))?;
    let mut board = Board { outline: outline.clone(), thickness: told.thickness.min(other.thickness), ..told.clone() };
    board.faults.extend(other.faults.iter().filter(|fault| !told.faults.contains(fault)).cloned());
    board.faults.retain(|fault| !clear(fault, outline, 0));
    board.zones.extend(other.zones.iter().filter(|zone| !told.zones.contains(zone)).cloned());
    board.zones.retain(|zone| covered(&zone.outline, outline));
    let unknown = |used: &&Used| told.used.iter().all(|known| known.ring != used.ring);
    board.used.extend(other.used.iter().filter(unknown).map(foreign));
    Ok(board)
}

/// A board as the shop keeps it: whose pieces were cut from it is the job's own affair.
pub fn shelved(board: &Board) -> Board {
    Board { shop: None, from: None, used: board.used.iter().map(foreign).collect(), ..board.clone() }
}

fn foreign(used: &Used) -> Used {
    Used { piece: Number(0), ..used.clone() }
}

fn unlike(told: &Board, other: &Board) -> Refusal {
    let what = format!(
        "The job's board \"{}\" and the shop's \"{}\" cannot be one board: they are of unlike woods, or neither lies within \
         the other's edge.",
        told.name, other.name
    );
    Refusal::new(what).way(Way::advice("Take it off the job (edit: stock, away) and bring it from the shop again."))
}

/// Takes over what another copy of a board knows. What acts laid where there is no sound wood now lies nowhere; what is
/// pinned there stays, and a check tells of it.
pub(super) fn learn(work: &mut Work, id: BoardId, other: &Board) -> Result<Changes, Refusal> {
    let board = joined(find(work, id)?, other)?;
    let mut changes = touched(id);
    let here = work.layout.iter().filter(|(_, chosen)| chosen.value.board == id && chosen.by == By::Act);
    for (number, outer) in cut_rings_of(work, here.map(|(number, _)| *number)) {
        let lie = work.layout[&number].value;
        let ring = laid(&outer, &lie);
        if alone(&work.choices.laying, &board, &work.pieces[&number], (&lie, By::Act, &ring)).is_some() {
            work.layout.remove(&number);
            changes.pieces.insert(number);
        }
    }
    work.boards.insert(id, board);
    Ok(changes)
}
