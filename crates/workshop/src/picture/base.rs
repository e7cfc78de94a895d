//! The base: the finest regions that the stock's limits allow, and how they touch. Every draft is made of whole ones.
//!
//! It is found once a picture: a fine cut of the leaves, what cannot be sawn shared out, borders smoothed, tails and necks off,
//! first on blocks and then on the picture's own pixels. A draft then only gathers regions that can be sawn into fewer, which
//! always can be, so sliding the number of pieces is quick and the borders of few pieces lie on those of many.

use measure::Watch;

use super::draw::drawn;
use super::flat::is_flat;
use super::graph::{Graph, Sight};
use super::grid::{Grid, NOBODY};
use super::limits::{Limits, absorb};
use super::relax::{Relaxation, relax};
use super::tree::{Leaves, Seen};
use super::trim::trim;
use super::widest::cores;

/// The base is sought at this many regions for each that the least area leaves room for. More gives scraps just over
/// the limits, which make poor borders when they are merged again.
const FILL: f64 = 0.35;

/// Most regions sought: past any number of pieces that can be asked for.
const MOST: f64 = 2600.0;

/// The first cut has this many regions for each one sought, since few survive the limits.
const FINER: f64 = 3.0;

/// Weight of border length when regions are smoothed. Between 1.5 and 2 a side the colour error hardly moved.
const STIFF: f64 = 10.2;

/// Most sweeps when the base is smoothed; a border moves at most a block in each.
const SWEEPS: u32 = 30;

/// Sweeps after tails are off: seams of the flood are smoothed, tails have no time to grow again.
const LAST_SWEEPS: u32 = 3;

/// By so many regions a picture of flat colours is told from others.
const COARSE: usize = 60;

/// The finest regions within the limits, on the picture's pixels.
pub(super) struct Base {
    /// The region of each pixel.
    pub of: Vec<u32>,
    /// How many there are.
    pub count: u32,
    /// How they touch, ready to be merged.
    pub graph: Graph,
    /// By region, the middle of its widest circle and the square of the distance from there to another region.
    pub cores: Vec<(u32, usize)>,
    /// Whether the picture shows little but flat colours; one whose ink is closed has its edges from there.
    pub flat: bool,
}

impl Base {
    pub fn new(seen: &Seen, watch: Watch) -> Base {
        let (leaves, blocks) = (&seen.leaves, &seen.leaves.blocks);
        let limits = seen.limits.on_pixels(blocks.side);
        let (of, count) = on_blocks(leaves, seen.limits, watch);
        watch.tell("finding regions", 0.7);
        let (coarse, parts) = leaves.cut(COARSE);
        let flat = seen.strokes.is_none() && is_flat(&leaves.plane, &coarse, parts);
        let (of, count) = drawn(seen, (&of, count), (limits, flat), &seen.inside);
        watch.tell("finding regions", 0.8);
        let on_blocks = blocks.picked(&of);
        let cells = cells(&on_blocks, count, &leaves.ink.0);
        // Where what lay between two areas was shared out, they meet off their strokes.
        let strokes = vec![true; cells.len()];
        let sight = Sight { cells: &cells, strokes: &strokes, ..leaves.sight() };
        let graph = Graph::of_pieces(blocks.grid, (&on_blocks, count), sight, seen.limits.width);
        let cores = cores(blocks.fine, &of, count);
        Base { of, count, graph, cores, flat }
    }
}

/// By block the closed area of ink that most of its region lies in: rounded borders run a little beside those of the areas.
fn cells(of: &[u32], count: u32, ink: &[u32]) -> Vec<u32> {
    let mut pairs: Vec<(u32, u32)> = of.iter().copied().zip(ink.iter().copied()).filter(|p| p.0 != NOBODY).collect();
    pairs.sort_unstable();
    let mut most = vec![(0, NOBODY); count as usize];
    for same in pairs.chunk_by(|a, b| a == b) {
        let best = &mut most[same[0].0 as usize];
        *best = (*best).max((same.len(), same[0].1));
    }
    let cell = |region: &u32| most.get(*region as usize).map_or(NOBODY, |most| most.1);
    if ink.is_empty() { Vec::new() } else { of.iter().map(cell).collect() }
}

/// The finest regions on blocks of pixels, and how many there are.
fn on_blocks(leaves: &Leaves, limits: Limits, watch: Watch) -> (Vec<u32>, u32) {
    let grid = leaves.blocks.grid;
    let room = leaves.of.len() as f64 / limits.area as f64;
    let sought = (room * FILL).clamp(1.0, MOST);
    let (mut of, count) = leaves.cut((sought * FINER) as usize);
    watch.tell("finding regions", 0.55);
    absorb(grid, &leaves.plane, &mut of, count, limits);
    watch.tell("finding regions", 0.6);
    smooth(leaves, &mut of, count, limits, SWEEPS);
    let count = trim(grid, &leaves.plane, &mut of, count, limits);
    absorb(grid, &leaves.plane, &mut of, count, limits);
    smooth(leaves, &mut of, count, limits, LAST_SWEEPS);
    (of, count)
}

fn smooth(leaves: &Leaves, of: &mut [u32], count: u32, limits: Limits, sweeps: u32) {
    let grid = leaves.blocks.grid;
    let middles: Vec<usize> = cores(grid, of, count).into_iter().map(|core| core.1).collect();
    let frozen = leaves.held(discs(grid, of, &middles, limits));
    let how = Relaxation { count, stiff: STIFF, reach: 1, sweeps, frozen, least_area: limits.area, hairless: false };
    relax(grid, &leaves.plane, of, &how);
}

/// By block, whether it lies in the disc about its region's middle that makes the region wide enough.
pub(super) fn discs(grid: Grid, labels: &[u32], middles: &[usize], limits: Limits) -> Vec<bool> {
    let mut frozen = vec![false; grid.len()];
    let reach = (limits.width + 1.0) / 2.0;
    let around = reach.ceil() as usize;
    for (label, middle) in middles.iter().enumerate() {
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
