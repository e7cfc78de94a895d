//! The cheapest whole numbers under difference rows: a weighted L1 problem, solved exactly.
//!
//! The dual is a circulation of least cost: a row low → high is an arc of cost −by, its capacity the weight of a wish,
//! unlimited for a must. A network simplex (Ahuja, Magnanti, Orlin, *Network Flows*, 1993, chapter 11) with a strongly
//! feasible tree (Cunningham 1976: no cycling) and block pricing solves it; the potentials of the nodes are the answer,
//! and whole since the data are. The first tree is the star on the ground: each node stands where its first wish
//! against the ground puts it.
//!
//! Of all optima the lowest in every node is given: it is one and the same whatever the order of the rows. A node that
//! nothing holds from below has no lowest; then the tree's own optimum is given, which depends on the order of the rows.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::conflict::positive_cycle;
use super::row::{GROUND, Price, Row};

/// Beyond this no `by` is taken: sums along any path of 2²⁰ nodes stay within `i64`.
const MOST_BY: i64 = 1 << 36;
/// Beyond this the sum of all weights is not taken.
const MOST_WEIGHT: i64 = 1 << 60;
/// Beyond this no problem is taken.
const MOST_NODES: usize = 1 << 20;
/// The capacity of a must; no flow comes near.
const UNLIMITED: i64 = i64::MAX / 2;
const NONE: usize = usize::MAX;

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unsolved {
    /// These musts cannot hold together: places in the rows, along a cycle.
    Conflict(Vec<usize>),
    /// A row names a node beyond the last, a weight is negative, or the numbers could overflow.
    OutOfRange,
}

impl std::fmt::Display for Unsolved {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Unsolved::Conflict(rows) => write!(f, "{} rows cannot hold together", rows.len()),
            Unsolved::OutOfRange => f.write_str("a row is beyond what can be computed exactly"),
        }
    }
}

impl std::error::Error for Unsolved {}

/// What `x` costs: the sum of weight × distance missed over the wishes; `None` when a must is broken.
pub fn cost(rows: &[Row], x: &[i64]) -> Option<i128> {
    rows.iter().try_fold(0, |sum, row| match (row.price, row.missed(x)) {
        (Price::Must, 0) => Some(sum),
        (Price::Must, _) => None,
        (Price::Wish(weight), missed) => Some(sum + i128::from(weight) * i128::from(missed)),
    })
}

/// The values of `nodes` nodes (node 0, the ground, is 0) that cost least under `rows`.
pub fn solve(nodes: usize, rows: &[Row]) -> Result<Vec<i64>, Unsolved> {
    check(nodes, rows)?;
    if let Some(cycle) = positive_cycle(nodes, rows) {
        return Err(Unsolved::Conflict(cycle));
    }
    let mut tree = Tree::star(nodes, rows);
    tree.optimise();
    Ok(tree.lowest())
}

fn check(nodes: usize, rows: &[Row]) -> Result<(), Unsolved> {
    let mut weights = 0i64;
    for row in rows {
        if let Price::Wish(weight) = row.price {
            weights = weights.checked_add(weight).filter(|_| weight >= 0).ok_or(Unsolved::OutOfRange)?;
        }
    }
    let sane = |row: &Row| row.low < nodes && row.high < nodes && (-MOST_BY..=MOST_BY).contains(&row.by);
    let fits = (1..=MOST_NODES).contains(&nodes) && weights <= MOST_WEIGHT && rows.iter().all(sane);
    if fits { Ok(()) } else { Err(Unsolved::OutOfRange) }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Empty,
    Full,
    InTree,
}

#[derive(Clone, Copy)]
struct Arc {
    from: usize,
    to: usize,
    cost: i64,
    capacity: i64,
    flow: i64,
    state: State,
}

/// How a node hangs in the tree.
#[derive(Clone, Copy)]
struct Hang {
    parent: usize,
    arc: usize,
    depth: usize,
    child: usize,
    next: usize,
    before: usize,
}

struct Tree {
    arcs: Vec<Arc>,
    hangs: Vec<Hang>,
    /// Potentials: the values sought. The reduced cost of an arc is cost + x[to] − x[from].
    x: Vec<i64>,
    /// Where pricing goes on.
    cursor: usize,
    stack: Vec<usize>,
}

impl Tree {
    /// Every node hangs on the ground by an empty arc that points to it: strongly feasible.
    fn star(nodes: usize, rows: &[Row]) -> Tree {
        let mut arcs: Vec<Arc> = rows.iter().map(arc).collect();
        let mut up = vec![NONE; nodes];
        for (at, arc) in arcs.iter().enumerate() {
            if arc.to == GROUND && arc.capacity > 0 && up[arc.from] == NONE {
                up[arc.from] = at;
            }
        }
        // A node without such a row is held by one so high that it never binds.
        let reach = 1 + nodes as i64 * (1 + rows.iter().map(|row| row.by.abs()).max().unwrap_or(0));
        let hang = Hang { parent: NONE, arc: NONE, depth: 0, child: NONE, next: NONE, before: NONE };
        let mut tree =
            Tree { arcs: Vec::new(), hangs: vec![hang; nodes], x: vec![0; nodes], cursor: 0, stack: Vec::new() };
        for node in (1..nodes).rev() {
            if up[node] == NONE {
                up[node] = arcs.len();
                arcs.push(arc(&Row::must(node, GROUND, -reach)));
            }
            arcs[up[node]].state = State::InTree;
            tree.x[node] = arcs[up[node]].cost;
            tree.hang(node, GROUND, up[node]);
            tree.hangs[node].depth = 1;
        }
        tree.arcs = arcs;
        tree
    }

    fn optimise(&mut self) {
        while let Some(entering) = self.price() {
            self.pivot(entering);
        }
    }

    /// The arc of the next block that gains most; `None` when none gains anywhere.
    fn price(&mut self) -> Option<usize> {
        let count = self.arcs.len();
        let block = (count as f64).sqrt().ceil().max(10.0) as usize;
        let (mut best, mut gain) = (None, 0);
        for looked in 1..=count {
            let gains = self.gain(self.cursor);
            if gains > gain {
                (best, gain) = (Some(self.cursor), gains);
            }
            self.cursor = if self.cursor + 1 == count { 0 } else { self.cursor + 1 };
            if looked % block == 0 && best.is_some() {
                break;
            }
        }
        best
    }

    /// What a unit of flow more (less, in a full arc) gains.
    fn gain(&self, at: usize) -> i64 {
        let arc = &self.arcs[at];
        let reduced = arc.cost + self.x[arc.to] - self.x[arc.from];
        match arc.state {
            State::Empty => -reduced,
            State::Full => reduced,
            State::InTree => 0,
        }
    }

    fn pivot(&mut self, entering: usize) {
        let arc = self.arcs[entering];
        let (first, second) = if arc.state == State::Empty { (arc.from, arc.to) } else { (arc.to, arc.from) };
        let join = self.join(first, second);
        let (push, leaving) = self.leaving(entering, (first, second), join);
        self.send(entering, (first, second), join, push);
        match leaving {
            None => self.arcs[entering].state = if arc.state == State::Empty { State::Full } else { State::Empty },
            Some((node, on_first)) => {
                let out = &mut self.arcs[self.hangs[node].arc];
                out.state = if out.flow == 0 { State::Empty } else { State::Full };
                self.arcs[entering].state = State::InTree;
                let (inner, outer) = if on_first { (first, second) } else { (second, first) };
                self.rehang(node, inner, outer, entering);
            }
        }
    }

    /// Where the paths of two nodes to the ground meet.
    fn join(&self, mut a: usize, mut b: usize) -> usize {
        while a != b {
            if self.hangs[a].depth >= self.hangs[b].depth {
                a = self.hangs[a].parent;
            } else {
                b = self.hangs[b].parent;
            }
        }
        a
    }

    fn points_up(&self, node: usize) -> bool {
        self.arcs[self.hangs[node].arc].from == node
    }

    /// How much can go around, and the node whose arc is spent by it: the last one along the cycle from the join, which
    /// keeps the tree strongly feasible. `None` when the entering arc itself is spent first.
    fn leaving(&self, entering: usize, (first, second): (usize, usize), join: usize) -> (i64, Option<(usize, bool)>) {
        let room = |node: usize, along_up: bool| {
            let arc = &self.arcs[self.hangs[node].arc];
            if self.points_up(node) == along_up { arc.capacity - arc.flow } else { arc.flow }
        };
        let (mut push, mut leaving) = (self.arcs[entering].capacity, None);
        for node in self.path(first, join) {
            if room(node, false) < push {
                (push, leaving) = (room(node, false), Some((node, true)));
            }
        }
        for node in self.path(second, join) {
            if room(node, true) <= push {
                (push, leaving) = (room(node, true), Some((node, false)));
            }
        }
        (push, leaving)
    }

    fn path(&self, from: usize, join: usize) -> impl Iterator<Item = usize> + '_ {
        std::iter::successors(Some(from), |&node| Some(self.hangs[node].parent)).take_while(move |&node| node != join)
    }

    fn send(&mut self, entering: usize, (first, second): (usize, usize), join: usize, push: i64) {
        if push == 0 {
            return;
        }
        let arc = &mut self.arcs[entering];
        arc.flow += if arc.state == State::Empty { push } else { -push };
        for (start, sign) in [(first, -push), (second, push)] {
            let mut node = start;
            while node != join {
                let up = if self.points_up(node) { sign } else { -sign };
                self.arcs[self.hangs[node].arc].flow += up;
                node = self.hangs[node].parent;
            }
        }
    }

    /// Cuts the subtree at `node` off and hangs it by `entering` from `inner`, inside it, onto `outer`.
    fn rehang(&mut self, node: usize, inner: usize, outer: usize, entering: usize) {
        let (mut child, mut onto, mut by) = (inner, outer, entering);
        loop {
            let old = self.hangs[child];
            self.unhang(child);
            self.hang(child, onto, by);
            if child == node {
                break;
            }
            (onto, by, child) = (child, old.arc, old.parent);
        }
        self.renew(inner);
    }

    fn unhang(&mut self, node: usize) {
        let Hang { parent, next, before, .. } = self.hangs[node];
        if before == NONE {
            self.hangs[parent].child = next;
        } else {
            self.hangs[before].next = next;
        }
        if next != NONE {
            self.hangs[next].before = before;
        }
    }

    fn hang(&mut self, node: usize, parent: usize, arc: usize) {
        let next = self.hangs[parent].child;
        if next != NONE {
            self.hangs[next].before = node;
        }
        self.hangs[parent].child = node;
        let Hang { depth, child, .. } = self.hangs[node];
        self.hangs[node] = Hang { parent, arc, depth, child, next, before: NONE };
    }

    /// Depths and potentials of a subtree from its top down.
    fn renew(&mut self, top: usize) {
        let mut stack = std::mem::take(&mut self.stack);
        stack.push(top);
        while let Some(node) = stack.pop() {
            let Hang { parent, arc, mut child, .. } = self.hangs[node];
            self.hangs[node].depth = self.hangs[parent].depth + 1;
            let arc = &self.arcs[arc];
            self.x[node] = if arc.from == node { self.x[parent] + arc.cost } else { self.x[parent] - arc.cost };
            while child != NONE {
                stack.push(child);
                child = self.hangs[child].next;
            }
        }
        self.stack = stack;
    }

    /// The lowest optimum. An arc that could take more flow at the optimum bounds its head from below, one that could
    /// give some back its tail; the lowest values under these bounds are shortest paths (Dijkstra 1959).
    fn lowest(&self) -> Vec<i64> {
        let mut out = vec![Vec::new(); self.x.len()];
        for arc in &self.arcs {
            let reduced = arc.cost + self.x[arc.to] - self.x[arc.from];
            if arc.flow < arc.capacity {
                out[arc.from].push((arc.to, reduced));
            }
            if arc.flow > 0 {
                out[arc.to].push((arc.from, -reduced));
            }
        }
        let sinks = shortest(&out);
        if sinks.contains(&i64::MAX) {
            return self.x.clone();
        }
        self.x.iter().zip(sinks).map(|(x, sink)| x - sink).collect()
    }
}

fn arc(row: &Row) -> Arc {
    let capacity = match row.price {
        Price::Must => UNLIMITED,
        Price::Wish(weight) => weight,
    };
    Arc { from: row.low, to: row.high, cost: -row.by, capacity, flow: 0, state: State::Empty }
}

/// Lengths of the shortest paths from the ground; `i64::MAX` where there is none.
fn shortest(out: &[Vec<(usize, i64)>]) -> Vec<i64> {
    let mut length = vec![i64::MAX; out.len()];
    length[GROUND] = 0;
    let mut open = BinaryHeap::from([Reverse((0, GROUND))]);
    while let Some(Reverse((so_far, node))) = open.pop() {
        if so_far > length[node] {
            continue;
        }
        for &(to, step) in &out[node] {
            if so_far + step < length[to] {
                length[to] = so_far + step;
                open.push(Reverse((length[to], to)));
            }
        }
    }
    length
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Tries every assignment within `0..=most`.
    fn by_trying(nodes: usize, rows: &[Row], most: i64) -> Option<i128> {
        let mut x = vec![0; nodes];
        let mut best: Option<i128> = None;
        loop {
            best = [best, cost(rows, &x)].into_iter().flatten().min();
            let mut at = 1;
            while at < nodes && x[at] == most {
                x[at] = 0;
                at += 1;
            }
            if at == nodes {
                return best;
            }
            x[at] += 1;
        }
    }

    fn row() -> impl Strategy<Value = Row> {
        let price = prop_oneof![Just(Price::Must), (0..5i64).prop_map(Price::Wish)];
        (0..4usize, 0..4usize, -4..5i64, price).prop_map(|(low, high, by, price)| Row { low, high, by, price })
    }

    proptest! {
        #[test]
        fn equals_trying_everything(some in prop::collection::vec(row(), 0..12)) {
            let mut rows = some;
            rows.extend((1..4).flat_map(|i| [Row::must(GROUND, i, 0), Row::must(i, GROUND, -5)]));
            match solve(4, &rows) {
                Ok(x) => {
                    prop_assert_eq!(cost(&rows, &x), by_trying(4, &rows, 5));
                    rows.reverse();
                    prop_assert_eq!(solve(4, &rows).unwrap(), x, "the order of the rows is of no account");
                }
                Err(Unsolved::Conflict(cycle)) => {
                    prop_assert_eq!(by_trying(4, &rows, 5), None);
                    for left_out in 0..cycle.len() {
                        let rest: Vec<Row> = cycle.iter().enumerate()
                            .filter(|(at, _)| *at != left_out).map(|(_, &row)| rows[row]).collect();
                        prop_assert_eq!(positive_cycle(4, &rest), None);
                    }
                }
                Err(other) => prop_assert!(false, "{}", other),
            }
        }
    }

    #[test]
    fn refuses_what_could_overflow() {
        assert_eq!(solve(2, &[Row::must(0, 1, i64::MAX)]), Err(Unsolved::OutOfRange));
        assert_eq!(solve(2, &[Row::wish(0, 1, 1, i64::MAX), Row::wish(0, 1, 1, 1)]), Err(Unsolved::OutOfRange));
        assert_eq!(solve(2, &[Row::must(0, 2, 1)]), Err(Unsolved::OutOfRange));
        assert_eq!(solve(2, &[Row::wish(0, 1, 1, -1)]), Err(Unsolved::OutOfRange));
    }
}
