//! The shop: what outlives a job.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Board, BoardId, Wood, WoodId};

/// What outlives a job. A job keeps a copy of what it used.
#[derive(Clone, Debug, Default, PartialEq, Hash, Serialize, Deserialize)]
pub struct Shop {
    /// The maker's own woods: new ones, or the table's with the maker's own colour.
    pub woods: BTreeMap<WoodId, Wood>,
    /// Boards and offcuts.
    #[serde(default)]
    pub boards: BTreeMap<BoardId, Board>,
}

/// A change of the shop.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ShopEdit {
    /// Adds or replaces a wood.
    PutWood(Box<Wood>),
    /// Forgets an own wood; the table's wood of the same key shows again.
    DropWood(WoodId),
    /// Puts a board on the rack; with a number, in the place of the one that it has.
    PutBoard {
        /// Its number in the shop.
        #[serde(default)]
        id: Option<BoardId>,
        /// The board.
        board: Box<Board>,
    },
    /// Takes a board off the rack.
    DropBoard(BoardId),
}
