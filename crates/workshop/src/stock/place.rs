//! Where pieces lie, and what is wrong with that.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::Point;

use super::lay::{self, clear, within};
use crate::work::{Axis, Board, By, Changes, Laying, Lie, Number, Piece, State, Work};

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
}

/// A piece that cannot be cut where it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wrong {
    /// The piece.
    pub piece: Number,
    /// What is wrong.
    pub why: Why,
}

/// Everything that is wrong with the layout; what is cut already is past mending. Rings are the pieces' outer rings.
pub fn wrong(work: &Work, rings: &BTreeMap<Number, Vec<Point>>) -> Vec<Wrong> {
    let lying: Vec<(Number, &Piece, Lie, By, Vec<Point>)> = (work.layout.iter())
        .filter_map(|(number, chosen)| {
            let piece = work.pieces.get(number).filter(|piece| piece.state == State::Planned)?;
            Some((*number, piece, chosen.value, chosen.by, laid(rings.get(number)?, &chosen.value)))
        })
        .filter(|(number, _, lie, ..)| !gone(work, *number, lie))
        .collect();
    let mut found = Vec::new();
    for (at, (number, piece, lie, by, ring)) in lying.iter().enumerate() {
        let Some(board) = work.boards.get(&lie.board) else { continue };
        found.extend(alone(&work.choices.laying, board, piece, (lie, *by, ring)).map(|why| (*number, why)));
        let others = lying[..at].iter().filter(|other| other.2.board == lie.board);
        let near = others.filter(|other| !clear(ring, &other.4, work.choices.laying.apart.0));
        found.extend(near.map(|other| (*number, Why::Piece(other.0))));
    }
    found.into_iter().map(|(piece, why)| Wrong { piece, why }).collect()
}

/// Takes pieces whose values changed off boards of another wood, or too thin for them, where acts had laid them. What is pinned there
/// stays, and a check tells of it.
pub fn let_go(work: &mut Work, changes: &mut Changes) {
    for number in &changes.pieces {
        let (Some(piece), Some(chosen)) = (work.pieces.get(number), work.layout.get(number)) else { continue };
        let (lie, values) = (chosen.value, &piece.values);
        let Some(board) = work.boards.get(&lie.board) else { continue };
        let carries = values.wood.as_ref().is_some_and(|wood| wood.value == board.wood)
            && values.thickness.is_some_and(|thickness| thickness.value <= board.thickness);
        if chosen.by == By::Act && piece.state == State::Planned && !carries && !gone(work, *number, &lie) {
            work.layout.remove(number);
            changes.boards.insert(lie.board);
        }
    }
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

/// The thickness of what a board carries and is not yet cut, if it carries anything.
pub(super) fn carries(work: &Work, board: crate::work::BoardId, but: Number) -> Option<Um> {
    let here = |(number, chosen): (&Number, &crate::work::Chosen<Lie>)| {
        let lies = chosen.value.board == board && *number != but && chosen.by != By::Act;
        let piece = work.pieces.get(number).filter(|_| lies && !gone(work, *number, &chosen.value))?;
        Some(piece.values.thickness?.value)
    };
    work.layout.iter().find_map(here)
}

/// The thickness of whatever lies on a board and is not yet cut.
pub fn carried(work: &Work, board: crate::work::BoardId) -> Option<Um> {
    let here = |(number, chosen): (&Number, &crate::work::Chosen<Lie>)| {
        let piece = work.pieces.get(number).filter(|_| chosen.value.board == board)?;
        (!gone(work, *number, &chosen.value)).then_some(piece.values.thickness?.value)
    };
    work.layout.iter().filter_map(here).max()
}
