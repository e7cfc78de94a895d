//! Heights on thicknesses that exist: stock, with raisers.
//!
//! One minimum cut over levels (`measure::solve::cheapest`) weighs each level's distance from the solved height and the
//! trouble of a raiser together with every wish, and breaks no must. It is tried first on a ladder of heights that lie a
//! readable step apart, so that no step is too small to see; where the musts need more, on every height that stock gives.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::solve::{Levels, Row, cheapest};

use super::system::{System, own_builds, pinned};
use crate::wood::whose;
use crate::work::{Landed, Number, Says, Stock, Strength, Work};

/// What a raiser costs beside distance from the solved height, µm: it is one more thing to saw and glue. Far above, and
/// the relief flattens onto the stock's own thicknesses; far below, and raisers come in for nothing.
const RAISER_TROUBLE: i64 = 400;

/// One way to reach a height, µm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Build {
    pub(super) height: i32,
    pub(super) raiser: i32,
}

impl Build {
    fn landed(self) -> Landed {
        Landed { height: Um(self.height), thickness: Um(self.height - self.raiser), raiser: Um(self.raiser) }
    }
}

/// The heights that stock gives within the job's range, ascending, each by its least raiser. A settled thickness or
/// raiser leaves only those with it, whatever the range.
pub(super) fn builds(stock: &Stock, thickness: Option<Um>, raiser: Option<Um>) -> Vec<Build> {
    let thicknesses = thickness.map_or(stock.thicknesses.clone(), |one| vec![one]);
    let raisers = raiser.map_or(stock.raisers.clone(), |one| vec![one]);
    let sums = thicknesses.iter().flat_map(|t| raisers.iter().map(|r| Build { height: t.0 + r.0, raiser: r.0 }));
    let mut all: Vec<Build> = sums.collect();
    all.sort_unstable();
    all.dedup_by_key(|build| build.height);
    let range = i64::from(stock.lowest.0)..=i64::from(stock.highest.0);
    let within: Vec<Build> = all.iter().copied().filter(|build| range.contains(&i64::from(build.height))).collect();
    let settled = thickness.is_some() || raiser.is_some();
    if within.is_empty() && settled { all } else { within }
}

/// Whether stock has this thickness and this raiser.
pub(super) fn given(stock: &Stock, build: Build) -> bool {
    stock.thicknesses.contains(&Um(build.height - build.raiser)) && stock.raisers.contains(&Um(build.raiser))
}

/// Of these, heights a readable step apart: those without a raiser first, then those that fit between.
fn ladder(all: &[Build], step: Um) -> Vec<Build> {
    let mut kept: Vec<Build> = Vec::new();
    let mut by_trouble = all.to_vec();
    by_trouble.sort_unstable_by_key(|build| (build.raiser, build.height));
    for build in by_trouble {
        if kept.iter().all(|other| (other.height - build.height).abs() >= step.0) {
            kept.push(build);
        }
    }
    kept.sort_unstable();
    kept
}

/// What each piece may be built as, by piece; a settled height that no stock gives has no build.
pub(super) struct Choices {
    by_piece: Vec<(Levels, Vec<Option<Build>>)>,
    union: Levels,
}

impl Choices {
    /// On the ladder, or on every height.
    pub(super) fn new(work: &Work, system: &System, on_ladder: bool) -> Choices {
        let (stock, same) = (&work.choices.stock, built_same(work));
        let every = builds(stock, None, None);
        let common = if on_ladder { ladder(&every, stock.readable_step) } else { every.clone() };
        let of = |number: &Number| match (pinned(work, *number), own_builds(work, *number)) {
            (Some(height), own) => {
                let build = own.unwrap_or(every.clone()).into_iter().find(|build| build.height == height.0);
                (Levels::fixed(i64::from(height.0)), vec![build])
            }
            (None, own) => {
                let own = own.or_else(|| same.get(number).cloned()).unwrap_or(common.clone());
                (levels(&own), own.into_iter().map(Some).collect())
            }
        };
        let by_piece: Vec<_> = system.numbers.iter().map(of).collect();
        let mut at: Vec<i64> = by_piece.iter().flat_map(|(levels, _)| levels.at.clone()).collect();
        at.sort_unstable();
        at.dedup();
        let costs = vec![0; at.len()];
        Choices { by_piece, union: Levels { at, costs } }
    }

    /// The first piece without any level: its stock gives nothing.
    pub(super) fn without_level(&self, system: &System) -> Option<Number> {
        self.by_piece.iter().position(|(levels, _)| levels.at.is_empty()).map(|at| system.numbers[at])
    }

    /// What each piece becomes at these places; a settled height that no stock gives is left out.
    pub(super) fn at<'a>(
        &'a self,
        system: &'a System,
        places: &'a [usize],
    ) -> impl Iterator<Item = (Number, Landed)> + 'a {
        let of = |(at, number): (usize, &Number)| Some((*number, self.by_piece[at].1[places[at + 1]]?.landed()));
        system.numbers.iter().enumerate().filter_map(of)
    }

    /// The levels of every node of a system.
    pub(super) fn lists(&self, system: &System) -> Vec<Levels> {
        let mut lists = vec![Levels::fixed(0)];
        lists.extend(self.by_piece.iter().map(|(levels, _)| levels.clone()));
        lists.resize(system.nodes, self.union.clone());
        lists
    }
}

/// Builds of pieces that must be built the same as one whose thickness or raiser is settled.
fn built_same(work: &Work) -> BTreeMap<Number, Vec<Build>> {
    let pairs = work.relations.values().filter_map(|relation| match (&relation.says, relation.strength) {
        (Says::SameAs(a, b), Strength::Must) => Some([whose(work, *a), whose(work, *b)].concat()),
        _ => None,
    });
    let groups: Vec<Vec<Number>> = pairs.collect();
    let mut known: BTreeMap<Number, Vec<Build>> = BTreeMap::new();
    // Each round reaches one relation further.
    for _ in 0..groups.len() {
        for group in &groups {
            let of = |number: &Number| own_builds(work, *number).or_else(|| known.get(number).cloned());
            let Some(builds) = group.iter().find_map(of) else { continue };
            group.iter().for_each(|number| {
                known.entry(*number).or_insert_with(|| builds.clone());
            });
        }
    }
    known
}

fn levels(builds: &[Build]) -> Levels {
    let trouble = |build: &Build| if build.raiser > 0 { RAISER_TROUBLE } else { 0 };
    Levels {
        at: builds.iter().map(|build| i64::from(build.height)).collect(),
        costs: builds.iter().map(trouble).collect(),
    }
}

/// Where each piece lands, and the height of every node; `None` when no levels keep the musts.
pub(super) fn land(
    choices: &Choices,
    system: &System,
    rows: &[Row],
    solved: &[i64],
) -> Option<(BTreeMap<Number, Landed>, Vec<i64>)> {
    let mut lists = choices.lists(system);
    for (list, height) in lists.iter_mut().zip(solved).take(system.numbers.len() + 1).skip(1) {
        for (cost, at) in list.costs.iter_mut().zip(&list.at) {
            *cost += (at - height).abs();
        }
    }
    let places = cheapest(&lists, rows)?;
    Some((
        choices.at(system, &places).collect(),
        lists.iter().zip(&places).map(|(list, place)| list.at[*place]).collect(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_height_once_by_its_least_raiser() {
        let all = builds(&Stock::thick(), None, None);
        assert!(all.windows(2).all(|pair| pair[0].height < pair[1].height));
        let by = |height| all.iter().find(|build| build.height == height).map(|build| build.raiser);
        assert_eq!((by(18_000), by(21_000), by(23_000), by(48_000)), (Some(0), Some(3000), Some(3000), None));
    }

    #[test]
    fn a_ladder_has_readable_steps_and_all_plain_thicknesses() {
        for stock in [Stock::thin(), Stock::thick()] {
            let ladder = ladder(&builds(&stock, None, None), stock.readable_step);
            assert!(ladder.windows(2).all(|pair| pair[1].height - pair[0].height >= stock.readable_step.0));
            assert!(ladder.iter().filter(|build| build.raiser == 0).count() >= 6 && ladder.len() >= 9, "{ladder:?}");
        }
    }
}
