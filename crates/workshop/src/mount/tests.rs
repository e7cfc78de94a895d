//! A square work of four cells: pieces, and one of shadow at the edge.

use measure::length::Um;
use measure::plane::{Cubic, Point};

use super::*;
use crate::pattern::outlines;
use crate::work::{Area, AreaId, Border, BorderId, Ends, JunctionId, Origin, Side, Size};

const SIDE: i32 = 100_000;

/// One square area of what `becomes` says, its sides borders.
fn square(sides: [Becomes; 2]) -> Work {
    let mut work = Work { panel: Size { width: Um(2 * SIDE), height: Um(SIDE) }, ..Work::default() };
    let at = |x: i32, y: i32| Point::new(x * SIDE, y * SIDE);
    let points = [at(0, 0), at(1, 0), at(2, 0), at(2, 1), at(1, 1), at(0, 1)];
    for (i, &point) in points.iter().enumerate() {
        work.pattern.junctions.insert(JunctionId(i as u32 + 1), point);
    }
    let mut border = |from: usize, to: usize, left: Side, right: Side| {
        let (a, d) = (points[from], points[to]);
        let third = |n: i32| Point::new(a.x + (d.x - a.x) * n / 3, a.y + (d.y - a.y) * n / 3);
        let ends = Ends::Between(JunctionId(from as u32 + 1), JunctionId(to as u32 + 1));
        let id = BorderId(work.pattern.borders.len() as u32 + 1);
        let curve = vec![Cubic([a, third(1), third(2), d])];
        let origin = if left == Side::Beyond { Origin::Edge } else { Origin::Traced };
        work.pattern.borders.insert(id, Border { ends, curve, left, right, gap: Um(0), ink: Um(0), from: origin });
    };
    let (one, two) = (Side::Area(AreaId(1)), Side::Area(AreaId(2)));
    for (from, to, inner) in [(0, 1, one), (1, 2, two), (2, 3, two), (3, 4, two), (4, 5, one), (5, 0, one)] {
        border(from, to, Side::Beyond, inner);
    }
    border(1, 4, two, one);
    for (at, becomes) in sides.into_iter().enumerate() {
        let middle = Point::new(at as i32 * SIDE + SIDE / 2, SIDE / 2);
        work.pattern.areas.insert(AreaId(at as u32 + 1), Area { becomes, at: middle });
    }
    work
}

fn area(rings: &[Vec<Point>]) -> f64 {
    let ring = |ring: &Vec<Point>| {
        let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
        pairs.map(|(a, b)| f64::from(a.x) * f64::from(b.y) - f64::from(b.x) * f64::from(a.y)).sum::<f64>() / 2e6
    };
    rings.iter().map(ring).sum::<f64>().abs()
}

fn made(sides: [Becomes; 2]) -> Backing {
    let work = square(sides);
    backing(&work, &outlines(&work.pattern, work.panel))
}

#[test]
fn behind_pieces_it_stays_inside() {
    let backing = made([Becomes::Piece(Number(1)), Becomes::Piece(Number(2))]);
    assert_eq!(backing.work.len(), 1);
    assert!((area(&backing.backer) - 196.0 * 96.0).abs() < 0.5, "{}", area(&backing.backer));
    // Rounded outside corners: four quarter circles of the clearance.
    let opening = 201.0 * 101.0 - 4.0 * 0.25 * (1.0 - std::f64::consts::FRAC_PI_4);
    assert!((area(&backing.opening) - opening).abs() < 0.5, "{}", area(&backing.opening));
    assert_eq!(backing.around, Some((Point::new(-25_500, -25_500), Point::new(225_500, 125_500))));
    assert!(!backing.shows && backing.uncarried.is_empty());
}

#[test]
fn shadow_at_the_edge_brings_it_out() {
    let backing = made([Becomes::Piece(Number(1)), Becomes::Shadow]);
    assert!(backing.shows);
    let beyond = |p: &&Point| p.x > 2 * SIDE + 2990 && p.x < 2 * SIDE + 3010;
    // A straight side has no points but its ends.
    let down: Vec<i32> = backing.backer.iter().flatten().filter(beyond).map(|p| p.y).collect();
    let along = down.iter().max().zip(down.iter().min()).map_or(0, |(low, top)| low - top);
    assert!(along > SIDE * 9 / 10, "it reaches 3 mm beyond the shadow, all along: {along} µm");
    let left = backing.backer.iter().flatten().map(|p| p.x).min().unwrap();
    assert_eq!(left, 2000, "and stays 2 mm behind the piece");
}

#[test]
fn ground_is_no_work() {
    let backing = made([Becomes::Piece(Number(1)), Becomes::Ground]);
    assert!((area(&backing.backer) - 96.0 * 96.0).abs() < 0.5);
    assert!(made([Becomes::Ground, Becomes::Ground]).backer.is_empty());
}
