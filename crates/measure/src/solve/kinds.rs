//! The cheapest choice of levels by few kinds: each level is reached by one kind of several, and only so many may be used.
//!
//! Branch and bound (Land and Doig 1960) over the sets of kinds allowed. With more kinds allowed nothing costs more, so
//! the minimum cut over what is allowed bounds every set within it from below; where that cut uses few enough kinds it is
//! the optimum of them all. A first answer gives up one kind after the other, each time the one that costs least of those
//! that few nodes use.
//!
//! Where it fails: many kinds on a large problem outlast the effort, and what is given then is the best so far. Effort is
//! counted in levels that went into cuts, never in seconds.

use std::collections::BTreeMap;

use super::levels::{Levels, cheapest, lowest_levels};
use super::network::cost;
use super::row::Row;

/// Levels that may go into cuts: some twenty cuts of 800 nodes with 40 levels, thousands of 25 nodes. More proves more
/// large problems, at as much more time.
const EFFORT: usize = 600_000;
/// How many kinds are tried for each that is given up, those that the fewest nodes use: more finds better first answers,
/// and costs a cut each.
const TRIED: usize = 6;

/// What the nodes may take while only some kinds are allowed.
#[derive(Clone, Debug)]
pub struct Offer {
    /// The levels of each node.
    pub levels: Vec<Levels>,
    /// The kind of each node's levels; `None` for what needs no kind.
    pub kinds: Vec<Vec<Option<usize>>>,
}

/// The choice that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ByFew {
    /// The place of each node's level in the list that it has while `allowed` are.
    pub places: Vec<usize>,
    /// Which kinds are allowed.
    pub allowed: Vec<bool>,
    /// Costs of levels and wishes missed.
    pub cost: i128,
    /// Whether it is proved to be the cheapest; if not, the effort ran out.
    pub proved: bool,
}

/// The cheapest choice that uses at most `most` of `kinds` kinds, or as few more as the musts need; `None` when they leave
/// no choice at all. `offer` says what the nodes may take, `None` where one of them has nothing left; a kind more must take
/// no level away and make none dearer.
pub fn by_few_kinds(
    (kinds, most): (usize, usize),
    rows: &[Row],
    offer: impl Fn(&[bool]) -> Option<Offer>,
) -> Option<ByFew> {
    let mut search = Search { rows, offer, known: BTreeMap::new(), spent: 0, most, best: None, cut_short: false };
    let all = vec![true; kinds];
    search.relaxed(&all)?;
    for most in most..=kinds {
        search.most = most;
        search.give_up_one_by_one(all.clone());
        search.branch(all.clone(), vec![false; kinds]);
        if let Some((cost, allowed)) = search.best.take() {
            let Relaxed { places, .. } = search.relaxed(&allowed)?;
            return Some(ByFew { places, allowed, cost, proved: !search.cut_short });
        }
    }
    None
}

/// The minimum cut over what some kinds allow.
#[derive(Clone)]
struct Relaxed {
    cost: i128,
    places: Vec<usize>,
    /// How many nodes use each kind.
    uses: Vec<usize>,
}

struct Search<'a, O> {
    rows: &'a [Row],
    offer: O,
    known: BTreeMap<Vec<bool>, Option<Relaxed>>,
    spent: usize,
    most: usize,
    best: Option<(i128, Vec<bool>)>,
    cut_short: bool,
}

impl<O: Fn(&[bool]) -> Option<Offer>> Search<'_, O> {
    fn relaxed(&mut self, allowed: &[bool]) -> Option<Relaxed> {
        if let Some(known) = self.known.get(allowed) {
            return known.clone();
        }
        let found = self.cut(allowed);
        self.known.insert(allowed.to_vec(), found.clone());
        found
    }

    fn cut(&mut self, allowed: &[bool]) -> Option<Relaxed> {
        let Offer { levels, kinds } = (self.offer)(allowed)?;
        let places = cheapest(&levels, self.rows)?;
        self.spent += levels.iter().map(|of| of.at.len()).sum::<usize>();
        let heights: Vec<i64> = levels.iter().zip(&places).map(|(of, place)| of.at[*place]).collect();
        let own: i64 = levels.iter().zip(&places).map(|(of, place)| of.costs[*place]).sum();
        let mut uses = vec![0; allowed.len()];
        kinds.iter().zip(&places).filter_map(|(of, place)| of[*place]).for_each(|kind| uses[kind] += 1);
        Some(Relaxed { cost: cost(self.rows, &heights)? + i128::from(own), places, uses })
    }

    /// Takes what some kinds allow as the best so far, if it is cheaper and uses few enough of them.
    fn offer_best(&mut self, found: &Relaxed) -> bool {
        let used: Vec<bool> = found.uses.iter().map(|uses| *uses > 0).collect();
        let few = used.iter().filter(|used| **used).count() <= self.most;
        if few && self.best.as_ref().is_none_or(|(best, _)| found.cost < *best) {
            self.best = Some((found.cost, used));
        }
        few
    }

    /// Forbids one used kind after the other, each time the one without which all costs least. Past the effort the one that
    /// the fewest nodes use.
    fn give_up_one_by_one(&mut self, mut allowed: Vec<bool>) {
        while let Some(found) = self.relaxed(&allowed) {
            if self.offer_best(&found) {
                return;
            }
            let tried = if self.spent > EFFORT { 1 } else { TRIED };
            let without = by_uses(&found).map(|kind| forbidden(&allowed, kind)).filter(|rest| self.keeps_musts(rest));
            let rests: Vec<Vec<bool>> = without.take(tried).collect();
            let cheapest = rests.into_iter().filter_map(|rest| Some((self.relaxed(&rest)?.cost, rest))).min();
            let Some((_, rest)) = cheapest else { return };
            allowed = rest;
        }
    }

    fn keeps_musts(&self, allowed: &[bool]) -> bool {
        (self.offer)(allowed).is_some_and(|offer| lowest_levels(&offer.levels, self.rows).is_some())
    }

    /// Tries all sets of few kinds within the allowed that hold the needed, save those that cannot be cheaper.
    fn branch(&mut self, allowed: Vec<bool>, mut needed: Vec<bool>) {
        if self.spent > EFFORT {
            self.cut_short = true;
            return;
        }
        let Some(found) = self.relaxed(&allowed) else { return };
        let dearer = self.best.as_ref().is_some_and(|(best, _)| found.cost >= *best);
        if dearer || self.offer_best(&found) {
            return;
        }
        for kind in by_uses(&found) {
            if needed[kind] {
                continue;
            }
            self.branch(forbidden(&allowed, kind), needed.clone());
            needed[kind] = true;
            if needed.iter().filter(|needed| **needed).count() == self.most {
                return self.branch(needed.clone(), needed);
            }
        }
    }
}

/// The kinds that are used, from the one that the fewest nodes use.
fn by_uses(found: &Relaxed) -> impl Iterator<Item = usize> {
    let mut used: Vec<(usize, usize)> = found.uses.iter().copied().zip(0..).filter(|(uses, _)| *uses > 0).collect();
    used.sort_unstable();
    used.into_iter().map(|(_, kind)| kind)
}

fn forbidden(allowed: &[bool], kind: usize) -> Vec<bool> {
    let mut rest = allowed.to_vec();
    rest[kind] = false;
    rest
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const KINDS: usize = 4;

    /// Three nodes over the ground; level k of each costs `costs[k]` and is of the kind k mod 4.
    fn offer(at: &[Vec<i64>], costs: &[i64], allowed: &[bool]) -> Option<Offer> {
        let mut offer = Offer { levels: vec![Levels::fixed(0)], kinds: vec![vec![None]] };
        for at in at {
            let kept: Vec<usize> = (0..at.len()).filter(|k| allowed[k % KINDS]).collect();
            if kept.is_empty() {
                return None;
            }
            let list = |of: &[i64]| kept.iter().map(|k| of[*k]).collect();
            offer.levels.push(Levels { at: list(at), costs: list(costs) });
            offer.kinds.push(kept.iter().map(|k| Some(k % KINDS)).collect());
        }
        Some(offer)
    }

    fn tried(at: &[Vec<i64>], costs: &[i64], rows: &[Row], most: usize) -> Option<i128> {
        let sets = (0..1usize << KINDS).filter(|set| set.count_ones() as usize <= most);
        sets.filter_map(|set| {
            let allowed: Vec<bool> = (0..KINDS).map(|kind| set >> kind & 1 == 1).collect();
            let Offer { levels, .. } = offer(at, costs, &allowed)?;
            let places = cheapest(&levels, rows)?;
            let x: Vec<i64> = levels.iter().zip(&places).map(|(of, place)| of.at[*place]).collect();
            let own: i64 = levels.iter().zip(&places).map(|(of, place)| of.costs[*place]).sum();
            Some(cost(rows, &x)? + i128::from(own))
        })
        .min()
    }

    proptest! {
        #[test]
        fn equals_trying_every_set(
            at in prop::collection::vec(prop::collection::btree_set(0..20i64, 6), 3),
            costs in prop::collection::vec(0..9i64, 6),
            rows in prop::collection::vec((0..4usize, 0..4usize, -6..6i64, 0..5i64), 0..6),
            most in 1..=KINDS,
        ) {
            let at: Vec<Vec<i64>> = at.into_iter().map(|at| at.into_iter().collect()).collect();
            let row = |(low, high, by, weight): (usize, usize, i64, i64)| {
                if weight == 0 { Row::must(low, high, by) } else { Row::wish(low, high, by, weight) }
            };
            let rows: Vec<Row> = rows.into_iter().map(row).collect();
            let found = by_few_kinds((KINDS, most), &rows, |allowed| offer(&at, &costs, allowed));
            let least = (most..=KINDS).find_map(|most| tried(&at, &costs, &rows, most));
            prop_assert_eq!(found.as_ref().map(|found| found.cost), least);
            prop_assert!(found.is_none_or(|found| found.proved));
        }
    }
}
