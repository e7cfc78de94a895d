//! A wood and a grain for each piece that acts may decide.
//!
//! The objective stands in `problem`, the weight of order and what steps of light ask in `order`, the search in `measure::solve::few`. What hand or fact chose is fixed and counts.
//! Where it fails: the search proves nothing, and a wood's colour is one point, not the spread of its boards.

mod nodes;
mod order;
mod problem;
mod steps;
mod target;

use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::solve::{Effort, Few, Labelled};

pub(super) use self::problem::BECOMES_PIECES;
use self::problem::Problem;
pub(super) use self::target::Line;
use super::grain::{self, Necks};
use crate::pattern::Outlines;
use crate::picture::Colours;
use crate::work::{Axis, By, Chosen, Number, Piece, Refusal, Spot, State, Way, Wood, WoodGrain, WoodId, Work};

/// The usual effort: what ten times as many kicks would save has not been measured.
pub const USUAL: Effort = Effort { seed: 1, rounds: 24 };

/// A wood and a grain for each piece that acts may decide, and the cost (hundredths of the objective). When the watch
/// stops it the best so far comes back.
pub fn choose(
    work: &Work,
    (outlines, colours): (&Outlines, &Colours),
    necks: &Necks,
    watch: Watch,
) -> Result<(BTreeMap<Number, WoodGrain>, i64), Refusal> {
    let offered = offered(work);
    let problem = sound(work, outlines, colours, &offered)?;
    let order::Settled { found, .. } = order::settle(&problem, watch).ok_or_else(|| no_room(work, &problem))?;
    let mut woods = settled(work);
    for (pieces, wood) in problem.pieces().zip(&found.label) {
        woods.extend(pieces.iter().map(|number| (*number, offered[*wood].id.clone())));
    }
    let axes = grain::axes(work, outlines, &woods, necks);
    let answer = woods
        .into_iter()
        .filter(|(number, _)| may_decide(&work.pieces[number]))
        .filter_map(|(number, wood)| Some((number, WoodGrain { wood, grain: *axes.get(&number)? })))
        .collect();
    Ok((answer, (found.cost * 100.0).round() as i64))
}

/// A grain for every piece that has a wood and whose grain acts may decide.
pub fn turn_grain(work: &Work, outlines: &Outlines, necks: &Necks) -> BTreeMap<Number, Axis> {
    let wood = |(number, piece): (&Number, &Piece)| Some((*number, piece.values.wood.as_ref()?.value.clone()));
    let woods = work.pieces.iter().filter_map(wood).collect();
    let mut axes = grain::axes(work, outlines, &woods, necks);
    axes.retain(|number, _| {
        let piece = &work.pieces[number];
        piece.state == State::Planned && acts(&piece.values.grain)
    });
    axes
}

/// The objective of a job as numbers, for a judge outside: steps of light ask nothing, order is at the weight to begin with.
pub fn stated(work: &Work, outlines: &Outlines, colours: &Colours) -> Result<Few, Refusal> {
    let offered = offered(work);
    let problem = sound(work, outlines, colours, &offered)?;
    Ok(problem.stated(&problem.aims(0.0), order::ORDER))
}

/// The objective of a job as it was settled, with the woods found, by their place among those offered.
pub fn found(work: &Work, outlines: &Outlines, colours: &Colours) -> Result<(Few, Labelled), Refusal> {
    let offered = offered(work);
    let problem = sound(work, outlines, colours, &offered)?;
    let settled = order::settle(&problem, Watch::silent()).ok_or_else(|| no_room(work, &problem))?;
    Ok((settled.few, settled.found))
}

/// The problem, unless it cannot have an answer.
fn sound<'a>(
    work: &'a Work,
    outlines: &'a Outlines,
    colours: &'a Colours,
    offered: &'a [&'a Wood],
) -> Result<Problem<'a>, Refusal> {
    if work.choices.woods_most == 0 || offered.is_empty() {
        return Err(Refusal::new("There is no wood to choose from.")
            .way(Way::advice("Allow at least one wood, and offer woods to the job whose trade is free.")));
    }
    pinned_past_stock(work, outlines).map_or(Ok(()), Err)?;
    let problem = Problem::new(work, outlines, colours, offered);
    let all_fixed = fixed(work).count() == work.pieces.len();
    if problem.is_empty() && !all_fixed {
        return Err(Refusal::new("No piece has a colour in the picture to choose a wood by.")
            .way(Way::advice("Start from a picture, or choose woods by hand.")));
    }
    Ok(problem)
}

/// More pieces that hand or fact put in a wood than there is of it on hand.
fn pinned_past_stock(work: &Work, outlines: &Outlines) -> Option<Refusal> {
    for (wood, on_hand) in &work.choices.choosing.on_hand {
        let pieces: Vec<Number> = fixed(work).filter(|(_, chosen)| &chosen.value == wood).map(|(n, _)| n).collect();
        let area = |n: &Number| outlines.areas.get(&work.pieces[n].area).map_or(0.0, |outline| outline.area_mm2);
        let (asked, had) = (pieces.iter().map(area).sum::<f64>(), f64::from(*on_hand) * BECOMES_PIECES);
        if asked > had {
            let name = super::name(work, wood);
            let what = format!(
                "{} chosen to be {name}, {:.0} cm² in all, and its boards on hand give about {:.0} cm².",
                if pieces.len() == 1 { "1 piece is".into() } else { format!("{} pieces are", pieces.len()) },
                asked / 100.0,
                had / 100.0
            );
            return Some(Refusal::new(what).at(Spot { woods: vec![wood.clone()], ..Spot::pieces(pieces) }).way(
                Way::advice(format!("Bring in another board of {name}, or choose another wood for some of them.")),
            ));
        }
    }
    None
}

fn no_room(work: &Work, problem: &Problem) -> Refusal {
    let few = problem.stated(&problem.aims(0.0), order::ORDER);
    let asked: f64 = few.nodes.iter().map(|node| node.size).sum();
    let had: f64 = few.room.iter().filter(|room| room.is_finite()).sum();
    Refusal::new(format!(
        "The boards on hand do not suffice: the pieces take {:.0} cm², and at most {} woods on hand give about {:.0} cm² in all.",
        asked / 100.0,
        work.choices.woods_most,
        had / 100.0
    ))
    .way(Way::advice("Allow more woods, bring in more boards, or let woods be bought that are not on hand."))
}

/// The woods that the act may choose from, in order: those offered to the job whose trade is free, and those in use.
/// Wood under CITES is the maker's own choice to make, with its papers.
fn offered(work: &Work) -> Vec<&Wood> {
    let in_use: BTreeSet<&WoodId> = fixed(work).map(|(_, chosen)| &chosen.value).collect();
    let choosing = &work.choices.choosing;
    let at_hand = |wood: &Wood| !choosing.only_on_hand || choosing.on_hand.contains_key(&wood.id);
    let free = |wood: &&Wood| in_use.contains(&wood.id) || (!restricted(wood) && at_hand(wood));
    work.woods.values().filter(free).collect()
}

/// Whether trade in a wood is under CITES.
pub(super) fn restricted(wood: &Wood) -> bool {
    wood.protected.as_ref().is_some_and(|protected| protected.value.starts_with("CITES"))
}

/// Whether an act may decide the piece's wood, its grain, or both.
fn may_decide(piece: &Piece) -> bool {
    piece.state == State::Planned && (acts(&piece.values.wood) || acts(&piece.values.grain))
}

/// Whether only acts have chosen here.
pub(super) fn acts<T>(place: &Option<Chosen<T>>) -> bool {
    place.as_ref().is_none_or(|chosen| chosen.by == By::Act)
}

/// Woods that an act may not change.
fn fixed(work: &Work) -> impl Iterator<Item = (Number, &Chosen<WoodId>)> {
    work.pieces.iter().filter_map(|(number, piece)| {
        let chosen = piece.values.wood.as_ref()?;
        (piece.state != State::Planned || chosen.by != By::Act).then_some((*number, chosen))
    })
}

fn settled(work: &Work) -> BTreeMap<Number, WoodId> {
    fixed(work).map(|(number, chosen)| (number, chosen.value.clone())).collect()
}

#[cfg(test)]
mod tests;
