//! Fewest kinds a colour, at a number of colours that stays: exchange of two colours along chains (Kempe 1879).
//!
//! A chain is what can be reached from a node over nodes of two colours; exchanging the two along it keeps the colouring.
//! An exchange is taken when it leaves fewer (colour, kind) pairs, or as many with the kinds gathered closer (a larger
//! sum of squares of their counts). It is a local search: it ends where no single exchange helps, not at the least.

use super::Graph;

/// Rounds over all nodes at most; each round that changes nothing ends it, and in tests ten were never passed.
const ROUNDS: usize = 60;

/// The colouring with nodes of one kind gathered on fewer of its `number` colours. `kinds` holds each node's kind, from 0.
pub fn gather(graph: &Graph, (colours, number): (Vec<usize>, usize), kinds: &[usize]) -> Vec<usize> {
    let mut gathering = Gathering::new(graph, (colours, number), kinds);
    for _ in 0..ROUNDS {
        if !gathering.round() {
            break;
        }
    }
    gathering.colours
}

struct Gathering<'a> {
    graph: &'a Graph,
    kinds: &'a [usize],
    number: usize,
    colours: Vec<usize>,
    /// Nodes of a kind with a colour: `kind * number + colour`.
    counts: Vec<i64>,
}

impl<'a> Gathering<'a> {
    fn new(graph: &'a Graph, (colours, number): (Vec<usize>, usize), kinds: &'a [usize]) -> Gathering<'a> {
        let most = kinds.iter().max().map_or(0, |most| most + 1);
        let mut counts = vec![0; most * number];
        kinds.iter().zip(&colours).for_each(|(kind, colour)| counts[kind * number + colour] += 1);
        Gathering { graph, kinds, number, colours, counts }
    }

    /// Tries an exchange for every node and colour; whether any was taken.
    fn round(&mut self) -> bool {
        let mut changed = false;
        for node in 0..self.graph.nodes() {
            for colour in 0..self.number {
                if colour != self.colours[node] {
                    changed |= self.exchange(node, colour);
                }
            }
        }
        changed
    }

    fn exchange(&mut self, node: usize, colour: usize) -> bool {
        let pair = [self.colours[node], colour];
        let chain = self.chain(node, pair);
        let before = self.worth(&chain, pair);
        self.swap(&chain, pair);
        let better = self.worth(&chain, pair) < before;
        if !better {
            self.swap(&chain, pair);
        }
        better
    }

    fn chain(&self, node: usize, pair: [usize; 2]) -> Vec<usize> {
        let mut met = vec![false; self.graph.nodes()];
        met[node] = true;
        let mut chain = vec![node];
        let mut at = 0;
        while at < chain.len() {
            for &other in self.graph.near(chain[at]) {
                if pair.contains(&self.colours[other]) && !std::mem::replace(&mut met[other], true) {
                    chain.push(other);
                }
            }
            at += 1;
        }
        chain
    }

    /// Pairs of kind and colour, and their closeness negated, over the kinds on the chain.
    fn worth(&self, chain: &[usize], pair: [usize; 2]) -> (usize, i64) {
        let mut kinds: Vec<usize> = chain.iter().map(|node| self.kinds[*node]).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let counts = kinds.iter().flat_map(|kind| pair.map(|colour| self.counts[kind * self.number + colour]));
        counts.fold((0, 0), |(pairs, far), count| (pairs + usize::from(count > 0), far - count * count))
    }

    fn swap(&mut self, chain: &[usize], [a, b]: [usize; 2]) {
        for &node in chain {
            let (from, at) = (self.colours[node], self.kinds[node] * self.number);
            let to = if from == a { b } else { a };
            self.counts[at + from] -= 1;
            self.counts[at + to] += 1;
            self.colours[node] = to;
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn pairs(colours: &[usize], kinds: &[usize]) -> usize {
        colours.iter().zip(kinds).collect::<std::collections::BTreeSet<_>>().len()
    }

    #[test]
    fn loose_nodes_gather_by_kind() {
        let gathered = gather(&Graph::new(4, []), (vec![0, 1, 0, 1], 2), &[0, 0, 1, 1]);
        assert_eq!(pairs(&gathered, &[0, 0, 1, 1]), 2);
    }

    proptest! {
        #[test]
        fn stays_a_colouring_and_never_gets_worse(
            edges in prop::collection::vec((0..12usize, 0..12usize), 0..20),
            kinds in prop::collection::vec(0..4usize, 12),
        ) {
            let graph = Graph::new(12, edges);
            let found = super::super::colouring(&graph, 100_000);
            let before = pairs(&found.colours, &kinds);
            let gathered = gather(&graph, (found.colours, found.number), &kinds);
            prop_assert!(pairs(&gathered, &kinds) <= before);
            prop_assert!((0..12).all(|a| graph.near(a).iter().all(|b| gathered[a] != gathered[*b])));
            prop_assert!(gathered.iter().all(|colour| *colour < found.number));
        }
    }
}
