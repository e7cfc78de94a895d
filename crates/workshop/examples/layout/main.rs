//! Measures layouts for `cargo xtask bench layout` and the reference checks; seconds are of processor time.
//!
//! `layout strip SET SEED SECONDS`: an open strip set. `layout job PIECES SEED SECONDS [EFFORT]`: a job of the fixed
//! generator. `layout show PIECES SEED EFFORT`: such a job laid, as JSON, for others to check. All print JSON.

mod job;

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use measure::Watch;
use measure::plane::Point;
use serde_json::{Value, json};
use workshop::stock::lay::{Laid, claimed, first, laid_ring, lay, remnants, strip, usable};

/// The height to which strips are scaled, µm.
const HIGH: f64 = 500_000.0;

fn main() {
    let typed: Vec<String> = std::env::args().collect();
    let number = |at: usize| typed.get(at).map(|text| text.parse::<u64>().expect("a whole number"));
    let told = match (typed[1].as_str(), number(3).expect("a seed"), number(4)) {
        ("strip", seed, Some(seconds)) => strip_set(&typed[2], seed, seconds),
        ("job", seed, Some(seconds)) => timed(number(2).expect("a count"), seed, (seconds, number(5))),
        ("show", seed, Some(effort)) => show(number(2).expect("a count"), seed, effort),
        _ => panic!("strip, job or show"),
    };
    println!("{told}");
}

fn strip_set(path: &str, seed: u64, seconds: u64) -> Value {
    let set: Value = serde_json::from_slice(&std::fs::read(path).expect("a set")).expect("JSON");
    let outlines = outlines(&set);
    let begun = Instant::now();
    let done = within(seconds, |watch| strip(&outlines, HIGH, u64::MAX / 1_000, (seed, watch)));
    let whole: f64 = outlines.iter().map(|(ring, _)| area(ring)).sum();
    let density = |long: f64| 100.0 * whole / HIGH / long;
    json!({ "first": density(done.first), "best": density(done.best), "cpu": cpu(), "wall": begun.elapsed().as_secs_f64(),
        "assessed": done.spent, "high": HIGH, "long": done.best,
        "rings": outlines.iter().zip(&done.lies).map(|((ring, _), lie)| moved(ring, lie)).collect::<Vec<_>>() })
}

fn outlines(set: &Value) -> Vec<(Vec<[f64; 2]>, Vec<i32>)> {
    let scale = HIGH / set["strip_height"].as_f64().expect("a height");
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
    outlines
}

fn moved(ring: &[[f64; 2]], (turn, shift): &(i32, [f64; 2])) -> Vec<[f64; 2]> {
    let (sin, cos) = libm::sincos((f64::from(*turn) / 100.0).to_radians());
    ring.iter().map(|p| [p[0] * cos + p[1] * sin + shift[0], p[1] * cos - p[0] * sin + shift[1]]).collect()
}

fn area(ring: &[[f64; 2]]) -> f64 {
    let n = ring.len();
    (0..n).map(|i| ring[i][0] * ring[(i + 1) % n][1] - ring[(i + 1) % n][0] * ring[i][1]).sum::<f64>().abs() / 2.0
}

fn timed(pieces: u64, seed: u64, (seconds, effort): (u64, Option<u64>)) -> Value {
    let job = job::job(pieces as usize, seed);
    let plain = first(&job.blanks, &job.sheets, job::RULES);
    let begun = (Instant::now(), cpu());
    let effort = effort.unwrap_or(u64::from(u32::MAX)) as u32;
    let best = within(seconds + begun.1 as u64, |watch| lay(&job.blanks, &job.sheets, job::RULES, (effort, &watch)));
    let bound: f64 = (0..=*job.groups.iter().max().expect("groups")).map(|group| bound(&job, group)).sum();
    let left = |laid: &Laid| laid.lies.iter().filter(|lie| lie.is_none()).count();
    json!({ "first": used(&job, &plain), "best": used(&job, &best), "bound": bound, "left_first": left(&plain),
        "left_best": left(&best), "cpu": cpu() - begun.1, "wall": begun.0.elapsed().as_secs_f64(),
        "groups": job.groups.last().map(|group| group + 1), "sheets": job.sheets.len() })
}

/// The area of begun boards less the largest remnant of each group, mm².
fn used(job: &job::Job, laid: &Laid) -> f64 {
    let ends = remnants(laid, &job.blanks, &job.sheets, job::RULES);
    let box_of = |sheet: usize| {
        let (x, y) = job.sheets[sheet].outer.iter().fold((0, 0), |m, p| (m.0.max(p.x), m.1.max(p.y)));
        f64::from(x) * f64::from(y)
    };
    let of = |group: usize| {
        let ends = || ends.iter().filter(move |end| job.groups[end.sheet] == group);
        ends().map(|end| box_of(end.sheet)).sum::<f64>() - ends().map(|end| end.area).max().unwrap_or(0) as f64
    };
    (0..job.groups.len()).map(of).sum::<f64>() / 1e6
}

/// The least area that a group could use, mm²: each piece with its half of the gap, over the most usable board.
fn bound(job: &job::Job, group: usize) -> f64 {
    let sheets = || (0..job.sheets.len()).filter(move |sheet| job.groups[*sheet] == group);
    let share = |sheet: usize| {
        let (x, y) = job.sheets[sheet].outer.iter().fold((0, 0), |m, p| (m.0.max(p.x), m.1.max(p.y)));
        usable(&job.sheets[sheet], job::RULES) / (f64::from(x) * f64::from(y))
    };
    let first = sheets().next().expect("a board");
    let own = job.blanks.iter().filter(|blank| blank.sheets.contains(&first));
    own.map(|blank| claimed(&blank.outer, job::RULES)).sum::<f64>() / sheets().map(share).fold(0.0, f64::max) / 1e6
}

fn show(pieces: u64, seed: u64, effort: u64) -> Value {
    let job = job::job(pieces as usize, seed);
    let laid = lay(&job.blanks, &job.sheets, job::RULES, (effort as u32, &Watch::silent()));
    let ring = |ring: &[Point]| ring.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>();
    let blank = |(blank, lie): (&workshop::stock::lay::Blank, &Option<workshop::stock::lay::Lie>)| {
        let lie = (*lie)?;
        Some(json!({ "sheet": lie.sheet, "turn": lie.turn, "at": [lie.at.x, lie.at.y], "outer": ring(&blank.outer),
            "laid": ring(&laid_ring(&blank.outer, &lie)), "turns": blank.turns, "sheets": blank.sheets }))
    };
    json!({ "apart": job::RULES.apart.0, "edge": job::RULES.edge.0,
        "blanks": job.blanks.iter().zip(&laid.lies).map(blank).collect::<Vec<_>>(),
        "sheets": job.sheets.iter().map(|sheet| json!({ "outer": ring(&sheet.outer), "grain": sheet.grain,
            "faults": sheet.faults.iter().map(|fault| ring(fault)).collect::<Vec<_>>() })).collect::<Vec<_>>() })
}

/// Runs work that is asked to stop after so many seconds of processor time, of all threads together.
fn within<T: Send>(seconds: u64, work: impl FnOnce(Watch) -> T + Send) -> T {
    let (stop, done) = (AtomicBool::new(false), AtomicBool::new(false));
    std::thread::scope(|scope| {
        let worker = scope.spawn(|| {
            let outcome = work(Watch::new(&|_, _| {}, &stop));
            done.store(true, Ordering::Relaxed);
            outcome
        });
        while !done.load(Ordering::Relaxed) {
            std::thread::sleep(Duration::from_millis(20));
            if cpu() > seconds as f64 {
                stop.store(true, Ordering::Relaxed);
            }
        }
        worker.join().expect("the search ends")
    })
}

/// Processor time of this process so far, seconds, in the clock's hundredths.
fn cpu() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").expect("the bench runs on Linux");
    let after: Vec<&str> = stat.rsplit(')').next().expect("fields").split_whitespace().collect();
    (after[11].parse::<f64>().expect("ticks") + after[12].parse::<f64>().expect("ticks")) / 100.0
}
