//! Exact solvers over integers, and one over reals.
//!
//! `network`: weighted L1 over difference rows. `conflict`: why rows cannot all hold. `cut`: a minimum cut.
//! `levels`: the cheapest choice from lists under difference rows, by one cut; `kinds`: the same by few kinds of level.
//! `gradient`: a symmetric linear system.
//! `colouring`: the fewest colours of a graph. `few`: few labels for many nodes, by search.
//! None depends on hash order, threads or the platform's mathematics.

mod colouring;
mod conflict;
mod cut;
mod few;
mod gradient;
mod kinds;
mod levels;
mod network;
mod row;

pub use colouring::{Colouring, Graph, colouring, gather, largest_clique};
pub use conflict::positive_cycle;
pub use cut::Cut;
pub use few::{Effort, Few, Labelled, Node, Pair, few};
pub use gradient::{Laplacian, conjugate_gradient};
pub use kinds::{ByFew, Offer, by_few_kinds};
pub use levels::{Levels, cheapest, cheapest_then, lowest_levels, stuck};
pub use network::{Unsolved, cost, solve};
pub use row::{GROUND, Price, Row};
