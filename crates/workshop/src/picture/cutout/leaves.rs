//! The leaves that the subject is cut out of, and how they touch.

use std::collections::VecDeque;

use super::marks::Said;
use super::moments::{Moments, units};
use crate::picture::Raster;
use crate::picture::even::{Even, STEPS, apart};
use crate::picture::gradient::gradient;
use crate::picture::graph::{Sight, gather};
use crate::picture::grid::Grid;
use crate::picture::scale::Blocks;
use crate::picture::watershed::leaves;

/// Leaves under these areas (blocks) are gathered into neighbours, one round each: edges count here, not grain.
const CRUMBS: [i64; 2] = [8, 16];

/// Pictures of more pixels are looked at by blocks of two by two, so that marks are followed at once.
const LARGE: usize = 1_200_000;

/// A basin of the picture's gradient.
pub(super) struct Leaf {
    pub colours: Moments,
    /// Whether it touches the picture's frame.
    pub framed: bool,
    /// How many of its blocks are transparent.
    transparent: u32,
}

impl Leaf {
    /// Whether most of it is transparent.
    pub fn clear(&self) -> bool {
        f64::from(self.transparent) * 2.0 > self.colours.area()
    }
}

/// Where two leaves touch.
pub(super) struct Link {
    pub ends: [u32; 2],
    /// Blocks.
    pub length: u32,
    /// Mean squared difference of colour across it, squared units.
    pub contrast: f64,
}

/// The leaves of a picture.
pub(super) struct Leaves {
    pub blocks: Blocks,
    /// The leaf of each block.
    pub of: Vec<u32>,
    pub all: Vec<Leaf>,
    pub links: Vec<Link>,
    /// How fast the cost of a border falls with squared contrast: 1 over twice its mean (Boykov and Jolly 2001).
    pub falloff: f64,
    /// By leaf, where its neighbours begin in `beside`.
    first: Vec<u32>,
    /// Neighbours, each with the difference of mean colours.
    beside: Vec<(u32, f64)>,
    seen: Seen,
}

/// The picture by blocks.
#[derive(Clone)]
struct Seen {
    plane: Vec<Even>,
    opaque: Vec<bool>,
}

impl Leaves {
    pub fn new(raster: &Raster, plane: &[Even], opaque: &[bool]) -> Leaves {
        let fine = Grid::new(raster.width, raster.height);
        let blocks = Blocks::of_side(fine, if fine.len() > LARGE { 2 } else { 1 });
        let (grid, plane, opaque) = (blocks.grid, blocks.colours(plane), blocks.inside(opaque));
        let levels = gradient(grid, &plane);
        let sight = Sight { plane: &plane, levels: &levels, cells: &[], strokes: &[], alone: false };
        let whole = leaves(grid, sight, &vec![true; grid.len()]);
        let (of, count) = CRUMBS.into_iter().fold(whole, |crumbs, least| gather(grid, crumbs, sight, least));
        Leaves::of_blocks(blocks, of, count as usize, Seen { plane, opaque })
    }

    fn of_blocks(blocks: Blocks, of: Vec<u32>, count: usize, seen: Seen) -> Leaves {
        let (grid, Seen { plane, opaque }) = (blocks.grid, &seen);
        let empty = || Leaf { colours: Moments::default(), framed: false, transparent: 0 };
        let mut all: Vec<Leaf> = (0..count).map(|_| empty()).collect();
        for (at, leaf) in of.iter().enumerate() {
            let leaf = &mut all[*leaf as usize];
            leaf.colours.add(units(plane[at]));
            leaf.framed |= grid.on_frame(at);
            leaf.transparent += u32::from(!opaque[at]);
        }
        let (links, mean) = links(grid, &of, plane);
        let (first, beside) = neighbours(&all, &links);
        Leaves { blocks, of, all, links, falloff: 0.5 / mean.max(1e-6), first, beside, seen }
    }

    /// The same with each leaf that is both kept and dropped parted: each of its blocks goes with the mark that is fewer
    /// steps away within the leaf. `None` if there is no such leaf.
    pub fn parted(&self, marks: &Said) -> Option<Leaves> {
        let mut by = vec![[false; 2]; self.all.len()];
        let marked = || marks.iter().enumerate().filter_map(|(block, keep)| keep.map(|keep| (block, keep)));
        marked().for_each(|(block, keep)| by[self.of[block] as usize][usize::from(keep)] = true);
        let mut count = self.all.len();
        let mut dropped = vec![None; count];
        for (leaf, _) in by.iter().enumerate().filter(|(_, by)| **by == [true; 2]) {
            dropped[leaf] = Some(count as u32);
            count += 1;
        }
        if count == self.all.len() {
            return None;
        }
        let mut of = self.of.clone();
        let mut reached = vec![false; of.len()];
        let from = |side: bool| marked().filter(move |(_, keep)| *keep == side);
        let mut queue: VecDeque<(usize, bool)> = from(true).chain(from(false)).collect();
        queue.iter().for_each(|(block, _)| reached[*block] = true);
        while let Some((block, keep)) = queue.pop_front() {
            let Some(part) = dropped[self.of[block] as usize] else { continue };
            if !keep {
                of[block] = part;
            }
            for next in self.blocks.grid.four(block) {
                if !reached[next] && self.of[next] == self.of[block] {
                    reached[next] = true;
                    queue.push_back((next, keep));
                }
            }
        }
        Some(Leaves::of_blocks(self.blocks, of, count, self.seen.clone()))
    }

    /// The leaves that touch one, each with the step of colour to it, units.
    pub fn beside(&self, leaf: usize) -> impl Iterator<Item = (usize, f64)> {
        let range = self.first[leaf] as usize..self.first[leaf + 1] as usize;
        self.beside[range].iter().map(|(next, step)| (*next as usize, *step))
    }

    /// What is reached from `starts` over leaves that let pass.
    pub fn reached(&self, starts: Vec<usize>, pass: impl Fn(usize) -> bool) -> Vec<bool> {
        let mut seen = vec![false; self.all.len()];
        starts.iter().for_each(|leaf| seen[*leaf] = true);
        let mut stack = starts;
        while let Some(leaf) = stack.pop() {
            for (next, _) in self.beside(leaf) {
                if !seen[next] && pass(next) {
                    seen[next] = true;
                    stack.push(next);
                }
            }
        }
        seen
    }
}

/// Pairs of leaves that touch, and the mean squared contrast of neighbouring blocks all over.
fn links(grid: Grid, of: &[u32], plane: &[Even]) -> (Vec<Link>, f64) {
    let mut met: Vec<(u64, i64)> = Vec::new();
    let (mut sum, mut pairs) = (0, 0);
    for at in 0..grid.len() {
        for next in grid.four(at).filter(|next| *next > at) {
            let contrast = apart(plane[at], plane[next]);
            sum += contrast;
            pairs += 1;
            let (a, b) = (of[at].min(of[next]), of[at].max(of[next]));
            if a != b {
                met.push((u64::from(a) << 32 | u64::from(b), contrast));
            }
        }
    }
    met.sort_unstable();
    let mean = |sum: i64, count: usize| sum as f64 / count.max(1) as f64 / (STEPS * STEPS);
    let link = |same: &[(u64, i64)]| Link {
        ends: [(same[0].0 >> 32) as u32, same[0].0 as u32],
        length: same.len() as u32,
        contrast: mean(same.iter().map(|met| met.1).sum(), same.len()),
    };
    (met.chunk_by(|a, b| a.0 == b.0).map(link).collect(), mean(sum, pairs))
}

/// By leaf where its neighbours begin, and the neighbours.
fn neighbours(all: &[Leaf], links: &[Link]) -> (Vec<u32>, Vec<(u32, f64)>) {
    let mut first = vec![0u32; all.len() + 1];
    links.iter().flat_map(|link| link.ends).for_each(|end| first[end as usize + 1] += 1);
    (0..all.len()).for_each(|at| first[at + 1] += first[at]);
    let mut free = first.clone();
    let mut beside = vec![(0, 0.0); 2 * links.len()];
    for &Link { ends: [a, b], .. } in links {
        let (one, other) = (all[a as usize].colours.mean(), all[b as usize].colours.mean());
        let step = (0..3).map(|k| (one[k] - other[k]) * (one[k] - other[k])).sum::<f64>().sqrt();
        for (from, to) in [(a, b), (b, a)] {
            beside[free[from as usize] as usize] = (to, step);
            free[from as usize] += 1;
        }
    }
    (first, beside)
}
