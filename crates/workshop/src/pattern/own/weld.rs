//! Near-twin lines become one: neighbouring shapes that each bring a copy of the edge they share, a little off.
//!
//! What lies between two copies is a sliver, or a web of slivers that runs through the whole drawing. Ties, short lines from each
//! end of a curve to what is drawn beside it, part the web where other lines come in; each sliver then goes to the side from which
//! the later copy parts it (`map`), so that the line drawn first stays as it was drawn. A tie that bounds no sliver is taken
//! out again, and areas that a tie alone parts become one.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Cubic, Point, line, orientation};

/// Lines of different paths nearer than this are copies of one, µm: about two kerfs, between which no wood is left standing. Copies
/// that are each off by 0.15 mm (standard deviation) lie up to so far apart. Common practice, no source.
pub(super) const WELD_UM: f64 = 750.0;
/// Ties lead to so many paths at most, the nearest: where shapes meet there are seldom more.
const NEAREST: usize = 3;
/// How far a tie goes beyond the line that it leads to, µm, so that it is sure to meet it.
const BEYOND_UM: f64 = 4.0;
/// The cells in which chords are sought, µm: wider than what is sought, and the steps at which a chord is entered are finer.
const CELL_UM: f64 = 1.5 * WELD_UM;

/// A chord of a curve, and the path that the curve is of.
struct Chord {
    ends: [Point; 2],
    path: usize,
    /// Whether its ends are ends of the curve.
    tips: [bool; 2],
}

/// The ties of curves; `path` says of each which path it is of.
pub(super) fn ties(curves: &[Cubic], path: &[usize]) -> Vec<Cubic> {
    let chords: Vec<Chord> = curves.iter().zip(path).flat_map(|(curve, path)| chords(curve, *path)).collect();
    let near = Near::new(&chords);
    let tips: BTreeSet<(Point, usize)> =
        curves.iter().zip(path).flat_map(|(curve, path)| [(curve.start(), *path), (curve.end(), *path)]).collect();
    let mut found: BTreeSet<(Point, Point)> = BTreeSet::new();
    for (tip, path) in tips {
        let mut beside: BTreeMap<usize, Vec<&Chord>> = BTreeMap::new();
        let others = near.around(tip).into_iter().map(|index| &chords[index]).filter(|chord| chord.path != path);
        others.for_each(|chord| beside.entry(chord.path).or_default().push(chord));
        let mut to: Vec<Point> = beside.values().filter_map(|chords| target(tip, chords)).collect();
        to.sort_by(|a, b| far(*a, tip).total_cmp(&far(*b, tip)).then(a.cmp(b)));
        found.extend(to.into_iter().take(NEAREST).map(|to| (tip.min(to), tip.max(to))));
    }
    found.into_iter().map(|(a, b)| Cubic::straight(a, b)).collect()
}

fn chords(curve: &Cubic, path: usize) -> Vec<Chord> {
    let points = line(&[*curve]);
    let last = points.len().saturating_sub(2);
    let chord = |(i, w): (usize, &[Point])| Chord { ends: [w[0], w[1]], path, tips: [i == 0, i == last] };
    points.windows(2).enumerate().map(chord).collect()
}

/// Where a tie leads from a tip to one path: the nearest end of a curve within reach, else the nearest place, a little beyond it.
/// `None` when that is out of reach, or the tip lies on it.
fn target(tip: Point, chords: &[&Chord]) -> Option<Point> {
    let nearest = |ends: &mut dyn Iterator<Item = Point>| {
        ends.min_by(|a, b| far(*a, tip).total_cmp(&far(*b, tip)).then(a.cmp(b))).filter(|end| far(*end, tip) <= WELD_UM)
    };
    let ends = chords.iter().flat_map(|chord| (0..2).filter(|k| chord.tips[*k]).map(|k| chord.ends[k]));
    let places = chords.iter().map(|chord| (away(chord.ends, tip), chord.ends));
    let (off, [a, b]) = places.min_by(|a, b| a.0.total_cmp(&b.0))?;
    if off > WELD_UM || off == 0.0 {
        return None;
    }
    nearest(&mut { ends }).or_else(|| {
        let share = share([a, b], tip);
        if share == 0.0 || share == 1.0 {
            return nearest(&mut [a, b].into_iter());
        }
        let (x, y, length) = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y), far(a, b));
        let past = f64::from(orientation(a, b, tip)) * BEYOND_UM / length;
        let (x, y) = (f64::from(a.x) + share * x + past * y, f64::from(a.y) + share * y - past * x);
        Some(Point::new(x.round() as i32, y.round() as i32))
    })
}

/// The share of a chord at its place nearest to a point.
fn share([a, b]: [Point; 2], p: Point) -> f64 {
    let (x, y) = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
    let along = (f64::from(p.x) - f64::from(a.x)) * x + (f64::from(p.y) - f64::from(a.y)) * y;
    (along / (x * x + y * y)).clamp(0.0, 1.0)
}

/// How far a point lies from a chord, µm.
fn away([a, b]: [Point; 2], p: Point) -> f64 {
    let share = share([a, b], p);
    let off = |a: i32, b: i32, p: i32| f64::from(a) + share * (f64::from(b) - f64::from(a)) - f64::from(p);
    libm::hypot(off(a.x, b.x, p.x), off(a.y, b.y, p.y))
}

fn far(a: Point, b: Point) -> f64 {
    libm::hypot(f64::from(a.x) - f64::from(b.x), f64::from(a.y) - f64::from(b.y))
}

/// Chords by the square cells that they run through.
struct Near(Vec<((i32, i32), usize)>);

impl Near {
    fn new(chords: &[Chord]) -> Near {
        let mut cells = Vec::new();
        for (index, chord) in chords.iter().enumerate() {
            let [a, b] = chord.ends;
            let steps = (far(a, b) / (CELL_UM / 4.0)).ceil().max(1.0);
            let at = |a: i32, b: i32, k: f64| f64::from(a) + (f64::from(b) - f64::from(a)) * k / steps;
            let of = |k: i32| (Near::key(at(a.x, b.x, f64::from(k)), at(a.y, b.y, f64::from(k))), index);
            let mut through: Vec<_> = (0..=steps as i32).map(of).collect();
            through.dedup();
            cells.extend(through);
        }
        cells.sort_unstable();
        Near(cells)
    }

    fn key(x: f64, y: f64) -> (i32, i32) {
        ((x / CELL_UM).floor() as i32, (y / CELL_UM).floor() as i32)
    }

    /// The chords in the cells around a point: all within reach, and some farther.
    fn around(&self, p: Point) -> BTreeSet<usize> {
        let (x, y) = Near::key(f64::from(p.x), f64::from(p.y));
        let mut found = BTreeSet::new();
        for column in x - 1..=x + 1 {
            let from = self.0.partition_point(|(key, _)| *key < (column, y - 1));
            found.extend(self.0[from..].iter().take_while(|(key, _)| *key <= (column, y + 1)).map(|of| of.1));
        }
        found
    }
}
