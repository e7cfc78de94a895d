//! Which part of the picture fills the panel.

use serde::{Deserialize, Serialize};

/// How the picture lies under the panel: turned about its middle, then cropped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct Framing {
    /// Hundredths of a degree clockwise as seen, -18000 to 18000. Within 45° of a quarter turn the picture lies on that side, and the
    /// rest levels it.
    pub turn: i32,
    /// What of it is seen.
    pub crop: Crop,
}

/// An upright rectangle over the turned picture, in millionths of the width and height that the picture has as it lies after its
/// quarter turns; the rest of the turn moves the picture beneath it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Crop {
    /// From the picture's left edge to that of the rectangle.
    pub left: i32,
    /// From the picture's upper edge to that of the rectangle.
    pub top: i32,
    /// Across.
    pub width: i32,
    /// Down.
    pub height: i32,
}

impl Default for Crop {
    fn default() -> Crop {
        Crop { left: 0, top: 0, width: 1_000_000, height: 1_000_000 }
    }
}

impl Default for Framing {
    /// The whole picture as it is.
    fn default() -> Framing {
        Framing { turn: 0, crop: Crop::default() }
    }
}
