//! Rendered photographs of two finished pieces beside a card: colours, light, tint and noise are known.

use measure::Dice;
use measure::colour::to_byte;

use super::*;
use crate::wood::{look, table};

const SIZE: (u32, u32) = (640, 400);
const WOODS: [&str; 2] = ["cherry-black", "alder-red"];

fn job() -> Work {
    let mut work = Work { woods: table(), ..Work::default() };
    work.choices.finish = "wax".into();
    work
}

/// A quarter-high strip of card above two pieces side by side. `card` and `colours` are what they give back.
fn photograph(card: f64, colours: [Lab; 2], exposure: f64) -> Raster {
    let mut dice = Dice::new(11);
    let linear = colours.map(Lab::to_linear);
    let mut pixels = Vec::new();
    for at in 0..SIZE.0 * SIZE.1 {
        let (x, y) = (f64::from(at % SIZE.0) / f64::from(SIZE.0), f64::from(at / SIZE.0) / f64::from(SIZE.1));
        let gives = if y < 0.25 { [card; 3] } else { linear[usize::from(x > 0.5)] };
        let light = exposure * (1.0 - 0.15 * x);
        let tint = [1.12, 1.0, 0.8];
        let byte = |c: usize| {
            let noisy = f64::from(to_byte((gives[c] * light * tint[c]).min(1.0))) + 2.0 * dice.normal();
            noisy.round().clamp(0.0, 255.0) as u8
        };
        let rgb: Vec<u8> = (0..3).map(byte).collect();
        pixels.push([rgb[0], rgb[1], rgb[2], 255]);
    }
    Raster { width: SIZE.0, height: SIZE.1, pixels }
}

fn four(left: f64, top: f64, right: f64, bottom: f64) -> [(f64, f64); 4] {
    [(left, top), (right, top), (right, bottom), (left, bottom)]
}

fn shot(reflects: f64) -> TestShot {
    let piece = |at: usize| TestPiece {
        wood: WoodId(WOODS[at].into()),
        corners: four(0.1 + 0.5 * at as f64, 0.4, 0.4 + 0.5 * at as f64, 0.9),
    };
    TestShot { white: four(0.05, 0.03, 0.95, 0.2), reflects, pieces: vec![piece(0), piece(1)] }
}

fn finished_of(work: &Work) -> [Lab; 2] {
    WOODS.map(|key| {
        let seen = look(work, &work.woods[&WoodId(key.into())]);
        Lab::new(seen.l - 3.0, seen.a + 1.5, seen.b + 2.0)
    })
}

#[test]
fn finished_pieces_are_measured_by_the_card() {
    let work = job();
    let colours = finished_of(&work);
    for (card, exposure) in [(0.9, 0.8), (0.18, 1.0)] {
        let found = tested(&work, &photograph(card, colours, exposure), &shot(card)).expect("a plain photograph");
        for ((wood, colour), (key, true_one)) in found.iter().zip(WOODS.iter().zip(colours)) {
            let off = delta_e_2000(*colour, true_one);
            assert!(wood.0 == *key && off < 1.5, "{key} by a card of {card}: {off}");
        }
    }
}

fn refused(raster: &Raster, shot: &TestShot, says: &str) {
    let refusal = tested(&job(), raster, shot).expect_err(says);
    assert!(refusal.what.contains(says) && !refusal.ways.is_empty(), "{refusal}");
}

#[test]
fn bad_photographs_are_refused_with_the_reason() {
    let colours = finished_of(&job());
    let good = photograph(0.9, colours, 0.8);
    refused(&photograph(0.9, colours, 2.5), &shot(0.9), "overexposed");
    let mut no_white = shot(0.9);
    no_white.white = four(0.1, 0.4, 0.9, 0.9);
    refused(&good, &no_white, "white");
    let teal = [Lab::new(50.0, -35.0, -20.0), colours[1]];
    refused(&photograph(0.9, teal, 0.8), &shot(0.9), "there is no wood");
    let mut across = shot(0.9);
    across.pieces[0].corners = four(0.1, 0.05, 0.4, 0.5);
    refused(&good, &across, "not one plain piece");
    let mut small = shot(0.9);
    small.pieces[1].corners = four(0.7, 0.5, 0.71, 0.51);
    refused(&good, &small, "too small");
    let mut unknown = shot(0.9);
    unknown.pieces[0].wood = WoodId("moonwood".into());
    refused(&good, &unknown, "no wood of this job");
    refused(&good, &TestShot { pieces: Vec::new(), ..shot(0.9) }, "No test piece");
}
