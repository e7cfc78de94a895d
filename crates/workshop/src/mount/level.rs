//! The line along which a function of the distance to the edge is nought, as rings.
//!
//! Marching squares (Lorensen and Cline 1987, in the plane) over the cells near the edge; each crossing of a cell's side is
//! found by halving on the exact distance, and a corner is put where the offset sides meet (Kobbelt and others 2001), so
//! straight sides and their corners are exact and the rest lies within the sag of a chord: 3 µm at a radius of 2.5 mm.
//! Features finer than a cell may be lost.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Point, thinned};
use rayon::prelude::*;

use super::edge::{Edge, Near, distance};

/// The longest side of a cell, mm, and the most of the offset: finer follows tighter bends and costs time as the square.
const STEP_MM: f64 = 0.25;
const STEP_SHARE: f64 = 0.2;
/// Sides that turn less than this in a cell are one bend, not a corner (cosine of 25°).
const CORNER_COS: f64 = 0.906;

/// Points this near to the line between their neighbours are left out, mm: finer than the saw by far.
const THIN_MM: f64 = 0.002;
/// Halvings of a cell's side: to 0.1 µm.
const HALVINGS: u32 = 12;

type Node = (i32, i32);
type Place = (f64, f64);
/// A side of a cell: its first node, and whether it runs down.
type Side = (Node, bool);

/// Rings along which `level` of how a place lies to the edge is nought; it is positive inside. `reach`: no part of them
/// lies farther from the edge, mm.
pub(super) fn rings(edge: &Edge, reach: f64, level: impl Fn(Near) -> f64 + Sync) -> Vec<Vec<Point>> {
    let step = (reach * STEP_SHARE).clamp(0.05, STEP_MM);
    let reach = reach + 3.0 * step;
    let cells = cells_near(edge, (reach, step));
    let nodes: BTreeSet<Node> =
        cells.iter().flat_map(|&(r, c)| [(r, c), (r, c + 1), (r + 1, c), (r + 1, c + 1)]).collect();
    let nodes: Vec<Node> = nodes.into_iter().collect();
    let at = |place: Place| level(edge.near(place, reach));
    // An indexed parallel map keeps the order, so the result does not depend on threads.
    let inside: Vec<bool> = nodes.par_iter().map(|&node| at(place(node, step)) >= 0.0).collect();
    let is_in = |node: Node| nodes.binary_search(&node).is_ok_and(|at| inside[at]);
    let mut tracer = Tracer {
        edge,
        reach,
        step,
        level: &at,
        next: BTreeMap::new(),
        crossings: BTreeMap::new(),
        corners: BTreeMap::new(),
    };
    cells.iter().for_each(|&cell| tracer.cell(cell, is_in));
    tracer.rings()
}

fn place((row, column): Node, step: f64) -> Place {
    (f64::from(column) * step, f64::from(row) * step)
}

/// Cells within reach of the edge, in order.
fn cells_near(edge: &Edge, (reach, step): (f64, f64)) -> Vec<Node> {
    let span = |a: f64, b: f64| {
        let (low, high) = (a.min(b) - reach, a.max(b) + reach);
        (low / step).floor() as i32..=(high / step).floor() as i32
    };
    // Rows of columns joined as stretches: a segment's cells are a box.
    let mut rows: BTreeMap<i32, Vec<(i32, i32)>> = BTreeMap::new();
    for segment in &edge.segments {
        let columns = span(segment.a.0, segment.b.0);
        for row in span(segment.a.1, segment.b.1) {
            rows.entry(row).or_default().push((*columns.start(), *columns.end()));
        }
    }
    let mut cells = Vec::new();
    for (row, mut stretches) in rows {
        stretches.sort_unstable();
        let mut next = i32::MIN;
        for (from, to) in stretches {
            cells.extend((from.max(next)..=to).map(|column| (row, column)));
            next = next.max(to + 1);
        }
    }
    cells
}

struct Tracer<'a, F> {
    edge: &'a Edge,
    reach: f64,
    step: f64,
    level: &'a F,
    /// From a crossed side to the next, the inside to the right.
    next: BTreeMap<Side, Side>,
    /// Where a side is crossed.
    crossings: BTreeMap<Side, Place>,
    /// A corner between a crossed side and the next.
    corners: BTreeMap<Side, Place>,
}

impl<F: Fn(Place) -> f64> Tracer<'_, F> {
    /// Links the crossed sides of a cell.
    fn cell(&mut self, (r, c): Node, is_in: impl Fn(Node) -> bool) {
        let corners = [(r, c), (r, c + 1), (r + 1, c + 1), (r + 1, c)];
        let within = corners.map(&is_in);
        if within.iter().all(|inside| *inside == within[0]) {
            return;
        }
        let sides = [((r, c), false), ((r, c + 1), true), ((r + 1, c), false), ((r, c), true)];
        // Clockwise around the cell: in at sides that lead out of the inside, out at those that lead into it.
        let leaves: Vec<usize> = (0..4).filter(|&i| within[i] && !within[(i + 1) % 4]).collect();
        let enters = |from: usize| {
            let turned = if leaves.len() == 2 && self.middle((r, c)) { [1, 2, 3] } else { [3, 2, 1] };
            turned.into_iter().map(|step| (from + step) % 4).find(|&i| !within[i] && within[(i + 1) % 4])
        };
        let links: Vec<(usize, usize)> = leaves.iter().filter_map(|&from| Some((from, enters(from)?))).collect();
        for (from, to) in links {
            self.next.insert(sides[from], sides[to]);
            let [p, q] = [sides[from], sides[to]].map(|side| self.crossing(side));
            if let Some(corner) = self.corner(p, q) {
                self.corners.insert(sides[from], corner);
            }
        }
    }

    /// Whether the middle of a cell is inside: joins or parts two opposite corners.
    fn middle(&self, cell: Node) -> bool {
        let (x, y) = place(cell, self.step);
        (self.level)((x + self.step / 2.0, y + self.step / 2.0)) >= 0.0
    }

    /// Where a side is crossed, found by halving.
    fn crossing(&mut self, side: Side) -> Place {
        if let Some(known) = self.crossings.get(&side) {
            return *known;
        }
        let ((r, c), down) = side;
        let (mut a, mut b) = (place((r, c), self.step), place(if down { (r + 1, c) } else { (r, c + 1) }, self.step));
        let first = (self.level)(a) >= 0.0;
        for _ in 0..HALVINGS {
            let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
            if ((self.level)(middle) >= 0.0) == first { a = middle } else { b = middle }
        }
        let found = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
        self.crossings.insert(side, found);
        found
    }

    /// Where the lines through two crossings, square to their ways to the edge, meet, if they turn sharply and meet near.
    fn corner(&self, p: Place, q: Place) -> Option<Place> {
        let way = |at: Place| {
            let foot = self.edge.near(at, self.reach).foot;
            let long = distance(foot, at);
            (long > 1e-6).then(|| ((at.0 - foot.0) / long, (at.1 - foot.1) / long))
        };
        let (m, n) = (way(p)?, way(q)?);
        let turn = m.0 * n.1 - m.1 * n.0;
        if m.0 * n.0 + m.1 * n.1 > CORNER_COS || turn.abs() < 1e-6 {
            return None;
        }
        let (a, b) = (m.0 * p.0 + m.1 * p.1, n.0 * q.0 + n.1 * q.1);
        let meet = ((a * n.1 - b * m.1) / turn, (m.0 * b - n.0 * a) / turn);
        let near = |end: Place| distance(meet, end) <= 2.0 * self.step;
        (near(p) && near(q) && (self.level)(meet).abs() < self.step / 10.0).then_some(meet)
    }

    fn rings(mut self) -> Vec<Vec<Point>> {
        let mut rings = Vec::new();
        while let Some((&first, _)) = self.next.first_key_value() {
            let mut ring: Vec<Place> = Vec::new();
            let mut at = first;
            while let Some(next) = self.next.remove(&at) {
                ring.push(self.crossings[&at]);
                ring.extend(self.corners.get(&at).copied());
                at = next;
            }
            let mut ring: Vec<Point> = thinned(&ring, THIN_MM).into_iter().map(rounded).collect();
            ring.dedup();
            rings.extend((ring.len() > 2).then_some(ring));
        }
        rings
    }
}

fn rounded((x, y): Place) -> Point {
    Point::new((x * 1000.0).round() as i32, (y * 1000.0).round() as i32)
}
