//! Which board each workpiece is cut from, and what is missing.

pub mod lay;
