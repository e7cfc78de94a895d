//! A line drawn by hand: tidied, then smoothed into cubics that pass through its points.
//!
//! Tidying is the line simplification of Ramer (1972) and Douglas and Peucker (1973), which takes the tremble of the pen out.
//! The cubics take their tangents from three neighbouring points weighted by chord length, a Catmull–Rom spline for uneven
//! points. A sharp turn stays a corner.

use measure::plane::{Cubic, Point};

/// Tremble under this is taken out, µm. Coarser rounds fine work, finer keeps the steps of a mouse.
const TREMBLE_UM: f64 = 150.0;
/// A turn whose cosine is under this (about 66°) is meant as a corner.
const CORNER_COSINE: f64 = 0.4;
/// More points than this are no line drawn by hand.
pub(super) const POINTS_MOST: usize = 20_000;

type Vector = (f64, f64);

/// The points without repeats.
pub(super) fn distinct(points: &[Point]) -> Vec<Point> {
    let mut kept = points.to_vec();
    kept.dedup();
    kept
}

/// Fewer points, none of the old line farther than the tremble from the new.
pub(super) fn tidied(points: &[Point]) -> Vec<Point> {
    let mut keep = vec![false; points.len()];
    let mut open = vec![(0, points.len() - 1)];
    while let Some((from, to)) = open.pop() {
        keep[from] = true;
        keep[to] = true;
        let farthest = (from + 1..to)
            .map(|i| (i, distance(points[from], points[to], points[i])))
            .fold((from, TREMBLE_UM), |best, next| if next.1 > best.1 { next } else { best });
        if farthest.0 != from {
            open.extend([(from, farthest.0), (farthest.0, to)]);
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(point, _)| *point).collect()
}

/// Distance of `p` from the chord `a`→`b`.
fn distance(a: Point, b: Point, p: Point) -> f64 {
    let (along, to) = (between(a, b), between(a, p));
    let length = dot(along, along);
    let t = if length > 0.0 { (dot(along, to) / length).clamp(0.0, 1.0) } else { 0.0 };
    let off = (to.0 - t * along.0, to.1 - t * along.1);
    dot(off, off).sqrt()
}

/// Cubics through distinct points. A closed line repeats its first point at the end.
pub(super) fn smoothed(points: &[Point], closed: bool) -> Vec<Cubic> {
    let last = points.len() - 1;
    let tangent = |i: usize| -> Option<Vector> {
        match (closed, i) {
            (true, 0) => tangent(points[last - 1], points[0], points[1]),
            (true, i) if i == last => tangent(points[last - 1], points[0], points[1]),
            (false, 0) => None,
            (false, i) if i == last => None,
            _ => tangent(points[i - 1], points[i], points[i + 1]),
        }
    };
    (0..last).map(|i| cubic(points[i], points[i + 1], tangent(i), tangent(i + 1))).collect()
}

fn cubic(a: Point, b: Point, leaves: Option<Vector>, arrives: Option<Vector>) -> Cubic {
    let chord = between(a, b);
    let length = dot(chord, chord).sqrt();
    let straight = (chord.0 / length, chord.1 / length);
    if leaves.is_none() && arrives.is_none() {
        return Cubic::straight(a, b);
    }
    let third = length / 3.0;
    let (u, v) = (leaves.unwrap_or(straight), arrives.unwrap_or(straight));
    Cubic([a, moved(a, u, third), moved(b, v, -third), b])
}

fn moved(point: Point, by: Vector, times: f64) -> Point {
    Point::new(point.x + (by.0 * times).round() as i32, point.y + (by.1 * times).round() as i32)
}

/// The direction of the line in `b`, at unit speed or less; none in a corner.
fn tangent(a: Point, b: Point, c: Point) -> Option<Vector> {
    let (before, after) = (between(a, b), between(b, c));
    let (d, e) = (dot(before, before).sqrt(), dot(after, after).sqrt());
    let (u, v) = ((before.0 / d, before.1 / d), (after.0 / e, after.1 / e));
    let weighted = ((u.0 * e + v.0 * d) / (d + e), (u.1 * e + v.1 * d) / (d + e));
    (dot(u, v) >= CORNER_COSINE).then_some(weighted)
}

fn between(a: Point, b: Point) -> Vector {
    (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y))
}

fn dot(a: Vector, b: Vector) -> f64 {
    a.0 * b.0 + a.1 * b.1
}
