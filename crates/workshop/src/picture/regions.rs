//! The tree cut at a number of regions, each within the stock's limits.
//!
//! Cut finer than asked, share out what cannot be sawn, merge on by the tree's cost to a few more than asked, smooth the
//! borders while each region keeps the disc that makes it wide enough, take off tails and necks, merge to the number asked
//! and smooth lightly. When too few regions survive the first cut, it is finer still.

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;

use super::graph::Graph;
use super::grid::{Grid, NOBODY, components, number};
use super::limits::{Limits, absorb, cores};
use super::relax::{Relaxation, relax};
use super::tree::Tree;
use super::trim::trim;
use super::widest::diameter;
use super::{Labels, Raster, Regions};
use crate::work::{Size, Stock, Swallowed, TraceChoices};

/// The first cut has this many regions for each one asked, since few survive the limits. On two photographs 4 gave up to
/// 6 % more colour error at 50 pieces and the same at 400.
const FINER: f64 = 3.0;

/// Each further try cuts finer by this factor.
const FINER_STILL: f64 = 1.6;

/// Most tries.
const TRIES: u32 = 5;

/// The count is good when it reaches this share of what was asked.
const ENOUGH: f64 = 0.95;

/// One region in this many more than asked is kept until tails are off, for those that fall under the limits by it.
const SPARE: usize = 16;

/// Weight of border length when regions are smoothed. Between 1.5 and 2 the colour error hardly moved.
const STIFF: f64 = 1.5;

/// Most sweeps when regions are smoothed; a border moves at most a pixel in each.
const SWEEPS: u32 = 30;

/// Sweeps after tails are off: seams of the flood are smoothed, tails have no time to grow again.
const LAST_SWEEPS: u32 = 3;

/// Cuts the tree at about `choices.pieces` regions, each within the stock's limits. Ground is not counted.
pub fn regions(
    _raster: &Raster,
    tree: &Tree,
    panel: Size,
    choices: &TraceChoices,
    stock: &Stock,
    watch: Watch,
) -> Regions {
    let limits = Limits::new(tree.grid, panel, stock);
    let asked = choices.pieces.max(1) as usize;
    watch.tell("finding regions", 0.7);
    let (mut labels, count) = sawable(tree, asked + asked.div_ceil(SPARE), limits, watch);
    watch.tell("finding regions", 0.85);
    smooth(tree, &mut labels, count, limits, SWEEPS);
    let count = trim(tree.grid, &tree.plane, &mut labels, count, limits);
    absorb(tree.grid, &tree.plane, &mut labels, count, limits);
    watch.tell("finding regions", 0.95);
    let (mut labels, count) = merge_to(tree, &labels, count, asked);
    smooth(tree, &mut labels, count, limits, LAST_SWEEPS);
    let swallowed = swallowed(tree, asked, panel, stock);
    watch.tell("finding regions", 1.0);
    finish(tree.grid, labels, swallowed)
}

/// At most `asked` regions within the limits, at least `ENOUGH` of them when the picture has so many.
fn sawable(tree: &Tree, asked: usize, limits: Limits, watch: Watch) -> (Vec<u32>, u32) {
    let mut finer = asked as f64 * FINER;
    let mut best: (Vec<u32>, u32) = (Vec::new(), 0);
    for _ in 0..TRIES {
        let (labels, count) = attempt(tree, finer as usize, limits);
        if best.0.is_empty() || count > best.1 {
            best = (labels, count);
        }
        if f64::from(best.1) >= ENOUGH * asked as f64 || finer > tree.finest as f64 || watch.stopped() {
            break;
        }
        finer *= FINER_STILL;
    }
    merge_to(tree, &best.0, best.1, asked)
}

fn attempt(tree: &Tree, cut: usize, limits: Limits) -> (Vec<u32>, u32) {
    let (mut labels, count) = tree.cut(cut);
    absorb(tree.grid, &tree.plane, &mut labels, count, limits);
    let own: Vec<u32> = (0..count).collect();
    number(&labels, &own)
}

fn merge_to(tree: &Tree, labels: &[u32], count: u32, asked: usize) -> (Vec<u32>, u32) {
    let mut graph = Graph::new(tree.grid, labels, count, &tree.plane, &tree.levels);
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
    number(labels, &into)
}

fn smooth(tree: &Tree, labels: &mut [u32], count: u32, limits: Limits, sweeps: u32) {
    let frozen = discs(tree.grid, labels, count, limits);
    let how = Relaxation { count, stiff: STIFF, sweeps, frozen, least_area: limits.area };
    relax(tree.grid, &tree.plane, labels, &how);
}

/// The disc in each region that makes it wide enough.
fn discs(grid: Grid, labels: &[u32], count: u32, limits: Limits) -> Vec<bool> {
    let mut frozen = vec![false; grid.len()];
    let reach = (limits.width + 1.0) / 2.0;
    let around = reach.ceil() as usize;
    for (label, (_, middle)) in cores(grid, labels, count).into_iter().enumerate() {
        let (x, y) = (middle % grid.width, middle / grid.width);
        for v in y.saturating_sub(around)..(y + around + 1).min(grid.height) {
            for u in x.saturating_sub(around)..(x + around + 1).min(grid.width) {
                let square = (u.abs_diff(x) * u.abs_diff(x) + v.abs_diff(y) * v.abs_diff(y)) as f64;
                let at = v * grid.width + u;
                frozen[at] |= square < reach * reach && labels[at] == label as u32;
            }
        }
    }
    frozen
}

/// Regions that the tree shows at the number asked and that fall under the stock's own limits.
fn swallowed(tree: &Tree, asked: usize, panel: Size, stock: &Stock) -> Vec<Swallowed> {
    let (labels, count) = tree.cut(asked);
    let pixel = panel.width.to_mm() / tree.grid.width as f64;
    let mut areas = vec![0u32; count as usize];
    labels.iter().filter(|l| **l != NOBODY).for_each(|l| areas[*l as usize] += 1);
    let all = cores(tree.grid, &labels, count).into_iter().zip(areas).map(|((square, at), area)| {
        let middle = |i: usize| Um::mm((i as f64 + 0.5) * pixel).0;
        Swallowed {
            at: Point::new(middle(at % tree.grid.width), middle(at / tree.grid.width)),
            widest: Um::mm(diameter(square) * pixel),
            area: (f64::from(area) * pixel * pixel * 100.0).round() as u32,
        }
    });
    let under = |s: &Swallowed| s.widest < stock.least_width || s.area < stock.least_area_mm2.saturating_mul(100);
    all.filter(under).collect()
}

/// Dense labels in reading order; each 4-connected part of the ground gets its own.
fn finish(grid: Grid, labels: Vec<u32>, swallowed: Vec<Swallowed>) -> Regions {
    let keys: Vec<u32> = labels.iter().map(|l| if *l == NOBODY { NOBODY - 1 } else { *l }).collect();
    let (parts, count) = components(grid, &keys);
    let mut ground = vec![false; count as usize];
    for (part, label) in parts.iter().zip(&labels) {
        ground[*part as usize] = *label == NOBODY;
    }
    let labels = Labels { width: grid.width as u32, height: grid.height as u32, of: parts };
    Regions { labels, ground, swallowed }
}
