//! Borders straightened pixel by pixel.
//!
//! A Potts model settled by iterated conditional modes (Besag 1986): a border pixel goes over to a neighbouring region when
//! that lowers colour error plus border length. Only simple points move (their going neither parts nor joins anything
//! among their eight neighbours), so every region stays 4-connected. It finds a minimum nearby, not the least one.

use super::even::{Even, STEPS, Sum, apart};
use super::grid::{Grid, NOBODY};

/// What the relaxation may do.
pub(super) struct Relaxation {
    /// Labels lie below this.
    pub count: u32,
    /// ΔE00 of one pixel that a pixel's side of border is worth. More gives shorter, rounder borders and more error.
    pub stiff: f64,
    /// Most sweeps over the borders; it ends earlier when nothing moves.
    pub sweeps: u32,
    /// Pixels that keep their region; empty for none.
    pub frozen: Vec<bool>,
    /// No region falls below this area, pixels.
    pub least_area: i64,
}

impl Relaxation {
    /// Without limits.
    pub fn free(count: u32, stiff: f64, sweeps: u32) -> Relaxation {
        Relaxation { count, stiff, sweeps, frozen: Vec::new(), least_area: 1 }
    }
}

/// Weight of a diagonal neighbour beside one that shares a side, so that slanted borders cost about their length.
const DIAGONAL: f64 = 0.7;

/// Moves border pixels of `labels` until nothing gains or the sweeps are used up.
pub(super) fn relax(grid: Grid, plane: &[Even], labels: &mut [u32], how: &Relaxation) {
    let mut sums = vec![Sum::default(); how.count as usize];
    labels.iter().zip(plane).filter(|(l, _)| **l != NOBODY).for_each(|(l, c)| sums[*l as usize].add(*c));
    let mut watched = borders(grid, labels);
    for _ in 0..how.sweeps {
        let means: Vec<Even> = sums.iter().map(|s| s.mean()).collect();
        let mut moved = false;
        for at in watched {
            let from = labels[at];
            if how.frozen.get(at) == Some(&true) || sums[from as usize].area <= how.least_area {
                continue;
            }
            if let Some(to) = better(grid, plane[at], labels, at, &means, how.stiff) {
                sums[from as usize].take(plane[at]);
                sums[to as usize].add(plane[at]);
                labels[at] = to;
                moved = true;
            }
        }
        if !moved {
            break;
        }
        watched = borders(grid, labels);
    }
}

fn borders(grid: Grid, labels: &[u32]) -> Vec<usize> {
    let differs = |at: usize| labels[at] != NOBODY && grid.four(at).any(|n| labels[n] != labels[at]);
    (0..grid.len()).filter(|at| differs(*at)).collect()
}

/// The neighbouring region that the pixel gains most by joining.
fn better(grid: Grid, colour: Even, labels: &[u32], at: usize, means: &[Even], stiff: f64) -> Option<u32> {
    let here = labels[at];
    let ring = grid.around(labels, at);
    if arcs(&ring, here) != 1 {
        return None;
    }
    let energy = |label: u32| {
        let error = (apart(colour, means[label as usize]) as f64).sqrt() / STEPS;
        error - stiff * alike(&ring, label)
    };
    let mut best = (energy(here), None);
    for label in [ring[0], ring[2], ring[4], ring[6]] {
        if label == here || label == NOBODY || arcs(&ring, label) != 1 {
            continue;
        }
        let gained = energy(label);
        if gained < best.0 - 1e-9 || (gained <= best.0 && best.1.is_some_and(|b| label < b)) {
            best = (gained, Some(label));
        }
    }
    best.1
}

/// How much of the ring is of `label`, weighted.
fn alike(ring: &[u32; 8], label: u32) -> f64 {
    let weight = |i: usize| if i.is_multiple_of(2) { 1.0 } else { DIAGONAL };
    (0..8).filter(|i| ring[*i] == label).map(weight).sum()
}

/// The arcs of `label` around a pixel that hold one of its four neighbours.
pub(super) fn arcs(ring: &[u32; 8], label: u32) -> usize {
    let is = |i: usize| ring[i % 8] == label;
    if (0..8).all(is) {
        return 1;
    }
    let starts = (0..8).filter(|i| is(*i) && !is(i + 7));
    starts.filter(|start| (*start..start + 8).take_while(|i| is(*i)).any(|i| i % 2 == 0)).count()
}
