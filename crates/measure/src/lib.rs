//! Mathematics for the rest of spelk: lengths, curves, colour and exact solvers. Nothing here knows a word of wood.
//!
//! Directions: x to the right, y **down**, as on a screen. Stored lengths are whole micrometres (`i32`); algorithms work in
//! `f64` millimetres or micrometres (each says which) and snap when they commit.

pub mod colour;
mod dice;
pub mod length;
pub mod plane;
pub mod solve;
mod stamp;
mod watch;
pub mod whole;

pub use dice::Dice;
pub use stamp::{Stamp, stamp};
pub use watch::Watch;
