//! Edits of boards and of what lies on them.

use std::collections::BTreeSet;

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use crate::work::{Board, BoardId, Laying, Lie, Number};

/// A change of the boards or of the layout.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "StockEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Puts a board on the rack.
    Put(Box<Board>),
    /// Puts a rectangle on the rack, its grain along its length.
    PutSize {
        /// What the maker calls it.
        name: String,
        /// Its wood, by key.
        wood: String,
        /// Length along the grain, width, thickness.
        size: (Um, Um, Um),
    },
    /// Takes a board off the rack; what lies on it is laid nowhere.
    Away(BoardId),
    /// Says what a board cost, hundredths of a coin; none forgets it.
    Price {
        /// The board.
        board: BoardId,
        /// How much.
        price: Option<u32>,
    },
    /// Notes a place to keep off.
    Fault {
        /// The board.
        board: BoardId,
        /// A closed line around it.
        around: Vec<Point>,
    },
    /// Takes a fault back, by its place, counted from 0.
    Unfault {
        /// The board.
        board: BoardId,
        /// Which.
        fault: usize,
    },
    /// Notes a place with a colour of its own.
    Zone {
        /// The board.
        board: BoardId,
        /// What the maker calls it.
        name: String,
        /// A closed line around it, on the board.
        around: Vec<Point>,
        /// Kept for pieces that are pinned there.
        #[serde(default)]
        keep: bool,
    },
    /// Takes a zone back, by its place, counted from 0.
    Unzone {
        /// The board.
        board: BoardId,
        /// Which.
        zone: usize,
    },
    /// Pins a piece to a place on a board. What acts laid in its way lies nowhere until it is laid out again.
    Pin {
        /// The piece.
        piece: Number,
        /// Where.
        lie: Lie,
    },
    /// Lets an act move a piece again.
    Unpin(Number),
    /// The pieces are sawn out of their boards where they lie.
    Cut(BTreeSet<Number>),
    /// A piece was not cut after all.
    Uncut(Number),
    /// Cuts a board in two, square to its first edge: so far from its left end. The rest becomes a board of its own.
    Crosscut {
        /// The board.
        board: BoardId,
        /// How far along x.
        at: Um,
    },
    /// Saws a board in two across its thickness: it becomes so thick, and what is left by the saw and by planing the new
    /// faces becomes a board of its own.
    Resaw {
        /// The board.
        board: BoardId,
        /// How thick it becomes.
        to: Um,
    },
    /// Agrees with the shop on a board: what the shop knows and the job does not is taken over, and what of the job's own
    /// the shop knows is remembered.
    Agree {
        /// The board.
        board: BoardId,
        /// Its number in the shop.
        shop: BoardId,
        /// The board as the shop has it.
        of: Box<Board>,
    },
    /// Sets how pieces are laid.
    Laying(Laying),
}
