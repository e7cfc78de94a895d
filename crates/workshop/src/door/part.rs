//! Edits of parts and variants.

use std::collections::{BTreeMap, BTreeSet};

use crate::wood::whose;
use crate::work::edit::part::Edit;
use crate::work::{
    Changes, Number, Part, PartId, PieceValues, Refusal, Spot, State, Variant, VariantId, Way, Whom, Work,
};

pub(super) fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Name { name, pieces, within } => name_part(work, name, pieces, *within),
        Edit::Rename { part, name } => rename(work, *part, name),
        Edit::Bring { part, pieces } => bring(work, *part, pieces),
        Edit::Release { part, pieces } => release(work, *part, pieces),
        Edit::Nest { part, within } => nest(work, *part, *within),
        Edit::Disband(part) => disband(work, *part),
        Edit::Keep { part, name } => keep(work, *part, name),
        Edit::PutBack(variant) => put_back(work, *variant),
        Edit::Forget(variant) => forget(work, *variant),
    }
}

fn name_part(
    work: &mut Work,
    name: &str,
    pieces: &BTreeSet<Number>,
    within: Option<PartId>,
) -> Result<Changes, Refusal> {
    let name = free_name(work, name, None)?;
    all_there(work, pieces)?;
    if let Some(outer) = within {
        find(work, outer)?;
    }
    let id = work.next.new_part();
    let mut changes = take_out(work, pieces);
    work.parts.insert(id, Part { name, pieces: pieces.clone(), within });
    changes.parts.insert(id);
    Ok(changes)
}

fn rename(work: &mut Work, part: PartId, name: &str) -> Result<Changes, Refusal> {
    let name = free_name(work, name, Some(part))?;
    find_mut(work, part)?.name = name;
    Ok(touched([part]))
}

fn bring(work: &mut Work, part: PartId, pieces: &BTreeSet<Number>) -> Result<Changes, Refusal> {
    find(work, part)?;
    all_there(work, pieces)?;
    let mut changes = take_out(work, pieces);
    find_mut(work, part)?.pieces.extend(pieces);
    changes.parts.insert(part);
    Ok(changes)
}

fn release(work: &mut Work, part: PartId, pieces: &BTreeSet<Number>) -> Result<Changes, Refusal> {
    let own = find(work, part)?;
    if let Some(stranger) = pieces.iter().find(|number| !own.pieces.contains(number)) {
        let what = format!("Piece {stranger} is not in the part \"{}\" itself.", own.name);
        return Err(Refusal::new(what)
            .at(Spot::pieces([*stranger]))
            .way(Way::advice("Name only pieces of the part's own.")));
    }
    let mut changes = take_out(work, pieces);
    changes.parts.insert(part);
    Ok(changes)
}

fn nest(work: &mut Work, part: PartId, within: Option<PartId>) -> Result<Changes, Refusal> {
    find(work, part)?;
    let mut outer = within;
    while let Some(id) = outer {
        let surrounding = find(work, id)?;
        if id == part {
            let what = format!("The part \"{}\" cannot lie within itself.", surrounding.name);
            return Err(Refusal::new(what).way(Way::advice("Move the inner part out first.")));
        }
        outer = surrounding.within;
    }
    find_mut(work, part)?.within = within;
    Ok(touched([part]))
}

/// The pieces stay; parts within move up; what was said of the part goes with its name.
fn disband(work: &mut Work, part: PartId) -> Result<Changes, Refusal> {
    let gone = find(work, part)?.clone();
    let mut changes = touched([part]);
    for (id, inner) in &mut work.parts {
        if inner.within == Some(part) {
            inner.within = gone.within;
            changes.parts.insert(*id);
        }
    }
    work.parts.remove(&part);
    work.variants.retain(|_, variant| variant.part != part);
    changes.settings = work.marks.remove(&Whom::Part(part)).is_some();
    let speaks_of_it: Vec<_> = work
        .relations
        .iter()
        .filter(|(_, relation)| relation.says.speaks_of(Whom::Part(part)))
        .map(|(id, _)| *id)
        .collect();
    for id in speaks_of_it {
        work.relations.remove(&id);
        changes.relations.insert(id);
    }
    Ok(changes)
}

fn keep(work: &mut Work, part: PartId, name: &str) -> Result<Changes, Refusal> {
    find(work, part)?;
    let name = tidy(name)?;
    if work.variants.values().any(|variant| variant.part == part && variant.name == name) {
        let what = format!("The part has a variant \"{name}\" already.");
        return Err(Refusal::new(what).way(Way::advice("Give it another name, or forget the older one.")));
    }
    let values: BTreeMap<Number, PieceValues> =
        whose(work, Whom::Part(part)).into_iter().map(|number| (number, work.pieces[&number].values.clone())).collect();
    let id = work.next.new_variant();
    work.variants.insert(id, Variant { name, part, values });
    Ok(Changes { settings: true, ..touched([part]) })
}

/// Pieces that are cut or set, and pieces that are gone, keep what they are.
fn put_back(work: &mut Work, variant: VariantId) -> Result<Changes, Refusal> {
    let variant = work.variants.get(&variant).ok_or_else(|| no_variant(variant))?;
    let mut changes = Changes::default();
    for (number, values) in &variant.values {
        if let Some(piece) = work.pieces.get_mut(number)
            && piece.state == State::Planned
            && piece.values != *values
        {
            piece.values = values.clone();
            changes.pieces.insert(*number);
        }
    }
    Ok(changes)
}

fn forget(work: &mut Work, variant: VariantId) -> Result<Changes, Refusal> {
    work.variants.remove(&variant).ok_or_else(|| no_variant(variant))?;
    Ok(Changes { settings: true, ..Changes::default() })
}

fn no_variant(variant: VariantId) -> Refusal {
    Refusal::new(format!("There is no variant {variant}.")).way(Way::advice("Choose one that was kept."))
}

fn touched(parts: impl IntoIterator<Item = PartId>) -> Changes {
    Changes { parts: parts.into_iter().collect(), ..Changes::default() }
}

fn find(work: &Work, part: PartId) -> Result<&Part, Refusal> {
    work.parts.get(&part).ok_or_else(|| no_part(part))
}

fn find_mut(work: &mut Work, part: PartId) -> Result<&mut Part, Refusal> {
    work.parts.get_mut(&part).ok_or_else(|| no_part(part))
}

fn no_part(part: PartId) -> Refusal {
    Refusal::new(format!("There is no part {part}.")).way(Way::advice("spelk tell lists the parts."))
}

fn tidy(name: &str) -> Result<String, Refusal> {
    let tidy: String = name.chars().filter(|c| !c.is_control()).collect();
    let tidy = tidy.trim();
    match tidy.chars().count() {
        0 => Err(Refusal::new("A name has at least one letter.").way(Way::advice("Give it a name."))),
        1..=80 => Ok(tidy.into()),
        _ => Err(Refusal::new("A name has 80 letters at the most.").way(Way::advice("Shorten it."))),
    }
}

fn free_name(work: &Work, name: &str, but: Option<PartId>) -> Result<String, Refusal> {
    let name = tidy(name)?;
    match work.parts.iter().find(|(id, part)| part.name == name && Some(**id) != but) {
        None => Ok(name),
        Some(_) => {
            let what = format!("There is a part \"{name}\" already.");
            Err(Refusal::new(what).way(Way::advice("Give it another name, or bring the pieces into that part.")))
        }
    }
}

fn all_there(work: &Work, pieces: &BTreeSet<Number>) -> Result<(), Refusal> {
    match pieces.iter().find(|number| !work.pieces.contains_key(number)) {
        None => Ok(()),
        Some(gone) => {
            let what = match work.retired.get(gone) {
                Some(retired) => format!("Piece {gone} is gone: it was merged into piece {}.", retired.into),
                None => format!("There is no piece {gone}."),
            };
            Err(Refusal::new(what).at(Spot::pieces([*gone])).way(Way::advice("Name pieces that the pattern has.")))
        }
    }
}

/// Takes pieces out of the parts that they are in: a piece lies in one part at most.
fn take_out(work: &mut Work, pieces: &BTreeSet<Number>) -> Changes {
    let mut changes = Changes { pieces: pieces.clone(), ..Changes::default() };
    for (id, part) in &mut work.parts {
        let before = part.pieces.len();
        part.pieces.retain(|number| !pieces.contains(number));
        if part.pieces.len() < before {
            changes.parts.insert(*id);
        }
    }
    changes
}

#[cfg(test)]
mod tests {
    use measure::length::Um;

    use super::*;
    use crate::pattern::sample::accepted;
    use crate::work::{Chosen, Depth, Edit as Any, Relation, RelationId, Says, Strength};

    fn go(work: &mut Work, edit: Edit) -> Result<Changes, Refusal> {
        crate::apply(work, &Any::Part(edit))
    }

    fn numbers(of: &[u32]) -> BTreeSet<Number> {
        of.iter().copied().map(Number).collect()
    }

    fn name(name: &str, pieces: &[u32], within: Option<u32>) -> Edit {
        Edit::Name { name: name.into(), pieces: numbers(pieces), within: within.map(PartId) }
    }

    /// Part 1 is the bird, part 2 its wing.
    fn bird() -> Work {
        let mut work = accepted(3, 2);
        go(&mut work, name(" bird ", &[1, 2, 3], None)).expect("a part");
        go(&mut work, name("wing", &[3, 4], Some(1))).expect("a part in it");
        work
    }

    #[test]
    fn a_piece_lies_in_one_part() {
        let mut work = bird();
        assert_eq!(work.parts[&PartId(1)].name, "bird");
        assert_eq!(work.parts[&PartId(1)].pieces, numbers(&[1, 2]));
        assert_eq!(whose(&work, Whom::Part(PartId(1))), numbers(&[1, 2, 3, 4]).into_iter().collect::<Vec<_>>());
        let changes = go(&mut work, Edit::Bring { part: PartId(2), pieces: numbers(&[1]) }).expect("it moves");
        assert_eq!(changes.parts, [PartId(1), PartId(2)].into());
        go(&mut work, Edit::Release { part: PartId(2), pieces: numbers(&[1, 4]) }).expect("they leave");
        assert_eq!(work.parts[&PartId(2)].pieces, numbers(&[3]));
    }

    #[test]
    fn what_was_said_of_a_part_goes_with_its_name() {
        let mut work = bird();
        let (bird, wing) = (Whom::Part(PartId(1)), Whom::Part(PartId(2)));
        let says = Says::AtLeast { above: bird, below: Whom::Piece(Number(5)), by: Um(1000) };
        let relation = Relation { says, strength: Strength::Must, by: crate::work::By::Hand, named: None };
        work.relations.insert(RelationId(1), relation);
        work.marks = BTreeMap::from([(bird, Depth::Near), (wing, Depth::Far)]);
        let changes = go(&mut work, Edit::Disband(PartId(1))).expect("it can be given up");
        assert_eq!(changes.relations, [RelationId(1)].into());
        assert!(work.relations.is_empty());
        assert_eq!(work.marks, BTreeMap::from([(wing, Depth::Far)]));
        assert_eq!(work.parts[&PartId(2)].within, None, "the wing moves up");
    }

    #[test]
    fn a_variant_comes_back_but_for_what_is_cut() {
        let mut work = bird();
        let height = |work: &Work, n: u32| work.pieces[&Number(n)].values.height.map(|chosen| chosen.value.0);
        let pin = |work: &mut Work, n: u32, to: i32| {
            work.pieces.get_mut(&Number(n)).unwrap().values.height = Some(Chosen::hand(Um(to)));
        };
        pin(&mut work, 3, 15_000);
        pin(&mut work, 4, 16_000);
        go(&mut work, Edit::Keep { part: PartId(2), name: "low".into() }).expect("kept");
        pin(&mut work, 3, 25_000);
        pin(&mut work, 4, 26_000);
        work.pieces.get_mut(&Number(4)).unwrap().state = State::Cut;
        let changes = go(&mut work, Edit::PutBack(VariantId(1))).expect("put back");
        assert_eq!(changes.pieces, numbers(&[3]));
        assert_eq!((height(&work, 3), height(&work, 4)), (Some(15_000), Some(26_000)));
        go(&mut work, Edit::Forget(VariantId(1))).expect("forgotten");
        assert!(work.variants.is_empty());
    }

    #[test]
    fn what_cannot_be_is_refused_with_a_way_out() {
        let mut work = bird();
        go(&mut work, Edit::Keep { part: PartId(2), name: "low".into() }).expect("kept");
        let before = work.clone();
        for (edit, says) in [
            (name("wing", &[5], None), "already"),
            (name("  ", &[5], None), "at least one letter"),
            (name("tail", &[77], None), "no piece 77"),
            (name("tail", &[5], Some(9)), "no part 9"),
            (Edit::Rename { part: PartId(2), name: "bird".into() }, "already"),
            (Edit::Nest { part: PartId(1), within: Some(PartId(2)) }, "within itself"),
            (Edit::Nest { part: PartId(1), within: Some(PartId(1)) }, "within itself"),
            (Edit::Release { part: PartId(1), pieces: numbers(&[3]) }, "not in the part"),
            (Edit::Bring { part: PartId(9), pieces: numbers(&[3]) }, "no part 9"),
            (Edit::Keep { part: PartId(2), name: "low".into() }, "already"),
            (Edit::PutBack(VariantId(5)), "no variant 5"),
            (Edit::Forget(VariantId(5)), "no variant 5"),
        ] {
            let refusal = go(&mut work, edit).expect_err("it cannot be");
            assert!(refusal.what.contains(says) && !refusal.ways.is_empty(), "{refusal}");
            assert_eq!(work, before);
        }
    }
}
