//! The rings of each area, by walking its borders with the area to the right.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use measure::plane::Point;

use crate::work::{AreaId, BorderId, Ends, JunctionId, Pattern};

/// The borders of a ring in order, and whether each is walked from start to end.
pub type Walk = Vec<(BorderId, bool)>;

/// A border as one area uses it, when it has junctions.
#[derive(Clone, Copy)]
struct Use {
    step: (BorderId, bool),
    from: JunctionId,
    to: JunctionId,
    /// Direction of the first chord out of `from`.
    leaves: (i64, i64),
    /// Direction of the last chord seen back from `to`.
    back: (i64, i64),
}

/// How a walk goes on where an area meets itself in a junction.
#[derive(Clone, Copy, PartialEq)]
pub enum Turn {
    /// Rings part and touch there in a point, as every polygon library accepts.
    Part,
    /// The walk keeps to its own corner of the area, also around a border with the area on both sides. Each walk then
    /// bounds one connected place, which a split asks for.
    Follow,
}

/// Every ring of every area. Within a ring the first step is the lowest border.
pub fn walks(pattern: &Pattern, lines: &BTreeMap<BorderId, Vec<Point>>, turn: Turn) -> BTreeMap<AreaId, Vec<Walk>> {
    let mut found: BTreeMap<AreaId, Vec<Walk>> = BTreeMap::new();
    let mut uses: BTreeMap<AreaId, Vec<Use>> = BTreeMap::new();
    for (id, border) in &pattern.borders {
        for (side, forward) in [(border.right, true), (border.left, false)] {
            let Some(area) = side.area() else { continue };
            match border.ends {
                Ends::Ring(_) => found.entry(area).or_default().push(vec![(*id, forward)]),
                Ends::Between(start, end) => {
                    uses.entry(area).or_default().push(used((*id, forward), (start, end), &lines[id]));
                }
            }
        }
    }
    for (area, uses) in uses {
        found.entry(area).or_default().extend(chained(&uses, turn));
    }
    found
}

fn used(step: (BorderId, bool), (start, end): (JunctionId, JunctionId), line: &[Point]) -> Use {
    let n = line.len();
    let (first, last) = (toward(line[0], line[1]), toward(line[n - 1], line[n - 2]));
    if step.1 {
        Use { step, from: start, to: end, leaves: first, back: last }
    } else {
        Use { step, from: end, to: start, leaves: last, back: first }
    }
}

fn toward(a: Point, b: Point) -> (i64, i64) {
    (i64::from(b.x) - i64::from(a.x), i64::from(b.y) - i64::from(a.y))
}

/// Joins the uses of one area into closed walks.
fn chained(uses: &[Use], turn: Turn) -> Vec<Walk> {
    let mut open: BTreeSet<usize> = (0..uses.len()).collect();
    let mut leaving: BTreeMap<JunctionId, Vec<usize>> = BTreeMap::new();
    (0..uses.len()).for_each(|index| leaving.entry(uses[index].from).or_default().push(index));
    let mut walks = Vec::new();
    while let Some(&first) = open.first() {
        let mut walk = Vec::new();
        let mut at = first;
        while open.remove(&at) {
            walk.push(uses[at].step);
            // Around each junction arrivals and departures pair off, so the walk comes back to its beginning.
            let there = leaving.get(&uses[at].to).map_or(&[][..], Vec::as_slice);
            let Some(next) = next_use(uses, (at, there), turn) else { break };
            at = next;
        }
        walks.push(walk);
    }
    walks
}

/// Of the uses that leave `there`, where `at` arrives: the first clockwise on the page from the way back where rings part, the first
/// counterclockwise where the walk follows. The way back along the same border comes last.
fn next_use(uses: &[Use], (at, there): (usize, &[usize]), turn: Turn) -> Option<usize> {
    let at = &uses[at];
    let returns = |i: usize| uses[i].step.0 == at.step.0 && uses[i].step.1 != at.step.1;
    there.iter().copied().reduce(|best, next| {
        let (a, b) = if turn == Turn::Part { (next, best) } else { (best, next) };
        let sooner = match (returns(next), returns(best)) {
            (true, false) => false,
            (false, true) => true,
            _ => turns_before(at.back, uses[a].leaves, uses[b].leaves),
        };
        if sooner { next } else { best }
    })
}

/// Whether, turning clockwise on the page from `back`, direction `a` comes before `b`.
fn turns_before(back: (i64, i64), a: (i64, i64), b: (i64, i64)) -> bool {
    let half = |v: (i64, i64)| {
        let (cross, dot) = (cross(back, v), dot(back, v));
        // 0 for angles in (0, 180], 1 for (180, 360]; the way back itself comes last.
        i32::from(!(cross > 0 || (cross == 0 && dot < 0)))
    };
    match half(a).cmp(&half(b)) {
        Ordering::Equal => cross(a, b) > 0,
        order => order == Ordering::Less,
    }
}

fn cross(a: (i64, i64), b: (i64, i64)) -> i128 {
    i128::from(a.0) * i128::from(b.1) - i128::from(a.1) * i128::from(b.0)
}

fn dot(a: (i64, i64), b: (i64, i64)) -> i128 {
    i128::from(a.0) * i128::from(b.0) + i128::from(a.1) * i128::from(b.1)
}

/// The points of a walk, the first not repeated.
pub fn points(walk: &[(BorderId, bool)], lines: &BTreeMap<BorderId, Vec<Point>>) -> Vec<Point> {
    let mut ring = Vec::new();
    for (id, forward) in walk {
        let line = &lines[id];
        let but_last = line.len() - 1;
        if *forward {
            ring.extend_from_slice(&line[..but_last]);
        } else {
            ring.extend(line.iter().rev().take(but_last));
        }
    }
    ring
}
