//! A minimum cut by two growing trees.
//!
//! Boykov and Kolmogorov, *An experimental comparison of min-cut/max-flow algorithms for energy minimization in vision*
//! (IEEE PAMI 26, 2004), with distances and time stamps for adoption. Of all minimum cuts the one with the smallest
//! source side is given, which is one and the same whatever the order of the arcs. Capacities are `i64`; their sum must
//! stay below 2⁶², which the caller sees to.

use std::collections::VecDeque;

const NONE: usize = usize::MAX;
/// Stands for the arc to a terminal.
const TERMINAL: usize = usize::MAX - 1;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Side {
    Free,
    Source,
    Sink,
}

#[derive(Clone, Copy)]
struct Arc {
    to: usize,
    next: usize,
    rest: i64,
}

#[derive(Clone, Copy)]
struct Node {
    first: usize,
    side: Side,
    /// The arc from the node to its parent, or `TERMINAL`, or `NONE`.
    up: usize,
    /// Above zero: what the source can still send; below: what the sink can still take.
    terminal: i64,
    distance: u32,
    stamp: u32,
    active: bool,
}

/// A network between a source and a sink.
pub struct Cut {
    nodes: Vec<Node>,
    /// An arc and its reverse stand side by side: `arc ^ 1`.
    arcs: Vec<Arc>,
    active: VecDeque<usize>,
    orphans: VecDeque<usize>,
    time: u32,
}

impl Cut {
    /// No capacity that is summed comes near it.
    pub const UNLIMITED: i64 = 1 << 61;

    /// A network of `nodes` nodes beside the source and the sink.
    pub fn new(nodes: usize) -> Cut {
        let node = Node { first: NONE, side: Side::Free, up: NONE, terminal: 0, distance: 0, stamp: 0, active: false };
        Cut { nodes: vec![node; nodes], arcs: Vec::new(), active: VecDeque::new(), orphans: VecDeque::new(), time: 0 }
    }

    /// Having `node` on the source's side costs `cost`, or saves it when below zero. Costs of one node add up.
    pub fn pay(&mut self, node: usize, cost: i64) {
        self.nodes[node].terminal =
            self.nodes[node].terminal.saturating_sub(cost).clamp(-Cut::UNLIMITED, Cut::UNLIMITED);
    }

    /// Having `from` on the source's side and `to` on the sink's costs `cost`, at least 0.
    pub fn part(&mut self, from: usize, to: usize, cost: i64) {
        let at = self.arcs.len();
        self.arcs.push(Arc { to, next: self.nodes[from].first, rest: cost });
        self.arcs.push(Arc { to: from, next: self.nodes[to].first, rest: 0 });
        self.nodes[from].first = at;
        self.nodes[to].first = at + 1;
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
        for (at, arc) in self.arcs.iter().enumerate().filter(|(_, arc)| arc.rest > 0) {
            among.part(self.arcs[at ^ 1].to, arc.to, Cut::UNLIMITED);
        }
        among
    }

    /// Sends what can flow.
    fn fill(&mut self) {
        for node in 0..self.nodes.len() {
            let terminal = self.nodes[node].terminal;
            if terminal != 0 {
                self.nodes[node].side = if terminal > 0 { Side::Source } else { Side::Sink };
                self.nodes[node].up = TERMINAL;
                self.nodes[node].distance = 1;
                self.wake(node);
            }
        }
        while let Some(&node) = self.active.front() {
            match self.grow(node) {
                Some(bridge) => {
                    self.time += 1;
                    self.augment(bridge);
                    self.adopt();
                }
                None => {
                    self.active.pop_front();
                    self.nodes[node].active = false;
                }
            }
        }
    }

    fn wake(&mut self, node: usize) {
        if !self.nodes[node].active {
            self.nodes[node].active = true;
            self.active.push_back(node);
        }
    }

    /// What can flow between a node and the neighbour at the head of its arc, away from the source's side.
    fn room(&self, side: Side, arc: usize) -> i64 {
        self.arcs[if side == Side::Source { arc } else { arc ^ 1 }].rest
    }

    /// Grows the tree at an active node; the arc from the source's tree to the sink's where they meet.
    fn grow(&mut self, node: usize) -> Option<usize> {
        let Node { side, distance, stamp, .. } = self.nodes[node];
        if side == Side::Free {
            return None;
        }
        let mut at = self.nodes[node].first;
        while at != NONE {
            let Arc { to, next, .. } = self.arcs[at];
            if self.room(side, at) > 0 {
                let other = self.nodes[to].side;
                if other == Side::Free {
                    let head = &mut self.nodes[to];
                    (head.side, head.up, head.distance, head.stamp) = (side, at ^ 1, distance + 1, stamp);
                    self.wake(to);
                } else if other != side {
                    return Some(if side == Side::Source { at } else { at ^ 1 });
                } else if self.nodes[to].stamp <= stamp && self.nodes[to].distance > distance + 1 {
                    let head = &mut self.nodes[to];
                    (head.up, head.distance, head.stamp) = (at ^ 1, distance + 1, stamp);
                }
            }
            at = next;
        }
        None
    }

    fn augment(&mut self, bridge: usize) {
        let ends = [(self.arcs[bridge ^ 1].to, Side::Source), (self.arcs[bridge].to, Side::Sink)];
        let mut push = self.arcs[bridge].rest;
        for (end, side) in ends {
            let mut node = end;
            while self.nodes[node].up != TERMINAL {
                push = push.min(self.room_up(side, node));
                node = self.arcs[self.nodes[node].up].to;
            }
            push = push.min(self.nodes[node].terminal.abs());
        }
        self.arcs[bridge].rest -= push;
        self.arcs[bridge ^ 1].rest += push;
        for (end, side) in ends {
            self.send(end, side, push);
        }
    }

    /// What can flow between a node and its parent.
    fn room_up(&self, side: Side, node: usize) -> i64 {
        let up = self.nodes[node].up;
        self.arcs[if side == Side::Source { up ^ 1 } else { up }].rest
    }

    fn send(&mut self, end: usize, side: Side, push: i64) {
        let mut node = end;
        loop {
            let up = self.nodes[node].up;
            if up == TERMINAL {
                self.nodes[node].terminal += if side == Side::Source { -push } else { push };
                if self.nodes[node].terminal == 0 {
                    self.orphan(node);
                }
                return;
            }
            let along = if side == Side::Source { up ^ 1 } else { up };
            self.arcs[along].rest -= push;
            self.arcs[along ^ 1].rest += push;
            let parent = self.arcs[up].to;
            if self.arcs[along].rest == 0 {
                self.orphan(node);
            }
            node = parent;
        }
    }

    fn orphan(&mut self, node: usize) {
        self.nodes[node].up = NONE;
        self.orphans.push_back(node);
    }

    fn adopt(&mut self) {
        while let Some(orphan) = self.orphans.pop_front() {
            let side = self.nodes[orphan].side;
            let (mut best, mut least) = (NONE, u32::MAX);
            let mut at = self.nodes[orphan].first;
            while at != NONE {
                let Arc { to, next, .. } = self.arcs[at];
                if self.room(side, at ^ 1) > 0 && self.nodes[to].side == side {
                    let distance = self.distance(to);
                    if distance < least {
                        (best, least) = (at, distance);
                    }
                }
                at = next;
            }
            if best == NONE {
                self.free(orphan, side);
            } else {
                let time = self.time;
                let node = &mut self.nodes[orphan];
                (node.up, node.distance, node.stamp) = (best, least + 1, time);
            }
        }
    }

    /// How far a node is from its terminal; `u32::MAX` when its tree has lost it.
    fn distance(&mut self, start: usize) -> u32 {
        let (mut node, mut steps) = (start, 0);
        let root = loop {
            let Node { up, distance, stamp, .. } = self.nodes[node];
            if stamp == self.time && up != NONE {
                break steps + distance;
            }
            match up {
                NONE => return u32::MAX,
                TERMINAL => break steps + 1,
                up => node = self.arcs[up].to,
            }
            steps += 1;
        };
        let (mut node, mut distance) = (start, root);
        while self.nodes[node].stamp != self.time {
            self.nodes[node].stamp = self.time;
            self.nodes[node].distance = distance;
            if self.nodes[node].up == TERMINAL {
                break;
            }
            node = self.arcs[self.nodes[node].up].to;
            distance -= 1;
        }
        root
    }

    fn free(&mut self, orphan: usize, side: Side) {
        let mut at = self.nodes[orphan].first;
        while at != NONE {
            let Arc { to, next, .. } = self.arcs[at];
            if self.nodes[to].side == side {
                if self.room(side, at ^ 1) > 0 {
                    self.wake(to);
                }
                let up = self.nodes[to].up;
                if up != NONE && up != TERMINAL && self.arcs[up].to == orphan {
                    self.orphan(to);
                }
            }
            at = next;
        }
        self.nodes[orphan].side = Side::Free;
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
            part in prop::collection::vec((0..7usize, 0..7usize, 0..9i64), 0..20),
        ) {
            let mut cut = Cut::new(7);
            pay.iter().enumerate().for_each(|(node, cost)| cut.pay(node, *cost));
            part.iter().for_each(|&(from, to, cost)| cut.part(from, to, cost));
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
