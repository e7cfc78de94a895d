//! Leaves: the basins of the gradient.
//!
//! Flooding from the plateaus that are local minima through a bucket queue (Meyer 1991), 4-connected, without dams: every
//! pixel of the subject gets a basin. A slope of even steepness is one basin however far its colour runs, so basins that
//! hold too many colours are parted along a coarse grid; the relaxation afterwards moves those straight borders.

use super::even::Even;
use super::gradient::TOP;
use super::graph::Sight;
use super::grid::{Grid, NOBODY, components, parted as parted_by};

/// A basin whose colours spread further than this (steps of `even`) along an axis is parted: about 4 units of ΔE00.
const SPREAD: i16 = 1024;

/// The side of the grid that parts such basins, pixels. Finer costs merging time and gains nothing visible.
const CELL: usize = 16;

/// The leaf of each pixel, `NOBODY` outside the subject, and how many there are.
/// None reaches from one closed area of ink into another.
pub(super) fn leaves(grid: Grid, sight: Sight, inside: &[bool]) -> (Vec<u32>, u32) {
    let Sight { plane, levels, cells, .. } = sight;
    let mut basins = minima(grid, levels, inside);
    flood(grid, levels, inside, &mut basins);
    let spread = spreads(&basins, plane);
    let keys: Vec<u32> = (0..grid.len()).map(|at| parted(grid, &basins, &spread, at)).collect();
    components(grid, &if cells.is_empty() { keys } else { parted_by(&keys, cells) })
}

/// A basin's own number, or one of its cell when it is parted. Components are taken afterwards, so two basins that hash
/// alike in cells would have to touch to be joined: cells carry the basin's number in full.
fn parted(grid: Grid, basins: &[u32], spread: &[bool], at: usize) -> u32 {
    let basin = basins[at];
    if basin == NOBODY || !spread[basin as usize] {
        return basin;
    }
    let cell = (at % grid.width / CELL % 2 + at / grid.width / CELL % 2 * 2) as u32;
    basin + (cell + 1) * (spread.len() as u32)
}

fn spreads(basins: &[u32], plane: &[Even]) -> Vec<bool> {
    let count = basins.iter().filter(|b| **b != NOBODY).max().map_or(0, |b| *b as usize + 1);
    let mut range = vec![([i16::MAX; 3], [i16::MIN; 3]); count];
    for (basin, colour) in basins.iter().zip(plane).filter(|(b, _)| **b != NOBODY) {
        let (low, high) = &mut range[*basin as usize];
        for k in 0..3 {
            low[k] = low[k].min(colour[k]);
            high[k] = high[k].max(colour[k]);
        }
    }
    range.iter().map(|(low, high)| (0..3).any(|k| high[k] - low[k] > SPREAD)).collect()
}

/// Plateaus without a lower neighbour, numbered in reading order.
fn minima(grid: Grid, levels: &[u16], inside: &[bool]) -> Vec<u32> {
    let mut basins = vec![NOBODY; grid.len()];
    let mut seen = vec![false; grid.len()];
    let mut count = 0;
    let mut plateau = Vec::new();
    for first in 0..grid.len() {
        if seen[first] || !inside[first] {
            continue;
        }
        if is_minimum(grid, levels, inside, first, &mut seen, &mut plateau) {
            plateau.iter().for_each(|at| basins[*at] = count);
            count += 1;
        }
    }
    basins
}

/// Fills `plateau` with the level pixels joined to `first`; whether none of them has a lower neighbour.
fn is_minimum(
    grid: Grid,
    levels: &[u16],
    inside: &[bool],
    first: usize,
    seen: &mut [bool],
    plateau: &mut Vec<usize>,
) -> bool {
    plateau.clear();
    plateau.push(first);
    seen[first] = true;
    let mut lowest = true;
    let mut done = 0;
    while let Some(&at) = plateau.get(done) {
        done += 1;
        for next in grid.four(at).filter(|n| inside[*n]) {
            lowest &= levels[next] >= levels[at];
            if levels[next] == levels[at] && !seen[next] {
                seen[next] = true;
                plateau.push(next);
            }
        }
    }
    lowest
}

fn flood(grid: Grid, levels: &[u16], inside: &[bool], basins: &mut [u32]) {
    let mut buckets: Vec<Vec<usize>> = vec![Vec::new(); usize::from(TOP) + 1];
    (0..grid.len()).filter(|at| basins[*at] != NOBODY).for_each(|at| buckets[usize::from(levels[at])].push(at));
    for level in 0..buckets.len() {
        let mut done = 0;
        while let Some(&at) = buckets[level].get(done) {
            done += 1;
            for next in grid.four(at) {
                if inside[next] && basins[next] == NOBODY {
                    basins[next] = basins[at];
                    buckets[level.max(usize::from(levels[next]))].push(next);
                }
            }
        }
        buckets[level] = Vec::new();
    }
}
