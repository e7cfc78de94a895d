//! Laying out: every piece that acts may lay, on the boards of its wood.
//!
//! Pieces go in groups of one wood and thickness. Boards of that very thickness come first; what is left over goes, the
//! largest groups first, to thicker boards that are planed down, each for one thickness. A zone is a sheet of its own and a
//! fault of the rest, so that no piece straddles its edge. What is pinned or cut is taken.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;

use super::cut::cut_rings;
use super::lay::{self, Blank, Rules, Sheet};
use super::place::{carries, gone, laid, middle_ring, turns};
use crate::pattern::Outlines;
use crate::work::{Board, BoardId, By, Lie, Number, State, WoodId, Work};

/// Hundredths of a coin that a dm² of a board without any price counts for, so that areas decide.
const UNPRICED: f64 = 100.0;

type Group = (WoodId, Um);

/// A layout, and what the boards that it begins cost.
pub fn lay_out(work: &Work, outlines: &Outlines, effort: u32, watch: Watch) -> (BTreeMap<Number, Lie>, i64) {
    let mut desk = Desk::of(work, outlines);
    let mut groups = groups(work);
    for (group, pieces) in &mut groups {
        desk.lay(group, pieces, false, (effort, watch));
    }
    if work.choices.laying.plane {
        let mut left: Vec<(Group, Vec<Number>)> = groups.into_iter().filter(|(_, pieces)| !pieces.is_empty()).collect();
        left.sort_by_key(|(group, pieces)| (Reverse(desk.area(pieces)), group.clone()));
        for (group, pieces) in &mut left {
            desk.lay(group, pieces, true, (effort, watch));
        }
    }
    (desk.lies, desk.cost)
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

struct Desk<'a> {
    work: &'a Work,
    rings: BTreeMap<Number, Vec<Point>>,
    /// What is pinned or cut on each board.
    taken: BTreeMap<BoardId, Vec<Vec<Point>>>,
    /// What each board is planed to.
    planed: BTreeMap<BoardId, Um>,
    lies: BTreeMap<Number, Lie>,
    cost: i64,
}

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
        Desk { work, rings, taken, planed, lies: BTreeMap::new(), cost: 0 }
    }

    /// Twice the area of pieces, µm².
    fn area(&self, pieces: &[Number]) -> i128 {
        pieces.iter().filter_map(|number| self.rings.get(number)).map(|ring| lay::area2(ring)).sum()
    }

    /// Lays the pieces of a group and keeps those that found no room.
    fn lay(&mut self, group: &Group, pieces: &mut Vec<Number>, thicker: bool, (effort, watch): (u32, Watch)) {
        let boards = self.boards(group, thicker);
        let (sheets, of): (Vec<Sheet>, Vec<BoardId>) = boards.iter().flat_map(|id| self.sheets(*id, group.1)).unzip();
        if sheets.is_empty() || pieces.is_empty() {
            return;
        }
        let blanks: Vec<Blank> = pieces.iter().filter_map(|number| self.blank(*number, sheets.len())).collect();
        let laying = &self.work.choices.laying;
        // Two pieces on either side of a zone's edge keep apart as well.
        let edge = Um(laying.edge.0.max(if sheets.len() > boards.len() { (laying.apart.0 + 1) / 2 } else { 0 }));
        let found = lay::lay(&blanks, &sheets, Rules { apart: laying.apart, edge }, (effort, &watch));
        let mut begins: BTreeSet<BoardId> = BTreeSet::new();
        for (blank, lie) in blanks.iter().zip(found.lies) {
            let Some(lie) = lie else { continue };
            let board = of[lie.sheet];
            self.lies.insert(Number(blank.key), Lie { board, turn: lie.turn, at: lie.at });
            self.planed.insert(board, group.1);
            begins.extend(self.taken[&board].is_empty().then_some(board));
        }
        self.cost += begins.iter().map(|id| self.price(&self.work.boards[id])).sum::<i64>();
        let lies = &self.lies;
        pieces.retain(|number| !lies.contains_key(number));
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

    /// The sheets of a board: itself without its zones, and each zone that is not kept. What must be planed off counts as
    /// wood that is used.
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
        let dear = || (self.price(board) * i64::from(board.thickness.0) / i64::from(thickness.0.max(1))).max(1);
        let mut whole = sheet(&board.outline, if begun { 0 } else { dear() });
        whole.faults.extend(board.zones.iter().map(|zone| zone.outline.clone()));
        let zones = board.zones.iter().filter(|zone| !zone.keep).map(|zone| sheet(&zone.outline, 0));
        std::iter::once(whole).chain(zones).map(|sheet| (sheet, id)).collect()
    }

    fn blank(&self, number: Number, sheets: usize) -> Option<Blank> {
        let grain = self.work.pieces[&number].values.grain.map(|grain| grain.value);
        Some(Blank {
            key: number.0,
            outer: middle_ring(self.rings.get(&number)?),
            turns: turns(grain, &self.work.choices.laying),
            sheets: (0..sheets).collect(),
            fixed: None,
        })
    }

    fn price(&self, board: &Board) -> i64 {
        let dm2 = lay::area2(&board.outline) as f64 / 2e10;
        let per_dm2 = self.work.choices.choosing.prices.get(&board.wood).map_or(UNPRICED, |price| f64::from(*price));
        board.price.map_or((dm2 * per_dm2).round() as i64, i64::from)
    }
}

/// Every board that carries something.
pub(super) fn begun(work: &Work) -> BTreeSet<BoardId> {
    work.layout.values().map(|chosen| chosen.value.board).collect()
}
