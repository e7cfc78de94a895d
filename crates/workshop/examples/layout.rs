//! Lays an open strip set with the search behind the boards: `layout strip SET SEED SECONDS`, seconds of processor time.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use measure::Watch;
use serde_json::Value;
use workshop::stock::lay::strip;

fn main() {
    let typed: Vec<String> = std::env::args().collect();
    let (seed, seconds) = (typed[3].parse().expect("a seed"), typed[4].parse().expect("seconds"));
    let set: Value = serde_json::from_slice(&std::fs::read(&typed[2]).expect("a set")).expect("JSON");
    let scale = 500_000.0 / set["strip_height"].as_f64().expect("a height");
    let mut outlines = Vec::new();
    for item in set["items"].as_array().expect("items") {
        let point = |p: &Value| [p[0].as_f64().expect("x") * scale, p[1].as_f64().expect("y") * scale];
        let ring: Vec<[f64; 2]> = item["shape"]["data"].as_array().expect("points").iter().map(point).collect();
        let turns = item["allowed_orientations"].as_array().expect("turns");
        let turns: Vec<i32> = turns.iter().map(|t| (t.as_f64().expect("degrees") * 100.0) as i32).collect();
        for _ in 0..item["demand"].as_u64().expect("a demand") {
            outlines.push((ring.clone(), turns.clone()));
        }
    }
    let stop = AtomicBool::new(false);
    let begun = Instant::now();
    let done = std::thread::scope(|scope| {
        let worker = scope.spawn(|| {
            let done = strip(&outlines, 500_000.0, u64::MAX / 1_000, (seed, Watch::new(&|_, _| {}, &stop)));
            stop.store(true, Ordering::Relaxed);
            done
        });
        while !stop.load(Ordering::Relaxed) {
            std::thread::sleep(Duration::from_millis(50));
            if cpu() > seconds {
                stop.store(true, Ordering::Relaxed);
            }
        }
        worker.join().expect("the search ends")
    });
    let area = |ring: &[[f64; 2]]| {
        let n = ring.len();
        (0..n).map(|i| ring[i][0] * ring[(i + 1) % n][1] - ring[(i + 1) % n][0] * ring[i][1]).sum::<f64>().abs() / 2.0
    };
    let whole: f64 = outlines.iter().map(|(ring, _)| area(ring)).sum();
    println!(
        "{} seed {seed}: first {:.2} best {:.2} cpu {:.0} wall {:.0} evals {}",
        typed[2],
        whole / 5000.0 / done.first,
        whole / 5000.0 / done.best,
        cpu(),
        begun.elapsed().as_secs_f64(),
        done.spent
    );
}

fn cpu() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").expect("Linux");
    let after: Vec<&str> = stat.rsplit(')').next().expect("fields").split_whitespace().collect();
    (after[11].parse::<f64>().expect("ticks") + after[12].parse::<f64>().expect("ticks")) / 100.0
}
