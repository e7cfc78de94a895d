//! The lit relief in its woods, as pixels.

use measure::Watch;

use crate::derived::Derived;
use crate::work::Work;

/// How the view is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Pixels across; the height follows from the panel.
    pub width: u32,
}

/// A picture of the relief: sRGB, three bytes a pixel, row by row from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lit {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue.
    pub pixels: Vec<u8>,
}

/// Renders the relief straight on, lit from the upper left. `None` when the watch stopped it. Undecided woods show plain,
/// undecided heights flat.
pub fn render(_work: &Work, _derived: &mut Derived, _pose: Pose, _watch: Watch) -> Option<Lit> {
    unimplemented!()
}
