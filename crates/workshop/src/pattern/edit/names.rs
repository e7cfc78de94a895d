//! What is said of a piece that goes: handed to the piece that takes it in, or forgotten.

use crate::work::{Changes, Number, PartId, Retired, Says, Whom, Work};

/// Forgets all that was said of a piece that is gone. Its number is not given again, since counters never fall.
pub(super) fn forget(work: &mut Work, gone: Number, changes: &mut Changes) {
    leave(work, gone, changes);
    if work.marks.remove(&Whom::Piece(gone)).is_some() {
        changes.settings = true;
    }
    let whom = Whom::Piece(gone);
    work.relations.retain(|id, relation| {
        let speaks = whoms(&mut relation.says).iter().any(|other| **other == whom);
        if speaks {
            changes.relations.insert(*id);
        }
        !speaks
    });
}

/// Retires a piece that another has taken in. How it stands to others is now said of that piece; its own height is not,
/// since the other has one. What would be said of a piece and itself is dropped.
pub(super) fn hand_over(work: &mut Work, gone: Number, into: Number, changes: &mut Changes) {
    leave(work, gone, changes);
    retire(work, gone, into);
    let (old, new) = (Whom::Piece(gone), Whom::Piece(into));
    if let Some(depth) = work.marks.remove(&old) {
        work.marks.entry(new).or_insert(depth);
        changes.settings = true;
    }
    let homes = homes(work, into);
    let is_survivor = |whom: &Whom| *whom == new || matches!(whom, Whom::Part(part) if homes.contains(part));
    work.relations.retain(|id, relation| {
        let mut named = whoms(&mut relation.says);
        if !named.iter().any(|whom| **whom == old) {
            return true;
        }
        changes.relations.insert(*id);
        named.iter_mut().filter(|whom| ***whom == old).for_each(|whom| **whom = new);
        still_says_something(&mut relation.says, is_survivor)
    });
}

/// Remembers into which piece a number went; those that went into it before follow.
pub(super) fn retire(work: &mut Work, gone: Number, into: Number) {
    work.retired.values_mut().filter(|retired| retired.into == gone).for_each(|retired| retired.into = into);
    work.retired.insert(gone, Retired { into });
}

/// Takes the piece out of its part and out of the variants that were kept.
fn leave(work: &mut Work, gone: Number, changes: &mut Changes) {
    changes.pieces.insert(gone);
    if let Some(chosen) = work.layout.remove(&gone) {
        changes.boards.insert(chosen.value.board);
    }
    for (id, part) in &mut work.parts {
        if part.pieces.remove(&gone) {
            changes.parts.insert(*id);
        }
    }
    for variant in work.variants.values_mut() {
        changes.settings |= variant.values.remove(&gone).is_some();
    }
}

/// The parts that a piece lies in, at any depth.
fn homes(work: &Work, number: Number) -> Vec<PartId> {
    let mut homes: Vec<PartId> = Vec::new();
    let mut next = work.parts.iter().find(|(_, part)| part.pieces.contains(&number)).map(|(id, _)| *id);
    while let Some(id) = next.filter(|id| !homes.contains(id)) {
        homes.push(id);
        next = work.parts.get(&id).and_then(|part| part.within);
    }
    homes
}

/// Everybody that a relation names.
fn whoms(says: &mut Says) -> Vec<&mut Whom> {
    match says {
        Says::AtLeast { above, below, .. } | Says::About { above, below, .. } => vec![above, below],
        Says::Level(a, b) | Says::SameAs(a, b) => vec![a, b],
        Says::At(whom, _) | Says::Within(whom, _, _) => vec![whom],
        Says::Climbs { row, .. } => row.iter_mut().collect(),
    }
}

/// Whether a relation that was handed over still holds between two: `is_survivor` knows the piece and its parts. A row
/// keeps the first place of the piece.
fn still_says_something(says: &mut Says, is_survivor: impl Fn(&Whom) -> bool) -> bool {
    match says {
        Says::AtLeast { above, below, .. } | Says::About { above, below, .. } => {
            !(is_survivor(above) && is_survivor(below))
        }
        Says::Level(a, b) | Says::SameAs(a, b) => !(is_survivor(a) && is_survivor(b)),
        Says::At(..) | Says::Within(..) => false,
        Says::Climbs { row, .. } => {
            let mut seen = false;
            row.retain(|whom| !is_survivor(whom) || !std::mem::replace(&mut seen, true));
            row.len() > 1
        }
    }
}
