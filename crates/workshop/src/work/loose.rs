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
    /// Whether it is taken for writing, such as a digit: it is left out without a word, unless it is chosen to be kept.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(as = "Option<bool>", optional)]
    pub writing: bool,
    /// How wide it is drawn, burnt or sawn.
    pub width: Um,
    /// What becomes of it.
    #[serde(default)]
    pub becomes: LineBecomes,
}

impl LooseLine {
    /// Where it is shown, inside the area that it lies in: its open end, or its middle where it has none.
    pub fn place(&self) -> Option<Point> {
        if !self.hangs {
            return self.along.first().copied();
        }
        let far = |a: Point, b: Point| libm::hypot(f64::from(a.x) - f64::from(b.x), f64::from(a.y) - f64::from(b.y));
        let mut left = self.along.windows(2).map(|w| far(w[0], w[1])).sum::<f64>() / 2.0;
        self.along.windows(2).find_map(|w| {
            let length = far(w[0], w[1]);
            if left > length {
                left -= length;
                return None;
            }
            let share = left / length.max(1e-9);
            let part = |a: i32, b: i32| (f64::from(a) + share * (f64::from(b) - f64::from(a))).round() as i32;
            Some(Point::new(part(w[0].x, w[1].x), part(w[0].y, w[1].y)))
        })
    }

    /// The lower, the more likely it was drawn to part something: those first that hang on a line by one end, since a break in a line
    /// leaves such, and the longest of them.
    pub fn rank(&self) -> (u8, i64) {
        let kind = match (self.hangs, self.both) {
            (false, false) => 0,
            (true, _) => 1,
            (false, true) => 2,
        };
        let far =
            |w: &[Point]| libm::hypot(f64::from(w[0].x) - f64::from(w[1].x), f64::from(w[0].y) - f64::from(w[1].y));
        (kind, -(self.along.windows(2).map(far).sum::<f64>() as i64))
    }

    /// The same, and its other end where that lies in the open too.
    pub fn places(&self) -> impl Iterator<Item = Point> + '_ {
        let other = self.along.last().filter(|_| self.both);
        self.place().into_iter().chain(other.copied())
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
