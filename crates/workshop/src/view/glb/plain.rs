//! Outlines with as few points as the kerf lets be: Douglas and Peucker (1973) on closed rings.

use measure::plane::Point;

/// How far an outline may be straightened, µm: well within the kerf.
const STRAIGHT_UM: f64 = 30.0;
/// The most points of one body's outline: four stand over each in its sides, and glTF counts them in two bytes.
const MOST_POINTS: usize = 16_000;

/// The rings with as few points as the tolerance lets be, and few enough for one body.
pub(super) fn plain(rings: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let mut straight = STRAIGHT_UM;
    loop {
        let rings: Vec<Vec<Point>> = rings.iter().map(|ring| straightened(ring, straight)).collect();
        let rings: Vec<Vec<Point>> = rings.into_iter().filter(|ring| ring.len() > 2).collect();
        if rings.iter().map(Vec::len).sum::<usize>() < MOST_POINTS {
            return rings;
        }
        straight *= 2.0;
    }
}

/// Douglas and Peucker (1973) on a closed ring, from its first point and the one farthest from that.
fn straightened(ring: &[Point], within: f64) -> Vec<Point> {
    let Some(first) = ring.first() else { return Vec::new() };
    let away = |point: &Point| {
        let (dx, dy) = (i64::from(point.x - first.x), i64::from(point.y - first.y));
        dx * dx + dy * dy
    };
    let far = (0..ring.len()).max_by_key(|at| (away(&ring[*at]), std::cmp::Reverse(*at))).unwrap_or(0);
    let closed: Vec<Point> = ring.iter().chain([first]).copied().collect();
    let mut keep = vec![false; closed.len()];
    let mut open = vec![(0, far), (far, ring.len())];
    while let Some((from, to)) = open.pop() {
        (keep[from], keep[to]) = (true, true);
        let off = |at: usize| distance(closed[at], (closed[from], closed[to]));
        let worst = (from + 1..to.max(from + 1)).max_by(|a, b| off(*a).total_cmp(&off(*b)).then(b.cmp(a)));
        if let Some(worst) = worst.filter(|worst| off(*worst) > within) {
            open.extend([(from, worst), (worst, to)]);
        }
    }
    let mut kept: Vec<Point> = (0..ring.len()).filter(|at| keep[*at]).map(|at| ring[at]).collect();
    kept.dedup();
    kept
}

fn distance(p: Point, (a, b): (Point, Point)) -> f64 {
    let side = |from: Point, to: Point| (f64::from(to.x) - f64::from(from.x), f64::from(to.y) - f64::from(from.y));
    let ((ux, uy), (vx, vy)) = (side(a, b), side(a, p));
    let long = (ux * ux + uy * uy).sqrt();
    if long < 1e-9 { (vx * vx + vy * vy).sqrt() } else { (ux * vy - uy * vx).abs() / long }
}
