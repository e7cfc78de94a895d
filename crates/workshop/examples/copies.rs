//! Prints random patterns with the prints their pieces are cut from, one JSON value a line, for a judge outside.
//!
//! `copies FIRST COUNT PIECES MARGIN_MM`: each pattern has about PIECES pieces (cells nearest to random places, some
//! crowded around one place so that many meet), fitted as a traced picture is. Each line is `{"seed", "margin_mm",
//! "pieces": [{"number", "rings_mm", "copy"}], "number", "clique", "exact", "seconds"}`.

use std::time::Instant;

use measure::Watch;
use measure::length::Um;
use serde_json::{Value, json};
use workshop::bench;
use workshop::pattern::{accept, fit, outlines};
use workshop::picture::{Labels, Regions};
use workshop::work::{Becomes, Size, Work};

/// Pixels a mm of the label maps.
const SHARP: f64 = 4.0;
/// Pieces a 100 cm² of the panel.
const DENSE: f64 = 12.0;

fn main() {
    let numbers: Vec<u64> = std::env::args().skip(1).map(|text| text.parse().expect("whole numbers")).collect();
    let [first, count, pieces, margin] = numbers[..] else { panic!("FIRST COUNT PIECES MARGIN_MM") };
    for seed in first..first + count {
        println!("{}", answer(seed, pieces, Um::mm(margin as f64)));
    }
}

fn answer(seed: u64, pieces: u64, margin: Um) -> Value {
    let side = (pieces as f64 / DENSE).sqrt() * 100.0;
    let panel = Size { width: Um::mm(side), height: Um::mm(side) };
    let mut work = Work { panel, ..Work::default() };
    let draft = fit(&cells(seed, pieces, (side * SHARP) as u32), panel, Watch::silent());
    accept(&mut work, &draft).expect("a fitted pattern is whole");
    let outlines = outlines(&work.pattern, panel);
    let begun = Instant::now();
    let copies = bench::copies(&work, &outlines, margin);
    let seconds = begun.elapsed().as_secs_f64();
    let mut told: Vec<Value> = Vec::new();
    for (id, area) in &work.pattern.areas {
        if let Becomes::Piece(number) = area.becomes {
            let rings: Vec<Vec<(f64, f64)>> =
                outlines.areas[id].rings.iter().map(|ring| ring.iter().map(|p| p.to_mm()).collect()).collect();
            told.push(json!({"number": number.0, "rings_mm": rings, "copy": copies.of[&number]}));
        }
    }
    json!({
        "seed": seed, "margin_mm": margin.to_mm(), "pieces": told,
        "number": copies.number, "clique": copies.clique, "exact": copies.exact, "seconds": seconds,
    })
}

/// Cells nearest to random places, in squares of `side` pixels; each label's largest connected stretch stays its own,
/// which nearest cells are by themselves up to single pixels.
fn cells(seed: u64, pieces: u64, side: u32) -> Regions {
    let mut dice = seed;
    let mut places: Vec<(f64, f64)> = Vec::new();
    while (places.len() as u64) < pieces {
        let at = (roll(&mut dice) * f64::from(side), roll(&mut dice) * f64::from(side));
        let crowd = if roll(&mut dice) < 0.1 { 4 + (roll(&mut dice) * 5.0) as u32 } else { 1 };
        for i in 0..crowd {
            let turn = std::f64::consts::TAU * (f64::from(i) + 0.3 * roll(&mut dice)) / f64::from(crowd);
            let far = if crowd == 1 { 0.0 } else { 6.0 * SHARP };
            places.push((at.0 + far * libm::cos(turn), at.1 + far * libm::sin(turn)));
        }
    }
    let nearest = |i: u32| {
        let (x, y) = (f64::from(i % side) + 0.5, f64::from(i / side) + 0.5);
        let far = |(px, py): (f64, f64)| (px - x) * (px - x) + (py - y) * (py - y);
        (0..places.len()).min_by(|a, b| far(places[*a]).total_cmp(&far(places[*b]))).expect("there are places") as u32
    };
    let labels = connected((0..side * side).map(nearest).collect(), side);
    let most = labels.iter().max().map_or(0, |most| *most as usize + 1);
    Regions {
        labels: Labels { width: side, height: side, of: labels },
        ground: vec![false; most],
        swallowed: Vec::new(),
    }
}

/// Labels from 0 without a hole in the counting, each 4-connected.
fn connected(of: Vec<u32>, side: u32) -> Vec<u32> {
    let (side, none) = (side as usize, u32::MAX);
    let mut found = vec![none; of.len()];
    let mut next = 0;
    for start in 0..of.len() {
        if found[start] != none {
            continue;
        }
        found[start] = next;
        let mut open = vec![start];
        while let Some(at) = open.pop() {
            let (x, y) = (at % side, at / side);
            let beside = [
                (x > 0).then(|| at - 1),
                (x + 1 < side).then_some(at + 1),
                (y > 0).then(|| at - side),
                (y + 1 < side).then_some(at + side),
            ];
            for other in beside.into_iter().flatten().filter(|other| of[*other] == of[at]) {
                if found[other] == none {
                    found[other] = next;
                    open.push(other);
                }
            }
        }
        next += 1;
    }
    found
}

/// SplitMix64 (Steele, Lea, Flood 2014), from 0 to 1.
fn roll(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / 9_007_199_254_740_992.0
}
