//! The pairs as each node sees them, and a state that the search moves.

use super::{Few, Labelled, ROUNDING};

/// A pair as one of its nodes sees it.
pub(super) struct Beside {
    pub other: usize,
    /// Which of `Net::tables`; its rows are this node's labels.
    table: usize,
    weight: f64,
}

/// The problem with its pairs by node.
pub(super) struct Net<'a> {
    pub few: &'a Few,
    pub beside: Vec<Vec<Beside>>,
    /// Each kind as it is, then turned over.
    tables: Vec<Vec<f64>>,
    /// What a unit of size past a label's room costs: more than any relabelling can win.
    over: f64,
}

/// A label for each node, and how full each label is.
#[derive(Clone)]
pub(super) struct State {
    pub label: Vec<usize>,
    pub filled: Vec<f64>,
}

impl<'a> Net<'a> {
    pub fn new(few: &'a Few) -> Net<'a> {
        let mut beside: Vec<Vec<Beside>> = few.nodes.iter().map(|_| Vec::new()).collect();
        for pair in few.pairs.iter().filter(|pair| pair.one != pair.two && pair.weight > 0.0) {
            let (table, weight) = (2 * pair.kind, pair.weight);
            beside[pair.one].push(Beside { other: pair.two, table, weight });
            beside[pair.two].push(Beside { other: pair.one, table: table + 1, weight });
        }
        let turned = |kind: &Vec<f64>| {
            let m = few.labels;
            (0..m * m).map(|at| kind[(at % m) * m + at / m]).collect::<Vec<f64>>()
        };
        let tables = few.kinds.iter().flat_map(|kind| [kind.clone(), turned(kind)]).collect();
        let worst: f64 = few.nodes.iter().map(|node| node.cost.iter().copied().fold(0.0, f64::max)).sum();
        let least = few.nodes.iter().map(|node| node.size).filter(|size| *size > 0.0).fold(f64::MAX, f64::min);
        let over = if least < f64::MAX { (1.0 + worst) / least } else { 0.0 };
        Net { few, beside, tables, over }
    }

    /// What the pair costs when this node has `mine` and the other `theirs`.
    pub fn pair(&self, beside: &Beside, mine: usize, theirs: usize) -> f64 {
        beside.weight * self.tables[beside.table][mine * self.few.labels + theirs]
    }

    /// What `node` costs with label `mine` while all others stay as in `state`.
    pub fn local(&self, state: &State, node: usize, mine: usize) -> f64 {
        let pairs = self.beside[node].iter().map(|beside| self.pair(beside, mine, state.label[beside.other]));
        self.few.nodes[node].cost[mine] + pairs.sum::<f64>()
    }

    /// What a label that is filled so far costs for passing its room.
    pub fn over(&self, label: usize, filled: f64) -> f64 {
        self.over * (filled - self.few.room[label] * (1.0 + ROUNDING)).max(0.0)
    }

    /// What passing the room costs more when `size` goes from one label to another.
    pub fn moved(&self, state: &State, size: f64, from: usize, to: usize) -> f64 {
        if from == to {
            return 0.0;
        }
        let (a, b) = (state.filled[from], state.filled[to]);
        self.over(from, a - size) - self.over(from, a) + self.over(to, b + size) - self.over(to, b)
    }

    /// Whether any label has only so much room.
    pub fn limited(&self) -> bool {
        self.few.room.iter().any(|room| room.is_finite())
    }

    pub fn state(&self, label: Vec<usize>) -> State {
        let mut filled = vec![0.0; self.few.labels];
        label.iter().zip(&self.few.nodes).for_each(|(label, node)| filled[*label] += node.size);
        State { label, filled }
    }

    /// The whole cost with what passing a room costs.
    pub fn penalised(&self, state: &State) -> f64 {
        let over = state.filled.iter().enumerate().map(|(label, filled)| self.over(label, *filled));
        over.sum::<f64>() + self.unlimited(state)
    }

    /// The whole cost as if there were room for all.
    pub fn unlimited(&self, state: &State) -> f64 {
        let mut used = vec![false; self.few.labels];
        state.label.iter().for_each(|label| used[*label] = true);
        let opened = (0..used.len()).filter(|l| used[*l] && !self.few.held.contains(l)).map(|l| self.few.opening[l]);
        let nodes = self.few.nodes.iter().zip(&state.label).map(|(node, label)| node.cost[*label]);
        let pairs = self.few.pairs.iter().map(|pair| self.few.pair(pair, &state.label));
        opened.sum::<f64>() + nodes.sum::<f64>() + pairs.sum::<f64>()
    }

    /// The state as an answer; `None` where a room is passed.
    pub fn labelled(&self, state: &State) -> Option<Labelled> {
        Some(Labelled { cost: self.few.cost(&state.label)?, label: state.label.clone() })
    }
}

impl State {
    pub fn put(&mut self, node: usize, size: f64, label: usize) {
        self.filled[self.label[node]] -= size;
        self.filled[label] += size;
        self.label[node] = label;
    }
}
