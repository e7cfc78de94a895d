//! Boards on their way between a job and the shop: no wood is offered twice, none is lost.
//!
//! A board of the shop keeps its number when it is sawn in two; what was parted from it gets a number of its own, and the
//! shop remembers from which board, and how thick that was. A cut that is told late, by a job that knew the whole board,
//! goes to all of it that the ring lies on.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use super::clip::{clipped, same, same_on};
use super::lay::area2;
use super::shelved::{
    add_cut, agreed, cut_faults, cut_zones, form, lineage, merged, noted, one_form, own, part_of, same_zone, shelved,
    unlike,
};
use super::sound::sound;
use crate::work::edit::stock::Edit as StockEdit;
use crate::work::{Board, BoardId, Edit, Line, Number, Refusal, Shop, ShopEdit, State, Used, Way, Work, Zone};

/// A cut that a job has told the shop. The job keeps these beside what undo takes back: what it told and does not hold any
/// more, it takes back in the shop too.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Told {
    /// The piece that was cut.
    pub piece: Number,
    /// The board of the shop.
    pub board: BoardId,
    /// Where it was cut.
    pub ring: Vec<Point>,
}

/// What goes between a job and the shop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Passed {
    /// What changes in the shop.
    pub shop: Vec<ShopEdit>,
    /// What changes in the job.
    pub job: Vec<Edit>,
    /// What the job has then told the shop in all.
    pub told: Vec<Told>,
    /// How many boards are new to whom they are passed to.
    pub new: usize,
    /// The boards of which the shop knew cuts, faults or a shorter edge that the job did not.
    pub known: Vec<String>,
    /// Boards that are not passed, and why.
    pub apart: Vec<Refusal>,
}

/// The next number of a board in the shop: also one that was dropped keeps its own.
pub fn next_number(shop: &mut Shop) -> BoardId {
    let last = shop.boards.keys().chain(shop.lines.keys()).max().map_or(0, |last| last.0);
    shop.next.board = shop.next.board.max(last + 1);
    shop.next.new_board()
}

/// Brings the shop's boards of the job's woods, and what the shop knows of those that the job has already. `job` is the
/// job's key.
pub fn bring(work: &Work, shop: &Shop, job: &str) -> Passed {
    let mut pairs = pairs(work, shop, job);
    let mut passed = Passed::default();
    for (id, number) in pairs.of.clone() {
        let (here, there) = (&work.boards[&id], &shop.boards[&number]);
        if sawn_there(work, (id, number), there) && !knows(shop, number, here, base(work, id, number)) {
            pairs.set_apart(id, number, untold(here));
            continue;
        }
        agree(work, (id, number), there, &mut passed);
    }
    let held: BTreeSet<BoardId> = pairs.of.values().copied().collect();
    let new = shop.boards.iter().filter(|(number, board)| {
        !held.contains(number)
            && work.woods.contains_key(&board.wood)
            && !above(shop, **number).any(|n| pairs.is_apart(n))
    });
    for (number, board) in new {
        let board = Board { shop: Some(*number), ..shelved(board) };
        passed.job.push(Edit::Stock(StockEdit::Put(Box::new(board))));
        passed.new += 1;
    }
    Passed { apart: pairs.why, ..passed }
}

/// Puts every board of the job into the shop as both know it. `told` is what the job has told the shop before.
pub fn give(work: &Work, shop: &Shop, job: &str, told: &[Told]) -> Passed {
    let mut pairs = pairs(work, shop, job);
    let mut passed = Passed::default();
    let mut after = shop.clone();
    for one in told.iter().filter(|one| !pairs.holds_back(shop, one.board) && !claimed(work, shop, &pairs, one)) {
        take_back(&mut after, one);
    }
    let before = after.boards.clone();
    for (id, number) in pairs.of.clone() {
        let here = &work.boards[&id];
        match merged(here, base(work, id, number), &after.boards[&number]) {
            Ok(both) => {
                tell_parted(work, (id, number), &mut after);
                after.boards.insert(number, shelved(&both));
            }
            Err(why) => pairs.set_apart(id, number, why),
        }
    }
    let dropped = pairs.dropped(work, shop);
    for (id, number) in &dropped {
        tell_parted(work, (*id, *number), &mut after);
    }
    let changed = after.boards.iter().filter(|(number, board)| shop.boards[number] != **board);
    let put =
        |(number, board): (&BoardId, &Board)| ShopEdit::PutBoard { id: Some(*number), board: Box::new(board.clone()) };
    passed.shop = changed.map(put).collect();
    for (id, board) in &work.boards {
        if let Some((board, parted)) = new_board(work, &pairs, (*id, board), &before) {
            match sound(&board) {
                Ok(()) => {
                    let number = next_number(&mut after);
                    let line = Line { origin: Some((job.to_owned(), *id)), parted };
                    passed.shop.push(ShopEdit::TakeIn { board: Box::new(board.clone()), line });
                    passed.new += 1;
                    after.boards.insert(number, board);
                    pairs.new.insert(*id, number);
                }
                Err(why) => pairs.why.push(why),
            }
        }
    }
    for (id, number) in pairs.of.iter().chain(&pairs.new) {
        agree(work, (*id, *number), &after.boards[number], &mut passed);
    }
    // Of a board that the shop has dropped there is no more to be told.
    for (id, number) in &dropped {
        agree(work, (*id, *number), &shelved(&work.boards[id]), &mut passed);
    }
    passed.told = told_now(work, shop, &pairs, told);
    Passed { apart: pairs.why, ..passed }
}

/// Which board of the shop each board of the job is.
#[derive(Default)]
struct Pairs {
    of: BTreeMap<BoardId, BoardId>,
    /// Those that came into the shop just now.
    new: BTreeMap<BoardId, BoardId>,
    /// Those that are not passed, with their number in the shop.
    apart: BTreeMap<BoardId, BoardId>,
    why: Vec<Refusal>,
}

impl Pairs {
    fn set_apart(&mut self, id: BoardId, number: BoardId, why: Refusal) {
        self.of.remove(&id);
        self.apart.insert(id, number);
        self.why.push(why);
    }

    fn is_apart(&self, number: BoardId) -> bool {
        self.apart.values().any(|apart| *apart == number)
    }

    /// Those that the job remembers and the shop has dropped.
    fn dropped(&self, work: &Work, shop: &Shop) -> Vec<(BoardId, BoardId)> {
        let gone = |(id, number): &(BoardId, BoardId)| {
            work.boards[id].shop == Some(*number) && !shop.boards.contains_key(number)
        };
        self.apart.iter().map(|(id, number)| (*id, *number)).filter(gone).collect()
    }

    fn number(&self, id: BoardId) -> Option<BoardId> {
        self.of.get(&id).or_else(|| self.apart.get(&id)).copied()
    }

    /// Whether a board that the shop has is not passed.
    fn holds_back(&self, shop: &Shop, number: BoardId) -> bool {
        self.is_apart(number) && shop.boards.contains_key(&number)
    }

    /// The board itself or the nearest that it is the rest of, of those that the shop has or had.
    fn nearest(&self, work: &Work, id: BoardId) -> Option<BoardId> {
        lineage(work, id).find(|id| self.of.contains_key(id) || self.apart.contains_key(id))
    }

    /// The rests of a board that the shop has not.
    fn rests(&self, work: &Work, of: BoardId) -> Vec<BoardId> {
        work.boards.keys().copied().filter(|id| *id != of && self.nearest(work, *id) == Some(of)).collect()
    }
}

/// By the number that the job remembers; else, since undo takes that back and a giving can break off, by what the shop
/// remembers; rests also by their form, where both have sawn the same.
fn pairs(work: &Work, shop: &Shop, job: &str) -> Pairs {
    let mut pairs = Pairs::default();
    let remembered = work.boards.iter().filter_map(|(id, board)| Some((*id, board.shop?)));
    for (id, number) in remembered.collect::<Vec<_>>() {
        let name = &work.boards[&id].name;
        if !shop.boards.contains_key(&number) {
            pairs.set_apart(id, number, dropped(name));
        } else if pairs.of.values().any(|held| *held == number) {
            pairs.set_apart(id, number, twice(name));
        } else {
            pairs.of.insert(id, number);
        }
    }
    for (id, board) in work.boards.iter().filter(|(_, board)| board.shop.is_none()) {
        let given = |id: BoardId| {
            let by = |line: &Line| line.origin.as_ref().is_some_and(|(key, origin)| key == job && *origin == id);
            let is_it = |there: &Board| there.wood == board.wood;
            let is_it = |number: &BoardId| shop.boards.get(number).is_none_or(is_it);
            let held = |number: &BoardId| pairs.of.values().any(|held| held == number);
            let mut lines = shop.lines.iter().filter(|(_, line)| by(line)).map(|(number, _)| *number);
            lines.find(|number| !held(number) && is_it(number))
        };
        // Of a board that was taken off the job its rests are no boards of their own.
        let orphan = || given(board.from.filter(|from| !work.boards.contains_key(from))?);
        match (given(*id), orphan()) {
            (Some(number), _) if shop.boards.contains_key(&number) => _ = pairs.of.insert(*id, number),
            (Some(number), _) | (None, Some(number)) if !shop.boards.contains_key(&number) => {
                pairs.set_apart(*id, number, dropped(&board.name));
            }
            (_, Some(number)) => pairs.set_apart(*id, number, left_over(&board.name)),
            _ => {}
        }
    }
    for (id, number) in pairs.of.clone() {
        match fitting(work, shop, &pairs, (id, number)) {
            Ok(matches) => pairs.of.extend(matches),
            Err(why) => pairs.set_apart(id, number, why),
        }
    }
    pairs
}

/// Whether a board and its rests that the shop has not can be what the shop's board has become; the rests that the shop
/// has already by another's word, with their numbers.
fn fitting(
    work: &Work,
    shop: &Shop,
    pairs: &Pairs,
    (id, number): (BoardId, BoardId),
) -> Result<Vec<(BoardId, BoardId)>, Refusal> {
    let (here, there) = (&work.boards[&id], &shop.boards[&number]);
    merged(here, base(work, id, number), there)?;
    let rests = pairs.rests(work, id);
    let mut matches: Vec<(BoardId, BoardId)> = Vec::new();
    if rests.is_empty() {
        return Ok(matches);
    }
    if one_form(here, there) {
        let parted = below(shop, number, None);
        for rest in &rests {
            let board = &work.boards[rest];
            let is_it = |other: &BoardId| {
                let free = pairs.of.values().chain(matches.iter().map(|(_, held)| held)).all(|held| held != other);
                free && shop.boards.get(other).is_some_and(|there| there.wood == board.wood && one_form(there, board))
            };
            let other = parted.iter().copied().find(is_it).ok_or_else(|| unlike(here))?;
            matches.push((*rest, other));
        }
        return Ok(matches);
    }
    let volume = |board: &Board| area2(&board.outline) as f64 * f64::from(board.thickness.0);
    let boards = || rests.iter().map(|rest| &work.boards[rest]);
    let all = boards().map(volume).sum::<f64>() + volume(here);
    let sawn_here = form(here, base(work, id, number), there).is_some_and(|form| one_form(form, here));
    // Corners that are rounded to the µm.
    let fits = sawn_here && boards().all(|rest| part_of(rest, there)) && all <= volume(there) * 1.000_01;
    if fits { Ok(matches) } else { Err(unlike(here)) }
}

fn base(work: &Work, id: BoardId, number: BoardId) -> Option<&Board> {
    work.shelf.get(&id).filter(|_| work.boards[&id].shop == Some(number))
}

/// What was parted from a board of the shop, and from that, and so on; with `reach`, only what was parted while it was so
/// thick or less.
fn below(shop: &Shop, number: BoardId, reach: Option<Um>) -> Vec<BoardId> {
    let from =
        |line: &Line| line.parted.is_some_and(|(from, thick)| from == number && reach.is_none_or(|most| thick <= most));
    let next = shop.lines.iter().filter(|(id, line)| **id > number && from(line)).map(|(id, _)| *id);
    next.flat_map(|id| std::iter::once(id).chain(below(shop, id, None))).collect()
}

/// A board of the shop, the one that it was parted from, and so on.
fn above(shop: &Shop, number: BoardId) -> impl Iterator<Item = BoardId> {
    let before = |number: &BoardId| shop.lines.get(number)?.parted.map(|(from, _)| from).filter(|from| from < number);
    std::iter::successors(Some(number), before)
}

/// Whether the shop's board was sawn, and not the job's.
fn sawn_there(work: &Work, (id, number): (BoardId, BoardId), there: &Board) -> bool {
    let here = &work.boards[&id];
    !one_form(here, there) && form(here, base(work, id, number), there).is_some_and(|form| one_form(form, there))
}

/// Whether the shop knows all cuts of the job's board and all that was noted on it, wherever their wood is by now.
fn knows(shop: &Shop, number: BoardId, here: &Board, base: Option<&Board>) -> bool {
    let parts = std::iter::once(number).chain(below(shop, number, Some(here.thickness)));
    parts.filter_map(|number| shop.boards.get(&number)).all(|board| {
        let cut_there = |cut: &Used| {
            clipped(&cut.ring, &board.outline).is_none_or(|ring| board.used.iter().any(|used| same(&used.ring, &ring)))
        };
        let based = |of: &dyn Fn(&Board) -> bool| base.is_some_and(of);
        let new_faults = here.faults.iter().filter(|one| !based(&|base| base.faults.contains(one)));
        let new_faults: Vec<Vec<Point>> = new_faults.cloned().collect();
        let new_zones: Vec<Zone> =
            here.zones.iter().filter(|one| !based(&|base| base.zones.contains(one))).cloned().collect();
        own(here).all(cut_there)
            && cut_faults(&new_faults, &board.outline)
                .iter()
                .all(|one| board.faults.iter().any(|fault| same(fault, one)))
            && cut_zones(&new_zones, &board.outline)
                .iter()
                .all(|one| board.zones.iter().any(|zone| same_zone(zone, one)))
    })
}

/// Tells what was parted from a board since the job knew it whole of the job's cuts, faults and zones.
fn tell_parted(work: &Work, (id, number): (BoardId, BoardId), shop: &mut Shop) {
    let (here, base) = (&work.boards[&id], base(work, id, number));
    for part in below(shop, number, Some(here.thickness)) {
        let Some(board) = shop.boards.get_mut(&part) else { continue };
        own(here).for_each(|cut| add_cut(&mut board.used, &board.outline, cut));
        let noted = noted(here, base, board, &board.outline);
        if sound(&noted).is_ok() {
            *board = noted;
        }
    }
}

/// A board of the job as it comes into the shop, if it is new there, and what it was parted from. A rest takes with it what
/// others told of its board since the job last heard.
fn new_board(
    work: &Work,
    pairs: &Pairs,
    (id, board): (BoardId, &Board),
    shop: &BTreeMap<BoardId, Board>,
) -> Option<(Board, Option<(BoardId, Um)>)> {
    let Some(nearest) = pairs.nearest(work, id) else {
        // Beside each other they were one board of their thickness, one above the other of both.
        let parted = lineage(work, id).skip(1).find_map(|from| {
            let (near, rest) = (&work.boards[&from], board.thickness);
            let above = clipped(&board.outline, &near.outline).is_some();
            let before = if above { near.thickness.0 + rest.0 } else { near.thickness.max(rest).0 };
            Some((*pairs.new.get(&from)?, Um(before)))
        });
        return Some((shelved(board), parted));
    };
    let number = pairs.of.get(&nearest).copied().filter(|_| nearest != id)?;
    let whole = &shop[&number];
    let as_rest = |of: &Board| Board {
        faults: of.faults.clone(),
        zones: of.zones.clone(),
        used: of.used.clone(),
        ..board.clone()
    };
    let both = merged(board, base(work, nearest, number).map(as_rest).as_ref(), &as_rest(whole)).ok()?;
    Some((shelved(&both), Some((number, whole.thickness))))
}

/// Adds what the job then knows of a board, if that is anything.
fn agree(work: &Work, (id, number): (BoardId, BoardId), there: &Board, passed: &mut Passed) {
    let Ok((board, base)) = agreed(work, id, (number, there)) else { return };
    if work.boards[&id] != board || work.shelf.get(&id) != Some(&base) {
        if is_news(work, id, &board) {
            passed.known.push(board.name.clone());
        }
        passed.job.push(Edit::Stock(StockEdit::Agree { board: id, shop: number, of: Box::new(there.clone()) }));
    }
}

/// Whether a board says more than the job knew: what the job itself cut is none.
fn is_news(work: &Work, id: BoardId, board: &Board) -> bool {
    let old = &work.boards[&id];
    let outline = &board.outline;
    let known = |ring: &[Point]| {
        let mut cuts = old.used.iter().chain(work.boards.values().flat_map(own));
        cuts.any(|cut| same_on(outline, &cut.ring, ring))
    };
    let noted = |ring: &[Point]| old.faults.iter().any(|fault| same_on(outline, fault, ring));
    !one_form(old, board)
        || board.used.iter().any(|used| !known(&used.ring))
        || board.faults.iter().any(|fault| !noted(fault))
        || board.zones.iter().any(|zone| old.zones.iter().all(|other| !same_on(outline, &other.outline, &zone.outline)))
}

/// Whether the job still says that a piece is cut there: by its boards that were one with that, or, once all that it was cut
/// from are off the job, by the piece.
fn claimed(work: &Work, shop: &Shop, pairs: &Pairs, told: &Told) -> bool {
    let of_piece = |board: &Board| own(board).find(|cut| cut.piece == told.piece).cloned();
    let mut cuts = work.boards.iter().filter_map(|(id, board)| Some((*id, board, of_piece(board)?))).peekable();
    if cuts.peek().is_none() {
        return work.pieces.get(&told.piece).is_some_and(|piece| piece.state != State::Planned);
    }
    let number = |id: BoardId| pairs.number(pairs.nearest(work, id)?);
    let first = |number: BoardId| above(shop, number).last();
    let held = work.boards.keys().any(|id| number(*id) == Some(told.board));
    // Of a piece across a crosscut the job may hold one half only.
    cuts.any(|(id, board, cut)| {
        number(id).is_some_and(|number| first(number) == first(told.board))
            && (!held || same_on(&board.outline, &cut.ring, &told.ring))
    })
}

fn take_back(shop: &mut Shop, told: &Told) {
    let parts: Vec<BoardId> = std::iter::once(told.board).chain(below(shop, told.board, None)).collect();
    for part in parts {
        if let Some(board) = shop.boards.get_mut(&part) {
            board.used.retain(|used| !same_on(&board.outline, &used.ring, &told.ring));
        }
    }
}

fn told_now(work: &Work, shop: &Shop, pairs: &Pairs, before: &[Told]) -> Vec<Told> {
    let cuts = |(id, number): (&BoardId, &BoardId)| {
        let told = |cut: &Used| Told { piece: cut.piece, board: *number, ring: cut.ring.clone() };
        own(&work.boards[id]).map(told).collect::<Vec<_>>()
    };
    let dropped = pairs.dropped(work, shop);
    let all = pairs.of.iter().chain(&pairs.new).chain(dropped.iter().map(|(id, number)| (id, number)));
    let mut told: Vec<Told> = all.flat_map(cuts).collect();
    let still = before.iter().filter(|one| pairs.holds_back(shop, one.board) || claimed(work, shop, pairs, one));
    let more: Vec<Told> = still.filter(|one| !told.contains(one)).cloned().collect();
    told.extend(more);
    told
}

fn dropped(name: &str) -> Refusal {
    let what = format!("Board \"{name}\" is no longer in the shop and is not put there again.");
    let way = "Take it off the job (edit: stock, away); or put it into the shop anew, with spelk shop, and bring it.";
    Refusal::new(what).way(Way::advice(way))
}

fn left_over(name: &str) -> Refusal {
    let what =
        format!("Board \"{name}\" was sawn from a board that the shop has whole and that was taken off the job.");
    let way = "Undo that and give both; or take this one off too (edit: stock, away) and bring the shop's.";
    Refusal::new(what).way(Way::advice(way))
}

fn twice(name: &str) -> Refusal {
    let what = format!("Board \"{name}\" is a second copy of one board of the shop.");
    Refusal::new(what).way(Way::advice("Take one of the two off the job (edit: stock, away)."))
}

fn untold(here: &Board) -> Refusal {
    let what = format!(
        "Board \"{}\" was sawn in the shop, which does not know yet what was cut from it or noted on it here.",
        here.name
    );
    Refusal::new(what).way(Way::advice("Give the boards to the shop first: spelk stock with --to-shop."))
}

#[cfg(test)]
mod tests;
