//! From a skeleton to centre lines: where strokes meet or turn, the axes of the strokes meet instead.
//!
//! A skeleton strays wherever a stroke is not bounded by two edges that face each other: it cuts corners, and bends towards a
//! stroke that joins. There the distance from the edge exceeds half the pen. Such knots are cut out; each strand that led
//! there is carried on as a curve of the second degree, and the ends are brought together at the point nearest to all of them
//! (least squares). A knot whose axes do not meet nearby keeps its skeleton.

use std::collections::{BTreeMap, BTreeSet};

use super::super::grid::{Grid, NOBODY};
use super::thin::degree;

/// More than this over half the pen is a knot: noise of the edge stays under it.
const STRAYS: f64 = 1.05;
/// And so many pixels.
const STRAYS_PX: f64 = 0.6;
/// So far around knots strands are not trusted, in half pens.
const AROUND: f64 = 0.5;
/// So much of a strand gives its axis, in half pens, and how many pixels at least.
const SEEN: f64 = 3.0;
const SEEN_LEAST: usize = 5;
/// The axes of a knot meet no farther than this from its pixels, in half pens.
const MEETS: f64 = 1.2;
/// Two strands whose directions differ by less than this (sine of the angle) go on smoothly.
const STRAIGHT: f64 = 0.3;
/// The tip of a stroke is cut back to where it is this wide, in half pens: its round end says nothing of its axis.
const TIP: f64 = 0.85;

type At = (f64, f64);

/// A run of skeleton between knots, ends and frame.
struct Strand {
    path: Vec<usize>,
}

/// One end of a strand as it comes to a knot: its pixels from there on.
struct Arm {
    points: Vec<At>,
    from: usize,
}

/// The centre lines of strokes as pixels; 8-connected.
pub(super) fn centre_lines(grid: Grid, bones: &[bool], squares: &[u32], half: f64) -> Vec<bool> {
    let knots = knots(grid, bones, squares, half);
    let strands = strands(grid, bones, &knots);
    let mut drawn = vec![false; grid.len()];
    let mut arms: BTreeMap<u32, Vec<Arm>> = BTreeMap::new();
    for strand in &strands {
        let path = &strand.path;
        path.iter().for_each(|at| drawn[*at] = true);
        for (end, backwards) in [(path[0], false), (path[path.len() - 1], true)] {
            let beside: BTreeSet<u32> = grid.eight(end).map(|n| knots[n]).filter(|k| *k != NOBODY).collect();
            // A strand of one pixel has both its knots at the same place.
            let Some(knot) = (if backwards { beside.last() } else { beside.first() }) else { continue };
            let points: Vec<At> = if backwards {
                path.iter().rev().map(|at| place(grid, *at)).collect()
            } else {
                path.iter().map(|at| place(grid, *at)).collect()
            };
            arms.entry(*knot).or_default().push(Arm { points, from: end });
        }
    }
    let mut pixels: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    knots.iter().enumerate().filter(|(_, k)| **k != NOBODY).for_each(|(at, k)| pixels.entry(*k).or_default().push(at));
    for (knot, pixels) in pixels {
        let arms = arms.remove(&knot).unwrap_or_default();
        match meeting(grid, &arms, &pixels, half) {
            Some(meeting) => arms.iter().for_each(|arm| join(grid, arm, meeting, half, &mut drawn)),
            None => pixels.iter().for_each(|at| drawn[*at] = true),
        }
    }
    drawn
}

fn place(grid: Grid, at: usize) -> At {
    ((at % grid.width) as f64, (at / grid.width) as f64)
}

/// The knot of each pixel of the skeleton that lies in one.
fn knots(grid: Grid, bones: &[bool], squares: &[u32], half: f64) -> Vec<u32> {
    let most = half * STRAYS + STRAYS_PX;
    let strays = |at: usize| f64::from(squares[at]).sqrt() > most || degree(grid, bones, at) > 2;
    let mut inside: Vec<bool> = (0..grid.len()).map(|at| bones[at] && strays(at)).collect();
    for _ in 0..(AROUND * half).round() as usize {
        let grown: Vec<usize> =
            (0..grid.len()).filter(|at| bones[*at] && !inside[*at] && grid.eight(*at).any(|n| inside[n])).collect();
        grown.into_iter().for_each(|at| inside[at] = true);
    }
    let mut names = vec![NOBODY; grid.len()];
    let mut count = 0;
    for first in 0..grid.len() {
        if !inside[first] || names[first] != NOBODY {
            continue;
        }
        let mut open = vec![first];
        names[first] = count;
        while let Some(at) = open.pop() {
            for next in grid.eight(at).filter(|n| inside[*n]) {
                if names[next] == NOBODY {
                    names[next] = count;
                    open.push(next);
                }
            }
        }
        count += 1;
    }
    names
}

/// The runs of skeleton outside knots, in order along each.
fn strands(grid: Grid, bones: &[bool], knots: &[u32]) -> Vec<Strand> {
    let free = |at: usize| bones[at] && knots[at] == NOBODY;
    let beside = |at: usize| grid.eight(at).filter(|n| free(*n)).count();
    let mut seen = vec![false; grid.len()];
    let ends = (0..grid.len()).filter(|at| free(*at) && beside(*at) < 2);
    let mut strands = Vec::new();
    for first in ends.chain(0..grid.len()) {
        if !free(first) || seen[first] {
            continue;
        }
        let mut path = vec![first];
        seen[first] = true;
        while let Some(next) = grid.eight(path[path.len() - 1]).find(|n| free(*n) && !seen[*n]) {
            seen[next] = true;
            path.push(next);
        }
        strands.push(Strand { path });
    }
    strands
}

/// Where the axes of a knot's arms meet; `None` where they do not, or go on smoothly.
fn meeting(grid: Grid, arms: &[Arm], pixels: &[usize], half: f64) -> Option<At> {
    if arms.len() < 2 || arms.iter().any(|arm| arm.points.len() < SEEN_LEAST) {
        return None;
    }
    let axes: Vec<Axis> = arms.iter().map(|arm| Axis::of(arm, half)).collect();
    let middle = pixels.iter().map(|at| place(grid, *at)).fold((0.0, 0.0), |a, p| (a.0 + p.0, a.1 + p.1));
    let mut at = (middle.0 / pixels.len() as f64, middle.1 / pixels.len() as f64);
    for _ in 0..4 {
        let (mut xx, mut xy, mut yy, mut bx, mut by) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for axis in &axes {
            let (p, u) = axis.nearest(at);
            let n = (-u.1, u.0);
            let off = n.0 * p.0 + n.1 * p.1;
            (xx, xy, yy) = (xx + n.0 * n.0, xy + n.0 * n.1, yy + n.1 * n.1);
            (bx, by) = (bx + n.0 * off, by + n.1 * off);
        }
        let det = xx * yy - xy * xy;
        if det < STRAIGHT * STRAIGHT {
            return None;
        }
        at = ((bx * yy - by * xy) / det, (by * xx - bx * xy) / det);
    }
    let near = pixels.iter().map(|p| far(place(grid, *p), at)).fold(f64::MAX, f64::min);
    let fits = axes.iter().all(|axis| far(axis.nearest(at).0, at) <= half * 0.5 + 1.0);
    (near <= MEETS * half && fits).then_some(at)
}

fn far(a: At, b: At) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

/// Draws an arm on to the meeting.
fn join(grid: Grid, arm: &Arm, meeting: At, half: f64, drawn: &mut [bool]) {
    let axis = Axis::of(arm, half);
    let mut from = place(grid, arm.from);
    // Most of the way along the axis, the rest straight to where all meet.
    let (start, whole) = (axis.along(from), axis.along(meeting));
    for k in 1..8 {
        let s = start + (whole - start) * f64::from(k) / 8.0;
        let (p, off) = (axis.at(s), axis.nearest(meeting).0);
        let share = f64::from(k) / 8.0;
        let to = (p.0 + (meeting.0 - off.0) * share, p.1 + (meeting.1 - off.1) * share);
        straight(grid, from, to, drawn);
        from = to;
    }
    straight(grid, from, meeting, drawn);
}

fn straight(grid: Grid, from: At, to: At, drawn: &mut [bool]) {
    let steps = (from.0 - to.0).abs().max((from.1 - to.1).abs()).ceil().max(1.0);
    for k in 0..=steps as usize {
        let t = k as f64 / steps;
        let (x, y) = ((from.0 + (to.0 - from.0) * t).round(), (from.1 + (to.1 - from.1) * t).round());
        if x >= 0.0 && y >= 0.0 && (x as usize) < grid.width && (y as usize) < grid.height {
            drawn[y as usize * grid.width + x as usize] = true;
        }
    }
}

/// A curve of the second degree through the end of a strand: `middle + s·u + (a + b·s + c·s²)·n`.
struct Axis {
    middle: At,
    u: At,
    of: [f64; 3],
}

impl Axis {
    fn of(arm: &Arm, half: f64) -> Axis {
        let wanted = ((SEEN * half) as usize).max(SEEN_LEAST);
        let points = &arm.points[..arm.points.len().min(wanted)];
        let n = points.len() as f64;
        let sum = points.iter().fold((0.0, 0.0), |a, p| (a.0 + p.0, a.1 + p.1));
        let middle = (sum.0 / n, sum.1 / n);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for p in points {
            let (x, y) = (p.0 - middle.0, p.1 - middle.1);
            (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
        }
        let turn = 0.5 * libm::atan2(2.0 * xy, xx - yy);
        let mut u = (libm::cos(turn), libm::sin(turn));
        // It points to the knot.
        if (points[0].0 - middle.0) * u.0 + (points[0].1 - middle.1) * u.1 < 0.0 {
            u = (-u.0, -u.1);
        }
        let mut axis = Axis { middle, u, of: [0.0; 3] };
        if points.len() as f64 >= 1.5 * half {
            axis.of = axis.bent(points);
        }
        axis
    }

    /// Least squares of the offsets by s.
    fn bent(&self, points: &[At]) -> [f64; 3] {
        let (mut m, mut v) = ([0.0; 5], [0.0; 3]);
        for p in points {
            let (x, y) = (p.0 - self.middle.0, p.1 - self.middle.1);
            let (s, off) = (x * self.u.0 + y * self.u.1, y * self.u.0 - x * self.u.1);
            let mut power = 1.0;
            for k in 0..5 {
                m[k] += power;
                if k < 3 {
                    v[k] += power * off;
                }
                power *= s;
            }
        }
        solve3([[m[0], m[1], m[2]], [m[1], m[2], m[3]], [m[2], m[3], m[4]]], v).unwrap_or([0.0; 3])
    }

    fn along(&self, p: At) -> f64 {
        (p.0 - self.middle.0) * self.u.0 + (p.1 - self.middle.1) * self.u.1
    }

    fn at(&self, s: f64) -> At {
        let off = self.of[0] + s * (self.of[1] + s * self.of[2]);
        (self.middle.0 + s * self.u.0 - off * self.u.1, self.middle.1 + s * self.u.1 + off * self.u.0)
    }

    /// The point beside `p`, and the direction there.
    fn nearest(&self, p: At) -> (At, At) {
        let s = self.along(p);
        let slope = self.of[1] + 2.0 * s * self.of[2];
        let length = (1.0 + slope * slope).sqrt();
        let u = ((self.u.0 - slope * self.u.1) / length, (self.u.1 + slope * self.u.0) / length);
        let q = self.at(s);
        let by = (p.0 - q.0) * u.0 + (p.1 - q.1) * u.1;
        ((q.0 + by * u.0, q.1 + by * u.1), u)
    }
}

/// Three equations by Cramer's rule.
fn solve3(m: [[f64; 3]; 3], v: [f64; 3]) -> Option<[f64; 3]> {
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(&m);
    let column = |k: usize| {
        let mut with = m;
        (0..3).for_each(|i| with[i][k] = v[i]);
        det(&with) / whole
    };
    (whole.abs() > 1e-9).then(|| [column(0), column(1), column(2)])
}

/// Takes the round tips of open strokes off.
pub(super) fn without_tips(grid: Grid, bones: &mut [bool], squares: &[u32], half: f64) {
    let mut ends: Vec<usize> = (0..grid.len()).filter(|at| bones[*at] && degree(grid, bones, *at) == 1).collect();
    while let Some(end) = ends.pop() {
        if f64::from(squares[end]).sqrt() >= TIP * half || grid.on_frame(end) {
            continue;
        }
        bones[end] = false;
        ends.extend(grid.eight(end).filter(|n| bones[*n] && degree(grid, bones, *n) == 1));
    }
}
