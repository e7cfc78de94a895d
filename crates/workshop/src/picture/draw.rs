//! Regions drawn on the picture's own pixels: borders rounded there, necks and tails taken off, limits kept.

use super::base::discs;
use super::even::Even;
use super::flat::sharpened;
use super::grid::{Grid, NOBODY, number};
use super::limits::{Limits, absorb};
use super::relax::{Relaxation, arcs, relax};
use super::tree::Seen;
use super::trim::trim;
use super::widest::cores;

/// Radius of the disc that rounds borders, pixels. From 4 to 6 the cubics fall by 4 % at 200 pieces, and the colour error of 400
/// rises by 1 %.
const ROUND_REACH: usize = 6;

/// What that disc is worth, ΔE00, and the most pixels that borders move. From 12 to 30 the cubics fall from 4.0 to 3.1 in 10 mm
/// at 400 pieces and the colour error rises by 1.5 %.
const ROUND: (f64, u32) = (24.0, 8);

/// The same once necks are off, much stiffer: a drawn line would grow tongues a pixel wide again, while a true edge holds against
/// its own bend. Against 1e4: colour error 1.2 to 1.7 % less at 400 pieces, 14 narrow places in place of 7 on a drawing.
pub(super) const CALM: (f64, u32) = (100.0, 3);

/// The same between flat colours whose edges were put back: it evens the steps of soft edges and leaves tips.
const SHARP: (f64, u32) = (12.0, 3);

/// Most turns of taking necks off and sharing out on the picture's pixels.
const SETTLE: usize = 2;

/// Regions of blocks drawn on the picture's pixels that are `inside`, within limits in pixels; those of a `flat` picture get their
/// edges back.
pub(super) fn drawn(
    seen: &Seen,
    (labels, count): (&[u32], u32),
    (limits, flat): (Limits, bool),
    inside: &[bool],
) -> (Vec<u32>, u32) {
    let fine = seen.leaves.blocks.fine;
    let of = on_pixels(seen, (labels, count), inside);
    // Rounding parts nothing: what it would have pinched off still hangs by a pixel.
    let numbered = |(of, count): (Vec<u32>, u32)| number(&of, &(0..count).collect::<Vec<_>>());
    let (mut of, mut count) = numbered(settled(fine, &seen.plane, (of, count), (limits, SETTLE)));
    let middles: Vec<usize> = cores(fine, &of, count).into_iter().map(|core| core.1).collect();
    let frozen = discs(fine, &of, &middles, limits);
    rounded(seen, &mut of, (count, frozen.clone()), CALM);
    if flat && sharp(seen, &mut of, (count, frozen)) {
        (of, count) = numbered(settled(fine, &seen.plane, (of, count), (limits.sharp(), SETTLE)));
    }
    (of, count)
}

/// The label of each pixel of the picture, borders rounded.
fn on_pixels(seen: &Seen, (labels, count): (&[u32], u32), inside: &[bool]) -> Vec<u32> {
    let blocks = &seen.leaves.blocks;
    let cores = cores(blocks.grid, labels, count);
    let middles: Vec<usize> = cores.into_iter().map(|core| core.1).collect();
    let frozen = blocks.spread_marks(&discs(blocks.grid, labels, &middles, seen.limits));
    let mut labels = blocks.spread(labels);
    silhouette(blocks.fine, inside, &frozen, &mut labels);
    if let Some(strokes) = &seen.strokes {
        strokes.settle(blocks.fine, inside, &mut labels);
    }
    rounded(seen, &mut labels, (count, frozen), ROUND);
    labels
}

/// Rounds borders on the picture's pixels; what is frozen keeps its region.
pub(super) fn rounded(seen: &Seen, labels: &mut [u32], (count, frozen): (u32, Vec<bool>), (stiff, sweeps): (f64, u32)) {
    let blocks = &seen.leaves.blocks;
    let least_area = seen.limits.on_pixels(blocks.side).area;
    let frozen = seen.strokes.as_ref().map_or(frozen.clone(), |strokes| strokes.held(frozen));
    let how = Relaxation { count, stiff, reach: ROUND_REACH, sweeps, frozen, least_area, hairless: true };
    relax(blocks.fine, &seen.plane, labels, &how);
}

/// Puts edges between flat colours back; whether any were off. What is frozen keeps its region.
pub(super) fn sharp(seen: &Seen, labels: &mut [u32], (count, frozen): (u32, Vec<bool>)) -> bool {
    let blocks = &seen.leaves.blocks;
    let Some(frozen) = sharpened(blocks.fine, &seen.plane, labels, (count, &frozen)) else { return false };
    let least_area = seen.limits.on_pixels(blocks.side).area;
    let (stiff, sweeps) = SHARP;
    let how = Relaxation { count, stiff, reach: ROUND_REACH, sweeps, frozen, least_area, hairless: true };
    relax(blocks.fine, &seen.plane, labels, &how);
    true
}

/// Necks and tails off, limits kept, by turns: what is shared out can hang on its new region by a neck.
pub(super) fn settled(
    grid: Grid,
    plane: &[Even],
    (mut labels, mut count): (Vec<u32>, u32),
    (limits, turns): (Limits, usize),
) -> (Vec<u32>, u32) {
    for turn in 0..turns {
        let before = (turn + 1 < turns).then(|| labels.clone());
        count = trim(grid, plane, &mut labels, count, limits);
        absorb(grid, plane, &mut labels, count, limits);
        if before.is_some_and(|before| labels == before) {
            break;
        }
    }
    (labels, count)
}

/// Takes the edge of the ground from blocks to the picture's pixels.
fn silhouette(grid: Grid, inside: &[bool], frozen: &[bool], labels: &mut [u32]) {
    for _ in 0..2 {
        for at in (0..grid.len()).filter(|at| inside[*at] == (labels[*at] == NOBODY)).collect::<Vec<_>>() {
            if inside[at] {
                let beside = grid.four(at).map(|n| labels[n]).filter(|l| *l != NOBODY).min();
                labels[at] = beside.unwrap_or(NOBODY);
            } else if !frozen[at] && arcs(&grid.around(labels, at), labels[at]) == 1 {
                labels[at] = NOBODY;
            }
        }
    }
}
