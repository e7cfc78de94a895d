//! Heights: relations, marks, the exact solution, and the reason when there is none.

use std::collections::BTreeMap;

use measure::Watch;

use crate::pattern::Outlines;
use crate::work::edit::relief::Edit;
use crate::work::{Changes, Finding, Landed, Number, Refusal, Work};

/// Applies an edit.
pub fn apply(_work: &mut Work, _edit: &Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}

/// Heights, thicknesses and raisers for each piece that acts may decide, and the cost of the wishes missed (weight × µm).
/// A refusal names the relations that cannot hold together, and the loosenings as edits.
pub fn heights(_work: &Work, _outlines: &Outlines, _watch: Watch) -> Result<(BTreeMap<Number, Landed>, i64), Refusal> {
    unimplemented!()
}

/// What a check finds of heights.
pub fn findings(_work: &Work, _outlines: &Outlines) -> Vec<Finding> {
    unimplemented!()
}
