//! How pieces are fitted to their neighbours.

use serde::{Deserialize, Serialize};

/// How a piece meets a neighbour whose edge is finished first. Where nothing is said both are sawn on their shared line,
/// and the gap between them is one kerf.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Meets {
    /// It is sawn with spare wood at that joint, and there cut to the finished edge of the other: a gap near 0.
    CutTo,
    /// Its opening is sawn too small, and opened out until the other, finished one goes in: a gap near 0.
    LetsIn,
}
