//! Edits of heights, relations and marks.

use measure::length::Um;
use serde::{Deserialize, Serialize};

use crate::work::{Depth, Named, RelationId, Says, Strength, Whom};

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
    /// The same, by a named step, which stands in place of the distance that it says.
    RelateBy {
        /// What is said.
        says: Says,
        /// How strongly.
        strength: Strength,
        /// By how much.
        named: Named,
    },
    /// Keeps two apart, the one in front above the other: by their depth marks, else by the borders between them. Refused
    /// where neither tells.
    KeepApart {
        /// The one.
        one: Whom,
        /// The other.
        other: Whom,
        /// By how much at the least.
        named: Named,
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
