//! Random jobs, and what was asked of their woods.

use std::collections::BTreeMap;

use measure::Watch;
use measure::colour::Lab;
use measure::plane::{Circle, Point};

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

/// By what factor the woods found pass, in what the pieces alone cost, those found when no border is asked.
fn dearer(work: &Work, outlines: &Outlines, colours: &Colours) -> f64 {
    let (mut few, found) = found(work, outlines, colours).expect("there are woods and colours");
    few.pairs.clear();
    let alone = measure::solve::few(&few, USUAL, Watch::silent()).expect("there is room");
    let cost = |label: &[usize]| few.nodes.iter().zip(label).map(|(node, wood)| node.cost[*wood]).sum::<f64>();
    cost(&found.label) / cost(&alone.label)
}

#[test]
fn order_of_light_is_kept_with_few_woods() {
    let (mut work, outlines, colours) = job(7, 200, &[]);
    work.choices.woods_most = 8;
    let (woods, _) =
        choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods and colours");
    assert_eq!(woods.len(), 200);
    let used: BTreeSet<&WoodId> = woods.values().map(|chosen| &chosen.wood).collect();
    assert!(used.len() <= 8);
    assert!(used.iter().all(|id| !restricted(&work.woods[id])));
    let kept = order_kept(&work, &outlines, &colours, &woods);
    let dearer = dearer(&work, &outlines, &colours);
    assert!(kept >= 0.95 && dearer <= 1.05, "{kept} {dearer}");
    let again = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("as before");
    assert_eq!(again.0, woods);
}

#[test]
fn what_the_hand_chose_stays_and_counts() {
    let (mut work, outlines, colours) = job(3, 40, &[]);
    work.choices.woods_most = 3;
    let own = WoodId("cocobolo".into());
    work.pieces.get_mut(&Number(5)).expect("it is there").values.wood = Some(Chosen::hand(own.clone()));
    let (woods, _) =
        choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods and colours");
    assert_eq!(woods[&Number(5)].wood, own, "only its grain is open");
    let used: BTreeSet<&WoodId> = woods.values().map(|chosen| &chosen.wood).collect();
    assert!(used.len() <= 3, "{used:?}");
}

#[test]
fn a_job_without_a_picture_is_refused() {
    let (work, outlines, _) = job(1, 3, &[]);
    assert!(choose(&work, (&outlines, &Colours::new()), &Necks::new(), Watch::silent()).is_err());
}

fn area_in(work: &Work, outlines: &Outlines, woods: &BTreeMap<Number, WoodGrain>, wood: &str) -> f64 {
    let of = |n: &Number| outlines.areas[&work.pieces[n].area].area_mm2;
    woods.iter().filter(|(_, chosen)| chosen.wood.0 == wood).map(|(n, _)| of(n)).sum()
}

#[test]
fn boards_on_hand_come_first_and_are_not_exceeded() {
    let (mut work, outlines, colours) = job(11, 60, &[]);
    let free = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods").0;
    let favourite = free
        .values()
        .map(|chosen| chosen.wood.clone())
        .max_by_key(|wood| (area_in(&work, &outlines, &free, &wood.0) * 100.0) as u64);
    let favourite = favourite.expect("there are pieces");
    let had = (area_in(&work, &outlines, &free, &favourite.0) * 0.5 / BECOMES_PIECES) as u32;
    work.choices.choosing.on_hand.insert(favourite.clone(), had);
    let limited = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("others can be bought").0;
    assert!(area_in(&work, &outlines, &limited, &favourite.0) <= f64::from(had) * BECOMES_PIECES);

    let (mut work, outlines, colours) = job(12, 60, &[]);
    let own = ["poplar-yellow", "oak-white", "walnut-black", "cherry-black"];
    let plenty = own
        .iter()
        .filter(|id| work.woods.contains_key(&WoodId((**id).into())))
        .map(|id| (WoodId((*id).into()), 10_000_000));
    work.choices.choosing.on_hand = plenty.collect();
    let mostly = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods").0;
    let bought: BTreeSet<&WoodId> = mostly
        .values()
        .map(|chosen| &chosen.wood)
        .filter(|wood| !work.choices.choosing.on_hand.contains_key(wood))
        .collect();
    assert!(bought.len() < 9, "some woods on hand are used before all are bought: {bought:?}");
    work.choices.choosing.only_on_hand = true;
    let only = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there is plenty").0;
    assert!(only.values().all(|chosen| work.choices.choosing.on_hand.contains_key(&chosen.wood)));
    work.choices.choosing.on_hand.values_mut().for_each(|mm2| *mm2 = 100);
    let refusal = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent())
        .expect_err("a square centimetre is not enough");
    assert!(refusal.what.contains("do not suffice") && !refusal.ways.is_empty());
}

#[test]
fn more_pinned_than_there_is_gives_the_reason() {
    let (mut work, outlines, colours) = job(5, 20, &[]);
    let wenge = WoodId("wenge".into());
    work.choices.choosing.on_hand.insert(wenge.clone(), 1_000);
    for n in 1..=3 {
        work.pieces.get_mut(&Number(n)).expect("it is there").values.wood = Some(Chosen::hand(wenge.clone()));
    }
    let refusal = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect_err("too much is pinned");
    assert!(
        refusal.what.contains("3 pieces") && refusal.spot.pieces.len() == 3 && !refusal.ways.is_empty(),
        "{refusal}"
    );
}

/// Twelve pieces of three colours, two shades each.
fn shaded() -> (Work, Outlines, Colours) {
    let (work, outlines, mut colours) = job(2, 12, &[]);
    for n in 1..=12_u32 {
        let [l, a, b] = [[75.0, 3.0, 20.0], [50.0, 15.0, 25.0], [30.0, 5.0, 8.0]][n as usize % 3];
        colours.insert(AreaId(n), Lab::new(l + if n > 6 { 6.0 } else { 0.0 }, a, b));
    }
    (work, outlines, colours)
}

#[test]
fn a_tone_gets_one_wood_or_two_whose_contrast_is_kept() {
    let (mut work, outlines, colours) = shaded();
    work.choices.choosing.per_tone = 1;
    let one = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods").0;
    let tone = |n: u32| (1..=12).filter(move |other| other % 3 == n % 3);
    for n in 1..=3 {
        assert_eq!(tone(n).map(|n| &one[&Number(n)].wood).collect::<BTreeSet<_>>().len(), 1, "tone {n}");
    }
    work.choices.choosing.per_tone = 2;
    (work.choices.choosing.least, work.choices.choosing.greatest) = (300, 1200);
    let two = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods").0;
    let seen = |n: u32| crate::wood::look(&work, &work.woods[&two[&Number(n)].wood]);
    for n in 1..=3 {
        assert!(tone(n).map(|n| &two[&Number(n)].wood).collect::<BTreeSet<_>>().len() <= 2);
        let (dark, pale) = (seen(n), seen(n + 6));
        let apart = measure::colour::delta_e_2000(dark, pale);
        assert!(pale.l > dark.l && (3.0..=12.0).contains(&apart), "tone {n}: {apart}");
    }
}

#[test]
fn a_dear_wood_gives_way() {
    let (mut work, outlines, colours) = job(21, 60, &[]);
    let free = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods").0;
    let dear = free[&Number(1)].wood.clone();
    let before = area_in(&work, &outlines, &free, &dear.0);
    work.choices.choosing.prices.insert(dear.clone(), 40_000);
    let after = choose(&work, (&outlines, &colours), &Necks::new(), Watch::silent()).expect("there are woods").0;
    assert!(area_in(&work, &outlines, &after, &dear.0) < before);
}
