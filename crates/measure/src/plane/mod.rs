//! Points and curves of the pattern plane: x right, y down, whole micrometres.

mod arrange;
mod cubic;
mod thin;
mod touch;

use serde::{Deserialize, Serialize};

pub use arrange::{Arrangement, Crowded, Edge, Loose, arranged};
pub use cubic::{Cubic, FLATNESS_UM, line};
pub use thin::thinned;
pub use touch::{inside, inside_rings, orientation, touches, touches_of};

/// A point of the plane, µm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, ts_rs::TS)]
#[ts(type = "[number, number]")]
pub struct Point {
    /// To the right, µm.
    pub x: i32,
    /// Down, µm.
    pub y: i32,
}

impl Point {
    /// The point at `x`, `y` (µm).
    pub const fn new(x: i32, y: i32) -> Point {
        Point { x, y }
    }

    /// As floating millimetres.
    pub fn to_mm(self) -> (f64, f64) {
        (f64::from(self.x) / 1000.0, f64::from(self.y) / 1000.0)
    }
}

impl Serialize for Point {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        (self.x, self.y).serialize(to)
    }
}

impl<'de> Deserialize<'de> for Point {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Point, D::Error> {
        let (x, y) = Deserialize::deserialize(from)?;
        Ok(Point { x, y })
    }
}

/// A circle, µm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: Point,
    /// Its radius, µm.
    pub radius: f64,
}
