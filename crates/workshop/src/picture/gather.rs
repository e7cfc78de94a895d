//! The base gathered into pieces: merged by halves down to the number asked, and bettered by exchange at each.
//!
//! Each gathering is made of whole pieces of the one before it, and the numbers at which it is bettered are the same whatever is
//! asked, so the borders of few pieces are among those of many.

use super::exchange::exchange;
use super::graph::Graph;
use super::grid::number;

/// Numbers at which a gathering is bettered on the way: this one, twice, four times it and so on.
const LOWEST: usize = 25;

/// Where each region of `graph` goes when about `asked` are to be left, counted from 0 in order, and how many are left.
pub(super) fn gathered(graph: &Graph, asked: usize) -> (Vec<u32>, u32) {
    let count = graph.nodes().len();
    let mut into: Vec<u32> = (0..count as u32).collect();
    let mut left = count as u32;
    let mut here = graph.clone();
    for step in steps(count, asked) {
        let mut names = merges(here.clone(), left, step);
        exchange(&here, &mut names);
        let own: Vec<u32> = (0..left).collect();
        let (dense, fewer) = number(&own, &names);
        into.iter_mut().for_each(|region| *region = dense[*region as usize]);
        here = here.gathered(&dense, fewer);
        left = fewer;
    }
    (into, left)
}

/// The numbers on the way from `count` to `asked`, which comes last.
fn steps(count: usize, asked: usize) -> Vec<usize> {
    let between = |step: &usize| *step > asked && *step < count;
    let mut steps: Vec<usize> = (0..16).map(|k| LOWEST << k).filter(between).collect();
    steps.reverse();
    steps.push(asked);
    steps
}

/// Where each region goes when the cheapest are merged until `asked` are left, and such as no two woods would show.
pub(super) fn merges(mut graph: Graph, count: u32, asked: usize) -> Vec<u32> {
    let mut merges = Vec::new();
    while graph.alive() > asked {
        let Some((pair, _)) = graph.merge() else { break };
        merges.push(pair);
    }
    while let Some(pair) = graph.merge_alike() {
        merges.push(pair);
    }
    let mut into: Vec<u32> = (0..count).collect();
    for &(big, small) in merges.iter().rev() {
        into[small as usize] = into[big as usize];
    }
    into
}
