//! Edits of the job's settings.

use measure::colour::Lab;
use measure::length::Um;
use serde::{Deserialize, Serialize};

use crate::work::{Frame, Mount, Reading, Saw, Size, Stock, Unit, Wood, WoodId};

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
    /// Sets what "a step" between pieces is; a hair is half of it, a lot twice as much. Relations said by these names follow.
    Step(Um),
    /// Wishes for at most so many thicknesses that pieces are planed to; none wishes nothing.
    PlanerSettings(Option<u32>),
    /// Says from where the work is looked at and in which light; none forgets it.
    Reading(Option<Reading>),
    /// Says how deep the frame is before the backer's face; none forgets it.
    FrameDepth(Option<Um>),
    /// Gives the work a frame with a rabbet; none takes it away.
    Frame(Option<Frame>),
    /// Sets the veneer of the board behind the ground; none leaves it plain.
    Ground(Option<WoodId>),
    /// Sets the allowances of the backer and of the alignment frame.
    Mount(Mount),
    /// Sets how many woods a tone may have (0 lets each piece have its own), and the least and greatest difference between
    /// them, hundredths of ΔE00.
    PerTone {
        /// How many.
        woods: u32,
        /// The least difference.
        least: u32,
        /// The greatest.
        greatest: u32,
    },
    /// Says how much board face of a wood is on hand, mm²; none forgets it.
    OnHand {
        /// The wood.
        wood: WoodId,
        /// How much.
        mm2: Option<u32>,
    },
    /// Sets whether only woods on hand may be chosen.
    OnlyOnHand(bool),
    /// Says what a wood costs, hundredths of a coin for a dm²; none forgets it.
    Price {
        /// The wood.
        wood: WoodId,
        /// How much.
        per_dm2: Option<u32>,
    },
    /// Fits a finish by a pair of samples of one wood, raw and finished, and takes it as the job's.
    FitFinish {
        /// What the maker calls it.
        name: String,
        /// The raw sample.
        raw: Lab,
        /// The finished one.
        finished: Lab,
    },
    /// Offers a wood to the job, or corrects one.
    #[ts(skip)]
    Offer(Box<Wood>),
}
