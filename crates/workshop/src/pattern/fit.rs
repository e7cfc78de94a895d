//! Regions to shared borders: crack graph, smoothing inside a tube, cubic fit, proof.

use measure::Watch;

use crate::picture::Regions;
use crate::work::{Pattern, Size};

/// Fits every border between two regions once. The draft's ids count from 1; ground is `Becomes::Ground`, everything
/// else `Becomes::Unnumbered`. The result passes `prove`.
pub fn fit(_regions: &Regions, _panel: Size, _watch: Watch) -> Pattern {
    unimplemented!()
}
