//! What the skeleton parts stays parted.

use std::collections::BTreeSet;

use super::super::grid::{NOBODY, components};
use super::pen::{place, straight, within};
use super::{Ink, mask};

/// Skeleton that lies farther from every line than so many half pens may part what no line does; tried one after the other.
const AWAY: [f64; 5] = [0.7, 0.4, 0.2, 0.1, 0.0];

/// Gives the skeleton back between areas that it parts and the lines do not: first only where it lies far from every line, then
/// nearer, until they are parted.
pub(super) fn keep_apart(ink: Ink, bones: &[bool], lines: &mut [bool]) {
    let grid = ink.grid;
    let (wanted, _) = parts(ink, bones);
    for away in AWAY {
        let joined = joined(ink, &wanted, lines);
        if joined.is_empty() {
            return;
        }
        let parting = |at: usize| {
            let beside: Vec<u32> = grid.eight(at).map(|n| wanted[n]).filter(|w| *w != NOBODY).collect();
            beside.iter().any(|a| beside.iter().any(|b| joined.contains(&(*a, *b))))
        };
        let reach = away * ink.half;
        let known = lines.to_vec();
        let to_line = mask::squares(grid, &known.iter().map(|line| !line).collect::<Vec<_>>());
        let far_off = |at: usize| f64::from(to_line[at]) > reach * reach;
        for at in (0..grid.len()).filter(|at| bones[*at] && far_off(*at) && parting(*at)) {
            lines[at] = true;
            if grid.eight(at).any(|n| bones[n] && !far_off(n))
                && let Some(met) = closest(grid, &known, at, reach + 3.0)
            {
                straight(grid, place(grid, at), place(grid, met), lines);
            }
        }
    }
    if !joined(ink, &wanted, lines).is_empty() {
        lines.iter_mut().zip(bones).for_each(|(line, bone)| *line |= bone);
    }
}

/// What lines and dark areas part.
fn parts(ink: Ink, lines: &[bool]) -> (Vec<u32>, u32) {
    let keys: Vec<u32> =
        lines.iter().zip(ink.dark).map(|(line, dark)| if *line || *dark { NOBODY } else { 0 }).collect();
    components(ink.grid, &keys)
}

/// The pairs of areas whose paper the lines do not part.
fn joined(ink: Ink, wanted: &[u32], lines: &[bool]) -> BTreeSet<(u32, u32)> {
    let (found, count) = parts(ink, lines);
    let mut held: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); count as usize];
    for at in (0..found.len()).filter(|at| !ink.marks[*at] && found[*at] != NOBODY && wanted[*at] != NOBODY) {
        held[found[at] as usize].insert(wanted[at]);
    }
    held.iter()
        .flat_map(|set| set.iter().flat_map(move |a| set.iter().map(move |b| (*a, *b))))
        .filter(|(a, b)| a < b)
        .collect()
}

/// The marked pixel nearest to another, when one is within reach.
fn closest(grid: super::super::grid::Grid, marks: &[bool], at: usize, reach: f64) -> Option<usize> {
    within(grid, at, reach).filter(|(_, n)| marks[*n]).min().map(|(_, n)| n)
}
