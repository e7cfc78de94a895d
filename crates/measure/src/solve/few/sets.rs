//! Sets of labels, judged by what nodes alone cost: a bound from below on the whole.

use std::collections::BTreeSet;

use super::Few;

/// A set by greedy additions, then by swaps while nodes alone gain.
pub(super) fn start(few: &Few) -> BTreeSet<usize> {
    let mut set = few.held.clone();
    while set.len() < few.most.min(few.labels) {
        let Some(next) = best_addition(few, &set) else { break };
        set.insert(next);
    }
    while let Some((_, out, new)) = swaps(few, &set).into_iter().next() {
        let swapped = swap(&set, out, new);
        if alone(few, &swapped) >= alone(few, &set) - super::settle::SAME {
            break;
        }
        set = swapped;
    }
    set
}

fn best_addition(few: &Few, set: &BTreeSet<usize>) -> Option<usize> {
    let with = |label: usize| alone(few, &set.iter().copied().chain([label]).collect());
    let candidates = (0..few.labels).filter(|label| !set.contains(label)).map(|label| (with(label), label));
    candidates.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map(|(_, label)| label)
}

/// What the nodes cost with the nearest label of the set each.
pub(super) fn alone(few: &Few, set: &BTreeSet<usize>) -> f64 {
    few.nodes.iter().map(|node| set.iter().map(|label| node.cost[*label]).fold(f64::MAX, f64::min)).sum()
}

/// Every swap (cost of nodes alone, label out, label in), the cheapest first. Held labels stay. First and second choices
/// are cached (Whitaker 1983).
pub(super) fn swaps(few: &Few, set: &BTreeSet<usize>) -> Vec<(f64, usize, usize)> {
    let mut found = Vec::new();
    let choices: Vec<Choice> = few.nodes.iter().map(|node| Choice::of(&node.cost, set)).collect();
    for new in (0..few.labels).filter(|label| !set.contains(label)) {
        let mut with_all = 0.0;
        let mut lost = vec![0.0; few.labels];
        for (node, choice) in few.nodes.iter().zip(&choices) {
            let cost = node.cost[new];
            with_all += choice.first.min(cost);
            lost[choice.label] += choice.second.min(cost) - choice.first.min(cost);
        }
        found.extend(set.difference(&few.held).map(|out| (with_all + lost[*out], *out, new)));
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    found
}

/// A node's first and second choice in a set.
struct Choice {
    label: usize,
    first: f64,
    second: f64,
}

impl Choice {
    fn of(cost: &[f64], set: &BTreeSet<usize>) -> Choice {
        let mut choice = Choice { label: 0, first: f64::MAX, second: f64::MAX };
        for label in set {
            if cost[*label] < choice.first {
                choice = Choice { label: *label, first: cost[*label], second: choice.first };
            } else {
                choice.second = choice.second.min(cost[*label]);
            }
        }
        choice
    }
}

pub(super) fn swap(set: &BTreeSet<usize>, out: usize, new: usize) -> BTreeSet<usize> {
    set.iter().copied().filter(|label| *label != out).chain([new]).collect()
}

/// The nearest label of the set for each node.
pub(super) fn nearest(few: &Few, set: &BTreeSet<usize>) -> Vec<usize> {
    few.nodes.iter().map(|node| Choice::of(&node.cost, set).label).collect()
}

/// Every full set, when there are no more than `most` of them.
pub(super) fn all(few: &Few, most: usize) -> Option<Vec<BTreeSet<usize>>> {
    let free: Vec<usize> = (0..few.labels).filter(|label| !few.held.contains(label)).collect();
    let take = few.most.saturating_sub(few.held.len()).min(free.len());
    let mut sets = vec![(few.held.clone(), 0)];
    for _ in 0..take {
        let grown = sets.iter().flat_map(|(set, from)| {
            let free = &free;
            (*from..free.len()).map(move |at| (set.iter().copied().chain([free[at]]).collect(), at + 1))
        });
        sets = grown.take(most + 1).collect();
        if sets.len() > most {
            return None;
        }
    }
    Some(sets.into_iter().map(|(set, _)| set).collect())
}
