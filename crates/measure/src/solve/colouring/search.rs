//! Colouring with a given number of colours by exact search, and greedily with as many as it takes.
//!
//! Both choose the node that sees most colours (DSATUR, Brélaz 1979; as branch and bound: San Segundo 2012). A node with
//! fewer neighbours than colours can always be coloured last, so such nodes are taken away until none is left; what stays
//! falls into parts that are searched one by one.

use super::{Found, Graph, Steps};

/// Colours node after node with the first colour free.
pub(super) fn greedy(graph: &Graph) -> Vec<usize> {
    let most = (0..graph.nodes()).map(|node| graph.near(node).len() + 1).max().unwrap_or(0);
    let mut board = Board::new(graph, most);
    let all: Vec<usize> = (0..graph.nodes()).collect();
    while let Some(node) = board.next(&all) {
        let colour = board.free(node, most).next().expect("a node has fewer neighbours than there are colours");
        board.give(node, colour);
    }
    board.given.into_iter().map(|colour| colour.expect("every node was taken")).collect()
}

/// Colours with `number` colours, or proves that none can; `clique` may be any clique.
pub(super) fn search(graph: &Graph, (number, clique): (usize, &[usize]), steps: &mut Steps) -> Found {
    let (core, last) = peel(graph, number);
    let mut board = Board::new(graph, number);
    for part in parts(graph, &core) {
        let held = clique.iter().copied().filter(|node| part.binary_search(node).is_ok());
        let held: Vec<usize> = held.collect();
        if held.len() > number {
            return Found::Never;
        }
        held.iter().enumerate().for_each(|(colour, node)| board.give(*node, colour));
        match board.complete(&part, held.len(), steps) {
            Some(true) => {}
            Some(false) => return Found::Never,
            None => return Found::OutOfSteps,
        }
    }
    for &node in last.iter().rev() {
        let Some(colour) = board.free(node, number).next() else { return Found::Never };
        board.give(node, colour);
    }
    Found::Colours(board.given.into_iter().map(|colour| colour.expect("every node was taken")).collect())
}

/// The nodes that keep `number` neighbours or more among themselves, and the others in the order of their going.
fn peel(graph: &Graph, number: usize) -> (Vec<usize>, Vec<usize>) {
    let mut degree: Vec<usize> = (0..graph.nodes()).map(|node| graph.near(node).len()).collect();
    let mut gone = vec![false; graph.nodes()];
    let mut last: Vec<usize> = (0..graph.nodes()).filter(|node| degree[*node] < number).collect();
    last.iter().for_each(|node| gone[*node] = true);
    let mut at = 0;
    while at < last.len() {
        for &other in graph.near(last[at]) {
            degree[other] -= 1;
            if !gone[other] && degree[other] < number {
                gone[other] = true;
                last.push(other);
            }
        }
        at += 1;
    }
    ((0..graph.nodes()).filter(|node| !gone[*node]).collect(), last)
}

/// The connected parts of these nodes, each ascending.
fn parts(graph: &Graph, nodes: &[usize]) -> Vec<Vec<usize>> {
    let mut open = vec![false; graph.nodes()];
    nodes.iter().for_each(|node| open[*node] = true);
    let mut parts = Vec::new();
    for &node in nodes {
        if !std::mem::take(&mut open[node]) {
            continue;
        }
        let mut part = vec![node];
        let mut at = 0;
        while at < part.len() {
            part.extend(graph.near(part[at]).iter().copied().filter(|other| std::mem::take(&mut open[*other])));
            at += 1;
        }
        part.sort_unstable();
        parts.push(part);
    }
    parts
}

/// Colours given so far, and what each node sees of them.
struct Board<'a> {
    graph: &'a Graph,
    number: usize,
    given: Vec<Option<usize>>,
    /// How many neighbours of a node have a colour: `node * number + colour`.
    sees: Vec<u32>,
    /// How many colours a node sees.
    seen: Vec<usize>,
    /// Neighbours still without a colour.
    open: Vec<usize>,
}

impl Board<'_> {
    fn new(graph: &Graph, number: usize) -> Board<'_> {
        let nodes = graph.nodes();
        Board {
            graph,
            number,
            given: vec![None; nodes],
            sees: vec![0; nodes * number],
            seen: vec![0; nodes],
            open: (0..nodes).map(|node| graph.near(node).len()).collect(),
        }
    }

    /// The open node that sees most colours, then has most open neighbours, then comes first.
    fn next(&self, among: &[usize]) -> Option<usize> {
        let open = among.iter().copied().filter(|node| self.given[*node].is_none());
        open.max_by_key(|node| (self.seen[*node], self.open[*node], std::cmp::Reverse(*node)))
    }

    /// Colours below `most` that no neighbour has.
    fn free(&self, node: usize, most: usize) -> impl Iterator<Item = usize> + '_ {
        (0..most).filter(move |colour| self.sees[node * self.number + colour] == 0)
    }

    fn give(&mut self, node: usize, colour: usize) {
        self.given[node] = Some(colour);
        for &other in self.graph.near(node) {
            let sees = &mut self.sees[other * self.number + colour];
            self.seen[other] += usize::from(*sees == 0);
            *sees += 1;
            self.open[other] -= 1;
        }
    }

    fn take_back(&mut self, node: usize) {
        let Some(colour) = self.given[node].take() else { return };
        for &other in self.graph.near(node) {
            let sees = &mut self.sees[other * self.number + colour];
            *sees -= 1;
            self.seen[other] -= usize::from(*sees == 0);
            self.open[other] += 1;
        }
    }

    /// Colours what is open of `part`, of which `used` colours are in use; `None` when the steps run out. Colours not yet
    /// used are alike, so only the first of them is tried.
    fn complete(&mut self, part: &[usize], used: usize, steps: &mut Steps) -> Option<bool> {
        if !steps.spend(part.len()) {
            return None;
        }
        let Some(node) = self.next(part) else { return Some(true) };
        let free: Vec<usize> = self.free(node, self.number.min(used + 1)).collect();
        for colour in free {
            self.give(node, colour);
            match self.complete(part, used.max(colour + 1), steps) {
                Some(false) => self.take_back(node),
                done => return done,
            }
        }
        Some(false)
    }
}
