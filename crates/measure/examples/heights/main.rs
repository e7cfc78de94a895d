//! Prints random height problems with our answers, one JSON value a line, for a judge outside.
//!
//! `heights FIRST COUNT [PIECES RELATIONS]`: the jobs of COUNT seeds from FIRST on. Each line is
//! `{"seed", "nodes", "rows": [[low, high, by, weight or null for a must]], "cost" or null, "conflict" or null,
//! "seconds"}`; node 0 is the ground; a row says x[high] − x[low] ≥ by; `conflict` names rows by their place.

use std::time::Instant;

use measure::solve::{Price, Row, Unsolved, cost, solve};
use serde_json::{Value, json};

mod jobs;

fn main() {
    let numbers: Vec<u64> =
        std::env::args().skip(1).map(|text| text.parse().expect("FIRST COUNT [PIECES RELATIONS]")).collect();
    let (first, count, size) = match numbers[..] {
        [first, count] => (first, count, None),
        [first, count, pieces, relations] => (first, count, Some((pieces as i64, relations as i64))),
        _ => panic!("FIRST COUNT [PIECES RELATIONS]"),
    };
    for seed in first..first + count {
        println!("{}", answer(seed, &jobs::job(seed, size)));
    }
}

fn answer(seed: u64, job: &jobs::Job) -> Value {
    let begun = Instant::now();
    let solved = solve(job.nodes, &job.rows);
    let seconds = begun.elapsed().as_secs_f64();
    let (cost, conflict) = match solved {
        Ok(x) => (cost(&job.rows, &x), None),
        Err(Unsolved::Conflict(rows)) => (None, Some(rows)),
        Err(Unsolved::OutOfRange) => panic!("the jobs stay within what can be computed"),
    };
    let rows: Vec<Value> = job.rows.iter().map(row).collect();
    let cost = cost.map(|cost| i64::try_from(cost).expect("costs of these jobs fit"));
    json!({"seed": seed, "nodes": job.nodes, "rows": rows, "cost": cost, "conflict": conflict, "seconds": seconds})
}

fn row(row: &Row) -> Value {
    let weight = match row.price {
        Price::Must => None,
        Price::Wish(weight) => Some(weight),
    };
    json!([row.low, row.high, row.by, weight])
}
