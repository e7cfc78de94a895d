//! Edits of the pattern.

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use crate::work::{AreaId, BorderId, LineBecomes, PartId};

/// A change of the pattern.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "PatternEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Opens the drawn lines between pieces as gaps of their own width, 0.3 to 3 mm, or closes them to saw lines.
    Ink {
        /// Those about the pieces of a part; all where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional)]
        part: Option<PartId>,
        /// Whether they stay open.
        open: bool,
    },
    /// Says what becomes of a line that ends inside a piece.
    Line {
        /// Which, as it is listed, from 0.
        line: usize,
        /// A slot, a burnt line, or nothing.
        becomes: LineBecomes,
        /// How wide it is sawn or burnt; as it is drawn where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional)]
        width: Option<Um>,
    },
    /// Merges areas that touch into one. Of pieces the lowest number stays.
    Merge(Vec<AreaId>),
    /// Splits an area along a drawn line that enters and leaves it. The largest part keeps the number. Holes that the line crosses stay
    /// whole: the area around an island is parted by a line that runs over the island, out to the outline on both sides. A line that
    /// ends at a hole parts nothing and is refused.
    Split {
        /// The area.
        area: AreaId,
        /// The line, µm; it is smoothed. Its ends may overshoot the border.
        along: Vec<Point>,
    },
    /// Draws a new line over any number of areas; each that it crosses is split, islands too, and the largest part keeps the number. Ends
    /// that fall short of a border, or stand over, by up to 3 mm are closed against it; those nearer to a junction than half of
    /// the stock's least width end in it.
    Draw {
        /// The line, µm; it is smoothed. Few points, more than 1.2 mm apart in the mean, are joined by a smooth curve; where they turn
        /// by more than 66° it has a corner.
        along: Vec<Point>,
    },
    /// Pulls the border at a place with a brush; its ends stay.
    Reshape {
        /// Where it is held.
        at: Point,
        /// Where that place goes.
        to: Point,
        /// How far along the border, to each side, it follows: 1 to 200 mm.
        width: Um,
    },
    /// Takes short waves out of a border, or of several over the junctions between them, which move with the line.
    Smooth {
        /// A line along them; one point means the whole border.
        along: Vec<Point>,
        /// Waves shorter than this go: 1 to 200 mm.
        by: Um,
    },
    /// Makes a border straight, or several over the junctions between them, which move onto the line.
    Straighten {
        /// A line along them, from and to where it is straight; one point means from corner to corner on both sides of it.
        along: Vec<Point>,
    },
    /// Moves the junction at a place; what meets in it follows. On the edge of the panel it slides along the edge, as far as what ends
    /// in it still leaves the edge at once.
    Junction {
        /// Where it is.
        at: Point,
        /// Where it goes.
        to: Point,
        /// How far along each border it is felt: 1 to 200 mm.
        width: Um,
    },
    /// Opens an area: the backer shows there.
    Open(AreaId),
    /// Drops an area to ground: nothing is sawn, no backer shows.
    Drop(AreaId),
    /// Makes shadow or ground a piece with a new number.
    Close(AreaId),
    /// Keeps an area's outline as it is when the picture is traced again.
    Hold(AreaId),
    /// Lets tracing again change it, unless it is cut, shaped or set: then it is refused.
    LetGo(AreaId),
    /// Sets how far the areas of a border stand apart: 0, or 0.3 to 3 mm.
    Gap {
        /// The border.
        border: BorderId,
        /// The gap.
        gap: Um,
    },
}
