//! From the bytes of an image to regions: decode, subject, merge tree, limits.

use std::collections::BTreeMap;

use measure::Watch;
use measure::colour::Lab;

use crate::work::{AreaId, Refusal, Size, Stock, Swallowed, TraceChoices};

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

/// The picture's mean colour by area.
pub type Colours = BTreeMap<AreaId, Lab>;

/// The merge tree of a picture.
#[derive(Debug)]
pub struct Tree {}

/// Decodes PNG, JPEG, WebP, TIFF, GIF or BMP; turns it upright (EXIF), brings an embedded profile to sRGB.
/// At most 100 megapixels and 20 000 pixels a side are accepted. Large pictures are brought down to working size.
pub fn read(_bytes: &[u8]) -> Result<Raster, Refusal> {
    unimplemented!()
}

/// Grows the merge tree of the subject.
pub fn tree(_raster: &Raster, _panel: Size, _choices: &TraceChoices, _watch: Watch) -> Result<Tree, Refusal> {
    unimplemented!()
}

/// Cuts the tree at about `choices.pieces` regions, each within the stock's limits.
pub fn regions(
    _raster: &Raster,
    _tree: &Tree,
    _panel: Size,
    _choices: &TraceChoices,
    _stock: &Stock,
    _watch: Watch,
) -> Regions {
    unimplemented!()
}

/// The mean colour of each label; label 0 is nobody, label `n` is area `n`.
pub fn colours(_raster: &Raster, _labels: &Labels) -> Colours {
    unimplemented!()
}
