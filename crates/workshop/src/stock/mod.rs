//! Which board each workpiece is cut from, and what is missing.
//!
//! A piece is laid by its outer ring (what falls out of a hole is counted as gone) without the gap of its borders taken
//! off, so there is always a little more wood than the saw leaves. All that a board carries has one thickness, since a board
//! is planed whole.

mod buy;
mod edit;
mod findings;
pub mod lay;
mod layout;
mod photo;
mod place;
mod sound;

pub use buy::{Missing, Setting, board_feet, milling, missing, rough};
pub use edit::{apply, cut, uncut};
pub use findings::findings;
pub use layout::lay_out;
pub use photo::{Photographed, Shot, photographed};
pub use place::{Why, Wrong, carried, laid, laid_point, middle_ring, wrong};
pub use sound::sound;
