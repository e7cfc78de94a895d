//! Rings that are circles, as near as their cracks can tell.
//!
//! The circle with the least squares of x² + y² − 2ax − 2by − c (Kåsa 1976) through all crack midpoints: those of one side lie
//! off by up to half a pixel, those all around even out.

use kurbo::Vec2;

use super::cubics::Curve;

/// A ring shorter than this many midpoints may be anything.
const LEAST_POINTS: usize = 24;

/// Four cubics around the circle that passes within `most` of every point; `None` when no circle does.
pub fn circle(points: &[Vec2], most: f64) -> Option<Vec<Curve>> {
    if points.len() < LEAST_POINTS {
        return None;
    }
    let (centre, radius) = least_circle(points)?;
    let off = |p: &Vec2| ((*p - centre).hypot2().sqrt() - radius).abs();
    if points.iter().any(|p| off(p) > most) {
        return None;
    }
    let first = points[0] - centre;
    let arm = first * (radius / first.hypot2().sqrt());
    // A quarter's handle that puts its middle on the circle; elsewhere it is off by 0.03 % of the radius.
    let handle = 4.0 / 3.0 * (std::f64::consts::SQRT_2 - 1.0);
    let left = |v: Vec2| Vec2::new(-v.y, v.x);
    let way = points[1] - points[0];
    let side = if left(arm).dot(way) < 0.0 { -1.0 } else { 1.0 };
    let quarter = |arm: Vec2| {
        let next = left(arm) * side;
        [arm, arm + next * handle, next + arm * handle, next].map(|v| centre + v)
    };
    Some(std::iter::successors(Some(arm), |arm| Some(left(*arm) * side)).take(4).map(quarter).collect())
}

/// Centre and radius of the circle with the least squares.
fn least_circle(points: &[Vec2]) -> Option<(Vec2, f64)> {
    let count = points.len() as f64;
    let mean = points.iter().fold(Vec2::ZERO, |sum, p| sum + *p) / count;
    let (mut xx, mut xy, mut yy, mut by) = (0.0, 0.0, 0.0, Vec2::ZERO);
    for p in points.iter().map(|p| *p - mean) {
        (xx, xy, yy) = (xx + p.x * p.x, xy + p.x * p.y, yy + p.y * p.y);
        by += p * p.hypot2();
    }
    let det = xx * yy - xy * xy;
    // Points on a line have no circle.
    if det <= 1e-6 * (xx + yy) * (xx + yy) {
        return None;
    }
    let centre = Vec2::new(yy * by.x - xy * by.y, xx * by.y - xy * by.x) * (0.5 / det);
    Some((mean + centre, ((xx + yy) / count + centre.hypot2()).sqrt()))
}
