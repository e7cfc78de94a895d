//! The cheapest choice of a level for each node from its own list, under difference rows, by one minimum cut.
//!
//! Hochbaum (2001, *An efficient algorithm for image segmentation, Markov random fields and related problems*); Ahuja,
//! Hochbaum and Orlin (2004); Ishikawa (2003). A cut node (i, k) says "i stands at level k or above". The costs of a
//! node's own levels may have any form; a must becomes unlimited arcs, a wish arcs that carry its price for each
//! stretch between levels, so both are exact.

use std::collections::BTreeSet;

use super::cut::Cut;
use super::row::{Price, Row};

/// The levels that a node may take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Levels {
    /// Ascending, none twice, at least one.
    pub at: Vec<i64>,
    /// What each costs; as many.
    pub costs: Vec<i64>,
}

impl Levels {
    /// One level that costs nothing.
    pub fn fixed(at: i64) -> Levels {
        Levels { at: vec![at], costs: vec![0] }
    }

    /// The place of the lowest level at or above `height`.
    fn from(&self, height: i64) -> usize {
        self.at.partition_point(|level| *level < height)
    }
}

/// The place of each node's level in its list, least in cost and then lowest; `None` when the musts leave no choice.
/// The ground is a node with the one level 0. Weight × distance, summed over all rows, must stay below 2⁶⁰.
pub fn cheapest(nodes: &[Levels], rows: &[Row]) -> Option<Vec<usize>> {
    lowest_levels(nodes, rows)?;
    Some(Net::whole(nodes, rows).choose())
}

/// Of all cheapest choices the one whose levels cost least by the `second` costs of each node, then the lowest.
/// The sum of the second costs must stay below 2⁶⁰.
pub fn cheapest_then(nodes: &[Levels], rows: &[Row], second: &[Vec<i64>]) -> Option<Vec<usize>> {
    lowest_levels(nodes, rows)?;
    let mut net = Net::whole(nodes, rows);
    net.cut = net.cut.among_cheapest();
    second.iter().enumerate().for_each(|(node, costs)| net.own(node, costs));
    Some(net.choose())
}

/// The place of the lowest level of each node that keeps every must; `None` when the musts leave no choice.
pub fn lowest_levels(nodes: &[Levels], rows: &[Row]) -> Option<Vec<usize>> {
    raise(nodes, rows, |_, _| {}).ok()
}

/// The places of rows that leave no choice among them, ascending; `None` when there is a choice. It may be had with fewer:
/// these are all that had a part in lifting the node for which nothing is left.
pub fn stuck(nodes: &[Levels], rows: &[Row]) -> Option<Vec<usize>> {
    let mut lifted: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); nodes.len()];
    let last = raise(nodes, rows, |node, row| {
        lifted[node].insert(row);
    })
    .err()?;
    let (mut found, mut open) = (BTreeSet::from([last]), vec![rows[last].low]);
    while let Some(node) = open.pop() {
        for row in std::mem::take(&mut lifted[node]) {
            found.insert(row);
            open.push(rows[row].low);
        }
    }
    Some(found.into_iter().collect())
}

/// Lifts nodes, each to the lowest level that the musts leave; `lifts` is told the node and the row each time. The row for
/// which no level is left is the error.
fn raise(nodes: &[Levels], rows: &[Row], mut lifts: impl FnMut(usize, usize)) -> Result<Vec<usize>, usize> {
    let mut place = vec![0; nodes.len()];
    let musts: Vec<(usize, &Row)> = rows.iter().enumerate().filter(|(_, row)| row.price == Price::Must).collect();
    loop {
        let mut raised = false;
        for (at, row) in &musts {
            let least = nodes[row.high].from(nodes[row.low].at[place[row.low]] + row.by);
            if least >= nodes[row.high].at.len() {
                return Err(*at);
            }
            if least > place[row.high] {
                place[row.high] = least;
                lifts(row.high, *at);
                raised = true;
            }
        }
        if !raised {
            return Ok(place);
        }
    }
}

/// Where a level stands in the cut.
enum Spot {
    /// At or above the lowest: always.
    Always,
    Node(usize),
    /// Above the highest: never.
    Never,
}

struct Net<'a> {
    nodes: &'a [Levels],
    /// The cut node of each node's second level; one more at the end.
    first: Vec<usize>,
    cut: Cut,
}

impl Net<'_> {
    fn new(nodes: &[Levels]) -> Net<'_> {
        let mut first = vec![0];
        for levels in nodes {
            first.push(first[first.len() - 1] + levels.at.len() - 1);
        }
        Net { nodes, cut: Cut::new(first[nodes.len()]), first }
    }

    fn whole<'a>(nodes: &'a [Levels], rows: &[Row]) -> Net<'a> {
        let mut net = Net::new(nodes);
        for (node, levels) in nodes.iter().enumerate() {
            net.own(node, &levels.costs);
            for above in net.first[node] + 1..net.first[node + 1] {
                net.cut.part(above, above - 1, Cut::UNLIMITED);
            }
        }
        for row in rows {
            match row.price {
                Price::Must => net.must(row),
                Price::Wish(weight) => net.wish(row, weight),
            }
        }
        net
    }

    /// What the levels of a node cost.
    fn own(&mut self, node: usize, costs: &[i64]) {
        for (k, pair) in costs.windows(2).enumerate() {
            self.cut.pay(self.first[node] + k, pair[1] - pair[0]);
        }
    }

    /// The place of each node's level, by the cut.
    fn choose(self) -> Vec<usize> {
        let side = self.cut.source_side();
        let level = |ends: &[usize]| side[ends[0]..ends[1]].iter().filter(|above| **above).count();
        self.first.windows(2).map(level).collect()
    }

    /// "The node stands at `height` or above."
    fn spot(&self, node: usize, height: i64) -> Spot {
        match self.nodes[node].from(height) {
            0 => Spot::Always,
            k if k == self.nodes[node].at.len() => Spot::Never,
            k => Spot::Node(self.first[node] + k - 1),
        }
    }

    /// If `low` stands at a level, `high` stands `by` above it.
    fn must(&mut self, row: &Row) {
        let mut last = 0;
        for (k, level) in self.nodes[row.low].at.iter().enumerate() {
            let place = self.nodes[row.high].from(level + row.by);
            if k == 0 || place != last {
                self.charge((row.low, *level), (row.high, level + row.by), Cut::UNLIMITED);
            }
            last = place;
        }
    }

    /// The distance missed is the length of the heights h with low + by ≥ h > high; between two neighbouring levels of
    /// either side all of them are missed together.
    fn wish(&mut self, row: &Row, weight: i64) {
        let lifted = self.nodes[row.low].at.iter().map(|level| level + row.by);
        let mut ends: Vec<i64> = lifted.chain(self.nodes[row.high].at.iter().copied()).collect();
        ends.sort_unstable();
        ends.dedup();
        for pair in ends.windows(2) {
            self.charge((row.low, pair[1] - row.by), (row.high, pair[1]), weight * (pair[1] - pair[0]));
        }
    }

    /// What it costs that one node stands at a height or above and another stands below one.
    fn charge(&mut self, (low, reached): (usize, i64), (high, missed): (usize, i64), cost: i64) {
        match (self.spot(low, reached), self.spot(high, missed)) {
            (Spot::Never, _) | (_, Spot::Always) | (Spot::Always, Spot::Never) => {}
            (Spot::Always, Spot::Node(high)) => self.cut.pay(high, -cost),
            (Spot::Node(low), Spot::Never) => self.cut.pay(low, cost),
            (Spot::Node(low), Spot::Node(high)) => self.cut.part(low, high, cost),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::network::cost;
    use super::*;

    fn levels() -> impl Strategy<Value = Levels> {
        prop::collection::btree_set(0..12i64, 1..4).prop_flat_map(|at| {
            let at: Vec<i64> = at.into_iter().collect();
            prop::collection::vec(0..6i64, at.len()).prop_map(move |costs| Levels { at: at.clone(), costs })
        })
    }

    fn row() -> impl Strategy<Value = Row> {
        let price = prop_oneof![Just(Price::Must), (0..4i64).prop_map(Price::Wish)];
        (0..4usize, 0..4usize, -6..6i64, price).prop_map(|(low, high, by, price)| Row { low, high, by, price })
    }

    fn whole(nodes: &[Levels], rows: &[Row], places: &[usize]) -> Option<i128> {
        let x: Vec<i64> = nodes.iter().zip(places).map(|(levels, k)| levels.at[*k]).collect();
        let own: i64 = nodes.iter().zip(places).map(|(levels, k)| levels.costs[*k]).sum();
        Some(cost(rows, &x)? + i128::from(own))
    }

    proptest! {
        #[test]
        fn equals_trying_every_choice(
            some in prop::collection::vec(levels(), 3),
            rows in prop::collection::vec(row(), 0..7),
        ) {
            let mut nodes = vec![Levels::fixed(0)];
            nodes.extend(some);
            let mut best: Option<i128> = None;
            for a in 0..nodes[1].at.len() {
                for b in 0..nodes[2].at.len() {
                    for c in 0..nodes[3].at.len() {
                        best = [best, whole(&nodes, &rows, &[0, a, b, c])].into_iter().flatten().min();
                    }
                }
            }
            let ours = cheapest(&nodes, &rows);
            prop_assert_eq!(ours.and_then(|places| whole(&nodes, &rows, &places)), best);
        }

        #[test]
        fn what_is_stuck_is_stuck_without_the_rest(
            some in prop::collection::vec(levels(), 3),
            rows in prop::collection::vec(row(), 0..9),
        ) {
            let mut nodes = vec![Levels::fixed(0)];
            nodes.extend(some);
            match stuck(&nodes, &rows) {
                None => prop_assert!(lowest_levels(&nodes, &rows).is_some()),
                Some(named) => {
                    let alone: Vec<Row> = named.iter().map(|at| rows[*at]).collect();
                    prop_assert!(alone.iter().all(|row| row.price == Price::Must));
                    prop_assert!(lowest_levels(&nodes, &alone).is_none());
                }
            }
        }
    }
}
