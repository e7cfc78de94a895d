//! Few labels for many nodes: each node gets one of at most `most` labels, so that what nodes and pairs cost is least.
//!
//! Choosing k of m labels is the k-median problem, and pairs that repel make a Markov field on top of it: both are hard, so
//! this is a search. The set of labels is bettered by swaps (Teitz and Bart 1968; what nodes alone cost is a bound that
//! passes most swaps over) and by kicks out of local optima; within a set, nodes are settled one after the other (iterated
//! conditional modes, Besag 1986), then a random forest of nodes at a time is settled exactly by dynamic programming while
//! the others stay (Hamze and de Freitas 2004). Where a label has only so much room, its nodes pay a price that rises
//! until it suffices (Lagrange), and pairs of nodes exchange labels; the best sets of few are annealed, their rooms soft at
//! first. Where it fails: nothing is proved; `tests/reference/test_choose.py` tells how far from HiGHS's optimum it stays.

mod anneal;
mod forest;
mod net;
mod search;
mod sets;
mod settle;

use std::collections::BTreeSet;

pub use search::few;

/// Nodes, labels, and what they cost. All costs are finite and none is below 0.
#[derive(Clone, Debug, Default)]
pub struct Few {
    /// How many labels there are.
    pub labels: usize,
    /// The nodes.
    pub nodes: Vec<Node>,
    /// Tables of labels × labels, row by row: what a pair costs for each unit of its weight when its first node has the
    /// row's label and its second the column's.
    pub kinds: Vec<Vec<f64>>,
    /// The pairs.
    pub pairs: Vec<Pair>,
    /// At most this many labels, held ones counted.
    pub most: usize,
    /// Labels that are in use whatever is chosen.
    pub held: BTreeSet<usize>,
    /// What it costs to use a label at all, held ones left out.
    pub opening: Vec<f64>,
    /// The sizes of the nodes of a label sum to no more than this; infinite where there is no limit.
    pub room: Vec<f64>,
}

/// A node.
#[derive(Clone, Debug)]
pub struct Node {
    /// What each label costs it.
    pub cost: Vec<f64>,
    /// What it takes of its label's room.
    pub size: f64,
}

/// Two nodes whose labels bear on each other.
#[derive(Clone, Copy, Debug)]
pub struct Pair {
    /// The first node.
    pub one: usize,
    /// The second.
    pub two: usize,
    /// The table that says what the pair costs.
    pub kind: usize,
    /// What the table's figures are multiplied by.
    pub weight: f64,
}

/// How long to search: by steps, never by the clock.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Settles every chance that is taken.
    pub seed: u64,
    /// Kicks out of local optima, each followed by a search of its own.
    pub rounds: usize,
}

/// A label for each node.
#[derive(Clone, Debug, PartialEq)]
pub struct Labelled {
    /// By the place of the node.
    pub label: Vec<usize>,
    /// What it costs.
    pub cost: f64,
}

/// Sizes that pass the room by less than this share of it are rounding.
const ROUNDING: f64 = 1e-9;

impl Few {
    /// What these labels cost, or `None` when they are too many or a label has not the room.
    pub fn cost(&self, label: &[usize]) -> Option<f64> {
        let used: BTreeSet<usize> = label.iter().copied().collect();
        let fits = (0..self.labels).all(|l| self.filled(label, l) <= self.room[l] * (1.0 + ROUNDING));
        let few = used.union(&self.held).count() <= self.most.max(self.held.len());
        (fits && few).then(|| {
            let opened: f64 = used.difference(&self.held).map(|label| self.opening[*label]).sum();
            let nodes: f64 = self.nodes.iter().zip(label).map(|(node, label)| node.cost[*label]).sum();
            opened + nodes + self.pairs.iter().map(|pair| self.pair(pair, label)).sum::<f64>()
        })
    }

    fn filled(&self, label: &[usize], of: usize) -> f64 {
        self.nodes.iter().zip(label).filter(|(_, label)| **label == of).map(|(node, _)| node.size).sum()
    }

    fn pair(&self, pair: &Pair, label: &[usize]) -> f64 {
        pair.weight * self.kinds[pair.kind][label[pair.one] * self.labels + label[pair.two]]
    }
}

#[cfg(test)]
mod tests;
