//! The bench log: what was done becomes fact.

use crate::work::edit::bench::Edit;
use crate::work::{Changes, Refusal, Work};

/// Applies an edit.
pub fn apply(_work: &mut Work, _edit: &Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}
