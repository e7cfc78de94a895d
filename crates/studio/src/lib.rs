//! The pages' server: a job at a desk, seen and changed through a browser on the same machine.
//!
//! It holds no rule of the trade. What is drawn comes from the workshop as lines; what is changed goes through its door.

mod acts;
mod begin;
mod boards;
mod bounds;
mod desk;
mod draft;
mod guard;
mod mask;
mod meanwhile;
mod offers;
mod photo;
mod routes;
mod saw;
mod see;
mod serve;
mod veil;
mod view;
pub mod wire;

pub use serve::{Demo, Options, serve};
