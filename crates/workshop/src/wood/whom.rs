//! Which pieces a piece or a part stands for.

use std::collections::BTreeSet;

use crate::work::{Number, PartId, Whom, Work};

/// The pieces of `whom` that are in the job, in order: one piece, or a part with every part within it. Empty when the
/// piece or the part is gone, and for an anchor.
pub fn whose(work: &Work, whom: Whom) -> Vec<Number> {
    let named = match whom {
        Whom::Piece(number) => BTreeSet::from([number]),
        Whom::Backer | Whom::Frame => BTreeSet::new(),
        Whom::Part(part) => parts_within(work, part).iter().flat_map(|id| work.parts[id].pieces.clone()).collect(),
    };
    named.into_iter().filter(|number| work.pieces.contains_key(number)).collect()
}

/// The part and all that lie in it at any depth. Each is visited once, so that a ring of nestings would end too.
fn parts_within(work: &Work, part: PartId) -> BTreeSet<PartId> {
    let mut found = BTreeSet::new();
    let mut open = vec![part];
    while let Some(part) = open.pop() {
        if work.parts.contains_key(&part) && found.insert(part) {
            open.extend(work.parts.iter().filter(|(_, inner)| inner.within == Some(part)).map(|(id, _)| *id));
        }
    }
    found
}
