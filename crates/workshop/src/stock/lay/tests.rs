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

/// Two boards of one price: the second has no faults. Then its price rises to what its room is worth, and beyond.
#[test]
fn what_gives_most_for_its_price_is_begun_first() {
    let faults = vec![rectangle(50_000, 50_000)];
    let faulty = |cost| Sheet { outer: rectangle(300_000, 50_000), faults: faults.clone(), cost, ..Sheet::default() };
    let zone = Sheet { outer: rectangle(50_000, 50_000), cost: 0, ..Sheet::default() };
    let clean = |cost| Sheet { outer: rectangle(300_000, 50_000), cost, ..Sheet::default() };
    let blank =
        |key| Blank { key, outer: rectangle(40_000, 40_000), turns: vec![(0, 0)], sheets: vec![0, 1, 2], fixed: None };
    let begun = |price| {
        let laid = lay(&[1, 2, 3, 4].map(blank), &[faulty(100), zone.clone(), clean(price)], RULES, silent(0));
        let mut on: Vec<usize> = laid.lies.iter().flatten().map(|lie| lie.sheet).collect();
        on.dedup();
        on
    };
    assert_eq!(begun(100), [2]);
    assert_eq!(begun(101), [0], "the faulty one's zone has room as well, so it gives more for its price");
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

/// A wavy outline of many points, as a traced pattern gives them.
fn wavy(dice: &mut Dice, radius: f64) -> Vec<Point> {
    let (waves, depth, flat) = (2 + dice.below(4), dice.between(0.05, 0.35), dice.between(0.5, 1.0));
    (0..80)
        .map(|at| {
            let way = at as f64 * std::f64::consts::TAU / 80.0;
            let far = radius * (1.0 + depth * libm::sin(way * waves as f64));
            p((far * libm::cos(way)) as i32 + 500_000, (far * flat * libm::sin(way)) as i32 - 70_000)
        })
        .collect()
}

fn job(seed: u64, count: u32) -> (Vec<Blank>, Vec<Sheet>) {
    let mut dice = Dice::new(seed);
    let sheet = |grain: i32, cost: i64| Sheet {
        outer: vec![
            p(0, 5_000),
            p(150_000, 0),
            p(300_000, 8_000),
            p(290_000, 60_000),
            p(300_000, 110_000),
            p(0, 100_000),
        ],
        faults: vec![vec![p(90_000, 40_000), p(110_000, 42_000), p(100_000, 60_000)]],
        used: vec![],
        grain,
        cost,
    };
    let sheets = vec![
        sheet(0, 3),
        sheet(300, 4),
        sheet(0, 3),
        sheet(18_000, 5),
        Sheet { outer: rectangle(90_000, 260_000), ..sheet(9000, 4) },
    ];
    let blank = |key| {
        let outer = if key % 3 == 0 { star(&mut dice, 24_000) } else { wavy(&mut dice, 14_000.0) };
        let sheets = if key % 5 == 0 { vec![1, 3] } else { vec![0, 1, 2, 3, 4] };
        Blank { key, outer, turns: vec![(-1000, 1000), (17_000, 19_000)], sheets, fixed: None }
    };
    ((0..count).map(blank).collect(), sheets)
}

type Rank = (usize, i64, i64);

fn rank(laid: &Laid, blanks: &[Blank], sheets: &[Sheet]) -> Rank {
    let left = laid.lies.iter().filter(|lie| lie.is_none()).count();
    (left, laid.cost, -remnant(laid, blanks, sheets, RULES).map_or(0, |remnant| remnant.area))
}

/// Curved outlines, irregular boards, faults, turned grain: nothing is broken at any effort, and more is never worse.
#[test]
fn more_effort_breaks_nothing_and_is_never_worse() {
    for seed in 0..6 {
        let (blanks, sheets) = job(seed, 24 + seed as u32 * 3);
        let mut before: Option<Rank> = None;
        for effort in [0, 1, 3] {
            let laid = lay(&blanks, &sheets, RULES, silent(effort));
            assert_eq!(breaches(&laid, &blanks, &sheets, RULES), [], "seed {seed}, effort {effort}");
            let now = rank(&laid, &blanks, &sheets);
            assert!(before.is_none_or(|before| now <= before), "seed {seed}: {before:?} then {now:?}");
            before = Some(now);
        }
        assert!(before.is_some_and(|last| last < rank(&first(&blanks, &sheets, RULES), &blanks, &sheets)), "{seed}");
    }
}

#[test]
fn threads_change_nothing() {
    let (blanks, sheets) = job(11, 30);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| lay(&blanks, &sheets, RULES, silent(2)))
    };
    assert_eq!(with(1), with(2));
}

/// Stopped before it begins, the layout is still whole and valid.
#[test]
fn a_stop_gives_what_there_is() {
    let (blanks, sheets) = job(12, 30);
    let stop = std::sync::atomic::AtomicBool::new(true);
    let laid = lay(&blanks, &sheets, RULES, (1_000_000, &Watch::new(&|_, _| {}, &stop)));
    assert!(laid.lies.iter().flatten().count() > 20);
    assert_eq!(breaches(&laid, &blanks, &sheets, RULES), []);
}
