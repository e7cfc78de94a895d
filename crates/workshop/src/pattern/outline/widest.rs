//! The widest circle inside an outline; its centre is the pole of inaccessibility.
//!
//! Best-first search over a quadtree of square cells (branch and bound after Garcia-Castellanos and Lombardo 2007, in the
//! cell form that is common in map labelling). The usual bound, distance at the centre plus half the diagonal, needs a
//! cell every few µm along a strip of even width. Ours looks at two points of the outline, the nearest and the one that
//! stands best against it: inside a strip it grows with the square of the cell, and a reed a metre long is done.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use measure::plane::{Circle, Point};

/// The radius is found to this, µm. With the snapping of the centre it stays well under the 10 µm that are promised.
const TOLERANCE_UM: f64 = 5.0;
/// Cells looked at, at the most: far above what a sound outline needs, so that a broken one ends too.
const CELLS_MOST: usize = 40_000;
/// Chords in a band of levels, about: a comb of hundreds of strips has tens of thousands, of which few cross a level.
const IN_BAND: usize = 8;

type Vector = (f64, f64);
type Segment = (Vector, Vector);

/// A square of the search, with the chords that can be nearest to any place in it.
struct Cell {
    centre: Vector,
    half: f64,
    /// Distance of the centre to the outline, negative outside.
    distance: f64,
    /// No circle centred in the cell is wider.
    bound: f64,
    near: Vec<u32>,
}

impl PartialEq for Cell {
    fn eq(&self, other: &Cell) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Cell) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Cell) -> Ordering {
        let place = |a: &Cell, b: &Cell| a.centre.1.total_cmp(&b.centre.1).then(a.centre.0.total_cmp(&b.centre.0));
        self.bound.total_cmp(&other.bound).then_with(|| place(other, self))
    }
}

/// The widest circle inside the rings; of radius 0 when there is no inside.
pub fn circle(rings: &[Vec<Point>]) -> Circle {
    let segments: Vec<Segment> = rings.iter().flat_map(|ring| segments_of(ring)).collect();
    let all: Vec<u32> = (0..segments.len() as u32).collect();
    let Some((from, to)) = bounds(&segments) else {
        return Circle { centre: Point::default(), radius: 0.0 };
    };
    let bands = Bands::of(&segments, (from.1, to.1));
    let search = Search { segments, bands };
    let half = ((to.0 - from.0).min(to.1 - from.1) / 2.0).max(TOLERANCE_UM);
    let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
    let mut best = search.cell(middle, 0.0, &all, None);
    let mut cells: BinaryHeap<Cell> =
        squares(from, to, half).map(|centre| search.cell(centre, half, &all, None)).collect();
    let mut looked = cells.len();
    while let Some(cell) = cells.pop() {
        if cell.bound <= best.distance + TOLERANCE_UM || looked > CELLS_MOST {
            break;
        }
        for child in search.quarters(&cell) {
            if child.bound > best.distance + TOLERANCE_UM {
                cells.push(child);
            }
        }
        looked += 4;
        if cell.distance > best.distance {
            best = cell;
        }
    }
    search.snapped(&best, &all)
}

fn segments_of(ring: &[Point]) -> impl Iterator<Item = Segment> + '_ {
    let at = |p: &Point| (f64::from(p.x), f64::from(p.y));
    ring.iter().zip(ring.iter().cycle().skip(1)).map(move |(a, b)| (at(a), at(b)))
}

fn bounds(segments: &[Segment]) -> Option<(Vector, Vector)> {
    let starts = || segments.iter().map(|segment| segment.0);
    let low = starts().reduce(|a, b| (a.0.min(b.0), a.1.min(b.1)))?;
    let high = starts().reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)))?;
    Some((low, high))
}

/// Centres of squares of half width `half` that cover the box.
fn squares(from: Vector, to: Vector, half: f64) -> impl Iterator<Item = Vector> {
    let steps = move |from: f64, to: f64| {
        (0..((to - from) / (2.0 * half)).ceil().max(1.0) as usize).map(move |k| from + half * (2 * k + 1) as f64)
    };
    steps(from.1, to.1).flat_map(move |y| steps(from.0, to.0).map(move |x| (x, y)))
}

struct Search {
    segments: Vec<Segment>,
    bands: Bands,
}

/// The chords by the bands of levels that they touch.
struct Bands {
    low: f64,
    /// Bands in a µm.
    per_um: f64,
    chords: Vec<Vec<u32>>,
}

impl Bands {
    fn of(segments: &[Segment], (low, high): (f64, f64)) -> Bands {
        let count = segments.len().div_ceil(IN_BAND).max(1);
        let mut bands = Bands { low, per_um: count as f64 / (high - low).max(1.0), chords: vec![Vec::new(); count] };
        for (chord, ((_, a), (_, b))) in segments.iter().enumerate() {
            for band in bands.at(a.min(*b))..=bands.at(a.max(*b)) {
                bands.chords[band].push(chord as u32);
            }
        }
        bands
    }

    /// The band of a level; what lies beyond is of the first or the last.
    fn at(&self, level: f64) -> usize {
        (((level - self.low) * self.per_um).max(0.0) as usize).min(self.chords.len() - 1)
    }
}

impl Search {
    /// The cell at `centre`; `near` are the chords to look at, `inside` whether the centre is inside where that is known.
    fn cell(&self, centre: Vector, half: f64, near: &[u32], inside: Option<bool>) -> Cell {
        let radius = half * std::f64::consts::SQRT_2;
        let feet: Vec<Vector> = near.iter().map(|i| foot(self.segments[*i as usize], centre)).collect();
        let (nearest, square) = feet
            .iter()
            .map(|foot| (*foot, dot(*foot, *foot)))
            .fold(((0.0, 0.0), f64::INFINITY), |best, next| if next.1 < best.1 { next } else { best });
        let away = square.sqrt();
        let inside = inside.unwrap_or_else(|| self.inside(centre));
        let reach = (away + 2.0 * radius) * (away + 2.0 * radius);
        let kept = near.iter().zip(&feet).filter(|(_, foot)| dot(**foot, **foot) <= reach).map(|(i, _)| *i);
        let bound = match inside || away <= radius {
            true => bound(nearest, radius, &feet),
            false => f64::NEG_INFINITY,
        };
        Cell { centre, half, distance: if inside { away } else { -away }, bound, near: kept.collect() }
    }

    fn quarters(&self, cell: &Cell) -> Vec<Cell> {
        let quarter = cell.half / 2.0;
        let whole = cell.distance.abs() > cell.half * std::f64::consts::SQRT_2;
        let inside = whole.then_some(cell.distance > 0.0);
        [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)]
            .map(|(dx, dy)| (cell.centre.0 + dx * quarter, cell.centre.1 + dy * quarter))
            .map(|centre| self.cell(centre, quarter, &cell.near, inside))
            .into()
    }

    /// The even-odd rule.
    fn inside(&self, (x, y): Vector) -> bool {
        let crosses =
            |((ax, ay), (bx, by)): &Segment| (*ay > y) != (*by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax;
        let chords = &self.bands.chords[self.bands.at(y)];
        chords.iter().filter(|chord| crosses(&self.segments[**chord as usize])).count() % 2 == 1
    }

    /// The circle at the nearest whole µm, with the radius that it has there.
    fn snapped(&self, best: &Cell, all: &[u32]) -> Circle {
        let centre = Point::new(best.centre.0.round() as i32, best.centre.1.round() as i32);
        let there = self.cell((f64::from(centre.x), f64::from(centre.y)), 0.0, all, None);
        Circle { centre, radius: there.distance.max(0.0) }
    }
}

/// No place within `radius` is farther from the outline. Any two points a and b of it (seen from the centre) give a bound:
/// min(|p−a|, |p−b|)² is at most their mean by any weights, so at most |mean of squares| + radius² + 2·radius·|mean point|.
fn bound(nearest: Vector, radius: f64, feet: &[Vector]) -> f64 {
    let mut best = f64::INFINITY;
    for other in feet {
        let along = (other.0 - nearest.0, other.1 - nearest.1);
        let length = dot(along, along);
        let weight = if length > 0.0 { (-dot(nearest, along) / length).clamp(0.0, 1.0) } else { 0.0 };
        let mean = (nearest.0 + weight * along.0, nearest.1 + weight * along.1);
        let squares = (1.0 - weight) * dot(nearest, nearest) + weight * dot(*other, *other);
        best = best.min(squares + radius * radius + 2.0 * radius * dot(mean, mean).sqrt());
    }
    best.sqrt()
}

fn dot(a: Vector, b: Vector) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

/// The point of the segment nearest to `from`, as seen from there.
fn foot((a, b): Segment, from: Vector) -> Vector {
    let (a, b) = ((a.0 - from.0, a.1 - from.1), (b.0 - from.0, b.1 - from.1));
    let along = (b.0 - a.0, b.1 - a.1);
    let length = dot(along, along);
    let t = if length > 0.0 { (-dot(a, along) / length).clamp(0.0, 1.0) } else { 0.0 };
    (a.0 + t * along.0, a.1 + t * along.1)
}
