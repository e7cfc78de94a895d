//! Curves drawn over one another become a plane graph: edges that meet at their ends only.
//!
//! The curves are flattened; wherever two chords touch, both are parted at the nearest whole point, again and again until none
//! touch (iterated rounding to the grid, after Hobby 1999, with exact predicates). Ends that nothing joins are closed against
//! what lies within the gap, or pruned and told. At last each run of chords between two nodes goes back to its curve: one that
//! was not cut keeps its own control points; a cut one is the part of its cubic, or, where that would touch another, the
//! chords themselves. Where very many lines run within micrometres of each other the chords stay, and the edge is not smooth.

mod gaps;

use std::collections::{BTreeMap, BTreeSet};

use super::touch::{crowding, touches_of};
use super::{Cubic, Point, line};
use gaps::close_gaps;

/// More chords than this are no drawing for a saw, and would take minutes.
const CHORDS_MOST: usize = 250_000;
/// More pairs of chords in one another's neighbourhood than this are refused before they are looked at.
const PAIRS_MOST: u64 = 60_000_000;
/// Rounds of parting: each only mends what rounding brought about in the one before.
const ROUNDS: usize = 60;
/// A crossing this near to an end of its chords is put there, µm: at a flat angle it would creep along, 1 µm a round.
/// It grows with the rounds, so that what still creeps comes to rest; 10 µm is what flattening a curve costs anyway.
const SNAP_UM: f64 = 1.5;
const SNAP_GROWS_UM: f64 = 0.125;

/// One edge: from node to node.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Its curve.
    pub curve: Vec<Cubic>,
    /// Which of the given curves it is of.
    pub source: usize,
}

/// What curves come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Arrangement {
    /// The edges: they touch at their ends only, and no end is loose.
    pub edges: Vec<Edge>,
    /// What leads to an end in the open alone, farther than the gap from any other, and was left out: from that end on.
    pub loose: Vec<Loose>,
    /// Lines that lead from one line to another and part nothing, as a stalk on which a closed ring hangs: the bridges of the
    /// graph. They were left out too.
    pub bridges: Vec<Vec<Point>>,
}

/// A line with an end in the open.
#[derive(Clone, Debug, PartialEq)]
pub struct Loose {
    /// From that end on.
    pub along: Vec<Point>,
    /// Whether its other end lies in the open too.
    pub both: bool,
}

/// Why curves cannot be arranged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crowded {
    /// They have too many bends.
    Chords,
    /// Too many of them lie over each other.
    Pairs,
}

/// Arranges curves. Ends within `gap` µm of another line are closed against it. `plain` leaves every cut curve as chords.
pub fn arranged(curves: &[Cubic], gap: f64, plain: bool) -> Result<Arrangement, Crowded> {
    let first = graph(curves)?;
    let closed = close_gaps(curves, &first, gap);
    let (curves, mut chords, met) = match closed {
        Some((closed, met)) => {
            let again = graph(&closed)?;
            (closed, again, met)
        }
        None => (curves.to_vec(), first, BTreeSet::new()),
    };
    let mut loose = prune(&mut chords, gap);
    // A tip that closed on a line beside it may leave a tail there, within micrometres of that line: nothing is lost.
    loose.retain(|line| !met.contains(&line.along[0]));
    let bridges = without_bridges(&mut chords);
    Ok(Arrangement { edges: edges(&curves, &chords, plain), loose, bridges })
}

/// A chord of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Chord {
    a: Point,
    b: Point,
    source: usize,
    /// The parameters of both ends on the curve.
    t: [f64; 2],
}

impl Chord {
    fn key(&self) -> (Point, Point) {
        (self.a.min(self.b), self.a.max(self.b))
    }

    /// The direction in which the chord leaves by one of its ends, of length 1.
    fn out_of(&self, end: Point) -> Option<(f64, f64)> {
        let from = if end == self.b { self.a } else { self.b };
        let (x, y, length) =
            (f64::from(end.x) - f64::from(from.x), f64::from(end.y) - f64::from(from.y), far(end, from));
        (end == self.a || end == self.b).then_some((x / length, y / length))
    }

    /// The share of the chord at a point near it.
    fn share(&self, p: Point) -> f64 {
        let f = |q: Point| (f64::from(q.x), f64::from(q.y));
        let (a, b, p) = (f(self.a), f(self.b), f(p));
        let (u, v) = ((b.0 - a.0, b.1 - a.1), (p.0 - a.0, p.1 - a.1));
        (u.0 * v.0 + u.1 * v.1) / (u.0 * u.0 + u.1 * u.1)
    }
}

/// The chords of all curves, parted until none touch but at their ends.
fn graph(curves: &[Cubic]) -> Result<Vec<Chord>, Crowded> {
    let mut chords: Vec<Chord> = Vec::new();
    for (source, curve) in curves.iter().enumerate() {
        let points = line(&[*curve]);
        let steps = points.len().saturating_sub(1).max(1) as f64;
        chords.extend(points.windows(2).enumerate().map(|(i, w)| Chord {
            a: w[0],
            b: w[1],
            source,
            t: [i as f64 / steps, (i + 1) as f64 / steps],
        }));
        if chords.len() > CHORDS_MOST {
            return Err(Crowded::Chords);
        }
    }
    let mut fresh = vec![true; chords.len()];
    for round in 0..ROUNDS {
        dedupe(&mut chords, &mut fresh);
        let ends: Vec<[Point; 2]> = chords.iter().map(|chord| [chord.a, chord.b]).collect();
        if crowding(&ends) > PAIRS_MOST {
            return Err(Crowded::Pairs);
        }
        let found = touches_of(&ends, |i| fresh[i]);
        if found.is_empty() {
            return Ok(chords);
        }
        let mut cuts: BTreeMap<usize, Vec<Point>> = BTreeMap::new();
        let snap = SNAP_UM + SNAP_GROWS_UM * round as f64;
        for (i, j, at) in found {
            let at = settled(&chords[i], &chords[j], at, snap);
            for (one, other) in [(i, j), (j, i)] {
                let places = [at, chords[other].a, chords[other].b];
                let place =
                    |p: &Point| *p != chords[one].a && *p != chords[one].b && (*p == at || on(&chords[one], *p));
                cuts.entry(one).or_default().extend(places.iter().filter(|p| place(p)));
            }
        }
        (chords, fresh) = parted(&chords, &cuts);
        if chords.len() > 2 * CHORDS_MOST {
            return Err(Crowded::Pairs);
        }
    }
    Err(Crowded::Pairs)
}

/// Where two chords are parted: at an end of one that is not one of the other when it is near enough, else where they cross. What
/// runs level or upright stays so, as the edge of a panel must; crossings with it do not creep, they are on it to the µm.
fn settled(one: &Chord, other: &Chord, at: Point, snap: f64) -> Point {
    let shared = |p: &Point| [one.a, one.b].contains(p) && [other.a, other.b].contains(p);
    let bends = |c: &Chord, p: &Point| (c.a.x == c.b.x && p.x != c.a.x) || (c.a.y == c.b.y && p.y != c.a.y);
    let near = [one.a, one.b, other.a, other.b].into_iter();
    let near = near.filter(|p| far(*p, at) <= snap && !shared(p) && !bends(one, p) && !bends(other, p));
    near.min_by(|a, b| far(*a, at).total_cmp(&far(*b, at)).then(a.cmp(b))).unwrap_or(at)
}

fn on(chord: &Chord, p: Point) -> bool {
    let share = chord.share(p);
    super::orientation(chord.a, chord.b, p) == 0 && share > 0.0 && share < 1.0
}

/// Every chord once: of two that lie on each other the one of the earlier curve.
fn dedupe(chords: &mut Vec<Chord>, fresh: &mut Vec<bool>) {
    let mut seen: BTreeSet<(Point, Point)> = BTreeSet::new();
    let keep: Vec<bool> = chords.iter().map(|chord| chord.a != chord.b && seen.insert(chord.key())).collect();
    let mut at = keep.iter();
    chords.retain(|_| *at.next().expect("one for each"));
    let mut at = keep.iter();
    fresh.retain(|_| *at.next().expect("one for each"));
}

/// The chords cut at their places, and which of them are new.
fn parted(chords: &[Chord], cuts: &BTreeMap<usize, Vec<Point>>) -> (Vec<Chord>, Vec<bool>) {
    let (mut found, mut fresh) = (Vec::new(), Vec::new());
    for (index, chord) in chords.iter().enumerate() {
        let mut places: Vec<(f64, Point)> =
            cuts.get(&index).into_iter().flatten().map(|p| (chord.share(*p).clamp(0.0, 1.0), *p)).collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        places.dedup_by_key(|place| place.1);
        let new = !places.is_empty();
        let (mut a, mut t) = (chord.a, chord.t[0]);
        for (share, p) in places.into_iter().chain([(1.0, chord.b)]) {
            let to = chord.t[0] + (chord.t[1] - chord.t[0]) * share;
            found.push(Chord { a, b: p, source: chord.source, t: [t, to] });
            fresh.push(new);
            (a, t) = (p, to);
        }
    }
    (found, fresh)
}

fn degrees(chords: &[Chord]) -> BTreeMap<Point, usize> {
    let mut degrees = BTreeMap::new();
    for p in chords.iter().flat_map(|chord| [chord.a, chord.b]) {
        *degrees.entry(p).or_default() += 1;
    }
    degrees
}

fn far(a: Point, b: Point) -> f64 {
    let (x, y) = (f64::from(a.x) - f64::from(b.x), f64::from(a.y) - f64::from(b.y));
    (x * x + y * y).sqrt()
}

/// Takes away what leads to a loose end alone; what of it stood out farther than the gap, from its end on.
fn prune(chords: &mut Vec<Chord>, gap: f64) -> Vec<Loose> {
    let mut at: BTreeMap<Point, Vec<usize>> = BTreeMap::new();
    for (index, chord) in chords.iter().enumerate() {
        for p in [chord.a, chord.b] {
            at.entry(p).or_default().push(index);
        }
    }
    let mut gone = vec![false; chords.len()];
    let mut open: Vec<(Vec<Point>, f64)> =
        at.iter().filter(|(_, of)| of.len() == 1).map(|(p, _)| (vec![*p], 0.0)).collect();
    let mut lines: BTreeMap<Point, Loose> = BTreeMap::new();
    while let Some((mut line, length)) = open.pop() {
        let p = line[line.len() - 1];
        let left: Vec<usize> = at[&p].iter().copied().filter(|i| !gone[*i]).collect();
        match left[..] {
            [only] => {
                gone[only] = true;
                let chord = chords[only];
                let next = if chord.a == p { chord.b } else { chord.a };
                line.push(next);
                open.push((line, length + far(chord.a, chord.b)));
            }
            _ if length > gap => {
                lines.insert(line[0], Loose { both: at[&p].len() == 1, along: line });
            }
            _ => {}
        }
    }
    let mut keep = gone.iter();
    chords.retain(|_| !*keep.next().expect("one for each"));
    lines.into_values().collect()
}

/// Takes away the chords without which something would hang on nothing, and gives them as lines (Tarjan 1974: none of what was
/// reached by a bridge leads back before it).
fn without_bridges(chords: &mut Vec<Chord>) -> Vec<Vec<Point>> {
    let mut at: BTreeMap<Point, Vec<usize>> = BTreeMap::new();
    for (index, chord) in chords.iter().enumerate() {
        [chord.a, chord.b].into_iter().for_each(|p| at.entry(p).or_default().push(index));
    }
    let other = |chord: usize, p: Point| if chords[chord].a == p { chords[chord].b } else { chords[chord].a };
    let mut is_bridge = vec![false; chords.len()];
    // By node: when it was reached, and the earliest that it leads back to.
    let mut reached: BTreeMap<Point, (usize, usize)> = BTreeMap::new();
    for start in at.keys() {
        if reached.contains_key(start) {
            continue;
        }
        reached.insert(*start, (reached.len(), reached.len()));
        let mut path = vec![(*start, None, at[start].iter())];
        while let Some((p, by, ways)) = path.last_mut() {
            let (p, by) = (*p, *by);
            if let Some(way) = ways.next().copied() {
                let to = other(way, p);
                if by == Some(way) {
                    continue;
                }
                if let Some((first, _)) = reached.get(&to).copied() {
                    let back = &mut reached.get_mut(&p).expect("the path is reached").1;
                    *back = first.min(*back);
                } else {
                    reached.insert(to, (reached.len(), reached.len()));
                    path.push((to, Some(way), at[&to].iter()));
                }
                continue;
            }
            path.pop();
            if let (Some((before, ..)), Some(by)) = (path.last(), by) {
                let (first, back) = reached[&p];
                is_bridge[by] = back == first;
                let earliest = &mut reached.get_mut(before).expect("the path is reached").1;
                *earliest = back.min(*earliest);
            }
        }
    }
    let ends = |p: &Point| at[p].len() != 2 || at[p].iter().any(|chord| !is_bridge[*chord]);
    let mut left: BTreeSet<usize> = (0..chords.len()).filter(|chord| is_bridge[*chord]).collect();
    let mut lines = Vec::new();
    for (from, ways) in at.iter().filter(|(p, _)| ends(p)) {
        for way in ways {
            let (mut line, mut way) = (vec![*from], *way);
            while left.remove(&way) {
                let next = other(way, line[line.len() - 1]);
                line.push(next);
                if !ends(&next) {
                    way = at[&next].iter().copied().find(|chord| *chord != way).expect("two chords meet");
                }
            }
            lines.extend(Some(line).filter(|line| line.len() > 1));
        }
    }
    let mut bridges = is_bridge.iter();
    chords.retain(|_| !*bridges.next().expect("one for each"));
    lines
}

/// A run of chords of one curve between two nodes.
struct Run {
    source: usize,
    points: Vec<Point>,
    t: [f64; 2],
}

fn edges(curves: &[Cubic], chords: &[Chord], plain: bool) -> Vec<Edge> {
    let degrees = degrees(chords);
    let mut order: Vec<&Chord> = chords.iter().collect();
    order.sort_by(|a, b| a.source.cmp(&b.source).then(a.t[0].total_cmp(&b.t[0])).then(a.t[1].total_cmp(&b.t[1])));
    let mut runs: Vec<Run> = Vec::new();
    for chord in order {
        match runs.last_mut() {
            Some(run)
                if run.source == chord.source
                    && run.points[run.points.len() - 1] == chord.a
                    && run.t[1] == chord.t[0]
                    && degrees[&chord.a] == 2 =>
            {
                run.points.push(chord.b);
                run.t[1] = chord.t[1];
            }
            _ => runs.push(Run { source: chord.source, points: vec![chord.a, chord.b], t: chord.t }),
        }
    }
    let mut made: Vec<Edge> =
        runs.iter().map(|run| Edge { curve: curve_of(curves, run, plain), source: run.source }).collect();
    loop {
        let lines: Vec<Vec<Point>> = made.iter().map(|edge| line(&edge.curve)).collect();
        let cut = |i: usize| lines[i] != runs[i].points;
        let touching: BTreeSet<usize> =
            touches_of(&lines, cut).into_iter().flat_map(|(i, j, _)| [i, j]).filter(|i| cut(*i)).collect();
        if touching.is_empty() {
            return made;
        }
        for i in touching {
            made[i].curve = straights(&runs[i].points);
        }
    }
}

/// The curve of a run: its own cubic when it was not cut, else the part of it with its ends in the nodes.
fn curve_of(curves: &[Cubic], run: &Run, plain: bool) -> Vec<Cubic> {
    let whole = curves[run.source];
    if line(&[whole]) == run.points {
        return vec![whole];
    }
    let straight = whole.0[1..3].iter().all(|p| super::orientation(whole.start(), whole.end(), *p) == 0);
    if plain || straight {
        return straights(&run.points);
    }
    let (head, _) = whole.split(run.t[1]);
    let (_, part) = head.split(if run.t[1] > 0.0 { run.t[0] / run.t[1] } else { 0.0 });
    let mut part = part.0;
    for (end, handle, to) in [(0, 1, run.points[0]), (3, 2, run.points[run.points.len() - 1])] {
        let by = (to.x - part[end].x, to.y - part[end].y);
        part[end] = to;
        part[handle] = Point::new(part[handle].x + by.0, part[handle].y + by.1);
    }
    vec![Cubic(part)]
}

fn straights(points: &[Point]) -> Vec<Cubic> {
    points.windows(2).map(|w| Cubic::straight(w[0], w[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::touches;
    use proptest::prelude::*;

    fn p(x: i32, y: i32) -> Point {
        Point::new(x, y)
    }

    fn straight(a: (i32, i32), b: (i32, i32)) -> Cubic {
        Cubic::straight(p(a.0, a.1), p(b.0, b.1))
    }

    /// Rays between two circles end on them to the µm, a little short, or a little over; each parts the ring.
    #[test]
    fn lines_that_end_on_curves_meet_them() {
        for (rays, off) in [8, 12, 24, 40].into_iter().flat_map(|rays| [-100.0, 0.0, 100.0].map(|off| (rays, off))) {
            let at = |radius: f64, turn: f64| {
                let angle = turn * std::f64::consts::TAU;
                p(
                    (50_000.0 + radius * libm::cos(angle)).round() as i32,
                    (40_000.0 + radius * libm::sin(angle)).round() as i32,
                )
            };
            let quarter = |radius: f64, k: i32| {
                let (long, turn) = (4.0 / 3.0 * (2.0_f64.sqrt() - 1.0) * radius, f64::from(k) / 4.0);
                let (a, b) = (at(radius, turn), at(radius, turn + 0.25));
                let (u, v) = (at(radius, turn + 0.25), at(radius, turn + 0.5));
                let along = |from: Point, by: Point| {
                    let share = |by: i32, middle: i32| (f64::from(by - middle) / radius * long).round() as i32;
                    p(from.x + share(by.x, 50_000), from.y + share(by.y, 40_000))
                };
                let back = |from: Point, by: Point| along(from, p(100_000 - by.x, 80_000 - by.y));
                Cubic([a, along(a, u), back(b, v), b])
            };
            let circles = [3_000.0, 25_000.0].into_iter().flat_map(|radius| (0..4).map(move |k| (radius, k)));
            let mut curves: Vec<Cubic> = circles.map(|(radius, k)| quarter(radius, k)).collect();
            for ray in 0..rays {
                let turn = f64::from(ray) / f64::from(rays);
                curves.push(Cubic::straight(at(3_000.0 - off, turn), at(25_000.0 + off, turn)));
            }
            let found = arranged(&curves, 250.0, false).expect("few lines");
            plane(&found);
            let ends: BTreeSet<Point> = found
                .edges
                .iter()
                .flat_map(|edge| [edge.curve[0].start(), edge.curve[edge.curve.len() - 1].end()])
                .collect();
            // Euler: the inside, a field between each two rays, and what lies around.
            let faces = found.edges.len() + 2 - ends.len();
            assert_eq!((faces, found.loose.len(), found.bridges.len()), (rays as usize + 2, 0, 0), "{rays} {off}");
        }
    }

    fn plane(found: &Arrangement) {
        let lines: Vec<Vec<Point>> = found.edges.iter().map(|edge| line(&edge.curve)).collect();
        assert_eq!(touches(&lines), []);
        let mut ends: BTreeMap<Point, usize> = BTreeMap::new();
        for end in lines.iter().flat_map(|line| [line[0], line[line.len() - 1]]) {
            *ends.entry(end).or_default() += 1;
        }
        assert!(ends.values().all(|count| *count > 1), "a loose end");
    }

    #[test]
    fn a_cross_in_a_square_is_parted_and_its_tails_are_pruned() {
        let square = [((0, 0), (9000, 0)), ((9000, 0), (9000, 9000)), ((9000, 9000), (0, 9000)), ((0, 9000), (0, 0))];
        let mut curves: Vec<Cubic> = square.iter().map(|(a, b)| straight(*a, *b)).collect();
        curves.push(straight((4000, -50), (5000, 9050)));
        curves.push(straight((-2000, 5000), (7000, 5000)));
        let found = arranged(&curves, 100.0, false).expect("few lines");
        plane(&found);
        // The second line ends in the open to the right: its tip is told, and what led there is gone.
        let ends: Vec<Point> = found.loose.iter().map(|line| line.along[0]).collect();
        assert_eq!(ends, [p(-2000, 5000), p(7000, 5000)]);
        assert!(found.loose.iter().all(|line| !line.both));
        assert_eq!(found.edges.len(), 10);
    }

    #[test]
    fn what_was_not_cut_is_the_same() {
        let ring = [
            Cubic([p(5000, 0), p(5000, 2761), p(2761, 5000), p(0, 5000)]),
            Cubic([p(0, 5000), p(-2761, 5000), p(-5000, 2761), p(-5000, 0)]),
            Cubic([p(-5000, 0), p(-5000, -2761), p(-2761, -5000), p(0, -5000)]),
            Cubic([p(0, -5000), p(2761, -5000), p(5000, -2761), p(5000, 0)]),
        ];
        let found = arranged(&ring, 100.0, false).expect("few lines");
        plane(&found);
        assert_eq!(found.edges.iter().map(|edge| edge.curve.clone()).collect::<Vec<_>>(), ring.map(|c| vec![c]));
        // A chord through it cuts two of the four; the others stay, and the parts lie on the circle.
        let mut cut = ring.to_vec();
        cut.push(straight((-9000, 2500), (9000, 2500)));
        let found = arranged(&cut, 100.0, false).expect("few lines");
        plane(&found);
        let whole: Vec<Cubic> =
            found.edges.iter().filter(|e| e.source >= 2 && e.source < 4).map(|e| e.curve[0]).collect();
        assert_eq!(whole, ring[2..]);
        for at in found.edges.iter().filter(|edge| edge.source < 4).flat_map(|edge| line(&edge.curve)) {
            assert!((far(at, p(0, 0)) - 5000.0).abs() < 12.0, "{at:?}");
        }
    }

    #[test]
    fn hairline_gaps_close_and_wide_ones_are_told() {
        let curves = |gap: i32| {
            vec![
                straight((0, 0), (9000, 0)),
                straight((9000, gap), (9000, 9000)),
                straight((9000, 9000), (0, 9000)),
                straight((0, 9000), (0, gap)),
                straight((4000, gap), (4000, 9000 - gap)),
            ]
        };
        let found = arranged(&curves(80), 100.0, false).expect("few lines");
        plane(&found);
        assert_eq!((found.edges.len(), found.loose.len()), (7, 0), "{found:?}");
        // A line drawn twice: its tips go on to the edge together, not to each other.
        let mut twice = curves(80);
        twice.push(straight((4002, 80), (4002, 8920)));
        let found = arranged(&twice, 100.0, false).expect("few lines");
        plane(&found);
        assert_eq!((found.edges.len(), found.loose.len()), (10, 0), "{found:?}");
        let wide = arranged(&curves(300), 100.0, false).expect("few lines");
        assert!(wide.edges.is_empty() && !wide.loose.is_empty());
        // The upper edge, the line down the middle, and the rest, each loose at both ends.
        assert_eq!(wide.loose.iter().map(|line| line.both).collect::<Vec<_>>(), [true; 3]);
    }

    /// A frame, a ring on a stalk in it, and two rings on one string that bends: what hangs is whole, and the lines are told.
    #[test]
    fn what_parts_nothing_is_no_edge() {
        let square = |x: i32, y: i32, side: i32| {
            let corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)];
            corners.windows(2).map(|w| straight(w[0], w[1])).collect::<Vec<_>>()
        };
        let mut curves: Vec<Cubic> = [
            square(0, 0, 100_000),
            square(20_000, 20_000, 10_000),
            square(60_000, 20_000, 10_000),
            square(60_000, 60_000, 10_000),
        ]
        .concat();
        let whole = arranged(&curves, 250.0, false).expect("few").edges;
        curves.push(straight((25_000, 30_000), (25_000, 100_000)));
        curves.extend([straight((65_000, 30_000), (80_000, 45_000)), straight((80_000, 45_000), (65_000, 60_000))]);
        let found = arranged(&curves, 250.0, false).expect("few");
        assert!(found.loose.is_empty());
        let ends: Vec<(Point, Point, usize)> =
            found.bridges.iter().map(|line| (line[0], line[line.len() - 1], line.len())).collect();
        assert_eq!(ends, [(p(25_000, 30_000), p(25_000, 100_000), 2), (p(65_000, 30_000), p(65_000, 60_000), 3)]);
        let length = |edges: &[Edge]| -> f64 {
            edges.iter().flat_map(|e| e.curve.iter()).map(|c| far(c.start(), c.end())).sum()
        };
        assert_eq!(length(&found.edges), length(&whole));
    }

    /// A point on a loose tip is no line of its own: the line that ends there is the one that closes.
    #[test]
    fn a_point_is_not_drawn_out_to_close_a_gap() {
        let dot = Cubic([p(4000, 8920); 4]);
        let square = [((0, 0), (9000, 0)), ((9000, 0), (9000, 9000)), ((9000, 9000), (0, 9000)), ((0, 9000), (0, 0))];
        let mut curves = vec![dot];
        curves.extend(square.iter().map(|(a, b)| straight(*a, *b)));
        curves.push(straight((4000, 0), (4000, 8920)));
        let found = arranged(&curves, 100.0, false).expect("few lines");
        plane(&found);
        assert_eq!((found.edges.len(), found.loose.len()), (7, 0), "{found:?}");
        assert!(found.edges.iter().all(|edge| edge.source > 0));
    }

    /// Two lines 1 µm apart cross a third at a flat angle: each cut moved the crossing on by 1 µm, for ever.
    #[test]
    fn crossings_do_not_creep() {
        let twins = [
            Cubic([p(6500, 500), p(10000, 3000), p(17000, 15000), p(3000, 14500)]),
            Cubic([p(500, 9500), p(1000, 17500), p(11000, 12500), p(16500, 12500)]),
            Cubic([p(16501, 12500), p(11001, 12500), p(1001, 17500), p(501, 9500)]),
        ];
        plane(&arranged(&twins, 0.0, false).expect("few lines"));
    }

    #[test]
    fn crowds_are_refused() {
        let fans: Vec<Cubic> = (0..14_000).map(|k| straight((k * 10, 0), (140_000 - k * 10, 100_000))).collect();
        assert_eq!(arranged(&fans, 100.0, false), Err(Crowded::Pairs));
    }

    /// Curves that lie over each other, run along each other, touch, or miss by a hair.
    fn troubled() -> impl Strategy<Value = Vec<Cubic>> {
        let any = prop::array::uniform4((0..40i32, 0..40i32).prop_map(|(x, y)| p(x * 500, y * 500))).prop_map(Cubic);
        let flat =
            (0..40i32, 0..40i32, 0..40i32).prop_map(|(y, a, b)| straight((a * 500, y * 500), (b * 500, y * 500)));
        let twin = (prop::array::uniform4((0..40i32, 0..40i32)), -3..4i32)
            .prop_map(|(c, off)| Cubic(c.map(|(x, y)| p(x * 500 + off, y * 500 - off))));
        let tangent = (0..40i32, 0..40i32).prop_map(|(x, y)| {
            Cubic([
                p(x * 500 - 3000, y * 500),
                p(x * 500 - 1000, y * 500 + 4000),
                p(x * 500 + 1000, y * 500 + 4000),
                p(x * 500 + 3000, y * 500),
            ])
        });
        let any_one = prop_oneof![3 => any, 3 => flat, 1 => twin, 2 => tangent];
        (prop::collection::vec(any_one, 2..24), prop::collection::vec((0usize..24, -2..3i32), 0..6)).prop_map(
            |(mut curves, copies)| {
                for (of, off) in copies {
                    let copy = curves[of % curves.len()].0.map(|q| p(q.x + off, q.y));
                    curves.push(Cubic(copy).reversed());
                }
                curves
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn trouble_is_arranged(curves in troubled(), gap in prop_oneof![Just(0.0), Just(120.0)], plain: bool) {
            let found = arranged(&curves, gap, plain).expect("few lines");
            plane(&found);
            // Every edge lies on its curve, to the flatness and what closing a gap moves.
            for edge in &found.edges {
                let of = line(&[curves[edge.source]]);
                for at in line(&edge.curve) {
                    let off = of.windows(2).map(|w| {
                        let c = Chord { a: w[0], b: w[1], source: 0, t: [0.0, 1.0] };
                        let s = if c.a == c.b { 0.0 } else { c.share(at).clamp(0.0, 1.0) };
                        let mix = |a: i32, b: i32| (f64::from(a) + s * f64::from(b - a)).round() as i32;
                        far(at, p(mix(c.a.x, c.b.x), mix(c.a.y, c.b.y)))
                    }).fold(f64::MAX, f64::min);
                    prop_assert!(off <= 25.0 + 2.0 * gap, "{} µm", off);
                }
            }
        }
    }
}
