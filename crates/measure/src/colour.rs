//! Colour: sRGB, CIE L*a*b* (D65, 2°), Oklab, CIEDE2000.

use serde::{Deserialize, Serialize};
use std::hash::{Hash, Hasher};

/// A colour in CIE 1976 L*a*b*, white D65.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Lab {
    /// Lightness, 0 black to 100 white.
    pub l: f64,
    /// Green (negative) to red.
    pub a: f64,
    /// Blue (negative) to yellow.
    pub b: f64,
}

impl Hash for Lab {
    fn hash<H: Hasher>(&self, to: &mut H) {
        for v in [self.l, self.a, self.b] {
            to.write_u64(v.to_bits());
        }
    }
}
