//! Edges of a plane graph to a pattern: borders between junctions, faces to areas, slivers given to a neighbour.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::plane::{Circle, Cubic, Edge, Point, inside_rings, line};

use super::weld::WELD_UM;
use crate::pattern::edit::unite;
use crate::pattern::outline::{green20, rings, widest};
use crate::work::{Area, AreaId, Becomes, Border, BorderId, Changes, Ends, JunctionId, Origin, Pattern, Side, Size};

/// Areas narrower than this come of lines drawn twice, µm; they go to a neighbour.
const SLIVER_UM: f64 = 150.0;
/// A sliver goes only to what it shares so much of its edge with as with any other, or more: else a spur would hang on by a neck.
const BESIDE: f64 = 0.5;
/// Slivers that share more of drawn lines than this were meant, µm.
const ALONG_UM: f64 = 2.0 * WELD_UM;
/// The line that is the edge of the panel.
const FRAME: usize = 0;
/// The id that all areas have before their faces are known.
const ANY: Side = Side::Area(AreaId(0));

/// The pattern of edges; or, where not all of so many ties are beside slivers, which are.
pub(super) fn pattern(edges: &[Edge], known: &Lines, ties: usize, panel: Size) -> Result<Pattern, BTreeSet<usize>> {
    let within: Vec<Drawn> = (edges.iter().map(|edge| Drawn { edge, of: known.of.get(edge.source).copied() }))
        .filter(|drawn| lies_within(drawn, panel))
        .collect();
    let (mut pattern, sources) = bordered(&within);
    let lines: BTreeMap<BorderId, Vec<Point>> = pattern.borders.iter().map(|(i, b)| (*i, line(&b.curve))).collect();
    let walks = rings::walks(&pattern, &lines, rings::Turn::Follow).remove(&AreaId(0)).unwrap_or_default();
    let faces = faces(&pattern, &lines, walks);
    for border in pattern.borders.values_mut() {
        (border.left, border.right) = (Side::Beyond, Side::Beyond);
    }
    let mut widths = BTreeMap::new();
    for (index, face) in faces.iter().enumerate() {
        let id = AreaId(index as u32 + 1);
        for (border, forward) in face.iter().flatten() {
            let border = pattern.borders.get_mut(border).expect("walks are over borders");
            *(if *forward { &mut border.right } else { &mut border.left }) = Side::Area(id);
        }
        let at = widest::circle(&face.iter().map(|walk| rings::points(walk, &lines)).collect::<Vec<_>>());
        let area20 = || face.iter().map(|walk| green20(&pattern, walk)).sum();
        if known.is_sliver(&at, area20) {
            widths.insert(id, at.radius * 2.0);
        }
        pattern.areas.insert(id, Area { becomes: Becomes::Unnumbered, at: at.centre });
    }
    let line_of = |border| sources[&border].iter().map(|source| known.of.get(*source).copied()).max().flatten();
    let meant = hatched(&pattern, &widths, |border| line_of(border).map_or(0.0, |_| length(&lines[&border])));
    let slivers: BTreeSet<AreaId> = widths.into_keys().filter(|id| !meant.contains(id)).collect();
    let is_idle = |border: &&BorderId| {
        line_of(**border).is_none() && areas_of(&pattern.borders[*border]).all(|id| !slivers.contains(&id))
    };
    let idle: Vec<BorderId> = pattern.borders.keys().filter(is_idle).copied().collect();
    let beside = |border: &&BorderId| areas_of(&pattern.borders[*border]).any(|id| slivers.contains(&id));
    let needed = sources.keys().filter(beside).flat_map(|border| &sources[border]).copied();
    let needed: BTreeSet<usize> = needed.filter(|source| *source >= known.of.len()).collect();
    if needed.len() < ties {
        return Err(needed);
    }
    for (home, together) in homes(&pattern, &slivers, |border| (line_of(border), length(&lines[&border]))) {
        unite(&mut pattern, &together, home, &mut Changes::default());
    }
    for border in idle {
        let beside: BTreeSet<AreaId> = pattern.borders.get(&border).into_iter().flat_map(areas_of).collect();
        if let (Some(first), 2) = (beside.first().copied(), beside.len()) {
            unite(&mut pattern, &beside, first, &mut Changes::default());
        }
    }
    Ok(pattern)
}

/// Which slivers were meant: narrow areas that lie along one another, as between hatches or rings. Copies of one edge leave webs
/// of slivers that meet over short lines only.
fn hatched(pattern: &Pattern, widths: &BTreeMap<AreaId, f64>, drawn: impl Fn(BorderId) -> f64) -> BTreeSet<AreaId> {
    let wide = |id: &AreaId| widths.get(id).is_some_and(|width| *width >= SLIVER_UM);
    let mut along: BTreeMap<[AreaId; 2], f64> = BTreeMap::new();
    for (id, border) in &pattern.borders {
        if let (Side::Area(a), Side::Area(b)) = (border.left, border.right)
            && a != b
            && wide(&a)
            && wide(&b)
        {
            *along.entry([a.min(b), a.max(b)]).or_default() += drawn(*id);
        }
    }
    along.into_iter().filter(|(_, long)| *long > ALONG_UM).flat_map(|(pair, _)| pair).collect()
}

/// What is known of the lines that edges come from.
pub(super) struct Lines {
    /// Of each source which line it is of; ties come after them and are of none.
    pub of: Vec<usize>,
    /// The closed lines.
    pub shapes: Vec<Shape>,
}

impl Lines {
    /// Whether an area of this widest circle comes of copies of lines, not of what was meant.
    fn is_sliver(&self, widest: &Circle, area20: impl Fn() -> i128) -> bool {
        let width = widest.radius * 2.0;
        let meant = || self.shapes.iter().any(|shape| shape.is(widest.centre, area20()));
        width < SLIVER_UM || (width < WELD_UM && !meant())
    }
}

/// What a line closes that ends where it begins.
pub(super) struct Shape {
    ring: Vec<Point>,
    area20: i128,
}

impl Shape {
    pub fn of(curves: &[Cubic]) -> Option<Shape> {
        let [from, to] = (!curves.is_empty()).then(|| ends_of(curves))?;
        let area20 = curves.iter().map(Cubic::green20).sum::<i128>().abs();
        (from == to).then(|| Shape { ring: line(curves), area20 })
    }

    /// Whether an area is this shape, or most of it: then it was meant, however narrow it is.
    fn is(&self, at: Point, area20: i128) -> bool {
        self.area20 <= 2 * area20 && inside_rings([self.ring.as_slice()], at)
    }
}

/// An edge, and which line it is of; none for a tie.
struct Drawn<'a> {
    edge: &'a Edge,
    of: Option<usize>,
}

fn lies_within(Drawn { edge, of }: &Drawn, panel: Size) -> bool {
    let points = line(&edge.curve);
    let middle = points.len() / 2;
    let (a, b) = (points[middle.max(1) - 1], points[middle.min(points.len() - 1)]);
    let on = |a: i32, b: i32, side: Um| (0..=2 * i64::from(side.0)).contains(&(i64::from(a) + i64::from(b)));
    *of == Some(FRAME) || (on(a.x, b.x, panel.width) && on(a.y, b.y, panel.height))
}

/// Borders from junction to junction, all with one area on both sides, and what they are made of. A node where two edges of one
/// kind meet is no junction.
fn bordered(edges: &[Drawn]) -> (Pattern, BTreeMap<BorderId, Vec<usize>>) {
    let ends: Vec<[Point; 2]> = edges.iter().map(|drawn| ends_of(&drawn.edge.curve)).collect();
    let frame = |i: usize| edges[i].of == Some(FRAME);
    let kind = |i: usize| (frame(i), edges[i].of.is_none());
    let mut at: BTreeMap<Point, Vec<(usize, bool)>> = BTreeMap::new();
    for (i, [from, to]) in ends.iter().enumerate() {
        at.entry(*from).or_default().push((i, true));
        at.entry(*to).or_default().push((i, false));
    }
    let passes = |p: &Point| matches!(at[p][..], [(a, _), (b, _)] if kind(a) == kind(b));
    let junctions: BTreeMap<Point, JunctionId> =
        at.keys().filter(|p| !passes(p)).enumerate().map(|(k, p)| (*p, JunctionId(k as u32 + 1))).collect();
    let mut used = vec![false; edges.len()];
    let (mut borders, mut sources) = (BTreeMap::new(), BTreeMap::new());
    let starts = junctions.keys().flat_map(|p| at[p].clone()).chain((0..edges.len()).map(|i| (i, true)));
    for (first, forward) in starts {
        if used[first] {
            continue;
        }
        let (mut step, mut curve, mut made_of) = ((first, forward), Vec::new(), Vec::new());
        let begin = ends[first][usize::from(!forward)];
        let end = loop {
            used[step.0] = true;
            curve.extend(walked(&edges[step.0].edge.curve, step.1));
            made_of.push(edges[step.0].edge.source);
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
        sources.insert(id, made_of);
        borders.insert(id, Border { ends, curve, left: ANY, right: ANY, gap: Um(0), ink: Um(0), from });
    }
    let junctions = junctions.into_iter().map(|(p, id)| (id, p)).collect();
    (Pattern { junctions, borders, areas: BTreeMap::new() }, sources)
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

/// Which areas become one, and as which: each sliver goes over the line drawn last, again and again until it has come to an area that
/// is none. `how` tells the line of a border, none for a tie, and its length.
fn homes(
    pattern: &Pattern,
    slivers: &BTreeSet<AreaId>,
    how: impl Fn(BorderId) -> (Option<usize>, f64),
) -> Vec<(AreaId, BTreeSet<AreaId>)> {
    let mut together: BTreeMap<AreaId, BTreeSet<AreaId>> =
        slivers.iter().map(|id| (*id, BTreeSet::from([*id]))).collect();
    // The first of those that an area has become one with; one that is no sliver stands for its slivers.
    let mut home: BTreeMap<AreaId, AreaId> = pattern.areas.keys().map(|id| (*id, *id)).collect();
    loop {
        let mut beside: BTreeMap<AreaId, BTreeMap<AreaId, (f64, Option<usize>)>> = BTreeMap::new();
        for (id, border) in &pattern.borders {
            let (Side::Area(a), Side::Area(b)) = (border.left, border.right) else { continue };
            let (a, b) = (home[&a], home[&b]);
            let (line, length) = how(*id);
            for (one, other) in
                [(a, b), (b, a)].into_iter().filter(|(one, other)| one != other && slivers.contains(one))
            {
                let shared = beside.entry(one).or_default().entry(other).or_default();
                *shared = (shared.0 + length, shared.1.max(line));
            }
        }
        let mut moved = false;
        for (sliver, neighbours) in beside {
            let over = over(&neighbours);
            let (from, to) = (home[&sliver], home[&over]);
            if from == to || !slivers.contains(&from) {
                continue;
            }
            let those = together.remove(&from).expect("each sliver is with others or alone");
            those.iter().for_each(|id| _ = home.insert(*id, to));
            together.entry(to).or_insert_with(|| BTreeSet::from([to])).extend(those);
            moved = true;
        }
        if !moved {
            return together.into_iter().filter(|(to, _)| !slivers.contains(to)).collect();
        }
    }
}

/// Which neighbour a sliver goes to, of the length that it shares with each and the line drawn last of those that part them.
fn over(neighbours: &BTreeMap<AreaId, (f64, Option<usize>)>) -> AreaId {
    let longest = neighbours.values().map(|of| of.0).fold(0.0, f64::max);
    let near = neighbours.iter().filter(|(_, of)| of.0 >= BESIDE * longest);
    let last = near.max_by(|(a, x), (b, y)| x.1.cmp(&y.1).then(x.0.total_cmp(&y.0)).then(b.cmp(a)));
    *last.expect("it has a neighbour").0
}

fn areas_of(border: &Border) -> impl Iterator<Item = AreaId> {
    [border.left, border.right].into_iter().filter_map(Side::area)
}

fn length(line: &[Point]) -> f64 {
    let apart = |a: Point, b: Point| libm::hypot(f64::from(a.x) - f64::from(b.x), f64::from(a.y) - f64::from(b.y));
    line.windows(2).map(|w| apart(w[0], w[1])).sum()
}
