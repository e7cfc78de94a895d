//! Grain: along the length of each piece, and touching pieces of one wood turned apart.
//!
//! The length axis is the major axis of inertia of the outline with its holes, by Green's theorem; angles are doubled, so
//! that 10° and 170° lie next to each other. Where a piece is about as wide as long its axis says little, and it may be
//! turned so that it can be told from a neighbour of the same wood.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::Point;

use super::choose::acts;
use crate::pattern::{Outline, Outlines};
use crate::work::{AreaId, Axis, Number, State, WoodId, Work};

/// From this ratio of length to width on, the grain stays along the length: short grain breaks.
const ELONGATED: f64 = 1.6;

/// Touching pieces of one wood are turned at least this far apart, degrees.
pub const APART: f64 = 20.0;

/// Turns that are tried, the least first, degrees.
const TURNS: [f64; 8] = [0.0, 25.0, -25.0, 45.0, -45.0, 65.0, -65.0, 90.0];

/// The grain of every piece that has a wood in `woods`. What hand and fact chose stays.
pub fn axes(work: &Work, outlines: &Outlines, woods: &BTreeMap<Number, WoodId>) -> BTreeMap<Number, Axis> {
    let mut axes = BTreeMap::new();
    let mut round = Vec::new();
    for number in woods.keys() {
        let piece = &work.pieces[number];
        let length = outlines.areas.get(&piece.area).map_or((Axis::default(), 1.0), length_axis);
        match piece.values.grain {
            Some(grain) if piece.state != State::Planned || !acts(&piece.values.grain) => {
                axes.insert(*number, grain.value);
            }
            _ if length.1 >= ELONGATED => {
                axes.insert(*number, length.0);
            }
            _ => round.push((*number, length.0)),
        }
    }
    let touching = touching(work, outlines, woods);
    for (number, axis) in round {
        let beside: Vec<Axis> = touching[&number].iter().filter_map(|other| axes.get(other).copied()).collect();
        axes.insert(number, turned(axis, &beside));
    }
    axes
}

/// The axis turned as little as keeps it apart from all `beside`; where none does, as far apart as can be.
fn turned(axis: Axis, beside: &[Axis]) -> Axis {
    let room = |axis: Axis| beside.iter().map(|other| between(axis, *other)).fold(90.0, f64::min);
    let turns = TURNS.map(|turn| Axis::degrees(axis.to_degrees() + turn));
    let widest = turns.iter().fold(turns[0], |best, turn| if room(*turn) > room(best) { *turn } else { best });
    turns.into_iter().find(|turn| room(*turn) >= APART).unwrap_or(widest)
}

/// The angle between two axes, 0 to 90 degrees.
pub fn between(one: Axis, two: Axis) -> f64 {
    let apart = (one.to_degrees() - two.to_degrees()).abs();
    apart.min(180.0 - apart)
}

/// For each piece the touching pieces of the same wood.
fn touching(work: &Work, outlines: &Outlines, woods: &BTreeMap<Number, WoodId>) -> BTreeMap<Number, BTreeSet<Number>> {
    let number: BTreeMap<AreaId, Number> = woods.keys().map(|number| (work.pieces[number].area, *number)).collect();
    let mut touching: BTreeMap<Number, BTreeSet<Number>> = woods.keys().map(|n| (*n, BTreeSet::new())).collect();
    for (one, two) in outlines.meetings.keys() {
        let (Some(one), Some(two)) = (number.get(one), number.get(two)) else { continue };
        if woods[one] == woods[two] {
            touching.entry(*one).or_default().insert(*two);
            touching.entry(*two).or_default().insert(*one);
        }
    }
    touching
}

/// The length axis and the ratio of length to width, by the second moments of the area about its centroid.
fn length_axis(outline: &Outline) -> (Axis, f64) {
    let origin = outline.widest.centre;
    let mut m = [0.0; 6];
    for ring in &outline.rings {
        for (at, p) in ring.iter().enumerate() {
            add_edge(&mut m, from(origin, *p), from(origin, ring[(at + 1) % ring.len()]));
        }
    }
    // The sign of the sums follows the sense of the rings; only their ratios are used.
    let [area, x, y, xx, yy, xy] = m;
    if area == 0.0 {
        return (Axis::default(), 1.0);
    }
    let (x, y) = (x / area, y / area);
    let (xx, yy, xy) = (xx / area - x * x, yy / area - y * y, xy / area - x * y);
    let spread = ((xx - yy) * (xx - yy) + 4.0 * xy * xy).sqrt();
    let (long, short) = (0.5 * (xx + yy + spread), 0.5 * (xx + yy - spread));
    // y points down and the axis counts counterclockwise, hence the minus.
    let degrees = 0.5 * libm::atan2(-2.0 * xy, xx - yy).to_degrees();
    (Axis::degrees(degrees), (long / short.max(1e-9)).max(1.0).sqrt())
}

fn from(origin: Point, point: Point) -> (f64, f64) {
    (f64::from(point.x - origin.x) / 1000.0, f64::from(point.y - origin.y) / 1000.0)
}

/// Adds an edge's share of area, first and second moments (Green's theorem on the triangle with the origin).
fn add_edge(m: &mut [f64; 6], (x0, y0): (f64, f64), (x1, y1): (f64, f64)) {
    let cross = 0.5 * (x0 * y1 - x1 * y0);
    m[0] += cross;
    m[1] += cross * (x0 + x1) / 3.0;
    m[2] += cross * (y0 + y1) / 3.0;
    m[3] += cross * (x0 * x0 + x0 * x1 + x1 * x1) / 6.0;
    m[4] += cross * (y0 * y0 + y0 * y1 + y1 * y1) / 6.0;
    m[5] += cross * (2.0 * x0 * y0 + x0 * y1 + x1 * y0 + 2.0 * x1 * y1) / 12.0;
}

#[cfg(test)]
mod tests {
    use measure::plane::Circle;

    use super::*;

    fn outline(points: &[(i32, i32)]) -> Outline {
        let ring: Vec<Point> = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        let widest = Circle { centre: ring[0], radius: 1.0 };
        Outline { rings: vec![ring], borders: Vec::new(), area_mm2: 0.0, widest }
    }

    fn check(points: &[(i32, i32)], degrees: f64, ratio: f64) {
        let (axis, found) = length_axis(&outline(points));
        assert!(between(axis, Axis::degrees(degrees)) < 0.02, "{axis:?}");
        assert!((found - ratio).abs() < 1e-6 * ratio, "{found}");
    }

    /// A rectangle's moments are in every handbook: length to width is the ratio of its sides.
    #[test]
    fn a_plank_has_its_grain_along() {
        check(&[(0, 0), (40_000, 0), (40_000, 10_000), (0, 10_000)], 0.0, 4.0);
        check(&[(0, 0), (0, 30_000), (10_000, 30_000), (10_000, 0)], 90.0, 3.0);
        // Rising to the right on the page: y falls, so the angle is positive.
        check(&[(0, 0), (30_000, -30_000), (35_000, -25_000), (5_000, 5_000)], 45.0, 6.0);
    }

    #[test]
    fn neighbours_are_turned_apart() {
        let beside = [Axis::degrees(0.0), Axis::degrees(30.0), Axis::degrees(150.0)];
        let axis = turned(Axis::degrees(5.0), &beside);
        assert!(beside.iter().all(|other| between(axis, *other) >= APART), "{axis:?}");
        assert_eq!(turned(Axis::degrees(5.0), &[]), Axis::degrees(5.0));
        assert_eq!(between(Axis::degrees(10.0), Axis::degrees(170.0)), 20.0);
    }
}
