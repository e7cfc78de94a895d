//! Drawn lines that end inside an area.

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

/// A drawn line that parts nothing, since it ends in the open or only leads from one line to another.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct LooseLine {
    /// Its middle, from the open end to where it meets another line, or to its other end.
    pub along: Vec<Point>,
    /// Whether that other end lies in the open too.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(as = "Option<bool>", optional)]
    pub both: bool,
    /// Whether neither does: it leads from one line to another, as a stalk on which a ring hangs.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(as = "Option<bool>", optional)]
    pub hangs: bool,
    /// How wide it is drawn, burnt or sawn.
    pub width: Um,
    /// What becomes of it.
    #[serde(default)]
    pub becomes: LineBecomes,
}

impl LooseLine {
    /// Where it is shown: its ends in the open, or its middle where it has none.
    pub fn places(&self) -> impl Iterator<Item = Point> + '_ {
        let first = if self.hangs { self.along.get(self.along.len() / 2) } else { self.along.first() };
        let other = self.along.last().filter(|_| self.both);
        first.into_iter().chain(other).copied()
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
