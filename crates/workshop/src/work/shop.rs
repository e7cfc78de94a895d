//! The shop: what outlives a job.

use std::collections::BTreeMap;

use measure::length::Um;
use serde::{Deserialize, Serialize};

use super::{Board, BoardId, Counters, Wood, WoodId};

/// What outlives a job. A job keeps a copy of what it used.
#[derive(Clone, Debug, Default, PartialEq, Hash, Serialize, Deserialize)]
pub struct Shop {
    /// The maker's own woods: new ones, or the table's with the maker's own colour.
    pub woods: BTreeMap<WoodId, Wood>,
    /// Boards and offcuts.
    #[serde(default)]
    pub boards: BTreeMap<BoardId, Board>,
    /// Where boards that jobs gave come from; what is told of a dropped board stays.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub lines: BTreeMap<BoardId, Line>,
    /// The next number of a board: a number is never given again.
    #[serde(default)]
    pub next: Counters,
}

/// Where a board of the shop comes from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Line {
    /// The job that gave it, by its key, and its number there.
    #[serde(default)]
    pub origin: Option<(String, BoardId)>,
    /// The board that it was parted from, and how thick that was before.
    #[serde(default)]
    pub parted: Option<(BoardId, Um)>,
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
    /// Puts a board of a job on the rack, under the next number.
    TakeIn {
        /// The board.
        board: Box<Board>,
        /// Where it comes from.
        line: Line,
    },
}
