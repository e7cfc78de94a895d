//! Laying blanks on sheets: where each is cut so that none overlaps, none lies over a fault or an edge, and little is wasted.
//!
//! It knows outlines alone: a blank is a closed ring that may be turned within ranges and moved, never mirrored. Everything
//! is in whole micrometres, y down. The answer is first made by `fill` and passed through `gate`, which measures every
//! distance in exact integers on the outlines as given; what would break a rule is taken out, never handed on.

mod fill;
mod form;
mod gate;
mod insist;
mod layout;
mod mask;
mod overlap;
mod poles;
mod remnant;
mod ring;
mod search;
mod seek;
mod separate;
mod sheet;
mod shrink;
mod start;
mod strip;
mod turn;

use std::cmp::Reverse;

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;
use rayon::prelude::*;

pub use fill::bounds;
pub use gate::{Breach, area2, breaches, clear, covered, within};
pub use remnant::{Remnant, remnant, remnants};
pub(super) use ring::grown_by;
pub use sheet::{claimed, usable};
pub use strip::{Strip, strip};
pub use turn::{allowed, laid_ring, turned};

/// Something to be cut from a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Blank {
    /// The caller's name for it; ties are broken by it.
    pub key: u32,
    /// Its outer ring, the first point not repeated; holes count as filled.
    pub outer: Vec<Point>,
    /// How it may be turned on a sheet of grain 0: ranges from, to (from ≤ to) in hundredths of a degree,
    /// counterclockwise as seen.
    pub turns: Vec<(i32, i32)>,
    /// The sheets that may carry it, by their index, the first ones first.
    pub sheets: Vec<usize>,
    /// Where it lies already: it is not moved.
    pub fixed: Option<Lie>,
}

/// Something to cut from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// Its edge, the first point not repeated.
    pub outer: Vec<Point>,
    /// Places to keep off, rings.
    pub faults: Vec<Vec<Point>>,
    /// What was cut from it before, rings.
    pub used: Vec<Vec<Point>>,
    /// Hundredths of a degree that are added to every range of turn on it.
    pub grain: i32,
    /// What it costs to begin it.
    pub cost: i64,
}

/// Distances that are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rules {
    /// Between two blanks, and to what was cut before: a kerf and room for the hand.
    pub apart: Um,
    /// To the edge of a sheet and to its faults.
    pub edge: Um,
}

/// Where a blank lies: turned about its origin, then moved. There is no mirror.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lie {
    /// The index of the sheet.
    pub sheet: usize,
    /// Hundredths of a degree, counterclockwise as seen.
    pub turn: i32,
    /// Where its origin comes to lie on the sheet.
    pub at: Point,
}

/// A layout.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Laid {
    /// Where each blank lies, in the order of the blanks; `None` where no room was found.
    pub lies: Vec<Option<Lie>>,
    /// What all begun sheets cost.
    pub cost: i64,
}

/// What is laid by itself: blanks, and the sheets that may carry them.
#[derive(Clone, Copy, Debug)]
pub struct Lot<'a> {
    /// The blanks.
    pub blanks: &'a [Blank],
    /// The sheets.
    pub sheets: &'a [Sheet],
    /// Distances that are kept.
    pub rules: Rules,
}

/// Lays the blanks. `effort` counts steps of some thousand places tried a blank; more is never worse, and when it is
/// stopped the best so far is given.
pub fn lay(blanks: &[Blank], sheets: &[Sheet], rules: Rules, (effort, watch): (u32, &Watch)) -> Laid {
    lay_lots(&[Lot { blanks, sheets, rules }], (effort, watch)).remove(0)
}

/// The same for lots that have nothing to do with each other, side by side: a stop finds all of them about as far.
pub fn lay_lots(lots: &[Lot], (effort, watch): (u32, &Watch)) -> Vec<Laid> {
    watch.tell("Laying the pieces on the boards", 0.0);
    let plain = || lots.par_iter().map(|lot| first(lot.blanks, lot.sheets, lot.rules)).collect::<Vec<_>>();
    let (plain, found) = rayon::join(plain, || search::search(lots, (effort, watch)));
    let better = |(lot, (plain, found)): (&Lot, (Laid, Vec<Option<Lie>>))| {
        let found = laid(found, lot.blanks, lot.sheets, lot.rules);
        let rank = |laid: &Laid| {
            let left = laid.lies.iter().filter(|lie| lie.is_none()).count();
            let remnant = remnant(laid, lot.blanks, lot.sheets, lot.rules).map_or(0, |remnant| remnant.area);
            (left, laid.cost, Reverse(remnant))
        };
        if rank(&found) <= rank(&plain) { found } else { plain }
    };
    lots.iter().zip(plain.into_iter().zip(found)).map(better).collect()
}

/// The plain first layout alone: bottom-left fill by falling area, passed through the gate.
pub fn first(blanks: &[Blank], sheets: &[Sheet], rules: Rules) -> Laid {
    laid(fill::fill(blanks, sheets, rules, 0).lies, blanks, sheets, rules)
}

fn laid(lies: Vec<Option<Lie>>, blanks: &[Blank], sheets: &[Sheet], rules: Rules) -> Laid {
    gate::kept(Laid { cost: cost(&lies, sheets), lies }, blanks, sheets, rules)
}

/// What the sheets that carry anything cost.
fn cost(lies: &[Option<Lie>], sheets: &[Sheet]) -> i64 {
    let mut begun: Vec<usize> = lies.iter().flatten().map(|lie| lie.sheet).collect();
    begun.sort_unstable();
    begun.dedup();
    begun.into_iter().map(|sheet| sheets[sheet].cost).sum()
}

#[cfg(test)]
mod tests;
