//! A minimum cut by two trees that grow breadth first.
//!
//! Goldberg, Hed, Kaplan, Tarjan and Werneck, *Maximum flows by incremental breadth-first search* (ESA 2011): as Boykov and
//! Kolmogorov (2004) have it, but distances in the trees are exact, so a node that has lost its parent looks for another at
//! the same distance before all else, and no path is walked to its root. Of all minimum cuts the one with the smallest
//! source side is given, which is one and the same whatever the order of the arcs. Capacities are `i64`; their sum must
//! stay below 2⁶², which the caller sees to.

const NONE: u32 = u32::MAX;
/// Stands for the arc to a terminal.
const TERMINAL: u32 = u32::MAX - 1;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Side {
    Free,
    Source,
    Sink,
}

#[derive(Clone, Copy)]
struct Arc {
    to: u32,
    /// The same arc, backwards.
    back: u32,
    rest: i64,
}

#[derive(Clone, Copy)]
struct Node {
    /// Above zero: what the source can still send; below: what the sink can still take.
    terminal: i64,
    /// The arc from the node to its parent, or `TERMINAL`, or `NONE`.
    up: u32,
    /// Steps to the terminal of its side.
    distance: u32,
    side: Side,
}

/// The tree of one side.
#[derive(Default)]
struct Tree {
    /// The distance up to which it is grown.
    depth: u32,
    /// Nodes at that distance, to be grown from.
    rim: Vec<u32>,
    /// Nodes one further.
    next: Vec<u32>,
    /// Nodes that lost their parent, by distance.
    orphans: Vec<Vec<u32>>,
    /// No orphan is nearer than this.
    nearest: usize,
}

/// A network between a source and a sink.
pub struct Cut {
    nodes: Vec<Node>,
    /// Tail, head, capacity there and back, until the network is filled.
    asked: Vec<(u32, u32, [i64; 2])>,
    /// Arcs by their tail.
    arcs: Vec<Arc>,
    first: Vec<u32>,
    /// Of the source, of the sink.
    trees: [Tree; 2],
}

impl Cut {
    /// No capacity that is summed comes near it.
    pub const UNLIMITED: i64 = 1 << 61;

    /// A network of `nodes` nodes beside the source and the sink; fewer than 2³¹.
    pub fn new(nodes: usize) -> Cut {
        let node = Node { terminal: 0, up: NONE, distance: 0, side: Side::Free };
        let (asked, arcs, first, trees) = (Vec::new(), Vec::new(), Vec::new(), Default::default());
        Cut { nodes: vec![node; nodes], asked, arcs, first, trees }
    }

    /// Having `node` on the source's side costs `cost`, or saves it when below zero. Costs of one node add up.
    pub fn pay(&mut self, node: usize, cost: i64) {
        self.nodes[node].terminal =
            self.nodes[node].terminal.saturating_sub(cost).clamp(-Cut::UNLIMITED, Cut::UNLIMITED);
    }

    /// Having `from` on the source's side and `to` on the sink's costs `cost`, at least 0.
    pub fn part(&mut self, from: usize, to: usize, cost: i64) {
        self.ask(from, to, [cost, 0]);
    }

    /// Having two nodes on different sides costs `cost`, at least 0, whichever lies where.
    pub fn part_both(&mut self, one: usize, other: usize, cost: i64) {
        self.ask(one, other, [cost; 2]);
    }

    fn ask(&mut self, from: usize, to: usize, costs: [i64; 2]) {
        if from != to {
            self.asked.push((from as u32, to as u32, costs));
        }
    }

    /// For each node whether it lies on the source's side of the minimum cut with the smallest source side.
    pub fn source_side(mut self) -> Vec<bool> {
        self.fill();
        self.nodes.iter().map(|node| node.side == Side::Source).collect()
    }

    /// A network whose cuts without unlimited cost are the minimum cuts of this one, with nothing to pay yet: of equally
    /// cheap sides a second cut may so choose by other costs (Picard and Queyranne 1980: the closed sets of the residual
    /// network).
    pub fn among_cheapest(mut self) -> Cut {
        self.fill();
        let mut among = Cut::new(self.nodes.len());
        for (at, node) in self.nodes.iter().enumerate() {
            among.pay(at, -node.terminal.signum() * Cut::UNLIMITED);
        }
        for arc in self.arcs.iter().filter(|arc| arc.rest > 0) {
            among.part(self.arcs[arc.back as usize].to as usize, arc.to as usize, Cut::UNLIMITED);
        }
        among
    }

    /// Lays arcs of one tail side by side.
    fn lay(&mut self) {
        let mut first = vec![0u32; self.nodes.len() + 1];
        for (from, to, _) in &self.asked {
            first[*from as usize + 1] += 1;
            first[*to as usize + 1] += 1;
        }
        for at in 1..first.len() {
            first[at] += first[at - 1];
        }
        let mut free = first.clone();
        self.arcs = vec![Arc { to: 0, back: 0, rest: 0 }; 2 * self.asked.len()];
        for (from, to, [cost, back_cost]) in std::mem::take(&mut self.asked) {
            let there = free[from as usize];
            free[from as usize] += 1;
            let back = free[to as usize];
            free[to as usize] += 1;
            self.arcs[there as usize] = Arc { to, back, rest: cost };
            self.arcs[back as usize] = Arc { to: from, back: there, rest: back_cost };
        }
        self.first = first;
    }

    /// Sends what can flow; the source's tree is then all that the source still reaches.
    fn fill(&mut self) {
        self.lay();
        for (at, node) in self.nodes.iter_mut().enumerate().filter(|(_, node)| node.terminal != 0) {
            node.side = if node.terminal > 0 { Side::Source } else { Side::Sink };
            (node.up, node.distance) = (TERMINAL, 1);
            self.trees[usize::from(node.terminal < 0)].rim.push(at as u32);
        }
        self.trees.iter_mut().for_each(|tree| tree.depth = 1);
        while !self.trees[0].rim.is_empty() || !self.trees[0].next.is_empty() {
            self.grow(Side::Source);
            self.grow(Side::Sink);
        }
    }

    fn tree(&mut self, side: Side) -> &mut Tree {
        &mut self.trees[usize::from(side == Side::Sink)]
    }

    /// What can flow along an arc from a node of the source's side, or against it to a node of the sink's.
    fn room(&self, side: Side, arc: u32) -> i64 {
        let arc = self.arcs[arc as usize];
        if side == Side::Source { arc.rest } else { self.arcs[arc.back as usize].rest }
    }

    /// Grows a tree by one step of distance; where it meets the other, what can flow is sent.
    fn grow(&mut self, side: Side) {
        while let Some(node) = self.tree(side).rim.pop() {
            let depth = self.tree(side).depth;
            let (mut at, end) = (self.first[node as usize], self.first[node as usize + 1]);
            while at < end {
                let here = self.nodes[node as usize];
                if here.side != side || here.distance != depth {
                    break;
                }
                if self.room(side, at) == 0 {
                    at += 1;
                    continue;
                }
                let (to, back) = (self.arcs[at as usize].to, self.arcs[at as usize].back);
                let head = &mut self.nodes[to as usize];
                if head.side == Side::Free {
                    (head.side, head.up, head.distance) = (side, back, depth + 1);
                    self.tree(side).next.push(to);
                } else if head.side != side {
                    self.augment(if side == Side::Source { at } else { back });
                    continue;
                }
                at += 1;
            }
        }
        let tree = self.tree(side);
        tree.rim = std::mem::take(&mut tree.next);
        tree.depth += u32::from(!tree.rim.is_empty());
    }

    /// Sends all that can flow by the arc where the source's tree meets the sink's, and mends both trees.
    fn augment(&mut self, bridge: u32) {
        let Arc { to, back, rest } = self.arcs[bridge as usize];
        let ends = [(self.arcs[back as usize].to, Side::Source), (to, Side::Sink)];
        let mut push = rest;
        for (end, side) in ends {
            let mut node = self.nodes[end as usize];
            while node.up != TERMINAL {
                push = push.min(self.room_up(side, node.up));
                node = self.nodes[self.arcs[node.up as usize].to as usize];
            }
            push = push.min(node.terminal.abs());
        }
        self.arcs[bridge as usize].rest -= push;
        self.arcs[back as usize].rest += push;
        for (end, side) in ends {
            self.send(end, side, push);
        }
        self.adopt(Side::Source);
        self.adopt(Side::Sink);
    }

    /// What can flow between a node and its parent, by the arc up to it.
    fn room_up(&self, side: Side, up: u32) -> i64 {
        self.room(if side == Side::Source { Side::Sink } else { Side::Source }, up)
    }

    fn send(&mut self, end: u32, side: Side, push: i64) {
        let mut node = end;
        loop {
            let up = self.nodes[node as usize].up;
            if up == TERMINAL {
                let terminal = &mut self.nodes[node as usize].terminal;
                *terminal += if side == Side::Source { -push } else { push };
                if *terminal == 0 {
                    self.orphan(node, side);
                }
                return;
            }
            let Arc { to, back, .. } = self.arcs[up as usize];
            let along = if side == Side::Source { back } else { up };
            let against = self.arcs[along as usize].back;
            self.arcs[along as usize].rest -= push;
            self.arcs[against as usize].rest += push;
            if self.arcs[along as usize].rest == 0 {
                self.orphan(node, side);
            }
            node = to;
        }
    }

    fn orphan(&mut self, node: u32, side: Side) {
        self.nodes[node as usize].up = NONE;
        let distance = self.nodes[node as usize].distance as usize;
        let tree = self.tree(side);
        if tree.orphans.len() <= distance {
            tree.orphans.resize(distance + 1, Vec::new());
        }
        tree.orphans[distance].push(node);
        tree.nearest = tree.nearest.min(distance);
    }

    /// Finds a parent for each orphan, the nearest to the terminal first, or frees it.
    fn adopt(&mut self, side: Side) {
        let mut distance = self.tree(side).nearest;
        while distance < self.tree(side).orphans.len() {
            while let Some(orphan) = self.tree(side).orphans[distance].pop() {
                self.adopt_one(orphan, side);
            }
            distance += 1;
        }
        self.tree(side).nearest = usize::MAX;
    }

    fn adopt_one(&mut self, orphan: u32, side: Side) {
        let old = self.nodes[orphan as usize].distance;
        let (mut best, mut least) = (NONE, u32::MAX);
        for at in self.first[orphan as usize]..self.first[orphan as usize + 1] {
            let other = self.nodes[self.arcs[at as usize].to as usize];
            if other.side == side && other.distance < least && self.room_up(side, at) > 0 {
                (best, least) = (at, other.distance);
                if least + 1 == old {
                    self.nodes[orphan as usize].up = best;
                    return;
                }
            }
        }
        self.let_go(orphan, side);
        // What lies further is reached when the tree is grown that far.
        if best == NONE || least > self.tree(side).depth {
            self.nodes[orphan as usize].side = Side::Free;
            return;
        }
        let node = &mut self.nodes[orphan as usize];
        (node.up, node.distance) = (best, least + 1);
        let tree = self.tree(side);
        if least + 1 == tree.depth {
            tree.rim.push(orphan);
        } else if least + 1 > tree.depth {
            tree.next.push(orphan);
        }
    }

    /// Those whose parent it was are orphans.
    fn let_go(&mut self, parent: u32, side: Side) {
        for at in self.first[parent as usize]..self.first[parent as usize + 1] {
            let Arc { to, back, .. } = self.arcs[at as usize];
            if self.nodes[to as usize].side == side && self.nodes[to as usize].up == back {
                self.orphan(to, side);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn value(side: &[bool], pay: &[i64], part: &[(usize, usize, i64)]) -> i64 {
        let kept: i64 = pay.iter().zip(side).filter(|(_, on)| **on).map(|(pay, _)| pay).sum();
        kept + part.iter().filter(|(from, to, _)| side[*from] && !side[*to]).map(|(.., cost)| cost).sum::<i64>()
    }

    proptest! {
        #[test]
        fn no_other_side_is_cheaper(
            pay in prop::collection::vec(-9..10i64, 7),
            mut part in prop::collection::vec((0..7usize, 0..7usize, 0..9i64), 0..20),
            both in prop::collection::vec((0..7usize, 0..7usize, 0..9i64), 0..10),
        ) {
            let mut cut = Cut::new(7);
            pay.iter().enumerate().for_each(|(node, cost)| cut.pay(node, *cost));
            part.iter().for_each(|&(from, to, cost)| cut.part(from, to, cost));
            both.iter().for_each(|&(one, other, cost)| cut.part_both(one, other, cost));
            part.extend(both.iter().flat_map(|&(one, other, cost)| [(one, other, cost), (other, one, cost)]));
            let side = cut.source_side();
            for other in 0..1u32 << 7 {
                let other: Vec<bool> = (0..7).map(|node| other >> node & 1 == 1).collect();
                let (ours, theirs) = (value(&side, &pay, &part), value(&other, &pay, &part));
                prop_assert!(ours <= theirs);
                let smaller = (0..7).all(|node| other[node] || !side[node]);
                prop_assert!(ours < theirs || smaller, "the smallest source side is given");
            }
        }

        #[test]
        fn of_the_cheapest_the_second_costs_choose(
            pay in prop::collection::vec(-2..3i64, 6),
            part in prop::collection::vec((0..6usize, 0..6usize, 0..3i64), 0..14),
            second in prop::collection::vec(-9..10i64, 6),
        ) {
            let mut cut = Cut::new(6);
            pay.iter().enumerate().for_each(|(node, cost)| cut.pay(node, *cost));
            part.iter().for_each(|&(from, to, cost)| cut.part(from, to, cost));
            let mut among = cut.among_cheapest();
            second.iter().enumerate().for_each(|(node, cost)| among.pay(node, *cost));
            let side = among.source_side();
            let both = |side: &[bool]| (value(side, &pay, &part), value(side, &second, &[]));
            let sides = (0..1u32 << 6).map(|bits| (0..6).map(|node| bits >> node & 1 == 1).collect::<Vec<bool>>());
            prop_assert_eq!(Some(both(&side)), sides.map(|side| both(&side)).min());
        }
    }
}
