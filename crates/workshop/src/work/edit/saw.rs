//! Edits of how pieces are fitted.

use serde::{Deserialize, Serialize};

use crate::work::Number;

/// A change of how a piece meets a neighbour, at every border between the two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "SawEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// A piece is sawn with spare wood at a joint and cut to the finished edge of its neighbour there.
    CutTo {
        /// The piece with the spare wood.
        piece: Number,
        /// The neighbour that is finished first.
        to: Number,
    },
    /// A finished piece is let into an opening of the piece around it.
    LetIn {
        /// The piece that is let in.
        piece: Number,
        /// The piece around it.
        into: Number,
    },
    /// Both are sawn on their shared line again.
    OnLine {
        /// One of the two.
        piece: Number,
        /// The other.
        with: Number,
    },
}
