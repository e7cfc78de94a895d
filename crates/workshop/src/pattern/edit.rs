//! Edits of the pattern: each keeps every invariant and every other number.

use crate::work::edit::pattern::Edit;
use crate::work::{Changes, Pattern, Refusal, Work};

/// Applies an edit.
pub fn apply(_work: &mut Work, _edit: &Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}

/// Makes a draft the pattern: pieces get numbers in reading order. Refused where something is cut or set.
pub fn accept(_work: &mut Work, _draft: &Pattern) -> Result<Changes, Refusal> {
    unimplemented!()
}
