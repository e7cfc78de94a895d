//! The lit relief in its woods, as pixels.
//!
//! Method: every sample of a grid (2 × 2 a pixel) learns its area, its distance from the nearest border and so its
//! height, eased edge and normal (`field`). Light is a soft lamp at the upper left and an even sky: what each sample
//! sees of both follows from horizons swept over the height field in O(1) a sample and direction (`horizon`, after
//! Timonen and Westerholm 2010). Wood is a solid of rings, vessels, rays and fibre cut along the piece's grain
//! (`solid`, `rings`, `marks`; built as `data/solids.csv` says).
//! Everything is reckoned in linear light; a flat, fully lit face keeps the finished colour of its wood.
//!
//! Where it fails: straight on only; light that bounces between pieces is an estimate by reflectance, not traced; a wood
//! is drawn as its kind grows and is no portrait of a board.

mod anatomy;
mod backdrop;
mod edges;
mod field;
mod horizon;
mod light;
mod marks;
mod noise;
mod rings;
mod solid;
mod swatch;
#[cfg(test)]
mod tests;

pub use swatch::swatch;

use measure::Watch;

use crate::derived::Derived;
use crate::work::Work;

use backdrop::Faces;
use field::{Field, Grid};

/// The most pixels across that a view may have: about 700 MB while it is made.
pub const WIDEST_VIEW: u32 = 8000;

/// How the view is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Pixels across, 1 to `WIDEST_VIEW`; the height follows from the panel.
    pub width: u32,
}

/// A picture of the relief: sRGB, three bytes a pixel, row by row from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lit {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue.
    pub pixels: Vec<u8>,
}

/// Renders the relief straight on, lit from the upper left. `None` when the watch stopped it. Undecided woods show plain,
/// undecided heights flat.
pub fn render(work: &Work, derived: &mut Derived, pose: Pose, watch: Watch) -> Option<Lit> {
    let outlines = derived.outlines(work);
    let grid = Grid::new(work.panel, pose.width.clamp(1, WIDEST_VIEW));
    let told = |share| (!watch.stopped()).then(|| watch.tell("lighting the relief", share));
    told(0.0)?;
    let faces = Faces::of(work, grid.step);
    let labels = outlines.labels(grid.across, grid.down);
    told(0.15)?;
    let edges = edges::near_borders(work, &outlines, &grid, watch)?;
    let field = Field::new(&faces, labels, edges, grid);
    told(0.3)?;
    let lamp = light::lamp(&field, watch)?;
    told(0.6)?;
    let sky = light::sky(&field, watch)?;
    told(0.7)?;
    let pixels = light::develop(&field, &faces, &light::Seen { lamp, sky }, watch)?;
    told(1.0)?;
    Some(Lit { width: grid.width, height: grid.height, pixels })
}
