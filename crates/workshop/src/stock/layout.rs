//! Laying out: every piece that acts may lay, on the boards of its wood.
//!
//! Pieces go in groups of one wood and thickness. Boards of that very thickness come first; what is left over goes, the
//! thickest groups first or else the largest, to thicker boards that are planed down, and to what a straight cut leaves of those that
//! carry another thickness. A zone is a sheet of its own and a fault of the rest, so that no piece straddles its edge. What is
//! pinned or cut is taken.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;

use super::clip::side;
use super::cut::cut_rings;
use super::lay::{self, Blank, Laid, Rules, Sheet};
use super::parts::{Run, free};
use super::place::{gone, laid, middle_ring, thickness, turns, wrong};
use super::sound;
use crate::pattern::Outlines;
use crate::work::{Board, BoardId, By, Lie, Number, Proposal, State, Values, WoodId, Work};

/// Hundredths of a coin that a dm² of a board without any price counts for, so that areas decide.
const UNPRICED: f64 = 100.0;

type Group = (WoodId, Um);
/// A board, or a part of it between two ends, µm of x.
type Stretch = (BoardId, (i32, i32));

/// A layout, and what the boards that it begins cost. What lies already stays unless something better was found.
pub fn lay_out(work: &Work, outlines: &Outlines, effort: u32, watch: Watch) -> (BTreeMap<Number, Lie>, i64) {
    let bare = Desk::of(work, outlines);
    let mut desk = bare.clone();
    let before = desk.standing();
    let groups = groups(work);
    // Those on boards of their very thickness share no board, so that all of them are laid at once.
    let lots: Vec<(&Group, Lot)> =
        groups.iter().filter_map(|(group, pieces)| Some((group, desk.lot(group, pieces, Which::Exact)?))).collect();
    let all: Vec<lay::Lot> = lots.iter().map(|(_, lot)| lot.to_lay()).collect();
    let found = lay::lay_lots(&all, (effort, &watch));
    for ((group, lot), found) in lots.iter().zip(found) {
        desk.put(group, lot, found);
    }
    if work.choices.laying.plane {
        let left = |(group, pieces): (&Group, &Vec<Number>)| {
            let pieces: Vec<Number> = pieces.iter().copied().filter(|one| !desk.lies.contains_key(one)).collect();
            (!pieces.is_empty()).then(|| (group.clone(), pieces))
        };
        let mut left: Vec<(Group, Vec<Number>)> = groups.iter().filter_map(left).collect();
        // The thickest first, which fewer boards can carry: so a board is planed on from the left, the thickest part sawn off
        // first. Or else the largest have the choice of boards.
        left.sort_by_key(|(group, _)| (Reverse(group.1), group.0.clone()));
        let mut largest = left.clone();
        largest.sort_by_key(|(_, pieces)| Reverse(desk.area(pieces)));
        let mut other = (largest != left).then(|| desk.clone());
        desk.put_each(&left, Which::Thicker, (effort, &watch));
        if let Some(other) = &mut other {
            other.put_each(&largest, Which::Thicker, (effort, &watch));
            desk.lies = desk.better(&desk.lies, &other.lies, Desk::worth);
        }
        // A thicker board, or what is left of one, may be cheaper than one of the very thickness.
        let woods: BTreeSet<&WoodId> = groups.keys().filter(|group| desk.mixed(group)).map(|(wood, _)| wood).collect();
        let mixed = groups.iter().filter(|((wood, _), _)| woods.contains(wood));
        let mut mixed: Vec<(Group, Vec<Number>)> =
            mixed.map(|(group, pieces)| (group.clone(), pieces.clone())).collect();
        mixed.sort_by_key(|(group, _)| Reverse(group.1));
        let mut other = bare;
        other.put_each(&mixed, Which::Any, (effort, &watch));
        desk.lies = desk.better(&desk.lies, &other.lies, Desk::worth);
    }
    let lies = desk.better(&before, &desk.lies, Desk::rank);
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
    /// What each board carries by thickness: what is pinned, then also what was laid.
    runs: BTreeMap<BoardId, Vec<Run>>,
    lies: BTreeMap<Number, Lie>,
}

/// The boards that a group is laid on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Which {
    /// Of its very thickness, for it alone.
    Exact,
    /// Thicker ones, and what is left of those that carry another thickness.
    Thicker,
    /// Both.
    Any,
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
        let mut runs: BTreeMap<BoardId, Vec<Run>> = BTreeMap::new();
        for (id, board) in &work.boards {
            runs.insert(*id, Vec::new());
            taken.insert(*id, board.used.iter().map(|used| used.ring.clone()).collect());
        }
        for (number, chosen) in work.layout.iter().filter(|(_, chosen)| chosen.by != By::Act) {
            let Some(ring) = rings.get(number).filter(|_| !gone(work, *number, &chosen.value)) else { continue };
            let ring = laid(ring, &chosen.value);
            if let Some(thickness) = thickness(work, *number) {
                runs.entry(chosen.value.board).or_default().push(Run::of(&ring, thickness));
            }
            taken.entry(chosen.value.board).or_default().push(ring);
        }
        Desk { work, rings, taken, runs, lies: BTreeMap::new() }
    }

    /// Twice the area of pieces, µm².
    fn area(&self, pieces: &[Number]) -> i128 {
        pieces.iter().filter_map(|number| self.rings.get(number)).map(|ring| lay::area2(ring)).sum()
    }

    /// The pieces of a group and the boards that may carry them, if there are any.
    fn lot(&self, group: &Group, pieces: &[Number], which: Which) -> Option<Lot> {
        let boards = self.boards(group, which);
        let (sheets, of): (Vec<Sheet>, Vec<BoardId>) =
            boards.iter().flat_map(|stretch| self.sheets(*stretch, group.1)).unzip();
        let blanks: Vec<Blank> = pieces.iter().filter_map(|number| self.blank(*number, sheets.len())).collect();
        let laying = &self.work.choices.laying;
        // Two pieces on either side of a zone's edge keep apart as well.
        let zoned = boards.iter().any(|(id, _)| self.work.boards[id].zones.iter().any(|zone| !zone.keep));
        let edge = Um(laying.edge.0.max(if zoned { (laying.apart.0 + 1) / 2 } else { 0 }));
        let rules = Rules { apart: laying.apart, edge };
        (!sheets.is_empty() && !blanks.is_empty()).then_some(Lot { blanks, sheets, of, rules })
    }

    /// Lays groups one after the other.
    fn put_each(&mut self, groups: &[(Group, Vec<Number>)], which: Which, (effort, watch): (u32, &Watch)) {
        for (group, pieces) in groups {
            let Some(lot) = self.lot(group, pieces, which) else { continue };
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
            self.runs.entry(board).or_default().push(Run::of(&lay::laid_ring(&blank.outer, &lie), group.1));
        }
    }

    /// What acts laid before and might lay still.
    fn standing(&self) -> BTreeMap<Number, Lie> {
        let wrong: BTreeSet<Number> = wrong(self.work, &self.rings).iter().map(|wrong| wrong.piece).collect();
        let free: BTreeSet<Number> = groups(self.work).into_values().flatten().collect();
        let laying = &self.work.choices.laying;
        let whole = |number: Number, lie: &Lie| {
            let (board, thickness) = (self.work.boards.get(&lie.board), thickness(self.work, number));
            let pinned = || {
                self.runs.get(&lie.board).is_some_and(|runs| runs.iter().any(|run| Some(run.thickness) == thickness))
            };
            laying.plane || board.is_some_and(|board| Some(board.thickness) == thickness) || pinned()
        };
        (self.work.layout.iter())
            .map(|(number, chosen)| (*number, chosen.value))
            .filter(|(number, lie)| free.contains(number) && !wrong.contains(number) && whole(*number, lie))
            .collect()
    }

    /// The boards that a layout begins, and what they are planed to at first.
    fn begins(&self, lies: &BTreeMap<Number, Lie>) -> BTreeMap<BoardId, Um> {
        let mut begun = self.planed(lies);
        begun.retain(|id, _| self.taken[id].is_empty());
        begun
    }

    /// The greatest thickness on each board.
    fn planed(&self, lies: &BTreeMap<Number, Lie>) -> BTreeMap<BoardId, Um> {
        let mut planed: BTreeMap<BoardId, Um> = BTreeMap::new();
        for (number, lie) in lies {
            let most = planed.entry(lie.board).or_default();
            *most = thickness(self.work, *number).unwrap_or_default().max(*most);
        }
        planed
    }

    /// Of two layouts the better one by a rank, wood by wood, the first of equals: no board carries pieces of two.
    fn better<R: Ord>(
        &self,
        one: &BTreeMap<Number, Lie>,
        other: &BTreeMap<Number, Lie>,
        rank: impl Fn(&Self, &BTreeMap<Number, Lie>) -> R,
    ) -> BTreeMap<Number, Lie> {
        let woods: BTreeSet<&WoodId> = self.work.boards.values().map(|board| &board.wood).collect();
        let of = |lies: &BTreeMap<Number, Lie>, wood: &WoodId| -> BTreeMap<Number, Lie> {
            let own = |lie: &Lie| self.work.boards.get(&lie.board).is_some_and(|board| board.wood == *wood);
            lies.iter().filter(|(_, lie)| own(lie)).map(|(number, lie)| (*number, *lie)).collect()
        };
        let best = |wood: &WoodId| {
            let (one, other) = (of(one, wood), of(other, wood));
            if rank(self, &one) <= rank(self, &other) { one } else { other }
        };
        woods.into_iter().flat_map(best).collect()
    }

    /// Pieces that lie nowhere and what boards cost, without remnants: for these nobody planes the thickest part last.
    fn worth(&self, lies: &BTreeMap<Number, Lie>) -> (Reverse<usize>, i64) {
        let cost = self.begins(lies).iter().map(|(id, to)| self.dear(&self.work.boards[id], *to)).sum();
        (Reverse(lies.len()), cost)
    }

    fn rank(&self, lies: &BTreeMap<Number, Lie>) -> Rank {
        let (laid, cost) = self.worth(lies);
        let mut remnants: BTreeMap<(&WoodId, Um), i64> = BTreeMap::new();
        for (at, remnant) in self.remnants(lies) {
            let largest = remnants.entry((&self.work.boards[&at.0].wood, at.1)).or_default();
            *largest = remnant.max(*largest);
        }
        (laid, cost, Reverse(remnants.values().sum()))
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
        let planed = self.planed(lies);
        let ids: Vec<BoardId> = self.work.boards.keys().copied().collect();
        let of = |remnant: lay::Remnant| ((ids[remnant.sheet], planed[&ids[remnant.sheet]]), remnant.area);
        lay::remnants(&laid, &blanks, &sheets, rules).into_iter().map(of).collect()
    }

    /// The boards that may carry a group, each with the ends of a stretch of it: those begun, then the thinner, then the cheaper for
    /// their size.
    fn boards(&self, (wood, thickness): &Group, which: Which) -> Vec<Stretch> {
        let laying = &self.work.choices.laying;
        let mut found: Vec<((bool, Um, i64), Stretch)> = Vec::new();
        for (id, board) in
            self.work.boards.iter().filter(|(_, board)| board.wood == *wood && board.thickness >= *thickness)
        {
            let runs = &self.runs[id];
            let shared = runs.iter().any(|run| run.thickness != *thickness);
            let exact = if runs.is_empty() { board.thickness == *thickness } else { !shared };
            let thicker = if runs.is_empty() { !exact } else { shared && laying.crosscut };
            let fits = match which {
                Which::Exact => exact,
                Which::Thicker => thicker,
                Which::Any => exact || thicker,
            };
            if !fits {
                continue;
            }
            let (low, high) = lay::bounds(&board.outline);
            let per_area = i128::from(self.price(board)) * 1_000_000_000_000 / lay::area2(&board.outline).max(1);
            let ends = free(runs, *thickness, (low.x, high.x), laying);
            let order = (!self.begun(*id), board.thickness, per_area as i64);
            found.extend(ends.into_iter().map(|ends| (order, (*id, ends))));
        }
        found.sort_unstable();
        found.into_iter().map(|(_, stretch)| stretch).collect()
    }

    /// Whether a group has the choice between boards of its very thickness and thicker ones.
    fn mixed(&self, (wood, thickness): &Group) -> bool {
        let boards = || self.work.boards.values().filter(|board| board.wood == *wood);
        boards().any(|board| board.thickness == *thickness) && boards().any(|board| board.thickness > *thickness)
    }

    fn begun(&self, id: BoardId) -> bool {
        !self.taken[&id].is_empty() || !self.runs[&id].is_empty()
    }

    /// The sheets of a stretch of a board: itself without its zones, and each zone that is not kept.
    fn sheets(&self, (id, (from, to)): Stretch, thickness: Um) -> Vec<(Sheet, BoardId)> {
        let board = &self.work.boards[&id];
        let (low, high) = lay::bounds(&board.outline);
        let stretch = |ring: &[Point]| {
            if (from, to) == (low.x, high.x) {
                return Some(ring.to_vec());
            }
            let cut = side(&side(ring, to, true), from, false);
            sound::ring(&cut, "A stretch").is_ok().then_some(cut)
        };
        let sheet = |outer: Vec<Point>, cost: i64| Sheet {
            outer,
            faults: board.faults.clone(),
            used: self.taken[&id].clone(),
            grain: i32::from(board.grain.0),
            cost,
        };
        let cost = if self.begun(id) { 0 } else { self.dear(board, thickness) };
        let whole = stretch(&board.outline).map(|outer| {
            let mut whole = sheet(outer, cost);
            whole.faults.extend(board.zones.iter().map(|zone| zone.outline.clone()));
            whole
        });
        let zones = board.zones.iter().filter(|zone| !zone.keep);
        let zones = zones.filter_map(|zone| Some(sheet(stretch(&zone.outline)?, 0)));
        whole.into_iter().chain(zones).map(|sheet| (sheet, id)).collect()
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
