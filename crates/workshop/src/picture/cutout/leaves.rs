//! The leaves that the subject is cut out of, and how they touch.

use std::collections::VecDeque;
use std::sync::Arc;

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
#[derive(Clone, Default)]
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
#[derive(Clone)]
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
    seen: Arc<Seen>,
}

/// The picture by blocks.
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
        let seen = Seen { plane, opaque };
        let mut all = vec![Leaf::default(); count as usize];
        (0..grid.len()).for_each(|at| seen.add(grid, at, &mut all[of[at] as usize]));
        let links = links(grid, &of, &seen.plane, |_| true);
        let (first, beside) = neighbours(&all, &links);
        let falloff = 0.5 / mean_contrast(grid, &seen.plane).max(1e-6);
        Leaves { blocks, of, all, links, falloff, first, beside, seen: Arc::new(seen) }
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
        Some(self.with(of, count, |leaf| dropped[leaf as usize].is_some()))
    }

    /// The same leaves but for those that are parted: only these and what they touch is looked at again.
    fn with(&self, of: Vec<u32>, count: usize, is_parted: impl Fn(u32) -> bool) -> Leaves {
        let grid = self.blocks.grid;
        let mut all = self.all.clone();
        (0..all.len()).filter(|leaf| is_parted(*leaf as u32)).for_each(|leaf| all[leaf] = Leaf::default());
        all.resize(count, Leaf::default());
        let parted = |at: usize| is_parted(self.of[at]);
        (0..grid.len()).filter(|at| parted(*at)).for_each(|at| self.seen.add(grid, at, &mut all[of[at] as usize]));
        let mut links = links(grid, &of, &self.seen.plane, parted);
        let as_before = self.links.iter().filter(|link| !link.ends.iter().any(|end| is_parted(*end)));
        links.extend(as_before.cloned());
        let (first, beside) = neighbours(&all, &links);
        let (blocks, falloff, seen) = (self.blocks, self.falloff, self.seen.clone());
        Leaves { blocks, of, all, links, falloff, first, beside, seen }
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

impl Seen {
    /// Adds a block to its leaf.
    fn add(&self, grid: Grid, at: usize, leaf: &mut Leaf) {
        leaf.colours.add(units(self.plane[at]));
        leaf.framed |= grid.on_frame(at);
        leaf.transparent += u32::from(!self.opaque[at]);
    }
}

/// Pairs of leaves that touch in a block that counts.
fn links(grid: Grid, of: &[u32], plane: &[Even], counts: impl Fn(usize) -> bool) -> Vec<Link> {
    let mut met: Vec<(u64, i64)> = Vec::new();
    for at in (0..grid.len()).filter(|at| counts(*at)) {
        // Where both blocks count the pair is met from the first.
        for next in grid.four(at).filter(|next| of[*next] != of[at] && (*next > at || !counts(*next))) {
            let (a, b) = (of[at].min(of[next]), of[at].max(of[next]));
            met.push((u64::from(a) << 32 | u64::from(b), apart(plane[at], plane[next])));
        }
    }
    met.sort_unstable();
    let link = |same: &[(u64, i64)]| Link {
        ends: [(same[0].0 >> 32) as u32, same[0].0 as u32],
        length: same.len() as u32,
        contrast: squared_units(same.iter().map(|met| met.1).sum(), same.len()),
    };
    met.chunk_by(|a, b| a.0 == b.0).map(link).collect()
}

/// The mean squared contrast of neighbouring blocks all over.
fn mean_contrast(grid: Grid, plane: &[Even]) -> f64 {
    let pairs = (0..grid.len()).flat_map(|at| grid.four(at).filter(move |next| *next > at).map(move |next| (at, next)));
    let (sum, count) = pairs.fold((0, 0), |(sum, count), (at, next)| (sum + apart(plane[at], plane[next]), count + 1));
    squared_units(sum, count)
}

/// The mean of so many squared contrasts.
fn squared_units(sum: i64, count: usize) -> f64 {
    sum as f64 / count.max(1) as f64 / (STEPS * STEPS)
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Leaves that are parted are what all of the picture would give anew.
    #[test]
    fn what_is_parted_is_as_if_made_anew() {
        let colour = |at: u32| {
            let (x, y) = (at % 90, at / 90);
            [(x / 15 * 40 + at * 37 % 5) as u8, (y / 12 * 40) as u8, 90, if x < 20 && y > 40 { 0 } else { 255 }]
        };
        let raster = Raster { width: 90, height: 60, pixels: (0..90 * 60).map(colour).collect() };
        let plane = crate::picture::even::plane(&raster);
        let opaque: Vec<bool> = raster.pixels.iter().map(|pixel| pixel[3] > 0).collect();
        let leaves = Leaves::new(&raster, &plane, &opaque);
        // Kept along one row, dropped along another that crosses the same leaves.
        let mut marks: Said = vec![None; 90 * 60];
        (0..90).for_each(|x| (marks[20 * 90 + x], marks[22 * 90 + x]) = (Some(true), Some(false)));
        let parted = leaves.parted(&marks).expect("leaves lie under both");
        assert!(parted.all.len() > leaves.all.len());
        let whole = parted.with(parted.of.clone(), parted.all.len(), |_| true);
        assert_eq!(parted.of, whole.of);
        for (one, other) in parted.all.iter().zip(&whole.all) {
            assert_eq!((one.framed, one.transparent), (other.framed, other.transparent));
            assert_eq!((one.colours.area(), one.colours.mean()), (other.colours.area(), other.colours.mean()));
        }
        let told = |of: &Leaves| {
            let mut links: Vec<_> = of.links.iter().map(|link| (link.ends, link.length, link.contrast)).collect();
            links.sort_by_key(|link| link.0);
            links
        };
        assert_eq!(told(&parted), told(&whole));
    }
}
