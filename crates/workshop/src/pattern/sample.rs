//! A small pattern made by hand, for tests: a grid of cells with an island in an island.

use measure::length::Um;
use measure::plane::{Cubic, Point};

use super::{accept, prove};
use crate::work::{Area, AreaId, Becomes, Border, BorderId, Ends, JunctionId, Origin, Pattern, Side, Size, Work};

/// Side of a cell, µm.
pub(crate) const CELL: i32 = 20_000;

/// A draft of `columns` × `rows` cells with waved borders; in the second cell lies an island, and one in that.
pub(crate) fn draft(columns: i32, rows: i32) -> (Pattern, Size) {
    let mut pattern = Pattern::default();
    let area = |c: i32, r: i32| match (0..columns).contains(&c) && (0..rows).contains(&r) {
        true => Side::Area(AreaId((r * columns + c + 1) as u32)),
        false => Side::Beyond,
    };
    let junction = |c: i32, r: i32| JunctionId((r * (columns + 1) + c + 1) as u32);
    for r in 0..=rows {
        for c in 0..=columns {
            pattern.junctions.insert(junction(c, r), Point::new(c * CELL, r * CELL));
            if c < columns {
                let (above, below) = (area(c, r - 1), area(c, r));
                lay(&mut pattern, [junction(c, r), junction(c + 1, r)], above, below);
            }
            if r < rows {
                let (east, west) = (area(c, r), area(c - 1, r));
                lay(&mut pattern, [junction(c, r), junction(c, r + 1)], east, west);
            }
            if let Side::Area(id) = area(c, r) {
                pattern.areas.insert(id, drafted(Point::new(c * CELL + CELL / 6, r * CELL + CELL / 6)));
            }
        }
    }
    let (host, outer, inner) = (AreaId(2), AreaId(9001), AreaId(9002));
    for (radius, around, within) in [(6000, host, outer), (3000, outer, inner)] {
        ring(&mut pattern, Point::new(CELL + CELL / 2, CELL / 2), radius, around, within);
    }
    pattern.areas.insert(outer, drafted(Point::new(CELL + CELL / 2 + 4500, CELL / 2)));
    pattern.areas.insert(inner, drafted(Point::new(CELL + CELL / 2, CELL / 2)));
    (pattern, Size { width: Um(columns * CELL), height: Um(rows * CELL) })
}

fn drafted(at: Point) -> Area {
    Area { becomes: Becomes::Unnumbered, at }
}

fn next_border(pattern: &Pattern) -> BorderId {
    BorderId(pattern.borders.keys().last().map_or(1, |id| id.0 + 1))
}

fn lay(pattern: &mut Pattern, [from, to]: [JunctionId; 2], left: Side, right: Side) {
    let id = next_border(pattern);
    let edge = left == Side::Beyond || right == Side::Beyond;
    let from_at = pattern.junctions[&from];
    let across = to.0 == from.0 + 1;
    let to_at = if across { Point::new(from_at.x + CELL, from_at.y) } else { Point::new(from_at.x, from_at.y + CELL) };
    let wave = |third: i32, by: i32| match across {
        true => Point::new(from_at.x + third * CELL / 3, from_at.y + by),
        false => Point::new(from_at.x + by, from_at.y + third * CELL / 3),
    };
    let curve =
        if edge { Cubic::straight(from_at, to_at) } else { Cubic([from_at, wave(1, 1500), wave(2, -1500), to_at]) };
    let origin = if edge { Origin::Edge } else { Origin::Traced };
    let border =
        Border { ends: Ends::Between(from, to), curve: vec![curve], left, right, gap: Um(0), ink: Um(0), from: origin };
    pattern.borders.insert(id, border);
}

fn ring(pattern: &mut Pattern, centre: Point, radius: i32, around: AreaId, within: AreaId) {
    let at = |x: i32, y: i32| Point::new(centre.x + x, centre.y + y);
    // 0.5523 of the radius makes a quarter of a circle to 0.03 %.
    let (r, k) = (radius, radius * 5523 / 10_000);
    let curve = vec![
        Cubic([at(r, 0), at(r, k), at(k, r), at(0, r)]),
        Cubic([at(0, r), at(-k, r), at(-r, k), at(-r, 0)]),
        Cubic([at(-r, 0), at(-r, -k), at(-k, -r), at(0, -r)]),
        Cubic([at(0, -r), at(k, -r), at(r, -k), at(r, 0)]),
    ];
    let (left, right) = (Side::Area(around), Side::Area(within));
    let border =
        Border { ends: Ends::Ring(at(r, 0)), curve, left, right, gap: Um(0), ink: Um(0), from: Origin::Traced };
    let id = next_border(pattern);
    pattern.borders.insert(id, border);
}

/// The draft accepted: pieces numbered in reading order, nothing else decided.
pub(crate) fn accepted(columns: i32, rows: i32) -> Work {
    let (draft, panel) = draft(columns, rows);
    assert_eq!(prove(&draft, panel), [], "the pattern made by hand is whole");
    let mut work = Work { panel, ..Work::default() };
    accept(&mut work, &draft).expect("a whole draft is accepted");
    work
}
