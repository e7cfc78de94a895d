//! Tongues: parts of a piece that stay narrow over a long way and end free.
//!
//! Seen on the medial axis, a tongue is a run that ends in a tip. Along it the two sides of the outline stand opposite each
//! other, each touched by the circle that touches the other. So for a place on the outline the largest circle that touches
//! there from within is found (the shrinking ball of Ma, Bae and Choi 2012, "3D medial axis point approximation using
//! nearest neighbors and the normal field", with chords in the place of points), and what lies between that place and the
//! other that the circle touches is one tongue, as far as all of it is narrow. Where it forks it goes on
//! by the longer branch.

use measure::plane::Point;

use super::findings::{about, along, gaps, least_neck, listed, place, show, spot, turned};
use super::necks::{Near, Neck};
use crate::pattern::{Outline, Outlines};
use crate::work::{Finding, Grave, Kind, Number, Piece, Way, Work};

/// A tongue is told when it is this many times as long as it is wide: common practice, no source for a figure. A tip that
/// narrows evenly by more than 6° is none.
const LONG: f64 = 10.0;
/// What is no longer than this many times the width that is looked for is a burr, which sanding takes off: from memory.
const BURR: f64 = 2.0;
/// Sides that face each other by less than this are a corner or a wobble: the cosine of 50°, half of what is left of 180°.
const FACING: f64 = 0.643;
/// Places on the outline for each width that is looked for.
const STEPS: f64 = 8.0;

type Ring = Vec<Point>;
type Vector = (f64, f64);

/// A long narrow part of an outline that ends free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tongue {
    /// Across it, half way along.
    pub across: Neck,
    /// How long it is, µm.
    pub long: f64,
}

/// A place on the outline with the largest circle that touches it from within.
#[derive(Clone, Copy)]
struct Touch {
    /// How far along its ring, µm.
    at: f64,
    point: Vector,
    /// What the circle touches opposite, where it is narrow enough.
    other: Option<Other>,
}

#[derive(Clone, Copy)]
struct Other {
    ring: usize,
    at: f64,
    point: Vector,
    radius: f64,
    centre: Vector,
}

/// The tongues of an outline (outer ring first, then holes) that are narrower than `most` µm.
pub fn tongues(rings: &[Ring], most: f64) -> Vec<Tongue> {
    let near = Near::new(rings, most);
    let sides = sides(rings);
    (0..rings.len()).flat_map(|ring| of_ring(&touches(&near, &sides, ring, most), ring, most)).collect()
}

/// A chord of the outline: its ring, how far along it begins, and its inner side.
struct Side {
    ring: usize,
    at: f64,
    inner: Vector,
    long: f64,
}

/// In the order of [`Near`]'s chords.
fn sides(rings: &[Ring]) -> Vec<Side> {
    let mut sides = Vec::new();
    for (ring, points) in rings.iter().enumerate() {
        let next = || points.iter().zip(points.iter().cycle().skip(1));
        let twice = |(a, b): (&Point, &Point)| i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y);
        let turns = next().map(twice).sum::<i128>() > 0;
        let inwards = if turns == (ring == 0) { 1.0 } else { -1.0 };
        let mut at = 0.0;
        for (a, b) in next().filter(|(a, b)| a != b) {
            let along = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
            let long = length(along);
            sides.push(Side { ring, at, inner: (-along.1 / long * inwards, along.0 / long * inwards), long });
            at += long;
        }
    }
    sides
}

/// The touching circles along a ring, in its order.
fn touches(near: &Near, sides: &[Side], ring: usize, most: f64) -> Vec<Touch> {
    let mut found = Vec::new();
    for (chord, side) in sides.iter().enumerate().filter(|(_, side)| side.ring == ring) {
        let steps = (side.long * STEPS / most).ceil().max(1.0);
        for step in 0..steps as usize {
            let share = (step as f64 + 0.5) / steps;
            let (a, b) = near.chord(chord);
            let point = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
            let other = opposite(near, sides, (point, side.inner), most);
            found.push(Touch { at: side.at + share * side.long, point, other });
        }
    }
    found
}

/// What the largest circle that touches `from` meets, if it is narrower than `most`.
fn opposite(near: &Near, sides: &[Side], (from, inner): (Vector, Vector), most: f64) -> Option<Other> {
    let place = Point::new(from.0.round() as i32, from.1.round() as i32);
    let meets = near.around_at(place, most).filter_map(|chord| {
        let (radius, foot) = ball((from, inner), near.chord(chord))?;
        (2.0 * radius < most).then_some((radius, foot, chord))
    });
    let (radius, point, chord) = meets.min_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)))?;
    let centre = (from.0 + radius * inner.0, from.1 + radius * inner.1);
    let at = sides[chord].at + length(minus(point, near.chord(chord).0));
    Some(Other { ring: sides[chord].ring, at, point, radius, centre })
}

/// The circle that touches `from`, grown along `inner` until it meets the chord: its radius, and where it meets it.
fn ball((from, inner): (Vector, Vector), (a, b): (Vector, Vector)) -> Option<(f64, Vector)> {
    let along = minus(b, a);
    let long = length(along);
    let (mut away, mut side) = ((along.1 / long, -along.0 / long), 0.0);
    let seen = minus(from, a);
    side += dot(seen, away);
    if side < 0.0 {
        (away, side) = ((-away.0, -away.1), -side);
    }
    let grows = 1.0 - dot(inner, away);
    if side <= 1e-6 || grows <= 1e-9 {
        return None;
    }
    let radius = side / grows;
    let foot = (from.0 + radius * (inner.0 - away.0), from.1 + radius * (inner.1 - away.1));
    let share = dot(minus(foot, a), along) / (long * long);
    let foot = if share <= 0.0 {
        a
    } else if share >= 1.0 {
        b
    } else {
        foot
    };
    let way = minus(foot, from);
    let ahead = dot(way, inner);
    let facing = ahead > 0.0 && ahead >= FACING * length(way);
    facing.then(|| (dot(way, way) / (2.0 * ahead), foot))
}

/// The tongues of a ring: each stretch of it that is narrow, where it holds one.
fn of_ring(touches: &[Touch], ring: usize, most: f64) -> Vec<Tongue> {
    let own = |touch: &Touch| touch.other.is_some_and(|other| other.ring == ring);
    let Some(wide) = touches.iter().position(|touch| !own(touch)) else { return Vec::new() };
    let around = touches.last().map_or(0.0, |touch| touch.at + touches[0].at);
    // Unrolled from a wide place on.
    let rolled = touches[..wide].iter().map(|touch| Touch { at: touch.at + around, ..*touch });
    let all: Vec<Touch> = touches[wide..].iter().copied().chain(rolled).collect();
    let mut stretches: Vec<Vec<Touch>> = Vec::new();
    for touch in all.into_iter().filter(own) {
        match stretches.last_mut() {
            Some(stretch) if stretch.last().is_some_and(|last| touch.at - last.at <= most) => stretch.push(touch),
            _ => stretches.push(vec![touch]),
        }
    }
    stretches.iter().filter_map(|stretch| longest(stretch, around, most)).collect()
}

/// How far it is from a place on a tongue to its tip.
#[derive(Clone, Copy)]
struct Run {
    long: f64,
    /// How far it is round the tip along the outline.
    round: f64,
    widest: f64,
    /// The next place towards the tip.
    next: Option<usize>,
}

/// The longest tongue within a stretch, if it is long enough for its width.
fn longest(stretch: &[Touch], around: f64, most: f64) -> Option<Tongue> {
    let (first, last) = (stretch.first()?.at, stretch.last()?.at);
    let to = |touch: &Touch| {
        let at = touch.other?.at;
        let at = if at < first { at + around } else { at };
        (first..=last).contains(&at).then_some(at)
    };
    let mut inwards: Vec<(f64, usize)> =
        stretch.iter().enumerate().filter_map(|(k, touch)| Some(((to(touch)? - touch.at).abs(), k))).collect();
    inwards.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut runs: Vec<Option<Run>> = vec![None; stretch.len()];
    for (round, k) in inwards {
        let (here, end) = (stretch[k].at, to(&stretch[k])?);
        let low = stretch.partition_point(|touch| touch.at <= here.min(end));
        let high = stretch.partition_point(|touch| touch.at < here.max(end));
        let reached = |at: &usize| runs[*at].is_some();
        let inner = [(low..high).find(reached), (low..high).rev().find(reached)];
        runs[k] = run(stretch, &runs, (k, round, most), inner.into_iter().flatten());
    }
    let slender = |(k, run): (usize, &Option<Run>)| {
        Some((run.filter(|run| run.long >= (LONG * run.widest).max(BURR * most))?, k))
    };
    let (run, start) =
        runs.iter().enumerate().filter_map(slender).max_by(|a, b| a.0.long.total_cmp(&b.0.long).then(b.1.cmp(&a.1)))?;
    let mut middle = start;
    while let Some(next) =
        runs[middle].and_then(|at| at.next).filter(|next| runs[*next].is_some_and(|at| at.long >= run.long / 2.0))
    {
        middle = next;
    }
    let (one, other) = (stretch[middle].point, stretch[middle].other?);
    let whole = |(x, y): Vector| Point::new(x.round() as i32, y.round() as i32);
    let across = Neck { ends: (whole(one), whole(other.point)), width: 2.0 * other.radius };
    Some(Tongue { across, long: run.long })
}

/// From place `k` by the longer of the ways that go on within it.
fn run(
    stretch: &[Touch],
    runs: &[Option<Run>],
    (k, round, most): (usize, f64, f64),
    inner: impl Iterator<Item = usize>,
) -> Option<Run> {
    let here = stretch[k].other?;
    let wide = 2.0 * here.radius;
    let by = |next: usize| {
        let (on, there) = (runs[next]?, stretch[next].other?);
        // Half of what both sides go on by is steadier than the way between centres, but where a branch is passed.
        let (straight, sides) = (length(minus(there.centre, here.centre)), (round - on.round) / 2.0);
        let step = if sides > straight + most { straight } else { sides };
        Some(Run { long: on.long + step, round, widest: on.widest.max(wide), next: Some(next) })
    };
    // From the last circle the tip is as far as its rim.
    let tip = Run { long: here.radius, round, widest: wide, next: None };
    Some(inner.filter_map(by).max_by(|a, b| a.long.total_cmp(&b.long)).unwrap_or(tip))
}

/// Grain that runs nearer than this to a tongue's way runs along it, degrees.
const ALONG_DEGREES: f64 = 20.0;

/// The tongues of a piece that its stock is too weak for, the longest first, in one finding.
pub(super) fn finding(
    work: &Work,
    outlines: &Outlines,
    (number, piece, outline): (Number, &Piece, &Outline),
    tongues: &[Tongue],
) -> Option<Finding> {
    let least = least_neck(work, piece);
    let sawn = |tongue: &Tongue| tongue.across.width - gaps(work, outlines, outline, &tongue.across);
    let mut told: Vec<&Tongue> = tongues.iter().filter(|tongue| sawn(tongue) < least).collect();
    told.sort_by(|a, b| b.long.total_cmp(&a.long));
    let first = &told.first()?.across;
    let one = |tongue: &&Tongue| {
        let (long, wide) = (about(work, tongue.long, 100.0), about(work, sawn(tongue), 10.0));
        format!("{long} long and {wide} wide, {}", place(work, &tongue.across))
    };
    let why = format!(
        "Piece {number} ends in a tongue {}; what is this narrow for more than {LONG:.0} times its width, and under the {} \
         that a neck of this stock wants (from memory), shakes at the blade and snaps in the hand (common practice, no source).",
        listed(&told.iter().map(one).collect::<Vec<_>>(), "in one "),
        show(work, least)
    );
    let off = |grain: f64| ((grain - along(first).to_degrees() + 90.0).rem_euclid(180.0) - 90.0).abs();
    let lies_along = piece.values.grain.is_some_and(|grain| off(grain.value.to_degrees()) <= ALONG_DEGREES);
    let advice = [
        format!("Pull its sides apart with the brush on the page Pattern until it is {} wide.", show(work, least)),
        "Shorten it: split it off where it grows narrow, and merge what comes off with a neighbour.".into(),
        "Saw it while it hangs on a larger blank, taped to a thin backing; saw its tip first and part it from the blank last."
            .into(),
        "Leave it out, and burn or paint it on the neighbour as a line.".into(),
    ];
    let turn = (!lies_along).then(|| turned(number, first));
    let ways = turn.into_iter().chain(advice.map(Way::advice)).collect();
    let (spot, key) = (spot(piece, number, first.middle()), format!("tongue-{number:05}"));
    Some(Finding { kind: Kind::Tongue, grave: Grave::Doubt, spot, why, ways, key })
}

fn minus(a: Vector, b: Vector) -> Vector {
    (a.0 - b.0, a.1 - b.1)
}

fn dot(a: Vector, b: Vector) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

fn length((x, y): Vector) -> f64 {
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::work::{Axis, Chosen};

    fn ring(points: &[(i32, i32)]) -> Ring {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    /// A square of 20 mm with a tongue out of its right side.
    fn tongued(width: i32, long: i32) -> Ring {
        let (top, low, far) = (10_000 - width / 2, 10_000 + width / 2, 20_000 + long);
        let tongue = [(20_000, top), (far, top), (far, low), (20_000, low)];
        ring(&[&[(0, 0), (20_000, 0)], &tongue[..], &[(20_000, 20_000), (0, 20_000)]].concat())
    }

    #[test]
    fn a_tongue_is_told_from_ten_times_its_width_on() {
        let found = tongues(&[tongued(1500, 16_000)], 2000.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].across.width - 1500.0).abs() < 2.0 && (found[0].long - 16_000.0).abs() < 800.0, "{found:?}");
        assert!((24_000..32_000).contains(&found[0].across.middle().x), "{found:?}");
        assert_eq!(tongues(&[tongued(1500, 14_000)], 2000.0), []);
        assert_eq!(tongues(&[tongued(2100, 60_000)], 2000.0), [], "wide enough");
    }

    #[test]
    fn tips_strips_and_bridges_have_none() {
        let tip = ring(&[(0, 0), (60_000, 5000), (0, 10_000)]);
        let strip = ring(&[(0, 0), (60_000, 0), (60_000, 1500), (0, 1500)]);
        let mut bridge = tongued(1500, 30_000);
        bridge.splice(
            3..5,
            ring(&[(50_000, 9250), (50_000, 0), (70_000, 0), (70_000, 20_000), (50_000, 20_000), (50_000, 10_750)]),
        );
        for shape in [tip, strip, bridge] {
            assert_eq!(tongues(std::slice::from_ref(&shape), 2000.0), [], "{shape:?}");
        }
    }

    #[test]
    fn a_tongue_into_a_hole_is_told_and_of_a_fork_the_longer_branch() {
        let outer = ring(&[(0, 0), (80_000, 0), (80_000, 60_000), (0, 60_000)]);
        let mut hole: Ring =
            ring(&[(20_000, 20_000), (20_000, 29_000), (50_000, 29_000), (50_000, 31_000), (20_000, 31_000)]);
        hole.extend(ring(&[(20_000, 40_000), (60_000, 40_000), (60_000, 20_000)]));
        let found = tongues(&[outer, hole], 2500.0);
        assert!(found.len() == 1 && (found[0].long - 30_000.0).abs() < 1500.0, "{found:?}");
        let stem = [(20_000, 9250), (40_000, 9250), (40_000, 5000), (41_000, 5000), (41_000, 9250), (60_000, 9250)];
        let mut fork = tongued(1500, 40_000);
        fork.splice(2..4, ring(&stem));
        let found = tongues(&[fork], 2000.0);
        assert!(found.len() == 1 && (found[0].long - 40_000.0).abs() < 2500.0, "{found:?}");
    }

    #[test]
    fn a_tongue_is_told_with_its_place_and_grain_along_it_wants_no_turning() {
        let mut work = accepted(3, 2);
        let all = outlines(&work.pattern, work.panel);
        let number = *work.pieces.keys().next().expect("there is a piece");
        let tongue = tongues(&[tongued(1500, 40_000)], 2000.0);
        let told = |work: &Work| {
            let piece = &work.pieces[&number];
            finding(work, &all, (number, piece, &all.areas[&piece.area]), &tongue).expect("it is told")
        };
        let first = told(&work);
        let place = "1.5 mm wide, 40";
        assert!(first.why.contains(place) && first.why.contains("10 mm from the top"), "{}", first.why);
        assert_eq!(first.ways.iter().filter(|way| !way.edits.is_empty()).count(), 1, "{:?}", first.ways);
        let mut turned = work.clone();
        first.ways[0].edits.iter().for_each(|edit| drop(crate::apply(&mut turned, edit).expect("it can be turned")));
        assert!(told(&turned).ways.iter().all(|way| way.edits.is_empty()));
        work.pieces.get_mut(&number).expect("it is there").values.grain = Some(Chosen::hand(Axis(17_900)));
        assert!(told(&work).ways.iter().all(|way| way.edits.is_empty()));
    }
}
