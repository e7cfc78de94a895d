//! Merging: borders between the areas go, junctions that then part nothing are dissolved.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::Cubic;

use super::{find, names, pieces_of};
use crate::pattern::refuse_if_made;
use crate::work::{
    AreaId, Becomes, Border, BorderId, Changes, Ends, JunctionId, Origin, Pattern, Refusal, Side, Spot, Way, Work,
};

pub(super) fn merge(work: &mut Work, areas: &[AreaId]) -> Result<Changes, Refusal> {
    let ids: BTreeSet<AreaId> = areas.iter().copied().collect();
    for id in &ids {
        find(work, *id)?;
    }
    if ids.len() < 2 {
        return Err(Refusal::new("It takes two areas to merge.").way(Way::advice("Name at least two that touch.")));
    }
    let numbers: BTreeSet<_> = pieces_of(work, ids.iter().copied()).into_iter().collect();
    refuse_if_made(work, &numbers.iter().copied().collect::<Vec<_>>())?;
    connected(&work.pattern, &ids)?;
    let keeps = numbers.first().map_or(areas[0], |number| work.pieces[number].area);
    let mut changes = Changes { areas: ids.clone(), ..Changes::default() };
    unite(&mut work.pattern, &ids, keeps, &mut changes);
    if let Some(survivor) = numbers.first() {
        changes.pieces.insert(*survivor);
        for gone in numbers.iter().skip(1) {
            work.pieces.remove(gone);
            names::hand_over(work, *gone, *survivor, &mut changes);
        }
    }
    Ok(changes)
}

/// Refuses areas that hang together nowhere, or in a point only.
fn connected(pattern: &Pattern, ids: &BTreeSet<AreaId>) -> Result<(), Refusal> {
    let mut reached: BTreeSet<AreaId> = ids.first().copied().into_iter().collect();
    let mut open: Vec<AreaId> = reached.iter().copied().collect();
    while let Some(id) = open.pop() {
        for border in pattern.borders.values() {
            let beside = match (border.left, border.right) {
                (Side::Area(a), Side::Area(b)) if a == id => b,
                (Side::Area(a), Side::Area(b)) if b == id => a,
                _ => continue,
            };
            if ids.contains(&beside) && reached.insert(beside) {
                open.push(beside);
            }
        }
    }
    let apart: Vec<AreaId> = ids.difference(&reached).copied().collect();
    match apart.first() {
        None => Ok(()),
        Some(first) => Err(Refusal::new(format!("{} shares no border with the others.", called(pattern, *first)))
            .at(Spot { areas: apart, ..Spot::default() })
            .way(Way::advice("Merge areas that touch along a line; a common corner does not hold wood together."))),
    }
}

fn called(pattern: &Pattern, id: AreaId) -> String {
    match pattern.areas[&id].becomes {
        Becomes::Piece(number) => format!("Area {id}, piece {number},"),
        _ => format!("Area {id}"),
    }
}

/// Makes one area of `ids`, which keeps the place and kind of `keeps`.
pub(in crate::pattern) fn unite(pattern: &mut Pattern, ids: &BTreeSet<AreaId>, keeps: AreaId, changes: &mut Changes) {
    let mut loose = BTreeSet::new();
    let among = |side: Side| side.area().is_some_and(|id| ids.contains(&id));
    pattern.borders.retain(|id, border| {
        let inner = among(border.left) && among(border.right);
        if inner {
            changes.borders.insert(*id);
            loose.extend(junctions_of(border));
        }
        !inner
    });
    for (id, border) in &mut pattern.borders {
        for side in [&mut border.left, &mut border.right] {
            if among(*side) && *side != Side::Area(keeps) {
                *side = Side::Area(keeps);
                changes.borders.insert(*id);
            }
        }
    }
    pattern.areas.retain(|id, _| *id == keeps || !ids.contains(id));
    for junction in loose {
        dissolve(pattern, junction, changes);
    }
    let beside = changes.borders.iter().filter_map(|id| pattern.borders.get(id));
    changes.areas.extend(beside.flat_map(|border| [border.left, border.right]).filter_map(Side::area));
}

fn junctions_of(border: &Border) -> impl Iterator<Item = JunctionId> {
    let both = match border.ends {
        Ends::Between(a, b) => [Some(a), Some(b)],
        Ends::Ring(_) => [None, None],
    };
    both.into_iter().flatten()
}

/// Takes a junction away where it joins two borders of like gap and drawn line, or none. Where they differ it stays, and nothing
/// that the maker has set is lost.
pub(super) fn dissolve(pattern: &mut Pattern, junction: JunctionId, changes: &mut Changes) {
    let mut ends: BTreeMap<BorderId, usize> = BTreeMap::new();
    for (id, border) in &pattern.borders {
        let count = junctions_of(border).filter(|at| *at == junction).count();
        if count > 0 {
            ends.insert(*id, count);
        }
    }
    let ids: Vec<BorderId> = ends.keys().copied().collect();
    match (ids.as_slice(), ends.values().sum::<usize>()) {
        ([], _) => {}
        (&[only], 2) => {
            let border = pattern.borders.get_mut(&only).expect("it was just found");
            border.ends = Ends::Ring(pattern.junctions[&junction]);
            changes.borders.insert(only);
        }
        (&[low, high], 2) if is_alike(&pattern.borders[&low], &pattern.borders[&high]) => {
            let second = pattern.borders.remove(&high).expect("it was just found");
            let first = pattern.borders.remove(&low).expect("it was just found");
            pattern.borders.insert(low, joined(first, second, junction));
            changes.borders.extend([low, high]);
        }
        _ => return,
    }
    pattern.junctions.remove(&junction);
}

fn is_alike(one: &Border, other: &Border) -> bool {
    one.gap == other.gap && one.ink == other.ink
}

/// One border of two that meet in `junction`, walked as the first.
fn joined(first: Border, second: Border, junction: JunctionId) -> Border {
    let (a, b) = if ends_in(&first, junction) { (first, second) } else { (second, first) };
    let a = if ends_in(&a, junction) { a } else { reversed(a) };
    let b = if ends_in(&b, junction) { reversed(b) } else { b };
    let (Ends::Between(start, _), Ends::Between(_, end)) = (a.ends, b.ends) else {
        unreachable!("rings have no junction")
    };
    let from = if a.from == b.from { a.from } else { Origin::Drawn };
    Border { ends: Ends::Between(start, end), curve: a.curve.into_iter().chain(b.curve).collect(), from, ..a }
}

fn ends_in(border: &Border, junction: JunctionId) -> bool {
    matches!(border.ends, Ends::Between(_, end) if end == junction)
}

/// The same border walked the other way.
fn reversed(border: Border) -> Border {
    let ends = match border.ends {
        Ends::Between(start, end) => Ends::Between(end, start),
        ring @ Ends::Ring(_) => ring,
    };
    let curve = border.curve.iter().rev().map(Cubic::reversed).collect();
    Border { ends, curve, left: border.right, right: border.left, ..border }
}
