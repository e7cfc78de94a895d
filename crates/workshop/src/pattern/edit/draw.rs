//! A new line over the pattern: it may cross several areas, and closes against borders at its two ends; one that is begun on the
//! ground is trimmed at the edge of the wood.
//!
//! The line is fitted once as a whole and then parted where it crosses borders, so that it runs on smoothly through them. All
//! stretches are put in before any area is parted: a line from an outline through an island parts the area around it too.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Cubic, Point, line};

use super::cut::{Bench, Crossing, End, SNAP_UM, crossings, end};
use super::split::{CLOSED_UM, drawn_border, far, split, to_f, untouched, within};
use super::{faces, pieces_of, stroke};
use crate::pattern::outline::lines_only;
use crate::pattern::refuse_if_made;
use crate::work::{AreaId, Becomes, BorderId, Changes, Ends, JunctionId, Pattern, Refusal, Spot, Way, Work};

/// How far an end may fall short of a border, or stand over it, µm: about what a hand misses on a screen.
const CLOSE_UM: f64 = 3000.0;
/// Crossings so near to each other along the line are one, at a junction, µm.
const ONE_UM: f64 = 4.0 * SNAP_UM;

/// A stretch of the line from border to border, in one area.
struct Stretch {
    area: AreaId,
    curve: Vec<Cubic>,
    /// Its ends among all the crossings.
    ends: [usize; 2],
}

pub(super) fn draw(work: &mut Work, along: &[Point]) -> Result<Changes, Refusal> {
    let drawn = stroke::distinct(along);
    if drawn.len() < 2 || drawn.len() > stroke::POINTS_MOST || drawn.iter().any(|p| !within(work, *p)) {
        return Err(refused("That is no line on this panel.", along.first(), "Draw a line from border to border."));
    }
    let found = lines_only(&work.pattern, work.panel);
    let drawn = from_a_border(&work.pattern, drawn);
    let (drawn, curve, met) = in_junctions(work, &drawn).unwrap_or_else(|| {
        let curve = stroke::fitted(&longer(&drawn, [None; 2]), false, None);
        let met = met(&work.pattern, &curve);
        (drawn, curve, met)
    });
    if met.is_empty() {
        return match found.at(drawn[0]) {
            Some(area) if drawn.len() > 3 => split(work, area, along),
            Some(area) => Err(ends_inside(area, drawn[0])),
            None => Err(crosses_nothing(&drawn)),
        };
    }
    // What is drawn over the ground beyond the wood parts nothing and is left out.
    let of_wood = |area: &AreaId| work.pattern.areas[area].becomes != Becomes::Ground;
    refuse_loose_ends(&curve, &met, &drawn, |p| found.at(p).filter(of_wood))?;
    let stretches: Vec<Stretch> = (0..met.len() - 1)
        .filter_map(|i| {
            let curve = between(&curve, &met[i], &met[i + 1]);
            let points = line(&curve);
            let middle = points.len() / 2;
            let area = found.at(faces::half_way(points[middle.max(1) - 1], points[middle]))?;
            Some(Stretch { area, curve, ends: [i, i + 1] })
        })
        .collect();
    if stretches.is_empty() {
        return Err(crosses_nothing(&drawn));
    }
    let areas: BTreeSet<AreaId> = stretches.iter().map(|stretch| stretch.area).collect();
    refuse_if_made(work, &pieces_of(work, areas.iter().copied()))?;
    let mut changes = Changes { areas: areas.clone(), ..Changes::default() };
    let used: BTreeSet<usize> = stretches.iter().flat_map(|stretch| stretch.ends).collect();
    let mut bench = Bench { pattern: &mut work.pattern, next: &mut work.next, changes: &mut changes };
    let mut ends: Vec<End> = Vec::new();
    let of: BTreeMap<usize, usize> = (used.into_iter())
        .map(|i| {
            let known = ends.iter().position(|end| *end == met[i].end);
            (
                i,
                known.unwrap_or_else(|| {
                    ends.push(met[i].end);
                    ends.len() - 1
                }),
            )
        })
        .collect();
    let junctions = bench.junctions(&ends);
    let junction = |end: usize| junctions[of[&end]];
    let mut new: Vec<(AreaId, BorderId)> = Vec::new();
    for stretch in stretches {
        let ends = stretch.ends.map(junction);
        let places = ends.map(|id| work.pattern.junctions[&id]);
        let border = drawn_border(Ends::Between(ends[0], ends[1]), stretch.area, moored(stretch.curve, places));
        let id = work.next.new_border();
        work.pattern.borders.insert(id, border);
        changes.borders.insert(id);
        new.push((stretch.area, id));
    }
    untouched(&work.pattern, new[0].0, &changes.borders)?;
    for area in areas {
        let own: Vec<BorderId> = new.iter().filter(|(of, _)| *of == area).map(|(_, id)| *id).collect();
        faces::part(work, area, &own, &mut changes)?;
    }
    Ok(changes)
}

fn refused(what: &str, place: Option<&Point>, way: &str) -> Refusal {
    Refusal::new(what).at(Spot { at: place.copied(), ..Spot::default() }).way(Way::advice(way))
}

fn crosses_nothing(drawn: &[Point]) -> Refusal {
    refused("The line crosses no area.", Some(&drawn[0]), "Draw it from border to border.")
}

fn ends_inside(area: AreaId, place: Point) -> Refusal {
    Refusal::new("The line ends inside an area, far from any border.")
        .at(Spot { areas: vec![area], at: Some(place), ..Spot::default() })
        .way(Way::advice("Draw it on to a border, or close it to a loop."))
}

/// A closed line that crosses borders, begun at the first of them; any other as it is.
fn from_a_border(pattern: &Pattern, drawn: Vec<Point>) -> Vec<Point> {
    let last = drawn.len() - 1;
    if last < 3 || far(to_f(drawn[0]), to_f(drawn[last])) > CLOSED_UM {
        return drawn;
    }
    let all = pattern.borders.iter().flat_map(|(id, border)| crossings(&drawn, *id, border));
    let Some(first) = all.min_by(|a, b| a.along.total_cmp(&b.along)) else { return drawn };
    let at = Point::new(first.at.0.round() as i32, first.at.1.round() as i32);
    let next = (first.along as usize + 1).min(last);
    let around = drawn[next..].iter().chain(&drawn[..next]).copied();
    stroke::distinct(&[at].into_iter().chain(around).chain([at]).collect::<Vec<_>>())
}

/// A line that ends in the junctions that its ends are nearer to than half of the least width, for what it would leave between is
/// no piece; its curve, and what that meets. `None` when there are none, or it would cross a border beside one.
fn in_junctions(work: &Work, drawn: &[Point]) -> Option<(Vec<Point>, Vec<Cubic>, Vec<Met>)> {
    let reach = (f64::from(work.choices.stock.least_width.0) / 2.0).min(CLOSE_UM);
    let mut drawn = drawn.to_vec();
    let ends = into_junctions(work, &mut drawn, reach);
    let curve = stroke::fitted(&longer(&drawn, ends), false, None);
    let mut met = met(&work.pattern, &curve);
    let length = line(&curve).windows(2).map(|w| far(to_f(w[0]), to_f(w[1]))).sum();
    for (end, id) in ends.into_iter().enumerate().filter_map(|(end, id)| Some((end, id?))) {
        let at = to_f(work.pattern.junctions[&id]);
        met.retain(|other| far(other.at, at) > SNAP_UM);
        if met.iter().any(|other| far(other.at, at) < reach) {
            return None;
        }
        let (on, along) = if end == 0 { ((0, 0.0), 0.0) } else { ((curve.len() - 1, 1.0), length) };
        met.insert(if end == 0 { 0 } else { met.len() }, Met { on, along, at, end: End::There(id) });
    }
    ends.iter().any(Option::is_some).then_some((drawn, curve, met))
}

/// Ends a line in the junctions within reach of its ends.
fn into_junctions(work: &Work, drawn: &mut Vec<Point>, reach: f64) -> [Option<JunctionId>; 2] {
    let closed = far(to_f(drawn[0]), to_f(drawn[drawn.len() - 1])) <= CLOSED_UM;
    let nearest = |end: Point| {
        let off = |p: &Point| far(to_f(*p), to_f(end));
        let all = work.pattern.junctions.iter().map(|(id, p)| (off(p), *id, *p));
        all.filter(|of| !closed && of.0 <= reach).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
    };
    let [first, last] = [drawn[0], drawn[drawn.len() - 1]].map(nearest);
    let away = |p: &Point, of: Option<(f64, JunctionId, Point)>| of.is_none_or(|of| far(to_f(*p), to_f(of.2)) > reach);
    if first.zip(last).is_some_and(|(first, last)| first.1 == last.1)
        || !drawn.iter().any(|p| away(p, first) && away(p, last))
    {
        return [None; 2];
    }
    let from = drawn.iter().position(|p| away(p, first)).expect("some are away from both");
    let to = drawn.iter().rposition(|p| away(p, last)).expect("some are away from both");
    let middle = drawn[from..=to].to_vec();
    let end = |of: Option<(f64, JunctionId, Point)>| of.map(|of| of.2);
    *drawn = end(first).into_iter().chain(middle).chain(end(last)).collect();
    [first, last].map(|of| of.map(|of| of.1))
}

/// The line drawn on straight at those of its ends that lie in no junction.
fn longer(drawn: &[Point], ends: [Option<JunctionId>; 2]) -> Vec<Point> {
    let on = |end: Point, before: Point| {
        let length = far(to_f(end), to_f(before));
        let by = |a: i32, b: i32| ((f64::from(a) - f64::from(b)) / length * CLOSE_UM).round() as i32;
        Point::new(end.x + by(end.x, before.x), end.y + by(end.y, before.y))
    };
    let last = drawn.len() - 1;
    let steady = |end: usize, toward: isize| {
        // The hand's last point or two point anywhere: the direction is taken over a millimetre.
        let mut i = end as isize + toward;
        while (1..last as isize).contains(&i) && far(to_f(drawn[i as usize]), to_f(drawn[end])) < 1000.0 {
            i += toward;
        }
        on(drawn[end], drawn[i as usize])
    };
    let first = ends[0].is_none().then(|| steady(0, 1));
    let end = ends[1].is_none().then(|| steady(last, -1));
    first.into_iter().chain(drawn.iter().copied()).chain(end).collect()
}

/// Where the line meets a border.
struct Met {
    /// The cubic of the line and the parameter on it.
    on: (usize, f64),
    /// How far along the line, µm.
    along: f64,
    at: (f64, f64),
    end: End,
}

/// Every crossing in order; those at one junction are one, and two in one place of a border share its new junction.
fn met(pattern: &Pattern, curve: &[Cubic]) -> Vec<Met> {
    let mut found: Vec<Met> = Vec::new();
    let mut gone = 0.0;
    for (index, cubic) in curve.iter().enumerate() {
        let points = line(&[*cubic]);
        let chords = (points.len() - 1).max(1) as f64;
        let lengths: Vec<f64> = points.windows(2).map(|w| far(to_f(w[0]), to_f(w[1]))).collect();
        let along = |at: f64| {
            let i = (at as usize).min(lengths.len() - 1);
            gone + lengths[..i].iter().sum::<f64>() + lengths[i] * (at - i as f64)
        };
        let met = |crossing: &Crossing| Met {
            on: (index, crossing.along / chords),
            along: along(crossing.along),
            at: crossing.at,
            end: end(pattern, crossing),
        };
        let near = pattern.borders.iter().filter(|(_, border)| boxes_meet(&cubic.0, border));
        found.extend(near.flat_map(|(id, border)| crossings(&points, *id, border)).map(|c| met(&c)));
        gone += lengths.iter().sum::<f64>();
    }
    found.sort_by(|a, b| a.along.total_cmp(&b.along));
    // A crossing in the seam of two chords is found twice, one beside a junction on each border that meets there.
    found.dedup_by(|b, a| {
        let apart = b.along - a.along;
        apart < 2.0 || (apart < ONE_UM && a.end == b.end)
    });
    for i in 1..found.len() {
        let same = |j: &usize| match (found[*j].end, found[i].end) {
            (End::New(a), End::New(b)) => a.border == b.border && far(found[*j].at, found[i].at) < SNAP_UM,
            _ => false,
        };
        if let Some(j) = (0..i).find(same) {
            found[i].end = found[j].end;
        }
    }
    found
}

fn boxes_meet(points: &[Point; 4], border: &crate::work::Border) -> bool {
    let span = |of: &dyn Fn(&Point) -> i32, points: &mut dyn Iterator<Item = Point>| {
        points.fold((i32::MAX, i32::MIN), |(low, high), p| (low.min(of(&p)), high.max(of(&p))))
    };
    let apart = |of: &dyn Fn(&Point) -> i32| {
        let own = span(of, &mut points.iter().copied());
        let other = span(of, &mut border.curve.iter().flat_map(|cubic| cubic.0));
        own.1 < other.0 || other.1 < own.0
    };
    !apart(&|p| p.x) && !apart(&|p| p.y)
}

/// Refuses an end that stands over into one of these areas by more than a hand's miss.
fn refuse_loose_ends(
    curve: &[Cubic],
    met: &[Met],
    drawn: &[Point],
    area: impl Fn(Point) -> Option<AreaId>,
) -> Result<(), Refusal> {
    let points = line(curve);
    let length: f64 = points.windows(2).map(|w| far(to_f(w[0]), to_f(w[1]))).sum();
    let over = [met[0].along, length - met[met.len() - 1].along];
    let ends = [drawn[0], drawn[drawn.len() - 1]];
    let loose = (0..2).filter(|end| over[*end] > 2.0 * CLOSE_UM).find_map(|end| Some((area(ends[end])?, ends[end])));
    loose.map_or(Ok(()), |(area, place)| Err(ends_inside(area, place)))
}

/// The line between two crossings.
fn between(curve: &[Cubic], from: &Met, to: &Met) -> Vec<Cubic> {
    let ((first, t), (last, u)) = (from.on, to.on);
    if first == last {
        let (head, _) = curve[first].split(u);
        return vec![head.split(if u > 0.0 { t / u } else { 0.0 }).1];
    }
    let (_, head) = curve[first].split(t);
    let (tail, _) = curve[last].split(u);
    let whole = [head].into_iter().chain(curve[first + 1..last].iter().copied()).chain([tail]);
    let mut found: Vec<Cubic> = whole.filter(|cubic| cubic.0.iter().any(|p| *p != cubic.start())).collect();
    if found.is_empty() {
        found.push(Cubic::straight(head.start(), tail.end()));
    }
    found
}

/// The curve with its ends in two places near them; the handles go along, so that it runs on in the same direction.
fn moored(mut curve: Vec<Cubic>, [from, to]: [Point; 2]) -> Vec<Cubic> {
    let shift = |p: Point, by: (i32, i32)| Point::new(p.x + by.0, p.y + by.1);
    let off = |to: Point, p: Point| (to.x - p.x, to.y - p.y);
    let last = curve.len() - 1;
    let by = off(from, curve[0].start());
    curve[0].0[0] = from;
    curve[0].0[1] = shift(curve[0].0[1], by);
    let by = off(to, curve[last].end());
    curve[last].0[3] = to;
    curve[last].0[2] = shift(curve[last].0[2], by);
    curve
}
