//! Zones of colour on a face: cells of the face are merged, the likest neighbours first (Ward 1963, on L*a*b*).
//!
//! A zone's edge is drawn along the length, one upper and one lower edge, so that it never crosses itself; where it fails: a
//! zone that bends back comes out filled, and one that is nowhere three cells wide is taken for a seam.

use std::collections::BTreeMap;

use measure::colour::{Lab, delta_e_2000};

use super::{Face, point};
use crate::work::Zone;

/// Cells along the longer side: about 5 mm on a board of 600 mm.
const CELLS: usize = 120;

/// Touching places this near (ΔE00) are one colour: growth rings and figure differ by less, sapwood by more. From memory.
const ONE_COLOUR: f64 = 5.0;

/// Places that take less of the face than this are noted by hand, if at all.
const SHARE_LEAST: f64 = 0.02;

/// From the edge of the board to a zone, µm: a zone lies inside its board.
const INSIDE: f64 = 50.0;

pub(super) struct Found {
    /// Of the largest place.
    pub colour: Lab,
    pub zones: Vec<(Zone, Lab)>,
}

/// A place on the face: the sum of its cells.
#[derive(Clone)]
struct Place {
    cells: Vec<usize>,
    sum: [f64; 3],
}

/// What merging each two touching places costs.
type Pairs = BTreeMap<(usize, usize), f64>;

struct Grid {
    across: usize,
    down: usize,
    cells: Vec<[f64; 3]>,
}

/// The zones of a face, the largest first.
pub(super) fn find(face: &Face) -> Found {
    let grid = Grid::new(face);
    let mut places: Vec<Place> = merged(&grid).into_values().collect();
    places.sort_by(|a, b| b.cells.len().cmp(&a.cells.len()).then(a.cells[0].cmp(&b.cells[0])));
    let own = vec_of(&places, grid.cells.len());
    let colour = grid.inner_colour(&places[0], &own, 0);
    let zones = places.iter().enumerate().skip(1).map(|(at, place)| {
        let seen = grid.inner_colour(place, &own, at);
        (Zone { name: name(at, seen), outline: grid.outline(place, face.size), keep: false }, seen)
    });
    Found { colour, zones: zones.collect() }
}

fn name(at: usize, seen: Lab) -> String {
    format!("zone {at}: L* {:.1}, a* {:.1}, b* {:.1}", seen.l, seen.a, seen.b)
}

fn vec_of(places: &[Place], cells: usize) -> Vec<usize> {
    let mut own = vec![0; cells];
    places.iter().enumerate().for_each(|(at, place)| place.cells.iter().for_each(|cell| own[*cell] = at));
    own
}

impl Place {
    fn lab(&self) -> Lab {
        let n = self.cells.len() as f64;
        Lab::new(self.sum[0] / n, self.sum[1] / n, self.sum[2] / n)
    }

    /// What merging costs: the rise of the squared differences; infinite where both are large and apart.
    fn cost(&self, other: &Place, least: f64) -> f64 {
        let small = (self.cells.len().min(other.cells.len()) as f64) < least;
        if !small && delta_e_2000(self.lab(), other.lab()) >= ONE_COLOUR {
            return f64::INFINITY;
        }
        let (n, m) = (self.cells.len() as f64, other.cells.len() as f64);
        let apart = self.lab().delta_e_1976(other.lab());
        n * m / (n + m) * apart * apart
    }
}

/// Cells merged until touching places differ and none is small.
fn merged(grid: &Grid) -> BTreeMap<usize, Place> {
    let cell = |(at, sum): (usize, &[f64; 3])| (at, Place { cells: vec![at], sum: *sum });
    let mut places: BTreeMap<usize, Place> = grid.cells.iter().enumerate().map(cell).collect();
    let least = SHARE_LEAST * grid.cells.len() as f64;
    let mut pairs = Pairs::new();
    for at in 0..grid.cells.len() {
        for other in grid.after(at) {
            pairs.insert((at, other), places[&at].cost(&places[&other], least));
        }
    }
    while let Some((&pair, _)) = pairs.iter().filter(|(_, cost)| cost.is_finite()).min_by(|a, b| a.1.total_cmp(b.1)) {
        join(&mut places, &mut pairs, (pair, least));
    }
    while let Some(pair) = thin(grid, &places, &pairs) {
        join(&mut places, &mut pairs, (pair, least));
    }
    places
}

/// A place that is nowhere three cells wide, a seam where two colours mix, and its likest neighbour.
fn thin(grid: &Grid, places: &BTreeMap<usize, Place>, pairs: &Pairs) -> Option<(usize, usize)> {
    let mut own = vec![0; grid.cells.len()];
    places.iter().for_each(|(at, place)| place.cells.iter().for_each(|cell| own[*cell] = *at));
    let inner = |cell: usize| grid.around(cell).all(|other| own[other] == own[cell]);
    let seam = places.iter().find(|(_, place)| !place.cells.iter().any(|cell| inner(*cell)))?.0;
    let far = |(a, b): &(usize, usize)| places[a].lab().delta_e_1976(places[b].lab());
    pairs.keys().filter(|(a, b)| a == seam || b == seam).min_by(|a, b| far(a).total_cmp(&far(b))).copied()
}

/// Adds the second place to the first.
fn join(places: &mut BTreeMap<usize, Place>, pairs: &mut Pairs, ((one, two), least): ((usize, usize), f64)) {
    let gone = places.remove(&two).expect("pairs name places that are there");
    let kept = places.get_mut(&one).expect("pairs name places that are there");
    kept.cells.extend(gone.cells);
    kept.sum.iter_mut().zip(gone.sum).for_each(|(sum, more)| *sum += more);
    let near: Vec<(usize, usize)> =
        pairs.keys().copied().filter(|(a, b)| [a, b].iter().any(|p| **p == one || **p == two)).collect();
    for (a, b) in near {
        pairs.remove(&(a, b));
        let other = if a == one || a == two { b } else { a };
        if other != one && other != two {
            pairs.insert((one.min(other), one.max(other)), places[&one].cost(&places[&other], least));
        }
    }
}

impl Grid {
    fn new(face: &Face) -> Grid {
        let step = (face.across.max(face.down)).div_ceil(CELLS);
        let (across, down) = (face.across.div_ceil(step), face.down.div_ceil(step));
        let mut sums = vec![([0.0; 3], 0.0); across * down];
        for (at, pixel) in face.pixels.iter().enumerate() {
            let cell = &mut sums[at / face.across / step * across + at % face.across / step];
            cell.0.iter_mut().zip(pixel).for_each(|(sum, channel)| *sum += channel);
            cell.1 += 1.0;
        }
        let lab = |(sum, n): &([f64; 3], f64)| {
            let lab = Lab::from_linear(sum.map(|channel| channel / n));
            [lab.l, lab.a, lab.b]
        };
        Grid { across, down, cells: sums.iter().map(lab).collect() }
    }

    /// The neighbours to the right and below.
    fn after(&self, at: usize) -> impl Iterator<Item = usize> {
        let right = (at % self.across + 1 < self.across).then_some(at + 1);
        let below = (at / self.across + 1 < self.down).then_some(at + self.across);
        right.into_iter().chain(below)
    }

    /// The mean of the cells that touch no other place; of all where every one does.
    fn inner_colour(&self, place: &Place, own: &[usize], mine: usize) -> Lab {
        let inner = |cell: &&usize| self.around(**cell).all(|other| own[other] == mine);
        let cells: Vec<usize> = place.cells.iter().filter(inner).copied().collect();
        let cells = if cells.is_empty() { place.cells.clone() } else { cells };
        let mean = |c: usize| cells.iter().map(|cell| self.cells[*cell][c]).sum::<f64>() / cells.len() as f64;
        Lab::new(mean(0), mean(1), mean(2))
    }

    fn around(&self, at: usize) -> impl Iterator<Item = usize> {
        let left = (!at.is_multiple_of(self.across)).then(|| at - 1);
        let above = (at >= self.across).then(|| at - self.across);
        self.after(at).chain(left).chain(above)
    }

    /// The upper edge from left to right, then the lower one back.
    fn outline(&self, place: &Place, (length, width): (f64, f64)) -> Vec<measure::plane::Point> {
        let mut rows: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
        for cell in &place.cells {
            let row = cell / self.across;
            let (top, bottom) = rows.entry(cell % self.across).or_insert((row, row));
            (*top, *bottom) = ((*top).min(row), (*bottom).max(row));
        }
        let x = |at: f64| (at / self.across as f64 * length).clamp(INSIDE, length - INSIDE);
        let y = |at: f64| (at / self.down as f64 * width).clamp(INSIDE, width - INSIDE);
        let last = rows.keys().next_back().map_or(0, |last| *last);
        let first = rows.keys().next().map_or(0, |first| *first);
        let along = |at: usize| match at {
            at if at == first && at == last => [x(at as f64), x(at as f64 + 1.0)],
            at if at == first => [x(at as f64), x(at as f64 + 0.5)],
            at if at == last => [x(at as f64 + 0.5), x(at as f64 + 1.0)],
            at => [x(at as f64 + 0.5); 2],
        };
        let edge = |of: fn(&(usize, usize)) -> f64| {
            let corners = rows.iter().flat_map(move |(at, row)| along(*at).map(|x| point(x, y(of(row)))));
            corners.collect::<Vec<_>>()
        };
        let mut ring = edge(|row| row.0 as f64);
        let mut lower = edge(|row| row.1 as f64 + 1.0);
        lower.reverse();
        ring.extend(lower);
        ring.dedup();
        let bends = |at: usize| {
            let [before, here, after] = [ring.len() - 1, 0, 1].map(|step| ring[(at + step) % ring.len()].y);
            before != here || after != here
        };
        (0..ring.len()).filter(|at| bends(*at)).map(|at| ring[at]).collect()
    }
}
