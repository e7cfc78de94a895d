//! Everything in one go, with good defaults: what `start` does with a picture.

use measure::Watch;

use super::propose::drawn;
use super::{apply, propose};
use crate::derived::Derived;
use crate::pattern::Own;
use crate::work::{Ask, Edit, Proposal, Refusal, Work};

/// Traces, chooses woods and works out heights, taking each proposal. Returns the edits that were applied, in order.
pub fn plan(work: &mut Work, derived: &mut Derived, watch: Watch) -> Result<Vec<Edit>, Refusal> {
    let trace = work.choices.trace.clone();
    let asks = [Ask::Trace(trace), Ask::ChooseWoods, Ask::WorkOutHeights];
    asks.iter().map(|ask| taken(work, propose(work, derived, ask, watch)?)).collect()
}

/// Takes an own drawing as the pattern, with numbers. Woods and heights stay undecided: lines alone say nothing of them.
pub fn plan_drawn(work: &mut Work, own: &Own) -> Result<Edit, Refusal> {
    let proposal = drawn(work, own);
    taken(work, proposal)
}

fn taken(work: &mut Work, proposal: Proposal) -> Result<Edit, Refusal> {
    if !proposal.done {
        return Err(Refusal::new("Stopped; nothing was written."));
    }
    let edit = Edit::Take(Box::new(proposal));
    apply(work, &edit)?;
    Ok(edit)
}
