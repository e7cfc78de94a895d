//! The fewest colours such that no two joined nodes share one.
//!
//! A largest clique bounds the number from below, a DSATUR colouring (Brélaz 1979, *New methods to color the vertices
//! of a graph*) from above. Between them each number is tried by exact search, and where the search runs out of steps by
//! TabuCol (Hertz and de Werra 1987). Finding the number is NP-hard, so a bad graph can leave a number between the two
//! open; `Colouring::exact` says whether it did.

mod clique;
mod gather;
mod search;
mod tabu;

pub use clique::largest_clique;
pub use gather::gather;

/// An undirected graph without loops.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Graph {
    /// Each node's neighbours, ascending.
    near: Vec<Vec<usize>>,
}

impl Graph {
    /// The graph of `nodes` nodes with these edges, in any order, each any number of times.
    pub fn new(nodes: usize, edges: impl IntoIterator<Item = (usize, usize)>) -> Graph {
        let mut near = vec![Vec::new(); nodes];
        for (a, b) in edges.into_iter().filter(|(a, b)| a != b) {
            near[a].push(b);
            near[b].push(a);
        }
        for list in &mut near {
            list.sort_unstable();
            list.dedup();
        }
        Graph { near }
    }

    /// How many nodes there are.
    pub fn nodes(&self) -> usize {
        self.near.len()
    }

    /// A node's neighbours, ascending.
    pub fn near(&self, node: usize) -> &[usize] {
        &self.near[node]
    }

    /// Whether two nodes are joined.
    pub fn joined(&self, a: usize, b: usize) -> bool {
        self.near[a].binary_search(&b).is_ok()
    }
}

/// A colouring, and how good it is known to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Colouring {
    /// Each node's colour, from 0.
    pub colours: Vec<usize>,
    /// How many colours there are.
    pub number: usize,
    /// The largest clique found: no colouring has fewer colours than it has nodes.
    pub clique: Vec<usize>,
    /// Whether fewer colours are proved impossible.
    pub exact: bool,
}

/// Steps left; one is spent for each node looked at.
struct Steps(u64);

impl Steps {
    /// Spends some; false when there are not enough.
    fn spend(&mut self, many: usize) -> bool {
        let enough = self.0 >= many as u64;
        self.0 = self.0.saturating_sub(many as u64);
        enough
    }
}

/// What a search for a colouring with a given number came to.
enum Found {
    Colours(Vec<usize>),
    /// There is none.
    Never,
    OutOfSteps,
}

/// Colours a graph with as few colours as `steps` looks at nodes allow, for each number tried.
pub fn colouring(graph: &Graph, steps: u64) -> Colouring {
    let clique = largest_clique(graph, steps);
    let mut colours = search::greedy(graph);
    let mut number = colours.iter().max().map_or(0, |most| most + 1);
    let mut exact = true;
    while number > clique.len() {
        match search::search(graph, (number - 1, &clique), &mut Steps(steps)) {
            Found::Colours(found) => colours = found,
            Found::Never => break,
            Found::OutOfSteps => match tabu::tabu(graph, number - 1, &mut Steps(steps)) {
                Some(found) => colours = found,
                None => {
                    exact = false;
                    break;
                }
            },
        }
        number -= 1;
    }
    Colouring { colours, number, clique, exact }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const STEPS: u64 = 1_000_000;

    fn proper(graph: &Graph, colours: &[usize]) -> bool {
        (0..graph.nodes()).all(|a| graph.near(a).iter().all(|b| colours[a] != colours[*b]))
    }

    /// Whether every node can be given one of `number` colours, by trying all.
    fn can(graph: &Graph, number: usize, given: &mut Vec<usize>) -> bool {
        let node = given.len();
        if node == graph.nodes() {
            return true;
        }
        (0..number).any(|colour| {
            if graph.near(node).iter().any(|other| *other < node && given[*other] == colour) {
                return false;
            }
            given.push(colour);
            let found = can(graph, number, given);
            given.pop();
            found
        })
    }

    fn graph() -> impl Strategy<Value = Graph> {
        (1..10usize).prop_flat_map(|nodes| {
            prop::collection::vec((0..nodes, 0..nodes), 0..34).prop_map(move |edges| Graph::new(nodes, edges))
        })
    }

    proptest! {
        #[test]
        fn the_number_is_the_least(graph in graph()) {
            let found = colouring(&graph, STEPS);
            prop_assert!(found.exact && proper(&graph, &found.colours));
            prop_assert!(can(&graph, found.number, &mut Vec::new()));
            prop_assert!(!can(&graph, found.number - 1, &mut Vec::new()));
            prop_assert!(found.clique.iter().all(|a| found.clique.iter().all(|b| a == b || graph.joined(*a, *b))));
        }

        #[test]
        fn without_steps_it_is_still_a_colouring(graph in graph()) {
            let found = colouring(&graph, 0);
            prop_assert!(proper(&graph, &found.colours));
            prop_assert!(found.colours.iter().all(|colour| *colour < found.number));
        }

        #[test]
        fn tabu_finds_only_colourings(graph in graph()) {
            let number = colouring(&graph, STEPS).number;
            let found = tabu::tabu(&graph, number, &mut Steps(STEPS)).expect("small graphs are easy");
            prop_assert!(proper(&graph, &found) && found.iter().all(|colour| *colour < number));
            prop_assert!(number == 1 || tabu::tabu(&graph, number - 1, &mut Steps(20_000)).is_none());
        }
    }

    /// The Grötzsch graph: Mycielski's construction (1955, *Sur le coloriage des graphs*) on a ring of five has no triangle
    /// and needs one colour more than the ring.
    #[test]
    fn a_graph_without_triangles_can_need_four() {
        let ring = |i: usize| (i + 1) % 5;
        let mut edges: Vec<(usize, usize)> = (0..5).map(|i| (i, ring(i))).collect();
        edges.extend((0..5).flat_map(|i| [(5 + i, ring(i)), (5 + ring(i), i), (5 + i, 10)]));
        let found = colouring(&Graph::new(11, edges), STEPS);
        assert_eq!((found.number, found.clique.len(), found.exact), (4, 2, true));
    }

    #[test]
    fn no_nodes_need_no_colour() {
        assert_eq!(colouring(&Graph::new(0, []), STEPS).number, 0);
    }
}
