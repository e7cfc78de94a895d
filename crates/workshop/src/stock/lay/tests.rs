//! Layouts of random outlines break nothing, and a known one comes out as expected.

use super::*;
use measure::Dice;

fn p(x: i32, y: i32) -> Point {
    Point::new(x, y)
}

fn rectangle(width: i32, height: i32) -> Vec<Point> {
    vec![p(0, 0), p(width, 0), p(width, height), p(0, height)]
}

fn star(dice: &mut Dice, radius: i32) -> Vec<Point> {
    let spoke = |at: u64, dice: &mut Dice| {
        let (sin, cos) = libm::sincos(at as f64 * std::f64::consts::TAU / 9.0);
        let long = f64::from(radius) * (0.4 + 0.6 * dice.share());
        p((long * cos) as i32, (long * sin) as i32)
    };
    (0..9).map(|at| spoke(at, dice)).collect()
}

const RULES: Rules = Rules { apart: Um(3000), edge: Um(2000) };

fn silent(effort: u32) -> (u32, &'static Watch<'static>) {
    (effort, Box::leak(Box::new(Watch::silent())))
}

#[test]
fn squares_stand_in_a_row() {
    let blank =
        |key| Blank { key, outer: rectangle(40_000, 40_000), turns: vec![(0, 0)], sheets: vec![0], fixed: None };
    let sheet = Sheet { outer: rectangle(300_000, 50_000), cost: 7, ..Sheet::default() };
    let laid = lay(&[1, 2, 3, 4, 5, 6, 7, 8].map(blank), &[sheet], RULES, silent(0));
    assert_eq!(laid.lies.iter().flatten().count(), 6, "six of 40 mm and 3 to 5 mm between them go into 300 mm");
    assert_eq!(laid.cost, 7);
}

#[test]
fn random_outlines_break_nothing() {
    let mut dice = Dice::new(4);
    let sheet = |grain| Sheet {
        outer: vec![p(0, 0), p(400_000, 10_000), p(380_000, 150_000), p(20_000, 140_000)],
        faults: vec![rectangle(60_000, 60_000)],
        used: vec![vec![p(200_000, 60_000), p(260_000, 70_000), p(220_000, 120_000)]],
        grain,
        cost: 1,
    };
    let sheets = [sheet(0), sheet(700), sheet(9000)];
    let blanks: Vec<Blank> = (0..60)
        .map(|key| Blank {
            key,
            outer: star(&mut dice, 20_000),
            turns: vec![(1000, 3000), (19_000, 21_000)],
            sheets: vec![0, 1, 2],
            fixed: None,
        })
        .collect();
    let laid = lay(&blanks, &sheets, RULES, silent(3));
    assert_eq!(breaches(&laid, &blanks, &sheets, RULES), []);
    assert!(laid.lies.iter().flatten().count() > 40);
}

#[test]
fn the_gate_sees_what_is_wrong() {
    let blank =
        |key| Blank { key, outer: rectangle(10_000, 10_000), turns: vec![(0, 1000)], sheets: vec![0], fixed: None };
    let sheets = [Sheet {
        outer: rectangle(100_000, 100_000),
        faults: vec![vec![p(80_000, 80_000), p(90_000, 80_000), p(85_000, 90_000)]],
        ..Sheet::default()
    }];
    let seen = |one: (i32, i32, i32), other: (i32, i32, i32)| {
        let lie = |(x, y, turn)| Some(Lie { sheet: 0, turn, at: p(x, y) });
        let laid = Laid { lies: vec![lie(one), lie(other)], cost: 0 };
        breaches(&laid, &[blank(1), blank(2)], &sheets, RULES)
    };
    assert_eq!(seen((2000, 2000, 0), (15_000, 2000, 0)), [], "just far enough");
    assert_eq!(seen((2000, 2000, 0), (14_999, 2000, 0)), [Breach::Other(1, 0)]);
    assert_eq!(seen((1999, 2000, 0), (50_000, 2000, 0)), [Breach::Edge(0)]);
    assert_eq!(seen((20_000, 2000, 1001), (50_000, 2000, 0)), [Breach::Turned(0)]);
    assert_eq!(seen((20_000, 20_000, 0), (80_000, 71_000, 0)), [Breach::Taken(1)]);
    assert_eq!(seen((20_000, 20_000, 0), (20_000, 20_000, 0)), [Breach::Other(1, 0)], "one on the other");
}

#[test]
fn what_is_fixed_stays_and_the_rest_lies_round_it() {
    let fixed = Lie { sheet: 0, turn: 0, at: p(50_000, 5000) };
    let blank =
        |key, fixed| Blank { key, outer: rectangle(30_000, 30_000), turns: vec![(0, 0)], sheets: vec![0], fixed };
    let sheets = [Sheet { outer: rectangle(200_000, 40_000), ..Sheet::default() }];
    let blanks = [blank(1, None), blank(2, Some(fixed)), blank(3, None)];
    let laid = lay(&blanks, &sheets, RULES, silent(1));
    assert_eq!(laid.lies[1], Some(fixed));
    assert!(laid.lies.iter().all(Option::is_some) && breaches(&laid, &blanks, &sheets, RULES).is_empty());
}
