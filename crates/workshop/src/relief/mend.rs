//! Heights mended after a change or a fact: as little as can be is moved.
//!
//! Musts and facts hold. Each wish may be missed by as much as it was before; beyond that it costs its weight, and that cost
//! is least first, so it is nothing wherever the musts leave a choice. Of all such heights those that move the fewest pieces
//! are taken, then those that move them the least distance in sum. All of it is exact: both stages are minimum cuts over
//! levels, the second among the minimum cuts of the first (`measure::solve::cheapest_then`).
//!
//! Where it fails: a wish of parts to be level or about apart is missed from a common height that the solver chose before,
//! so of several equal ones it holds to the lowest. Steps too small to read may come out; the check names them.

use std::collections::BTreeMap;

use measure::Watch;
use measure::solve::{GROUND, Levels, Price, Row, cheapest_then, solve};

use super::choices::{Build, Choices, given, stock_of};
use super::heights::{no_level, open, refuse, stop_here, too_heavy, weigh_too_much};
use super::settings::settings;
use super::system::{Source, System, pinned};
use crate::work::{Landed, Number, Refusal, Strength, Work};

/// New heights of the pieces that have to move, and how many these are. What is undecided stays so, but a height is left
/// for it. A refusal says what cannot hold together.
pub fn mend(work: &Work, watch: Watch) -> Result<(BTreeMap<Number, Landed>, i64), Refusal> {
    watch.tell("heights", 0.0);
    let system = System::whole(work);
    let choices = Choices::new(work, &system, false);
    if let Some(refusal) = no_level(work, &system, &choices) {
        return Err(refusal);
    }
    let rows = bounded(work, &system)?;
    stop_here(watch)?;
    watch.tell("heights", 0.5);
    too_heavy(&choices.lists(&system), &rows)?;
    let few = in_use(work, &system);
    let by_few = few.as_ref().and_then(|few| Some((places(work, &system, (few, &rows))?, few)));
    let found = by_few.or_else(|| Some((places(work, &system, (&choices, &rows))?, &choices)));
    let Some((places, choices)) = found else { return Err(refuse(work)) };
    watch.tell("heights", 1.0);
    let mended: BTreeMap<Number, Landed> =
        choices.at(&system, &places).filter(|(at, to)| moves(work, *at, *to)).collect();
    let moved = mended.iter().filter(|(number, to)| height(work, **number) != Some(i64::from(to.height.0))).count();
    Ok((mended, moved as i64))
}

/// What is built of thicknesses in use alone, where few planer settings are wished: that wish is not to be missed by more
/// either.
fn in_use(work: &Work, system: &System) -> Option<Choices> {
    work.choices.planer_settings?;
    let settings = settings(work);
    let few = Choices::of(work, system, false, |one| settings.contains_key(&one));
    few.without_level(system).is_none().then_some(few)
}

fn places(work: &Work, system: &System, (choices, rows): (&Choices, &[Row])) -> Option<Vec<usize>> {
    let mut lists = choices.lists(system);
    lists.iter_mut().for_each(|list| list.costs.fill(0));
    cheapest_then(&lists, rows, &moving(work, system, &lists))
}

fn height(work: &Work, number: Number) -> Option<i64> {
    work.pieces[&number].values.height.map(|height| i64::from(height.value.0))
}

/// A decided piece that acts may move and that stands elsewhere or is built otherwise than it was.
fn moves(work: &Work, number: Number, to: Landed) -> bool {
    let values = &work.pieces[&number].values;
    let same = values.height.map(|h| h.value) == Some(to.height);
    let build =
        values.thickness.zip(values.raiser).map(|(t, r)| Build { height: t.value.0 + r.value.0, raiser: r.value.0 });
    let stays = same && build.is_some_and(|build| build.height == to.height.0 && given(&stock_of(work, number), build));
    values.height.is_some() && open(work, number) && !stays
}

/// The musts, and each wish with what it was missed by before taken off. What is wished of undecided pieces has no before,
/// and is left out.
fn bounded(work: &Work, system: &System) -> Result<Vec<Row>, Refusal> {
    let decided = |node: usize| match system.numbers.get(node.wrapping_sub(1)) {
        Some(number) => height(work, *number).is_some(),
        None => true,
    };
    let (mut wished, mut musts) = (Vec::new(), Vec::new());
    for (row, source) in system.rows.iter().zip(&system.sources) {
        let of_wish = matches!(source, Source::Relation(id) if work.relations[id].strength != Strength::Must);
        if !of_wish && row.price == Price::Must {
            musts.push(*row);
        } else if decided(row.low) && decided(row.high) {
            wished.push(*row);
        }
    }
    let before = before(work, system, &wished)?;
    let bound = |row: Row| match row.price {
        Price::Must => row,
        Price::Wish(_) => Row { by: row.by - row.missed(&before), ..row },
    };
    Ok(wished.into_iter().map(bound).chain(musts).collect())
}

/// The height of every node as it was: pieces where they stand, what stands for parts where the wishes miss least.
fn before(work: &Work, system: &System, wished: &[Row]) -> Result<Vec<i64>, Refusal> {
    let mut rows = wished.to_vec();
    for (at, number) in system.numbers.iter().enumerate() {
        if let Some(height) = height(work, *number) {
            rows.extend(Row::exactly(GROUND, at + 1, height, Price::Must));
        }
    }
    solve(system.nodes, &rows).map_err(|_| weigh_too_much())
}

/// What the levels of each node cost: a piece more that moves outweighs all distances together.
fn moving(work: &Work, system: &System, lists: &[Levels]) -> Vec<Vec<i64>> {
    let of_piece = |node: usize| height(work, *system.numbers.get(node.wrapping_sub(1))?);
    let far = |(node, list): (usize, &Levels)| -> Vec<i64> {
        let from = of_piece(node).filter(|_| pinned(work, system.numbers[node - 1]).is_none());
        list.at.iter().map(|at| from.map_or(0, |from| (at - from).abs())).collect()
    };
    let mut costs: Vec<Vec<i64>> = lists.iter().enumerate().map(far).collect();
    let piece: i64 = 1 + costs.iter().filter_map(|of| of.iter().max()).sum::<i64>();
    costs.iter_mut().flatten().filter(|cost| **cost > 0).for_each(|cost| *cost += piece);
    costs
}
