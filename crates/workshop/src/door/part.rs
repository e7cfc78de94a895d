//! Edits of parts and variants.

use crate::work::edit::part::Edit;
use crate::work::{Changes, Refusal, Work};

pub(super) fn apply(_work: &mut Work, _edit: &Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}
