//! The lit relief in its woods, as pixels.
//!
//! Method: every sample of a grid (2 × 2 a pixel) learns its area, its distance from the nearest border and so its
//! height, eased edge and normal (`field`). Light is a soft lamp and an even sky: what each sample sees of both follows
//! from horizons swept over the height field in O(1) a sample and direction (`horizon`, after Timonen and Westerholm
//! 2010), and so does what faces throw back at each other (`sky`). Wood is a solid of rings, vessels, rays and fibre cut along the piece's grain
//! (`solid`, `rings`, `marks`; built as `data/solids.csv` says).
//! Everything is reckoned in linear light; a flat, fully lit face keeps the finished colour of its wood.
//!
//! Where a piece lies on a photographed board, its face is that part of the photograph (`photo`).
//!
//! Seen from aside, rows are swept for what hides what (`oblique`).
//!
//! Where it fails: light that bounces between pieces is an estimate by reflectance, not traced; a wood
//! is drawn as its kind grows and is no portrait of a board.

mod anatomy;
mod backdrop;
mod beside;
mod develop;
mod edges;
mod expose;
mod field;
mod frame;
mod glb;
mod gloss;
mod horizon;
mod joints;
mod light;
mod maps;
mod marks;
mod noise;
mod oblique;
mod photo;
mod pose;
mod rings;
mod sky;
mod solid;
mod swatch;
#[cfg(test)]
mod tests;
mod walls;

pub use beside::compared;
pub use glb::glb;
pub use maps::{Map, depth, linear};
pub use pose::{Light, MOST_ASIDE, Pose, Show, Surface};
pub use swatch::swatch;

use measure::Watch;

use crate::derived::Derived;
use crate::work::Work;

/// The most pixels across that a view may have: about 1 GB while it is made.
pub const WIDEST_VIEW: u32 = 8000;

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

/// Renders the relief. `None` when the watch stopped it. Undecided woods show plain, undecided heights flat.
pub fn render(work: &Work, derived: &mut Derived, pose: Pose, watch: Watch) -> Option<Lit> {
    let pose = clamped(pose);
    let shot = expose::expose(work, derived, &pose, watch)?;
    let lit = develop::develop(&shot, &pose, watch)?;
    watch.tell("lighting the relief", 1.0);
    Some(lit)
}

/// The pose within what can be made.
fn clamped(pose: Pose) -> Pose {
    Pose { width: pose.width.clamp(1, WIDEST_VIEW), aside: pose.aside.clamp(-MOST_ASIDE, MOST_ASIDE), ..pose }
}
