//! The pages' server as the built command runs it, asked over plain sockets: who is let in, what a kill costs, and a job
//! from its picture to its book.

// Helpers of tests are tests, which Clippy does not see.
#![allow(clippy::unwrap_used)]

mod back;
mod guard;
mod kill;
mod server;
mod whole;
