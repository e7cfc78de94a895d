//! Prints random problems of heights on stock with our answers, one JSON value a line, for a judge outside.
//!
//! `levels FIRST COUNT PIECES LEVELS RELATIONS WISHES`: of the relations WISHES in a hundred are wishes. Each line is `{"seed", "nodes": [[[at, cost] …] …], "rows": [[low, high,
//! by, weight or null]], "cost" or null, "seconds"}`; node 0 is the ground.

use std::time::Instant;

use measure::solve::{Levels, Price, Row, cheapest, cost};
use serde_json::{Value, json};

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).map(|text| text.parse().expect("whole numbers")).collect();
    let [first, count, pieces, levels, relations, wishes] = numbers[..] else {
        panic!("FIRST COUNT PIECES LEVELS RELATIONS WISHES")
    };
    for seed in first..first + count {
        println!("{}", answer(seed, &job(seed, (pieces, levels, relations), wishes as i64)));
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

/// Lists of levels with costs of any form; relations that one hidden choice keeps, save in one job of four.
fn job(seed: u64, (pieces, levels, relations): (u64, u64, u64), wishes: i64) -> (Vec<Levels>, Vec<Row>) {
    let mut dice = seed;
    let mut nodes = vec![Levels::fixed(0)];
    let mut hidden = vec![0];
    for _ in 0..pieces {
        let mut at: Vec<i64> = (0..levels).map(|_| 500 * within(&mut dice, 3, 90)).collect();
        at.sort_unstable();
        at.dedup();
        let near = within(&mut dice, 1_500, 45_000);
        let costs = at.iter().map(|at| (at - near).abs() + 400 * within(&mut dice, 0, 3)).collect();
        hidden.push(at[within(&mut dice, 0, at.len() as i64 - 1) as usize]);
        nodes.push(Levels { at, costs });
    }
    let spoilt = within(&mut dice, 1, 4) == 1;
    let mut rows = Vec::new();
    for _ in 0..relations {
        let (low, high) = (within(&mut dice, 1, pieces as i64) as usize, within(&mut dice, 1, pieces as i64) as usize);
        let step = hidden[high] - hidden[low];
        match within(&mut dice, 0, 99) {
            k if k >= wishes && spoilt => rows.push(Row::must(low, high, step + within(&mut dice, -3_000, 9_000))),
            k if k >= wishes => rows.push(Row::must(low, high, step - within(&mut dice, 0, 9_000))),
            k if k % 3 == 0 => rows.extend(Row::exactly(low, high, within(&mut dice, -9_000, 9_000), Price::Wish(2))),
            _ => rows.push(Row::wish(low, high, within(&mut dice, 0, 9_000), within(&mut dice, 1, 5))),
        }
    }
    (nodes, rows)
}

fn answer(seed: u64, (nodes, rows): &(Vec<Levels>, Vec<Row>)) -> Value {
    let begun = Instant::now();
    let places = cheapest(nodes, rows);
    let seconds = begun.elapsed().as_secs_f64();
    let whole = places.map(|places| {
        let x: Vec<i64> = nodes.iter().zip(&places).map(|(levels, place)| levels.at[*place]).collect();
        let own: i64 = nodes.iter().zip(&places).map(|(levels, place)| levels.costs[*place]).sum();
        own + i64::try_from(cost(rows, &x).expect("no must is broken")).expect("costs of these jobs fit")
    });
    let nodes: Vec<Value> =
        nodes.iter().map(|levels| json!(levels.at.iter().zip(&levels.costs).collect::<Vec<_>>())).collect();
    let rows: Vec<Value> = rows.iter().map(row).collect();
    json!({"seed": seed, "nodes": nodes, "rows": rows, "cost": whole, "seconds": seconds})
}

fn row(row: &Row) -> Value {
    let weight = match row.price {
        Price::Must => None,
        Price::Wish(weight) => Some(weight),
    };
    json!([row.low, row.high, row.by, weight])
}
