//! Prints random weighted Laplacians with anchors and our solutions, one JSON value a line, for a judge outside.
//!
//! `springs FIRST COUNT NODES`: each line is `{"seed", "ties": [[i, j, weight, step]], "anchors": [[i, weight, at]], "x"}`. Nodes
//! lie in a ragged grid, as touching pieces do; few are fixed, all are drawn slightly to a start, as marks are spread.

use measure::Dice;
use measure::solve::{Laplacian, conjugate_gradient};
use serde_json::{Value, json};

/// What the spread of depth marks draws each piece to its start by, against its ties.
const DRAW: f64 = 0.02;

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).map(|text| text.parse().expect("whole numbers")).collect();
    let [first, count, nodes] = numbers[..] else { panic!("FIRST COUNT NODES") };
    for seed in first..first + count {
        println!("{}", answer(seed, nodes as usize));
    }
}

fn answer(seed: u64, nodes: usize) -> Value {
    let mut dice = Dice::new(seed);
    let across = (nodes as f64).sqrt() as usize;
    let (mut system, mut ties, mut anchors) = (Laplacian::new(nodes), Vec::new(), Vec::new());
    let fixed: Vec<Option<f64>> =
        (0..nodes).map(|_| (dice.below(40) == 0).then(|| dice.between(12_000.0, 45_000.0))).collect();
    let start: Vec<f64> = (0..nodes).map(|_| dice.between(12_000.0, 45_000.0)).collect();
    for i in 0..nodes {
        for j in [i + 1, i + across, i + across + 1] {
            if j < nodes && dice.below(4) > 0 {
                let (weight, step) = (dice.between(0.5, 90.0), dice.between(-3_000.0, 3_000.0));
                system.tie(i, j, weight, step);
                ties.push(json!([i, j, weight, step]));
                anchors.extend([(i, DRAW * weight, start[i]), (j, DRAW * weight, start[j])]);
            }
        }
        anchors.extend(fixed[i].map(|at| (i, 1_000.0, at)));
    }
    anchors.iter().for_each(|&(i, weight, at)| system.anchor(i, weight, at));
    let x = conjugate_gradient(&system, &start, 1e-12);
    json!({"seed": seed, "start": start, "ties": ties, "anchors": anchors, "x": x})
}
