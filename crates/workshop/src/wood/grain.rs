//! Grain: by the maker's strokes, else along the length of each piece; never across a thin neck; touching pieces of one wood
//! turned apart.
//!
//! The length axis is the major axis of inertia of the outline with its holes, by Green's theorem; angles are doubled, so
//! that 10° and 170° lie next to each other. From where a piece would lie by itself it is turned as little as keeps it off
//! its necks and apart from its neighbours of the same wood; a long piece, or one that strokes speak of, no further than
//! `LEANS`. Pieces are turned one after the other until none would change. Where it fails: an odd ring of long pieces of one
//! wood cannot all be turned apart, and the last stays near.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::Point;

use super::choose::acts;
use super::strokes::{Field, field};
use crate::pattern::{Outline, Outlines};
use crate::work::{AreaId, Axis, Number, State, WoodId, Work};

/// From this ratio of length to width on, the grain stays near the length: short grain breaks.
const ELONGATED: f64 = 1.6;

/// Touching pieces of one wood are turned at least this far apart, degrees.
pub const APART: f64 = 20.0;

/// A long piece leans no further from its length than this, one by strokes no further from them, degrees.
const LEANS: f64 = 30.0;

/// Grain nearer than this to straight across a neck is short, degrees: common practice, no source for a figure.
const ACROSS: f64 = 30.0;

/// Turns that are tried, the least first, degrees.
const TURNS: [f64; 15] =
    [0.0, 10.0, -10.0, 20.0, -20.0, 25.0, -25.0, 30.0, -30.0, 45.0, -45.0, 65.0, -65.0, 80.0, 90.0];

/// Rounds of turning at the most.
const ROUNDS: usize = 8;

/// For each piece the directions straight across its necks.
pub type Necks = BTreeMap<Number, Vec<Axis>>;

/// A piece whose grain is open.
struct Open<'a> {
    number: Number,
    /// Where it would lie by itself.
    axis: Axis,
    /// How far it may be turned.
    leans: f64,
    necks: &'a [Axis],
}

/// The grain of every piece that has a wood in `woods`. What hand and fact chose stays.
pub fn axes(
    work: &Work,
    outlines: &Outlines,
    woods: &BTreeMap<Number, WoodId>,
    necks: &Necks,
) -> BTreeMap<Number, Axis> {
    let field = field(work, outlines);
    let mut axes = BTreeMap::new();
    let mut open = Vec::new();
    for number in woods.keys() {
        let piece = &work.pieces[number];
        match piece.values.grain {
            Some(grain) if piece.state != State::Planned || !acts(&piece.values.grain) => {
                axes.insert(*number, grain.value);
            }
            _ => {
                let necks = necks.get(number).map_or(&[][..], Vec::as_slice);
                let (axis, leans) = by_itself(outlines, piece.area, field.as_ref());
                open.push(Open { number: *number, axis, leans, necks });
            }
        }
    }
    let touching = touching(work, outlines, woods);
    open.iter().for_each(|open| {
        axes.insert(open.number, turned(open, &[]));
    });
    for _ in 0..ROUNDS {
        let mut changed = false;
        for open in &open {
            let beside: Vec<Axis> =
                touching[&open.number].iter().filter_map(|other| axes.get(other).copied()).collect();
            let axis = turned(open, &beside);
            changed |= axes.insert(open.number, axis) != Some(axis);
        }
        if !changed {
            break;
        }
    }
    axes
}

/// Where a piece would lie by itself, and how far it may be turned from there.
fn by_itself(outlines: &Outlines, area: AreaId, field: Option<&Field>) -> (Axis, f64) {
    let (length, ratio) = outlines.areas.get(&area).map_or((Axis::default(), 1.0), length_axis);
    match field.and_then(|field| field.axis(area)) {
        Some(axis) => (axis, LEANS),
        None => (length, if ratio >= ELONGATED { LEANS } else { 90.0 }),
    }
}

/// The axis turned as little as keeps it off the necks and apart from all `beside`; where none does, as far apart as can be.
/// A neck outweighs both the lean and the neighbours.
fn turned(open: &Open, beside: &[Axis]) -> Axis {
    let room = |axis: Axis| beside.iter().map(|other| between(axis, *other)).fold(90.0, f64::min);
    let sound = |axis: Axis| open.necks.iter().all(|neck| between(axis, *neck) >= ACROSS);
    let turns = TURNS.map(|turn| (turn, Axis::degrees(open.axis.to_degrees() + turn)));
    let within: Vec<Axis> =
        turns.iter().filter(|(turn, axis)| turn.abs() <= open.leans && sound(*axis)).map(|(_, axis)| *axis).collect();
    let any: Vec<Axis> = turns.iter().filter(|(_, axis)| sound(*axis)).map(|(_, axis)| *axis).collect();
    let choice = if !within.is_empty() {
        within
    } else if !any.is_empty() {
        vec![any[0]]
    } else {
        vec![off(open)]
    };
    let widest = choice.iter().fold(choice[0], |best, axis| if room(*axis) > room(best) { *axis } else { best });
    choice.into_iter().find(|axis| room(*axis) >= APART).unwrap_or(widest)
}

/// Where every turn is across some neck: as far off the worst as can be.
fn off(open: &Open) -> Axis {
    let least = |axis: Axis| open.necks.iter().map(|neck| between(axis, *neck)).fold(90.0, f64::min);
    let all = (0..36).map(|step| Axis::degrees(f64::from(step) * 5.0));
    all.fold(open.axis, |best, axis| if least(axis) > least(best) { axis } else { best })
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

    fn open(degrees: f64, leans: f64, necks: &[Axis]) -> Open<'_> {
        Open { number: Number(1), axis: Axis::degrees(degrees), leans, necks }
    }

    #[test]
    fn neighbours_are_turned_apart() {
        let beside = [Axis::degrees(0.0), Axis::degrees(30.0), Axis::degrees(150.0)];
        let axis = turned(&open(5.0, 90.0, &[]), &beside);
        assert!(beside.iter().all(|other| between(axis, *other) >= APART), "{axis:?}");
        assert_eq!(turned(&open(5.0, 90.0, &[]), &[]), Axis::degrees(5.0));
        assert_eq!(between(Axis::degrees(10.0), Axis::degrees(170.0)), 20.0);
        let long = turned(&open(5.0, LEANS, &[]), &[Axis::degrees(5.0)]);
        assert!((APART..=LEANS).contains(&between(long, Axis::degrees(5.0))), "{long:?}");
    }

    #[test]
    fn grain_never_runs_across_a_neck() {
        for degrees in (0..180).step_by(7) {
            for necks in [vec![Axis::degrees(90.0)], vec![Axis::degrees(10.0), Axis::degrees(75.0)]] {
                for beside in [vec![], vec![Axis::degrees(0.0), Axis::degrees(40.0)]] {
                    let axis = turned(&open(f64::from(degrees), LEANS, &necks), &beside);
                    assert!(necks.iter().all(|neck| between(axis, *neck) >= ACROSS), "{degrees} {axis:?}");
                }
            }
        }
    }
}
