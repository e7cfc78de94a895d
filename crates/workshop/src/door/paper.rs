//! Tracing a drawing on paper again, with the corners that it was taken by.

use measure::Watch;

use super::propose::{around, stop_here};
use crate::derived::Derived;
use crate::picture::{Sheet, drawing};
use crate::work::{OnPaper, Refusal, TraceChoices, Values, Way, Work};
use crate::{pattern, picture};

/// The pattern of the drawing, around what is held.
pub(super) fn trace(
    work: &Work,
    derived: &mut Derived,
    (choices, paper): (&TraceChoices, &OnPaper),
    watch: Watch,
) -> Result<Values, Refusal> {
    let photograph = derived.paper().cloned().ok_or_else(|| {
        Refusal::new("The photograph of the drawing is not in the job file.")
            .way(Way::advice("Start the job again from the photograph."))
    })?;
    let (clean, panel) = drawing(&photograph, &Sheet::again(paper, work.panel))?;
    stop_here(watch)?;
    let ids = pattern::held(work);
    let held = (!ids.is_empty()).then(|| around(&derived.outlines(work), &clean, &ids));
    let (mut draft, picture::Closed { regions, owners, mut loose, .. }) =
        pattern::fitted(&clean, (panel, choices.bridge), (&work.choices.stock, held.as_ref()), watch)?;
    if held.is_some() {
        draft = pattern::splice(work, &pattern::Around { draft: &draft, labels: &regions.labels, owners: &owners })?;
        loose = pattern::still_loose(loose, &draft);
    }
    Ok(Values::Pattern { draft, swallowed: Vec::new(), loose })
}
