//! Drawn lines that end inside an area.

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

/// A drawn line that parts nothing, since it ends in the open.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct LooseLine {
    /// Its middle, from the open end to where it meets another line, or to its other end.
    pub along: Vec<Point>,
    /// How wide it is drawn, burnt or sawn.
    pub width: Um,
    /// What becomes of it.
    #[serde(default)]
    pub becomes: LineBecomes,
}

/// What becomes of a line that ends inside a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum LineBecomes {
    /// Nothing.
    #[default]
    LeftOut,
    /// A slot sawn in from the border, open to the shadow behind.
    Slot,
    /// A line burnt into the face.
    Burnt,
}
