//! Jobs of a fixed generator: leaves, wavy rounds, crescents and shards of mixed sizes in groups of wood and thickness, each
//! of at least six boards' worth, on boards with faults.

use measure::Dice;
use measure::length::Um;
use measure::plane::Point;
use workshop::stock::lay::{Blank, Rules, Sheet, claimed, usable};

/// The kerf and room for the hand, and the margin at edges and faults.
pub const RULES: Rules = Rules { apart: Um(3_000), edge: Um(3_000) };
/// The boards' worth of each group, at the least.
const WORTH: f64 = 6.6;
/// More boards than the worth, so that a poor layout finds room as well.
const SPARE: f64 = 2.2;
/// No piece is higher than this share of the boards' mean width.
const HIGHEST: f64 = 0.75;
/// How much longer than wide a board is.
const LENGTH: f64 = 2.2;
const TURNS: [(i32, i32); 2] = [(-1000, 1000), (17_000, 19_000)];
const CORNERS: usize = 72;

/// A job: blanks, sheets, and for each sheet its group.
pub struct Job {
    pub blanks: Vec<Blank>,
    pub sheets: Vec<Sheet>,
    pub groups: Vec<usize>,
}

pub fn job(pieces: usize, seed: u64) -> Job {
    let mut dice = Dice::new(seed);
    let groups = 2 + pieces / 200;
    let mut job = Job { blanks: Vec::new(), sheets: Vec::new(), groups: Vec::new() };
    for group in 0..groups {
        let count = pieces / groups + usize::from(group < pieces % groups);
        let outlines: Vec<Vec<Point>> = (0..count).map(|_| outline(&mut dice)).collect();
        let area: f64 = outlines.iter().map(|outer| claimed(outer, RULES)).sum();
        let wide = (area / WORTH / LENGTH).sqrt();
        let outlines: Vec<Vec<Point>> = outlines.into_iter().map(|outer| lowered(outer, HIGHEST * wide)).collect();
        let from = job.sheets.len();
        boards(&mut job, (group, area), &mut dice);
        let on: Vec<usize> = (from..job.sheets.len()).collect();
        for outer in outlines {
            let key = job.blanks.len() as u32;
            job.blanks.push(Blank { key, outer, turns: TURNS.to_vec(), sheets: on.clone(), fixed: None });
        }
    }
    job
}

/// An outline made smaller if it is higher than `most`.
fn lowered(outer: Vec<Point>, most: f64) -> Vec<Point> {
    let high = outer.iter().map(|p| p.y).max().unwrap_or(0) - outer.iter().map(|p| p.y).min().unwrap_or(0);
    let by = (most / f64::from(high)).min(1.0);
    let scaled = |v: i32| (f64::from(v) * by).round() as i32;
    outer.into_iter().map(|p| Point::new(scaled(p.x), scaled(p.y))).collect()
}

/// Boards, every second with a sloping or waney edge, each with up to two faults.
fn boards(job: &mut Job, (group, area): (usize, f64), dice: &mut Dice) {
    let (mut room, wide) = (0.0, (area / WORTH / LENGTH).sqrt());
    while room < SPARE * area {
        let (w, l) = (wide * dice.between(0.9, 1.1), LENGTH * wide * dice.between(0.9, 1.1));
        let p = |x: f64, y: f64| Point::new((x * l) as i32, (y * w) as i32);
        let outer = match dice.below(2) {
            0 => vec![p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0), p(0.0, 1.0)],
            _ => vec![p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0), p(0.7, 0.96), p(0.45, 0.99), p(0.2, 0.94), p(0.0, 0.97)],
        };
        let faults = (0..dice.below(3)).map(|_| knot((l, w), dice)).collect();
        let sheet = Sheet { outer, faults, cost: (l * w / 1e6) as i64, ..Sheet::default() };
        room += usable(&sheet, RULES);
        job.sheets.push(sheet);
        job.groups.push(group);
    }
}

fn knot((l, w): (f64, f64), dice: &mut Dice) -> Vec<Point> {
    let (x, y, r) = (dice.between(0.05, 0.95) * l, dice.between(0.1, 0.9) * w, w * dice.between(0.03, 0.07));
    ring(12, |way| (x + 1.5 * r * libm::cos(way), y + r * libm::sin(way)))
}

fn ring(corners: usize, at: impl Fn(f64) -> (f64, f64)) -> Vec<Point> {
    let point = |(x, y): (f64, f64)| Point::new(x.round() as i32, y.round() as i32);
    (0..corners).map(|i| point(at(i as f64 * std::f64::consts::TAU / corners as f64))).collect()
}

/// One piece: its size log-normal about 40 mm, few large and many small, its long axis within 25° of the grain, as makers lay it.
fn outline(dice: &mut Dice) -> Vec<Point> {
    let size = 20_000.0 * libm::exp(0.5 * dice.normal().clamp(-2.0, 1.2));
    let (sin, cos) = libm::sincos(dice.between(-0.436, 0.436));
    let (slim, waves, depth) = (dice.between(0.35, 0.9), 2.0 + dice.below(4) as f64, dice.between(0.02, 0.15));
    let start = dice.share() * std::f64::consts::TAU;
    let turned = |(x, y): (f64, f64)| (x * cos - y * sin, x * sin + y * cos);
    match dice.below(4) {
        0 => ring(CORNERS, |way| turned(leaf(way, size * 1.3, slim))),
        1 => {
            let far = |way: f64| size * (1.0 + depth * libm::sin(waves * way + start));
            ring(CORNERS, |way| turned((far(way) * libm::cos(way), far(way) * slim * libm::sin(way))))
        }
        2 => ring(CORNERS, |way| {
            let (x, y) = leaf(way, size * 1.4, slim * 0.6);
            turned((x, y + 0.35 * x * x / size))
        }),
        _ => shard(size * 1.15, dice),
    }
}

fn leaf(way: f64, size: f64, slim: f64) -> (f64, f64) {
    let (sin, cos) = libm::sincos(way);
    (size * cos, size * slim * sin * (1.0 - 0.45 * cos * cos))
}

/// Four to seven straight sides.
fn shard(size: f64, dice: &mut Dice) -> Vec<Point> {
    let (corners, start) = (4 + dice.below(4), dice.share());
    let far: Vec<f64> = (0..corners).map(|_| size * dice.between(0.75, 1.1)).collect();
    let at = |i: usize| {
        let (sin, cos) = libm::sincos((i as f64 + start) * std::f64::consts::TAU / corners as f64);
        Point::new((far[i] * cos) as i32, (far[i] * sin) as i32)
    };
    (0..corners).map(at).collect()
}
