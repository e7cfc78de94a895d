//! Regions around areas that are held: the picture is traced again, and what the maker has touched stays.
//!
//! Held areas are cut out of the map like ground; what is left of regions there is brought within the limits again, and
//! then merged to the number that is wanted beside them.

use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;

use super::base::discs;
use super::draw::{drawn, settled};
use super::gather::merges;
use super::graph::Graph;
use super::grid::{Grid, NOBODY, components, number};
use super::limits::{Limits, absorb};
use super::places::weights;
use super::regions::{finish, swallowed};
use super::relax::{Relaxation, relax};
use super::subject::speck;
use super::tree::{Seen, Tree};
use super::widest::{cores, diameter};
use super::{Labels, Regions};
use crate::work::{AreaId, Size, Stock, TraceChoices};

/// Most blocks that a border moves from where the base has it.
const SWEEPS: u32 = 3;

/// Radius of the disc that borders are smoothed with, blocks, and what it is worth, ΔE00.
const REACH: usize = 2;
const STIFF: f64 = 14.0;

/// Crumbs of so small a share of a speck change sides before others.
const TINY: u32 = 8;

/// A fitted border strays from the pixels by less than this many.
const STRAY: f64 = 4.0;

/// Whether a part of so large a squared half width and so many pixels is a crumb.
type IsCrumb<'a> = &'a dyn Fn(u32, u32) -> bool;

/// What is held of the areas that pixels lie in: the id of the held area, 0 for none. A free area that is narrower than a pixel
/// somewhere falls into parts there; all but its largest count as held, as the border to the others is not to be seen.
pub fn held_of(areas: Labels, held: &BTreeSet<AreaId>) -> Labels {
    let grid = Grid::new(areas.width, areas.height);
    let is_held = |id: u32| held.contains(&AreaId(id));
    let keys: Vec<u32> = areas.of.iter().map(|id| if is_held(*id) { NOBODY } else { 0 }).collect();
    let (parts, count) = components(grid, &keys);
    let mut sizes: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for (part, id) in parts.iter().zip(&areas.of).filter(|(part, _)| **part != NOBODY) {
        *sizes.entry((*id, *part)).or_default() += 1;
    }
    let mut largest: BTreeMap<u32, (u32, u32)> = BTreeMap::new();
    for ((id, part), size) in sizes {
        let best = largest.entry(id).or_default();
        *best = (*best).max((size, part));
    }
    let mut whole = vec![false; count as usize];
    largest.values().for_each(|(_, part)| whole[*part as usize] = true);
    let crumb = |at: &usize| parts[*at] != NOBODY && !whole[parts[*at] as usize];
    let mut of: Vec<u32> = areas.of.iter().map(|id| if is_held(*id) { *id } else { 0 }).collect();
    let mut open: Vec<usize> = (0..grid.len()).filter(crumb).collect();
    while !open.is_empty() {
        let beside = |at: usize| grid.four(at).map(|next| of[next]).filter(|id| *id != 0).min();
        let found: Vec<(usize, Option<u32>)> = open.iter().map(|at| (*at, beside(*at))).collect();
        found.iter().for_each(|(at, id)| of[*at] = id.unwrap_or(0));
        let left: Vec<usize> = found.iter().filter(|(_, id)| id.is_none()).map(|(at, _)| *at).collect();
        if left.len() == open.len() {
            break;
        }
        open = left;
    }
    Labels { of, ..areas }
}

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
    let limits = seen.limits.on_pixels(blocks.side).kept();
    let free: Vec<bool> = held.of.iter().map(|id| *id == 0).collect();
    let bare = Limits::bare(blocks.fine, panel, stock);
    // What the limits made ground stays so.
    let subject: Vec<bool> = tree.base.of.iter().map(|region| *region != NOBODY).collect();
    let inside = without_crumbs(blocks.fine, (&subject, &free), bare, speck(blocks.fine, panel));
    let free: Vec<bool> = free.iter().zip(&inside).map(|(free, inside)| *free && *inside).collect();
    let free_blocks = blocks.inside(&free);
    let cut: Vec<u32> = blocks
        .picked(&tree.base.of)
        .iter()
        .zip(&free_blocks)
        .map(|(l, free)| if *free { *l } else { NOBODY })
        .collect();
    let (mut labels, count) = components(blocks.grid, &cut);
    absorb(blocks.grid, &seen.leaves.plane, &mut labels, count, seen.limits.kept());
    let by_held: Vec<bool> = blocks.picked(&held.of).iter().map(|id| *id != 0).collect();
    let bare = Limits::bare(blocks.grid, panel, stock);
    without_strays(blocks.grid, (&mut labels, count), &by_held, bare);
    let weights = weights(blocks.grid, panel, &choices.places);
    let (labels, count) = merge_to(seen, (&labels, count), asked, &weights);
    let (labels, count) = smoothed(seen, labels, count);
    let (labels, count) = merge_to(seen, (&labels, count), asked, &weights);
    watch.tell("finding regions", 0.9);
    let (mut labels, count) = drawn(seen, (&labels, count), (limits, tree.base.flat), &free);
    put_held(blocks.fine, &inside, &held.of, count, &mut labels);
    let most = count + kept.last().copied().unwrap_or(0) + 1;
    let found = finish(blocks.fine, labels, most, swallowed(seen, choices.pieces as usize, panel, stock));
    let owners = owners(&found, held);
    watch.tell("finding regions", 1.0);
    (found, owners)
}

/// What is subject once crumbs have changed sides that lie beside what is held and the edge of the subject: what is under the limits
/// becomes ground, and ground under a speck or no wider than pixels stray becomes subject; what is much smaller, first. What lies
/// between held areas alone stays.
fn without_crumbs(grid: Grid, (inside, free): (&[bool], &[bool]), limits: Limits, speck: u32) -> Vec<bool> {
    let mut inside = inside.to_vec();
    let tiny = |_: u32, area: u32| area < speck / TINY;
    let small = |square: u32, area: u32| !limits.pass(square, i64::from(area));
    let narrow = |square: u32, area: u32| area < speck || diameter(square) < STRAY;
    let turns: [(bool, IsCrumb); 4] = [(true, &tiny), (false, &tiny), (true, &small), (false, &narrow)];
    for (side, is_crumb) in turns {
        let keys: Vec<u32> =
            (0..grid.len()).map(|at| if free[at] && inside[at] == side { 0 } else { NOBODY }).collect();
        let (parts, count) = components(grid, &keys);
        let cores = cores(grid, &parts, count);
        let mut areas = vec![(0, false, false); count as usize];
        for (at, part) in parts.iter().enumerate().filter(|(_, part)| **part != NOBODY) {
            let (area, beside, by_held) = &mut areas[*part as usize];
            *area += 1;
            *beside |= grid.four(at).any(|next| free[next] && inside[next] != side);
            *by_held |= grid.four(at).any(|next| !free[next]);
        }
        let crumb = |((area, beside, by_held), core): (&(u32, bool, bool), &(u32, usize))| {
            *beside && *by_held && is_crumb(core.0, *area)
        };
        let crumbs: Vec<bool> = areas.iter().zip(&cores).map(crumb).collect();
        for (inside, part) in inside.iter_mut().zip(&parts).filter(|(_, part)| **part != NOBODY) {
            *inside ^= crumbs[*part as usize];
        }
    }
    inside
}

/// Regions under the limits with nothing but ground around them, or held areas and ground, become ground.
fn without_strays(grid: Grid, (labels, count): (&mut [u32], u32), held: &[bool], limits: Limits) {
    let mut areas = vec![(0i64, false, false); count as usize];
    for (at, label) in labels.iter().enumerate().filter(|(_, label)| **label != NOBODY) {
        let (area, by_ground, by_other) = &mut areas[*label as usize];
        *area += 1;
        *by_ground |= grid.four(at).any(|next| labels[next] == NOBODY && !held[next]);
        *by_other |= grid.four(at).any(|next| labels[next] != NOBODY && labels[next] != *label);
    }
    let is_stray = |((area, by_ground, by_other), core): (&(i64, bool, bool), (u32, usize))| {
        *by_ground && !by_other && !limits.pass(core.0, *area)
    };
    let strays: Vec<bool> = areas.iter().zip(cores(grid, labels, count)).map(is_stray).collect();
    for label in labels.iter_mut().filter(|label| **label != NOBODY) {
        if strays[*label as usize] {
            *label = NOBODY;
        }
    }
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
