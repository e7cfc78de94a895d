//! Times curves parted into a plane graph: `arranged`, of 10,000 curves each time. What runs is one thread.

use measure::plane::{Cubic, Point, arranged};
use std::time::Instant;

/// Lines all over a page of 400 × 300 mm, up to 11 mm long, that cross each other where it happens.
fn strewn() -> Vec<Cubic> {
    let mut dice = 7u64;
    let mut below = |n: i32| {
        dice ^= dice << 13;
        dice ^= dice >> 7;
        dice ^= dice << 17;
        (dice % n as u64) as i32
    };
    let mut one = || {
        let a = Point::new(below(400_000), below(300_000));
        Cubic::straight(a, Point::new(a.x + below(16_000) - 8000, a.y + below(16_000) - 8000))
    };
    (0..10_000).map(|_| one()).collect()
}

/// Fifty waves across fifty waves, of a hundred cubics each: 2,500 crossings, hardly a cubic uncut.
fn net() -> Vec<Cubic> {
    let wave = |k: i32| {
        let at = (k % 50) * 6000 + 3000;
        let p = move |i: i32, off: i32| {
            if k < 50 { Point::new(i * 1000, at + off) } else { Point::new(at + off, i * 1000) }
        };
        let cubic =
            move |i: i32| Cubic([p(3 * i, 0), p(3 * i + 1, 900 + k * 3), p(3 * i + 2, -900 - k * 2), p(3 * i + 3, 0)]);
        (0..100).map(cubic)
    };
    (0..100).flat_map(wave).collect()
}

fn main() {
    for (name, curves) in [("strewn lines", strewn()), ("net of waves", net())] {
        for gap in [0.0, 250.0] {
            let start = Instant::now();
            match arranged(&curves, gap, false) {
                Ok(found) => {
                    let (edges, loose) = (found.edges.len(), found.loose.len());
                    println!(
                        "{name}, gaps up to {gap} µm closed: {edges} edges, {loose} loose ends, {:.2?}",
                        start.elapsed()
                    );
                }
                Err(why) => println!("{name}: {why:?}"),
            }
        }
    }
}
