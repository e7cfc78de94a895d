//! Heights for each piece that acts may decide: solved exactly, then landed on stock.

use std::collections::BTreeMap;

use measure::Watch;
use measure::solve::{GROUND, Levels, Price, Row, solve};

use super::choices::Choices;
use super::conflict::refusal;
use super::depth::targets;
use super::edit::settled;
use super::front::{Front, fronts};
use super::land::{Landing, Placed};
use super::system::{Source, System, pinned};
use super::words;
use crate::pattern::Outlines;
use crate::work::{Landed, Number, Refusal, Spot, Way, Work};

/// How many times over a wish of the maker counts beside what is drawn and guessed, so that a wish gives way to musts, to
/// other wishes and to what stock leaves, not to a guess. Lower, and the guesses around one piece outweigh it; higher, and
/// the heaviest wishes add up to more than can be summed.
const SAID: i64 = 100;
/// What a micrometre away from where a piece is drawn to costs, beside wishes of the maker of weight 1 and more.
const DRAWN: i64 = 1;
/// What a micrometre of a guessed step costs: more than drawing one piece away, less than a cluster of them.
const GUESSED: i64 = 2;
/// What all wishes may cost together: what one cut adds up without overflow, with room for drawing and raisers.
const MOST_COST: i128 = 1 << 59;

/// Heights, thicknesses and raisers for each piece that acts may decide, and the cost of the wishes missed (weight × µm).
/// A refusal names the relations that cannot hold together, and the loosenings as edits.
pub fn heights(work: &Work, outlines: &Outlines, watch: Watch) -> Result<(BTreeMap<Number, Landed>, i64), Refusal> {
    if work.pieces.is_empty() {
        return Ok((BTreeMap::new(), 0));
    }
    watch.tell("heights", 0.0);
    let system = System::whole(work);
    let rows = rows(work, outlines, &system);
    stop_here(watch)?;
    watch.tell("heights", 0.3);
    let solved = solve(system.nodes, &rows).map_err(|_| refuse(work))?;
    stop_here(watch)?;
    watch.tell("heights", 0.6);
    let (landed, at) = on_stock(work, &system, &rows, &solved)?;
    watch.tell("heights", 1.0);
    Ok((landed.into_iter().filter(|(number, _)| open(work, *number)).collect(), missed(&system, &at)))
}

pub(super) fn stop_here(watch: Watch) -> Result<(), Refusal> {
    if watch.stopped() { Err(Refusal::new("Stopped; nothing was changed.")) } else { Ok(()) }
}

/// What cannot hold together; else it is the weights.
pub(super) fn refuse(work: &Work) -> Refusal {
    refusal(work).unwrap_or_else(weigh_too_much)
}

pub(super) fn weigh_too_much() -> Refusal {
    Refusal::new("The wishes of this job weigh too much together to be worked out exactly.")
        .way(Way::advice("Give the wishes smaller weights; only their proportions count."))
}

/// Whether weight × distance, summed over all wishes, stays within what the cut can add.
pub(super) fn too_heavy(lists: &[Levels], rows: &[Row]) -> Result<(), Refusal> {
    let ends = |list: &Levels| [list.at.first(), list.at.last()].into_iter().flatten().map(|at| at.abs()).max();
    let highest = i128::from(lists.iter().filter_map(ends).max().unwrap_or(0));
    let most = |row: &Row| match row.price {
        Price::Must => 0,
        Price::Wish(weight) => i128::from(weight) * (2 * highest + i128::from(row.by.abs())),
    };
    if rows.iter().map(most).sum::<i128>() < MOST_COST { Ok(()) } else { Err(weigh_too_much()) }
}

/// Whether an act may decide something of a piece's build.
pub(super) fn open(work: &Work, number: Number) -> bool {
    let values = &work.pieces[&number].values;
    !settled(work, number) && (pinned(work, number).is_none() || values.thickness.is_none() || values.raiser.is_none())
}

/// What the maker said, where depth draws each piece, and the guessed steps between touching pieces that it does not
/// gainsay.
fn rows(work: &Work, outlines: &Outlines, system: &System) -> Vec<Row> {
    let fronts = fronts(work, outlines);
    let targets = targets(work, outlines, system, &fronts);
    let mut rows: Vec<Row> = system.rows.iter().map(said).collect();
    for (at, target) in targets.iter().enumerate() {
        let target = system.even.get(&(at + 1)).unwrap_or(target);
        rows.extend(Row::exactly(GROUND, at + 1, *target, Price::Wish(DRAWN)));
    }
    let step = i64::from(work.choices.stock.readable_step.0);
    let guessed = |front: &Front| {
        let (high, low) = (system.node(front.front)?, system.node(front.behind)?);
        let gainsaid = targets[low - 1] - targets[high - 1] > step;
        if gainsaid { None } else { guessed_beside(system, (low, high), step) }
    };
    rows.extend(fronts.iter().filter_map(guessed));
    rows
}

/// What the maker said, at its weight beside guesses.
fn said(row: &Row) -> Row {
    match row.price {
        Price::Wish(weight) => Row { price: Price::Wish(weight * SAID), ..*row },
        Price::Must => *row,
    }
}

/// A guessed step; where the lower or the higher is within a climb, from the place that it has there if that rises evenly,
/// so that no guess bends a climb.
fn guessed_beside(system: &System, (low, high): (usize, usize), step: i64) -> Option<Row> {
    match (system.even.get(&low), system.even.get(&high)) {
        (None, None) => Some(Row::wish(low, high, step, GUESSED)),
        (Some(even), None) => Some(Row::wish(GROUND, high, even + step, GUESSED)),
        (None, Some(even)) => Some(Row::wish(low, GROUND, step - even, GUESSED)),
        (Some(_), Some(_)) => None,
    }
}

/// On the ladder of readable steps if the musts leave it, else on every height that stock gives.
fn on_stock(work: &Work, system: &System, rows: &[Row], solved: &[i64]) -> Result<Placed, Refusal> {
    let every = Choices::new(work, system, false);
    if let Some(refusal) = no_level(work, system, &every) {
        return Err(refusal);
    }
    too_heavy(&every.lists(system), rows)?;
    let landing = Landing { work, system, rows, solved };
    landing.land(true).or_else(|| landing.land(false)).ok_or_else(|| refuse(work))
}

/// Why a piece has no height at all, if one has none.
pub(super) fn no_level(work: &Work, system: &System, choices: &Choices) -> Option<Refusal> {
    let number = choices.without_level(system)?;
    let stock = &work.choices.stock;
    let (low, high) = (words::length(work, stock.lowest), words::length(work, stock.highest));
    let refusal = Refusal::new(format!("No thickness and raiser in stock gives a height from {low} to {high}."));
    Some(refusal.at(Spot::pieces([number])).way(Way::advice(
        "Add a thickness or a raiser, or widen the range of heights: on the Relief page under Stock and range.",
    )))
}

/// What the maker's wishes are missed by.
fn missed(system: &System, at: &[i64]) -> i64 {
    let wish = |(row, source): (&Row, &Source)| match (row.price, source) {
        (Price::Wish(weight), Source::Relation(_)) => weight * row.missed(at),
        _ => 0,
    };
    system.rows.iter().zip(&system.sources).map(wish).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wishes_that_weigh_more_than_can_be_added_are_refused() {
        let lists = vec![Levels::fixed(0), Levels { at: vec![12_000, 45_000], costs: vec![0, 0] }];
        let wishes = |weight: i64| vec![Row::wish(GROUND, 1, 20_000, weight); 4000];
        assert!(too_heavy(&lists, &wishes(1_000_000 * SAID)).is_ok());
        let refusal = too_heavy(&lists, &wishes(i64::MAX / 1_000_000_000)).unwrap_err();
        assert!(refusal.what.contains("too much") && !refusal.ways.is_empty());
    }
}
