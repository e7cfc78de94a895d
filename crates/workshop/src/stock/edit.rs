//! Edits of boards and of what lies on them.

use std::collections::BTreeSet;

use measure::length::{Um, inch_text, mm_text};
use measure::plane::Point;

use super::buy::RESAWING;
use super::clip::side;
use super::cut::cut_rings_of;
use super::lay::{bounds, clear};
use super::parts::Run;
use super::place::{Why, alone, gone, laid, thickness};
use super::shelved::{agree, cut_faults, cut_zones, told};
use super::sound::{in_board, ring, sound};
use crate::work::edit::stock::Edit;
use crate::work::edit::wood;
use crate::work::{
    Axis, Board, BoardId, By, Changes, Chosen, Fact, Laying, Lie, Number, Piece, Refusal, Spot, State, Unit, Used, Way,
    Whom, WoodId, Work, Zone,
};

/// More boards than a shop's rack; it keeps files and checks small.
const BOARDS_MOST: usize = 5000;

/// A thinner board than this is veneer and is not resawn, µm.
const THINNEST: i32 = 1000;

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Put(board) => put(work, (**board).clone()),
        Edit::PutSize { name, wood, size } => {
            positive(name, *size)?;
            put(work, Board::rectangle(name, WoodId(wood.clone()), *size))
        }
        Edit::Away(id) => away(work, *id),
        Edit::Price { board, price } => on(work, *board, |board| {
            board.price = *price;
            Ok(())
        }),
        Edit::Fault { board, around } => on(work, *board, |board| {
            ring(around, "A fault")?;
            board.faults.push(around.clone());
            sound(board)
        }),
        Edit::Unfault { board, fault } => on(work, *board, |board| take_out(&mut board.faults, *fault, "fault")),
        Edit::Zone { board, name, around, keep } => on(work, *board, |board| {
            in_board(board, around)?;
            board.zones.push(Zone { name: name.clone(), outline: around.clone(), keep: *keep });
            sound(board)
        }),
        Edit::Unzone { board, zone } => on(work, *board, |board| take_out(&mut board.zones, *zone, "zone")),
        Edit::Pin { piece, lie } => pin(work, *piece, *lie),
        Edit::Unpin(piece) => unpin(work, *piece),
        Edit::Cut(pieces) => {
            if pieces.is_empty() {
                let refusal = Refusal::new("No piece is named that was cut.");
                return Err(refusal.way(Way::advice("Name them by their numbers.")));
            }
            pieces.iter().try_for_each(|piece| may_cut(work, *piece))?;
            let changes = cut(work, pieces);
            work.sawn.extend(pieces);
            work.pieces
                .iter_mut()
                .filter(|(number, _)| pieces.contains(number))
                .for_each(|(_, p)| stands(p, State::Cut));
            Ok(changes)
        }
        Edit::Uncut(piece) => take_back(work, *piece),
        Edit::Crosscut { board, at } => crosscut(work, *board, *at),
        Edit::Resaw { board, to } => resaw(work, *board, *to),
        Edit::Agree { board, shop, of } => agree(work, *board, *shop, of),
        Edit::Laying(laying) => set_laying(work, laying),
    }
}

/// Refuses a board without length, width or thickness.
fn positive(name: &str, (length, width, thickness): (Um, Um, Um)) -> Result<(), Refusal> {
    let Some((size, word)) =
        [(length, "long"), (width, "wide"), (thickness, "thick")].into_iter().find(|(size, _)| size.0 <= 0)
    else {
        return Ok(());
    };
    Err(Refusal::new(format!("Board \"{name}\" would be {} {word}.", mm_text(size))).way(Way::advice(
        "Give a length, a width and a thickness above 0; an edit counts them in µm, so that 500 mm is 500000.",
    )))
}

fn put(work: &mut Work, board: Board) -> Result<Changes, Refusal> {
    sound(&board)?;
    if !work.woods.contains_key(&board.wood) {
        let what = format!("\"{}\" is no wood of this job.", board.wood);
        return Err(Refusal::new(what)
            .way(Way::advice("Name one by its key, as in walnut-black; spelk woods with --piece offers some.")));
    }
    if work.boards.len() >= BOARDS_MOST {
        let what = format!("The job holds {BOARDS_MOST} boards already.");
        return Err(Refusal::new(what).way(Way::advice("Bring only those that this work may be cut from.")));
    }
    let id = work.next.new_board();
    if board.shop.is_some() {
        work.shelf.insert(id, board.clone());
    }
    work.boards.insert(id, board);
    Ok(touched(id))
}

pub(super) fn touched(id: BoardId) -> Changes {
    Changes { boards: [id].into(), ..Changes::default() }
}

pub(super) fn find(work: &Work, id: BoardId) -> Result<&Board, Refusal> {
    work.boards.get(&id).ok_or_else(|| {
        Refusal::new(format!("There is no board {id}.")).way(Way::advice("spelk stock lists the boards of the job."))
    })
}

fn on(
    work: &mut Work,
    id: BoardId,
    change: impl FnOnce(&mut Board) -> Result<(), Refusal>,
) -> Result<Changes, Refusal> {
    let mut board = find(work, id)?.clone();
    change(&mut board)?;
    work.boards.insert(id, board);
    Ok(touched(id))
}

fn take_out<T>(list: &mut Vec<T>, at: usize, what: &str) -> Result<(), Refusal> {
    if at >= list.len() {
        let said = format!("The board has no {what} {at}.");
        return Err(Refusal::new(said).way(Way::advice("They are counted from 0.")));
    }
    list.remove(at);
    Ok(())
}

fn away(work: &mut Work, id: BoardId) -> Result<Changes, Refusal> {
    let board = find(work, id)?;
    if !told(work, id) {
        let what = format!("The shop has not been told yet what was cut or sawn from board \"{}\".", board.name);
        return Err(Refusal::new(what).at(Spot { boards: vec![id], ..Spot::default() }).way(Way::advice(
            "Give the boards to the shop first (spelk stock with --to-shop). Where the shop does not take it, take its cuts \
             back and its rests off the job first.",
        )));
    }
    // Its rests are then what is left of the board that it was itself a rest of.
    if let Some(from) = board.from {
        work.boards.values_mut().filter(|rest| rest.from == Some(id)).for_each(|rest| rest.from = Some(from));
    }
    work.boards.remove(&id);
    work.shelf.remove(&id);
    let here: Vec<Number> =
        work.layout.iter().filter(|(_, chosen)| chosen.value.board == id).map(|(number, _)| *number).collect();
    work.layout.retain(|_, chosen| chosen.value.board != id);
    Ok(Changes { pieces: here.into_iter().collect(), ..touched(id) })
}

fn find_piece(work: &Work, number: Number) -> Result<&Piece, Refusal> {
    work.pieces.get(&number).ok_or_else(|| {
        Refusal::new(format!("There is no piece {number}.")).way(Way::advice("spelk tell --json lists the pieces."))
    })
}

fn planned(work: &Work, number: Number) -> Result<&Piece, Refusal> {
    let piece = find_piece(work, number)?;
    let cut = work.layout.get(&number).is_some_and(|chosen| gone(work, number, &chosen.value));
    if piece.state != State::Planned || cut {
        let what = format!("Piece {number} is cut already.");
        return Err(Refusal::new(what).at(Spot::pieces([number])).way(Way::advice("It lies nowhere else any more.")));
    }
    Ok(piece)
}

fn pin(work: &mut Work, number: Number, lie: Lie) -> Result<Changes, Refusal> {
    let lie = Lie { turn: lie.turn.rem_euclid(36_000), ..lie };
    let (piece, board) = (planned(work, number)?, find(work, lie.board)?);
    let here: Vec<Number> = (work.layout.iter())
        .filter(|(other, chosen)| **other != number && chosen.value.board == lie.board)
        .filter(|(other, chosen)| !gone(work, **other, &chosen.value))
        .map(|(other, _)| *other)
        .collect();
    let rings = cut_rings_of(work, here.iter().copied().chain([number]));
    let outer = rings.get(&number).ok_or_else(|| Refusal::new(format!("Piece {number} has no outline.")))?;
    let (low, high) = bounds(&board.outline);
    let far = |v: i32, low: i32, high: i32| v < low || v > high;
    if far(lie.at.x, low.x, high.x) || far(lie.at.y, low.y, high.y) {
        return Err(why_not(work, (number, piece), (&lie, board), Why::Edge));
    }
    let ring = laid(outer, &lie);
    if let Some(why) = alone(&work.choices.laying, board, piece, (&lie, By::Hand, &ring)) {
        return Err(why_not(work, (number, piece), (&lie, board), why));
    }
    let laying = &work.choices.laying;
    let run = |ring: &[Point], number: Number| Some(Run::of(ring, thickness(work, number)?));
    let own = run(&ring, number);
    let clashes = |other: &Number| {
        let outer = laid(rings.get(other)?, &work.layout[other].value);
        let parted = own.is_none_or(|own| run(&outer, *other).is_none_or(|run| own.parted(&run, laying)));
        let why = if parted { Why::Piece(*other) } else { Why::Thickness(*other) };
        (!parted || !clear(&ring, &outer, laying.apart.0)).then_some((*other, why))
    };
    let off: Vec<(Number, Why)> = here.iter().filter_map(clashes).collect();
    if let Some((_, why)) = off.iter().find(|(other, _)| work.layout[other].by != By::Act) {
        return Err(why_not(work, (number, piece), (&lie, board), *why));
    }
    let mut changes = Changes { pieces: [number].into(), ..touched(lie.board) };
    for (other, _) in off {
        work.layout.remove(&other);
        changes.pieces.insert(other);
    }
    if let Some(old) = work.layout.insert(number, Chosen::hand(lie)) {
        changes.boards.insert(old.value.board);
    }
    Ok(changes)
}

fn spot(number: Number, board: BoardId) -> Spot {
    Spot { boards: vec![board], ..Spot::pieces([number]) }
}

pub(super) fn show(work: &Work, length: Um) -> String {
    match work.choices.unit {
        Unit::Mm => mm_text(length),
        Unit::Inch => inch_text(length),
    }
}

fn why_not(work: &Work, (number, piece): (Number, &Piece), (lie, board): (&Lie, &Board), why: Why) -> Refusal {
    let refusal = Refusal::new(why_words(work, number, board, why)).at(spot(number, lie.board));
    match why {
        Why::Grain if piece.values.grain.is_some() => {
            let axis = f64::from(board.grain.0) / 100.0 - f64::from(lie.turn) / 100.0;
            let grain = wood::Edit::Grain { whom: Whom::Piece(number), axis: Axis::degrees(axis) };
            let edits =
                vec![crate::work::Edit::Wood(grain), crate::work::Edit::Stock(Edit::Pin { piece: number, lie: *lie })];
            refusal.way(Way::by("Turn the grain of the piece with it.", edits))
        }
        Why::Wood => refusal.way(Way::advice("Choose the board's wood for the piece first, or another board.")),
        Why::Thickness(_) => {
            refusal.way(Way::advice("Lay it where a cut straight across parts them, or on another board."))
        }
        Why::Thin => refusal.way(Way::advice("Take a thicker board, or plan the piece thinner with a raiser.")),
        _ => refusal.way(Way::advice("Lay it where there is room.")),
    }
}

/// What is wrong, in words.
pub(super) fn why_words(work: &Work, number: Number, board: &Board, why: Why) -> String {
    let name = &board.name;
    let laying = &work.choices.laying;
    match why {
        Why::Wood => format!("Piece {number} is not of the wood of board \"{name}\"."),
        Why::Thin => format!("Board \"{name}\" is {} thick, too thin for piece {number}.", show(work, board.thickness)),
        Why::Grain => format!(
            "On board \"{name}\" piece {number} would lie more than {}° off its grain.",
            f64::from(laying.grain_within) / 100.0
        ),
        Why::Edge => format!("Piece {number} reaches beyond the edge of board \"{name}\", or too near to it."),
        Why::Fault => format!("Piece {number} lies over a fault of board \"{name}\"."),
        Why::Zone => format!("Piece {number} lies across the edge of a zone of board \"{name}\"."),
        Why::Gone => format!("Piece {number} lies where wood was cut from board \"{name}\" already."),
        Why::Piece(other) => {
            format!(
                "Pieces {number} and {other} lie nearer to each other on board \"{name}\" than {}.",
                show(work, laying.apart)
            )
        }
        Why::Thickness(other) => {
            let thick = |number| thickness(work, number).map_or_else(|| "of no thickness".into(), |t| show(work, t));
            let parts = if laying.crosscut { "no cut straight across parts them" } else { "it is planed whole" };
            format!(
                "On board \"{name}\" piece {number} is to be {} thick and piece {other} {}, and {parts}.",
                thick(number),
                thick(other)
            )
        }
    }
}

fn unpin(work: &mut Work, number: Number) -> Result<Changes, Refusal> {
    planned(work, number)?;
    let Some(chosen) = work.layout.get_mut(&number).filter(|chosen| chosen.by == By::Hand) else {
        return Err(Refusal::new(format!("Piece {number} is pinned to no board.")).at(Spot::pieces([number])));
    };
    chosen.by = By::Act;
    let board = chosen.value.board;
    Ok(Changes { pieces: [number].into(), ..touched(board) })
}

fn may_cut(work: &Work, number: Number) -> Result<(), Refusal> {
    planned(work, number)?;
    if work.layout.contains_key(&number) {
        return Ok(());
    }
    let what = format!("Piece {number} lies on no board, so nothing can be cut for it.");
    Err(Refusal::new(what).at(Spot::pieces([number])).way(Way::advice("Lay out the boards, or pin it to one.")))
}

/// What is cut is gone from its board. Pieces that lie on none are passed over.
pub fn cut(work: &mut Work, numbers: &BTreeSet<Number>) -> Changes {
    let rings = cut_rings_of(work, numbers.iter().copied());
    let mut changes = Changes::default();
    for (number, outer) in rings {
        let Some(chosen) = work.layout.get_mut(&number) else { continue };
        let Some(board) = work.boards.get_mut(&chosen.value.board) else { continue };
        if board.used.iter().all(|used| used.piece != number) {
            board.used.push(Used { piece: number, ring: laid(&outer, &chosen.value) });
        }
        chosen.by = By::Fact;
        changes.pieces.insert(number);
        changes.boards.insert(chosen.value.board);
    }
    changes
}

/// Brings a piece to a state, and its values to who then stands for them: what is decided of a piece that was made is
/// fact; of one that is planned again, the hand's.
pub fn stands(piece: &mut Piece, state: State) {
    let by = if state == State::Planned { By::Hand } else { By::Fact };
    piece.state = state;
    let values = &mut piece.values;
    values.wood.iter_mut().for_each(|chosen| chosen.by = by);
    values.grain.iter_mut().for_each(|chosen| chosen.by = by);
    for length in [&mut values.height, &mut values.thickness, &mut values.raiser] {
        length.iter_mut().for_each(|chosen| chosen.by = by);
    }
}

/// Takes back that a piece was cut; what the log of the bench tells is struck there.
fn take_back(work: &mut Work, number: Number) -> Result<Changes, Refusal> {
    let struck = |at: usize| work.log.iter().any(|f| matches!(f, Fact::Struck { entry, .. } if *entry as usize == at));
    let tells = |fact: &Fact| matches!(fact, Fact::Became { piece, .. } if *piece == number);
    let piece = find_piece(work, number)?;
    if work.log.iter().enumerate().any(|(at, fact)| tells(fact) && !struck(at)) {
        let what = format!("The log of the bench tells what piece {number} became.");
        return Err(Refusal::new(what)
            .at(Spot::pieces([number]))
            .way(Way::advice("Strike that entry with the reason.")));
    }
    let lies = work.layout.get(&number).is_some_and(|chosen| chosen.by == By::Fact);
    if piece.state == State::Planned && !lies {
        let what = format!("Piece {number} is not cut.");
        return Err(Refusal::new(what).at(Spot::pieces([number])).way(Way::advice("There is nothing to take back.")));
    }
    let mut changes = uncut(work, number);
    changes.pieces.insert(number);
    work.sawn.remove(&number);
    work.pieces.get_mut(&number).into_iter().for_each(|piece| stands(piece, State::Planned));
    Ok(changes)
}

/// A piece was not cut after all: its wood is on the board again, and it stays pinned there.
pub fn uncut(work: &mut Work, number: Number) -> Changes {
    let mut changes = Changes::default();
    if let Some(chosen) = work.layout.get_mut(&number).filter(|chosen| chosen.by == By::Fact) {
        chosen.by = By::Hand;
        changes = Changes { pieces: [number].into(), ..touched(chosen.value.board) };
    }
    // Also from the rests of its board: the hole went through.
    for (id, board) in work.boards.iter_mut().filter(|(_, board)| board.used.iter().any(|used| used.piece == number)) {
        board.used.retain(|used| used.piece != number);
        changes.boards.insert(*id);
    }
    changes
}

/// Cuts a rectangle or convex board in two. What acts laid across the cut, or nearer to it than to any edge, is laid nowhere; a pin
/// across it refuses.
fn crosscut(work: &mut Work, id: BoardId, at: Um) -> Result<Changes, Refusal> {
    let board = find(work, id)?.clone();
    let at = bounds(&board.outline).0.x.saturating_add(at.0);
    let (left, right) = (side(&board.outline, at, true), side(&board.outline, at, false));
    if ring(&left, "What is left").is_err() || ring(&right, "What is cut off").is_err() {
        let what = format!("One cut there does not make two boards of \"{}\".", board.name);
        return Err(Refusal::new(what).way(Way::advice(
            "Give a length between its two ends; where its edge runs back and forth, cut where the board is in one piece.",
        )));
    }
    let rings = cut_rings_of(work, work.layout.keys().copied());
    let mut changes = touched(id);
    let rest = work.next.new_board();
    changes.boards.insert(rest);
    for (number, outer) in &rings {
        let Some(chosen) = work.layout.get(number).filter(|chosen| chosen.value.board == id).copied() else { continue };
        let (low, high) = bounds(&laid(outer, &chosen.value));
        changes.pieces.insert(*number);
        let near = if chosen.by == By::Act { work.choices.laying.edge.0 } else { 0 };
        if low.x >= at.saturating_add(near) {
            work.layout.insert(*number, Chosen { value: Lie { board: rest, ..chosen.value }, ..chosen });
        } else if high.x > at.saturating_sub(near) && chosen.by == By::Act {
            work.layout.remove(number);
        } else if high.x > at && chosen.by == By::Hand {
            let what = format!("Piece {number} is pinned across that cut.");
            return Err(Refusal::new(what).at(spot(*number, id)).way(Way::advice("Unpin it, or cut elsewhere.")));
        }
    }
    let (near, far) = halves(board, (left, right), (id, at));
    work.boards.insert(id, near);
    work.boards.insert(rest, far);
    Ok(changes)
}

/// Saws a board in two across its thickness. What acts laid on it and is too thick now is laid nowhere; such a pin refuses.
fn resaw(work: &mut Work, id: BoardId, to: Um) -> Result<Changes, Refusal> {
    let board = find(work, id)?.clone();
    let left = Um(board.thickness.0 - to.0 - RESAWING);
    if to.0 < THINNEST || left.0 < THINNEST {
        let what = format!(
            "Board \"{}\" is {} thick: sawn to {} it leaves no second board, since the saw and planing take {}.",
            board.name,
            show(work, board.thickness),
            show(work, to),
            show(work, Um(RESAWING))
        );
        return Err(Refusal::new(what).way(Way::advice("Resaw a thicker board, or plane this one.")));
    }
    let mut changes = touched(id);
    let here = work.layout.iter().filter(|(_, chosen)| chosen.value.board == id && chosen.by != By::Fact);
    let thick = |number: &Number| thickness(work, *number).is_some_and(|thickness| thickness > to);
    let over: Vec<(Number, By)> =
        here.filter(|(number, _)| thick(number)).map(|(number, chosen)| (*number, chosen.by)).collect();
    if let Some((number, _)) = over.iter().find(|(_, by)| *by == By::Hand) {
        let what = format!("Piece {number} is pinned to that board and is thicker.");
        return Err(Refusal::new(what).at(spot(*number, id)).way(Way::advice("Unpin it, or saw the board thicker.")));
    }
    for (number, _) in over {
        work.layout.remove(&number);
        changes.pieces.insert(number);
    }
    let share = |part: Um| board.price.map(|price| (f64::from(price) * part.to_mm() / board.thickness.to_mm()) as u32);
    let name = rest_of(&board.name);
    let (photograph, price, from) = (None, share(left), Some(id));
    let far = Board { name, thickness: left, photograph, price, from, shop: None, ..board.clone() };
    let rest = work.next.new_board();
    changes.boards.insert(rest);
    work.boards.insert(rest, far);
    work.boards.insert(id, Board { thickness: to, price: share(to), ..board });
    Ok(changes)
}

fn rest_of(name: &str) -> String {
    format!("{} (rest)", name.chars().take(70).collect::<String>())
}

fn halves(board: Board, (left, right): (Vec<Point>, Vec<Point>), (id, at): (BoardId, i32)) -> (Board, Board) {
    let all = crate::stock::lay::area2(&board.outline).max(1) as f64;
    let share =
        |ring: &[Point]| board.price.map(|p| (f64::from(p) * crate::stock::lay::area2(ring) as f64 / all) as u32);
    let half = |ring: Vec<Point>, is_left: bool| Board {
        price: share(&ring),
        faults: cut_faults(&board.faults, &ring),
        zones: cut_zones(&board.zones, &ring),
        used: (board.used.iter())
            .map(|used| Used { ring: side(&used.ring, at, is_left), ..used.clone() })
            .filter(|used| crate::stock::lay::area2(&used.ring) > 0)
            .collect(),
        outline: ring,
        ..board.clone()
    };
    let mut far = half(right, false);
    far.name = rest_of(&board.name);
    (far.from, far.shop) = (Some(id), None);
    (half(left, true), far)
}

fn set_laying(work: &mut Work, laying: &Laying) -> Result<Changes, Refusal> {
    let lengths = [laying.apart, laying.edge];
    if laying.grain_within > 9000 || lengths.iter().any(|l| !(0..=100_000).contains(&l.0)) || laying.allowance > 500 {
        return Err(Refusal::new("Pieces cannot be laid so.").way(Way::advice(
            "Give 0 to 90° off the grain, 0 to 100 mm of room, and 0 to 500 % to buy above the need.",
        )));
    }
    work.choices.laying = laying.clone();
    Ok(Changes { settings: true, ..Changes::default() })
}

#[cfg(test)]
mod tests;
