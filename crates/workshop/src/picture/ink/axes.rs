//! From a skeleton to centre lines: where strokes meet or turn, the axes of the strokes meet instead.
//!
//! Knots (`knots`) are cut out of the skeleton and drawn anew: first where one edge alone says where the pen was (`pen`), then the
//! ends that are still loose are led on. Two that face each other are bridged, an end that runs on to a line stops there, and
//! what is left is brought together at the point nearest to all its axes (junctions by least squares over the axes of what meets:
//! Hilaire, Tombre 2006). Where that leaves two areas in one, the skeleton between them is given back (`apart`).

use std::collections::{BTreeMap, BTreeSet};

use super::super::grid::{Grid, NOBODY, components};
use super::apart::keep_apart;
use super::knots::{halves, knots};
use super::pen::{self, At, far, pixel, place, straight, within};
use super::thin::{self, degree, walk};
use super::{Ink, mask};

/// So much of a line gives its axis, in half pens, and how many pixels at least.
const SEEN: f64 = 3.0;
const SEEN_LEAST: usize = 5;
/// The axes of a knot meet no farther than this from its loose ends, in half pens.
const MEETS: f64 = 3.0;
/// And no axis passes farther from there than so much of half the pen and a pixel, when more than two meet.
const MISSES: f64 = 0.2;
/// Two axes whose directions differ by less than this (sine of the angle) do not meet anywhere.
const STRAIGHT: f64 = 0.3;
/// Ends face each other when both run along the line between them: the cosine of at most 12 degrees, or of 25 where nothing
/// better is there.
const FACING: [f64; 2] = [0.978, 0.906];
/// A bridge is no longer than so many half pens.
const BRIDGE: f64 = 8.0;
/// Ends nearer than this are one, pixels.
const TOUCH_PX: f64 = 4.0;
/// A loose end runs on to a line for so many half pens at most.
const RUNS_ON: f64 = 4.0;
/// It is led on by so much at a time, pixels.
const STEP_PX: f64 = 0.5;
/// An end within so many half pens of a knot is loose.
const NEAR: f64 = 2.0;
/// Over a break ends face each other at up to 30 degrees. There more of a line gives its axis, in half pens, without the last half
/// pen before the break: where a line breaks off askew its skeleton bends to a corner.
const FACING_OVER: f64 = 0.866;
const SEEN_OVER: f64 = 8.0;
/// A line that ends in the open is so many half pens long at least.
pub(super) const OPEN: f64 = 4.0;
/// Thinning leaves barbs of so many pixels.
const BARB: usize = 3;
/// Holes between lines that are nearly one go, of so many squares of half the pen.
const PINHOLE: f64 = 0.1;

/// A loose end at a knot.
struct End {
    at: At,
    axis: Axis,
    /// The line's pixels from there on.
    own: BTreeSet<usize>,
}

/// The centre lines of strokes as pixels, 8-connected, and by pixel of ink half the width of its stroke.
/// Breaks of up to `break_px` are bridged, and what ends no farther than `edge_px` from the picture's edge is led on to it.
pub(super) fn centre_lines(ink: Ink, bones: &[bool], (break_px, edge_px): (f64, f64)) -> (Vec<bool>, Vec<f64>) {
    let grid = ink.grid;
    let knots = knots(ink, bones);
    let halves = halves(ink, bones, &knots);
    let mut lines = pen::middles(grid, ink.marks, ink.squares, &halves);
    lines.iter_mut().zip(ink.dark).for_each(|(line, dark)| *line &= !dark);
    (0..grid.len()).filter(|at| bones[*at] && knots[*at] == NOBODY).for_each(|at| lines[at] = true);
    thinned(ink, &mut lines);
    for (_, ends) in loose(ink, &lines, &knots) {
        bind(ink, ends, &mut lines);
    }
    // What ends beside the edge parts nothing in the skeleton either, unless both are led on.
    let mut wanted = bones.to_vec();
    to_edge(ink, edge_px, &mut wanted);
    to_edge(ink, edge_px, &mut lines);
    keep_apart(ink, &wanted, &mut lines);
    over_breaks(ink, break_px, &mut lines);
    (lines, halves)
}

/// Where lines end in the open, far enough from where they begin to be no barb of a crossing.
pub(super) fn open_ends(ink: Ink, lines: &[bool]) -> Vec<usize> {
    let grid = ink.grid;
    let open = |at: &usize| {
        let on_dark = || grid.eight(*at).any(|n| ink.dark[n]);
        lines[*at] && degree(grid, lines, *at) == 1 && !grid.on_frame(*at) && !on_dark()
    };
    let long = |at: &usize| walk(grid, lines, *at).len() as f64 >= OPEN * ink.half;
    (0..grid.len()).filter(open).filter(long).collect()
}

/// Bridges breaks between ends that face each other, the straightest first, then between an end and the line that it runs straight
/// on to: these up to the pen's width in any case, as slips of the pen.
fn over_breaks(ink: Ink, break_px: f64, lines: &mut [bool]) {
    let grid = ink.grid;
    let mut ends: Vec<End> =
        open_ends(ink, lines).into_iter().map(|at| end_at_break(ink, walk(grid, lines, at))).collect();
    let slip = break_px.max(2.0 * ink.half - 1.0);
    let reach = break_px + 4.0 * ink.half;
    let is_ink = |p: At| pixel(grid, p).is_some_and(|at| ink.marks[at]);
    loop {
        let pairs = (0..ends.len()).flat_map(|i| (0..i).map(move |j| (j, i)));
        let near = |(i, j): &(usize, usize)| break_px > 0.0 && far(ends[*i].at, ends[*j].at) <= reach;
        let free = |(i, j): (usize, usize)| {
            let own = |at: &usize| ends[i].own.contains(at) || ends[j].own.contains(at);
            let (steps, mut paper, mut before) = (between(&ends[i], &ends[j]), 0.0, ends[i].at);
            let mut over = |p: At| {
                paper += if is_ink(p) { 0.0 } else { far(before, p) };
                before = p;
                paper <= break_px
            };
            steps.into_iter().all(|p| over(p) && pixel(grid, p).is_some_and(|at| !lines[at] || own(&at)))
        };
        let straight_on = |(i, j): (usize, usize)| Some((face(&ends[i], &ends[j], reach)?, i, j));
        let best = pairs
            .filter(near)
            .filter_map(straight_on)
            .filter(|(cosine, i, j)| *cosine >= FACING_OVER && free((*i, *j)))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, i, j)) = best else { break };
        span(grid, &mut ends, (i, j), lines);
    }
    for end in &ends {
        let mut paper = 0.0;
        let over = |p: At| {
            paper += if is_ink(p) { 0.0 } else { STEP_PX };
            paper <= slip
        };
        run_on(ink, end, slip + 4.0 * ink.half, over, lines);
    }
}

/// Leads ends that face the picture's edge on to it, where no line lies between.
fn to_edge(ink: Ink, edge_px: f64, lines: &mut [bool]) {
    let grid = ink.grid;
    // Tips are taken off, and what is led on has to come out.
    let reach = (edge_px + 2.0 * ink.half).ceil() as usize + 1;
    for at in open_ends(ink, lines) {
        let end = end(ink, walk(grid, lines, at));
        let (x, y) = end.axis.nearest(end.at).1;
        let way = (1..=reach).map(|k| pixel(grid, (end.at.0 + k as f64 * x, end.at.1 + k as f64 * y)));
        let inside: Vec<usize> = way.clone().map_while(|at| at).collect();
        let free = inside.iter().all(|at| !ink.dark[*at] && (!lines[*at] || end.own.contains(at)));
        if let (Some(last), true) = (inside.last(), free && inside.len() < reach) {
            straight(grid, end.at, place(grid, *last), lines);
        }
    }
}

/// Draws the way between two ends, which are loose no more.
fn span(grid: Grid, ends: &mut Vec<End>, (i, j): (usize, usize), lines: &mut [bool]) {
    let (second, first) = (ends.remove(j), ends.remove(i));
    let mut from = first.at;
    for to in between(&first, &second) {
        straight(grid, from, to, lines);
        from = to;
    }
}

/// The end of a line by its pixels from there on.
fn end(ink: Ink, path: Vec<usize>) -> End {
    let points: Vec<At> = path.iter().map(|at| place(ink.grid, *at)).collect();
    let wanted = ((SEEN * ink.half) as usize).max(SEEN_LEAST);
    let axis = Axis::of(&points[..points.len().min(wanted)], ink.half);
    End { at: points[0], axis, own: path.into_iter().collect() }
}

/// The end of a line at a break, to be led straight on.
fn end_at_break(ink: Ink, path: Vec<usize>) -> End {
    let points: Vec<At> = path.iter().map(|at| place(ink.grid, *at)).collect();
    let tip = (ink.half as usize).min(points.len().saturating_sub(SEEN_LEAST));
    let seen = ((SEEN_OVER * ink.half) as usize).max(SEEN_LEAST).min(points.len() - tip);
    let at = points[0];
    let axis = Axis::of(&points[tip..tip + seen], ink.half).straight_on(at);
    End { at, axis, own: path.into_iter().collect() }
}

/// Lines that run along each other by a pixel or two become one, a pixel wide.
fn thinned(ink: Ink, lines: &mut [bool]) {
    let grid = ink.grid;
    let mut thick = lines.to_vec();
    for at in (0..grid.len()).filter(|at| lines[*at]) {
        grid.eight(at).filter(|n| ink.marks[*n]).for_each(|n| thick[n] = true);
    }
    let keys: Vec<u32> = thick.iter().map(|thick| if *thick { NOBODY } else { 0 }).collect();
    let (holes, count) = components(grid, &keys);
    let mut sizes = vec![0usize; count as usize];
    holes.iter().filter(|h| **h != NOBODY).for_each(|h| sizes[*h as usize] += 1);
    let small = PINHOLE * ink.half * ink.half;
    for at in (0..grid.len()).filter(|at| ink.marks[*at] && holes[*at] != NOBODY) {
        thick[at] = (sizes[holes[at] as usize] as f64) < small;
    }
    let squares = mask::squares(grid, &thick);
    lines.copy_from_slice(&thin::skeleton(grid, &thick, &squares));
    let barbs: Vec<usize> = (0..grid.len())
        .filter(|at| lines[*at] && degree(grid, lines, *at) == 1 && !grid.on_frame(*at))
        .map(|end| walk(grid, lines, end))
        .filter(|path| path.len() <= BARB && path.iter().all(|at| degree(grid, lines, *at) <= 2))
        .filter(|path| grid.eight(path[path.len() - 1]).any(|n| lines[n] && degree(grid, lines, n) > 2))
        .flatten()
        .collect();
    barbs.into_iter().for_each(|at| lines[at] = false);
    lines.copy_from_slice(&thin::skeleton(grid, lines, &squares));
}

/// The loose ends at each knot.
fn loose(ink: Ink, lines: &[bool], knots: &[u32]) -> BTreeMap<u32, Vec<End>> {
    let grid = ink.grid;
    let mut found: BTreeMap<u32, Vec<End>> = BTreeMap::new();
    for at in (0..grid.len()).filter(|at| lines[*at] && degree(grid, lines, *at) == 1 && !grid.on_frame(*at)) {
        let near = within(grid, at, NEAR * ink.half).filter(|(_, n)| knots[*n] != NOBODY).min();
        let Some(knot) = near.map(|(_, n)| knots[n]) else { continue };
        let path = walk(grid, lines, at);
        if path.len() >= SEEN_LEAST {
            found.entry(knot).or_default().push(end(ink, path));
        }
    }
    found
}

/// Leads the loose ends of a knot on.
fn bind(ink: Ink, mut ends: Vec<End>, lines: &mut [bool]) {
    bridge(ink, &mut ends, FACING[0], lines);
    if ends.len() > 2
        && let Some(at) = meeting(&ends.iter().collect::<Vec<_>>(), ink.half)
            .filter(|at| ends.iter().all(|end| far(end.axis.nearest(*at).0, *at) <= MISSES * ink.half + 1.0))
    {
        ends.drain(..).for_each(|end| join(ink.grid, &end, at, lines));
    }
    bridge(ink, &mut ends, FACING[1], lines);
    let along_ink = |end: &End, lines: &mut [bool]| run_on(ink, end, RUNS_ON * ink.half, |p| holds(ink, p), lines);
    ends.retain(|end| !along_ink(end, lines));
    corner(ink, &mut ends, lines);
    ends.retain(|end| !along_ink(end, lines));
}

/// Draws pairs of ends on to where their axes meet, the nearest first.
fn corner(ink: Ink, ends: &mut Vec<End>, lines: &mut [bool]) {
    loop {
        let pairs = (0..ends.len()).flat_map(|i| (0..i).map(move |j| (j, i)));
        let met = |(i, j): (usize, usize)| {
            let at = meeting(&[&ends[i], &ends[j]], ink.half)?;
            let held = |end: &End| led(end, at).all(|p| holds(ink, p));
            (held(&ends[i]) && held(&ends[j])).then(|| (far(ends[i].at, at) + far(ends[j].at, at), i, j, at))
        };
        let Some((_, i, j, at)) = pairs.filter_map(met).min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
        let (second, first) = (ends.remove(j), ends.remove(i));
        [first, second].iter().for_each(|end| join(ink.grid, end, at, lines));
    }
}

/// Bridges ends that face each other, the straightest first.
fn bridge(ink: Ink, ends: &mut Vec<End>, facing: f64, lines: &mut [bool]) {
    loop {
        let pairs = (0..ends.len()).flat_map(|i| (0..i).map(move |j| (j, i)));
        let best = pairs
            .filter_map(|(i, j)| Some((face(&ends[i], &ends[j], BRIDGE * ink.half)?, i, j)))
            .filter(|(cosine, i, j)| *cosine >= facing && between(&ends[*i], &ends[*j]).all(|p| holds(ink, p)))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, i, j)) = best else { return };
        span(ink.grid, ends, (i, j), lines);
    }
}

/// How straight two ends face each other: the lesser cosine of the turns at both.
fn face(a: &End, b: &End, most: f64) -> Option<f64> {
    let length = far(a.at, b.at);
    let chord = ((b.at.0 - a.at.0) / length, (b.at.1 - a.at.1) / length);
    let (u, v) = (a.axis.nearest(a.at).1, b.axis.nearest(b.at).1);
    let cosine = (u.0 * chord.0 + u.1 * chord.1).min(-v.0 * chord.0 - v.1 * chord.1);
    // Over a pixel or two there is no direction.
    (length <= most).then_some(if length < TOUCH_PX { 1.0 } else { cosine })
}

/// Points of the smooth way from one end to another (Hermite's cubic).
fn between<'a>(a: &'a End, b: &'a End) -> impl Iterator<Item = At> + 'a {
    let length = far(a.at, b.at);
    let (u, v) = (a.axis.nearest(a.at).1, b.axis.nearest(b.at).1);
    let steps = (length.ceil() as usize).max(2);
    (1..=steps).map(move |k| {
        let t = k as f64 / steps as f64;
        let (s, r) = (1.0 - t, t);
        let (from, to) = (s * s * (1.0 + 2.0 * r), r * r * (3.0 - 2.0 * r));
        let (out, into) = (length * r * s * s, length * r * r * s);
        let along = |p: f64, q: f64, u: f64, v: f64| from * p + to * q + out * u + into * v;
        (along(a.at.0, b.at.0, u.0, v.0), along(a.at.1, b.at.1, u.1, v.1))
    })
}

/// Whether the pen can have stood at a place.
fn holds(ink: Ink, p: At) -> bool {
    pixel(ink.grid, p).is_some_and(|at| ink.dark[at] || f64::from(ink.squares[at]).sqrt() >= pen::least(ink.half) - 1.0)
}

/// Draws a loose end on along its axis until it comes to a line or a dark area, over what `may` be gone over; whether it does.
fn run_on(ink: Ink, end: &End, most: f64, mut may: impl FnMut(At) -> bool, lines: &mut [bool]) -> bool {
    let grid = ink.grid;
    let start = end.axis.along(end.at);
    let mut way = vec![end.at];
    for k in 1..=(most / STEP_PX) as usize {
        let p = end.axis.at(start + k as f64 * STEP_PX);
        if !may(p) {
            return false;
        }
        way.push(p);
        let Some(at) = pixel(grid, p) else { return false };
        let line = |n: &usize| (lines[*n] || ink.dark[*n]) && !end.own.contains(n);
        if let Some(met) = std::iter::once(at).chain(grid.eight(at)).find(line) {
            way.push(place(grid, met));
            way.windows(2).for_each(|w| straight(grid, w[0], w[1], lines));
            return true;
        }
    }
    false
}

/// Where the axes of loose ends meet; `None` where they do not, or go on smoothly.
fn meeting(ends: &[&End], half: f64) -> Option<At> {
    if ends.len() < 2 {
        return None;
    }
    let sum = ends.iter().fold((0.0, 0.0), |a, end| (a.0 + end.at.0, a.1 + end.at.1));
    let mut at = (sum.0 / ends.len() as f64, sum.1 / ends.len() as f64);
    for _ in 0..4 {
        let (mut xx, mut xy, mut yy, mut bx, mut by) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for end in ends {
            let (p, u) = end.axis.nearest(at);
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
    let fits = |end: &&End| {
        let ahead = end.axis.along(at) >= end.axis.along(end.at) - 1.0;
        ahead && far(end.at, at) <= MEETS * half && far(end.axis.nearest(at).0, at) <= half * 0.5 + 1.0
    };
    ends.iter().all(fits).then_some(at)
}

/// Draws a loose end on to the meeting.
fn join(grid: Grid, end: &End, meeting: At, lines: &mut [bool]) {
    let mut from = end.at;
    for to in led(end, meeting) {
        straight(grid, from, to, lines);
        from = to;
    }
}

/// The way of a loose end to a meeting: along its axis, which is led over to it more and more.
fn led(end: &End, meeting: At) -> impl Iterator<Item = At> + '_ {
    let axis = &end.axis;
    let (start, whole, off) = (axis.along(end.at), axis.along(meeting), axis.nearest(meeting).0);
    (1..=8)
        .map(move |k| {
            let share = f64::from(k) / 8.0;
            let p = axis.at(start + (whole - start) * share);
            (p.0 + (meeting.0 - off.0) * share, p.1 + (meeting.1 - off.1) * share)
        })
        .chain([meeting])
}

/// A curve of the second degree through the end of a strand: `middle + s·u + (a + b·s + c·s²)·n`.
struct Axis {
    middle: At,
    u: At,
    of: [f64; 3],
}

impl Axis {
    /// Of the points from a line's end on.
    fn of(points: &[At], half: f64) -> Axis {
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

    /// The straight line by which it goes on at a place beside it.
    fn straight_on(&self, at: At) -> Axis {
        Axis { middle: at, u: self.nearest(at).1, of: [0.0; 3] }
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
