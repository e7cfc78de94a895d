//! A draft's regions: regions of the base gathered to the number asked.
//!
//! Gathering whole regions of the base keeps every limit and is quick, and borders stay where the base has them, so those of few
//! pieces lie on those of many; they are only rounded where regions between them are gone.

use measure::Watch;
use measure::length::Um;
use measure::plane::Point;

use super::base::discs;
use super::draw::{CALM, rounded, settled, sharp};
use super::gather::{gathered, merges};
use super::graph::Graph;
use super::grid::{Grid, NOBODY, components, number};
use super::limits::Limits;
use super::places::weights;
use super::tree::{Seen, Tree};
use super::trim::has_necks;
use super::widest::{cores, diameter};
use super::{Labels, Regions};
use crate::work::{Place, Size, Stock, Swallowed, TraceChoices};

/// Most turns of taking necks off and sharing out.
const SETTLE: usize = 3;

/// Gathers the base to about `choices.pieces` regions, each within the stock's limits. Ground is not counted. `None` when
/// stopped.
pub fn regions(tree: &Tree, panel: Size, choices: &TraceChoices, stock: &Stock, watch: Watch) -> Option<Regions> {
    let going = || (!watch.stopped()).then_some(());
    let (seen, base) = (&tree.seen, &tree.base);
    let blocks = &seen.leaves.blocks;
    let asked = choices.pieces.max(1) as usize;
    watch.tell("finding regions", 0.8);
    let (into, count) = pieces(tree, panel, choices);
    going()?;
    let mut labels: Vec<u32> = base.of.iter().map(|r| into.get(*r as usize).copied().unwrap_or(NOBODY)).collect();
    watch.tell("finding regions", 0.85);
    let mut count = count;
    let middles = if has_necks(blocks.grid, &blocks.picked(&labels), seen.limits) {
        (labels, count) = without_necks(seen, (labels, count), asked, (&choices.places, panel), seen.limits);
        cores(blocks.fine, &labels, count).into_iter().map(|core| core.1).collect()
    } else {
        middles(&labels, count, &base.cores)
    };
    watch.tell("finding regions", 0.9);
    let frozen = discs(blocks.fine, &labels, &middles, seen.limits.on_pixels(blocks.side));
    rounded(seen, &mut labels, (count, frozen.clone()), CALM);
    if base.flat && sharp(seen, &mut labels, (count, frozen)) {
        (labels, count) = without_necks(seen, (labels, count), asked, (&choices.places, panel), seen.limits.sharp());
    }
    going()?;
    let swallowed = swallowed(seen, asked, panel, stock);
    watch.tell("finding regions", 1.0);
    Some(finish(blocks.fine, labels, count, swallowed))
}

/// By piece the middle of the widest circle that a region of the base has in it.
fn middles(labels: &[u32], count: u32, cores: &[(u32, usize)]) -> Vec<usize> {
    let mut widest = vec![(0, 0); count as usize];
    for core in cores {
        let best = &mut widest[labels[core.1] as usize];
        if core.0 > best.0 {
            *best = *core;
        }
    }
    widest.into_iter().map(|core| core.1).collect()
}

/// Necks off, and merged to `asked` again where they have left more.
fn without_necks(
    seen: &Seen,
    found: (Vec<u32>, u32),
    asked: usize,
    (places, panel): (&[Place], Size),
    limits: Limits,
) -> (Vec<u32>, u32) {
    let blocks = &seen.leaves.blocks;
    let (labels, count) = settled(blocks.fine, &seen.plane, found, (limits.on_pixels(blocks.side), SETTLE));
    let own: Vec<u32> = (0..count).collect();
    let (labels, count) = number(&labels, &own);
    if count as usize <= asked {
        return (labels, count);
    }
    let on_blocks = blocks.picked(&labels);
    let mut graph = Graph::of_pieces(blocks.grid, (&on_blocks, count), seen.leaves.sight(), seen.limits.width);
    graph.weigh(&on_blocks, &weights(blocks.grid, panel, places));
    number(&labels, &merges(graph, count, asked))
}

/// Into which piece each region of the base goes, and how many pieces there are.
pub(super) fn pieces(tree: &Tree, panel: Size, choices: &TraceChoices) -> (Vec<u32>, u32) {
    let (seen, base) = (&tree.seen, &tree.base);
    let blocks = &seen.leaves.blocks;
    let weights = weights(blocks.grid, panel, &choices.places);
    let asked = choices.pieces.max(1) as usize;
    if weights.is_empty() {
        return gathered(&base.graph, asked);
    }
    let mut graph = base.graph.clone();
    graph.weigh(&blocks.picked(&base.of), &weights);
    gathered(&graph, asked)
}

/// Regions that the tree shows at the number asked and that fall under the stock's own limits.
pub(super) fn swallowed(seen: &Seen, asked: usize, panel: Size, stock: &Stock) -> Vec<Swallowed> {
    let leaves = &seen.leaves;
    let (labels, count) = leaves.cut(asked);
    let grid = leaves.blocks.grid;
    let pixel = panel.width.to_mm() / leaves.blocks.fine.width as f64;
    let block = pixel * leaves.blocks.side as f64;
    let mut areas = vec![0u32; count as usize];
    labels.iter().filter(|l| **l != NOBODY).for_each(|l| areas[*l as usize] += 1);
    let all = cores(grid, &labels, count).into_iter().zip(areas).map(|((square, at), area)| {
        let (x, y) = leaves.blocks.middle(at);
        let down = panel.height.to_mm() / leaves.blocks.fine.height as f64;
        Swallowed {
            at: Point::new(Um::mm(x * pixel).0, Um::mm(y * down).0),
            widest: Um::mm(diameter(square) * block),
            area: (f64::from(area) * block * block * 100.0).round() as u32,
        }
    });
    let under = |s: &Swallowed| s.widest < stock.least_width || s.area < stock.least_area_mm2.saturating_mul(100);
    all.filter(under).collect()
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
