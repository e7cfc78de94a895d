//! What the pages ask of the saw: a blade for each piece.

use measure::length::Um;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use workshop::work::Number;

/// `GET /api/saw`: how the pieces are sawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Sawn {
    /// The blades in the order in which they are put in, the finest first.
    pub blades: Vec<BladeSeen>,
    /// Every piece.
    pub pieces: Vec<SawnPiece>,
}

/// A blade that pieces are sawn with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct BladeSeen {
    /// The trade's number.
    pub number: String,
    /// From teeth to back.
    pub width: Um,
    /// What it removes.
    pub kerf: Um,
    /// The least radius that it follows.
    pub bend: Um,
    /// The hole that it is threaded through.
    pub hole: Um,
}

/// How a piece is sawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct SawnPiece {
    /// The piece.
    pub piece: Number,
    /// Its blade, by its place among the blades.
    pub blade: usize,
    /// Why this one.
    pub why: String,
    /// Radius of its tightest bend, if it has any.
    pub bend: Option<Um>,
    /// Start holes to drill.
    pub holes: u32,
}
