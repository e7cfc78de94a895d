//! Where pieces lie, and what is wrong with that.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::plane::Point;

use super::lay::{self, clear, within};
use super::parts::{Run, lying, runs};
use crate::work::{Axis, Board, BoardId, By, Changes, Laying, Lie, Number, Piece, State, Work};

/// A full turn, hundredths of a degree.
const FULL: i32 = 36_000;

/// A ring about the middle of its box, which a [`Lie`] turns it about.
pub fn middle_ring(ring: &[Point]) -> Vec<Point> {
    let (low, high) = lay::bounds(ring);
    let middle = |low: i32, high: i32| ((i64::from(low) + i64::from(high)) / 2) as i32;
    let (x, y) = (middle(low.x, high.x), middle(low.y, high.y));
    ring.iter().map(|p| Point::new(p.x - x, p.y - y)).collect()
}

/// A piece's outer ring where it lies on its board.
pub fn laid(outer: &[Point], lie: &Lie) -> Vec<Point> {
    lay::laid_ring(&middle_ring(outer), &lay::Lie { sheet: 0, turn: lie.turn, at: lie.at })
}

/// Where a point of the pattern comes to lie with the piece around it.
pub fn laid_point(outer: &[Point], at: Point, lie: &Lie) -> Point {
    let (low, high) = lay::bounds(outer);
    let middle = |low: i32, high: i32| ((i64::from(low) + i64::from(high)) / 2) as i32;
    let about = Point::new(at.x - middle(low.x, high.x), at.y - middle(low.y, high.y));
    lay::laid_ring(&[about], &lay::Lie { sheet: 0, turn: lie.turn, at: lie.at })[0]
}

/// How a piece may be turned on a board of grain "to the right": ranges in hundredths of a degree.
pub(super) fn turns(grain: Option<Axis>, laying: &Laying) -> Vec<(i32, i32)> {
    let Some(grain) = grain else { return vec![(0, FULL)] };
    let within = laying.grain_within.min(FULL as u32 / 4) as i32;
    let axis = i32::from(grain.0);
    // The nearer of the two ways to bring the grain along the board.
    let base = if axis > FULL / 4 { FULL / 2 - axis } else { -axis };
    let range = |turn: i32| (turn - within, turn + within);
    if laying.flip { vec![range(base), range(base + FULL / 2)] } else { vec![range(base)] }
}

/// What is wrong with where a piece lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// The board is of another wood, or the piece has none.
    Wood,
    /// The board is too thin, or the piece has no thickness.
    Thin,
    /// Turned too far off its grain.
    Grain,
    /// Over the edge or too near.
    Edge,
    /// Over a fault or too near.
    Fault,
    /// Across the edge of a zone, or in one that is kept.
    Zone,
    /// Over what was cut already.
    Gone,
    /// Over another piece, or too near.
    Piece(Number),
    /// Of another thickness than a piece that no straight cut parts it from.
    Thickness(Number),
}

/// A piece that cannot be cut where it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wrong {
    /// The piece.
    pub piece: Number,
    /// What is wrong.
    pub why: Why,
}

/// Everything that is wrong with the layout; what is cut already is past mending. Rings are the pieces' outer rings. Of two pieces
/// that cannot both lie so, the one is told that is pinned less, then the one of fewer on its board.
pub fn wrong(work: &Work, rings: &BTreeMap<Number, Vec<Point>>) -> Vec<Wrong> {
    let laying = &work.choices.laying;
    let mut boards: BTreeMap<BoardId, Vec<Lying>> = BTreeMap::new();
    for (number, chosen) in &work.layout {
        let Some(piece) = work.pieces.get(number).filter(|piece| piece.state == State::Planned) else { continue };
        let Some(outer) = rings.get(number).filter(|_| !gone(work, *number, &chosen.value)) else { continue };
        let one = Lying { number: *number, piece, lie: chosen.value, by: chosen.by, ring: laid(outer, &chosen.value) };
        boards.entry(chosen.value.board).or_default().push(one);
    }
    let mut found = Vec::new();
    for (id, lying) in boards {
        let Some(board) = work.boards.get(&id) else { continue };
        let single = |one: &Lying| {
            let why = alone(laying, board, one.piece, (&one.lie, one.by, &one.ring))?;
            Some(Wrong { piece: one.number, why })
        };
        found.extend(lying.iter().filter_map(single));
        found.extend(among(laying, &lying));
    }
    found.sort_unstable();
    found
}

/// A piece where it lies.
struct Lying<'a> {
    number: Number,
    piece: &'a Piece,
    lie: Lie,
    by: By,
    ring: Vec<Point>,
}

impl Lying<'_> {
    fn run(&self) -> Option<Run> {
        Some(Run::of(&self.ring, self.piece.values.thickness?.value))
    }
}

/// Pieces of one board that are in each other's way; of those that no cut parts from another thickness, each once.
fn among(laying: &Laying, lying: &[Lying]) -> Vec<Wrong> {
    let runs: Vec<Option<Run>> = lying.iter().map(Lying::run).collect();
    let mut alike: BTreeMap<Um, usize> = BTreeMap::new();
    for run in runs.iter().flatten() {
        *alike.entry(run.thickness).or_default() += 1;
    }
    let weight = |at: usize| {
        let thickness = runs[at].map(|run| run.thickness);
        (lying[at].by != By::Act, thickness.map(|thickness| (alike[&thickness], thickness)), Reverse(lying[at].number))
    };
    let mut found = Vec::new();
    let mut told: BTreeSet<usize> = BTreeSet::new();
    for (at, other) in (0..lying.len()).flat_map(|at| (0..at).map(move |other| (at, other))) {
        let (less, more) = if weight(at) < weight(other) { (at, other) } else { (other, at) };
        if !clear(&lying[at].ring, &lying[other].ring, laying.apart.0) {
            found.push(Wrong { piece: lying[less].number, why: Why::Piece(lying[more].number) });
        }
        let (Some(one), Some(two)) = (&runs[at], &runs[other]) else { continue };
        if !one.parted(two, laying) && told.insert(less) {
            found.push(Wrong { piece: lying[less].number, why: Why::Thickness(lying[more].number) });
        }
    }
    found
}

/// Takes pieces whose values changed off boards of another wood or too thin for them, or where no straight cut parts them from
/// another thickness, if acts had laid them. What is pinned there stays, and a check tells of it.
pub fn let_go(work: &mut Work, changes: &mut Changes) {
    let mut along: BTreeMap<BoardId, BTreeMap<Number, Run>> = BTreeMap::new();
    for number in &changes.pieces {
        let (Some(piece), Some(chosen)) = (work.pieces.get(number), work.layout.get(number)) else { continue };
        let (lie, values) = (chosen.value, &piece.values);
        let Some(board) = work.boards.get(&lie.board) else { continue };
        if chosen.by != By::Act || piece.state != State::Planned || gone(work, *number, &lie) {
            continue;
        }
        let carries = values.wood.as_ref().is_some_and(|wood| wood.value == board.wood)
            && values.thickness.is_some_and(|thickness| thickness.value <= board.thickness);
        let unlike = |other: Number| thickness(work, other) != thickness(work, *number);
        let mut parted = || {
            let along = along.entry(lie.board).or_insert_with(|| runs(work, lie.board));
            let Some(own) = along.get(number) else { return true };
            let mut still = along.iter().filter(|(other, _)| work.layout.contains_key(other));
            still.all(|(_, other)| own.parted(other, &work.choices.laying))
        };
        if !carries || lying(work, lie.board).any(unlike) && !parted() {
            work.layout.remove(number);
            changes.boards.insert(lie.board);
        }
    }
}

/// How thick a piece is to be, if that is known.
pub(super) fn thickness(work: &Work, number: Number) -> Option<Um> {
    work.pieces.get(&number)?.values.thickness.map(|chosen| chosen.value)
}

/// Whether a piece is cut out of its board already.
pub(super) fn gone(work: &Work, number: Number, lie: &Lie) -> bool {
    work.boards.get(&lie.board).is_some_and(|board| board.used.iter().any(|used| used.piece == number))
}

/// What is wrong with a lie by itself, the gravest alone.
pub(super) fn alone(laying: &Laying, board: &Board, piece: &Piece, lie: (&Lie, By, &[Point])) -> Option<Why> {
    let (lie, by, ring) = lie;
    let values = &piece.values;
    // By hand a piece may lie right at an edge; an act keeps off it.
    let edge = if by == By::Act { laying.edge.0 } else { 0 };
    if values.wood.as_ref().is_none_or(|wood| wood.value != board.wood) {
        return Some(Why::Wood);
    }
    if values.thickness.is_none_or(|thickness| thickness.value > board.thickness) {
        return Some(Why::Thin);
    }
    if !lay::allowed(&turns(values.grain.map(|grain| grain.value), laying), lie.turn - i32::from(board.grain.0)) {
        return Some(Why::Grain);
    }
    if !within(ring, &board.outline, edge) {
        return Some(Why::Edge);
    }
    if !board.faults.iter().all(|fault| clear(ring, fault, edge)) {
        return Some(Why::Fault);
    }
    if by == By::Act && !board.zones.iter().all(|zone| in_or_out(ring, &zone.outline, zone.keep)) {
        return Some(Why::Zone);
    }
    let gone = !board.used.iter().all(|used| clear(ring, &used.ring, laying.apart.0));
    gone.then_some(Why::Gone)
}

fn in_or_out(ring: &[Point], zone: &[Point], keep: bool) -> bool {
    clear(ring, zone, 0) || (!keep && within(ring, zone, 0))
}

/// The greatest thickness of what lies on a board and is not yet cut.
pub(super) fn carried(work: &Work, board: BoardId) -> Option<Um> {
    let here = |(number, chosen): (&Number, &crate::work::Chosen<Lie>)| {
        let piece = work.pieces.get(number).filter(|_| chosen.value.board == board)?;
        (!gone(work, *number, &chosen.value)).then_some(piece.values.thickness?.value)
    };
    work.layout.iter().filter_map(here).max()
}
