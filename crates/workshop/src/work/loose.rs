//! Drawn lines that end inside an area.

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

/// A drawn line that parts nothing, since it ends in the open.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct LooseLine {
    /// Its middle, from the open end to where it meets another line, or to its other end.
    pub along: Vec<Point>,
    /// Whether that other end lies in the open too.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(as = "Option<bool>", optional)]
    pub both: bool,
    /// How wide it is drawn, burnt or sawn.
    pub width: Um,
    /// What becomes of it.
    #[serde(default)]
    pub becomes: LineBecomes,
}

impl LooseLine {
    /// Its ends in the open.
    pub fn ends(&self) -> impl Iterator<Item = Point> + '_ {
        let other = self.along.last().filter(|_| self.both);
        self.along.first().into_iter().chain(other).copied()
    }
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
