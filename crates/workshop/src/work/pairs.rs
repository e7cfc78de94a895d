//! The text form of a map whose keys are no plain words: a list of pairs, in the order of the keys.
//!
//! JSON knows only strings as keys.

use std::collections::BTreeMap;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

pub(super) fn serialize<K: Serialize, V: Serialize, S: Serializer>(
    map: &BTreeMap<K, V>,
    to: S,
) -> Result<S::Ok, S::Error> {
    to.collect_seq(map)
}

pub(super) fn deserialize<'a, K: Deserialize<'a> + Ord, V: Deserialize<'a>, D: Deserializer<'a>>(
    from: D,
) -> Result<BTreeMap<K, V>, D::Error> {
    Ok(Vec::<(K, V)>::deserialize(from)?.into_iter().collect())
}
