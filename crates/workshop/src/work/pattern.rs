//! The pattern: junctions, borders, areas. Outlines are derived (`pattern::outlines`), never stored.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::{Cubic, Point};
use serde::{Deserialize, Serialize};

use super::{AreaId, BorderId, JunctionId, Number};

/// The panel divided by borders.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Pattern {
    /// Where borders meet.
    pub junctions: BTreeMap<JunctionId, Point>,
    /// Every border, the edge of the panel included.
    pub borders: BTreeMap<BorderId, Border>,
    /// Every area.
    pub areas: BTreeMap<AreaId, Area>,
}

/// One curve between two junctions, or a ring; shared by the areas on its two sides.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Border {
    /// Where it begins and ends.
    pub ends: Ends,
    /// Cubics, each beginning where the last one ended. A ring ends where it began.
    pub curve: Vec<Cubic>,
    /// What lies to the left of one who walks from start to end and looks at the panel from the front. Since y points
    /// down, the left of direction (1, 0) is (0, −1): up on the page.
    pub left: Side,
    /// What lies to the right.
    pub right: Side,
    /// How far the areas stand apart here, half to each side; 0 is a plain saw line.
    #[serde(default)]
    pub gap: Um,
    /// How wide the drawn line is that was closed on it; 0 where it follows no line.
    #[serde(default, skip_serializing_if = "none")]
    pub ink: Um,
    /// Where the curve comes from.
    pub from: Origin,
}

fn none(length: &Um) -> bool {
    *length == Um(0)
}

/// The ends of a border.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ends {
    /// From the first junction to the second; they may be the same.
    Between(JunctionId, JunctionId),
    /// A closed curve without a junction, begun at this point: an island or a hole.
    Ring(Point),
}

/// One side of a border.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// An area of the pattern.
    Area(AreaId),
    /// Off the panel.
    Beyond,
}

impl Side {
    /// The area on this side, if there is one.
    pub fn area(self) -> Option<AreaId> {
        match self {
            Side::Area(id) => Some(id),
            Side::Beyond => None,
        }
    }
}

/// Where a curve comes from: what was drawn by hand is held fixed when the picture is traced again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Found in the picture.
    Traced,
    /// Drawn by the maker.
    Drawn,
    /// The edge of the panel.
    Edge,
}

/// One region of the pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Area {
    /// What it becomes.
    pub becomes: Becomes,
    /// A point inside it.
    pub at: Point,
}

/// What an area becomes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Becomes {
    /// A piece of a draft: numbers are given when it is accepted.
    Unnumbered,
    /// Sawn from wood.
    Piece(Number),
    /// Left open: the backer shows.
    Shadow,
    /// Dropped: nothing is sawn, no backer shows.
    Ground,
}
