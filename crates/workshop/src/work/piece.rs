//! Pieces, parts, variants and what was done at the bench.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use serde::{Deserialize, Serialize};

use super::{AreaId, Number, PartId, WoodId};

/// A value and who chose it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Chosen<T> {
    /// What was chosen.
    pub value: T,
    /// By whom.
    pub by: By,
}

impl<T> Chosen<T> {
    /// Chosen by an act: another act may change it.
    pub fn act(value: T) -> Chosen<T> {
        Chosen { value, by: By::Act }
    }

    /// Chosen by the maker's hand.
    pub fn hand(value: T) -> Chosen<T> {
        Chosen { value, by: By::Hand }
    }
}

/// Who chose: a fact outweighs the hand, the hand outweighs an act. Acts may touch only what acts chose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum By {
    /// A long act of spelk.
    Act,
    /// The maker.
    Hand,
    /// It is so: cut, measured or set.
    Fact,
}

/// The direction of the grain on the face: hundredths of a degree, 0 to 17 999, counterclockwise from "to the right" as
/// seen from the front. Grain has no sense, so 180° is 0°.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(transparent)]
pub struct Axis(pub u16);

impl Axis {
    /// The axis at `degrees`, any real number.
    pub fn degrees(degrees: f64) -> Axis {
        Axis((degrees.rem_euclid(180.0) * 100.0).round() as u16 % 18_000)
    }

    /// In degrees, 0 to 180.
    pub fn to_degrees(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}

/// A piece. Everything that is `None` is undecided, an honest value at any time.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Piece {
    /// Its area of the pattern.
    pub area: AreaId,
    /// What is decided of it.
    #[serde(flatten)]
    pub values: PieceValues,
    /// How far it is.
    pub state: State,
}

/// What can be decided of a piece.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct PieceValues {
    /// Its wood.
    pub wood: Option<Chosen<WoodId>>,
    /// Its grain direction.
    pub grain: Option<Chosen<Axis>>,
    /// How far its top stands above the backer: raiser + thickness.
    pub height: Option<Chosen<Um>>,
    /// Its thickness.
    pub thickness: Option<Chosen<Um>>,
    /// Scrap under it that lifts it; 0 for none.
    pub raiser: Option<Chosen<Um>>,
}

/// How far a piece is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// On paper only.
    #[default]
    Planned,
    /// Sawn.
    Cut,
    /// Sanded to its height and form.
    Shaped,
    /// Glued into place.
    Set,
}

/// A number that was merged away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Retired {
    /// The piece that took it in.
    pub into: Number,
}

/// A named group of pieces, as the maker speaks of it.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Its own pieces; those of the parts within it belong to it too. A piece lies in one part at most.
    pub pieces: BTreeSet<Number>,
    /// The part that it lies in.
    pub within: Option<PartId>,
}

/// A part's plan kept under a name.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Variant {
    /// Its name.
    pub name: String,
    /// The part.
    pub part: PartId,
    /// The values of its pieces as they were kept.
    pub values: BTreeMap<Number, PieceValues>,
}

/// A day, as the maker wrote it: year, month, day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Date(pub u16, pub u8, pub u8);

/// Something that happened at the bench.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Fact {
    /// A piece came to be in this state, its measured height given if it was taken.
    Became {
        /// The piece.
        piece: Number,
        /// Its new state.
        state: State,
        /// The day.
        on: Date,
        /// Its measured height, µm.
        #[serde(default)]
        height: Option<Um>,
    },
    /// An earlier entry was a mistake.
    Struck {
        /// Its place in the log, from 0.
        entry: u32,
        /// Why.
        why: String,
    },
}
