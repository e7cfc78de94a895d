//! The last look at a layout: every distance in exact integers, on the outlines as given.
//!
//! Two rings stand clear when no point of one lies inside the other and every pair of chords is far enough apart. The
//! square of a distance between chords is a fraction of whole numbers, so it is compared without rounding.

use measure::plane::{Point, inside_rings, orientation};

use super::fill::bounds;
use super::turn::allowed;
use super::{Blank, Laid, Lie, Rules, Sheet, cost, laid_ring};

/// What a layout breaks, each with the index of the blank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Breach {
    /// Turned further than it may be, or on a sheet that may not carry it.
    Turned(usize),
    /// Over the edge of its sheet, or too near.
    Edge(usize),
    /// Over a fault or what was cut before, or too near.
    Taken(usize),
    /// Over another blank, or too near: the second is the other.
    Other(usize, usize),
}

/// Everything that a layout breaks.
pub fn breaches(laid: &Laid, blanks: &[Blank], sheets: &[Sheet], rules: Rules) -> Vec<Breach> {
    let lying: Vec<(usize, Lie, Vec<Point>)> = (laid.lies.iter().enumerate())
        .filter_map(|(at, lie)| Some((at, (*lie)?, laid_ring(&blanks[at].outer, &(*lie)?))))
        .collect();
    let mut found = Vec::new();
    for (index, (at, lie, ring)) in lying.iter().enumerate() {
        found.extend(alone(&blanks[*at], lie, ring, (&sheets[lie.sheet], rules)).map(|breach| match breach {
            Breach::Turned(_) => Breach::Turned(*at),
            Breach::Edge(_) => Breach::Edge(*at),
            _ => Breach::Taken(*at),
        }));
        let near = lying[..index].iter().filter(|(_, other, _)| other.sheet == lie.sheet);
        found.extend(
            near.filter(|(_, _, other)| !clear(ring, other, rules.apart.0)).map(|(o, ..)| Breach::Other(*at, *o)),
        );
    }
    found
}

/// The layout without the blanks that break a rule; what is fixed stays.
pub(super) fn kept(mut laid: Laid, blanks: &[Blank], sheets: &[Sheet], rules: Rules) -> Laid {
    for breach in breaches(&laid, blanks, sheets, rules) {
        let at = match breach {
            Breach::Turned(at) | Breach::Edge(at) | Breach::Taken(at) => at,
            Breach::Other(one, other) if blanks[one].fixed.is_some() => other,
            Breach::Other(one, _) => one,
        };
        if blanks[at].fixed.is_none() {
            laid.lies[at] = None;
        }
    }
    laid.cost = cost(&laid.lies, sheets);
    laid
}

fn alone(blank: &Blank, lie: &Lie, ring: &[Point], (sheet, rules): (&Sheet, Rules)) -> Option<Breach> {
    if !blank.sheets.contains(&lie.sheet) || !allowed(&blank.turns, lie.turn - sheet.grain) {
        return Some(Breach::Turned(0));
    }
    if !within(ring, &sheet.outer, rules.edge.0) {
        return Some(Breach::Edge(0));
    }
    let free = sheet.faults.iter().all(|fault| clear(ring, fault, rules.edge.0))
        && sheet.used.iter().all(|used| clear(ring, used, rules.apart.0));
    (!free).then_some(Breach::Taken(0))
}

/// Whether a ring lies inside another and nowhere nearer to it than `least` µm.
pub fn within(ring: &[Point], outer: &[Point], least: i32) -> bool {
    ring.first().is_some_and(|first| holds(outer, *first)) && apart(ring, outer, least)
}

/// Whether a ring lies inside another or along its edge; less than a µm beyond is rounding.
pub fn covered(ring: &[Point], by: &[Point]) -> bool {
    let along = |p: Point| chords(by).any(|edge| !point_apart(p, edge, 1));
    let lies = |p: Point| holds(by, p) || along(p);
    let middle = |(a, b): (Point, Point)| Point::new(a.x.midpoint(b.x), a.y.midpoint(b.y));
    let crossed = |(a, b): (Point, Point), (c, d): (Point, Point)| {
        cross((a, b), (c, d))
            && [(a, c, d), (b, c, d), (c, a, b), (d, a, b)].iter().all(|(p, q, r)| point_apart(*p, (*q, *r), 1))
    };
    let notch = |p: Point| holds(ring, p) && chords(ring).all(|edge| point_apart(p, edge, 1));
    chords(ring).all(|chord| lies(chord.0) && lies(middle(chord)) && chords(by).all(|edge| !crossed(chord, edge)))
        && !by.iter().any(|p| notch(*p))
}

/// Whether two filled rings are nowhere nearer to each other than `least` µm.
pub fn clear(one: &[Point], other: &[Point], least: i32) -> bool {
    let (a, b) = (bounds(one), bounds(other));
    let gap = |low: i32, high: i32| i64::from(low) - i64::from(high) > i64::from(least);
    if gap(a.0.x, b.1.x) || gap(b.0.x, a.1.x) || gap(a.0.y, b.1.y) || gap(b.0.y, a.1.y) {
        return true;
    }
    let swallowed = |ring: &[Point], by: &[Point]| ring.first().is_some_and(|first| holds(by, *first));
    !swallowed(one, other) && !swallowed(other, one) && apart(one, other, least)
}

fn holds(ring: &[Point], point: Point) -> bool {
    inside_rings([ring], point)
}

fn apart(one: &[Point], other: &[Point], least: i32) -> bool {
    let low = bounds(other);
    let reach = i64::from(least.max(0));
    chords(one).filter(|(a, b)| boxes_near((*a, *b), low, reach)).all(|chord| {
        let near = chords(other).filter(|(a, b)| boxes_near(chord, bounds(&[*a, *b]), reach));
        near.into_iter().all(|with| chords_apart(chord, with, reach))
    })
}

fn chords(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

fn boxes_near((a, b): (Point, Point), (low, high): (Point, Point), reach: i64) -> bool {
    let near = |p: i32, q: i32, low: i32, high: i32| {
        i64::from(p.min(q)) <= i64::from(high) + reach && i64::from(p.max(q)) + reach >= i64::from(low)
    };
    near(a.x, b.x, low.x, high.x) && near(a.y, b.y, low.y, high.y)
}

/// Whether two chords do not touch and are at least `least` µm apart.
fn chords_apart((a, b): (Point, Point), (c, d): (Point, Point), least: i64) -> bool {
    let least = least.max(1);
    !cross((a, b), (c, d))
        && [(a, c, d), (b, c, d), (c, a, b), (d, a, b)].into_iter().all(|(p, q, r)| point_apart(p, (q, r), least))
}

fn cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    orientation(a, b, c) * orientation(a, b, d) < 0 && orientation(c, d, a) * orientation(c, d, b) < 0
}

fn point_apart(p: Point, (a, b): (Point, Point), least: i64) -> bool {
    let by = |v: Point, from: Point| (i128::from(v.x) - i128::from(from.x), i128::from(v.y) - i128::from(from.y));
    let ((dx, dy), (px, py)) = (by(b, a), by(p, a));
    let (along, length2, least2) = (px * dx + py * dy, dx * dx + dy * dy, i128::from(least) * i128::from(least));
    if along <= 0 {
        return px * px + py * py >= least2;
    }
    if along >= length2 {
        let (qx, qy) = by(p, b);
        return qx * qx + qy * qy >= least2;
    }
    let across = px * dy - py * dx;
    across * across >= least2 * length2
}

/// Twice the area inside a ring, µm².
pub fn area2(ring: &[Point]) -> i128 {
    let cross = |(a, b): (Point, Point)| i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y);
    chords(ring).map(cross).sum::<i128>().abs()
}
