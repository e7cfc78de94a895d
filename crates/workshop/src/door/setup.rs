//! Edits of the settings and of the picture.

use crate::work::edit::{picture, setup};
use crate::work::{Changes, Refusal, Work};

pub(super) fn apply(_work: &mut Work, _edit: &setup::Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}

pub(super) fn apply_picture(_work: &mut Work, _edit: &picture::Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}
