//! Boards that can be.

use measure::length::{Um, mm_text};
use measure::plane::{Point, orientation};

use super::lay::{area2, bounds, covered};
use crate::work::{Board, Refusal, Way};

/// No board is longer, µm: a room's length. It catches slips of the unit.
const LONGEST: i32 = 8_000_000;
/// No board is thicker, µm.
const THICKEST: i32 = 200_000;
/// More corners than anyone draws.
const CORNERS_MOST: usize = 2000;
/// More places on one board than anyone notes.
const PLACES_MOST: usize = 500;

/// Refuses a board that cannot be.
pub fn sound(board: &Board) -> Result<(), Refusal> {
    named(&board.name, "A board")?;
    if !(1..=THICKEST).contains(&board.thickness.0) {
        let what = format!("Board \"{}\" would be {} thick.", board.name, mm_text(board.thickness));
        return refuse(&what, "Give a thickness above 0, 200 mm at the most.");
    }
    ring(&board.outline, "The edge of the board")?;
    if board.faults.len() + board.zones.len() > PLACES_MOST {
        return refuse("More than 500 places are noted on one board.", "Note those that matter for the cut.");
    }
    board.faults.iter().try_for_each(|fault| ring(fault, "A fault"))?;
    if board.used.iter().any(|used| used.ring.len() < 3 || area2(&used.ring) == 0) {
        return refuse(
            "A place that was cut out of the board has no area.",
            "Give 3 corners or more, not on one line.",
        );
    }
    board.zones.iter().try_for_each(|zone| {
        named(&zone.name, "A zone")?;
        in_board(board, &zone.outline)
    })
}

/// Refuses a name that cannot be read off a board or a sheet: none, too long, or with signs that steer a terminal or turn the
/// order of letters (Unicode Standard Annex 9).
fn named(name: &str, what: &str) -> Result<(), Refusal> {
    let steers = |c: char| {
        c.is_control() || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if name.trim().is_empty() || name.chars().count() > 80 || name.contains(steers) {
        let what = format!("{what} needs a name of at most 80 letters, without signs that cannot be seen.");
        return refuse(&what, "Give it one, as you write it on its end.");
    }
    Ok(())
}

/// Refuses a zone that does not lie on its board.
pub(super) fn in_board(board: &Board, zone: &[Point]) -> Result<(), Refusal> {
    ring(zone, "A zone")?;
    if covered(zone, &board.outline) {
        return Ok(());
    }
    refuse("The zone reaches beyond the edge of the board.", "Draw it on the board; it may run along the edge.")
}

/// Refuses a ring that bounds nothing or crosses itself.
pub(super) fn ring(ring: &[Point], what: &str) -> Result<(), Refusal> {
    if ring.len() < 3 || ring.len() > CORNERS_MOST {
        return refuse(
            &format!("{what} has {} corners.", ring.len()),
            "Give 3 to 2000 corners, the first not repeated.",
        );
    }
    let (low, high) = bounds(ring);
    let far = |v: i32| v.unsigned_abs() > LONGEST as u32;
    if ring.iter().any(|p| far(p.x) || far(p.y)) || high.x - low.x > LONGEST || high.y - low.y > LONGEST {
        return refuse(
            &format!("{what} is longer than {}.", mm_text(Um(LONGEST))),
            "Check the unit: lengths are in µm.",
        );
    }
    if crosses(ring) {
        return refuse(&format!("{what} crosses or touches itself."), "Draw one closed line around it.");
    }
    Ok(())
}

fn refuse(what: &str, way: &str) -> Result<(), Refusal> {
    Err(Refusal::new(what).way(Way::advice(way)))
}

fn crosses(ring: &[Point]) -> bool {
    let closed: Vec<Point> = ring.iter().copied().chain(ring.first().copied()).collect();
    let flat = ring.iter().all(|p| orientation(ring[0], ring[1], *p) == 0);
    flat || !measure::plane::touches(&[closed]).is_empty()
}
