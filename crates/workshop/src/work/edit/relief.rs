//! Edits of heights, relations and marks.

use measure::length::Um;
use serde::{Deserialize, Serialize};

use crate::work::{Depth, RelationId, Says, Strength, Whom};

/// A change of the relief.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "ReliefEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Says how pieces or parts stand to each other.
    Relate {
        /// What is said.
        says: Says,
        /// How strongly.
        strength: Strength,
    },
    /// Says it otherwise.
    Restate {
        /// The relation.
        relation: RelationId,
        /// What is said.
        says: Says,
        /// How strongly.
        strength: Strength,
    },
    /// Takes a relation back.
    Unrelate(RelationId),
    /// Marks depth.
    Mark {
        /// Of whom.
        whom: Whom,
        /// How deep.
        depth: Depth,
    },
    /// Takes a mark back.
    Unmark(Whom),
    /// Pins the height. Thickness and raiser become undecided where they no longer add up to it.
    Height {
        /// Of whom.
        whom: Whom,
        /// Top above the backer.
        height: Um,
    },
    /// Pins thickness and raiser, and with them the height.
    Build {
        /// Of whom.
        whom: Whom,
        /// Thickness.
        thickness: Um,
        /// Raiser, 0 for none.
        raiser: Um,
    },
    /// Leaves height, thickness and raiser undecided.
    Unpin(Whom),
}
