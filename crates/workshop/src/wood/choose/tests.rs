//! Small jobs whose best answer can be had by trying everything.

use std::collections::BTreeMap;

use measure::Watch;
use measure::colour::Lab;
use measure::plane::{Circle, Point};

use super::problem::Problem;
use super::search::{search, whole};
use super::*;
use crate::pattern::{Meeting, Outline};
use crate::wood::table;
use crate::work::{AreaId, PieceValues};

/// A generator of our own (Knuth's MMIX constants), so that a job is the same for ever.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }

    fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.below(1 << 20) as f64 / f64::from(1 << 20)
    }
}

fn square(x: i32, side: i32) -> Outline {
    let ring = [(0, 0), (side, 0), (side, side), (0, side)].map(|(dx, dy)| Point::new(x + dx, dy)).to_vec();
    let widest = Circle { centre: Point::new(x + side / 2, side / 2), radius: f64::from(side) / 2.0 };
    let area_mm2 = f64::from(side) * f64::from(side) / 1e6;
    Outline { rings: vec![ring], borders: Vec::new(), area_mm2, widest }
}

/// `pieces` squares, each touching the next and some others, with tones all over the picture's range.
fn job(seed: u64, pieces: u32, woods: &[&str]) -> (Work, Outlines, Colours) {
    let mut dice = Dice(seed);
    let (mut work, mut outlines, mut colours) = (Work::default(), Outlines::default(), Colours::new());
    work.woods = table().into_iter().filter(|(id, _)| woods.is_empty() || woods.contains(&id.0.as_str())).collect();
    for n in 1..=pieces {
        let area = AreaId(n);
        work.pieces.insert(Number(n), Piece { area, values: PieceValues::default(), state: State::Planned });
        outlines.areas.insert(area, square(n as i32 * 40_000, 5_000 + dice.below(35_000) as i32));
        colours.insert(area, Lab::new(dice.between(5.0, 95.0), dice.between(-20.0, 40.0), dice.between(-30.0, 50.0)));
        for other in [n.saturating_sub(1), n.saturating_sub(7)].into_iter().filter(|other| *other > 0) {
            let meeting = Meeting { borders: Vec::new(), length_mm: dice.between(2.0, 30.0) };
            outlines.meetings.insert((AreaId(other), area), meeting);
        }
    }
    (work, outlines, colours)
}

const FEW: [&str; 6] = ["holly-american", "cherry-black", "walnut-black", "wenge", "yellowheart", "redheart"];

fn everything(problem: &Problem, most: usize) -> f64 {
    let pieces = problem.pieces.len() as u32;
    let of = |at: usize| (0..pieces).map(|p| at / problem.woods.pow(p) % problem.woods).collect::<Vec<_>>();
    (0..problem.woods.pow(pieces))
        .map(of)
        .filter(|wood| wood.iter().copied().collect::<BTreeSet<_>>().len() <= most)
        .map(|wood| whole(problem, &wood))
        .fold(f64::MAX, f64::min)
}

/// Against every one of 6⁶ answers: never better than the best, and seldom short of it.
#[test]
fn small_jobs_come_out_as_good_as_trying_everything() {
    let mut best = 0;
    for seed in 0..20 {
        let (work, outlines, colours) = job(seed, 6, &FEW);
        let offered = offered(&work);
        let problem = Problem::new(&work, &outlines, &colours, &offered);
        let (ours, exact) = (search(&problem, 3, Watch::silent()).cost, everything(&problem, 3));
        assert!(ours >= exact - 1e-6 && ours <= 1.02 * exact, "seed {seed}: {ours} {exact}");
        best += usize::from(ours <= exact + 1e-6);
    }
    assert!(best >= 16, "{best} of 20");
}

/// The share of border length, of that which differs by ΔL* 5 or more in the picture, whose order holds by ΔL* 2 in wood.
fn order_kept(work: &Work, outlines: &Outlines, colours: &Colours, woods: &BTreeMap<Number, WoodGrain>) -> f64 {
    let light = |n: u32| crate::wood::look(work, &work.woods[&woods[&Number(n)].wood]).l;
    let (mut kept, mut all) = (0.0, 0.0);
    for ((one, two), meeting) in &outlines.meetings {
        let step = colours[one].l - colours[two].l;
        if step.abs() >= 5.0 {
            all += meeting.length_mm;
            kept += if step.signum() * (light(one.0) - light(two.0)) >= 2.0 { meeting.length_mm } else { 0.0 };
        }
    }
    kept / all
}

/// What the pieces alone cost with the woods found, when borders are asked or not.
fn fidelity(work: &Work, outlines: &Outlines, colours: &Colours, borders: bool) -> f64 {
    let mut problem = Problem::new(work, outlines, colours, &offered(work));
    if !borders {
        problem.pieces.iter_mut().for_each(|piece| piece.asks.clear());
    }
    let found = search(&problem, work.choices.woods_most as usize, Watch::silent());
    problem.pieces.iter().zip(&found.wood).map(|(piece, wood)| piece.cost[*wood]).sum()
}

#[test]
fn order_of_light_is_kept_with_few_woods() {
    let (mut work, outlines, colours) = job(7, 200, &[]);
    work.choices.woods_most = 8;
    let (woods, _) = choose(&work, &outlines, &colours, Watch::silent()).expect("there are woods and colours");
    assert_eq!(woods.len(), 200);
    let used: BTreeSet<&WoodId> = woods.values().map(|chosen| &chosen.wood).collect();
    assert!(used.len() <= 8);
    assert!(used.iter().all(|id| !restricted(&work.woods[id])));
    let kept = order_kept(&work, &outlines, &colours, &woods);
    let dearer = fidelity(&work, &outlines, &colours, true) / fidelity(&work, &outlines, &colours, false);
    assert!(kept >= 0.95 && dearer <= 1.05, "{kept} {dearer}");
    let again = choose(&work, &outlines, &colours, Watch::silent()).expect("as before");
    assert_eq!(again.0, woods);
}

#[test]
fn what_the_hand_chose_stays_and_counts() {
    let (mut work, outlines, colours) = job(3, 40, &[]);
    work.choices.woods_most = 3;
    let own = WoodId("cocobolo".into());
    work.pieces.get_mut(&Number(5)).expect("it is there").values.wood = Some(Chosen::hand(own.clone()));
    let (woods, _) = choose(&work, &outlines, &colours, Watch::silent()).expect("there are woods and colours");
    assert_eq!(woods[&Number(5)].wood, own, "only its grain is open");
    let used: BTreeSet<&WoodId> = woods.values().map(|chosen| &chosen.wood).collect();
    assert!(used.len() <= 3, "{used:?}");
}

#[test]
fn a_job_without_a_picture_is_refused() {
    let (work, outlines, _) = job(1, 3, &[]);
    assert!(choose(&work, &outlines, &Colours::new(), Watch::silent()).is_err());
}
