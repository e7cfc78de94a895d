//! Edits of woods and grain.

use measure::plane::Point;
use serde::{Deserialize, Serialize};

use crate::work::{Axis, Whom, WoodId};

/// A change of woods or grain.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "WoodEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// The maker chooses a wood.
    Choose {
        /// For whom.
        whom: Whom,
        /// The wood.
        wood: WoodId,
    },
    /// Leaves the wood undecided.
    Unchoose(Whom),
    /// The maker turns the grain.
    Grain {
        /// For whom.
        whom: Whom,
        /// The direction.
        axis: Axis,
    },
    /// Draws a stroke of grain over the subject.
    Stroke(Vec<Point>),
    /// Takes a stroke away, by its place, counted from 0.
    Unstroke(usize),
    /// Leaves the grain undecided.
    Ungrain(Whom),
    /// A raw colour that the maker measured, in the place of the table's.
    Measured {
        /// The wood.
        wood: WoodId,
        /// L*, a* and b*, thousandths.
        lab: [i32; 3],
        /// What it was measured on.
        from: String,
    },
    /// A colour measured on a test piece under the job's finish, in the place of what the table tells.
    Tested {
        /// The wood.
        wood: WoodId,
        /// Finished L*, a* and b*, thousandths.
        lab: [i32; 3],
        /// Coats of the finish.
        coats: u32,
        /// By whom and when.
        from: String,
    },
}
