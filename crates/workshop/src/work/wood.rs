//! Woods and finishes, each fact with its source.

use measure::colour::Lab;
use serde::{Deserialize, Serialize};

use super::WoodId;

/// A fact and where it comes from.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Sourced<T> {
    /// The fact.
    pub value: T,
    /// Its source, or `from memory`.
    pub source: String,
}

/// A species as it is sold.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Wood {
    /// Its key.
    pub id: WoodId,
    /// Its name in the trade.
    pub name: String,
    /// Its Latin name.
    pub latin: String,
    /// The short code on sheets, unique in the job.
    pub code: String,
    /// The raw colour of its heartwood face.
    pub colour: Sourced<Lab>,
    /// Whether that colour was measured; else it is from memory or from a relative.
    pub measured: bool,
    /// Spread of the raw colour from board to board: one standard deviation, hundredths of ΔE.
    pub spread: u32,
    /// Density at 12 % moisture, kg/m³.
    pub density: Option<Sourced<u32>>,
    /// Side hardness (Janka), N.
    pub hardness: Option<Sourced<u32>>,
    /// Shrinkage green to oven-dry, tangential and radial, hundredths of a percent.
    pub shrinkage: Option<Sourced<(u32, u32)>>,
    /// What years of light do to its raw colour in the end: a shift of L*, a*, b*.
    #[serde(default)]
    pub light: Option<Sourced<Lab>>,
    /// How its pores and rings feel and take a finish: fine, medium or coarse.
    #[serde(default)]
    pub texture: Option<Sourced<String>>,
    /// Whether it is oily, which hinders glue and some finishes: oily or dry.
    #[serde(default)]
    pub oiliness: Option<Sourced<String>>,
    /// How its grain shows on the face.
    pub figure: Figure,
    /// What its dust or splinters are known to do; `None` is missing data, not a clean bill.
    pub hazard: Option<Sourced<String>>,
    /// Trade protection.
    pub protected: Option<Sourced<String>>,
}

/// How a wood's grain shows, for the view. From memory; it bears on no measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Figure {
    /// Spacing of growth rings on the face, hundredths of a mm.
    pub ring: u32,
    /// Strength of the rings, 0 to 100.
    pub contrast: u32,
    /// Strength of pores and fibre, 0 to 100.
    pub pores: u32,
}

/// A finish: per linear channel R_f = ((R − f) / (1 − f))^c.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Finish {
    /// Its key.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its shift.
    pub shift: Shift,
    /// Where the numbers come from.
    pub source: String,
}

/// The two numbers of a finish, thousandths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Shift {
    /// Stray light of the raw surface, f × 1000.
    pub stray: u32,
    /// Longer path in the wetted wood, c × 1000.
    pub path: u32,
}
