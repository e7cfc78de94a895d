//! Everything that a check finds, gravest first.

use crate::derived::Derived;
use crate::work::{Finding, Work};
use crate::{caution, relief, saw, wood};

/// Findings of the whole job, gravest first, then by kind and place.
pub fn check(work: &Work, derived: &mut Derived) -> Vec<Finding> {
    let outlines = derived.outlines(work);
    let colours = derived.colours(work);
    let mut found = crate::pattern::findings(work, &outlines);
    found.extend(wood::findings(work, &outlines, &colours));
    found.extend(relief::findings(work, &outlines));
    found.extend(saw::findings(work, &outlines));
    found.extend(caution::findings(work));
    found.sort_by(|a, b| (a.grave, a.kind, &a.key).cmp(&(b.grave, b.kind, &b.key)));
    found
}
