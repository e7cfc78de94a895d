//! Hollows that a drum does not reach.
//!
//! A drum of radius R that touches an edge point from outside has its middle R away from it, square to the edge. Where
//! another part of the outline lies nearer to that middle than R the drum does not come there: such points make a hollow, and
//! from its middle the drum is drawn back, square to the edge, until it is free. That is how far it stays off; where it must
//! be drawn aside as well it may come a little nearer. A disc, being flat, reaches no hollow at all. Inside corners, which
//! the saw leaves sharp and no drum reaches, count as hollows.

use measure::plane::Point;

/// An edge point counts as missed when another stands so far in the drum's way, µm: what a sanding stroke takes, from memory.
const MISSED: f64 = 150.0;
/// The drum is drawn back by such steps, µm, up to so many.
const STEP: f64 = 100.0;
const STEPS: usize = 400;

/// A stretch of an outline that a drum does not reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hollow {
    /// Its middle.
    pub at: Point,
    /// How far the drum stays off there, µm; `None` where it does not go in at all.
    pub off: Option<f64>,
}

/// The stretches of an outline's rings that a drum of this radius (µm) does not reach, in the order of the rings. A hole
/// narrower than the drum is one such stretch.
pub fn hollows(rings: &[Vec<Point>], radius: f64) -> Vec<Hollow> {
    let of = |ring: &Vec<Point>| {
        let missed: Vec<bool> = (0..ring.len()).map(|at| missed(ring, at, rings, radius)).collect();
        middles(&missed)
            .into_iter()
            .map(|at| Hollow { at: ring[at], off: off(ring, at, rings, radius) })
            .collect::<Vec<_>>()
    };
    rings.iter().flat_map(of).collect()
}

/// Whether something is in the way of a drum that would touch a point of a ring.
fn missed(ring: &[Point], at: usize, rings: &[Vec<Point>], radius: f64) -> bool {
    middle(ring, at, radius).is_some_and(|middle| room(rings, middle) < radius - MISSED)
}

/// How far the drum stays off a point when it is drawn straight back until it is free.
fn off(ring: &[Point], at: usize, rings: &[Vec<Point>], radius: f64) -> Option<f64> {
    (1..STEPS)
        .map(|step| step as f64 * STEP)
        .map_while(|off| Some((off, middle(ring, at, radius + off).filter(|middle| !in_wood(rings, *middle))?)))
        .find(|(_, middle)| room(rings, *middle) >= radius)
        .map(|(off, _)| off)
}

/// Whether a place lies in the wood: inside an odd number of rings.
fn in_wood(rings: &[Vec<Point>], (x, y): (f64, f64)) -> bool {
    let crosses = |(a, b): &(Point, Point)| {
        let (ay, by) = (f64::from(a.y), f64::from(b.y));
        (ay > y) != (by > y) && x < f64::from(a.x) + (y - ay) * f64::from(b.x - a.x) / (by - ay)
    };
    rings.iter().flat_map(|ring| edges(ring)).filter(crosses).count() % 2 == 1
}

/// From a place to the nearest point of the outline, µm.
fn room(rings: &[Vec<Point>], at: (f64, f64)) -> f64 {
    rings.iter().flat_map(|ring| edges(ring)).map(|(a, b)| square_to(at, a, b)).fold(f64::INFINITY, f64::min).sqrt()
}

fn edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..ring.len()).map(|at| (ring[at], ring[(at + 1) % ring.len()]))
}

/// Where the middle of a drum stands that touches a ring at a point from outside: rings run with the wood to the right.
fn middle(ring: &[Point], at: usize, radius: f64) -> Option<(f64, f64)> {
    let n = ring.len();
    let (before, here, after) = (ring[(at + n - 1) % n], ring[at], ring[(at + 1) % n]);
    let unit = |a: Point, b: Point| {
        let (x, y) = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
        let long = libm::hypot(x, y);
        (long > 0.0).then(|| (x / long, y / long))
    };
    let ((ax, ay), (bx, by)) = (unit(before, here)?, unit(here, after)?);
    let (x, y) = (ax + bx, ay + by);
    let long = libm::hypot(x, y);
    // The way back along itself has no side.
    (long > 1e-6).then(|| (f64::from(here.x) + y / long * radius, f64::from(here.y) - x / long * radius))
}

fn square_to(at: (f64, f64), a: Point, b: Point) -> f64 {
    let (ax, ay) = (f64::from(a.x), f64::from(a.y));
    let (dx, dy) = (f64::from(b.x) - ax, f64::from(b.y) - ay);
    let long = dx * dx + dy * dy;
    let t = if long > 0.0 { (((at.0 - ax) * dx + (at.1 - ay) * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
    let (x, y) = (ax + t * dx - at.0, ay + t * dy - at.1);
    x * x + y * y
}

/// The middle of each stretch of neighbouring points that are missed.
fn middles(missed: &[bool]) -> Vec<usize> {
    let n = missed.len();
    let start = missed.iter().position(|missed| !missed).unwrap_or(0);
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for k in (0..n).filter(|k| missed[(start + k) % n]) {
        match stretches.last_mut().filter(|last| last.1 + 1 == k) {
            Some(last) => last.1 = k,
            None => stretches.push((k, k)),
        }
    }
    stretches.into_iter().map(|(from, to)| (start + (from + to) / 2) % n).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of 60 mm, its wood to the right of the walk, with a round hollow of some radius in its top side.
    fn hollowed(radius: f64) -> Vec<Point> {
        let mut ring = vec![Point::new(0, 0)];
        for k in 0..=60 {
            let way = std::f64::consts::PI * (1.0 - f64::from(k) / 60.0);
            ring.push(Point::new((30_000.0 + radius * libm::cos(way)) as i32, (radius * libm::sin(way)) as i32));
        }
        ring.extend([Point::new(60_000, 0), Point::new(60_000, 60_000), Point::new(0, 60_000)]);
        ring
    }

    #[test]
    fn a_drum_reaches_what_is_wider_than_itself() {
        assert_eq!(hollows(&[hollowed(10_000.0)], 9000.0), []);
        let missed = hollows(&[hollowed(10_000.0)], 14_000.0);
        assert_eq!(missed.len(), 1);
        // A circle of 14 mm that rests on the rims of a half circle of 10 mm sinks in by 14 − √(14² − 10²) = 4.20 mm, so it
        // stays 10 − 4.20 = 5.80 mm off its ground.
        let off = missed[0].off.expect("it goes in a little");
        assert!((off - 5800.0).abs() <= 150.0, "{missed:?}");
        assert!((missed[0].at.x - 30_000).abs() < 600);
    }

    #[test]
    fn inside_corners_and_narrow_holes_are_missed_and_outside_corners_are_not() {
        let square = |side: i32| [(0, 0), (side, 0), (side, side), (0, side)].map(|(x, y)| Point::new(x, y)).to_vec();
        assert_eq!(hollows(&[square(50_000)], 6000.0), []);
        let ell = [(0, 0), (20_000, 0), (20_000, 20_000), (50_000, 20_000), (50_000, 50_000), (0, 50_000)];
        assert_eq!(hollows(&[ell.map(|(x, y)| Point::new(x, y)).to_vec()], 6000.0).len(), 1);
        // In a square corner a circle stays off by (√2 − 1) of its radius: 2.49 mm of 6.
        let corner = hollows(&[ell.map(|(x, y)| Point::new(x, y)).to_vec()], 6000.0)[0].off.expect("it comes near");
        assert!((corner - 2485.0).abs() <= 100.0, "{corner}");
        let hole: Vec<Point> = square(8000).into_iter().rev().map(|p| Point::new(p.x + 20_000, p.y + 20_000)).collect();
        assert!(hollows(&[square(50_000), hole], 6000.0).iter().all(|hollow| hollow.off.is_none()));
    }
}
