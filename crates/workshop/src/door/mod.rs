//! The one door for change.
//!
//! `apply` is quick and never searches. `propose` is pure and may be long; `Edit::Take` stores its values.

mod begin;
mod compare;
mod framing;
mod label;
mod mask;
mod paper;
mod part;
mod plan;
mod propose;
mod setup;
mod shop;
mod sketch;
mod subject;
#[cfg(test)]
mod tests_again;
mod told;

use crate::work::{Changes, Edit, Refusal, Work};
use crate::{bench, pattern, relief, saw, stock as boards, wood};

pub use begin::{Beginning, begin, stock};
pub use compare::{on_backers, with_variants};
pub use label::{label, label_all};
pub use mask::{masked_picture, unmasked_picture};
pub use plan::{plan, plan_drawn};
pub use propose::propose;
pub use shop::apply_to_shop;
pub use sketch::{Sketch, sketch};
pub use subject::{Subject, subject};

/// Applies one edit, or refuses it and leaves `work` untouched.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    let mut changed = work.clone();
    let mut changes = go_through(&mut changed, edit)?;
    changes.told = told::told(work, &changed, &changes);
    *work = changed;
    Ok(changes)
}

/// Applies edits in order, all or none. The refusal says which edit it was, counted from 1.
pub fn apply_all(work: &mut Work, edits: &[Edit]) -> Result<Changes, Refusal> {
    let mut changed = work.clone();
    let mut changes = Changes::default();
    for (at, edit) in edits.iter().enumerate() {
        let step = go_through(&mut changed, edit).map_err(|mut refusal| {
            if edits.len() > 1 {
                refusal.what = format!("Edit {} of {}: {}", at + 1, edits.len(), refusal.what);
            }
            refusal
        })?;
        changes.add(step);
    }
    changes.told = told::told(work, &changed, &changes);
    *work = changed;
    Ok(changes)
}

fn go_through(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    let mut changes = go_alone(work, edit)?;
    boards::let_go(work, &mut changes);
    Ok(changes)
}

fn go_alone(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Setup(edit) => setup::apply(work, edit),
        Edit::Picture(edit) => setup::apply_picture(work, edit),
        Edit::Pattern(edit) => pattern::apply(work, edit),
        Edit::Part(edit) => part::apply(work, edit),
        Edit::Wood(edit) => wood::apply(work, edit),
        Edit::Relief(edit) => relief::apply(work, edit),
        Edit::Saw(edit) => saw::apply(work, edit),
        Edit::Stock(edit) => boards::apply(work, edit),
        Edit::Bench(edit) => bench::apply(work, edit),
        Edit::Take(proposal) => propose::take(work, proposal),
    }
}
