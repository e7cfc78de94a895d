//! Strands: chains joined through junctions where two of them run on smoothly.
//!
//! At each junction the pair of chains that turns least is taken as one line, when it turns little enough. A strand is
//! smoothed and fitted as one curve, so that the pair is smooth through the junction.

use kurbo::Vec2;

use super::cracks::{Chain, Cracks};

/// Chains in order, each walked from start to end or back.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strand {
    /// Chain index, and whether it is walked backwards.
    pub parts: Vec<(usize, bool)>,
    /// Whether the last part runs on into the first.
    pub closed: bool,
}

/// The points of a strand: junctions and crack midpoints, µm.
pub struct Rail {
    /// The points. A closed strand does not repeat its first point.
    pub points: Vec<Vec2>,
    /// By point, the junction or the chain that it belongs to.
    pub of: Vec<Of>,
    /// Where each part begins, and one past the last point's index (for an open strand: the last point's).
    pub starts: Vec<usize>,
}

/// What a point of a rail is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// The junction by index.
    Node(usize),
    /// A midpoint of a chain: chain index, and the midpoint's index in it.
    Mid(usize, usize),
}

/// From nodes to µm.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// µm per pixel across.
    pub x: f64,
    /// µm per pixel down.
    pub y: f64,
}

impl Scale {
    /// The place of a node.
    pub fn node(self, [x, y]: [u32; 2]) -> Vec2 {
        Vec2::new(f64::from(x) * self.x, f64::from(y) * self.y)
    }

    /// The middle of the crack between two nodes.
    pub fn middle(self, a: [u32; 2], b: [u32; 2]) -> Vec2 {
        (self.node(a) + self.node(b)) * 0.5
    }

    /// The smaller side of a pixel.
    pub fn pixel(self) -> f64 {
        self.x.min(self.y)
    }
}

/// Over what length a chain's direction at its end is taken: shorter, and the staircase turns it; longer, and a bend does.
const REACH_UM: f64 = 3000.0;
/// Two chains run on into each other when they turn by less than this: 35°, by its cosine.
const RUNS_ON: f64 = 0.819;

/// The chain ends that run on into each other at junctions: by chain, its partner at start and end (chain, at its end?).
pub type Partners = Vec<[Option<(usize, bool)>; 2]>;

/// Finds the pairs. Chains on the frame have none.
pub fn partners(cracks: &Cracks, scale: Scale) -> Partners {
    let mut at_node: Vec<Vec<(usize, bool, Vec2)>> = vec![Vec::new(); cracks.nodes.len()];
    for (index, chain) in cracks.chains.iter().enumerate() {
        let Some(ends) = chain.ends.filter(|_| !chain.is_edge()) else { continue };
        for end in [false, true] {
            at_node[ends[usize::from(end)]].push((index, end, direction(chain, end, scale)));
        }
    }
    let mut partners: Partners = vec![[None; 2]; cracks.chains.len()];
    for ends in &at_node {
        pair(ends, &mut partners);
    }
    partners
}

/// Takes the straightest pair, then the next of what is left.
fn pair(ends: &[(usize, bool, Vec2)], partners: &mut Partners) {
    let mut pairs = Vec::new();
    for (i, a) in ends.iter().enumerate() {
        pairs.extend(ends[i + 1..].iter().enumerate().map(|(j, b)| (-a.2.dot(b.2), i, i + 1 + j)));
    }
    pairs.sort_by(|p, q| q.0.total_cmp(&p.0).then((p.1, p.2).cmp(&(q.1, q.2))));
    let mut free = vec![true; ends.len()];
    for (_, i, j) in pairs.into_iter().filter(|p| p.0 > RUNS_ON) {
        if free[i] && free[j] {
            (free[i], free[j]) = (false, false);
            let (a, b) = (ends[i], ends[j]);
            partners[a.0][usize::from(a.1)] = Some((b.0, b.1));
            partners[b.0][usize::from(b.1)] = Some((a.0, a.1));
        }
    }
}

/// The direction in which a chain leaves its start (or end): from the middle of its first midpoints to the middle of the next.
fn direction(chain: &Chain, end: bool, scale: Scale) -> Vec2 {
    let count = chain.path.len() - 1;
    let take = ((REACH_UM / scale.pixel()).ceil() as usize).clamp(1, count);
    let pick = |i: usize| if end { count - 1 - i } else { i };
    let middle = |i: usize| scale.middle(chain.path[pick(i)], chain.path[pick(i) + 1]);
    let mean = |from: usize, to: usize| (from..to).map(middle).fold(Vec2::ZERO, |a, b| a + b) / (to - from) as f64;
    let way = if take < 3 {
        middle(take - 1) - scale.node(if end { chain.path[count] } else { chain.path[0] })
    } else {
        mean(take / 2, take) - mean(0, take / 2)
    };
    way / way.hypot2().sqrt().max(1e-9)
}

/// Joins chains into strands. `whole` says which chains take part in strands of several; the others stand alone, and
/// chains on the frame are left out.
pub fn strands(cracks: &Cracks, partners: &Partners, whole: impl Fn(usize) -> bool) -> Vec<Strand> {
    let next = |(chain, end): (usize, bool)| partners[chain][usize::from(end)].filter(|to| whole(chain) && whole(to.0));
    let mut used = vec![false; cracks.chains.len()];
    let mut strands = Vec::new();
    let inner = |used: &[bool], i: usize| !used[i] && !cracks.chains[i].is_edge();
    for open in [true, false] {
        for first in 0..cracks.chains.len() {
            for backwards in [false, true] {
                if inner(&used, first) && (!open || next((first, backwards)).is_none()) {
                    strands.push(walk(cracks, (first, backwards), &next, &mut used));
                }
            }
        }
    }
    strands
}

/// Follows a strand from a chain that is entered at its start (or end).
fn walk(
    cracks: &Cracks,
    first: (usize, bool),
    next: &impl Fn((usize, bool)) -> Option<(usize, bool)>,
    used: &mut [bool],
) -> Strand {
    let (mut parts, mut at) = (Vec::new(), first);
    loop {
        used[at.0] = true;
        parts.push(at);
        match next((at.0, !at.1)) {
            Some(to) if to == first => return Strand { parts, closed: true },
            Some(to) => at = to,
            None => break,
        }
    }
    let ring = cracks.chains[first.0].ends.is_none();
    Strand { parts, closed: ring }
}

impl Strand {
    /// Lays out its points.
    pub fn rail(&self, cracks: &Cracks, scale: Scale) -> Rail {
        let mut rail = Rail { points: Vec::new(), of: Vec::new(), starts: Vec::new() };
        for (index, backwards) in &self.parts {
            let chain = &cracks.chains[*index];
            rail.starts.push(rail.points.len());
            if let Some(ends) = chain.ends {
                rail.push_node(ends[usize::from(*backwards)], cracks, scale);
            }
            let count = chain.path.len() - 1;
            for i in 0..count {
                let i = if *backwards { count - 1 - i } else { i };
                rail.points.push(scale.middle(chain.path[i], chain.path[i + 1]));
                rail.of.push(Of::Mid(*index, i));
            }
        }
        if self.closed {
            rail.starts.push(rail.points.len());
        } else {
            let (last, backwards) = *self.parts.last().expect("a strand has a part");
            let ends = cracks.chains[last].ends.expect("an open strand ends at junctions");
            rail.starts.push(rail.points.len());
            rail.push_node(ends[usize::from(!backwards)], cracks, scale);
        }
        rail
    }
}

impl Rail {
    fn push_node(&mut self, node: usize, cracks: &Cracks, scale: Scale) {
        self.points.push(scale.node(cracks.nodes[node]));
        self.of.push(Of::Node(node));
    }
}
