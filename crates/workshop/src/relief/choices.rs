//! What each piece may be built as: thicknesses and raisers that exist.
//!
//! The heights are those of every thickness on every raiser within the job's range, or of them a ladder whose rungs lie a
//! readable step apart; boards on hand count for the pieces of their wood; what the maker has settled of a piece leaves only what agrees with it.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::solve::Levels;

use super::system::{System, own_builds, pinned};
use crate::wood::whose;
use crate::work::{Landed, Number, Says, State, Stock, Strength, WoodId, Work};

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
    pub(super) fn thickness(self) -> Um {
        Um(self.height - self.raiser)
    }

    fn landed(self) -> Landed {
        Landed { height: Um(self.height), thickness: self.thickness(), raiser: Um(self.raiser) }
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
    stock.thicknesses.contains(&build.thickness()) && stock.raisers.contains(&Um(build.raiser))
}

/// What there is for pieces of a wood: the job's stock, and the boards on hand of that wood as thick as they are.
fn stock_of_wood<'a>(work: &'a Work, wood: Option<&WoodId>) -> Cow<'a, Stock> {
    let stock = &work.choices.stock;
    let boards = work.boards.values().filter(|board| Some(&board.wood) == wood).map(|board| board.thickness);
    let more: BTreeSet<Um> = boards.filter(|one| !stock.thicknesses.contains(one)).collect();
    if more.is_empty() {
        return Cow::Borrowed(stock);
    }
    let thicknesses = more.into_iter().chain(stock.thicknesses.iter().copied()).collect::<BTreeSet<Um>>();
    Cow::Owned(Stock { thicknesses: thicknesses.into_iter().collect(), ..stock.clone() })
}

/// What there is for a piece: that of its wood, the job's stock where it has none yet.
pub(super) fn stock_of(work: &Work, number: Number) -> Cow<'_, Stock> {
    let wood = work.pieces.get(&number).and_then(|piece| piece.values.wood.as_ref());
    stock_of_wood(work, wood.map(|wood| &wood.value))
}

/// Every thickness that stock and boards have, ascending.
pub(super) fn thicknesses(work: &Work) -> BTreeSet<Um> {
    let boards = work.boards.values().map(|board| board.thickness);
    work.choices.stock.thicknesses.iter().copied().chain(boards).collect()
}

/// What pieces of a wood may be built as.
struct Offered {
    every: Vec<Build>,
    /// Of the thicknesses that are allowed.
    ours: Vec<Build>,
    /// Of these the ones that are to be chosen from.
    common: Vec<Build>,
}

impl Offered {
    fn new(stock: &Stock, on_ladder: bool, allowed: impl Fn(Um) -> bool) -> Offered {
        let every = builds(stock, None, None);
        let thicknesses = stock.thicknesses.iter().copied().filter(|one| allowed(*one)).collect();
        let ours = builds(&Stock { thicknesses, ..stock.clone() }, None, None);
        let common = if on_ladder { on(&ladder(&every, stock.readable_step), &ours) } else { ours.clone() };
        Offered { every, ours, common }
    }
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

/// Of these, the builds whose height is among others.
fn on(heights: &[Build], ours: &[Build]) -> Vec<Build> {
    let has = |build: &&Build| heights.binary_search_by_key(&build.height, |other| other.height).is_ok();
    ours.iter().filter(has).copied().collect()
}

fn kept(mut builds: Vec<Build>, allowed: impl Fn(Um) -> bool) -> Vec<Build> {
    builds.retain(|build| allowed(build.thickness()));
    builds
}

/// What each piece may be built as, by piece; a settled height that no stock gives has no build.
pub(super) struct Choices {
    by_piece: Vec<(Levels, Vec<Option<Build>>)>,
    union: Levels,
}

impl Choices {
    /// On the ladder, or on every height.
    pub(super) fn new(work: &Work, system: &System, on_ladder: bool) -> Choices {
        Choices::of(work, system, on_ladder, |_| true)
    }

    /// The same, of some thicknesses alone; a piece that cannot be built of them has no level. What is cut already is as it
    /// is.
    pub(super) fn of(work: &Work, system: &System, on_ladder: bool, allowed: impl Fn(Um) -> bool) -> Choices {
        let same = built_same(work);
        let wood = |number: &Number| work.pieces[number].values.wood.as_ref().map(|wood| &wood.value);
        let mut offered: BTreeMap<Option<&WoodId>, Offered> = BTreeMap::new();
        for number in &system.numbers {
            let wood = wood(number);
            offered.entry(wood).or_insert_with(|| Offered::new(&stock_of_wood(work, wood), on_ladder, &allowed));
        }
        let of = |number: &Number| {
            let (own, offered) = (own_builds(work, *number), &offered[&wood(number)]);
            let Some(height) = pinned(work, *number) else {
                let own = own.or_else(|| same.get(number).cloned());
                let own = own.map_or_else(|| offered.common.clone(), |own| kept(own, &allowed));
                return (levels(&own), own.into_iter().map(Some).collect());
            };
            let at = |builds: &[Build]| builds.iter().find(|build| build.height == height.0).copied();
            let build = at(own.as_deref().unwrap_or(&offered.every));
            let open = build.is_some() && work.pieces[number].state == State::Planned;
            let ours =
                if open { at(&own.map_or_else(|| offered.ours.clone(), |own| kept(own, &allowed))) } else { build };
            let list = if open && ours.is_none() {
                Levels { at: vec![], costs: vec![] }
            } else {
                Levels::fixed(i64::from(height.0))
            };
            (list, vec![ours])
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

    /// The thickness of each level of each node; `None` for what is cut already, for parts, and for what no stock gives.
    pub(super) fn thicknesses(&self, work: &Work, system: &System) -> Vec<Vec<Option<Um>>> {
        let of = |((_, builds), number): (&(Levels, Vec<Option<Build>>), &Number)| {
            let planned = work.pieces[number].state == State::Planned;
            builds.iter().map(|build| build.filter(|_| planned).map(Build::thickness)).collect()
        };
        let mut all = vec![vec![None]];
        all.extend(self.by_piece.iter().zip(&system.numbers).map(of));
        all.resize(system.nodes, vec![None; self.union.at.len()]);
        all
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
