//! Regions around areas that are held: the picture is traced again, and what the maker has touched stays.
//!
//! Held areas are cut out of the map like ground; what is left of regions there is brought within the limits again, and
//! then merged to the number that is wanted beside them.

use measure::Watch;

use super::base::discs;
use super::draw::{on_pixels, settled};
use super::gather::merges;
use super::graph::Graph;
use super::grid::{Grid, NOBODY, components, number};
use super::limits::absorb;
use super::places::weights;
use super::regions::{finish, swallowed};
use super::relax::{Relaxation, relax};
use super::tree::{Seen, Tree};
use super::widest::cores;
use super::{Labels, Regions};
use crate::work::{AreaId, Size, Stock, TraceChoices};

/// Most blocks that a border moves from where the base has it.
const SWEEPS: u32 = 3;

/// Radius of the disc that borders are smoothed with, blocks, and what it is worth, ΔE00.
const REACH: usize = 2;
const STIFF: f64 = 14.0;

/// Traces around what is held: `held` says by pixel the id of the held area, 0 for none. Also gives by label which area is
/// held there.
pub fn regions_around(
    tree: &Tree,
    panel: Size,
    choices: &TraceChoices,
    stock: &Stock,
    held: &Labels,
    watch: Watch,
) -> (Regions, Vec<Option<AreaId>>) {
    let (seen, blocks) = (&tree.seen, tree.seen.leaves.blocks);
    let mut kept: Vec<u32> = held.of.clone();
    kept.sort_unstable();
    kept.dedup();
    let beside = kept.iter().filter(|id| **id != 0).count();
    let asked = (choices.pieces as usize).saturating_sub(beside).max(1);
    watch.tell("finding regions", 0.8);
    let free: Vec<bool> = held.of.iter().map(|id| *id == 0).collect();
    let free_blocks = blocks.inside(&free);
    let cut: Vec<u32> = blocks
        .picked(&tree.base.of)
        .iter()
        .zip(&free_blocks)
        .map(|(l, free)| if *free { *l } else { NOBODY })
        .collect();
    let (mut labels, count) = components(blocks.grid, &cut);
    absorb(blocks.grid, &seen.leaves.plane, &mut labels, count, seen.limits.kept());
    let weights = weights(blocks.grid, panel, &choices.places);
    let (labels, count) = merge_to(seen, (&labels, count), asked, &weights);
    let (labels, count) = smoothed(seen, labels, count);
    let (labels, count) = merge_to(seen, (&labels, count), asked, &weights);
    watch.tell("finding regions", 0.9);
    let mut labels = on_pixels(seen, &labels, count, Some(&free));
    put_held(blocks.fine, &seen.inside, &held.of, count, &mut labels);
    let most = count + kept.last().copied().unwrap_or(0) + 1;
    let found = finish(blocks.fine, labels, most, swallowed(seen, choices.pieces as usize, panel, stock));
    let owners = owners(&found, held);
    watch.tell("finding regions", 1.0);
    (found, owners)
}

/// By label, which held area lies there.
pub(super) fn owners(found: &Regions, held: &Labels) -> Vec<Option<AreaId>> {
    let mut owners = vec![None; found.ground.len()];
    for (label, id) in found.labels.of.iter().zip(&held.of) {
        owners[*label as usize] = (*id != 0).then_some(AreaId(*id));
    }
    owners
}

/// Borders smoothed, tails and necks off, limits kept.
fn smoothed(seen: &Seen, mut labels: Vec<u32>, count: u32) -> (Vec<u32>, u32) {
    let (leaves, limits) = (&seen.leaves, seen.limits);
    let grid = leaves.blocks.grid;
    let middles: Vec<usize> = cores(grid, &labels, count).into_iter().map(|core| core.1).collect();
    let frozen = leaves.held(discs(grid, &labels, &middles, limits));
    let how = Relaxation {
        count,
        stiff: STIFF,
        reach: REACH,
        sweeps: SWEEPS,
        frozen,
        least_area: limits.area,
        hairless: false,
    };
    relax(grid, &leaves.plane, &mut labels, &how);
    settled(grid, &leaves.plane, (labels, count), (limits.kept(), 1))
}

fn merge_to(seen: &Seen, (labels, count): (&[u32], u32), asked: usize, weights: &[f32]) -> (Vec<u32>, u32) {
    let leaves = &seen.leaves;
    let mut graph = Graph::of_pieces(leaves.blocks.grid, (labels, count), leaves.sight(), seen.limits.width);
    graph.weigh(labels, weights);
    number(labels, &merges(graph, count, asked))
}

/// Held pixels get labels of their own past `count`; free ones that blocks left without a region go to a neighbour.
pub(super) fn put_held(grid: Grid, inside: &[bool], held: &[u32], count: u32, labels: &mut [u32]) {
    for at in 0..grid.len() {
        if held[at] != 0 {
            labels[at] = count + held[at];
        }
    }
    let lost = |labels: &[u32], at: usize| labels[at] == NOBODY && inside[at];
    let mut open: Vec<usize> = (0..grid.len()).filter(|at| lost(labels, *at)).collect();
    let mut any = true;
    while any && !open.is_empty() {
        any = false;
        let mut left = Vec::new();
        for at in open {
            let beside = grid.four(at).map(|next| labels[next]).filter(|label| *label < count).min();
            match beside {
                Some(label) => (labels[at], any) = (label, true),
                None => left.push(at),
            }
        }
        open = left;
    }
}
