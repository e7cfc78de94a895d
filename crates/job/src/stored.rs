//! The stored form of a document's state, with its version.
//!
//! It wraps the values' one text form (serde, `workshop::work`) as `{"version": 1, "state": {…}}`. While a change of
//! the values only adds fields with defaults, the version stays. When it renames or reshapes, `VERSION` goes up by one
//! and `UPGRADES` gets the function that turns the old JSON into the new, so that old revisions are read for ever and
//! never rewritten. The kind of document is no part of it: the file says that.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// The version that is written.
pub const VERSION: u32 = 1 + UPGRADES.len() as u32;

/// From each version to the next, the first from version 1.
const UPGRADES: [fn(Value) -> Value; 0] = [];

#[derive(Serialize, Deserialize)]
struct Stored<V> {
    version: u32,
    state: V,
}

#[derive(Deserialize)]
struct Stamped {
    version: u32,
}

/// Why a stored state cannot be used.
#[derive(Debug)]
pub(crate) enum Bad {
    /// Written by a later spelk.
    Later(u32),
    /// No state at all.
    Form(serde_json::Error),
}

/// The text of a state, as it is stored.
pub(crate) fn to_text<V: Serialize>(state: &V) -> Result<Vec<u8>, serde_json::Error> {
    serde_json::to_vec(&Stored { version: VERSION, state })
}

/// The state of a stored text, brought to the present version.
pub(crate) fn from_text<V: DeserializeOwned>(text: &[u8]) -> Result<V, Bad> {
    let version = serde_json::from_slice::<Stamped>(text).map_err(Bad::Form)?.version;
    if version == VERSION {
        return Ok(serde_json::from_slice::<Stored<V>>(text).map_err(Bad::Form)?.state);
    }
    if version > VERSION {
        return Err(Bad::Later(version));
    }
    let old = serde_json::from_slice::<Stored<Value>>(text).map_err(Bad::Form)?.state;
    let new = UPGRADES.iter().skip(version.saturating_sub(1) as usize).fold(old, |state, upgrade| upgrade(state));
    serde_json::from_value(new).map_err(Bad::Form)
}
