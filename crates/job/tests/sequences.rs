//! Random runs of fifty edits on three patterns: after every edit the pattern is whole and says of whom it speaks, a refusal
//! changes nothing, and undoing all of them gives back the same bytes.
//!
//! `SPELK_SEQUENCES` runs so many (`cargo xtask bench edits` runs 2,000); without it a few are run.

// Helpers of tests are tests, which Clippy does not see.
#![allow(clippy::unwrap_used)]

use std::f64::consts::TAU;
use std::sync::atomic::{AtomicUsize, Ordering};

use job::{Job, Refused};
use measure::length::Um;
use measure::plane::{Point, line};
use measure::{Dice, Watch};
use workshop::pattern::{Outlines, accept, fit, outlines, prove};
use workshop::picture::{Labels, Regions};
use workshop::work::edit::pattern::Edit;
use workshop::work::{self, AreaId, Becomes, BorderId, Number, Size, Work};

const EDITS: usize = 50;
/// A run ends after so many tries: on a pattern that has come to be crowded most are refused.
const TRIES: usize = 150;
const FEW: usize = 15;
const PANEL: Size = Size { width: Um(200_000), height: Um(150_000) };
const PIXELS: (u32, u32) = (200, 150);

#[test]
fn random_edits_keep_the_pattern_whole_and_can_be_undone() {
    let runs = std::env::var("SPELK_SEQUENCES").ok().and_then(|n| n.parse().ok()).unwrap_or(FEW);
    let patterns = [cells(), islands(), reeds()];
    let next = AtomicUsize::new(0);
    let share = || {
        let (mut done, mut tried) = (0, 0);
        while let Some(run) = Some(next.fetch_add(1, Ordering::Relaxed)).filter(|run| *run < runs) {
            let (edits, tries) = sequence(&patterns[run % patterns.len()], run as u64);
            done += edits;
            tried += tries;
        }
        (done, tried)
    };
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let (done, tried) = std::thread::scope(|scope| {
        let shares: Vec<_> = (0..threads).map(|_| scope.spawn(share)).collect();
        shares.into_iter().map(|share| share.join().unwrap()).fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1))
    });
    eprintln!("{runs} runs: {done} edits done, {} refused", tried - done);
    assert!(done * 2 > runs * EDITS, "only {done} of {tried} edits could be");
}

/// Names the run that panics in the code itself.
struct Named(u64);

impl Drop for Named {
    fn drop(&mut self) {
        if std::thread::panicking() {
            eprintln!("It was run {}.", self.0);
        }
    }
}

/// One run; how many edits were done, of how many tried.
fn sequence(start: &Work, seed: u64) -> (usize, usize) {
    let _named = Named(seed);
    let folder = tempfile::tempdir().unwrap();
    let mut job = Job::create(folder.path().join("run.spelk"), start, None, "Start").unwrap();
    let mut dice = Dice::new(seed);
    let mut states = vec![bytes(job.work())];
    let mut highest = job.work().next.number;
    let mut tries = 0;
    while states.len() <= EDITS && tries < TRIES {
        tries += 1;
        let edit = any(job.work(), &mut dice);
        let before = job.work().clone();
        match job.apply(&[work::Edit::Pattern(edit.clone())], "Edit") {
            Ok(_) => {
                whole(job.work(), &format!("run {seed}, {edit:?}"));
                let new = job.work().pieces.keys().filter(|number| !before.pieces.contains_key(number));
                assert!(new.into_iter().all(|number| number.0 >= highest), "run {seed}: a number was given twice");
                kept(&before, job.work(), &edit);
                highest = job.work().next.number;
                // What changes nothing is no step to undo.
                if *job.work() != before {
                    states.push(bytes(job.work()));
                }
            }
            Err(Refused::Refusal(refusal)) => {
                assert_eq!(*job.work(), before, "run {seed}: a refusal changed the job");
                assert!(!refusal.what.is_empty());
            }
            Err(other) => panic!("run {seed}, {edit:?}: {other}"),
        }
    }
    for state in states.iter().rev().skip(1) {
        assert_eq!(job.undo().unwrap().as_deref(), Some("Edit"));
        assert!(bytes(job.work()) == *state, "run {seed}: undo gives other bytes");
    }
    (states.len() - 1, tries)
}

/// The job as it is stored, but for the counters: undo gives no number again.
fn bytes(work: &Work) -> Vec<u8> {
    let work = Work { next: Default::default(), ..work.clone() };
    serde_json::to_vec(&work).unwrap()
}

fn whole(work: &Work, what: &str) {
    assert_eq!(prove(&work.pattern, work.panel), [], "{what}");
    let sum: f64 = outlines(&work.pattern, work.panel).areas.values().map(|outline| outline.area_mm2).sum();
    let panel = work.panel.width.to_mm() * work.panel.height.to_mm();
    assert!((sum - panel).abs() <= 1e-6 * panel, "{what}: {sum} of {panel} mm²");
    for (number, piece) in &work.pieces {
        assert_eq!(work.pattern.areas[&piece.area].becomes, Becomes::Piece(*number), "{what}");
    }
    let pieces = work.pattern.areas.values().filter(|area| matches!(area.becomes, Becomes::Piece(_))).count();
    assert_eq!(pieces, work.pieces.len(), "{what}");
}

/// Tools that only move borders keep every number and its area's id; those that part keep each that was there.
fn kept(before: &Work, after: &Work, edit: &Edit) {
    let numbers = |work: &Work| work.pieces.iter().map(|(n, piece)| (*n, piece.area)).collect::<Vec<_>>();
    match edit {
        Edit::Reshape { .. } | Edit::Smooth { .. } | Edit::Straighten { .. } | Edit::Junction { .. } => {
            assert_eq!(numbers(before), numbers(after));
        }
        Edit::Draw { .. } | Edit::Split { .. } => {
            let now: Vec<(Number, AreaId)> = numbers(after);
            assert!(numbers(before).iter().all(|known| now.contains(known)));
        }
        _ => {}
    }
}

fn any(work: &Work, dice: &mut Dice) -> Edit {
    let made = || outlines(&work.pattern, work.panel);
    let ids: Vec<AreaId> = work.pattern.areas.keys().copied().collect();
    let area = ids[dice.below(ids.len())];
    match dice.below(16) {
        0 | 1 => Edit::Merge(pair(&made(), dice)),
        2 => Edit::Split { area, along: across(&made(), area, dice) },
        3 => Edit::Split { area, along: around(&made(), area, dice) },
        4 => Edit::Open(area),
        5 => Edit::Drop(area),
        6 => Edit::Close(area),
        7 => {
            let borders: Vec<BorderId> = work.pattern.borders.keys().copied().collect();
            Edit::Gap { border: borders[dice.below(borders.len())], gap: Um(500 * dice.below(4) as i32) }
        }
        8 | 9 => Edit::Draw { along: (0..2 + dice.below(4)).map(|_| anywhere(dice)).collect() },
        10 | 11 => {
            let at = on_border(work, dice);
            Edit::Reshape { at, to: beside(at, dice), width: width(dice) }
        }
        12 => Edit::Smooth { along: stretch(work, dice), by: width(dice) },
        13 => Edit::Straighten { along: stretch(work, dice) },
        _ => {
            let places: Vec<Point> = work.pattern.junctions.values().copied().collect();
            let at = if places.is_empty() { anywhere(dice) } else { places[dice.below(places.len())] };
            Edit::Junction { at, to: beside(at, dice), width: width(dice) }
        }
    }
}

fn pair(made: &Outlines, dice: &mut Dice) -> Vec<AreaId> {
    let pairs: Vec<_> = made.meetings.keys().collect();
    if pairs.is_empty() {
        return Vec::new();
    }
    let (a, b) = pairs[dice.below(pairs.len())];
    vec![*a, *b]
}

fn across(made: &Outlines, area: AreaId, dice: &mut Dice) -> Vec<Point> {
    let circle = made.areas[&area].widest;
    let (turn, off) = (dice.between(0.0, TAU), dice.between(-0.8, 0.8) * circle.radius);
    let (x, y) = (libm::cos(turn), libm::sin(turn));
    let at = |k: i32| {
        let (along, aside) = (f64::from(k) * circle.radius / 4.0, off + 0.1 * circle.radius * libm::sin(f64::from(k)));
        Point::new(circle.centre.x + (x * along - y * aside) as i32, circle.centre.y + (y * along + x * aside) as i32)
    };
    (-12..=12).map(at).collect()
}

fn around(made: &Outlines, area: AreaId, dice: &mut Dice) -> Vec<Point> {
    let circle = made.areas[&area].widest;
    let radius = circle.radius * dice.between(0.3, 0.95);
    let at = |k: i32| {
        let angle = f64::from(k) * TAU / 16.0;
        Point::new(
            circle.centre.x + (radius * libm::cos(angle)) as i32,
            circle.centre.y + (radius * libm::sin(angle)) as i32,
        )
    };
    (0..=16).map(at).collect()
}

fn anywhere(dice: &mut Dice) -> Point {
    let on = |dice: &mut Dice, side: Um| (dice.between(-0.05, 1.05) * f64::from(side.0)) as i32;
    Point::new(on(dice, PANEL.width), on(dice, PANEL.height))
}

fn on_border(work: &Work, dice: &mut Dice) -> Point {
    stretch(work, dice)[0]
}

/// Points along a border: its middle alone, or some of them in a row.
fn stretch(work: &Work, dice: &mut Dice) -> Vec<Point> {
    let borders: Vec<_> = work.pattern.borders.values().collect();
    let points = line(&borders[dice.below(borders.len())].curve);
    let from = dice.below(points.len());
    if dice.below(2) == 0 {
        return vec![points[from]];
    }
    points[from..(from + 1 + dice.below(points.len())).min(points.len())].to_vec()
}

fn beside(at: Point, dice: &mut Dice) -> Point {
    let (angle, far) = (dice.between(0.0, TAU), dice.between(100.0, 6000.0));
    Point::new(at.x + (far * libm::cos(angle)) as i32, at.y + (far * libm::sin(angle)) as i32)
}

fn width(dice: &mut Dice) -> Um {
    Um(dice.between(1500.0, 15_000.0) as i32)
}

/// A pattern of the nearest of many points.
fn cells() -> Work {
    let mut dice = Dice::new(7);
    let points: Vec<(f64, f64)> = (0..40).map(|_| (dice.between(0.0, 200.0), dice.between(0.0, 150.0))).collect();
    pattern(|x, y| {
        let far = |p: &(f64, f64)| (p.0 - x) * (p.0 - x) + (p.1 - y) * (p.1 - y);
        (0..points.len()).min_by(|a, b| far(&points[*a]).total_cmp(&far(&points[*b]))).unwrap() as u32
    })
}

/// Islands in islands on two fields.
fn islands() -> Work {
    pattern(|x, y| {
        let near = [(50.0, 45.0), (150.0, 50.0), (100.0, 110.0)].map(|(a, b)| libm::hypot(x - a, y - b));
        match (0..3).find(|i| near[*i] < 34.0) {
            Some(i) => 2 + 10 * i as u32 + (near[i] / 9.0) as u32,
            None => u32::from(x + 0.3 * y > 120.0),
        }
    })
}

/// Long waved strips, crossed by two bands.
fn reeds() -> Work {
    pattern(|x, y| {
        let strip = ((x + 6.0 * libm::sin(y / 17.0)) / 14.0 + 1.0) as u32;
        strip + 100 * (((y + 4.0 * libm::sin(x / 23.0)) / 55.0 + 1.0) as u32)
    })
}

/// The fitted and accepted pattern of a colouring of the pixels.
fn pattern(colour: impl Fn(f64, f64) -> u32) -> Work {
    let (width, height) = PIXELS;
    let colours: Vec<u32> =
        (0..width * height).map(|i| colour(f64::from(i % width) + 0.5, f64::from(i / width) + 0.5)).collect();
    let (of, count) = parts(&colours, width as usize);
    let labels = Labels { width, height, of };
    let regions = Regions { labels, ground: vec![false; count], swallowed: Vec::new() };
    let draft = fit(&regions, PANEL, Watch::silent());
    let mut work = Work { panel: PANEL, ..Work::default() };
    accept(&mut work, &draft).unwrap();
    whole(&work, "the pattern to begin with");
    work
}

/// The 4-connected parts of a colouring, counted from 0.
fn parts(colours: &[u32], width: usize) -> (Vec<u32>, usize) {
    let mut of = vec![u32::MAX; colours.len()];
    let mut count = 0;
    for first in 0..colours.len() {
        if of[first] != u32::MAX {
            continue;
        }
        let mut open = vec![first];
        of[first] = count;
        while let Some(i) = open.pop() {
            let beside = [
                (i % width > 0).then(|| i - 1),
                (i % width + 1 < width).then_some(i + 1),
                i.checked_sub(width),
                (i + width < colours.len()).then_some(i + width),
            ];
            for j in beside.into_iter().flatten() {
                if of[j] == u32::MAX && colours[j] == colours[i] {
                    of[j] = count;
                    open.push(j);
                }
            }
        }
        count += 1;
    }
    (of, count as usize)
}
