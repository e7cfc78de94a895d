//! Circles that lie in a ring and fill most of it: each the largest that clears the ring and those before it.
//!
//! The next centre is found by halving squares, best first, with the most that a square can hold as the bound (the
//! widest-circle search known as the pole of inaccessibility; Gardeyn, Vanden Berghe and Wauters, arXiv 2509.13329, fill
//! outlines so). Thin tongues beyond the last circle weigh nothing in the overlap that the circles stand for.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::ring::{Spot, area, depth};

/// Circles are added until this share of the area is covered, or there are enough of them.
const COVERED: f64 = 0.9;
/// The most circles: more follow the outline better and cost time with the square of their number.
const MOST: usize = 16;
/// A circle below this share of the first is too small to matter.
const SMALLEST: f64 = 0.08;
/// How near the best centre is sought, as a share of the first square.
const NEAR: f64 = 0.01;

/// Centre and radius, µm.
pub(super) type Pole = [f64; 3];

struct Square {
    most: f64,
    here: f64,
    at: Spot,
    half: f64,
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Square {}
impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        let (x, y) = (self.at[0].total_cmp(&other.at[0]), self.at[1].total_cmp(&other.at[1]));
        self.most.total_cmp(&other.most).then(x).then(y)
    }
}

/// The circles of a ring, largest first.
pub(super) fn poles(ring: &[Spot]) -> Vec<Pole> {
    let whole = area(ring);
    let mut poles: Vec<Pole> = Vec::new();
    let mut covered = 0.0;
    while poles.len() < MOST && covered < COVERED * whole {
        let next = widest(ring, &poles);
        if next[2] <= 0.0 || poles.first().is_some_and(|first| next[2] < SMALLEST * first[2]) {
            break;
        }
        covered += std::f64::consts::PI * next[2] * next[2];
        poles.push(next);
    }
    poles
}

fn widest(ring: &[Spot], taken: &[Pole]) -> Pole {
    let room = |at: Spot| {
        let clear = |p: &Pole| ((at[0] - p[0]) * (at[0] - p[0]) + (at[1] - p[1]) * (at[1] - p[1])).sqrt() - p[2];
        taken.iter().map(clear).fold(depth(ring, at), f64::min)
    };
    let square = |at: Spot, half: f64| {
        let here = room(at);
        Square { most: here + half * std::f64::consts::SQRT_2, here, at, half }
    };
    let [left, top, right, bottom] = bounds(ring);
    let half = (right - left).max(bottom - top) / 2.0;
    let mut heap = BinaryHeap::from([square([(left + right) / 2.0, (top + bottom) / 2.0], half)]);
    let mut best = [0.0, 0.0, 0.0];
    while let Some(next) = heap.pop() {
        if next.most <= best[2] + NEAR * half {
            break;
        }
        if next.here > best[2] {
            best = [next.at[0], next.at[1], next.here];
        }
        let quarter = next.half / 2.0;
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            heap.push(square([next.at[0] + x * quarter, next.at[1] + y * quarter], quarter));
        }
    }
    best
}

/// Left, top, right, bottom of a ring.
pub(super) fn bounds(ring: &[Spot]) -> [f64; 4] {
    ring.iter().fold([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY], |b, p| {
        [b[0].min(p[0]), b[1].min(p[1]), b[2].max(p[0]), b[3].max(p[1])]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In a 3:1 rectangle three circles touch both long sides; every circle clears the ring and its fellows.
    #[test]
    fn a_bar_holds_a_row_of_circles() {
        let ring = [[0.0, 0.0], [30_000.0, 0.0], [30_000.0, 10_000.0], [0.0, 10_000.0]];
        let poles = poles(&ring);
        assert!((poles[0][2] - 5_000.0).abs() < 300.0 && poles.len() >= 4);
        for (i, a) in poles.iter().enumerate() {
            assert!(depth(&ring, [a[0], a[1]]) >= a[2] - 1e-6);
            for b in &poles[..i] {
                let apart = ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt();
                assert!(apart >= a[2] + b[2] - 1e-6);
            }
        }
    }
}
