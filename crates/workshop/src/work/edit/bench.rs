//! Edits of the bench log.

use serde::{Deserialize, Serialize};

use crate::work::Fact;

/// A change of the log.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "BenchEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Logs a fact.
    Log(Fact),
}
