use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::{Cubic, Point};

use super::outlines;
use crate::work::{Area, AreaId, Becomes, Border, BorderId, Ends, JunctionId, Origin, Pattern, Side, Size};

const PANEL: Size = Size { width: Um(100_000), height: Um(60_000) };

fn way(points: &[(i32, i32)]) -> Vec<Cubic> {
    let at = |&(x, y): &(i32, i32)| Point::new(x, y);
    points.windows(2).map(|ends| Cubic::straight(at(&ends[0]), at(&ends[1]))).collect()
}

fn border(ends: Ends, curve: Vec<Cubic>, left: Side, right: Side) -> Border {
    Border { ends, curve, left, right, gap: Um(0), ink: Um(0), from: Origin::Traced }
}

/// Two areas side by side, and an island in the left one that touches nothing.
fn two_and_an_island() -> Pattern {
    let (a, b, c) = (Side::Area(AreaId(1)), Side::Area(AreaId(2)), Side::Area(AreaId(3)));
    let (top, low) = (JunctionId(1), JunctionId(2));
    let between = Ends::Between;
    let ring = way(&[(10_000, 10_000), (30_000, 10_000), (30_000, 30_000), (10_000, 30_000), (10_000, 10_000)]);
    let borders = [
        border(between(top, low), way(&[(60_000, 0), (60_000, 60_000)]), b, a),
        border(
            between(top, low),
            way(&[(60_000, 0), (100_000, 0), (100_000, 60_000), (60_000, 60_000)]),
            Side::Beyond,
            b,
        ),
        border(between(low, top), way(&[(60_000, 60_000), (0, 60_000), (0, 0), (60_000, 0)]), Side::Beyond, a),
        border(Ends::Ring(Point::new(10_000, 10_000)), ring, a, c),
    ];
    let areas = [(1, (5000, 5000)), (2, (80_000, 30_000)), (3, (20_000, 20_000))];
    Pattern {
        junctions: BTreeMap::from([(top, Point::new(60_000, 0)), (low, Point::new(60_000, 60_000))]),
        borders: borders.into_iter().enumerate().map(|(at, border)| (BorderId(at as u32 + 1), border)).collect(),
        areas: areas
            .into_iter()
            .map(|(id, (x, y))| (AreaId(id), Area { becomes: Becomes::Unnumbered, at: Point::new(x, y) }))
            .collect(),
    }
}

#[test]
fn rings_areas_and_meetings_of_two_and_an_island() {
    let made = outlines(&two_and_an_island(), PANEL);
    let area = |id| &made.areas[&AreaId(id)];
    assert_eq!((area(1).area_mm2, area(2).area_mm2, area(3).area_mm2), (3200.0, 2400.0, 400.0));
    assert_eq!(area(1).rings.len(), 2, "the island is a hole");
    assert_eq!(area(3).rings.len(), 1);
    assert_eq!(made.meetings.keys().copied().collect::<Vec<_>>(), [(AreaId(1), AreaId(2)), (AreaId(1), AreaId(3))]);
    assert_eq!(made.meetings[&(AreaId(1), AreaId(2))].length_mm, 60.0);
}

#[test]
fn the_widest_circle_is_found_to_ten_micrometres() {
    let made = outlines(&two_and_an_island(), PANEL);
    let radius = |id: u32| made.areas[&AreaId(id)].widest.radius;
    assert!((radius(2) - 20_000.0).abs() <= 10.0, "{}", radius(2));
    assert!((radius(3) - 10_000.0).abs() <= 10.0, "{}", radius(3));
}

#[test]
fn every_pixel_and_every_point_has_its_area() {
    let made = outlines(&two_and_an_island(), PANEL);
    let labels = made.labels(100, 60);
    for (at, &label) in labels.of.iter().enumerate() {
        let (x, y) = (at % 100, at / 100);
        let island = (10..30).contains(&x) && (10..30).contains(&y);
        let expected = if island {
            3
        } else if x < 60 {
            1
        } else {
            2
        };
        assert_eq!(label, expected, "pixel {x}, {y}");
        let centre = Point::new(x as i32 * 1000 + 500, y as i32 * 1000 + 500);
        assert_eq!(made.at(centre), Some(AreaId(expected)));
    }
}

/// A hole that touches the outer ring in a junction: two rings that meet in a point, not one that visits it twice.
#[test]
fn rings_part_where_an_area_meets_itself() {
    let (a, b) = (Side::Area(AreaId(1)), Side::Area(AreaId(2)));
    let (at, other) = (JunctionId(1), JunctionId(2));
    let hole = way(&[(50_000, 0), (60_000, 20_000), (40_000, 20_000), (50_000, 0)]);
    let borders = [
        border(Ends::Between(at, at), hole, a, b),
        border(Ends::Between(at, other), way(&[(50_000, 0), (100_000, 0), (100_000, 60_000)]), Side::Beyond, a),
        border(Ends::Between(other, at), way(&[(100_000, 60_000), (0, 60_000), (0, 0), (50_000, 0)]), Side::Beyond, a),
    ];
    let pattern = Pattern {
        junctions: BTreeMap::from([(at, Point::new(50_000, 0)), (other, Point::new(100_000, 60_000))]),
        borders: borders.into_iter().enumerate().map(|(at, border)| (BorderId(at as u32 + 1), border)).collect(),
        areas: BTreeMap::from([
            (AreaId(1), Area { becomes: Becomes::Unnumbered, at: Point::new(5000, 5000) }),
            (AreaId(2), Area { becomes: Becomes::Unnumbered, at: Point::new(50_000, 10_000) }),
        ]),
    };
    let made = outlines(&pattern, PANEL);
    let rings: Vec<usize> = made.areas[&AreaId(1)].rings.iter().map(Vec::len).collect();
    assert_eq!(rings, [5, 3]);
    assert_eq!(made.areas[&AreaId(1)].area_mm2, 5800.0);
}

/// A row of pixels through a junction from which two borders go down: the one that goes west must come first.
#[test]
fn a_row_through_a_junction_is_labelled_by_the_way_borders_go_on() {
    let (a, b, c) = (Side::Area(AreaId(3)), Side::Area(AreaId(1)), Side::Area(AreaId(2)));
    let (fork, top, west, east) = (JunctionId(1), JunctionId(2), JunctionId(3), JunctionId(4));
    let at = [(50_000, 30_500), (50_000, 0), (20_000, 60_000), (80_000, 60_000)];
    let borders = [
        border(Ends::Between(top, fork), way(&[at[1], at[0]]), c, a),
        border(Ends::Between(fork, west), way(&[at[0], at[2]]), b, a),
        border(Ends::Between(fork, east), way(&[at[0], at[3]]), c, b),
        border(Ends::Between(top, east), way(&[at[1], (100_000, 0), (100_000, 60_000), at[3]]), Side::Beyond, c),
        border(Ends::Between(east, west), way(&[at[3], at[2]]), Side::Beyond, b),
        border(Ends::Between(west, top), way(&[at[2], (0, 60_000), (0, 0), at[1]]), Side::Beyond, a),
    ];
    let area = |(x, y)| Area { becomes: Becomes::Unnumbered, at: Point::new(x, y) };
    let pattern = Pattern {
        junctions: (1..5)
            .map(|id| (JunctionId(id), Point::new(at[id as usize - 1].0, at[id as usize - 1].1)))
            .collect(),
        borders: borders.into_iter().enumerate().map(|(at, border)| (BorderId(at as u32 + 1), border)).collect(),
        areas: BTreeMap::from([
            (AreaId(3), area((5000, 5000))),
            (AreaId(1), area((50_000, 50_000))),
            (AreaId(2), area((95_000, 5000))),
        ]),
    };
    let row = 30;
    let labels = outlines(&pattern, PANEL).labels(100, 60);
    let row = &labels.of[row * 100..(row + 1) * 100];
    assert!(row[..50].iter().all(|label| *label == 3) && row[50..].iter().all(|label| *label == 2), "{row:?}");
}

/// A frame strip of even width: every place along its middle is as good as any other.
#[test]
fn a_long_strip_of_even_width_is_searched_in_good_time() {
    let ring = |inset: i32| {
        [(inset, inset), (2_000_000 - inset, inset), (2_000_000 - inset, 900_000 - inset), (inset, 900_000 - inset)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec()
    };
    let circle = super::widest::circle(&[ring(0), ring(4000).into_iter().rev().collect()]);
    // The corner holds the widest: r with (4 − r)·√2 = r is r = 4·√2 / (1 + √2) = 2.343 mm.
    assert!((circle.radius - 2343.1).abs() < 10.0, "{}", circle.radius);
}
