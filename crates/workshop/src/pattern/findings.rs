//! What a check finds of outlines: too thin, too small, islands.

use super::Outlines;
use crate::work::{Finding, Work};

/// What a check finds of the pattern.
pub fn findings(_work: &Work, _outlines: &Outlines) -> Vec<Finding> {
    unimplemented!()
}
