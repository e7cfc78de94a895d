//! Edits of the picture.

use serde::{Deserialize, Serialize};

use crate::work::PictureRef;

/// A change of the picture.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "PictureEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Starts from this picture, or replaces it under the pattern.
    Place(PictureRef),
    /// Says whose it is.
    Credit {
        /// Who made it.
        author: String,
        /// Where it is from.
        source: String,
        /// By what permission it is used.
        permission: String,
    },
}
