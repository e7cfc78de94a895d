//! Edits of the pattern.

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use crate::work::{AreaId, BorderId};

/// A change of the pattern.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "PatternEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Merges areas that touch into one. Of pieces the lowest number stays.
    Merge(Vec<AreaId>),
    /// Splits an area along a drawn line that enters and leaves it. The larger side keeps the number.
    Split {
        /// The area.
        area: AreaId,
        /// The line, µm; it is smoothed. Its ends may overshoot the border.
        along: Vec<Point>,
    },
    /// Opens an area: the backer shows there.
    Open(AreaId),
    /// Drops an area to ground: nothing is sawn, no backer shows.
    Drop(AreaId),
    /// Makes shadow or ground a piece with a new number.
    Close(AreaId),
    /// Sets how far the areas of a border stand apart: 0, or 0.3 to 3 mm.
    Gap {
        /// The border.
        border: BorderId,
        /// The gap.
        gap: Um,
    },
}
