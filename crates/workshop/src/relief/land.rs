//! Heights on thicknesses that exist: stock, with raisers.
//!
//! One minimum cut over levels (`measure::solve::cheapest`) weighs each level's distance from the solved height and the
//! trouble of a raiser together with every wish, and breaks no must. It is tried first on a ladder of heights that lie a
//! readable step apart, so that no step is too small to see; where the musts need more, on every height that stock gives.
//! Where the maker wishes for few planer settings, the cut is sought over sets of so many thicknesses
//! (`measure::solve::by_few_kinds`); where the musts need more, over as few more as will do.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::solve::{Levels, Offer, Row, by_few_kinds, cheapest};

use super::choices::Choices;
use super::system::System;
use crate::work::{By, Landed, Number, Work};

/// Where each piece lands, and the height of every node.
pub(super) type Placed = (BTreeMap<Number, Landed>, Vec<i64>);

/// Heights on their way to stock.
pub(super) struct Landing<'a> {
    pub(super) work: &'a Work,
    pub(super) system: &'a System,
    /// All that was said, guessed and drawn.
    pub(super) rows: &'a [Row],
    /// The solved height of every node.
    pub(super) solved: &'a [i64],
}

impl Landing<'_> {
    /// On the ladder of readable steps or on every height; `None` when no levels keep the musts. By few thicknesses, if the
    /// job wishes so.
    pub(super) fn land(&self, on_ladder: bool) -> Option<Placed> {
        let most = self.work.choices.planer_settings;
        let places = most.map_or_else(|| self.freely(on_ladder), |most| self.by_few(on_ladder, most as usize));
        let (choices, places) = places?;
        let lists = self.lists(&choices);
        let at = lists.iter().zip(&places).map(|(list, place)| list.at[*place]).collect();
        Some((choices.at(self.system, &places).collect(), at))
    }

    fn freely(&self, on_ladder: bool) -> Option<(Choices, Vec<usize>)> {
        let choices = Choices::new(self.work, self.system, on_ladder);
        let places = cheapest(&self.lists(&choices), self.rows)?;
        Some((choices, places))
    }

    fn by_few(&self, on_ladder: bool, most: usize) -> Option<(Choices, Vec<usize>)> {
        let thicknesses = thicknesses(self.work);
        let some = |allowed: &[bool]| {
            let has = |one: Um| thicknesses.binary_search(&one).is_ok_and(|at| allowed[at]);
            Choices::of(self.work, self.system, on_ladder, has)
        };
        let offer = |allowed: &[bool]| {
            let choices = some(allowed);
            let kind = |one: Option<Um>| thicknesses.binary_search(&one?).ok();
            let kinds = choices.thicknesses(self.work, self.system).into_iter();
            let kinds = kinds.map(|of| of.into_iter().map(kind).collect()).collect();
            choices.without_level(self.system).is_none().then(|| Offer { levels: self.lists(&choices), kinds })
        };
        let found = by_few_kinds((thicknesses.len(), most), self.rows, offer)?;
        Some((some(&found.allowed), found.places))
    }

    /// The levels of every node, each with its distance from the solved height and the trouble of a raiser.
    fn lists(&self, choices: &Choices) -> Vec<Levels> {
        let mut lists = choices.lists(self.system);
        for (list, height) in lists.iter_mut().zip(self.solved).take(self.system.numbers.len() + 1).skip(1) {
            for (cost, at) in list.costs.iter_mut().zip(&list.at) {
                *cost += (at - height).abs();
            }
        }
        lists
    }
}

/// Every thickness that a piece may be built of, ascending: those in stock or on hand, and those that the
/// maker has settled.
fn thicknesses(work: &Work) -> Vec<Um> {
    let settled = work.pieces.values().filter_map(|piece| piece.values.thickness).filter(|chosen| chosen.by != By::Act);
    let mut all = super::choices::thicknesses(work);
    all.extend(settled.map(|chosen| chosen.value));
    all.into_iter().collect()
}
