//! A draft's regions: regions of the base merged to the number asked, their borders fitted to their new colours.
//!
//! Merging whole regions of the base keeps every limit and is quick. Larger regions have other mean colours, so borders are
//! smoothed a few blocks on, tails and necks that this or a merge left are taken off, and what falls under a limit by it is
//! shared out. At last the borders are drawn on the picture's own pixels and rounded there.

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;

use super::base::discs;
use super::even::Even;
use super::graph::Graph;
use super::grid::{Grid, NOBODY, components, number};
use super::limits::{Limits, absorb, cores};
use super::places::weights;
use super::relax::{Relaxation, arcs, relax};
use super::tree::Tree;
use super::trim::trim;
use super::widest::diameter;
use super::{Labels, Regions};
use crate::work::{Size, Stock, Swallowed, TraceChoices};

/// One region in this many more than asked is kept until tails are off, for those that fall under the limits by it.
const SPARE: usize = 16;

/// Most turns of taking necks off and sharing out.
const SETTLE: usize = 3;

/// Most blocks that a border moves in a draft from where the base has it. More follows the colours of few pieces better, and
/// their borders then lie off those of more pieces.
const DRAFT_SWEEPS: u32 = 3;

/// Radius of the disc that a draft's borders are smoothed with, blocks, and what it is worth, ΔE00. Against the eight
/// neighbours alone: 1.6 % less colour error at 50 pieces of the coffee, and borders nearer to those of more pieces.
const DRAFT_REACH: usize = 2;
const DRAFT_STIFF: f64 = 14.0;

/// Radius of the disc that rounds borders, pixels.
const ROUND_REACH: usize = 4;

/// What that disc is worth, ΔE00, and the most pixels that borders move. From 12 to 30 the cubics fall from 4.0 to 3.1 in 10 mm
/// at 400 pieces and the colour error rises by 1.5 %.
const ROUND: (f64, u32) = (24.0, 8);

/// The same once necks are off, much stiffer: a drawn line would grow tongues a pixel wide again, while a true edge holds against
/// its own bend. Against 1e4: colour error 1.2 to 1.7 % less at 400 pieces, 14 narrow places in place of 7 on a drawing.
const CALM: (f64, u32) = (100.0, 3);

/// Merges the base to about `choices.pieces` regions, each within the stock's limits. Ground is not counted. `None` when
/// stopped.
pub fn regions(tree: &Tree, panel: Size, choices: &TraceChoices, stock: &Stock, watch: Watch) -> Option<Regions> {
    let going = || (!watch.stopped()).then_some(());
    let asked = choices.pieces.max(1) as usize;
    watch.tell("finding regions", 0.8);
    let weights = weights(tree.leaves.blocks.grid, panel, &choices.places);
    let (mut labels, count, middles) = merged(tree, asked + asked.div_ceil(SPARE), &weights);
    let limits = tree.base.limits;
    relaxed(tree, &mut labels, count, &middles);
    going()?;
    let (mut labels, mut count) = trimmed(tree, labels, count, limits);
    // A merge over a short common border leaves a neck, a neck taken off may leave two regions: a few turns settle it.
    for _ in 0..SETTLE {
        going()?;
        let merged = merge_to(tree, (&labels, count), asked + asked.div_ceil(SPARE), &weights);
        (labels, count) = trimmed(tree, merged.0, merged.1, limits);
    }
    watch.tell("finding regions", 0.9);
    let labels = on_pixels(tree, &labels, count, None);
    going()?;
    // Rounding parts nothing: what it would have pinched off still hangs by a pixel.
    let blocks = &tree.leaves.blocks;
    let fine = limits.on_pixels(blocks.side);
    let (labels, count) = settled(blocks.fine, &tree.plane, (labels, count), (fine, SETTLE));
    let (mut labels, count) = fewer(tree, (&labels, count), asked, &weights);
    going()?;
    let middles: Vec<usize> = cores(blocks.fine, &labels, count).into_iter().map(|core| core.1).collect();
    let frozen = discs(blocks.fine, &labels, &middles, fine);
    rounded(tree, &mut labels, (count, frozen), CALM);
    let swallowed = swallowed(tree, asked, panel, stock);
    watch.tell("finding regions", 1.0);
    Some(finish(tree.leaves.blocks.fine, labels, count, swallowed))
}

/// Borders smoothed, tails and necks off, limits kept.
pub(super) fn smoothed(tree: &Tree, mut labels: Vec<u32>, count: u32, limits: Limits) -> (Vec<u32>, u32) {
    let middles: Vec<usize> = cores(tree.leaves.blocks.grid, &labels, count).into_iter().map(|core| core.1).collect();
    relaxed(tree, &mut labels, count, &middles);
    settled(tree.leaves.blocks.grid, &tree.leaves.plane, (labels, count), (limits, 1))
}

fn trimmed(tree: &Tree, labels: Vec<u32>, count: u32, limits: Limits) -> (Vec<u32>, u32) {
    settled(tree.leaves.blocks.grid, &tree.leaves.plane, (labels, count), (limits, SETTLE))
}

/// Necks and tails off, limits kept, by turns: what is shared out can hang on its new region by a neck.
fn settled(
    grid: Grid,
    plane: &[Even],
    (mut labels, mut count): (Vec<u32>, u32),
    (limits, turns): (Limits, usize),
) -> (Vec<u32>, u32) {
    for _ in 0..turns {
        let before = labels.clone();
        count = trim(grid, plane, &mut labels, count, limits);
        absorb(grid, plane, &mut labels, count, limits);
        if labels == before {
            break;
        }
    }
    (labels, count)
}

fn relaxed(tree: &Tree, labels: &mut [u32], count: u32, middles: &[usize]) {
    let (leaves, limits) = (&tree.leaves, tree.base.limits);
    let grid = leaves.blocks.grid;
    let frozen = leaves.held(discs(grid, labels, middles, limits));
    let how = Relaxation {
        count,
        stiff: DRAFT_STIFF,
        reach: DRAFT_REACH,
        sweeps: DRAFT_SWEEPS,
        frozen,
        least_area: limits.area,
    };
    relax(grid, &leaves.plane, labels, &how);
}

/// Regions of the base merged until `asked` are left; with the middle of a disc in each that makes it wide enough.
fn merged(tree: &Tree, asked: usize, weights: &[f32]) -> (Vec<u32>, u32, Vec<usize>) {
    let base = &tree.base;
    let mut graph = base.graph.clone();
    graph.weigh(&base.of, weights);
    let into = merges(graph, base.count, asked);
    let (labels, count) = number(&base.of, &into);
    let mut cores = vec![(0, 0); count as usize];
    for core in &base.cores {
        let best = &mut cores[labels[core.1] as usize];
        if core.0 > best.0 {
            *best = *core;
        }
    }
    (labels, count, cores.into_iter().map(|core| core.1).collect())
}

pub(super) fn merge_to(tree: &Tree, (labels, count): (&[u32], u32), asked: usize, weights: &[f32]) -> (Vec<u32>, u32) {
    let leaves = &tree.leaves;
    let mut graph = Graph::new(leaves.blocks.grid, labels, count, leaves.sight());
    graph.weigh(labels, weights);
    number(labels, &merges(graph, count, asked))
}

/// Regions on the picture's pixels, merged to `asked` where necks taken off have left more.
fn fewer(tree: &Tree, (labels, count): (&[u32], u32), asked: usize, weights: &[f32]) -> (Vec<u32>, u32) {
    let own: Vec<u32> = (0..count).collect();
    let (labels, count) = number(labels, &own);
    if count as usize <= asked {
        return (labels, count);
    }
    let leaves = &tree.leaves;
    let on_blocks = leaves.blocks.picked(&labels);
    let mut graph = Graph::new(leaves.blocks.grid, &on_blocks, count, leaves.sight());
    graph.weigh(&on_blocks, weights);
    number(&labels, &merges(graph, count, asked))
}

/// Where each region goes when the cheapest are merged until `asked` are left, and such as no two woods would show.
pub(super) fn merges(mut graph: Graph, count: u32, asked: usize) -> Vec<u32> {
    let mut merges = Vec::new();
    while graph.alive() > asked {
        let Some((pair, _)) = graph.merge() else { break };
        merges.push(pair);
    }
    while let Some(pair) = graph.merge_alike() {
        merges.push(pair);
    }
    let mut into: Vec<u32> = (0..count).collect();
    for &(big, small) in merges.iter().rev() {
        into[small as usize] = into[big as usize];
    }
    into
}

/// The label of each pixel of the picture, borders rounded; nothing goes to pixels that are not `free`, where that is said.
pub(super) fn on_pixels(tree: &Tree, labels: &[u32], count: u32, free: Option<&[bool]>) -> Vec<u32> {
    let (leaves, limits) = (&tree.leaves, tree.base.limits);
    let cores = cores(leaves.blocks.grid, labels, count);
    let middles: Vec<usize> = cores.into_iter().map(|core| core.1).collect();
    let frozen = leaves.blocks.spread_marks(&discs(leaves.blocks.grid, labels, &middles, limits));
    let mut labels = leaves.blocks.spread(labels);
    let both =
        |free: &[bool]| -> Vec<bool> { free.iter().zip(&tree.inside).map(|(free, inside)| *free && *inside).collect() };
    let inside = free.map(both);
    silhouette(leaves.blocks.fine, inside.as_deref().unwrap_or(&tree.inside), &frozen, &mut labels);
    if let Some(strokes) = &tree.strokes {
        strokes.settle(leaves.blocks.fine, &tree.inside, &mut labels);
    }
    rounded(tree, &mut labels, (count, frozen), ROUND);
    labels
}

/// Rounds borders on the picture's pixels; what is frozen keeps its region.
fn rounded(tree: &Tree, labels: &mut [u32], (count, frozen): (u32, Vec<bool>), (stiff, sweeps): (f64, u32)) {
    let blocks = &tree.leaves.blocks;
    let least_area = tree.base.limits.on_pixels(blocks.side).area;
    let frozen = tree.strokes.as_ref().map_or(frozen.clone(), |strokes| strokes.held(frozen));
    let how = Relaxation { count, stiff, reach: ROUND_REACH, sweeps, frozen, least_area };
    relax(blocks.fine, &tree.plane, labels, &how);
}

/// Regions that the tree shows at the number asked and that fall under the stock's own limits.
pub(super) fn swallowed(tree: &Tree, asked: usize, panel: Size, stock: &Stock) -> Vec<Swallowed> {
    let leaves = &tree.leaves;
    let (labels, count) = leaves.cut(asked);
    let grid = leaves.blocks.grid;
    let pixel = panel.width.to_mm() / leaves.blocks.fine.width as f64;
    let block = pixel * leaves.blocks.side as f64;
    let mut areas = vec![0u32; count as usize];
    labels.iter().filter(|l| **l != NOBODY).for_each(|l| areas[*l as usize] += 1);
    let all = cores(grid, &labels, count).into_iter().zip(areas).map(|((square, at), area)| {
        let (x, y) = leaves.blocks.middle(at);
        Swallowed {
            at: Point::new(Um::mm(x * pixel).0, Um::mm(y * pixel).0),
            widest: Um::mm(diameter(square) * block),
            area: (f64::from(area) * block * block * 100.0).round() as u32,
        }
    });
    let under = |s: &Swallowed| s.widest < stock.least_width || s.area < stock.least_area_mm2.saturating_mul(100);
    all.filter(under).collect()
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

/// Dense labels in reading order; each 4-connected part of the ground gets its own.
pub(super) fn finish(grid: Grid, labels: Vec<u32>, count: u32, swallowed: Vec<Swallowed>) -> Regions {
    let picture = |of| Labels { width: grid.width as u32, height: grid.height as u32, of };
    if !labels.contains(&NOBODY) {
        let own: Vec<u32> = (0..count).collect();
        let (of, count) = number(&labels, &own);
        return Regions { labels: picture(of), ground: vec![false; count as usize], swallowed };
    }
    let keys: Vec<u32> = labels.iter().map(|l| if *l == NOBODY { NOBODY - 1 } else { *l }).collect();
    let (parts, count) = components(grid, &keys);
    let mut ground = vec![false; count as usize];
    for (part, label) in parts.iter().zip(&labels) {
        ground[*part as usize] = *label == NOBODY;
    }
    Regions { labels: picture(parts), ground, swallowed }
}
