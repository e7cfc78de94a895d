//! Proof that a pattern is whole: borders touch only at junctions, each has two sides, areas tile the panel.

use measure::plane::Point;

use crate::work::{AreaId, BorderId, Pattern, Size};

/// Why a pattern is not whole.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Two borders (or one with itself) touch away from a junction.
    Touch(BorderId, BorderId, Point),
    /// A border's curve is broken, does not reach its junction, or leaves the panel.
    Broken(BorderId),
    /// An area has no outline, falls apart, or its point is not inside it.
    Area(AreaId),
    /// Areas do not sum to the panel: relative error.
    Sum(f64),
}

/// Every fault, none for a whole pattern.
pub fn prove(_pattern: &Pattern, _panel: Size) -> Vec<Fault> {
    unimplemented!()
}
