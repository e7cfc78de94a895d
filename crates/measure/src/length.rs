//! Lengths: whole micrometres, how people type them, and how sheets print them.

use serde::{Deserialize, Serialize};

/// A length in whole micrometres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Um(pub i32);

impl Um {
    /// The nearest whole micrometre to `mm` millimetres; saturates at the ends of `i32` (2.1 km).
    pub fn mm(mm: f64) -> Um {
        Um((mm * 1000.0).round() as i32)
    }

    /// In millimetres, exact.
    pub fn to_mm(self) -> f64 {
        f64::from(self.0) / 1000.0
    }
}
