//! No region under the stock's limits: what is too thin or too small is shared out among its neighbours.
//!
//! The thinnest goes first, so that slivers feed what can still become a piece. A region is flooded from its borders, a
//! neighbour advancing faster where the colour is close to its own; a drawn line falls half to each side. Neighbours only
//! grow and stay 4-connected. A region with nothing but ground around it becomes ground; the last one of all stays.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use super::even::{Even, STEPS, Sum, apart};
use super::grid::{Grid, NOBODY};
use super::widest::{cores, diameter};
use crate::work::{Size, Stock};

/// Fitting moves borders by up to a quarter of a millimetre and mostly by much less; without a margin a region at the limit
/// fails it once fitted. More margin costs colour; what a fitted border truly needs is not measured yet.
const WIDTH_MARGIN_MM: f64 = 0.3;

/// The same for the area, mm².
const AREA_MARGIN_MM2: f64 = 1.0;

/// What a step of the flood takes apart from colour, against 1 per unit of ΔE00: more makes calmer seams.
const PACE: f64 = 4.0;

/// The limits in pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// Least diameter of the widest circle.
    pub width: f64,
    /// Least area.
    pub area: i64,
    /// A region with nothing but ground around it stays, though it is under the limits.
    pub keep: bool,
    /// A corner stays that a disc as wide as a neck leaves so many squares of its radius of: one of 40 degrees leaves 1.5, one of
    /// 20 degrees 4.3.
    pub corner: f64,
}

/// Corners of photographs, and those between flat colours, which are no chance.
const CORNER: f64 = 1.5;
const SHARP_CORNER: f64 = 4.3;

impl Limits {
    /// What `stock` asks on a panel, with margins for fitting.
    pub fn new(grid: Grid, panel: Size, stock: &Stock) -> Limits {
        Limits::wider(grid, panel, stock, (WIDTH_MARGIN_MM, AREA_MARGIN_MM2))
    }

    /// What `stock` asks on a panel of what is there, without margins.
    pub fn bare(grid: Grid, panel: Size, stock: &Stock) -> Limits {
        Limits::wider(grid, panel, stock, (0.0, 0.0))
    }

    fn wider(grid: Grid, panel: Size, stock: &Stock, (width, area): (f64, f64)) -> Limits {
        let pixel = (panel.width.to_mm() / grid.width as f64).max(1e-6);
        Limits {
            width: (stock.least_width.to_mm() + width) / pixel,
            keep: false,
            corner: CORNER,
            area: ((f64::from(stock.least_area_mm2) + area) / (pixel * pixel)).ceil() as i64,
        }
    }

    /// The same where a side of a block is `side` pixels.
    pub fn on_pixels(self, side: usize) -> Limits {
        Limits { width: self.width * side as f64, area: self.area * (side * side) as i64, ..self }
    }

    /// The same, but sharper corners stay.
    pub fn sharp(self) -> Limits {
        Limits { corner: SHARP_CORNER, ..self }
    }

    /// The same, but what has no neighbour stays.
    pub fn kept(self) -> Limits {
        Limits { keep: true, ..self }
    }

    pub fn pass(&self, square: u32, area: i64) -> bool {
        diameter(square) >= self.width && area >= self.area
    }
}

/// Shares out every region under the limits. Labels below `count` may be left without a pixel.
pub(super) fn absorb(grid: Grid, plane: &[Even], labels: &mut [u32], count: u32, limits: Limits) {
    let cores = cores(grid, labels, count);
    let mut floor = Floor::new(grid, plane, labels, &cores);
    let failing = |r: &u32| !limits.pass(floor.squares[*r as usize], floor.sums[*r as usize].area);
    let mut waiting: BTreeSet<(u32, i64, u32)> =
        (0..count).filter(failing).map(|r| (floor.squares[r as usize], floor.sums[r as usize].area, r)).collect();
    while let Some((square, area, region)) = waiting.pop_first() {
        let now = floor.renewed(region);
        if now != (square, area) {
            if !limits.pass(now.0, now.1) {
                waiting.insert((now.0, now.1, region));
            }
            continue;
        }
        floor.share_out(region, limits.keep, |_| true);
    }
}

/// Shares out each of the regions from `first` on among those below it, but never to its own `parents` entry. What finds no
/// taker stays.
pub(super) fn hand_out(grid: Grid, plane: &[Even], labels: &mut [u32], first: u32, parents: &[u32]) {
    let none = vec![(0, 0); first as usize + parents.len()];
    let mut floor = Floor::new(grid, plane, labels, &none);
    for (i, parent) in parents.iter().enumerate() {
        floor.share_out(first + i as u32, false, |label| label < first && label != *parent);
    }
}

struct Floor<'a> {
    grid: Grid,
    plane: &'a [Even],
    labels: &'a mut [u32],
    sums: Vec<Sum>,
    pixels: Vec<Vec<u32>>,
    /// By region, the largest squared distance as last measured.
    squares: Vec<u32>,
    /// By region, its area when that was measured.
    measured: Vec<i64>,
}

impl<'a> Floor<'a> {
    fn new(grid: Grid, plane: &'a [Even], labels: &'a mut [u32], cores: &[(u32, usize)]) -> Floor<'a> {
        let mut sums = vec![Sum::default(); cores.len()];
        let mut pixels = vec![Vec::new(); cores.len()];
        for (at, label) in labels.iter().enumerate().filter(|(_, l)| **l != NOBODY) {
            sums[*label as usize].add(plane[at]);
            pixels[*label as usize].push(at as u32);
        }
        let squares = cores.iter().map(|c| c.0).collect();
        let measured = sums.iter().map(|s| s.area).collect();
        Floor { grid, plane, labels, sums, pixels, squares, measured }
    }

    /// Widest circle and area as they are now.
    fn renewed(&mut self, region: u32) -> (u32, i64) {
        let r = region as usize;
        if self.measured[r] != self.sums[r].area {
            self.squares[r] = self.widest(r);
            self.measured[r] = self.sums[r].area;
        }
        (self.squares[r], self.sums[r].area)
    }

    fn widest(&self, region: usize) -> u32 {
        let width = self.grid.width;
        let at = || self.pixels[region].iter().map(|p| (*p as usize % width, *p as usize / width));
        let (left, top) = at().fold((usize::MAX, usize::MAX), |(l, t), (x, y)| (l.min(x), t.min(y)));
        let (right, bottom) = at().fold((0, 0), |(r, b), (x, y)| (r.max(x), b.max(y)));
        let grid = Grid { width: right - left + 1, height: bottom - top + 1 };
        let mut inside = vec![NOBODY; grid.len()];
        at().for_each(|(x, y)| inside[(y - top) * grid.width + x - left] = 0);
        cores(grid, &inside, 1)[0].0
    }

    /// Floods the region from its borders with those neighbours that `may` take it.
    fn share_out(&mut self, region: u32, keep: bool, may: impl Fn(u32) -> bool) {
        let mut front: BinaryHeap<Reverse<(u64, u32, u32)>> = BinaryHeap::new();
        let pixels = std::mem::take(&mut self.pixels[region as usize]);
        let mut by_ground = false;
        for &at in &pixels {
            for next in self.grid.four(at as usize) {
                let label = self.labels[next];
                by_ground |= label == NOBODY;
                if label != region && label != NOBODY && may(label) {
                    front.push(Reverse((self.step(at, label), at, label)));
                }
            }
        }
        if front.is_empty() && (keep || !by_ground) {
            self.pixels[region as usize] = pixels;
            return;
        }
        if front.is_empty() {
            pixels.iter().for_each(|at| self.labels[*at as usize] = NOBODY);
            return;
        }
        self.sums[region as usize] = Sum::default();
        let means: Vec<(u32, Even)> = self.neighbours(&front);
        while let Some(Reverse((time, at, label))) = front.pop() {
            if self.labels[at as usize] != region {
                continue;
            }
            self.labels[at as usize] = label;
            self.sums[label as usize].add(self.plane[at as usize]);
            self.pixels[label as usize].push(at);
            let mean = means[means.binary_search_by_key(&label, |m| m.0).expect("every source was listed")].1;
            for next in self.grid.four(at as usize).filter(|n| self.labels[*n] == region) {
                let later = time + pace(self.plane[next], mean);
                front.push(Reverse((later, next as u32, label)));
            }
        }
    }

    fn step(&self, at: u32, label: u32) -> u64 {
        pace(self.plane[at as usize], self.sums[label as usize].mean())
    }

    fn neighbours(&self, front: &BinaryHeap<Reverse<(u64, u32, u32)>>) -> Vec<(u32, Even)> {
        let labels: BTreeSet<u32> = front.iter().map(|f| f.0.2).collect();
        labels.into_iter().map(|l| (l, self.sums[l as usize].mean())).collect()
    }
}

/// Time to take a pixel of `colour` into a region of colour `mean`, in thousandths.
fn pace(colour: Even, mean: Even) -> u64 {
    ((PACE + (apart(colour, mean) as f64).sqrt() / STEPS) * 1000.0) as u64
}
