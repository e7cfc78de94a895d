//! Loose ends close against what lies within the gap.

use std::collections::{BTreeMap, BTreeSet};

use super::{Chord, far};
use crate::plane::{Cubic, Point, line};

/// Loose tips whose directions have a greater cosine than this run side by side: 0.5 is 60°, so that corners still close.
const BESIDE: f64 = 0.5;
/// How far an end that closes on a line goes beyond it, µm, so that it is sure to meet it.
const BEYOND_UM: f64 = 4.0;

/// The curves with loose ends moved to what lies within the gap, and those ends; `None` when nothing is to be moved.
pub(super) fn close_gaps(curves: &[Cubic], chords: &[Chord], gap: f64) -> Option<(Vec<Cubic>, BTreeSet<Point>)> {
    let near = Near::new(chords, gap);
    let mut moved = curves.to_vec();
    let mut met: BTreeSet<Point> = BTreeSet::new();
    for (source, curve) in curves.iter().enumerate() {
        if line(&[*curve]).len() < 2 {
            // A mere point leads nowhere: what ends at it is the line to close.
            continue;
        }
        for (end, tip) in [(0, curve.start()), (3, curve.end())] {
            if !near.is_loose(tip) || met.contains(&tip) || near.stands_over(chords, tip, gap) {
                continue;
            }
            if let Some(to) = near.target(chords, source, tip, gap) {
                met.extend([tip, to]);
                let by = (to.x - tip.x, to.y - tip.y);
                for k in [end, if end == 0 { 1 } else { 2 }] {
                    let p = &mut moved[source].0[k];
                    *p = Point::new(p.x + by.0, p.y + by.1);
                }
            }
        }
    }
    (!met.is_empty()).then_some((moved, met))
}

/// Chords by square cells, to find those near a point.
struct Near {
    cell: f64,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
    /// The chords that end at each point.
    at: BTreeMap<Point, Vec<usize>>,
}

impl Near {
    fn new(chords: &[Chord], gap: f64) -> Near {
        let cell = (2.0 * gap).max(1000.0);
        let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for (index, chord) in chords.iter().enumerate() {
            let (dx, dy) = (f64::from(chord.b.x) - f64::from(chord.a.x), f64::from(chord.b.y) - f64::from(chord.a.y));
            let steps = (dx.abs().max(dy.abs()) / (cell / 2.0)).ceil().max(1.0);
            for k in 0..=steps as usize {
                let s = k as f64 / steps;
                let key = Near::key((f64::from(chord.a.x) + s * dx, f64::from(chord.a.y) + s * dy), cell);
                let list = cells.entry(key).or_default();
                if list.last() != Some(&index) {
                    list.push(index);
                }
            }
        }
        let mut at: BTreeMap<Point, Vec<usize>> = BTreeMap::new();
        for (index, chord) in chords.iter().enumerate() {
            [chord.a, chord.b].into_iter().for_each(|p| at.entry(p).or_default().push(index));
        }
        Near { cell, cells, at }
    }

    fn key(p: (f64, f64), cell: f64) -> (i64, i64) {
        ((p.0 / cell).floor() as i64, (p.1 / cell).floor() as i64)
    }

    fn is_loose(&self, tip: Point) -> bool {
        self.at.get(&tip).is_some_and(|of| of.len() == 1)
    }

    /// Whether a loose tip has met a line already and stands over it by no more than the gap.
    fn stands_over(&self, chords: &[Chord], tip: Point, gap: f64) -> bool {
        let (mut p, mut before, mut length) = (tip, None, 0.0);
        while length <= gap {
            let Some(next) = self.at[&p].iter().copied().find(|next| before != Some(*next)) else { return false };
            let chord = &chords[next];
            length += far(chord.a, chord.b);
            p = if chord.a == p { chord.b } else { chord.a };
            match self.at[&p].len() {
                1 => return false,
                2 => before = Some(next),
                _ => return length <= gap,
            }
        }
        false
    }

    /// Where a loose tip closes: the nearest end within the gap, else a little beyond the nearest line.
    fn target(&self, chords: &[Chord], source: usize, tip: Point, gap: f64) -> Option<Point> {
        let (cx, cy) = Near::key((f64::from(tip.x), f64::from(tip.y)), self.cell);
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy)));
        let found: BTreeSet<usize> = around.filter_map(|key| self.cells.get(&key)).flatten().copied().collect();
        // A curve may close on its own far part, never on what leads to the tip.
        let away = |c: &&Chord| c.source != source || far(c.a, tip).min(far(c.b, tip)) > 4.0 * gap;
        let others = || found.iter().map(|i| &chords[*i]).filter(|c| c.a != tip && c.b != tip).filter(away);
        let own_end =
            |p: &Point| *p != tip && found.iter().any(|i| chords[*i].source == source && is_end(&chords[*i], *p));
        // Where two lines cross, the point is rounded and on neither.
        let ends = others().flat_map(|c| [c.a, c.b].map(|p| (c, p))).filter(|(c, p)| is_end(c, *p)).map(|of| of.1);
        let ends = ends.filter(|p| *p != tip && far(*p, tip) <= gap);
        let ends = ends.chain(
            found.iter().flat_map(|i| [chords[*i].a, chords[*i].b]).filter(|p| far(*p, tip) <= gap && own_end(p)),
        );
        // Two loose tips close on each other only where they face: those of a line drawn twice go on side by side.
        let ways = |tip: Point| found.iter().filter_map(move |i| chords[*i].out_of(tip));
        let beside = |p: Point| self.is_loose(p) && ways(p).any(|u| ways(tip).any(|v| u.0 * v.0 + u.1 * v.1 > BESIDE));
        if let Some(end) =
            ends.filter(|p| !beside(*p)).min_by(|a, b| far(*a, tip).total_cmp(&far(*b, tip)).then(a.cmp(b)))
        {
            return Some(end);
        }
        let on_line = others().filter_map(|c| {
            let s = c.share(tip).clamp(0.0, 1.0);
            let mix = |a: i32, b: i32| f64::from(a) + s * (f64::from(b) - f64::from(a));
            let past = (s == 0.0 && beside(c.a)) || (s == 1.0 && beside(c.b));
            (!past).then(|| (mix(c.a.x, c.b.x), mix(c.a.y, c.b.y)))
        });
        let off = |p: &(f64, f64)| {
            let (x, y) = (p.0 - f64::from(tip.x), p.1 - f64::from(tip.y));
            (x * x + y * y).sqrt()
        };
        let nearest = on_line.min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let away = off(&nearest);
        if away > gap || away == 0.0 {
            return None;
        }
        let beyond = |to: f64, from: i32| (to + (to - f64::from(from)) / away * BEYOND_UM).round() as i32;
        Some(Point::new(beyond(nearest.0, tip.x), beyond(nearest.1, tip.y)))
    }
}

/// Whether a point is an end of the chord's curve.
fn is_end(chord: &Chord, p: Point) -> bool {
    (chord.t[0] == 0.0 && chord.a == p) || (chord.t[1] == 1.0 && chord.b == p)
}
