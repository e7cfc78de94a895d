//! Which of two touching pieces lies in front, guessed from the borders alone.
//!
//! Where three borders meet, the two that run on into each other most smoothly are the edge of what lies in front; the
//! third ends behind it (the T junction of Guzmán 1968 and Biederman 1987). The evidence is how much smoother that pair
//! is than the next; it is pooled over the junctions of two pieces. An island speaks weakly for lying in front, and so does
//! the side that a border bulges away from (convexity: Kanizsa and Gerbino 1976, from memory). The order is made acyclic by
//! leaving out the weakest evidence that closes a ring.
//!
//! It fails at symmetric Y junctions (no vote), where interlaced things really form a ring, and where a drawn line has
//! turned a T into a Y. It is a wish, and any mark or relation outweighs it.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::PI;

use measure::plane::{Point, line};

use super::depth::marked;
use crate::pattern::Outlines;
use crate::work::{AreaId, Becomes, Border, BorderId, Depth, Ends, JunctionId, Number, Side, Work};

/// How far along a border its direction at a junction is taken, µm: beyond the rounding of a traced corner, short of the
/// next bend.
const REACH_UM: f64 = 5_000.0;
/// Less evidence than this (radians) is noise of the tracing.
const FAINT: f64 = 0.15;
/// What a radian of a border's bend says for the side within the bend. Far below a junction's word: notched and sickle
/// shapes turn their hollow side to what lies behind them.
const BULGE: f64 = 0.5;
/// A border shorter than this bends by chance as much as by its form, so it says less, µm.
const LONG_UM: f64 = 10_000.0;
/// What an island's whole border says, radians.
const ISLAND: f64 = 0.3;

/// One piece seems to lie in front of another that it touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Front {
    pub(super) front: Number,
    pub(super) behind: Number,
    /// Summed evidence, radians.
    pub(super) evidence: f64,
}

/// The guesses of a pattern, without rings, by front and behind.
pub(super) fn fronts(work: &Work, outlines: &Outlines) -> Vec<Front> {
    let votes = votes(work, &outlines.lines, |_| true);
    let pooled = pooled(work, votes).into_iter().filter(|(_, evidence)| evidence.abs() >= FAINT);
    acyclic(
        pooled
            .map(|((a, b), evidence)| {
                let (front, behind) = if evidence > 0.0 { (a, b) } else { (b, a) };
                Front { front, behind, evidence: evidence.abs() }
            })
            .collect(),
    )
}

/// Whether the first lie in front of the second: by their depth marks, else by the borders between them; `None` where
/// neither tells.
pub(super) fn in_front(work: &Work, one: &[Number], other: &[Number]) -> Option<bool> {
    let marks = marked(work);
    let of =
        |pieces: &[Number]| -> Option<Vec<Depth>> { pieces.iter().map(|piece| marks.get(piece).copied()).collect() };
    let (ours, theirs) = (of(one).unwrap_or_default(), of(other).unwrap_or_default());
    match (ours.iter().min(), ours.iter().max(), theirs.iter().min(), theirs.iter().max()) {
        (Some(low), _, _, Some(high)) if low > high => return Some(true),
        (_, Some(high), Some(low), _) if low > high => return Some(false),
        _ => {}
    }
    let evidence = evidence(work, one, other);
    (evidence.abs() >= FAINT).then_some(evidence > 0.0)
}

/// What the borders between two groups of pieces say for the first lying in front, radians; below zero for the second.
fn evidence(work: &Work, one: &[Number], other: &[Number]) -> f64 {
    let side =
        |side: &Side, of: &[Number]| side.area().and_then(|area| number(work, area)).is_some_and(|n| of.contains(&n));
    let between = |border: &Border| {
        let [left, right] = areas(border);
        side(&left, one) && side(&right, other) || side(&left, other) && side(&right, one)
    };
    let ends = |border: &Border| match border.ends {
        Ends::Between(start, end) => vec![start, end],
        Ends::Ring(_) => Vec::new(),
    };
    let junctions: BTreeSet<JunctionId> =
        work.pattern.borders.values().filter(|border| between(border)).flat_map(ends).collect();
    let near = |border: &Border| between(border) || ends(border).iter().any(|junction| junctions.contains(junction));
    let near = work.pattern.borders.iter().filter(|(_, border)| near(border));
    let lines: Lines = near.map(|(id, border)| (*id, line(&border.curve))).collect();
    let pooled = pooled(work, votes(work, &lines, |junction| junctions.contains(&junction)));
    let signed = |((a, b), evidence): ((Number, Number), f64)| match () {
        () if one.contains(&a) && other.contains(&b) => evidence,
        () if one.contains(&b) && other.contains(&a) => -evidence,
        () => 0.0,
    };
    pooled.into_iter().map(signed).sum()
}

type Vote = (AreaId, AreaId, f64);
type Lines = BTreeMap<BorderId, Vec<Point>>;

/// Who is said to lie in front of whom, by junctions, islands and bends. Only junctions all of whose lines are there may
/// be asked.
fn votes(work: &Work, lines: &Lines, junctions: impl Fn(JunctionId) -> bool) -> Vec<Vote> {
    let mut spokes = spokes(work, lines);
    spokes.retain(|junction, _| junctions(*junction));
    let at_junctions = spokes.into_values().flat_map(|spokes| vote(&spokes));
    at_junctions.chain(island_votes(work)).chain(bulge_votes(work, lines)).collect()
}

/// Evidence by pair of pieces, above zero where the lower number lies in front.
fn pooled(work: &Work, votes: Vec<Vote>) -> BTreeMap<(Number, Number), f64> {
    let mut pooled: BTreeMap<(Number, Number), f64> = BTreeMap::new();
    for (front, behind, evidence) in votes {
        if let (Some(front), Some(behind)) = (number(work, front), number(work, behind))
            && front != behind
        {
            let sign = if front < behind { evidence } else { -evidence };
            *pooled.entry((front.min(behind), front.max(behind))).or_default() += sign;
        }
    }
    pooled
}

fn number(work: &Work, area: AreaId) -> Option<Number> {
    match work.pattern.areas.get(&area)?.becomes {
        Becomes::Piece(number) if work.pieces.contains_key(&number) => Some(number),
        _ => None,
    }
}

/// A border as it leaves a junction.
struct Spoke<'a> {
    border: &'a Border,
    /// Its direction, a unit vector.
    way: (f64, f64),
    /// How far along the direction could be taken, of what it should be, 0 to 1.
    sure: f64,
}

fn spokes<'a>(work: &'a Work, lines: &Lines) -> BTreeMap<JunctionId, Vec<Spoke<'a>>> {
    let mut spokes: BTreeMap<JunctionId, Vec<Spoke>> = BTreeMap::new();
    for (id, border) in &work.pattern.borders {
        let (Ends::Between(start, end), Some(line)) = (border.ends, lines.get(id)) else { continue };
        let backwards: Vec<Point> = line.iter().rev().copied().collect();
        for (junction, line) in [(start, line), (end, &backwards)] {
            if let Some((way, sure)) = direction(line) {
                spokes.entry(junction).or_default().push(Spoke { border, way, sure });
            }
        }
    }
    spokes
}

/// The direction from the first point of a line to the point `REACH_UM` along it, or half way along a short one; and how
/// much of the reach that is.
fn direction(line: &[Point]) -> Option<((f64, f64), f64)> {
    let length: f64 = line.windows(2).map(|pair| distance(pair[0], pair[1])).sum();
    let reach = REACH_UM.min(length / 2.0);
    let mut walked = 0.0;
    for pair in line.windows(2) {
        let step = distance(pair[0], pair[1]);
        if step > 0.0 && walked + step >= reach {
            let share = (reach - walked) / step;
            let x = f64::from(pair[0].x) + share * f64::from(pair[1].x - pair[0].x) - f64::from(line[0].x);
            let y = f64::from(pair[0].y) + share * f64::from(pair[1].y - pair[0].y) - f64::from(line[0].y);
            let long = (x * x + y * y).sqrt();
            return (long > 0.0).then(|| ((x / long, y / long), reach / REACH_UM));
        }
        walked += step;
    }
    None
}

fn distance(a: Point, b: Point) -> f64 {
    let (x, y) = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
    (x * x + y * y).sqrt()
}

/// Who lies in front of whom, by a junction of three borders within the panel.
fn vote(spokes: &[Spoke]) -> Vec<Vote> {
    let [a, b, c] = spokes else { return Vec::new() };
    let bend = |one: &Spoke, two: &Spoke| {
        let dot = one.way.0 * two.way.0 + one.way.1 * two.way.1;
        PI - libm::acos(dot.clamp(-1.0, 1.0))
    };
    let mut pairs = [(bend(a, b), a, b, c), (bend(b, c), b, c, a), (bend(c, a), c, a, b)];
    pairs.sort_by(|one, two| one.0.total_cmp(&two.0));
    let [(smoothest, one, two, stem), (next, ..), _] = pairs;
    let front = areas(one.border)
        .into_iter()
        .find(|side| areas(two.border).contains(side) && !areas(stem.border).contains(side));
    let Some(Side::Area(front)) = front else { return Vec::new() };
    let behind = areas(stem.border).into_iter().filter_map(Side::area);
    let sure = one.sure.min(two.sure).min(stem.sure);
    behind.map(|behind| (front, behind, sure * (next - smoothest))).collect()
}

fn areas(border: &Border) -> [Side; 2] {
    [border.left, border.right]
}

/// A ring's inside, which has no other border, seems to lie on what is around it.
fn island_votes(work: &Work) -> Vec<Vote> {
    let mut borders: BTreeMap<AreaId, Vec<BorderId>> = BTreeMap::new();
    for (id, border) in &work.pattern.borders {
        for area in areas(border).into_iter().filter_map(Side::area) {
            borders.entry(area).or_default().push(*id);
        }
    }
    let rings = work.pattern.borders.iter().filter(|(_, border)| matches!(border.ends, Ends::Ring(_)));
    rings
        .filter_map(|(id, border)| {
            let (left, right) = (border.left.area()?, border.right.area()?);
            let alone = |area: &AreaId| borders[area] == [*id];
            match (alone(&left), alone(&right)) {
                (true, false) => Some((left, right, ISLAND)),
                (false, true) => Some((right, left, ISLAND)),
                _ => None,
            }
        })
        .collect()
}

/// The side within a border's bend seems to lie in front, the more the border turns.
fn bulge_votes(work: &Work, lines: &Lines) -> Vec<Vote> {
    let between = work.pattern.borders.iter().filter(|(_, border)| matches!(border.ends, Ends::Between(..)));
    between
        .filter_map(|(id, border)| {
            let (left, right) = (border.left.area()?, border.right.area()?);
            let turn = turn(lines.get(id)?);
            let (front, behind) = if turn > 0.0 { (right, left) } else { (left, right) };
            Some((front, behind, BULGE * turn.abs()))
        })
        .collect()
}

/// How far a line turns from end to end, radians, above zero towards the right as the page is seen: 12 × the area between
/// it and its chord ÷ its length squared, which is exact for a flat arc and never far above two. Less for a short line.
fn turn(line: &[Point]) -> f64 {
    let Some(&first) = line.first() else { return 0.0 };
    let at = |point: Point| (f64::from(point.x) - f64::from(first.x), f64::from(point.y) - f64::from(first.y));
    let (mut twice, mut length) = (0.0, 0.0);
    for pair in line.windows(2) {
        let ((ax, ay), (bx, by)) = (at(pair[0]), at(pair[1]));
        twice += ax * by - bx * ay;
        length += distance(pair[0], pair[1]);
    }
    if length > 0.0 { 6.0 * twice / (length * length) * (length / LONG_UM).min(1.0) } else { 0.0 }
}

/// Takes the guesses from the strongest on and leaves out each that would close a ring.
fn acyclic(mut fronts: Vec<Front>) -> Vec<Front> {
    fronts.sort_by(|a, b| b.evidence.total_cmp(&a.evidence).then((a.front, a.behind).cmp(&(b.front, b.behind))));
    let mut behind: BTreeMap<Number, Vec<Number>> = BTreeMap::new();
    fronts.retain(|one| {
        let fits = !reaches(&behind, one.behind, one.front);
        if fits {
            behind.entry(one.front).or_default().push(one.behind);
        }
        fits
    });
    fronts.sort_by_key(|one| (one.front, one.behind));
    fronts
}

fn reaches(behind: &BTreeMap<Number, Vec<Number>>, from: Number, to: Number) -> bool {
    let (mut seen, mut open) = (BTreeSet::new(), vec![from]);
    while let Some(number) = open.pop() {
        if number == to {
            return true;
        }
        if seen.insert(number) {
            open.extend(behind.get(&number).into_iter().flatten());
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_weakest_of_a_ring_is_left_out() {
        let front = |front, behind, evidence| Front { front: Number(front), behind: Number(behind), evidence };
        let kept = acyclic(vec![front(1, 2, 1.0), front(2, 3, 0.4), front(3, 1, 0.9), front(4, 1, 0.2)]);
        assert_eq!(kept, [front(1, 2, 1.0), front(3, 1, 0.9), front(4, 1, 0.2)]);
    }

    #[test]
    fn a_flat_arc_turns_by_its_angle() {
        let arc = |way: f64| -> Vec<Point> {
            let at = |step: i32| {
                let angle = f64::from(step) * 0.01;
                let (x, y) = (1e5 * libm::sin(angle), way * 1e5 * (1.0 - libm::cos(angle)));
                Point::new(x.round() as i32, y.round() as i32)
            };
            (0..=50).map(at).collect()
        };
        let (right, left) = (turn(&arc(1.0)), turn(&arc(-1.0)));
        assert!((right - 0.5).abs() < 0.02 && (left + 0.5).abs() < 0.02, "{right} {left}");
    }

    #[test]
    fn a_direction_is_taken_past_the_rounded_corner() {
        let line = [(0, 0), (300, 300), (600, 400), (20_000, 400)].map(|(x, y)| Point::new(x, y));
        let ((x, y), _) = direction(&line).unwrap();
        assert!(x > 0.99 && y < 0.1, "{x} {y}");
    }
}
