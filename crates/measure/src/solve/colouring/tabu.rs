//! Colouring with a given number of colours by moves that lessen clashes (TabuCol, Hertz and de Werra 1987).
//!
//! A node that has moved may not go back for a while. It can only find, never prove; what it finds depends on the graph
//! and the steps alone, for its dice begin at a fixed seed.

use super::{Graph, Steps};

/// Moves that a node stays away from its old colour: this, some dice, and a share of the clashes (Galinier and Hao 1999).
const REST: u64 = 10;
const REST_SHARE: f64 = 0.6;

/// A colouring with `number` colours, if one is found.
pub(super) fn tabu(graph: &Graph, number: usize, steps: &mut Steps) -> Option<Vec<usize>> {
    if number == 0 {
        return None;
    }
    let mut walk = Walk::new(graph, number);
    for turn in 0.. {
        let torn = walk.torn();
        if torn.is_empty() {
            return Some(walk.given);
        }
        if !steps.spend(graph.nodes() + torn.len() * number) {
            return None;
        }
        walk.turn(turn, &torn);
    }
    None
}

struct Walk<'a> {
    graph: &'a Graph,
    number: usize,
    given: Vec<usize>,
    /// How many neighbours have a colour: `node * number + colour`.
    sees: Vec<i64>,
    /// The turn from which a node may take a colour again.
    rests_to: Vec<u64>,
    dice: u64,
    fewest: i64,
}

impl Walk<'_> {
    fn new(graph: &Graph, number: usize) -> Walk<'_> {
        let nodes = graph.nodes();
        let given: Vec<usize> = (0..nodes).map(|node| node % number).collect();
        let mut sees = vec![0; nodes * number];
        for node in 0..nodes {
            graph.near(node).iter().for_each(|other| sees[node * number + given[*other]] += 1);
        }
        Walk { graph, number, given, sees, rests_to: vec![0; nodes * number], dice: 0, fewest: i64::MAX }
    }

    /// Nodes that share a colour with a neighbour.
    fn torn(&self) -> Vec<usize> {
        (0..self.given.len()).filter(|node| self.sees[node * self.number + self.given[*node]] > 0).collect()
    }

    /// Makes the best move that is allowed; a rested colour is allowed too when it leads to fewer clashes than ever.
    fn turn(&mut self, turn: u64, torn: &[usize]) {
        let clashes: i64 = torn.iter().map(|node| self.sees[node * self.number + self.given[*node]]).sum::<i64>() / 2;
        self.fewest = self.fewest.min(clashes);
        let mut best: Option<(i64, u64, usize, usize)> = None;
        for &node in torn {
            let own = self.given[node];
            for colour in (0..self.number).filter(|colour| *colour != own) {
                let at = node * self.number;
                let change = self.sees[at + colour] - self.sees[at + own];
                if self.rests_to[at + colour] <= turn || clashes + change < self.fewest {
                    let found = (change, self.roll(), node, colour);
                    best = Some(best.map_or(found, |best| best.min(found)));
                }
            }
        }
        if let Some((_, roll, node, colour)) = best {
            let rest = REST + roll % 10 + (torn.len() as f64 * REST_SHARE) as u64;
            self.rests_to[node * self.number + self.given[node]] = turn + rest;
            self.paint(node, colour);
        }
    }

    fn paint(&mut self, node: usize, colour: usize) {
        for &other in self.graph.near(node) {
            self.sees[other * self.number + self.given[node]] -= 1;
            self.sees[other * self.number + colour] += 1;
        }
        self.given[node] = colour;
    }

    /// SplitMix64 (Steele, Lea, Flood 2014).
    fn roll(&mut self) -> u64 {
        self.dice = self.dice.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.dice;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
}
