//! Points and curves of the pattern plane: x right, y down, whole micrometres.

use serde::{Deserialize, Serialize};

/// A point of the plane, µm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
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

/// A cubic Bézier curve by its four control points, µm. The first and last lie on the curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Cubic(pub [Point; 4]);

/// How far a flattened border may lie from its curve: 10 µm. One constant, so that both areas of a border, the
/// sheets, the JSON and every check see the same points.
pub const FLATNESS_UM: f64 = 10.0;

/// A circle, µm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: Point,
    /// Its radius, µm.
    pub radius: f64,
}
