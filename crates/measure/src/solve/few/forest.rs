//! A random forest of nodes settled exactly while all others stay (Hamze and de Freitas 2004).

use super::net::{Net, State};
use crate::Dice;

/// A node of the forest after its parent.
struct Leaf {
    node: usize,
    parent: Option<usize>,
}

/// Settles a random forest with the labels of `set`; each unit of a node's size costs its label's price besides.
pub(super) fn settle_forest(net: &Net, set: &[usize], prices: &[f64], (state, dice): (&mut State, &mut Dice)) {
    let forest = grow(net, dice);
    let (best, choice) = down(net, set, prices, (state, &forest));
    for leaf in &forest {
        let at = match leaf.parent {
            None => least(&best[leaf.node]),
            Some(parent) => {
                let label = state.label[parent];
                let place =
                    set.iter().position(|l| *l == label).expect("the parent was settled with a label of the set");
                choice[leaf.node][place]
            }
        };
        state.put(leaf.node, net.few.nodes[leaf.node].size, set[at]);
    }
}

/// Takes nodes in a random order, each that closes no ring with those taken; parents first.
fn grow(net: &Net, dice: &mut Dice) -> Vec<Leaf> {
    let n = net.beside.len();
    let mut order: Vec<usize> = (0..n).collect();
    dice.shuffle(&mut order);
    let mut tree: Vec<Option<usize>> = vec![None; n];
    for (id, &node) in order.iter().enumerate() {
        let mut near: Vec<(usize, usize)> =
            net.beside[node].iter().filter_map(|beside| Some((tree[beside.other]?, beside.other))).collect();
        near.sort_unstable();
        near.dedup();
        if near.windows(2).all(|pair| pair[0].0 != pair[1].0) {
            tree[node] = Some(id);
            for (other, _) in near {
                tree.iter_mut().filter(|t| **t == Some(other)).for_each(|t| *t = Some(id));
            }
        }
    }
    rooted(net, &order, &tree)
}

fn rooted(net: &Net, order: &[usize], tree: &[Option<usize>]) -> Vec<Leaf> {
    let mut seen: Vec<bool> = tree.iter().map(Option::is_none).collect();
    let mut row = Vec::new();
    for &root in order {
        if std::mem::replace(&mut seen[root], true) {
            continue;
        }
        let mut at = row.len();
        row.push(Leaf { node: root, parent: None });
        while at < row.len() {
            let parent = row[at].node;
            for beside in &net.beside[parent] {
                if !std::mem::replace(&mut seen[beside.other], true) {
                    row.push(Leaf { node: beside.other, parent: Some(parent) });
                }
            }
            at += 1;
        }
    }
    row
}

/// For each node the cost of each label with all below it at their best; and for each label of its parent the place of
/// its own best label.
fn down(
    net: &Net,
    set: &[usize],
    prices: &[f64],
    (state, forest): (&State, &[Leaf]),
) -> (Vec<Vec<f64>>, Vec<Vec<usize>>) {
    let n = state.label.len();
    let mut inside = vec![false; n];
    forest.iter().for_each(|leaf| inside[leaf.node] = true);
    let mut best: Vec<Vec<f64>> = vec![Vec::new(); n];
    for leaf in forest {
        best[leaf.node] = set.iter().map(|label| alone(net, prices, (state, &inside), (leaf.node, *label))).collect();
    }
    let mut choice: Vec<Vec<usize>> = vec![Vec::new(); n];
    for leaf in forest.iter().rev() {
        let Some(parent) = leaf.parent else { continue };
        for (place, theirs) in set.iter().enumerate() {
            let (at, cost) = towards(net, set, &best[leaf.node], (leaf.node, parent, *theirs));
            best[parent][place] += cost;
            choice[leaf.node].push(at);
        }
    }
    (best, choice)
}

/// What a node costs against all that lie outside of the forest.
fn alone(net: &Net, prices: &[f64], (state, inside): (&State, &[bool]), (node, label): (usize, usize)) -> f64 {
    let outside = net.beside[node].iter().filter(|beside| !inside[beside.other]);
    let pairs: f64 = outside.map(|beside| net.pair(beside, label, state.label[beside.other])).sum();
    net.few.nodes[node].cost[label] + prices[label] * net.few.nodes[node].size + pairs
}

/// The best label's place for a node whose parent has the label `theirs`, and what it costs.
fn towards(net: &Net, set: &[usize], mine: &[f64], (node, parent, theirs): (usize, usize, usize)) -> (usize, f64) {
    let mut costs = mine.to_vec();
    for beside in net.beside[node].iter().filter(|beside| beside.other == parent) {
        costs.iter_mut().zip(set).for_each(|(cost, label)| *cost += net.pair(beside, *label, theirs));
    }
    let at = least(&costs);
    (at, costs[at])
}

fn least(costs: &[f64]) -> usize {
    (0..costs.len()).fold(0, |best, at| if costs[at] < costs[best] { at } else { best })
}
