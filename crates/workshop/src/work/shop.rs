//! The shop: what outlives a job.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Wood, WoodId};

/// What outlives a job. A job keeps a copy of what it used.
#[derive(Clone, Debug, Default, PartialEq, Hash, Serialize, Deserialize)]
pub struct Shop {
    /// The maker's own woods: new ones, or the table's with the maker's own colour.
    pub woods: BTreeMap<WoodId, Wood>,
}

/// A change of the shop.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShopEdit {
    /// Adds or replaces a wood.
    PutWood(Box<Wood>),
    /// Forgets an own wood; the table's wood of the same key shows again.
    DropWood(WoodId),
}
