//! The merge tree of a picture: leaves, and the order in which they are merged.

use measure::Watch;

use super::Raster;
use super::even::{self, Even};
use super::gradient::gradient;
use super::graph::{Graph, gather};
use super::grid::{Grid, number};
use super::relax::{Relaxation, relax};
use super::subject::subject;
use super::watershed::leaves;
use crate::work::{Refusal, Size, TraceChoices, Way};

/// Sweeps that straighten the leaves' borders: one pixel each at most.
const LEAF_SWEEPS: u32 = 2;

/// Weight of border length against colour error for leaves (see `Relaxation::stiff`): low, leaves are to follow the
/// picture.
const LEAF_STIFF: f64 = 1.0;

/// Leaves under these areas (pixels) are gathered before the tree, one round each: at 0.2 mm a pixel 20 pixels are
/// 0.8 mm², far under any piece.
const CRUMBS: [i64; 3] = [8, 14, 20];

/// What the subject's colours must spread over to be told apart, steps of `even` along an axis: half a unit.
const ONE_COLOUR: i16 = 128;

/// The merge tree of a picture.
#[derive(Debug)]
pub struct Tree {
    pub(super) grid: Grid,
    /// The leaf of each pixel; `NOBODY` in the ground.
    pub(super) leaves: Vec<u32>,
    /// How many leaves there are.
    pub(super) count: u32,
    /// No cut is finer than this: past it there are shreds of edges, nothing to saw.
    pub(super) finest: usize,
    /// Which region took in which, in order.
    pub(super) merges: Vec<(u32, u32)>,
    pub(super) plane: Vec<Even>,
    pub(super) levels: Vec<u16>,
}

/// Grows the merge tree of the subject.
pub fn tree(raster: &Raster, panel: Size, choices: &TraceChoices, watch: Watch) -> Result<Tree, Refusal> {
    let grid = Grid::new(raster.width, raster.height);
    watch.tell("reading colours", 0.0);
    let plane = even::plane(raster);
    let inside = subject(raster, &plane, panel, choices.ground);
    refuse_one_colour(&plane, &inside)?;
    watch.tell("finding regions", 0.05);
    let levels = gradient(grid, &plane);
    watch.tell("finding regions", 0.2);
    let mut crumbs = leaves(grid, &levels, &inside, &plane);
    for least in CRUMBS {
        crumbs = gather(grid, crumbs, &plane, &levels, least);
    }
    let (mut leaves, count) = crumbs;
    relax(grid, &plane, &mut leaves, &Relaxation::free(count, LEAF_STIFF, LEAF_SWEEPS));
    watch.tell("finding regions", 0.4);
    let (merges, trifles) = merge_all(Graph::new(grid, &leaves, count, &plane, &levels), watch);
    let finest = count as usize - trifles;
    Ok(Tree { grid, leaves, count, finest, merges, plane, levels })
}

/// The merges in order, and how many of them lose nothing worth sawing.
fn merge_all(mut graph: Graph, watch: Watch) -> (Vec<(u32, u32)>, usize) {
    let total = graph.alive().max(1) as f64;
    let mut merges = Vec::with_capacity(graph.alive());
    let mut trifles = 0;
    while !watch.stopped() {
        let Some((pair, slight)) = graph.merge() else { break };
        merges.push(pair);
        trifles += usize::from(slight);
        if merges.len() % 4096 == 0 {
            watch.tell("finding regions", 0.4 + 0.3 * merges.len() as f64 / total);
        }
    }
    (merges, trifles)
}

fn refuse_one_colour(plane: &[Even], inside: &[bool]) -> Result<(), Refusal> {
    let subject = || plane.iter().zip(inside).filter(|(_, i)| **i).map(|(c, _)| *c);
    let shaped = inside.iter().any(|i| *i) && inside.iter().any(|i| !*i);
    let Some(first) = subject().next() else {
        return Err(Refusal::new("All of the picture counts as plain ground: nothing is left to saw.")
            .way(Way::advice("Keep the ground as part of the picture, or use a picture with a subject.")));
    };
    let plain = subject().all(|c| (0..3).all(|k| (c[k] - first[k]).abs() <= ONE_COLOUR));
    if plain && !shaped {
        return Err(Refusal::new("The picture is of one colour: there is nothing to tell apart.")
            .way(Way::advice("Use a picture with shapes in different colours.")));
    }
    Ok(())
}

impl Tree {
    /// The label map of `pieces` regions, or as close as the tree sensibly has; labels run from 0, and how many there are.
    pub(super) fn cut(&self, pieces: usize) -> (Vec<u32>, u32) {
        let merged = (self.count as usize).saturating_sub(pieces.min(self.finest)).min(self.merges.len());
        let mut into: Vec<u32> = (0..self.count).collect();
        for &(big, small) in self.merges[..merged].iter().rev() {
            into[small as usize] = into[big as usize];
        }
        number(&self.leaves, &into)
    }
}
