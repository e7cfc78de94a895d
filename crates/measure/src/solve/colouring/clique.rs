//! A largest clique: branch and bound over candidates in degeneracy order (Carraghan and Pardalos 1990).

use super::{Graph, Steps};

/// The largest clique found within `steps`: the largest there is unless they run out. On graphs with few neighbours a
/// node, such as patterns, they do not.
pub fn largest_clique(graph: &Graph, steps: u64) -> Vec<usize> {
    let order = degeneracy_order(graph);
    let mut place = vec![0; graph.nodes()];
    order.iter().enumerate().for_each(|(at, node)| place[*node] = at);
    let mut search = Search { graph, steps: Steps(steps), best: order.first().copied().into_iter().collect() };
    for (at, &node) in order.iter().enumerate() {
        let later: Vec<usize> = graph.near(node).iter().copied().filter(|other| place[*other] > at).collect();
        search.grow(&mut vec![node], &later);
    }
    search.best.sort_unstable();
    search.best
}

struct Search<'a> {
    graph: &'a Graph,
    steps: Steps,
    best: Vec<usize>,
}

impl Search<'_> {
    fn grow(&mut self, clique: &mut Vec<usize>, candidates: &[usize]) {
        if clique.len() > self.best.len() {
            self.best.clone_from(clique);
        }
        for (at, &node) in candidates.iter().enumerate() {
            let hope = clique.len() + candidates.len() - at;
            if hope <= self.best.len() || !self.steps.spend(candidates.len()) {
                return;
            }
            let rest: Vec<usize> =
                candidates[at + 1..].iter().copied().filter(|other| self.graph.joined(node, *other)).collect();
            clique.push(node);
            self.grow(clique, &rest);
            clique.pop();
        }
    }
}

/// Nodes in the order in which one of least degree is taken away each time.
fn degeneracy_order(graph: &Graph) -> Vec<usize> {
    let mut degree: Vec<usize> = (0..graph.nodes()).map(|node| graph.near(node).len()).collect();
    let mut left: std::collections::BTreeSet<(usize, usize)> = degree.iter().copied().zip(0..).collect();
    let mut order = Vec::with_capacity(graph.nodes());
    while let Some((_, node)) = left.pop_first() {
        order.push(node);
        for &other in graph.near(node) {
            if left.remove(&(degree[other], other)) {
                degree[other] -= 1;
                left.insert((degree[other], other));
            }
        }
    }
    order
}
