//! Boards, and where workpieces lie on them.

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use super::{Axis, BoardId, Number, WoodId};

/// One real piece of stock, seen on its show face: x right, y down, from a corner of the maker's choice.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Board {
    /// What the maker calls it.
    pub name: String,
    /// Its wood.
    pub wood: WoodId,
    /// Its edge, the first point not repeated.
    pub outline: Vec<Point>,
    /// Its thickness as it is now.
    pub thickness: Um,
    /// How its grain runs on the face.
    #[serde(default)]
    pub grain: Axis,
    /// Places with a colour of their own: no piece is laid across their edge.
    #[serde(default)]
    pub zones: Vec<Zone>,
    /// Places to keep off: knots, cracks, stain.
    #[serde(default)]
    pub faults: Vec<Vec<Point>>,
    /// What it cost, hundredths of the maker's coin.
    #[serde(default)]
    pub price: Option<u32>,
    /// The board that it is the rest of.
    #[serde(default)]
    pub from: Option<BoardId>,
    /// The shop's board that it is a copy of.
    #[serde(default)]
    pub shop: Option<BoardId>,
    /// What was cut from it.
    #[serde(default)]
    pub used: Vec<Used>,
    /// Its face as it was photographed.
    #[serde(default)]
    pub photograph: Option<Photograph>,
}

/// A board's face straightened, in even white light, from the board's corner on.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Photograph {
    /// The SHA-256 of the image file, in hexadecimal; the file itself lies in the job file and the shop file.
    pub hash: String,
    /// How much of x it covers.
    pub length: Um,
    /// How much of y it covers.
    pub width: Um,
}

impl Board {
    /// A rectangle with the grain along its length.
    pub fn rectangle(name: &str, wood: WoodId, (length, width, thickness): (Um, Um, Um)) -> Board {
        let corner = |x: Um, y: Um| Point::new(x.0, y.0);
        let outline = vec![corner(Um(0), Um(0)), corner(length, Um(0)), corner(length, width), corner(Um(0), width)];
        Board { name: name.into(), wood, outline, thickness, ..Board::default() }
    }
}

/// A place on a board with a colour of its own, such as sapwood or a streak.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Zone {
    /// What the maker calls it.
    pub name: String,
    /// Its edge.
    pub outline: Vec<Point>,
    /// Kept for pieces that are pinned there by hand.
    #[serde(default)]
    pub keep: bool,
}

/// A place that was cut out of a board.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Used {
    /// The piece that was cut from it; 0 where it was a piece of another job.
    pub piece: Number,
    /// Where: its outer ring.
    pub ring: Vec<Point>,
}

/// Where a piece lies on a board: turned about the middle of its box, then moved. No mirror exists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Lie {
    /// The board.
    pub board: BoardId,
    /// Hundredths of a degree, counterclockwise as seen, 0 to 35 999.
    pub turn: i32,
    /// Where the middle of its box comes to lie.
    pub at: Point,
}

/// How pieces are laid on boards.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct Laying {
    /// The grain runs within so many hundredths of a degree of its direction.
    pub grain_within: u32,
    /// Whether a piece may be turned end for end: some woods then catch the light otherwise.
    pub flip: bool,
    /// Between pieces: the kerf and room for a rough cut.
    pub apart: Um,
    /// To the edge of a board and to its faults.
    pub edge: Um,
    /// Whether a thicker board may be planed down.
    pub plane: bool,
    /// Whether pieces of several thicknesses may share a board where a straight cut across parts them.
    pub crosscut: bool,
    /// What is bought above what is needed, percent.
    pub allowance: u32,
}

impl Default for Laying {
    /// 10°, 4 mm between pieces and 3 mm to the edge are from memory; 50 % is what a dealer advises (33 % of waste).
    fn default() -> Laying {
        Laying {
            grain_within: 1000,
            flip: false,
            apart: Um(4000),
            edge: Um(3000),
            plane: true,
            crosscut: true,
            allowance: 50,
        }
    }
}
