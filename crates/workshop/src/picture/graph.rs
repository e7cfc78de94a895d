//! Regions and what they share, merged from a heap.
//!
//! Cost of a merge: the growth of squared error (Ward 1963) over a power of the length of the common border, times a power of
//! the border's mean gradient. The heap is lazy: a key that has become too low is found out when it is popped, and put back; one
//! that has become too high is renewed when its border changes, and for all borders of a region once that has grown by an
//! eighth. Ties fall to the lower number, so the order is the same everywhere.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::even::{Even, STEPS, Sum, apart};
use super::grid::{Grid, NOBODY, number};

/// Power of the mean border gradient in the cost. 0 gives the lowest colour error, 1 follows what people draw; other
/// values between them are untried.
const GRADIENT_POWER: f64 = 0.1;

/// Power of the common border's length in the cost of merging pieces; 1 for leaves. 1 asks what each length of border is worth and
/// makes few, calm borders. Pieces are counted, not measured: with 1 their colour error is 2 % higher at 200 and 5 % at 50 than
/// with 0.7; less leaves borders on even ground.
const PIECES_LENGTH_POWER: f64 = 0.7;

/// A merge of pieces no two of whose regions share a border of this share of the least width costs more, by the square of what
/// is missing: they would hang together by a neck.
pub(super) const CONTACT: f64 = 0.75;

/// A region's borders are all costed again when its area has grown by this share since the last time.
const GROWN: f64 = 1.125;

/// Neighbours closer than this (ΔE00, about) with no edge between them are one piece, even if that leaves fewer than
/// asked: no two woods show it.
const ALIKE: f64 = 0.7;

/// Mean gradient level of a border that shows no edge. Alike feathers with a drawn line between them stay apart.
const FAINT: f64 = 16.0;

/// Cost under which a merge loses nothing that a maker would saw: about 1.5 of ΔE00 over a strip 8 pixels deep.
const SLIGHT: f64 = 1.2e6;

/// What the colour difference across a line of ink counts for at least, ΔE00: two areas of one colour that a drawn line parts
/// are parted no less than two clearly different colours.
const INK: f64 = 16.0;

/// What regions are made of, by place.
#[derive(Clone, Copy)]
pub(super) struct Sight<'a> {
    /// Its colour.
    pub plane: &'a [Even],
    /// How steeply colour changes there.
    pub levels: &'a [u16],
    /// The area that ink and colours close about it; empty when ink is not closed.
    pub cells: &'a [u32],
    /// Whether a stroke was there; empty when ink is not closed.
    pub strokes: &'a [bool],
    /// Lines alone part the picture: no colours are too alike.
    pub alone: bool,
}

#[derive(Clone)]
pub(super) struct Node {
    pub sum: Sum,
    links: Vec<u32>,
    /// Area when all links were last costed.
    costed: i64,
    /// Sum over the area of what its costs weigh.
    pub weight: f64,
}

/// A border between two regions.
#[derive(Clone, Copy)]
pub(super) struct Link {
    pub ends: [u32; 2],
    pub length: u32,
    /// The longest that one region of the first map has with another along it.
    pub broadest: u32,
    /// Sum of gradient levels over the length.
    strength: u64,
    /// As much of the length is a line of ink.
    inked: u32,
    /// Bits of the cost that is valid in the heap; `DEAD` once the border is gone.
    key: u64,
}

impl Link {
    /// By more of the same border.
    fn lengthen(&mut self, more: Link) {
        self.broadest += more.broadest;
        self.length += more.length;
        self.strength += more.strength;
        self.inked += more.inked;
    }

    /// By a border of another region.
    fn join(&mut self, more: Link) {
        let broadest = self.broadest.max(more.broadest);
        self.lengthen(more);
        self.broadest = broadest;
    }

    /// Whether most of it is a line of ink.
    pub fn is_inked(&self) -> bool {
        2 * self.inked > self.length
    }
}

const DEAD: u64 = u64::MAX;

/// Above every cost: not in the heap yet.
const DEAR: u64 = u64::MAX - 1;

/// Regions, their borders, and the heap of merges.
#[derive(Clone)]
pub(super) struct Graph {
    nodes: Vec<Node>,
    links: Vec<Link>,
    /// The border over which pieces hang together; 0 for leaves, which need not.
    contact: f64,
    pairs: Pairs,
    heap: BinaryHeap<Reverse<(u64, u32)>>,
    alive: usize,
    alone: bool,
}

impl Graph {
    /// Of a label map whose labels lie below `count`, ready to merge; `NOBODY` takes no part.
    pub fn new(grid: Grid, labels: &[u32], count: u32, sight: Sight) -> Graph {
        Graph::surveyed(grid, labels, count, sight).costed()
    }

    /// The same for regions that can be sawn, where the least width is so many steps.
    pub fn of_pieces(grid: Grid, (labels, count): (&[u32], u32), sight: Sight, width: f64) -> Graph {
        Graph { contact: CONTACT * width, ..Graph::surveyed(grid, labels, count, sight) }.costed()
    }

    fn costed(mut self) -> Graph {
        (0..self.links.len() as u32).for_each(|link| self.cost(link));
        self.nodes.iter_mut().for_each(|n| n.costed = n.sum.area);
        self
    }

    fn bare(count: u32) -> Graph {
        let node = |_| Node { sum: Sum::default(), links: Vec::new(), costed: 0, weight: 0.0 };
        Graph {
            nodes: (0..count).map(node).collect(),
            links: Vec::new(),
            contact: 0.0,
            pairs: Pairs::new(count as usize * 8),
            heap: BinaryHeap::new(),
            alive: 0,
            alone: false,
        }
    }

    /// Of what its regions are gathered into; `into` runs below `count` without a hole. Ready to merge.
    pub fn gathered(&self, into: &[u32], count: u32) -> Graph {
        let mut graph = Graph { contact: self.contact, alone: self.alone, ..Graph::bare(count) };
        for (from, to) in self.nodes.iter().zip(into) {
            let node = &mut graph.nodes[*to as usize];
            node.sum.join(from.sum);
            node.weight += from.weight;
        }
        for link in self.links.iter().filter(|link| link.key != DEAD) {
            let [a, b] = link.ends.map(|end| into[end as usize]);
            if a != b {
                graph.add(Link { ends: [a, b], ..*link }, Link::join);
            }
        }
        graph.alive = graph.nodes.iter().filter(|n| n.sum.area > 0).count();
        graph.costed()
    }

    /// The same without costs.
    fn surveyed(grid: Grid, labels: &[u32], count: u32, sight: Sight) -> Graph {
        let mut graph = Graph { alone: sight.alone, ..Graph::bare(count) };
        graph.survey(grid, labels, sight);
        graph.nodes.iter_mut().for_each(|node| node.weight = node.sum.area as f64);
        graph.alive = graph.nodes.iter().filter(|n| n.sum.area > 0).count();
        graph
    }

    fn survey(&mut self, grid: Grid, labels: &[u32], Sight { plane, levels, cells, strokes, .. }: Sight) {
        let inked = |a: usize, b: usize| !cells.is_empty() && cells[a] != cells[b] && (strokes[a] || strokes[b]);
        for at in 0..grid.len() {
            let here = labels[at];
            if here == NOBODY {
                continue;
            }
            self.nodes[here as usize].sum.add(plane[at]);
            if (at + 1) % grid.width != 0 {
                self.meet(here, labels[at + 1], levels[at].max(levels[at + 1]), inked(at, at + 1));
            }
            if at + grid.width < grid.len() {
                let below = at + grid.width;
                self.meet(here, labels[below], levels[at].max(levels[below]), inked(at, below));
            }
        }
    }

    #[inline]
    fn meet(&mut self, a: u32, b: u32, level: u16, inked: bool) {
        if a == b || b == NOBODY {
            return;
        }
        let (strength, inked) = (u64::from(level), u32::from(inked));
        self.add(Link { ends: [a, b], length: 1, broadest: 1, strength, inked, key: DEAR }, Link::lengthen);
    }

    /// Adds a border, or joins it to the one that the pair has.
    #[inline]
    fn add(&mut self, more: Link, join: impl Fn(&mut Link, Link)) {
        let [a, b] = more.ends;
        let fresh = self.links.len() as u32;
        let at = self.pairs.get_or_insert(a, b, fresh);
        if at == fresh {
            self.links.push(Link { key: DEAR, ..more });
            self.nodes[a as usize].links.push(fresh);
            self.nodes[b as usize].links.push(fresh);
        } else {
            join(&mut self.links[at as usize], more);
        }
    }

    /// Weighs the cost of each region's borders by the mean of `weights` over it; empty weighs all alike.
    pub fn weigh(&mut self, labels: &[u32], weights: &[f32]) {
        if weights.is_empty() {
            return;
        }
        self.nodes.iter_mut().for_each(|node| node.weight = 0.0);
        for (label, weight) in labels.iter().zip(weights).filter(|(label, _)| **label != NOBODY) {
            self.nodes[*label as usize].weight += f64::from(*weight);
        }
        self.heap.clear();
        for link in 0..self.links.len() as u32 {
            if self.links[link as usize].key != DEAD {
                self.put(link, self.worth(link));
            }
        }
    }

    /// Its regions.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// The borders that are left.
    pub fn links(&self) -> impl Iterator<Item = &Link> {
        self.links.iter().filter(|link| link.key != DEAD)
    }

    /// The least border over which pieces are joined.
    pub fn contact(&self) -> f64 {
        self.contact
    }

    /// How many regions are left.
    pub fn alive(&self) -> usize {
        self.alive
    }

    fn worth(&self, link: u32) -> u64 {
        let link = &self.links[link as usize];
        let [a, b] = link.ends.map(|n| self.nodes[n as usize].sum);
        let length = f64::from(link.length);
        let edge = (link.strength as f64 / length + 1.0) / 16.0;
        let [c, d] = link.ends.map(|n| self.nodes[n as usize].weight);
        let weight = (c + d) / (a.area + b.area) as f64;
        let share = f64::from(link.inked) / length * INK * STEPS;
        let (areas, both) = (a.area as f64 * b.area as f64, (a.area + b.area) as f64);
        let lost = a.ward(b) + share * share * areas / both;
        let missing = (self.contact / f64::from(link.broadest)).max(1.0);
        let lost = lost * missing * missing;
        let length = if self.contact > 0.0 { libm::pow(length, PIECES_LENGTH_POWER) } else { length };
        (lost / length * libm::pow(edge, 2.0 * GRADIENT_POWER) * weight).to_bits()
    }

    /// Sees that the heap knows the border at no more than its cost.
    fn cost(&mut self, link: u32) {
        let key = self.worth(link);
        if key < self.links[link as usize].key {
            self.put(link, key);
        }
    }

    fn put(&mut self, link: u32, key: u64) {
        self.links[link as usize].key = key;
        self.heap.push(Reverse((key, link)));
    }

    /// Merges the cheapest pair: which region took in which, and whether the merge was slight. `None` when nothing is left to
    /// merge.
    pub fn merge(&mut self) -> Option<((u32, u32), bool)> {
        while let Some(Reverse((key, link))) = self.heap.pop() {
            if self.links[link as usize].key != key {
                continue;
            }
            let now = self.worth(link);
            if now > key {
                self.put(link, now);
                continue;
            }
            let [a, b] = self.links[link as usize].ends;
            return Some((self.join(a, b), f64::from_bits(key) < SLIGHT));
        }
        None
    }

    fn distance(&self, link: u32) -> i64 {
        let [a, b] = self.links[link as usize].ends.map(|n| self.nodes[n as usize].sum.mean());
        apart(a, b)
    }

    /// Merges the cheapest pair whose mean colours lie within `ALIKE` of each other without an edge between them.
    pub fn merge_alike(&mut self) -> Option<(u32, u32)> {
        let alike = |link: &u32| {
            let l = &self.links[*link as usize];
            let faint = l.strength as f64 <= FAINT * f64::from(l.length) && !l.is_inked();
            !self.alone && l.key != DEAD && faint && (self.distance(*link) as f64) <= ALIKE * ALIKE * STEPS * STEPS
        };
        let link = (0..self.links.len() as u32).filter(alike).min_by_key(|l| (self.links[*l as usize].key, *l))?;
        let [a, b] = self.links[link as usize].ends;
        Some(self.join(a, b))
    }

    fn join(&mut self, a: u32, b: u32) -> (u32, u32) {
        let size = |n: u32| (self.nodes[n as usize].links.len(), Reverse(n));
        let (big, small) = if size(a) >= size(b) { (a, b) } else { (b, a) };
        let gone = self.nodes[small as usize].sum;
        self.nodes[big as usize].sum.join(gone);
        self.nodes[big as usize].weight += self.nodes[small as usize].weight;
        for link in std::mem::take(&mut self.nodes[small as usize].links) {
            self.hand_over(link, small, big);
        }
        self.alive -= 1;
        self.renew(big);
        (big, small)
    }

    fn hand_over(&mut self, link: u32, small: u32, big: u32) {
        let Link { ends: [a, b], key, .. } = self.links[link as usize];
        if key == DEAD {
            return;
        }
        let other = if a == small { b } else { a };
        if other == big {
            self.links[link as usize].key = DEAD;
            return;
        }
        let kept = self.pairs.get_or_insert(big, other, link);
        if kept == link {
            self.links[link as usize].ends = [big, other];
            self.nodes[big as usize].links.push(link);
        } else {
            let more = self.links[link as usize];
            self.links[link as usize].key = DEAD;
            self.links[kept as usize].join(more);
        }
        self.cost(kept);
    }

    fn renew(&mut self, region: u32) {
        let node = &self.nodes[region as usize];
        if (node.sum.area as f64) < node.costed as f64 * GROWN {
            return;
        }
        let mut links = std::mem::take(&mut self.nodes[region as usize].links);
        links.retain(|l| self.links[*l as usize].key != DEAD);
        links.iter().for_each(|l| self.cost(*l));
        let node = &mut self.nodes[region as usize];
        node.links = links;
        node.costed = node.sum.area;
    }
}

/// Crumbs further than this (steps of `even`, squared) from every neighbour stay: grain is nearer, a drawn line is not.
const GRAIN: i64 = 1024 * 1024;

/// Merges every region smaller than `least` pixels into the neighbour of `GRAIN` that costs least, all at once, and numbers
/// anew. It takes the crumbs of grainy pictures off the heap, where each would cost far more than it is worth.
pub(super) fn gather(grid: Grid, (labels, count): (Vec<u32>, u32), sight: Sight, least: i64) -> (Vec<u32>, u32) {
    let graph = Graph::surveyed(grid, &labels, count, sight);
    let mut into: Vec<u32> = (0..count).collect();
    for (n, node) in graph.nodes.iter().enumerate().filter(|(_, node)| node.sum.area < least) {
        let near = node.links.iter().filter(|l| graph.distance(**l) <= GRAIN && !graph.links[**l as usize].is_inked());
        let Some(link) = near.min_by_key(|l| (graph.worth(**l), **l)) else { continue };
        let [a, b] = graph.links[*link as usize].ends;
        let (a, b) = (root(&mut into, n as u32), root(&mut into, if a == n as u32 { b } else { a }));
        into[a.max(b) as usize] = a.min(b);
    }
    let into: Vec<u32> = (0..count).map(|n| root(&mut into, n)).collect();
    number(&labels, &into)
}

fn root(into: &mut [u32], mut at: u32) -> u32 {
    while into[at as usize] != at {
        into[at as usize] = into[into[at as usize] as usize];
        at = into[at as usize];
    }
    at
}

/// Which border a pair of regions shares: open addressing, deterministic, insertion only. A merged region's pairs stay
/// behind and are never asked for again.
#[derive(Clone)]
struct Pairs {
    slots: Vec<(u64, u32)>,
    used: usize,
}

const FREE: u64 = u64::MAX;

impl Pairs {
    fn new(expected: usize) -> Pairs {
        Pairs { slots: vec![(FREE, 0); (expected * 2).next_power_of_two().max(64)], used: 0 }
    }

    /// The border of `a` and `b`, `fresh` when they had none.
    #[inline]
    fn get_or_insert(&mut self, a: u32, b: u32, fresh: u32) -> u32 {
        let key = u64::from(a.min(b)) << 32 | u64::from(a.max(b));
        let slot = self.find(key);
        if self.slots[slot].0 == key {
            return self.slots[slot].1;
        }
        self.slots[slot] = (key, fresh);
        self.used += 1;
        if self.used * 10 > self.slots.len() * 7 {
            self.grow();
        }
        fresh
    }

    #[inline]
    fn find(&self, key: u64) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = (key.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 20) as usize & mask;
        while self.slots[slot].0 != FREE && self.slots[slot].0 != key {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        let wider = vec![(FREE, 0); self.slots.len() * 2];
        for entry in std::mem::replace(&mut self.slots, wider).into_iter().filter(|e| e.0 != FREE) {
            let slot = self.find(entry.0);
            self.slots[slot] = entry;
        }
    }
}
