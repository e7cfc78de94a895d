//! What carries the pieces: allowances of the backer and of the alignment frame.

use measure::length::Um;
use serde::{Deserialize, Serialize};

/// Allowances around the work.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct Mount {
    /// How far the backer reaches beyond the line where open shadow at the edge shows it.
    pub beyond: Um,
    /// How far it stays behind the line where a piece hides its edge.
    pub behind: Um,
    /// Play between the work and the alignment frame.
    pub clearance: Um,
    /// Breadth of the alignment frame at its narrowest.
    pub frame: Um,
}

impl Default for Mount {
    /// 3 mm beyond, 2 mm behind, 0.5 mm of play, a frame of 25 mm: common practice, no source.
    fn default() -> Mount {
        Mount { beyond: Um(3000), behind: Um(2000), clearance: Um(500), frame: Um(25_000) }
    }
}
