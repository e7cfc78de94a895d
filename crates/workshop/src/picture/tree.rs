//! The merge tree of a picture: leaves, and the order in which they are merged.

use std::sync::Arc;

use measure::Watch;

use super::Raster;
use super::base::Base;
use super::cutout::Cutout;
use super::even::{self, Even};
use super::gradient::gradient;
use super::graph::{Graph, Sight, gather};
use super::grid::{Grid, NOBODY, components, number};
use super::ink::{Strokes, Widths, inked};
use super::limits::Limits;
use super::relax::{Relaxation, relax};
use super::scale::Blocks;
use super::subject::subject;
use super::watershed::leaves;
use crate::work::{InkChoice, LooseLine, Refusal, Size, Stock, TraceChoices, Way};
use measure::length::Um;
use measure::plane::Point;

/// Sweeps that straighten the leaves' borders: one pixel each at most.
const LEAF_SWEEPS: u32 = 2;

/// Weight of border length against colour error for leaves (see `Relaxation::stiff`): low, leaves are to follow the
/// picture.
const LEAF_STIFF: f64 = 6.8;

/// Leaves under these areas (pixels) are gathered before the tree, one round each: at 0.2 mm a pixel 20 pixels are
/// 0.8 mm², far under any piece.
const CRUMBS: [i64; 3] = [8, 14, 20];

/// What the subject's colours must spread over to be told apart, steps of `even` along an axis: half a unit.
const ONE_COLOUR: i16 = 128;

/// The merge tree of a picture.
pub struct Tree {
    /// The picture without its strokes, when ink is closed.
    pub without_ink: Option<Arc<Raster>>,
    /// What regions are made of.
    pub(super) seen: Seen,
    /// The finest regions within the limits.
    pub(super) base: Base,
}

/// A picture, taken apart.
pub(super) struct Seen {
    /// The strokes of its ink, when ink is closed.
    pub strokes: Option<Strokes>,
    /// By pixel, strokes that stay open as shadow; empty where there are none.
    pub shadow: Vec<bool>,
    /// Its even colours.
    pub plane: Vec<Even>,
    /// By pixel, whether it is subject.
    pub inside: Vec<bool>,
    /// The leaves, on blocks of pixels.
    pub leaves: Leaves,
    /// What a region keeps to, in blocks.
    pub limits: Limits,
}

/// The leaves and the order in which they are merged.
pub(super) struct Leaves {
    pub blocks: Blocks,
    /// The mean colour of each block.
    pub plane: Vec<Even>,
    /// Its gradient.
    pub levels: Vec<u16>,
    /// The leaf of each block; `NOBODY` in the ground.
    pub of: Vec<u32>,
    /// By block, the area that ink and colours close about it, and whether a stroke was there; both empty when ink is not closed.
    pub ink: (Vec<u32>, Vec<bool>),
    /// Whether lines of ink alone part the picture.
    pub alone: bool,
    /// How many leaves there are.
    pub count: u32,
    /// No cut is finer than this: past it there are shreds of edges, nothing to saw.
    pub finest: usize,
    /// Which region took in which, in order.
    pub merges: Vec<(u32, u32)>,
}

/// What is drawn wider than this is no gap but shadow.
const WIDEST_GAP: Um = Um(3000);

/// Grows the merge tree of the subject, for pieces within the limits of `stock`.
pub fn tree(
    raster: &Raster,
    panel: Size,
    choices: &TraceChoices,
    stock: &Stock,
    watch: Watch,
) -> Result<Tree, Refusal> {
    let grid = Grid::new(raster.width, raster.height);
    watch.tell("reading colours", 0.0);
    let mut plane = even::plane(raster);
    let (mut without_ink, mut strokes) = (None, None);
    if choices.ink != InkChoice::Leave {
        let found = inked(raster, &plane, Widths::of(raster, panel, choices, stock)).ok_or_else(no_ink)?;
        plane = even::plane(&found.raster);
        (without_ink, strokes) = (Some(Arc::new(found.raster)), Some(found.strokes));
    }
    let cells = strokes.as_ref().map_or(&[][..], |strokes: &Strokes| &strokes.cells);
    let mut inside = match &choices.subject[..] {
        [] => subject(without_ink.as_deref().unwrap_or(raster), (&plane, cells), panel, choices.ground),
        rounds => Cutout::new(raster).inside(panel, rounds),
    };
    let open = strokes.as_ref().filter(|_| choices.ink == InkChoice::Open);
    if let Some(strokes) = open {
        strokes.open_to_ground(grid, &mut inside);
    }
    let shadow = open.map(|strokes| strokes.wider(grid, panel, WIDEST_GAP)).unwrap_or_default();
    inside.iter_mut().zip(&shadow).for_each(|(inside, line)| *inside &= !line);
    if choices.ink != InkChoice::Alone {
        refuse_one_colour(&plane, cells, &inside)?;
    }
    watch.tell("finding regions", 0.05);
    let blocks = Blocks::new(grid, Limits::new(grid, panel, stock).width);
    let ink = strokes.as_ref().map(|strokes| (blocks.picked(&strokes.coloured), blocks.touched(&strokes.marks())));
    let alone =
        strokes.as_ref().filter(|_| choices.ink == InkChoice::Alone).map(|strokes| blocks.picked(&strokes.areas));
    let seen_as = (blocks.colours(&plane), ink.unwrap_or_default());
    let leaves = Leaves::grow(blocks, seen_as, (&blocks.inside(&inside), alone.as_deref()), watch);
    let seen = Seen { strokes, shadow, plane, inside, leaves, limits: Limits::new(blocks.grid, panel, stock) };
    let base = Base::new(&seen, watch);
    Ok(Tree { without_ink, seen, base })
}

impl Tree {
    /// How wide a drawn line is at a place of the panel.
    pub fn line_width(&self, panel: Size, at: Point) -> Option<Um> {
        self.seen.strokes.as_ref()?.width(self.seen.leaves.blocks.fine, panel, at)
    }

    /// Whether a drawn line stays open as shadow at a place of the panel.
    pub fn is_shadow(&self, panel: Size, at: Point) -> bool {
        let grid = self.seen.leaves.blocks.fine;
        let pixel = |along: i32, of: Um, side: usize| {
            ((f64::from(along) / f64::from(of.0) * side as f64) as usize).min(side - 1)
        };
        let (x, y) = (pixel(at.x, panel.width, grid.width), pixel(at.y, panel.height, grid.height));
        self.seen.shadow.get(y * grid.width + x) == Some(&true)
    }

    /// Drawn lines that part nothing, on the panel.
    pub fn loose(&self, panel: Size) -> Vec<LooseLine> {
        let lines = |strokes: &Strokes| strokes.open_lines(self.seen.leaves.blocks.fine, panel, &self.seen.inside);
        self.seen.strokes.as_ref().map(lines).unwrap_or_default()
    }
}

impl Leaves {
    /// Grows the leaves inside the subject; where `alone` is given it says the area of each block that no colour parts.
    fn grow(
        blocks: Blocks,
        (plane, ink): (Vec<Even>, (Vec<u32>, Vec<bool>)),
        (inside, alone): (&[bool], Option<&[u32]>),
        watch: Watch,
    ) -> Leaves {
        let grid = blocks.grid;
        let levels = gradient(grid, &plane);
        watch.tell("finding regions", 0.1);
        let sight = Sight { plane: &plane, levels: &levels, cells: &ink.0, strokes: &ink.1, alone: alone.is_some() };
        let mut crumbs = match alone {
            Some(areas) => {
                let within: Vec<u32> =
                    areas.iter().zip(inside).map(|(area, inside)| if *inside { *area } else { NOBODY }).collect();
                components(grid, &within)
            }
            None => leaves(grid, sight, inside),
        };
        for least in CRUMBS {
            crumbs = gather(grid, crumbs, sight, least);
        }
        let (mut of, count) = crumbs;
        let how = Relaxation { frozen: ink.1.clone(), ..Relaxation::free(count, LEAF_STIFF, LEAF_SWEEPS) };
        relax(grid, &plane, &mut of, &how);
        watch.tell("finding regions", 0.25);
        let (merges, trifles) = merge_all(Graph::new(grid, &of, count, sight), watch);
        let finest = count as usize - trifles;
        Leaves { blocks, plane, levels, of, ink, alone: alone.is_some(), count, finest, merges }
    }

    /// What its regions are made of.
    pub fn sight(&self) -> Sight<'_> {
        Sight { plane: &self.plane, levels: &self.levels, cells: &self.ink.0, strokes: &self.ink.1, alone: self.alone }
    }

    /// What keeps its region: what is frozen, and strokes, whose middle is known better than any colour tells.
    pub fn held(&self, mut frozen: Vec<bool>) -> Vec<bool> {
        frozen.iter_mut().zip(&self.ink.1).for_each(|(frozen, stroke)| *frozen |= stroke);
        frozen
    }

    /// The label map of `pieces` regions, or as close as the tree sensibly has; labels run from 0, and how many there are.
    pub fn cut(&self, pieces: usize) -> (Vec<u32>, u32) {
        let merged = (self.count as usize).saturating_sub(pieces.min(self.finest)).min(self.merges.len());
        let mut into: Vec<u32> = (0..self.count).collect();
        for &(big, small) in self.merges[..merged].iter().rev() {
            into[small as usize] = into[big as usize];
        }
        number(&self.of, &into)
    }
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
            watch.tell("finding regions", 0.25 + 0.25 * merges.len() as f64 / total);
        }
    }
    (merges, trifles)
}

pub(super) fn no_ink() -> Refusal {
    Refusal::new("There is no ink in the picture: nothing dark of which there is much.")
        .way(Way::advice("Leave ink as it is, or use a picture whose outlines are drawn dark."))
}

fn refuse_one_colour(plane: &[Even], cells: &[u32], inside: &[bool]) -> Result<(), Refusal> {
    let subject = || plane.iter().zip(inside).filter(|(_, i)| **i).map(|(c, _)| *c);
    let shaped = inside.iter().any(|i| *i) && inside.iter().any(|i| !*i);
    let Some(first) = subject().next() else {
        return Err(Refusal::new("All of the picture counts as plain ground: nothing is left to saw.").way(
            Way::advice(
                "Keep the ground as part of the picture, mark what is to be kept, or use a picture with a subject.",
            ),
        ));
    };
    let plain = subject().all(|c| (0..3).all(|k| (c[k] - first[k]).abs() <= ONE_COLOUR));
    let mut cells = cells.iter().zip(inside).filter(|(_, i)| **i).map(|(cell, _)| cell);
    let parted = cells.next().is_some_and(|first| cells.any(|cell| cell != first));
    if plain && !shaped && !parted {
        return Err(Refusal::new("The picture is of one colour: there is nothing to tell apart.")
            .way(Way::advice("Use a picture with shapes in different colours.")));
    }
    Ok(())
}
