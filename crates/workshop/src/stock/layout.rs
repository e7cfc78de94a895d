//! Laying out: every piece that acts may lay, on the boards of its wood.
//!
//! Pieces go in groups of one wood and thickness. Boards of that very thickness come first; what is left over goes, the
//! largest groups first or else the thickest, to thicker boards that are planed down, each for one thickness. A zone is a sheet of its own and a
//! fault of the rest, so that no piece straddles its edge. What is pinned or cut is taken.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;

use super::cut::cut_rings;
use super::lay::{self, Blank, Laid, Rules, Sheet};
use super::place::{carries, gone, laid, middle_ring, turns, wrong};
use crate::pattern::Outlines;
use crate::work::{Board, BoardId, By, Lie, Number, Proposal, State, Values, WoodId, Work};

/// Hundredths of a coin that a dm² of a board without any price counts for, so that areas decide.
const UNPRICED: f64 = 100.0;

type Group = (WoodId, Um);

/// A layout, and what the boards that it begins cost. What lies already stays unless something better was found.
pub fn lay_out(work: &Work, outlines: &Outlines, effort: u32, watch: Watch) -> (BTreeMap<Number, Lie>, i64) {
    let mut desk = Desk::of(work, outlines);
    let before = desk.standing();
    let mut groups = groups(work);
    // Those on boards of their very thickness share no board, so that all of them are laid at once.
    let lots: Vec<(&Group, Lot)> =
        groups.iter().filter_map(|(group, pieces)| Some((group, desk.lot(group, pieces, false)?))).collect();
    let all: Vec<lay::Lot> = lots.iter().map(|(_, lot)| lot.to_lay()).collect();
    let found = lay::lay_lots(&all, (effort, &watch));
    for ((group, lot), found) in lots.iter().zip(found) {
        desk.put(group, lot, found);
    }
    if work.choices.laying.plane {
        let left = |(group, pieces): (&Group, &mut Vec<Number>)| {
            pieces.retain(|number| !desk.lies.contains_key(number));
            (!pieces.is_empty()).then(|| (group.clone(), std::mem::take(pieces)))
        };
        let mut left: Vec<(Group, Vec<Number>)> = groups.iter_mut().filter_map(left).collect();
        // The largest have the choice of boards, or else the thickest, which fewer boards can carry.
        left.sort_by_key(|(group, pieces)| (Reverse(desk.area(pieces)), group.clone()));
        let mut thickest = left.clone();
        thickest.sort_by_key(|(group, _)| Reverse(group.1));
        let mut other = (thickest != left).then(|| desk.clone());
        desk.put_thicker(&left, (effort, &watch));
        if let Some(other) = &mut other {
            other.put_thicker(&thickest, (effort, &watch));
            desk.lies = desk.better(&desk.lies, &other.lies);
        }
    }
    let lies = desk.better(&before, &desk.lies);
    let cost = desk.begins(&lies).keys().map(|id| desk.price(&work.boards[id])).sum();
    (lies, cost)
}

/// What is to be said of a layout before it is taken: that it was stopped, or that what lies there already stays.
pub fn outcome(work: &Work, proposal: &Proposal) -> Option<&'static str> {
    let Values::Layout(lies) = &proposal.values else { return None };
    let acts = || work.layout.iter().filter(|(_, chosen)| chosen.by == By::Act);
    let stays = !lies.is_empty()
        && lies.len() == acts().count()
        && acts().all(|(number, old)| lies.get(number) == Some(&old.value));
    match (proposal.done, stays) {
        (false, _) if lies.is_empty() => Some("Stopped before anything was laid."),
        (false, true) => Some("Stopped. Nothing better was found yet: the layout stays as it was."),
        (false, false) => Some("Stopped: this is the best layout so far."),
        (true, true) => Some("Nothing better was found: the layout stays as it was."),
        (true, false) => None,
    }
}

/// What acts may lay, by wood and thickness.
pub(super) fn groups(work: &Work) -> BTreeMap<Group, Vec<Number>> {
    let mut groups: BTreeMap<Group, Vec<Number>> = BTreeMap::new();
    for (number, piece) in &work.pieces {
        let free = work.layout.get(number).is_none_or(|chosen| chosen.by == By::Act) && piece.state == State::Planned;
        if let (true, Some(wood), Some(thickness)) = (free, &piece.values.wood, piece.values.thickness) {
            groups.entry((wood.value.clone(), thickness.value)).or_default().push(*number);
        }
    }
    groups
}

#[derive(Clone)]
struct Desk<'a> {
    work: &'a Work,
    rings: BTreeMap<Number, Vec<Point>>,
    /// What is pinned or cut on each board.
    taken: BTreeMap<BoardId, Vec<Vec<Point>>>,
    /// What each board is planed to.
    planed: BTreeMap<BoardId, Um>,
    lies: BTreeMap<Number, Lie>,
}

/// A group ready to be laid.
struct Lot {
    blanks: Vec<Blank>,
    sheets: Vec<Sheet>,
    /// The board of each sheet.
    of: Vec<BoardId>,
    rules: Rules,
}

impl Lot {
    fn to_lay(&self) -> lay::Lot<'_> {
        lay::Lot { blanks: &self.blanks, sheets: &self.sheets, rules: self.rules }
    }
}

/// How good a layout is, the least best: pieces that lie nowhere, what its boards cost, and the largest remnants.
type Rank = (Reverse<usize>, i64, Reverse<i64>);

impl<'a> Desk<'a> {
    fn of(work: &'a Work, outlines: &Outlines) -> Desk<'a> {
        let rings = cut_rings(work, outlines);
        let mut taken: BTreeMap<BoardId, Vec<Vec<Point>>> = BTreeMap::new();
        for (id, board) in &work.boards {
            taken.entry(*id).or_default().extend(board.used.iter().map(|used| used.ring.clone()));
        }
        for (number, chosen) in work.layout.iter().filter(|(_, chosen)| chosen.by != By::Act) {
            if let Some(ring) = rings.get(number).filter(|_| !gone(work, *number, &chosen.value)) {
                taken.entry(chosen.value.board).or_default().push(laid(ring, &chosen.value));
            }
        }
        let planed = work.boards.keys().filter_map(|id| Some((*id, carries(work, *id, Number(0))?))).collect();
        Desk { work, rings, taken, planed, lies: BTreeMap::new() }
    }

    /// Twice the area of pieces, µm².
    fn area(&self, pieces: &[Number]) -> i128 {
        pieces.iter().filter_map(|number| self.rings.get(number)).map(|ring| lay::area2(ring)).sum()
    }

    /// The pieces of a group and the boards that may carry them, if there are any.
    fn lot(&self, group: &Group, pieces: &[Number], thicker: bool) -> Option<Lot> {
        let boards = self.boards(group, thicker);
        let (sheets, of): (Vec<Sheet>, Vec<BoardId>) = boards.iter().flat_map(|id| self.sheets(*id, group.1)).unzip();
        let blanks: Vec<Blank> = pieces.iter().filter_map(|number| self.blank(*number, sheets.len())).collect();
        let laying = &self.work.choices.laying;
        // Two pieces on either side of a zone's edge keep apart as well.
        let edge = Um(laying.edge.0.max(if sheets.len() > boards.len() { (laying.apart.0 + 1) / 2 } else { 0 }));
        let rules = Rules { apart: laying.apart, edge };
        (!sheets.is_empty() && !blanks.is_empty()).then_some(Lot { blanks, sheets, of, rules })
    }

    /// Lays groups, one after the other, on thicker boards that are planed down.
    fn put_thicker(&mut self, groups: &[(Group, Vec<Number>)], (effort, watch): (u32, &Watch)) {
        for (group, pieces) in groups {
            let Some(lot) = self.lot(group, pieces, true) else { continue };
            let found = lay::lay_lots(&[lot.to_lay()], (effort, watch)).remove(0);
            self.put(group, &lot, found);
        }
    }

    /// Keeps where the pieces of a group were laid.
    fn put(&mut self, group: &Group, lot: &Lot, found: Laid) {
        for (blank, lie) in lot.blanks.iter().zip(found.lies) {
            let Some(lie) = lie else { continue };
            let board = lot.of[lie.sheet];
            self.lies.insert(Number(blank.key), Lie { board, turn: lie.turn, at: lie.at });
            self.planed.insert(board, group.1);
        }
    }

    fn thickness(&self, number: Number) -> Option<Um> {
        self.work.pieces.get(&number)?.values.thickness.map(|chosen| chosen.value)
    }

    /// What acts laid before and might lay still.
    fn standing(&self) -> BTreeMap<Number, Lie> {
        let wrong: BTreeSet<Number> = wrong(self.work, &self.rings).iter().map(|wrong| wrong.piece).collect();
        let free: BTreeSet<Number> = groups(self.work).into_values().flatten().collect();
        let mut lies: BTreeMap<Number, Lie> = (self.work.layout.iter())
            .filter(|(number, _)| free.contains(number) && !wrong.contains(number))
            .map(|(number, chosen)| (*number, chosen.value))
            .collect();
        let mut planed: BTreeMap<BoardId, Um> = BTreeMap::new();
        for (number, lie) in &lies {
            let most = planed.entry(lie.board).or_default();
            *most = self.thickness(*number).unwrap_or_default().max(*most);
        }
        planed.extend(self.planed.iter().map(|(id, to)| (*id, *to)));
        lies.retain(|number, lie| {
            let (to, board) = (planed[&lie.board], self.work.boards.get(&lie.board));
            let whole = board.is_some_and(|board| board.thickness == to) || self.planed.contains_key(&lie.board);
            self.thickness(*number) == Some(to) && (whole || self.work.choices.laying.plane)
        });
        lies
    }

    /// The boards that a layout begins, and what they are planed to.
    fn begins(&self, lies: &BTreeMap<Number, Lie>) -> BTreeMap<BoardId, Um> {
        let new = lies.iter().filter(|(_, lie)| self.taken[&lie.board].is_empty());
        new.filter_map(|(number, lie)| Some((lie.board, self.thickness(*number)?))).collect()
    }

    /// Of two layouts the better one, wood by wood, the first of equals: no board carries pieces of two.
    fn better(&self, one: &BTreeMap<Number, Lie>, other: &BTreeMap<Number, Lie>) -> BTreeMap<Number, Lie> {
        let woods: BTreeSet<&WoodId> = self.work.boards.values().map(|board| &board.wood).collect();
        let of = |lies: &BTreeMap<Number, Lie>, wood: &WoodId| -> BTreeMap<Number, Lie> {
            let own = |lie: &Lie| self.work.boards.get(&lie.board).is_some_and(|board| board.wood == *wood);
            lies.iter().filter(|(_, lie)| own(lie)).map(|(number, lie)| (*number, *lie)).collect()
        };
        let best = |wood: &WoodId| {
            let (one, other) = (of(one, wood), of(other, wood));
            if self.rank(&one) <= self.rank(&other) { one } else { other }
        };
        woods.into_iter().flat_map(best).collect()
    }

    fn rank(&self, lies: &BTreeMap<Number, Lie>) -> Rank {
        let cost = self.begins(lies).iter().map(|(id, to)| self.dear(&self.work.boards[id], *to)).sum();
        let mut remnants: BTreeMap<(&WoodId, Um), i64> = BTreeMap::new();
        for (at, remnant) in self.remnants(lies) {
            let largest = remnants.entry((&self.work.boards[&at.0].wood, at.1)).or_default();
            *largest = remnant.max(*largest);
        }
        (Reverse(lies.len()), cost, Reverse(remnants.values().sum()))
    }

    /// What a straight cut leaves of each board that is laid on, by its thickness.
    fn remnants(&self, lies: &BTreeMap<Number, Lie>) -> Vec<((BoardId, Um), i64)> {
        let on = |lie: &Lie| self.work.boards.keys().position(|id| *id == lie.board).unwrap_or_default();
        let blanks: Vec<Blank> = lies.keys().filter_map(|number| self.blank(*number, 0)).collect();
        let place = |lie: &Lie| Some(lay::Lie { sheet: on(lie), turn: lie.turn, at: lie.at });
        let laid = Laid { lies: lies.values().map(place).collect(), cost: 0 };
        let whole = |board: &Board| Sheet { outer: board.outline.clone(), ..Sheet::default() };
        let sheets: Vec<Sheet> = self.work.boards.values().map(whole).collect();
        let laying = &self.work.choices.laying;
        let rules = Rules { apart: laying.apart, edge: laying.edge };
        let planed: BTreeMap<BoardId, Um> =
            lies.iter().filter_map(|(number, lie)| Some((lie.board, self.thickness(*number)?))).collect();
        let ids: Vec<BoardId> = self.work.boards.keys().copied().collect();
        let of = |remnant: lay::Remnant| ((ids[remnant.sheet], planed[&ids[remnant.sheet]]), remnant.area);
        lay::remnants(&laid, &blanks, &sheets, rules).into_iter().map(of).collect()
    }

    /// The boards that may carry a group: those begun, then the thinner, then the cheaper for their size.
    fn boards(&self, (wood, thickness): &Group, thicker: bool) -> Vec<BoardId> {
        let fits = |id: &BoardId, board: &Board| match self.planed.get(id) {
            Some(planed) => !thicker && planed == thickness && board.thickness >= *thickness,
            None if thicker => board.thickness > *thickness,
            None => board.thickness == *thickness,
        };
        let all = self.work.boards.iter().filter(|(id, board)| board.wood == *wood && fits(id, board));
        let mut found: Vec<(bool, Um, i64, BoardId)> = all
            .map(|(id, board)| {
                let per_area = i128::from(self.price(board)) * 1_000_000_000_000 / lay::area2(&board.outline).max(1);
                (self.taken[id].is_empty(), board.thickness, per_area as i64, *id)
            })
            .collect();
        found.sort_unstable();
        found.into_iter().map(|(.., id)| id).collect()
    }

    /// The sheets of a board: itself without its zones, and each zone that is not kept.
    fn sheets(&self, id: BoardId, thickness: Um) -> Vec<(Sheet, BoardId)> {
        let board = &self.work.boards[&id];
        let begun = !self.taken[&id].is_empty();
        let sheet = |outer: &[Point], cost: i64| Sheet {
            outer: outer.to_vec(),
            faults: board.faults.clone(),
            used: self.taken[&id].clone(),
            grain: i32::from(board.grain.0),
            cost,
        };
        let mut whole = sheet(&board.outline, if begun { 0 } else { self.dear(board, thickness) });
        whole.faults.extend(board.zones.iter().map(|zone| zone.outline.clone()));
        let zones = board.zones.iter().filter(|zone| !zone.keep).map(|zone| sheet(&zone.outline, 0));
        std::iter::once(whole).chain(zones).map(|sheet| (sheet, id)).collect()
    }

    fn blank(&self, number: Number, sheets: usize) -> Option<Blank> {
        Some(blank(self.work, number, self.rings.get(&number)?, sheets))
    }

    /// What a board costs for pieces of a thickness: with what is planed off.
    fn dear(&self, board: &Board, thickness: Um) -> i64 {
        (self.price(board) * i64::from(board.thickness.0) / i64::from(thickness.0.max(1))).max(1)
    }

    fn price(&self, board: &Board) -> i64 {
        let dm2 = lay::area2(&board.outline) as f64 / 2e10;
        let per_dm2 = self.work.choices.choosing.prices.get(&board.wood).map_or(UNPRICED, |price| f64::from(*price));
        board.price.map_or((dm2 * per_dm2).round() as i64, i64::from)
    }
}

/// A piece as it is laid on any of so many sheets.
pub(super) fn blank(work: &Work, number: Number, ring: &[Point], sheets: usize) -> Blank {
    let grain = work.pieces.get(&number).and_then(|piece| piece.values.grain).map(|grain| grain.value);
    Blank {
        key: number.0,
        outer: middle_ring(ring),
        turns: turns(grain, &work.choices.laying),
        sheets: (0..sheets).collect(),
        fixed: None,
    }
}
