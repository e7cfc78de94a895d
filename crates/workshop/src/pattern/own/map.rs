//! Edges of a plane graph to a pattern: borders between junctions, faces to areas, slivers given to a neighbour.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::plane::{Cubic, Edge, Point, inside_rings, line};

use crate::pattern::edit::unite;
use crate::pattern::outline::{green20, rings, widest};
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, Changes, Ends, JunctionId, Origin, Pattern, Refusal, Side, Size,
};

/// Areas narrower than this come of lines drawn twice, µm; they go to a neighbour.
const SLIVER_UM: f64 = 150.0;
/// The first so many curves are the edge of the panel.
const FRAME: usize = 4;
/// The id that all areas have before their faces are known.
const ANY: Side = Side::Area(AreaId(0));

pub(super) fn pattern(edges: &[Edge], panel: Size) -> Result<Pattern, Refusal> {
    let within: Vec<&Edge> = edges.iter().filter(|edge| lies_within(edge, panel)).collect();
    let mut pattern = bordered(&within);
    let lines: BTreeMap<BorderId, Vec<Point>> = pattern.borders.iter().map(|(i, b)| (*i, line(&b.curve))).collect();
    let walks = rings::walks(&pattern, &lines, rings::Turn::Follow).remove(&AreaId(0)).unwrap_or_default();
    let faces = faces(&pattern, &lines, walks);
    for border in pattern.borders.values_mut() {
        (border.left, border.right) = (Side::Beyond, Side::Beyond);
    }
    let mut slivers = Vec::new();
    for (index, face) in faces.iter().enumerate() {
        let id = AreaId(index as u32 + 1);
        for (border, forward) in face.iter().flatten() {
            let border = pattern.borders.get_mut(border).expect("walks are over borders");
            *(if *forward { &mut border.right } else { &mut border.left }) = Side::Area(id);
        }
        let circle = widest::circle(&face.iter().map(|walk| rings::points(walk, &lines)).collect::<Vec<_>>());
        if circle.radius * 2.0 < SLIVER_UM {
            slivers.push(id);
        }
        pattern.areas.insert(id, Area { becomes: Becomes::Unnumbered, at: circle.centre });
    }
    for sliver in slivers {
        give_away(&mut pattern, sliver);
    }
    Ok(pattern)
}

fn lies_within(edge: &Edge, panel: Size) -> bool {
    let points = line(&edge.curve);
    let middle = points.len() / 2;
    let (a, b) = (points[middle.max(1) - 1], points[middle.min(points.len() - 1)]);
    let on = |a: i32, b: i32, side: Um| (0..=2 * i64::from(side.0)).contains(&(i64::from(a) + i64::from(b)));
    edge.source < FRAME || (on(a.x, b.x, panel.width) && on(a.y, b.y, panel.height))
}

/// Borders from junction to junction, all with one area on both sides. A node where two edges of one kind meet is none.
fn bordered(edges: &[&Edge]) -> Pattern {
    let ends: Vec<[Point; 2]> = edges.iter().map(|edge| ends_of(&edge.curve)).collect();
    let frame = |i: usize| edges[i].source < FRAME;
    let mut at: BTreeMap<Point, Vec<(usize, bool)>> = BTreeMap::new();
    for (i, [from, to]) in ends.iter().enumerate() {
        at.entry(*from).or_default().push((i, true));
        at.entry(*to).or_default().push((i, false));
    }
    let passes = |p: &Point| matches!(at[p][..], [(a, _), (b, _)] if frame(a) == frame(b));
    let junctions: BTreeMap<Point, JunctionId> =
        at.keys().filter(|p| !passes(p)).enumerate().map(|(k, p)| (*p, JunctionId(k as u32 + 1))).collect();
    let mut used = vec![false; edges.len()];
    let mut borders = BTreeMap::new();
    let starts = junctions.keys().flat_map(|p| at[p].clone()).chain((0..edges.len()).map(|i| (i, true)));
    for (first, forward) in starts {
        if used[first] {
            continue;
        }
        let (mut step, mut curve) = ((first, forward), Vec::new());
        let begin = ends[first][usize::from(!forward)];
        let end = loop {
            used[step.0] = true;
            curve.extend(walked(&edges[step.0].curve, step.1));
            let p = ends[step.0][usize::from(step.1)];
            let next = at[&p].iter().copied().find(|(i, _)| !used[*i]);
            match next.filter(|_| !junctions.contains_key(&p)) {
                Some(next) => step = next,
                None => break p,
            }
        };
        let ends = match (junctions.get(&begin), junctions.get(&end)) {
            (Some(a), Some(b)) => Ends::Between(*a, *b),
            _ => Ends::Ring(begin),
        };
        let from = if frame(first) { Origin::Edge } else { Origin::Drawn };
        let id = BorderId(borders.len() as u32 + 1);
        borders.insert(id, Border { ends, curve, left: ANY, right: ANY, gap: Um(0), ink: Um(0), from });
    }
    Pattern { junctions: junctions.into_iter().map(|(p, id)| (id, p)).collect(), borders, areas: BTreeMap::new() }
}

fn ends_of(curve: &[Cubic]) -> [Point; 2] {
    [curve[0].start(), curve[curve.len() - 1].end()]
}

fn walked(curve: &[Cubic], forward: bool) -> Vec<Cubic> {
    if forward { curve.to_vec() } else { curve.iter().rev().map(Cubic::reversed).collect() }
}

/// The faces, each its outer ring and its holes, in the order of their first border. What lies beyond the panel is none.
fn faces(pattern: &Pattern, lines: &BTreeMap<BorderId, Vec<Point>>, walks: Vec<rings::Walk>) -> Vec<Vec<rings::Walk>> {
    let mut sized: Vec<(i128, rings::Walk)> = walks.into_iter().map(|walk| (green20(pattern, &walk), walk)).collect();
    sized.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.cmp(&b.1)));
    let (outer, holes): (Vec<_>, Vec<_>) = sized.into_iter().map(|(area, walk)| (area > 0, walk)).partition(|of| of.0);
    let around: Vec<(Vec<Point>, [Point; 2])> = (outer.iter())
        .map(|(_, walk)| {
            let ring = rings::points(walk, lines);
            let (xs, ys) = (|| ring.iter().map(|p| p.x), || ring.iter().map(|p| p.y));
            let low = Point::new(xs().min().unwrap_or(0), ys().min().unwrap_or(0));
            let high = Point::new(xs().max().unwrap_or(0), ys().max().unwrap_or(0));
            (ring, [low, high])
        })
        .collect();
    let mut faces: Vec<Vec<rings::Walk>> = outer.into_iter().map(|(_, walk)| vec![walk]).collect();
    for (_, hole) in holes {
        let at = rings::points(&hole, lines)[0];
        let holds = |(ring, [low, high]): &(Vec<Point>, [Point; 2])| {
            (low.x..=high.x).contains(&at.x) && (low.y..=high.y).contains(&at.y) && inside_rings([ring.as_slice()], at)
        };
        // A point on a ring has no side, so a hole never finds the face on the other side of its own borders.
        if let Some(home) = around.iter().position(holds) {
            faces[home].push(hole);
        }
    }
    faces.sort_by_key(|face| face[0].iter().map(|step| step.0).min());
    faces
}

/// Merges an area into the neighbour that it shares most with.
fn give_away(pattern: &mut Pattern, sliver: AreaId) {
    let mut shared: BTreeMap<AreaId, i64> = BTreeMap::new();
    for border in pattern.borders.values() {
        if let (Side::Area(a), Side::Area(b)) = (border.left, border.right)
            && (a == sliver || b == sliver)
            && a != b
        {
            let length: f64 = line(&border.curve).windows(2).map(|w| apart(w[0], w[1])).sum();
            *shared.entry(if a == sliver { b } else { a }).or_default() += length as i64;
        }
    }
    if let Some((home, _)) = shared.into_iter().max_by_key(|(id, length)| (*length, std::cmp::Reverse(*id))) {
        unite(pattern, &BTreeSet::from([sliver, home]), home, &mut Changes::default());
    }
}

fn apart(a: Point, b: Point) -> f64 {
    libm::hypot(f64::from(a.x) - f64::from(b.x), f64::from(a.y) - f64::from(b.y))
}
