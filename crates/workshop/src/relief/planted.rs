//! The guess of front and behind on scenes whose order is known: discs painted one over another, so that neither size
//! nor place says anything; and sickles, whose hollow side bulges the wrong way.

use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::length::Um;

use super::system::evenly_at;
use super::{apply, front, heights};
use crate::pattern::{Outlines, fit, outlines};
use crate::picture::{Labels, Regions};
use crate::work::edit::relief::Edit;
use crate::work::{AreaId, Becomes, Number, Piece, PieceValues, Says, Size, State, Strength, Whom, Work};

const SIDE: usize = 240;
const PIXEL_UM: i32 = 1000;

/// What is painted.
#[derive(Clone, Copy)]
enum Shape {
    Disc,
    /// A disc out of which another is bitten.
    Sickle,
}

impl Shape {
    fn covers(self, dx: i64, dy: i64, radius: i64) -> bool {
        let bite = dx - radius * 3 / 4;
        let within = |dx: i64| dx * dx + dy * dy <= radius * radius;
        within(dx) && !(matches!(self, Shape::Sickle) && within(bite))
    }
}

/// Which shape shows at each pixel, 0 for none; later ones lie in front.
fn painted(shape: Shape, seed: u64) -> Vec<u32> {
    let mut dice = seed;
    let mut within = |most: u64| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((dice >> 33) % most) as i64
    };
    let mut shown = vec![0; SIDE * SIDE];
    for disc in 1..=16 {
        let (x, y, radius) = (within(SIDE as u64), within(SIDE as u64), 20 + within(35));
        for (at, pixel) in shown.iter_mut().enumerate() {
            let (dx, dy) = ((at % SIDE) as i64 - x, (at / SIDE) as i64 - y);
            if shape.covers(dx, dy, radius) {
                *pixel = disc;
            }
        }
    }
    shown
}

/// Connected regions, and the disc that each belongs to.
fn regions(shown: &[u32]) -> (Regions, Vec<u32>) {
    let (mut of, mut discs) = (vec![u32::MAX; shown.len()], Vec::new());
    for first in 0..shown.len() {
        if of[first] != u32::MAX {
            continue;
        }
        let (label, mut open) = (discs.len() as u32, vec![first]);
        discs.push(shown[first]);
        while let Some(at) = open.pop() {
            if of[at] == u32::MAX && shown[at] == shown[first] {
                of[at] = label;
                let (x, y) = (at % SIDE, at / SIDE);
                open.extend([(x > 0, at.wrapping_sub(1)), (x + 1 < SIDE, at + 1)].iter().filter(|n| n.0).map(|n| n.1));
                open.extend(
                    [(y > 0, at.wrapping_sub(SIDE)), (y + 1 < SIDE, at + SIDE)].iter().filter(|n| n.0).map(|n| n.1),
                );
            }
        }
    }
    let labels = Labels { width: SIDE as u32, height: SIDE as u32, of };
    (Regions { ground: vec![false; discs.len()], labels, swallowed: Vec::new() }, discs)
}

/// A job of the scene, and the disc of each piece.
fn scene(shape: Shape, seed: u64) -> (Work, Outlines, BTreeMap<Number, u32>) {
    let shown = painted(shape, seed);
    let (regions, _) = regions(&shown);
    let side = Um(SIDE as i32 * PIXEL_UM);
    let mut work = Work { panel: Size { width: side, height: side }, ..Work::default() };
    work.pattern = fit(&regions, work.panel, Watch::silent());
    let mut discs = BTreeMap::new();
    for (id, area) in &mut work.pattern.areas {
        let number = Number(id.0);
        area.becomes = Becomes::Piece(number);
        let pixel = (area.at.y / PIXEL_UM) as usize * SIDE + (area.at.x / PIXEL_UM) as usize;
        discs.insert(number, shown[pixel]);
        work.pieces.insert(number, Piece { area: AreaId(id.0), values: PieceValues::default(), state: State::Planned });
    }
    let outlines = outlines(&work.pattern, work.panel);
    (work, outlines, discs)
}

/// How many guesses of eight scenes are right and wrong, and on how many touching pairs nothing is guessed.
fn guessed(shape: Shape) -> (usize, usize, usize) {
    let (mut right, mut wrong, mut silent) = (0, 0, 0);
    for seed in 1..=8 {
        let (work, outlines, discs) = scene(shape, seed);
        let fronts = front::fronts(&work, &outlines);
        for guess in &fronts {
            let (front, behind) = (discs[&guess.front], discs[&guess.behind]);
            right += usize::from(front > behind);
            wrong += usize::from(front < behind);
        }
        silent += outlines.meetings.len() - fronts.len();
    }
    println!("right {right}, wrong {wrong}, no guess {silent}");
    (right, wrong, silent)
}

#[test]
fn discs_are_ordered_as_they_were_painted() {
    let (right, wrong, silent) = guessed(Shape::Disc);
    assert!(right >= 15 * wrong && right >= 2 * silent, "right {right}, wrong {wrong}, no guess {silent}");
}

#[test]
fn hollow_shapes_are_not_turned_over() {
    let (right, wrong, silent) = guessed(Shape::Sickle);
    assert!(right >= 4 * wrong && right >= silent, "right {right}, wrong {wrong}, no guess {silent}");
}

#[test]
fn a_fresh_relief_is_lively_and_reads() {
    for seed in 1..=8 {
        let (work, outlines, discs) = scene(Shape::Disc, seed);
        let (landed, _) = heights(&work, &outlines, Watch::silent()).unwrap();
        let tops: BTreeSet<Um> = landed.values().map(|landed| landed.height).collect();
        let (lowest, highest) = (tops.first().unwrap().0, tops.last().unwrap().0);
        assert!(tops.len() >= 5 && highest - lowest >= 20_000, "seed {seed}: {tops:?}");
        let (mut kept, mut all) = (0, 0);
        for (a, b) in outlines.meetings.keys().map(|(a, b)| (Number(a.0), Number(b.0))) {
            let step = landed[&a].height.0 - landed[&b].height.0;
            assert!(step == 0 || step.abs() >= work.choices.stock.readable_step.0);
            all += 1;
            kept += usize::from((discs[&a] > discs[&b]) == (step > 0) && step != 0);
        }
        println!("seed {seed}: {} heights, {kept} of {all} steps as painted", tops.len());
        assert!(10 * kept >= 6 * all, "seed {seed}: {kept} of {all}");
    }
}

/// The heights that thick stock gives lie at most 3 mm apart, so half of that is off at the most.
#[test]
fn no_guess_bends_a_climb() {
    for seed in 1..=8 {
        let (mut work, outlines, _) = scene(Shape::Disc, seed);
        let row: Vec<Number> = work.pieces.keys().copied().step_by(3).take(5).collect();
        let (from, to) = (Um(12_000), Um(36_000));
        let says = Says::Climbs { row: row.iter().copied().map(Whom::Piece).collect(), from, to };
        apply(&mut work, &Edit::Relate { says, strength: Strength::Must }).unwrap();
        let (landed, _) = heights(&work, &outlines, Watch::silent()).unwrap();
        for (at, number) in row.iter().enumerate() {
            let off = i64::from(landed[number].height.0) - evenly_at((from, to), (at, 4));
            assert!(off.abs() <= 1500, "seed {seed}: {at} is off by {off}");
        }
    }
}
