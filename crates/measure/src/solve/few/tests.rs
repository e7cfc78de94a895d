//! Small problems whose best answer can be had by trying everything.

use super::*;
use crate::{Dice, Watch};

fn problem(seed: u64, limited: bool) -> Few {
    let mut dice = Dice::new(seed);
    let (nodes, labels) = (6, 6);
    let node = |dice: &mut Dice| Node {
        cost: (0..labels).map(|_| dice.between(0.0, 10.0)).collect(),
        size: dice.between(1.0, 5.0),
    };
    let mut few =
        Few { labels, most: 3, opening: vec![0.0; labels], room: vec![f64::INFINITY; labels], ..Few::default() };
    few.nodes = (0..nodes).map(|_| node(&mut dice)).collect();
    few.kinds = (0..3).map(|_| (0..labels * labels).map(|_| dice.between(0.0, 4.0)).collect()).collect();
    for two in 1..nodes {
        for one in [two - 1, two / 2].into_iter().filter(|one| *one != two) {
            few.pairs.push(Pair { one, two, kind: dice.below(3), weight: dice.between(0.1, 2.0) });
        }
    }
    if seed.is_multiple_of(3) {
        few.opening = (0..labels).map(|_| dice.between(0.0, 3.0)).collect();
        few.held.insert(dice.below(labels));
    }
    if limited {
        few.room =
            (0..labels).map(|_| if dice.below(2) == 0 { dice.between(3.0, 8.0) } else { f64::INFINITY }).collect();
    }
    few
}

fn everything(few: &Few) -> Option<f64> {
    let n = few.nodes.len() as u32;
    let of = |at: usize| (0..n).map(|p| at / few.labels.pow(p) % few.labels).collect::<Vec<_>>();
    (0..few.labels.pow(n)).filter_map(|at| few.cost(&of(at))).min_by(f64::total_cmp)
}

fn ours(few: &Few, rounds: usize) -> Option<f64> {
    let found = super::few(few, Effort { seed: 1, rounds }, Watch::silent())?;
    assert_eq!(few.cost(&found.label), Some(found.cost), "the cost is that of its labels, and its rooms hold");
    Some(found.cost)
}

/// Against every one of 6⁶ answers.
#[test]
fn small_problems_come_out_as_good_as_trying_everything() {
    for seed in 0..40 {
        let few = problem(seed, seed % 2 == 1);
        match (ours(&few, 10), everything(&few)) {
            (Some(ours), Some(exact)) => assert!((ours - exact).abs() < 1e-6, "seed {seed}: {ours} {exact}"),
            (ours, exact) => assert_eq!(ours, exact, "seed {seed}"),
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_labels_and_no_nodes_no_cost() {
    let few = problem(3, true);
    let answer = || super::few(&few, Effort { seed: 9, rounds: 3 }, Watch::silent());
    assert_eq!(answer(), answer());
    assert_eq!(super::few(&Few::default(), Effort { seed: 0, rounds: 0 }, Watch::silent()).expect("nothing").cost, 0.0);
}

#[test]
fn without_room_there_is_no_answer() {
    let mut few = problem(1, false);
    few.room = vec![0.5; few.labels];
    assert_eq!(ours(&few, 2), None);
}
