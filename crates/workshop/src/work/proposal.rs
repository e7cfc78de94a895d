//! Long acts: what is asked, and the values that come back.

use std::collections::BTreeMap;

use measure::Stamp;
use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use super::{Axis, Lie, LooseLine, Number, Pattern, TraceChoices, WoodId};

/// A long act.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Ask {
    /// Draw the pattern from the picture.
    Trace(TraceChoices),
    /// A wood and a grain direction for every piece that acts may decide.
    ChooseWoods,
    /// A grain direction for every piece that has a wood and whose grain acts may decide.
    TurnGrain,
    /// Heights for every piece that acts may decide.
    WorkOutHeights,
    /// After a change or a fact: musts and facts kept, wishes missed by no more than before, the fewest pieces moved.
    MendHeights,
    /// A place on a board for every piece that acts may lay. More effort, less waste.
    LayOut {
        /// Attempts beyond the first.
        effort: u32,
    },
}

/// An answer to an `Ask`: values, and what they rest on. Nothing changes until it is taken.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize)]
pub struct Proposal {
    /// What was asked.
    pub ask: Ask,
    /// The fingerprint of every input that was read: taking is refused once it differs.
    pub rests_on: Stamp,
    /// The values.
    pub values: Values,
    /// What they cost, in the act's own measure.
    pub cost: Cost,
    /// False when it was stopped early: the best so far.
    pub done: bool,
}

/// The values of a proposal.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Values {
    /// A draft: its areas are unnumbered, its ids count from 1.
    Pattern {
        /// The draft.
        draft: Pattern,
        /// What fell under a limit and was taken in by a neighbour.
        swallowed: Vec<Swallowed>,
        /// Lines that part nothing.
        #[serde(default)]
        loose: Vec<LooseLine>,
    },
    /// Woods and grain.
    Woods(BTreeMap<Number, WoodGrain>),
    /// Grain alone.
    Grain(BTreeMap<Number, Axis>),
    /// Heights.
    Heights(BTreeMap<Number, Landed>),
    /// Where pieces lie; whatever an act laid and is not named here lies nowhere.
    Layout(BTreeMap<Number, Lie>),
}

/// Something seen in the picture that was too small or too thin to saw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Swallowed {
    /// Where it was.
    pub at: Point,
    /// Its widest inscribed circle.
    pub widest: Um,
    /// Its area, hundredths of mm².
    pub area: u32,
}

/// A wood and a grain direction.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct WoodGrain {
    /// The wood.
    pub wood: WoodId,
    /// The grain.
    pub grain: Axis,
}

/// A height and how it is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Landed {
    /// Top above the backer.
    pub height: Um,
    /// Thickness.
    pub thickness: Um,
    /// Raiser.
    pub raiser: Um,
}

/// What a proposal costs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Cost(pub i64);
