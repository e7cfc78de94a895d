//! Places on a board that is sawn shorter: what of a ring is left, and whether two are one.

use measure::plane::Point;

use super::lay::{area2, bounds, clear};

/// Rings that were clipped in other orders differ by rounding, µm.
const ROUNDED: u32 = 2;

/// What of a ring lies left of x = `at`, or right of it (Sutherland and Hodgman 1974; whole for convex rings).
pub(super) fn side(ring: &[Point], at: i32, left: bool) -> Vec<Point> {
    let on_side = |p: Point| if left { p.x <= at } else { p.x >= at };
    let mut kept = Vec::new();
    for (a, b) in ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)) {
        if on_side(a) {
            kept.push(a);
        }
        if on_side(a) != on_side(b) {
            let share = f64::from(at - a.x) / f64::from(b.x - a.x);
            kept.push(Point::new(at, a.y + (f64::from(b.y - a.y) * share).round() as i32));
        }
    }
    kept.dedup();
    if kept.len() > 1 && kept.first() == kept.last() {
        kept.pop();
    }
    kept
}

/// What of a ring lies between the ends of a board, if it lies on the board at all. Boards are sawn square to x.
pub(super) fn clipped(ring: &[Point], outline: &[Point]) -> Option<Vec<Point>> {
    let (low, high) = bounds(outline);
    let kept = side(&side(ring, high.x, true), low.x, false);
    (area2(&kept) > 0 && !clear(&kept, outline, 0)).then_some(kept)
}

/// Whether two rings bound one place, wherever they begin.
pub(super) fn same(one: &[Point], other: &[Point]) -> bool {
    let near = |a: Point, b: Point| a.x.abs_diff(b.x) <= ROUNDED && a.y.abs_diff(b.y) <= ROUNDED;
    let count = one.len();
    let ends = |ring: &[Point]| bounds(ring);
    if count == 0 || count != other.len() {
        return count == other.len();
    }
    near(ends(one).0, ends(other).0)
        && near(ends(one).1, ends(other).1)
        && (0..count).any(|turn| (0..count).all(|at| near(one[at], other[(at + turn) % count])))
}

/// Whether two rings bound one place as far as it lies on a board.
pub(super) fn same_on(outline: &[Point], one: &[Point], other: &[Point]) -> bool {
    same(one, other)
        || clipped(one, outline).is_some_and(|one| clipped(other, outline).is_some_and(|other| same(&one, &other)))
}
