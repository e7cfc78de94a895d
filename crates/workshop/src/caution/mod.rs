//! What can hurt, from whom we know.

use crate::work::{Finding, Work};

/// Hazards and trade protection of the woods in use.
pub fn findings(_work: &Work) -> Vec<Finding> {
    unimplemented!()
}
