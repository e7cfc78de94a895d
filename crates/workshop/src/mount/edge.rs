//! The edge of the work: flattened borders between what is work and what is not, in cells, so that a place asks only the
//! segments near it.

use std::collections::BTreeMap;

use measure::plane::Point;

use crate::pattern::Outlines;
use crate::work::{Becomes, BorderId, Side, Work};

/// Side of a cell, and the longest segment, mm.
const CELL_MM: f64 = 4.0;

/// What lies at the edge on the side of the work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Seen {
    /// A piece, which hides the backer.
    Hidden,
    /// Open shadow, which shows it.
    Shadow,
}

/// How a place lies to the edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Near {
    /// Inside the work.
    pub inside: bool,
    /// From the edge, mm; infinite beyond the reach that was asked.
    pub away: f64,
    /// The nearest place of the edge.
    pub foot: (f64, f64),
    /// What lies there.
    pub seen: Seen,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    pub a: (f64, f64),
    pub b: (f64, f64),
    seen: Seen,
}

/// The edge.
pub(super) struct Edge {
    pub segments: Vec<Segment>,
    borders: Vec<BorderId>,
    cells: BTreeMap<(i32, i32), Vec<u32>>,
    /// Segments by row of cells, for the even-odd rule.
    rows: BTreeMap<i32, Vec<u32>>,
}

impl Edge {
    pub fn of(work: &Work, outlines: &Outlines) -> Edge {
        let becomes = |side: Side| side.area().and_then(|id| work.pattern.areas.get(&id)).map(|area| area.becomes);
        let is_work = |side: Side| becomes(side).is_some_and(|becomes| becomes != Becomes::Ground);
        let mut edge =
            Edge { segments: Vec::new(), borders: Vec::new(), cells: BTreeMap::new(), rows: BTreeMap::new() };
        for (&id, border) in &work.pattern.borders {
            let own = match (is_work(border.left), is_work(border.right)) {
                (true, false) => border.left,
                (false, true) => border.right,
                _ => continue,
            };
            let Some(line) = outlines.lines.get(&id) else { continue };
            let seen = if becomes(own) == Some(Becomes::Shadow) { Seen::Shadow } else { Seen::Hidden };
            edge.borders.push(id);
            line.windows(2).for_each(|pair| edge.add((pair[0].to_mm(), pair[1].to_mm()), seen));
        }
        edge
    }

    /// Adds a segment in parts that are no longer than a cell.
    fn add(&mut self, (a, b): ((f64, f64), (f64, f64)), seen: Seen) {
        let parts = (distance(a, b) / CELL_MM).ceil().max(1.0);
        let at = |i: f64| (a.0 + (b.0 - a.0) * i / parts, a.1 + (b.1 - a.1) * i / parts);
        for i in 0..parts as usize {
            let end = if i + 1 == parts as usize { b } else { at(i as f64 + 1.0) };
            let segment = Segment { a: if i == 0 { a } else { at(i as f64) }, b: end, seen };
            let name = self.segments.len() as u32;
            let span = |p: f64, q: f64| cell(p.min(q))..=cell(p.max(q));
            for row in span(segment.a.1, segment.b.1) {
                self.rows.entry(row).or_default().push(name);
                for column in span(segment.a.0, segment.b.0) {
                    self.cells.entry((row, column)).or_default().push(name);
                }
            }
            self.segments.push(segment);
        }
    }

    pub fn shows(&self) -> bool {
        self.segments.iter().any(|segment| segment.seen == Seen::Shadow)
    }

    /// The least and greatest place, mm.
    pub fn bounds(&self) -> Option<((f64, f64), (f64, f64))> {
        let ends = self.segments.iter().flat_map(|segment| [segment.a, segment.b]);
        ends.map(|p| (p, p))
            .reduce(|(low, high), (p, _)| ((low.0.min(p.0), low.1.min(p.1)), (high.0.max(p.0), high.1.max(p.1))))
    }

    /// How a place lies to the edge, as far as `reach` mm.
    pub fn near(&self, at: (f64, f64), reach: f64) -> Near {
        let span = |v: f64| cell(v - reach)..=cell(v + reach);
        let mut best = Near { inside: false, away: f64::INFINITY, foot: at, seen: Seen::Hidden };
        for row in span(at.1) {
            let columns = span(at.0);
            for (_, names) in self.cells.range((row, *columns.start())..=(row, *columns.end())) {
                for segment in names.iter().map(|&name| &self.segments[name as usize]) {
                    let foot = foot_on(segment, at);
                    let away = distance(foot, at);
                    // At a corner of piece and shadow both are as near: the piece, which must not show, goes first.
                    let better = away < best.away || (away == best.away && segment.seen == Seen::Hidden);
                    if better && away <= reach {
                        best = Near { away, foot, seen: segment.seen, ..best };
                    }
                }
            }
        }
        Near { inside: self.holds(at), ..best }
    }

    /// By the even-odd rule.
    fn holds(&self, (x, y): (f64, f64)) -> bool {
        let names = self.rows.get(&cell(y)).map(Vec::as_slice).unwrap_or_default();
        let crossed = |name: &&u32| {
            let Segment { a, b, .. } = self.segments[**name as usize];
            (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0)
        };
        names.iter().filter(crossed).count() % 2 == 1
    }

    /// The edge as rings of the borders' own points.
    pub fn rings(&self, outlines: &Outlines) -> Vec<Vec<Point>> {
        let mut lines: Vec<Vec<Point>> = self.borders.iter().map(|id| outlines.lines[id].clone()).collect();
        let mut rings = Vec::new();
        while let Some(mut ring) = lines.pop() {
            while ring.first() != ring.last() {
                let end = ring[ring.len() - 1];
                let next = lines.iter().rposition(|line| line.first() == Some(&end) || line.last() == Some(&end));
                let Some(next) = next else { break };
                let mut line = lines.remove(next);
                if line[0] != end {
                    line.reverse();
                }
                ring.extend(&line[1..]);
            }
            ring.pop();
            rings.push(ring);
        }
        rings
    }
}

fn cell(v: f64) -> i32 {
    (v / CELL_MM).floor() as i32
}

fn foot_on(segment: &Segment, at: (f64, f64)) -> (f64, f64) {
    let (a, b) = (segment.a, segment.b);
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((at.0 - a.0) * dx + (at.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-12);
    let t = along.clamp(0.0, 1.0);
    (a.0 + t * dx, a.1 + t * dy)
}

pub(super) fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}
