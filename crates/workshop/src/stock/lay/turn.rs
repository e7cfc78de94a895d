//! Turning and moving a ring, the one way that everybody does it: sheets, pages and checks see the same points.

use measure::plane::Point;

use super::Lie;

/// A full turn, hundredths of a degree.
pub(super) const FULL: i32 = 36_000;

/// A ring turned about the origin, counterclockwise as seen (y is down), each point to the nearest µm.
pub fn turned(ring: &[Point], turn: i32) -> Vec<Point> {
    let (sin, cos) = sin_cos(turn);
    let one = |p: &Point| {
        let (x, y) = (f64::from(p.x), f64::from(p.y));
        Point::new((x * cos + y * sin).round() as i32, (y * cos - x * sin).round() as i32)
    };
    ring.iter().map(one).collect()
}

/// A ring where it lies.
pub fn laid_ring(ring: &[Point], lie: &Lie) -> Vec<Point> {
    let move_by = |p: Point| Point::new(p.x + lie.at.x, p.y + lie.at.y);
    turned(ring, lie.turn).into_iter().map(move_by).collect()
}

/// Quarter turns are exact.
pub(super) fn sin_cos(turn: i32) -> (f64, f64) {
    match turn.rem_euclid(FULL) {
        0 => (0.0, 1.0),
        9000 => (1.0, 0.0),
        18_000 => (0.0, -1.0),
        27_000 => (-1.0, 0.0),
        turn => libm::sincos((f64::from(turn) / 100.0).to_radians()),
    }
}

/// The turns that are tried in a range: its middle and both ends; all round the four quarters.
pub(super) fn tried((from, to): (i32, i32), grain: i32) -> Vec<i32> {
    let mut turns = match to - from {
        0 => vec![from],
        FULL.. => vec![from, from + FULL / 4, from + FULL / 2, from + FULL / 4 * 3],
        _ => vec![from + (to - from) / 2, from, to],
    };
    turns.iter_mut().for_each(|turn| *turn = (*turn + grain).rem_euclid(FULL));
    turns
}

/// Whether a turn lies in one of the ranges.
pub fn allowed(turns: &[(i32, i32)], turn: i32) -> bool {
    turns.iter().any(|(from, to)| (turn - from).rem_euclid(FULL) <= to - from)
}
