//! Pieces bettered once they are merged: parts go over to a neighbour, and two pieces are joined for a third to be split.
//!
//! Merging takes what is cheapest at the time and takes nothing back. Here the same number of pieces is kept, and a step is
//! taken only when it lowers what a maker sees: each place's distance from the mean colour of its piece (not squared, as the
//! merges have it), and a price for the length of borders (Mumford and Shah 1989). Parts are whole regions that can be sawn and
//! pieces hang together by borders that are no necks, so what can be sawn stays so. It finds a minimum nearby, not the least.

use super::even::STEPS;
use super::graph::Graph;

/// What a length of border costs, as a share of the loss of colour for each length of it at the weak end of all borders. From
/// 0.5 to 1 the colour error grows by 7 %, at 0 borders on even ground come.
const PRICE: f64 = 0.5;

/// The weak end: this share of all borders is weaker.
const WEAK: f64 = 0.1;

/// Power of the common border's length when a piece is gathered into the two that it would be split into.
const SPLIT_POWER: f64 = 0.5;

/// Joins and splits looked at together, the best of each.
const LOOKED_AT: usize = 4;

/// Turns of shifts and exchanges; most pictures are done after three.
const TURNS: usize = 40;

/// What a step must gain at least: this share of the error of a place, so that rounding starts nothing.
const LEAST_GAIN: f64 = 1e-6;

/// Betters `into`: by region of `graph` the name of what it is gathered into, one of its own regions.
pub(super) fn exchange(graph: &Graph, into: &mut [u32]) {
    let mut pieces = Pieces::new(graph, into);
    pieces.set_price();
    for _ in 0..TURNS {
        let shifted = pieces.shift();
        if !pieces.exchange() && !shifted {
            break;
        }
    }
    for (piece, members) in pieces.members.iter().enumerate() {
        members.iter().for_each(|part| into[*part] = members[0] as u32);
        debug_assert!(members.iter().all(|part| pieces.of[*part] == piece));
    }
}

/// A region that is not parted.
struct Part {
    area: f64,
    mean: [f64; 3],
    variance: f64,
    /// Its area, weighed.
    weight: f64,
    beside: Vec<Beside>,
}

/// A part beside another.
#[derive(Clone, Copy)]
struct Beside {
    part: usize,
    /// Length of the border.
    length: f64,
    /// Whether both could hang together by it.
    wide: bool,
}

/// Members of a piece that could stand alone, and what is gained.
#[derive(Clone)]
struct Cut {
    gain: f64,
    away: Vec<usize>,
}

struct Pieces {
    parts: Vec<Part>,
    of: Vec<usize>,
    /// By piece; empty for a name that no piece bears.
    members: Vec<Vec<usize>>,
    costs: Vec<f64>,
    /// By piece its best split, as far as it was looked for.
    cuts: Vec<Option<Option<Cut>>>,
    price: f64,
}

impl Pieces {
    fn new(graph: &Graph, into: &[u32]) -> Pieces {
        let part = |node: &super::graph::Node| Part {
            area: node.sum.area as f64,
            mean: node.sum.of.map(|v| v as f64 / node.sum.area.max(1) as f64 / STEPS),
            variance: node.sum.variance() / (STEPS * STEPS),
            weight: node.weight,
            beside: Vec::new(),
        };
        let mut parts: Vec<Part> = graph.nodes().iter().map(part).collect();
        for link in graph.links().filter(|link| !link.is_inked()) {
            let [a, b] = link.ends.map(|end| end as usize);
            let (length, wide) = (f64::from(link.length), f64::from(link.broadest) >= graph.contact());
            parts[a].beside.push(Beside { part: b, length, wide });
            parts[b].beside.push(Beside { part: a, length, wide });
        }
        let of: Vec<usize> = into.iter().map(|name| *name as usize).collect();
        let mut members = vec![Vec::new(); parts.len()];
        of.iter().enumerate().for_each(|(part, piece)| members[*piece].push(part));
        let count = parts.len();
        let mut pieces = Pieces { parts, of, members, costs: vec![0.0; count], cuts: vec![None; count], price: 0.0 };
        (0..count).for_each(|piece| pieces.renew(piece));
        pieces
    }

    /// Distance from the mean colour, summed over the members' places.
    fn cost(&self, members: impl Iterator<Item = usize> + Clone) -> f64 {
        let (mut sum, mut area) = ([0.0; 3], 0.0);
        for part in members.clone().map(|part| &self.parts[part]) {
            (0..3).for_each(|k| sum[k] += part.mean[k] * part.area);
            area += part.area;
        }
        let mean = sum.map(|v| v / area);
        let far = |part: &Part| {
            let square: f64 = part.mean.iter().zip(mean).map(|(a, b)| (a - b) * (a - b)).sum();
            part.weight * (part.variance + square).sqrt()
        };
        members.map(|part| far(&self.parts[part])).sum()
    }

    fn cost_of(&self, members: &[usize]) -> f64 {
        if members.is_empty() { 0.0 } else { self.cost(members.iter().copied()) }
    }

    /// What joining two groups costs, border left out.
    fn loss(&self, a: &[usize], b: &[usize], apart: f64) -> f64 {
        self.cost(a.iter().chain(b).copied()) - apart
    }

    fn renew(&mut self, piece: usize) {
        self.costs[piece] = self.cost_of(&self.members[piece]);
        self.cuts[piece] = None;
    }

    /// The pairs of pieces that touch, over what length, and whether they could hang together.
    fn meetings(&self) -> Vec<(usize, usize, f64, bool)> {
        let mut all = Vec::new();
        for (part, piece) in self.of.iter().enumerate() {
            let beyond = self.parts[part].beside.iter().filter(|other| *piece < self.of[other.part]);
            all.extend(beyond.map(|other| (*piece, self.of[other.part], other.length, other.wide)));
        }
        all.sort_by_key(|(a, b, ..)| (*a, *b));
        all.dedup_by(|more, kept| {
            let same = (more.0, more.1) == (kept.0, kept.1);
            if same {
                kept.2 += more.2;
                kept.3 |= more.3;
            }
            same
        });
        all
    }

    fn set_price(&mut self) {
        let worth = |(a, b, length, _): (usize, usize, f64, bool)| {
            self.loss(&self.members[a], &self.members[b], self.costs[a] + self.costs[b]) / length
        };
        let mut worths: Vec<f64> = self.meetings().into_iter().map(worth).collect();
        worths.sort_by(f64::total_cmp);
        let weak = (worths.len().saturating_sub(1) as f64 * WEAK) as usize;
        self.price = PRICE * worths.get(weak).copied().unwrap_or(0.0);
    }

    /// Hands parts over to neighbours until nothing gains; whether anything moved.
    fn shift(&mut self) -> bool {
        let mut any = false;
        loop {
            let moved = (0..self.parts.len()).filter(|part| self.shift_part(*part)).count();
            if moved == 0 {
                return any;
            }
            any = true;
        }
    }

    fn shift_part(&mut self, part: usize) -> bool {
        let from = self.of[part];
        if self.members[from].len() < 2 {
            return false;
        }
        let (own, others) = self.lengths(part);
        if others.is_empty() {
            return false;
        }
        let rest: Vec<usize> = self.members[from].iter().copied().filter(|member| *member != part).collect();
        let left = self.cost_of(&rest);
        let gain = |(to, length, _): &(usize, f64, bool)| {
            let taken = self.cost(self.members[*to].iter().copied().chain([part]));
            self.costs[from] + self.costs[*to] - left - taken + self.price * (length - own)
        };
        let wide = others.iter().filter(|(.., wide)| *wide);
        let best = wide.map(|other| (gain(other), other.0)).max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((gained, to)) = best else { return false };
        if gained < LEAST_GAIN * self.parts[part].area || !self.hangs_together(&rest) {
            return false;
        }
        self.members[from] = rest;
        self.members[to].push(part);
        self.of[part] = to;
        [from, to].into_iter().for_each(|piece| self.renew(piece));
        true
    }

    /// The length of a part's border with its own piece, and with each other one; whether it could hang together with that.
    fn lengths(&self, part: usize) -> (f64, Vec<(usize, f64, bool)>) {
        let (mut own, mut others) = (0.0, Vec::<(usize, f64, bool)>::new());
        for beside in &self.parts[part].beside {
            let piece = self.of[beside.part];
            if piece == self.of[part] {
                own += beside.length;
            } else if let Some(other) = others.iter_mut().find(|other| other.0 == piece) {
                other.1 += beside.length;
                other.2 |= beside.wide;
            } else {
                others.push((piece, beside.length, beside.wide));
            }
        }
        (own, others)
    }

    fn hangs_together(&self, members: &[usize]) -> bool {
        let mut seen = vec![members[0]];
        let mut done = 0;
        while let Some(part) = seen.get(done).copied() {
            done += 1;
            for beside in self.parts[part].beside.iter().filter(|beside| beside.wide) {
                if members.contains(&beside.part) && !seen.contains(&beside.part) {
                    seen.push(beside.part);
                }
            }
        }
        seen.len() == members.len()
    }

    /// Joins two pieces and splits a third as long as that gains; whether anything changed.
    fn exchange(&mut self) -> bool {
        let mut any = false;
        while let Some((a, b, split)) = self.best_exchange() {
            let Some(Some(cut)) = self.cuts[split].take() else { return any };
            let joined = std::mem::take(&mut self.members[b]);
            joined.iter().for_each(|part| self.of[*part] = a);
            self.members[a].extend(joined);
            self.members[split].retain(|part| !cut.away.contains(part));
            cut.away.iter().for_each(|part| self.of[*part] = b);
            self.members[b] = cut.away;
            [a, b, split].into_iter().for_each(|piece| self.renew(piece));
            any = true;
        }
        any
    }

    /// The two pieces to join and the one to split that gain most.
    fn best_exchange(&mut self) -> Option<(usize, usize, usize)> {
        for piece in 0..self.members.len() {
            if self.cuts[piece].is_none() {
                self.cuts[piece] = Some(self.cut(&self.members[piece]));
            }
        }
        let wide = self.meetings().into_iter().filter(|(.., wide)| *wide);
        let loss = |(a, b, length, _): (usize, usize, f64, bool)| {
            let apart = self.costs[a] + self.costs[b] + self.price * length;
            (self.loss(&self.members[a], &self.members[b], apart), a, b)
        };
        let mut joins: Vec<(f64, usize, usize)> = wide.map(loss).collect();
        joins.sort_by(|a, b| a.0.total_cmp(&b.0));
        joins.truncate(LOOKED_AT);
        let gain = |(piece, cut): (usize, &Option<Option<Cut>>)| Some((cut.as_ref()?.as_ref()?.gain, piece));
        let mut cuts: Vec<(f64, usize)> = self.cuts.iter().enumerate().filter_map(gain).collect();
        cuts.sort_by(|a, b| b.0.total_cmp(&a.0));
        cuts.truncate(LOOKED_AT);
        let mut best = (LEAST_GAIN, None);
        for (loss, a, b) in joins {
            for (gain, split) in cuts.iter().filter(|(_, split)| *split != a && *split != b) {
                if gain - loss > best.0 {
                    best = (gain - loss, Some((a, b, *split)));
                }
            }
        }
        best.1
    }

    /// The members gathered into two.
    fn cut(&self, members: &[usize]) -> Option<Cut> {
        if members.len() < 2 {
            return None;
        }
        let mut groups: Vec<Vec<usize>> = members.iter().map(|part| vec![*part]).collect();
        let mut costs: Vec<f64> = groups.iter().map(|group| self.cost_of(group)).collect();
        let mut lengths = self.lengths_between(members);
        while groups.len() > 2 {
            let (_, i, j) = self.cheapest(&groups, &costs, &lengths)?;
            let gone = groups.swap_remove(j);
            groups[i].extend(gone);
            costs.swap_remove(j);
            costs[i] = self.cost_of(&groups[i]);
            join_lengths(&mut lengths, i, j);
        }
        let whole = self.cost_of(members);
        let gain = whole - costs[0] - costs[1] - self.price * self.border(&groups[0], &groups[1]);
        groups.pop().map(|away| Cut { gain, away })
    }

    /// The length of the border between two groups.
    fn border(&self, a: &[usize], b: &[usize]) -> f64 {
        let beside = a.iter().flat_map(|part| &self.parts[*part].beside);
        beside.filter(|beside| b.contains(&beside.part)).map(|beside| beside.length).sum()
    }

    /// The two groups that cost least to join, of those that could hang together; the lower first.
    fn cheapest(&self, groups: &[Vec<usize>], costs: &[f64], lengths: &[Vec<f64>]) -> Option<(f64, usize, usize)> {
        let pairs = (0..groups.len()).flat_map(|i| (i + 1..groups.len()).map(move |j| (i, j)));
        let touching = pairs.filter(|(i, j)| lengths[*i][*j] > 0.0);
        let loss = |(i, j): (usize, usize)| {
            let loss = self.loss(&groups[i], &groups[j], costs[i] + costs[j]);
            (loss / libm::pow(lengths[i][j], SPLIT_POWER), i, j)
        };
        touching.map(loss).min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Lengths of the borders by which members could hang together.
    fn lengths_between(&self, members: &[usize]) -> Vec<Vec<f64>> {
        let mut lengths = vec![vec![0.0; members.len()]; members.len()];
        for (i, part) in members.iter().enumerate() {
            for beside in self.parts[*part].beside.iter().filter(|beside| beside.wide) {
                if let Some(j) = members.iter().position(|member| *member == beside.part) {
                    lengths[i][j] = beside.length;
                }
            }
        }
        lengths
    }
}

/// Lengths once group `j` has gone into `i`, the last group taking the place of `j`.
fn join_lengths(lengths: &mut Vec<Vec<f64>>, i: usize, j: usize) {
    let gone = lengths.swap_remove(j);
    let last = lengths.len();
    for (k, row) in lengths.iter_mut().enumerate() {
        row.swap_remove(j);
        let from = if k == j { last } else { k };
        if k != i {
            row[i] += gone[from];
        }
    }
    for k in 0..lengths.len() {
        lengths[i][k] = if k == i { 0.0 } else { lengths[k][i] };
    }
}
