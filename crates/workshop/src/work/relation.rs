//! How pieces and parts stand to each other in height.

use measure::length::Um;
use serde::{Deserialize, Deserializer, Serialize};

use super::{By, Number, PartId};

/// A piece, every piece of a part, or an anchor: what stands fixed, so that pieces can be said to stand to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Whom {
    /// One piece.
    Piece(Number),
    /// Every piece of a part and of the parts within it.
    Part(PartId),
    /// The backer's face, from which heights are counted: an anchor of relations, and of nothing else.
    Backer,
    /// The front of the frame, as far before the backer as the frame is deep: an anchor as well.
    Frame,
}

/// A relation: what is said, how strongly, and by whom.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Relation {
    /// What is said.
    pub says: Says,
    /// A must, or a wish with a weight.
    pub strength: Strength,
    /// Who said it.
    pub by: By,
    /// The named step that its distance is, if it is one: it follows the job's step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub named: Option<Named>,
}

/// A distance by name; how much it is, one setting of the job says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Named {
    /// Half a step, yet one that reads.
    Hair,
    /// The job's step.
    Step,
    /// Twice the step.
    Lot,
}

/// What can be said of heights. For a part it holds of each of its pieces.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Says {
    /// `above` stands at least `by` above `below`.
    AtLeast {
        /// The higher.
        above: Whom,
        /// The lower.
        below: Whom,
        /// By how much at the least.
        by: Um,
    },
    /// `above` stands about `by` above `below`: as a wish, its distance from `by` costs; as a must it is exact.
    About {
        /// The higher.
        above: Whom,
        /// The lower.
        below: Whom,
        /// By how much.
        by: Um,
    },
    /// Both tops are level.
    Level(Whom, Whom),
    /// Both are built the same, of one thickness on one raiser, and so are level.
    SameAs(Whom, Whom),
    /// Fixed at a height.
    At(Whom, Um),
    /// No lower than the first height, no higher than the second.
    Within(Whom, Um, Um),
    /// Each of the row stands no lower than the one before it; the first at `from`, the last at `to`, the others
    /// wished evenly between.
    Climbs {
        /// In order, lowest first; at least two.
        row: Vec<Whom>,
        /// Height of the first.
        from: Um,
        /// Height of the last.
        to: Um,
    },
}

impl Says {
    /// Everyone that it speaks of, in the order that they are said.
    pub fn whom(&self) -> Vec<Whom> {
        match self {
            Says::AtLeast { above, below, .. } | Says::About { above, below, .. } => vec![*above, *below],
            Says::Level(one, other) | Says::SameAs(one, other) => vec![*one, *other],
            Says::At(whom, _) | Says::Within(whom, ..) => vec![*whom],
            Says::Climbs { row, .. } => row.clone(),
        }
    }

    /// The distance that it says, if it says one.
    pub fn distance(&mut self) -> Option<&mut Um> {
        match self {
            Says::AtLeast { by, .. } | Says::About { by, .. } => Some(by),
            _ => None,
        }
    }

    /// Whether it speaks of `whom` by name.
    pub fn speaks_of(&self, whom: Whom) -> bool {
        self.whom().contains(&whom)
    }
}

/// How strongly a relation holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Strength {
    /// It holds, or there is no relief.
    Must,
    /// What it is missed by costs this much a micrometre, 1 to 1 000 000.
    Wish(#[serde(deserialize_with = "weight")] u32),
}

fn weight<'de, D: Deserializer<'de>>(from: D) -> Result<u32, D::Error> {
    let rule = "a wish has a whole weight from 1 to 1000000";
    measure::whole::read(from, 0..=i64::from(u32::MAX), rule).map(|whole| whole as u32)
}

/// A depth mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Depth {
    /// Lowest.
    Far,
    /// Between.
    Middle,
    /// Highest.
    Near,
}
