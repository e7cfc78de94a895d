//! Prints random problems of heights on stock under a limit on planer settings, with our answers, one JSON value a line,
//! for a judge outside.
//!
//! `settings FIRST COUNT PIECES THICKNESSES RELATIONS WISHES MOST`: of the relations WISHES in a hundred are wishes; at most
//! MOST thicknesses, or as many more as the musts need. Each line is `{"seed", "nodes": [[[at, cost, thickness] …] …],
//! "rows": [[low, high, by, weight or null]], "cost" or null, "used", "proved", "seconds"}`; node 0 is the ground, and of
//! its one level the thickness is null.

use std::time::Instant;

use measure::solve::{ByFew, Levels, Offer, Price, Row, by_few_kinds};
use serde_json::{Value, json};

/// Raisers, µm.
const RAISERS: [i64; 2] = [0, 3_000];

/// A level, what it costs, and the thickness that it is of.
type Way = (i64, i64, Option<usize>);

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).map(|text| text.parse().expect("whole numbers")).collect();
    let [first, count, pieces, thicknesses, relations, wishes, most] = numbers[..] else {
        panic!("FIRST COUNT PIECES THICKNESSES RELATIONS WISHES MOST")
    };
    for seed in first..first + count {
        let job = job(seed, (pieces, thicknesses, relations), wishes as i64);
        println!("{}", answer(seed, &job, (thicknesses as usize, most as usize)));
    }
}

/// SplitMix64 (Steele, Lea, Flood 2014), from `least` to `most`.
fn within(state: &mut u64, least: i64, most: i64) -> i64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    least + ((z ^ (z >> 31)) % (most - least + 1) as u64) as i64
}

/// Every piece may be of any thickness on any raiser, and is drawn to a height of its own. One hidden choice keeps the
/// musts; in every other job that choice itself uses few thicknesses.
fn job(seed: u64, (pieces, thicknesses, relations): (u64, u64, u64), wishes: i64) -> (Vec<Vec<Way>>, Vec<Row>) {
    let mut dice = seed;
    let mut thick: Vec<i64> = Vec::new();
    while thick.len() < thicknesses as usize {
        let one = 500 * within(&mut dice, 20, 80);
        if !thick.contains(&one) {
            thick.push(one);
        }
    }
    let (mut nodes, mut hidden) = (vec![vec![(0, 0, None)]], vec![0]);
    let few = if within(&mut dice, 1, 2) == 1 { thick.len().min(3) } else { thick.len() };
    for _ in 0..pieces {
        let near = within(&mut dice, 10_000, 49_000);
        let way = |kind: usize, raiser: i64| {
            let at = thick[kind] + raiser;
            (at, (at - near).abs() + if raiser > 0 { 400 } else { 0 }, Some(kind))
        };
        nodes.push((0..thick.len()).flat_map(|kind| RAISERS.map(|raiser| way(kind, raiser))).collect());
        let raiser = RAISERS[within(&mut dice, 0, 1) as usize];
        hidden.push(thick[within(&mut dice, 0, few as i64 - 1) as usize] + raiser);
    }
    let mut rows = Vec::new();
    for _ in 0..relations {
        let (low, high) = (within(&mut dice, 1, pieces as i64) as usize, within(&mut dice, 1, pieces as i64) as usize);
        let step = hidden[high] - hidden[low];
        match within(&mut dice, 0, 99) {
            k if k >= wishes => rows.push(Row::must(low, high, step - within(&mut dice, 0, 3_000))),
            k if k % 3 == 0 => rows.extend(Row::exactly(low, high, within(&mut dice, -9_000, 9_000), Price::Wish(2))),
            _ => rows.push(Row::wish(low, high, within(&mut dice, 0, 9_000), within(&mut dice, 1, 5))),
        }
    }
    (nodes, rows)
}

/// The levels that the allowed thicknesses give, each height once by its cheapest way.
fn offer(nodes: &[Vec<Way>], allowed: &[bool]) -> Option<Offer> {
    let mut offer = Offer { levels: Vec::new(), kinds: Vec::new() };
    for ways in nodes {
        let mut kept: Vec<Way> =
            ways.iter().filter(|(.., kind)| kind.is_none_or(|kind| allowed[kind])).copied().collect();
        kept.sort_unstable();
        kept.dedup_by_key(|(at, ..)| *at);
        if kept.is_empty() {
            return None;
        }
        let (at, costs) = kept.iter().map(|(at, cost, _)| (*at, *cost)).unzip();
        offer.levels.push(Levels { at, costs });
        offer.kinds.push(kept.iter().map(|(.., kind)| *kind).collect());
    }
    Some(offer)
}

fn answer(seed: u64, (nodes, rows): &(Vec<Vec<Way>>, Vec<Row>), few: (usize, usize)) -> Value {
    let begun = Instant::now();
    let found = by_few_kinds(few, rows, |allowed| offer(nodes, allowed));
    let seconds = begun.elapsed().as_secs_f64();
    let used = |found: &ByFew| found.allowed.iter().filter(|allowed| **allowed).count();
    let cost = found.as_ref().map(|found| i64::try_from(found.cost).expect("costs of these jobs fit"));
    let rows: Vec<Value> = rows.iter().map(row).collect();
    json!({"seed": seed, "nodes": nodes, "rows": rows, "cost": cost, "used": found.as_ref().map(used),
        "proved": found.map(|found| found.proved), "seconds": seconds})
}

fn row(row: &Row) -> Value {
    let weight = match row.price {
        Price::Must => None,
        Price::Wish(weight) => Some(weight),
    };
    json!([row.low, row.high, row.by, weight])
}
