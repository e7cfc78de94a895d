//! The grid that regions are grown on: coarser than the picture where the stock's limits are many pixels wide.
//!
//! Growing, merging and the limits cost time by the pixel and see nothing that is much narrower than a piece may be, so they
//! work on blocks of pixels; the borders are then drawn on the picture's own pixels.

use super::even::Even;
use super::grid::{Grid, NOBODY};

/// A block is never so large that the least width has fewer of them. Fewer round off what could be sawn.
const LEAST_ACROSS: f64 = 9.0;

/// Largest side of a block.
const LARGEST: usize = 2;

/// Blocks of pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Blocks {
    /// The picture's grid.
    pub fine: Grid,
    /// The grid of blocks.
    pub grid: Grid,
    /// Pixels along a block's side.
    pub side: usize,
}

impl Blocks {
    /// For a least width of so many pixels.
    pub fn new(fine: Grid, least_width: f64) -> Blocks {
        Blocks::of_side(fine, ((least_width / LEAST_ACROSS) as usize).clamp(1, LARGEST))
    }

    /// Of so many pixels a side.
    pub fn of_side(fine: Grid, side: usize) -> Blocks {
        let grid = Grid { width: fine.width.div_ceil(side), height: fine.height.div_ceil(side) };
        Blocks { fine, grid, side }
    }

    fn members(self, block: usize) -> impl Iterator<Item = usize> {
        let (left, top) = (block % self.grid.width * self.side, block / self.grid.width * self.side);
        let (right, bottom) = ((left + self.side).min(self.fine.width), (top + self.side).min(self.fine.height));
        (top..bottom).flat_map(move |y| (left..right).map(move |x| y * self.fine.width + x))
    }

    /// The mean colour of each block.
    pub fn colours(self, plane: &[Even]) -> Vec<Even> {
        if self.side == 1 {
            return plane.to_vec();
        }
        let mean = |block: usize| {
            let (mut sum, mut count) = ([0i32; 3], 0);
            for at in self.members(block) {
                (0..3).for_each(|k| sum[k] += i32::from(plane[at][k]));
                count += 1;
            }
            sum.map(|v| (v as f64 / f64::from(count)).round() as i16)
        };
        (0..self.grid.len()).map(mean).collect()
    }

    /// Whether half or more of each block is inside.
    pub fn inside(self, inside: &[bool]) -> Vec<bool> {
        let mostly = |block: usize| {
            let (mut yes, mut count) = (0, 0);
            for at in self.members(block) {
                yes += usize::from(inside[at]);
                count += 1;
            }
            2 * yes >= count
        };
        (0..self.grid.len()).map(mostly).collect()
    }

    /// Whether any pixel of each block is marked.
    pub fn touched(self, marks: &[bool]) -> Vec<bool> {
        (0..self.grid.len()).map(|block| self.members(block).any(|at| marks[at])).collect()
    }

    /// The label of each pixel's block.
    pub fn spread(self, labels: &[u32]) -> Vec<u32> {
        if self.side == 1 {
            return labels.to_vec();
        }
        let mut out = vec![NOBODY; self.fine.len()];
        for (y, row) in out.chunks_exact_mut(self.fine.width).enumerate() {
            let from = &labels[y / self.side * self.grid.width..][..self.grid.width];
            row.chunks_mut(self.side).zip(from).for_each(|(pixels, label)| pixels.fill(*label));
        }
        out
    }

    /// The label of the pixel in the middle of each block.
    pub fn picked(self, labels: &[u32]) -> Vec<u32> {
        (0..self.grid.len())
            .map(|block| {
                let (x, y) = self.middle(block);
                let (x, y) = ((x as usize).min(self.fine.width - 1), (y as usize).min(self.fine.height - 1));
                labels[y * self.fine.width + x]
            })
            .collect()
    }

    /// Whether each pixel's block is marked.
    pub fn spread_marks(self, marks: &[bool]) -> Vec<bool> {
        let labels: Vec<u32> = marks.iter().map(|mark| u32::from(*mark)).collect();
        self.spread(&labels).into_iter().map(|label| label == 1).collect()
    }

    /// The middle of a block, in pixels of the picture.
    pub fn middle(self, block: usize) -> (f64, f64) {
        let along = |at: usize| (at as f64 + 0.5) * self.side as f64;
        (along(block % self.grid.width), along(block / self.grid.width))
    }
}
