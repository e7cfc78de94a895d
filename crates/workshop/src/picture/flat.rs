//! Edges between flat colours where they are seen: what rounded the borders of a photograph has worn off tips and junctions.
//!
//! A flat region shows one colour, as in a poster. Between two of them a pixel's own colour says on which side it lies: it goes
//! to the nearer one when it is a mixture of both. Only simple points move, so every region stays 4-connected.

use super::even::{Even, STEPS, Sum, apart};
use super::grid::{Grid, NOBODY};
use super::relax::arcs;

/// A region is flat when so many of its pixels lie so near to its colour, ΔE00.
const SHARE: f64 = 0.75;
const NEAR: f64 = 3.0;

/// And a picture is when so many of its pixels do: posters have 0.97 and more, drawings with ink 0.89, photographs under 0.5.
const WHOLE: f64 = 0.94;

/// Its colour is the mean of what lies within this of the mean of all, ΔE00: what was shared out to it has others.
const OWN: f64 = 8.0;

/// Colours nearer than this leave an edge in doubt, ΔE00.
const APART: f64 = 8.0;

/// A pixel is a mixture of two colours when the way over it is at most so much longer than the straight one between them.
const MIXED: f64 = 1.15;

/// And it is nearer to one of them by this at least, ΔE00.
const NEARER: f64 = 1.0;

/// Moves border pixels between flat regions to the one whose colour they have, but for what is `frozen`. Gives by pixel whether it
/// stays from then on: what was frozen, and what has another colour than the regions beside it, as a line that is no region has;
/// `None` when none moved.
pub(super) fn sharpened(
    grid: Grid,
    plane: &[Even],
    labels: &mut [u32],
    (count, frozen): (u32, &[bool]),
) -> Option<Vec<bool>> {
    let colours = flat(plane, labels, count);
    let colour = |label: u32| Some(label).filter(|label| *label != NOBODY).and_then(|label| colours[label as usize]);
    let off = |a: Even, b: Even| (apart(a, b) as f64).sqrt() / STEPS;
    let mixed = |at: usize, own: Even, other: Even| {
        let between = off(own, other);
        between >= APART && off(plane[at], own) + off(plane[at], other) <= MIXED * between
    };
    let better = |labels: &[u32], at: usize| -> Option<u32> {
        let (from, own) = (labels[at], colour(labels[at]).filter(|_| frozen.get(at) != Some(&true))?);
        let ring = grid.around(labels, at);
        let claims = [ring[0], ring[2], ring[4], ring[6]].into_iter().filter(|to| *to != from).filter_map(|to| {
            let other = colour(to)?;
            let nearer = off(plane[at], other) + NEARER <= off(plane[at], own) && mixed(at, own, other);
            (nearer && arcs(&ring, from) == 1 && arcs(&ring, to) == 1).then_some((off(plane[at], other), to))
        });
        claims.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map(|claim| claim.1)
    };
    let mut open: Vec<usize> = (0..grid.len()).filter(|at| better(labels, *at).is_some()).collect();
    if open.is_empty() {
        return None;
    }
    while !open.is_empty() {
        let mut next = Vec::new();
        for at in open {
            if let Some(to) = better(labels, at) {
                labels[at] = to;
                next.extend(grid.eight(at));
            }
        }
        next.sort_unstable();
        next.dedup();
        open = next;
    }
    let stays = |at: usize| {
        let Some(own) = colour(labels[at]) else { return true };
        let mut beside = grid.eight(at).map(|n| labels[n]).filter(|label| *label != labels[at]);
        let known = within(plane[at], own, NEAR) || beside.any(|to| colour(to).is_some_and(|of| mixed(at, own, of)));
        frozen.get(at) == Some(&true) || !known
    };
    Some((0..grid.len()).map(stays).collect())
}

/// Whether a picture shows little but flat colours, by the large regions of it.
pub(super) fn is_flat(plane: &[Even], labels: &[u32], count: u32) -> bool {
    let colours = own_colours(plane, labels, count);
    let all = labels.iter().zip(plane).filter(|(label, _)| **label != NOBODY);
    let (mut near, mut of) = (0u64, 0u64);
    for (label, colour) in all {
        near += u64::from(within(*colour, colours[*label as usize], NEAR));
        of += 1;
    }
    near as f64 >= WHOLE * of as f64
}

fn within(colour: Even, of: Even, most: f64) -> bool {
    apart(colour, of) as f64 <= (most * STEPS) * (most * STEPS)
}

/// By region the mean of what lies near the mean of all.
fn own_colours(plane: &[Even], labels: &[u32], count: u32) -> Vec<Even> {
    let pixels = || labels.iter().copied().zip(plane.iter().copied()).filter(|(label, _)| *label != NOBODY);
    let mut sums = vec![Sum::default(); count as usize];
    pixels().for_each(|(label, colour)| sums[label as usize].add(colour));
    let means: Vec<Even> = sums.iter().map(|sum| sum.mean()).collect();
    let mut own = vec![Sum::default(); count as usize];
    pixels()
        .filter(|(label, colour)| within(*colour, means[*label as usize], OWN))
        .for_each(|(label, colour)| own[label as usize].add(colour));
    own.iter().map(|sum| sum.mean()).collect()
}

/// By region its colour, where it is flat.
fn flat(plane: &[Even], labels: &[u32], count: u32) -> Vec<Option<Even>> {
    let colours = own_colours(plane, labels, count);
    let mut near = vec![(0u32, 0u32); count as usize];
    for (label, colour) in labels.iter().zip(plane).filter(|(label, _)| **label != NOBODY) {
        let of = &mut near[*label as usize];
        *of = (of.0 + u32::from(within(*colour, colours[*label as usize], NEAR)), of.1 + 1);
    }
    let is_flat = |label: usize| near[label].1 > 0 && f64::from(near[label].0) >= SHARE * f64::from(near[label].1);
    colours.into_iter().enumerate().map(|(label, colour)| is_flat(label).then_some(colour)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sharp sail of flat colour whose tip was rounded off and whose edge bulges, and the same with grain over it.
    #[test]
    fn flat_colours_get_their_edges_back_and_others_keep_theirs() {
        let grid = Grid { width: 120, height: 90 };
        let place = |at: usize| ((at % 120) as f64, (at / 120) as f64);
        let sail = |at: usize| {
            let (x, y) = place(at);
            (10.0..80.0).contains(&y) && (x - 60.0).abs() <= (y - 10.0) / 4.0
        };
        let worn = |at: usize| {
            let (x, y) = place(at);
            sail(at) && y > 22.0 || libm::hypot(x - 60.0, y - 26.0) < 5.0
        };
        for (grain, comes_back) in [(0, true), (9, false)] {
            let noise =
                |at: usize| i16::try_from(at.wrapping_mul(2_654_435_761) >> 20 & 1).expect("0 or 1") * 256 * grain;
            let colour = |at: usize| if sail(at) { [12_000 + noise(at), 0, 0] } else { [6000, noise(at), -3000] };
            let plane: Vec<Even> = (0..grid.len()).map(colour).collect();
            let mut labels: Vec<u32> = (0..grid.len()).map(|at| u32::from(worn(at))).collect();
            let before = labels.clone();
            assert_eq!(sharpened(grid, &plane, &mut labels, (2, &[])).is_some(), comes_back);
            let wrong = |labels: &[u32]| (0..grid.len()).filter(|at| labels[*at] != u32::from(sail(*at))).count();
            assert!(wrong(&before) > 20);
            assert_eq!(wrong(&labels), if comes_back { 0 } else { wrong(&before) });
        }
    }
}
