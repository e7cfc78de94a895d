//! From the bytes of an image to regions: decode, subject, merge tree, limits.
//!
//! `read` decodes and brings to working size; `tree` finds leaves (watershed of a colour gradient), straightens their
//! borders once, merges them from a heap, and finds the base: the finest regions that can be sawn, drawn on the picture's pixels.
//! `regions` makes a draft by gathering those and rounding their borders, `Finest` one at once by gathering them alone; `colours`
//! says what colour each area has in the picture. Colours are compared in `even`; `tones` gathers them into a few with names.

mod around;
mod base;
mod cutout;
mod draw;
mod drawn;
mod even;
mod exchange;
mod finest;
mod flat;
mod framing;
mod gather;
mod gradient;
mod graph;
mod grid;
mod ink;
mod limits;
mod mask;
mod mean;
mod paper;
mod places;
pub(crate) mod plane;
mod read;
mod regions;
mod relax;
mod scale;
mod shown;
mod size;
mod subject;
mod tone_names;
mod tones;
mod tree;
mod trim;
mod watershed;
mod widest;
mod writing;

#[cfg(test)]
mod tests;

use crate::work::Swallowed;

pub use around::{held_of, regions_around};
pub(crate) use cutout::{Cutout, under_mark};
pub use finest::{Finest, Gathering};
pub(crate) use framing::{Framed, fitted, scaled};
pub use ink::without_ink;
pub use mask::masked;
pub use mean::{Colours, colours};
pub use paper::{Closed, Sheet, closed, drawing, go_round, millionths, sheet};
pub use read::{read, read_framed, sides};
pub use regions::regions;
pub(crate) use shown::Shown;
pub(crate) use subject::plain_subject;
pub use tones::{ColourCount, Tone};
pub use tree::{Tree, tree};

/// A decoded picture: upright, sRGB, straight alpha, row by row from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Raster {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue, alpha.
    pub pixels: Vec<[u8; 4]>,
}

/// One number a pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Labels {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Row by row from the top.
    pub of: Vec<u32>,
}

/// Regions found in a picture, ready to be fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Regions {
    /// Labels from 0 without a hole in the counting; each 4-connected.
    pub labels: Labels,
    /// By label, whether it is ground.
    pub ground: Vec<bool>,
    /// What was too thin or too small and went into a neighbour.
    pub swallowed: Vec<Swallowed>,
}
