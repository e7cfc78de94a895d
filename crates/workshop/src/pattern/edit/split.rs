//! Splitting an area along a drawn line: where it enters and leaves, and the new borders. Holes that the line crosses stay whole: what
//! it parts is the area around them, along every stretch of it there.
//!
//! Nothing is trusted: the new lines are tested exactly against all that lie near.

use std::collections::BTreeSet;

use measure::plane::{Point, inside, line, touches_of};

use super::cut::{Bench, Crossing, End, SNAP_UM, crossings, end};
use super::faces::{self, half_way};
use super::{at, find, pieces_of, stroke};
use crate::pattern::refuse_if_made;
use crate::work::{AreaId, Border, BorderId, Changes, Ends, Origin, Pattern, Refusal, Side, Size, Spot, Way, Work};

/// An end that falls short of the border by up to this is drawn on to it, µm.
const SHORT_UM: f64 = 1000.0;
/// A line whose ends lie this near to each other inside the area is a closed one, µm.
pub(super) const CLOSED_UM: f64 = 1000.0;

pub(super) fn split(work: &mut Work, id: AreaId, along: &[Point]) -> Result<Changes, Refusal> {
    find(work, id)?;
    refuse_if_made(work, &pieces_of(work, [id]))?;
    let drawn = stroke::distinct(along);
    if drawn.len() < 2 || drawn.len() > stroke::POINTS_MOST || drawn.iter().any(|p| !within(work, *p)) {
        return Err(refused(
            id,
            "That is no line on this panel.",
            "Draw a line across the area, from outside it to outside it.",
        ));
    }
    let old: Vec<Vec<Point>> = borders_of(&work.pattern, id).map(|(_, border)| line(&border.curve)).collect();
    let is_inside = |point: Point| inside(old.iter().map(Vec::as_slice), point);
    let mut changes = Changes { areas: [id].into(), ..Changes::default() };
    let borders = match ring(&work.pattern, id, &drawn, is_inside) {
        Ring::Clear(points) => vec![island(id, &points, work.panel)?],
        Ring::Over(points) => crossing(work, id, &points, is_inside, &mut changes)?,
        Ring::None => crossing(work, id, &drawn, is_inside, &mut changes)?,
    };
    let mut new = Vec::new();
    for border in borders {
        let new_line = line(&border.curve);
        let middle = new_line.len() / 2;
        if middle == 0 || !is_inside(half_way(new_line[middle - 1], new_line[middle])) {
            return Err(grazes(id, None));
        }
        let added = work.next.new_border();
        work.pattern.borders.insert(added, border);
        changes.borders.insert(added);
        new.push(added);
    }
    untouched(&work.pattern, id, &changes.borders)?;
    faces::part(work, id, &new, &mut changes)?;
    Ok(changes)
}

fn refused(id: AreaId, what: &str, way: &str) -> Refusal {
    Refusal::new(what).at(at(id)).way(Way::advice(way))
}

pub(super) fn grazes(id: AreaId, place: Option<Point>) -> Refusal {
    refused(
        id,
        "The line comes upon a border, or upon itself, on its way.",
        "Draw it clear of the borders, and let it meet them at a wider angle.",
    )
    .at(Spot { at: place, ..at(id) })
}

/// Lines may overshoot the panel, within what a screen shows beside it.
pub(super) fn within(work: &Work, p: Point) -> bool {
    let near = |v: i32, side: i32| i64::from(v) >= -i64::from(side) && i64::from(v) <= 2 * i64::from(side);
    near(p.x, work.panel.width.0) && near(p.y, work.panel.height.0)
}

fn borders_of(pattern: &Pattern, id: AreaId) -> impl Iterator<Item = (&BorderId, &Border)> {
    pattern.borders.iter().filter(move |(_, border)| border.left == Side::Area(id) || border.right == Side::Area(id))
}

pub(super) fn far(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

pub(super) fn to_f(p: Point) -> (f64, f64) {
    (f64::from(p.x), f64::from(p.y))
}

/// A drawn line that is closed, or not.
enum Ring {
    None,
    /// It crosses no border of the area; its first point repeated.
    Clear(Vec<Point>),
    /// It does: begun and ended where it lies outside the area.
    Over(Vec<Point>),
}

fn ring(pattern: &Pattern, id: AreaId, drawn: &[Point], is_inside: impl Fn(Point) -> bool) -> Ring {
    let (first, last) = (drawn[0], drawn[drawn.len() - 1]);
    if drawn.len() <= 3 || far(to_f(first), to_f(last)) > CLOSED_UM || !is_inside(first) {
        return Ring::None;
    }
    let mut points = drawn.to_vec();
    if first != last {
        points.push(first);
    }
    let found = met(pattern, id, &points);
    let halves = found.windows(2).map(|pair| (pair[0].along + pair[1].along) / 2.0);
    match halves.map(|along| (along, point_at(&points, along))).find(|half| !is_inside(half.1)) {
        _ if found.is_empty() => Ring::Clear(points),
        Some((along, half)) => {
            let next = along as usize + 1;
            let around = points[next..].iter().chain(&points[1..next]).copied();
            Ring::Over(stroke::distinct(&[half].into_iter().chain(around).chain([half]).collect::<Vec<_>>()))
        }
        None => Ring::None,
    }
}

/// Every crossing with a border of the area, in order along the line.
fn met(pattern: &Pattern, id: AreaId, drawn: &[Point]) -> Vec<Crossing> {
    let mut found: Vec<Crossing> =
        borders_of(pattern, id).flat_map(|(id, border)| crossings(drawn, *id, border)).collect();
    found.sort_by(|a, b| a.along.total_cmp(&b.along).then(a.place.border.cmp(&b.place.border)));
    // A crossing in the seam of two chords is found twice.
    found.dedup_by(|b, a| far(a.at, b.at) < 2.0);
    found
}

fn island(id: AreaId, points: &[Point], panel: Size) -> Result<Border, Refusal> {
    let curve = stroke::fitted(points, true, Some(panel));
    match curve.first() {
        Some(first) => Ok(drawn_border(Ends::Ring(first.start()), id, curve)),
        None => Err(refused(id, "The closed line encloses nothing.", "Draw it wider.")),
    }
}

pub(super) fn drawn_border(ends: Ends, id: AreaId, curve: Vec<measure::plane::Cubic>) -> Border {
    let none = measure::length::Um(0);
    Border { ends, curve, left: Side::Area(id), right: Side::Area(id), gap: none, ink: none, from: Origin::Drawn }
}

/// The new borders of an open line, their junctions made.
fn crossing(
    work: &mut Work,
    id: AreaId,
    drawn: &[Point],
    is_inside: impl Fn(Point) -> bool,
    changes: &mut Changes,
) -> Result<Vec<Border>, Refusal> {
    let drawn = drawn_on(&work.pattern, id, drawn, &is_inside);
    let stretches = stretches(&work.pattern, id, &drawn, is_inside)?;
    let mut ends: Vec<End> = Vec::new();
    let mut used: Vec<[usize; 2]> = Vec::new();
    for stretch in &stretches {
        let both = stretch.map(|crossing| end(&work.pattern, &crossing));
        let [enters, leaves] = stretch;
        if both[0] == both[1] || (matches!(both, [End::New(_), End::New(_)]) && far(enters.at, leaves.at) < SNAP_UM) {
            return Err(refused(id, "The line only cuts a corner that no saw could follow.", "Draw it farther in."));
        }
        used.push(both.map(|end| {
            ends.iter().position(|known| *known == end).unwrap_or_else(|| {
                ends.push(end);
                ends.len() - 1
            })
        }));
    }
    let mut bench = Bench { pattern: &mut work.pattern, next: &mut work.next, changes };
    let junctions = bench.junctions(&ends);
    let border = |([enters, leaves], used): ([Crossing; 2], [usize; 2])| {
        let ends = used.map(|end| junctions[end]);
        let [from, to] = ends.map(|id| work.pattern.junctions[&id]);
        let clear = |p: &&Point| far(to_f(**p), to_f(from)) > SNAP_UM && far(to_f(**p), to_f(to)) > SNAP_UM;
        let kept = drawn.iter().enumerate().filter(|(i, _)| (*i as f64) > enters.along && (*i as f64) < leaves.along);
        let inner = kept.map(|(_, point)| point).filter(clear).copied();
        let points: Vec<Point> = [from].into_iter().chain(inner).chain([to]).collect();
        drawn_border(Ends::Between(ends[0], ends[1]), id, stroke::fitted(&points, false, Some(work.panel)))
    };
    Ok(stretches.into_iter().zip(used).map(border).collect())
}

/// The line with an end that lies in the area, or on its border, drawn on a little.
fn drawn_on(pattern: &Pattern, id: AreaId, drawn: &[Point], is_inside: impl Fn(Point) -> bool) -> Vec<Point> {
    let on = |p: Point| {
        let speck = [
            Point::new(p.x - 2, p.y - 2),
            Point::new(p.x + 2, p.y + 2),
            Point::new(p.x - 2, p.y + 2),
            Point::new(p.x + 2, p.y - 2),
        ];
        borders_of(pattern, id).any(|(id, border)| !crossings(&speck, *id, border).is_empty())
    };
    let longer = |end: Point, before: Point| {
        let length = far(to_f(end), to_f(before));
        let by = |a: i32, b: i32| ((f64::from(a) - f64::from(b)) / length * SHORT_UM).round() as i32;
        (is_inside(end) || on(end)).then(|| Point::new(end.x + by(end.x, before.x), end.y + by(end.y, before.y)))
    };
    let last = drawn.len() - 1;
    let (head, tail) = (longer(drawn[0], drawn[1]), longer(drawn[last], drawn[last - 1]));
    head.into_iter().chain(drawn.iter().copied()).chain(tail).collect()
}

/// The crossings between which the line runs inside the area: one stretch, or several with holes between them; or a refusal.
fn stretches(
    pattern: &Pattern,
    id: AreaId,
    drawn: &[Point],
    is_inside: impl Fn(Point) -> bool,
) -> Result<Vec<[Crossing; 2]>, Refusal> {
    let found = met(pattern, id, drawn);
    if is_inside(drawn[0]) || is_inside(drawn[drawn.len() - 1]) {
        let way = "Draw it from outside the area to outside it, or close it to a loop.";
        return Err(refused(id, "The line ends inside the area.", way));
    }
    let inner: Vec<_> = found
        .windows(2)
        .filter(|pair| is_inside(point_at(drawn, (pair[0].along + pair[1].along) / 2.0)))
        .map(|pair| [pair[0], pair[1]])
        .collect();
    if inner.is_empty() {
        return Err(refused(id, "The line does not cross the area.", "Draw it from one side of the area to another."));
    }
    let holes = faces::holes(pattern, id);
    let through = |w: &[[Crossing; 2]]| [w[0][1], w[1][0]].iter().all(|end| holes.contains(&end.place.border));
    if !inner.windows(2).all(through) {
        return Err(refused(
            id,
            "The line leaves the area and comes back into it.",
            "Split it in several goes, each from border to border; only holes may be crossed on the way.",
        ));
    }
    Ok(inner)
}

fn point_at(drawn: &[Point], along: f64) -> Point {
    let i = (along.floor() as usize).min(drawn.len() - 2);
    let (a, b, share) = (to_f(drawn[i]), to_f(drawn[i + 1]), along - i as f64);
    Point::new((a.0 + (b.0 - a.0) * share).round() as i32, (a.1 + (b.1 - a.1) * share).round() as i32)
}

/// Refuses when a changed border touches anything but at junctions. Borders far from the area need no look.
pub(super) fn untouched(pattern: &Pattern, id: AreaId, changed: &BTreeSet<BorderId>) -> Result<(), Refusal> {
    let hulls = |id: &BorderId| hull(&pattern.borders[id]);
    let Some(around) =
        changed.iter().map(hulls).reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])
    else {
        return Ok(());
    };
    let near = |border: &Border| {
        let [west, north, east, south] = hull(border);
        west <= around[2] && east >= around[0] && north <= around[3] && south >= around[1]
    };
    let (ids, lines): (Vec<BorderId>, Vec<Vec<Point>>) = (pattern.borders.iter())
        .filter(|(_, border)| near(border))
        .map(|(id, border)| (*id, line(&border.curve)))
        .unzip();
    match touches_of(&lines, |i| changed.contains(&ids[i])).first() {
        None => Ok(()),
        Some((_, _, place)) => Err(grazes(id, Some(*place))),
    }
}

/// The box around the control points, and so around the curve: west, north, east, south.
fn hull(border: &Border) -> [i32; 4] {
    let points = || border.curve.iter().flat_map(|cubic| cubic.0);
    let (xs, ys) = (|| points().map(|p| p.x), || points().map(|p| p.y));
    [xs().min(), ys().min(), xs().max(), ys().max()].map(|v| v.expect("a border has a curve"))
}
