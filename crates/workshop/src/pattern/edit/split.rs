//! Splitting along a drawn line: where it enters and leaves, the new border, and which side is whose.
//!
//! The sides are found by walking the rings of the area with the new border in it, so that ears of holes, islands and cuts
//! from corner to corner are one case. Nothing is trusted: the new lines are tested exactly against all that lie near.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Point, inside, line, touches_of};

use super::cut::{Bench, Crossing, End, SNAP_UM, crossings, end};
use super::{at, find, pieces_of, stroke};
use crate::pattern::outline::{green20, rings, widest};
use crate::pattern::refuse_if_made;
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, Changes, Ends, Origin, Pattern, Piece, Refusal, Side, Spot, Way, Whom,
    Work,
};

/// An end that falls short of the border by up to this is drawn on to it, µm.
const SHORT_UM: f64 = 1000.0;
/// A line whose ends lie this near to each other inside the area is a closed one, µm.
const CLOSED_UM: f64 = 1000.0;
/// No side may be narrower than this, µm: it would be lost in the snapping of its own border.
const SLIVER_UM: f64 = 50.0;

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
    let border = match ring(&work.pattern, id, &drawn, is_inside) {
        Some(points) => island(id, &points)?,
        None => crossing(work, id, &drawn, is_inside, &mut changes)?,
    };
    let new_line = line(&border.curve);
    let middle = new_line.len() / 2;
    if !is_inside(half_way(new_line[middle - 1], new_line[middle])) {
        return Err(grazes(id, None));
    }
    let new = work.next.new_border();
    work.pattern.borders.insert(new, border);
    changes.borders.insert(new);
    untouched(&work.pattern, id, &changes.borders)?;
    part(work, id, new, &mut changes)?;
    Ok(changes)
}

fn refused(id: AreaId, what: &str, way: &str) -> Refusal {
    Refusal::new(what).at(at(id)).way(Way::advice(way))
}

fn grazes(id: AreaId, place: Option<Point>) -> Refusal {
    refused(
        id,
        "The line comes upon a border, or upon itself, on its way.",
        "Draw it clear of the borders, and let it meet them at a wider angle.",
    )
    .at(Spot { at: place, ..at(id) })
}

/// Lines may overshoot the panel, within what a screen shows beside it.
fn within(work: &Work, p: Point) -> bool {
    let near = |v: i32, side: i32| i64::from(v) >= -i64::from(side) && i64::from(v) <= 2 * i64::from(side);
    near(p.x, work.panel.width.0) && near(p.y, work.panel.height.0)
}

fn borders_of(pattern: &Pattern, id: AreaId) -> impl Iterator<Item = (&BorderId, &Border)> {
    pattern.borders.iter().filter(move |(_, border)| border.left == Side::Area(id) || border.right == Side::Area(id))
}

fn half_way(a: Point, b: Point) -> Point {
    Point::new(a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2)
}

fn far(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

fn to_f(p: Point) -> (f64, f64) {
    (f64::from(p.x), f64::from(p.y))
}

/// The closed line, its first point repeated, when the drawn one is closed and crosses no border of the area.
fn ring(pattern: &Pattern, id: AreaId, drawn: &[Point], is_inside: impl Fn(Point) -> bool) -> Option<Vec<Point>> {
    let (first, last) = (drawn[0], drawn[drawn.len() - 1]);
    let closed = drawn.len() > 3 && far(to_f(first), to_f(last)) <= CLOSED_UM && is_inside(first);
    let mut points = drawn.to_vec();
    if first != last {
        points.push(first);
    }
    let clear = || borders_of(pattern, id).all(|(id, border)| crossings(&points, *id, border).is_empty());
    (closed && clear()).then_some(points)
}

fn island(id: AreaId, points: &[Point]) -> Result<Border, Refusal> {
    // Simplified in two halves, since a closed line has no chord from its first point to its last.
    let half = points.len() / 2;
    let mut tidy = stroke::tidied(&points[..=half]);
    tidy.extend(stroke::tidied(&points[half..]).into_iter().skip(1));
    if tidy.len() < 4 {
        return Err(refused(id, "The closed line encloses nothing.", "Draw it wider."));
    }
    Ok(drawn_border(Ends::Ring(tidy[0]), id, stroke::smoothed(&tidy, true)))
}

fn drawn_border(ends: Ends, id: AreaId, curve: Vec<measure::plane::Cubic>) -> Border {
    let gap = measure::length::Um(0);
    Border { ends, curve, left: Side::Area(id), right: Side::Area(id), gap, from: Origin::Drawn }
}

/// The new border of an open line, its junctions made.
fn crossing(
    work: &mut Work,
    id: AreaId,
    drawn: &[Point],
    is_inside: impl Fn(Point) -> bool,
    changes: &mut Changes,
) -> Result<Border, Refusal> {
    let drawn = drawn_on(&work.pattern, id, drawn, &is_inside);
    let [enters, leaves] = stretch(&work.pattern, id, &drawn, is_inside)?;
    let ends = [end(&work.pattern, &enters), end(&work.pattern, &leaves)];
    if ends[0] == ends[1] || (matches!(ends, [End::New(_), End::New(_)]) && far(enters.at, leaves.at) < SNAP_UM) {
        return Err(refused(id, "The line only cuts a corner that no saw could follow.", "Draw it farther in."));
    }
    let mut bench = Bench { pattern: &mut work.pattern, next: &mut work.next, changes };
    let junctions = bench.junctions(ends);
    let [from, to] = junctions.map(|junction| work.pattern.junctions[&junction]);
    let clear = |p: &&Point| far(to_f(**p), to_f(from)) > SNAP_UM && far(to_f(**p), to_f(to)) > SNAP_UM;
    let kept = drawn.iter().enumerate().filter(|(i, _)| (*i as f64) > enters.along && (*i as f64) < leaves.along);
    let mut points = vec![from];
    points.extend(kept.map(|(_, point)| point).filter(clear));
    points.push(to);
    let curve = stroke::smoothed(&stroke::tidied(&points), false);
    Ok(drawn_border(Ends::Between(junctions[0], junctions[1]), id, curve))
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

/// The crossings between which the line runs inside the area: one stretch, or a refusal.
fn stretch(
    pattern: &Pattern,
    id: AreaId,
    drawn: &[Point],
    is_inside: impl Fn(Point) -> bool,
) -> Result<[Crossing; 2], Refusal> {
    let mut found: Vec<Crossing> =
        borders_of(pattern, id).flat_map(|(id, border)| crossings(drawn, *id, border)).collect();
    found.sort_by(|a, b| a.along.total_cmp(&b.along).then(a.place.border.cmp(&b.place.border)));
    // A crossing in the seam of two chords is found twice.
    found.dedup_by(|b, a| far(a.at, b.at) < 2.0);
    if is_inside(drawn[0]) || is_inside(drawn[drawn.len() - 1]) {
        let way = "Draw it from outside the area to outside it, or close it to a loop.";
        return Err(refused(id, "The line ends inside the area.", way));
    }
    let inner: Vec<_> = found
        .windows(2)
        .filter(|pair| is_inside(point_at(drawn, (pair[0].along + pair[1].along) / 2.0)))
        .map(|pair| [pair[0], pair[1]])
        .collect();
    match inner[..] {
        [only] => Ok(only),
        [] => Err(refused(id, "The line does not cross the area.", "Draw it from one side of the area to another.")),
        _ => Err(refused(
            id,
            "The line leaves the area and comes back into it.",
            "Split it in several goes, each from border to border; go around a hole.",
        )),
    }
}

fn point_at(drawn: &[Point], along: f64) -> Point {
    let i = (along.floor() as usize).min(drawn.len() - 2);
    let (a, b, share) = (to_f(drawn[i]), to_f(drawn[i + 1]), along - i as f64);
    Point::new((a.0 + (b.0 - a.0) * share).round() as i32, (a.1 + (b.1 - a.1) * share).round() as i32)
}

/// Refuses when a changed border touches anything but at junctions. Borders far from the area need no look.
fn untouched(pattern: &Pattern, id: AreaId, changed: &BTreeSet<BorderId>) -> Result<(), Refusal> {
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

/// Gives the smaller side of the new border an area of its own.
fn part(work: &mut Work, id: AreaId, new: BorderId, changes: &mut Changes) -> Result<(), Refusal> {
    let borders: BTreeMap<BorderId, Border> = borders_of(&work.pattern, id).map(|(i, b)| (*i, b.clone())).collect();
    let own = Pattern { borders, ..Pattern::default() };
    let lines: BTreeMap<BorderId, Vec<Point>> = own.borders.iter().map(|(i, b)| (*i, line(&b.curve))).collect();
    let walks = rings::walks(&own, &lines, rings::Turn::Follow).remove(&id).unwrap_or_default();
    let sides = sides(&own, &lines, walks, new).ok_or_else(|| {
        refused(
            id,
            "The line does not part the area: it runs from the outline to a hole.",
            "Draw it from one place of the outline to another.",
        )
    })?;
    let poles = sides
        .each_ref()
        .map(|side| widest::circle(&side.iter().map(|walk| rings::points(walk, &lines)).collect::<Vec<_>>()));
    if poles.iter().any(|pole| pole.radius * 2.0 < SLIVER_UM) {
        return Err(refused(id, "One side of the line is next to nothing.", "Draw it farther from the border."));
    }
    let area20 = sides.each_ref().map(|side| side.iter().map(|walk| green20(&own, walk)).sum::<i128>());
    let (large, small) = if area20[0] >= area20[1] { (0, 1) } else { (1, 0) };
    let added = work.next.new_area();
    for (border, forward) in sides[small].iter().flatten() {
        let border = work.pattern.borders.get_mut(border).expect("the walk is over borders of the pattern");
        *(if *forward { &mut border.right } else { &mut border.left }) = Side::Area(added);
        changes.areas.extend([border.left, border.right].into_iter().filter_map(Side::area));
    }
    changes.borders.extend(sides[small].iter().flatten().map(|(border, _)| *border));
    let beside = changes.borders.iter().flat_map(|id| [work.pattern.borders[id].left, work.pattern.borders[id].right]);
    changes.areas.extend(beside.filter_map(Side::area));
    let old = work.pattern.areas[&id];
    work.pattern.areas.insert(id, Area { at: poles[large].centre, ..old });
    let becomes = name_half(work, old.becomes, added, changes);
    work.pattern.areas.insert(added, Area { at: poles[small].centre, becomes });
    Ok(())
}

/// The rings of both sides of the new border, or nothing when it has one ring on both sides.
fn sides(
    own: &Pattern,
    lines: &BTreeMap<BorderId, Vec<Point>>,
    mut walks: Vec<rings::Walk>,
    new: BorderId,
) -> Option<[Vec<rings::Walk>; 2]> {
    let mut take = |forward: bool| {
        let at = walks.iter().position(|walk| walk.contains(&(new, forward)))?;
        Some(walks.remove(at))
    };
    let (one, other) = (take(true)?, take(false)?);
    // A hole's ring runs the other way: the ring that encloses the least is an outer one, and says what lies within it.
    let rank = |walk: &rings::Walk| {
        let area = green20(own, walk);
        (area <= 0, area)
    };
    let (inner, outer) = if rank(&one) <= rank(&other) { (one, other) } else { (other, one) };
    let mut around = rings::points(&inner, lines);
    around.push(around[0]);
    let lies_within = |walk: &rings::Walk| {
        let points = rings::points(walk, lines);
        points.windows(2).any(|chord| inside([around.as_slice()], half_way(chord[0], chord[1])))
    };
    let (holes, rest): (Vec<_>, Vec<_>) = walks.into_iter().partition(lies_within);
    Some([std::iter::once(inner).chain(holes).collect(), std::iter::once(outer).chain(rest).collect()])
}

/// What the smaller half becomes: of a piece another, with a new number and all that was decided of the first, in the same
/// part and at the same depth.
fn name_half(work: &mut Work, old: Becomes, added: AreaId, changes: &mut Changes) -> Becomes {
    let Becomes::Piece(number) = old else { return old };
    let given = work.next.new_number();
    let piece = Piece { area: added, ..work.pieces[&number].clone() };
    work.pieces.insert(given, piece);
    changes.pieces.extend([number, given]);
    for (id, part) in work.parts.iter_mut().filter(|(_, part)| part.pieces.contains(&number)) {
        part.pieces.insert(given);
        changes.parts.insert(*id);
    }
    if let Some(depth) = work.marks.get(&Whom::Piece(number)).copied() {
        work.marks.insert(Whom::Piece(given), depth);
        changes.settings = true;
    }
    Becomes::Piece(given)
}
