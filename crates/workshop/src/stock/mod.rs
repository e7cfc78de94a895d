//! Which board each workpiece is cut from, and what is missing.
//!
//! A piece is laid by its cut outline, the outer ring alone (what falls out of a hole is counted as gone). All that a board carries has one thickness, since
//! a board is planed whole, or a straight cut parts it first (`parts`).

mod buy;
mod clip;
mod cut;
mod edit;
mod findings;
pub mod lay;
mod layout;
mod parts;
mod photo;
mod place;
mod rack;
mod shelved;
mod sound;

pub use buy::{Bought, Missing, Planed, Setting, board_feet, crosscuts, milling, missing, rough};
pub use cut::cut_rings;
pub use edit::{apply, cut, stands, uncut};
pub use findings::findings;
pub use layout::{lay_out, outcome};
pub use parts::{Part, parts};
pub use photo::{Photographed, Shot, TestPiece, TestShot, photographed, tested};
pub use place::{Why, Wrong, laid, laid_point, let_go, middle_ring, wrong};
pub use rack::{Passed, Told, bring, give, next_number};
pub use sound::sound;
