//! Everything in one go, with good defaults: what `start` does with a picture.

use measure::Watch;

use super::{apply, propose};
use crate::derived::Derived;
use crate::work::{Ask, Edit, Refusal, Work};

/// Traces, chooses woods and works out heights, taking each proposal. Returns the edits that were applied, in order.
pub fn plan(work: &mut Work, derived: &mut Derived, watch: Watch) -> Result<Vec<Edit>, Refusal> {
    let trace = work.choices.trace.clone();
    let mut edits = Vec::new();
    for ask in [Ask::Trace(trace), Ask::ChooseWoods, Ask::WorkOutHeights] {
        let proposal = propose(work, derived, &ask, watch)?;
        if !proposal.done {
            return Err(Refusal::new("Stopped; nothing was written."));
        }
        let edit = Edit::Take(Box::new(proposal));
        apply(work, &edit)?;
        edits.push(edit);
    }
    Ok(edits)
}
