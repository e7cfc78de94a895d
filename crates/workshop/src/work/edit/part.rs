//! Edits of parts and variants.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::work::{Number, PartId, VariantId};

/// A change of parts or variants.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "PartEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Names a new part. Its pieces leave the part that they were in.
    Name {
        /// Its name, not yet in use.
        name: String,
        /// Its pieces.
        pieces: BTreeSet<Number>,
        /// The part that it lies in.
        #[serde(default)]
        within: Option<PartId>,
    },
    /// Renames a part.
    Rename {
        /// The part.
        part: PartId,
        /// Its new name.
        name: String,
    },
    /// Brings pieces into a part; they leave the part that they were in.
    Bring {
        /// The part.
        part: PartId,
        /// The pieces.
        pieces: BTreeSet<Number>,
    },
    /// Takes pieces out of a part.
    Release {
        /// The part.
        part: PartId,
        /// The pieces.
        pieces: BTreeSet<Number>,
    },
    /// Lays a part into another, or into none.
    Nest {
        /// The part.
        part: PartId,
        /// Its new surrounding part.
        within: Option<PartId>,
    },
    /// Gives up the name; the pieces stay. Parts within it move up.
    Disband(PartId),
    /// Keeps the part's plan as it is now under a name.
    Keep {
        /// The part.
        part: PartId,
        /// The variant's name, not yet in use for the part.
        name: String,
    },
    /// Puts a variant back. Pieces that are cut or set keep their values.
    PutBack(VariantId),
    /// Forgets a variant.
    Forget(VariantId),
}
