//! Edits of the job's settings.

use serde::{Deserialize, Serialize};

use crate::work::{Mount, Saw, Size, Stock, Unit, Wood, WoodId};

/// A change of the settings.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "SetupEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Names the work.
    Title(String),
    /// Sets the panel; refused once there is a pattern.
    Panel(Size),
    /// Sets the unit.
    Unit(Unit),
    /// Sets what the pieces are sawn from, and the limits.
    Stock(Stock),
    /// Sets how many woods there may be.
    WoodsMost(u32),
    /// Sets into how many tones the picture's colours are gathered, 2 to 60.
    Tones(u32),
    /// Sets the backer's front veneer.
    Backer(WoodId),
    /// Sets the finish.
    Finish(String),
    /// Sets the saw and its blades.
    Saw(Saw),
    /// Sets the allowances of the backer and of the alignment frame.
    Mount(Mount),
    /// Offers a wood to the job, or corrects one.
    #[ts(skip)]
    Offer(Box<Wood>),
}
