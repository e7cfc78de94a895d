//! Single edits with known outcomes, and random runs of edits that must keep it whole.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::plane::Point;
use proptest::prelude::*;

use crate::pattern::sample::{CELL, accepted, draft};
use crate::pattern::{Outlines, outlines, prove};
use crate::work::edit::{Edit as Any, bench, part, pattern::Edit, relief};
use crate::work::{
    AreaId, Becomes, Border, BorderId, Changes, Date, Depth, Ends, Fact, Number, Origin, Refusal, RelationId, Says,
    Side, State, Strength, Whom, Work,
};

pub(super) fn edit(work: &mut Work, edit: Edit) -> Result<Changes, Refusal> {
    crate::apply(work, &Any::Pattern(edit))
}

pub(super) fn refusal(work: &mut Work, this: Edit) -> String {
    let before = work.clone();
    let refusal = edit(work, this).expect_err("it cannot be");
    assert_eq!(*work, before, "a refusal leaves the job as it was");
    assert!(!refusal.ways.is_empty() || refusal.what.contains("already"), "{refusal} has no way out");
    refusal.what
}

pub(super) fn area_of(work: &Work, number: u32) -> AreaId {
    work.pieces[&Number(number)].area
}

pub(super) fn area_mm2(work: &Work, number: u32) -> f64 {
    derived(work).areas[&area_of(work, number)].area_mm2
}

pub(super) fn derived(work: &Work) -> Outlines {
    outlines(&work.pattern, work.panel)
}

pub(super) fn whole(work: &Work) {
    assert_eq!(prove(&work.pattern, work.panel), []);
    let sum: f64 = derived(work).areas.values().map(|outline| outline.area_mm2).sum();
    let panel = work.panel.width.to_mm() * work.panel.height.to_mm();
    assert!((sum - panel).abs() <= 1e-6 * panel, "{sum} of {panel} mm²");
    for (number, piece) in &work.pieces {
        assert_eq!(work.pattern.areas[&piece.area].becomes, Becomes::Piece(*number));
    }
    let pieces = work.pattern.areas.values().filter(|area| matches!(area.becomes, Becomes::Piece(_))).count();
    assert_eq!(pieces, work.pieces.len());
}

pub(super) fn points(of: &[(i32, i32)]) -> Vec<Point> {
    of.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

#[test]
fn numbers_are_given_in_reading_order() {
    let work = accepted(3, 2);
    whole(&work);
    assert_eq!(work.pieces.len(), 8);
    let place = |number| work.pattern.areas[&area_of(&work, number)].at;
    assert_eq!(place(1), Point::new(CELL / 6, CELL / 6));
    assert_eq!(place(8), Point::new(2 * CELL + CELL / 6, CELL + CELL / 6));
    assert_eq!(work.next.number, 9);
}

#[test]
fn merging_keeps_the_lowest_number_and_what_was_said() {
    let mut work = accepted(3, 3);
    let (one, two) = (Whom::Piece(Number(1)), Whom::Piece(Number(2)));
    let third = Whom::Piece(Number(5));
    let must = Strength::Must;
    for says in [
        Says::AtLeast { above: two, below: third, by: Um(2000) },
        Says::Level(one, two),
        Says::At(two, Um(20_000)),
        Says::Climbs { row: vec![one, two, third], from: Um(12_000), to: Um(30_000) },
    ] {
        crate::apply(&mut work, &Any::Relief(relief::Edit::Relate { says, strength: must })).expect("it can be said");
    }
    crate::apply(&mut work, &Any::Relief(relief::Edit::Mark { whom: two, depth: Depth::Near })).expect("a mark");
    let name = part::Edit::Name { name: "reeds".into(), pieces: [Number(1), Number(2)].into(), within: None };
    crate::apply(&mut work, &Any::Part(name)).expect("a part");
    let keep = part::Edit::Keep { part: work.parts.keys().next().copied().unwrap(), name: "dark".into() };
    crate::apply(&mut work, &Any::Part(keep)).expect("a variant");

    let sum = area_mm2(&work, 1) + area_mm2(&work, 2);
    let areas = vec![area_of(&work, 2), area_of(&work, 1)];
    let changes = edit(&mut work, Edit::Merge(areas)).expect("they touch");
    whole(&work);
    assert!((area_mm2(&work, 1) - sum).abs() < 1e-9);
    assert_eq!(work.retired[&Number(2)].into, Number(1));
    assert_eq!(changes.pieces, [Number(1), Number(2)].into());
    let says: Vec<_> = work.relations.values().map(|relation| relation.says.clone()).collect();
    assert_eq!(
        says,
        [
            Says::AtLeast { above: one, below: third, by: Um(2000) },
            Says::Climbs { row: vec![one, third], from: Um(12_000), to: Um(30_000) },
        ]
    );
    assert_eq!(changes.relations, (1..=4).map(RelationId).collect());
    assert_eq!(work.marks, BTreeMap::from([(one, Depth::Near)]));
    assert!(work.parts.values().all(|part| part.pieces == [Number(1)].into()));
    assert!(work.variants.values().all(|variant| variant.values.keys().eq([&Number(1)])));
}

#[test]
fn merging_dissolves_junctions_and_unwinds_rings() {
    let mut work = accepted(2, 2);
    let ids: Vec<AreaId> = work.pieces.values().map(|piece| piece.area).collect();
    edit(&mut work, Edit::Merge(ids)).expect("all touch");
    whole(&work);
    assert_eq!((work.pieces.len(), work.retired.len()), (1, 5));
    // Corners of the panel may keep their junctions; nothing is left inside.
    assert!(work.pattern.borders.values().all(|border| border.from == Origin::Edge));
}

#[test]
fn a_gap_is_never_lost_in_a_merge() {
    let mut work = accepted(3, 2);
    let outlines = derived(&work);
    let shared = |a: u32, b: u32| {
        let (a, b) = (area_of(&work, a), area_of(&work, b));
        outlines.meetings[&(a.min(b), a.max(b))].borders[0]
    };
    let numbers: Vec<u32> = (1..=8).filter(|n| work.pattern.areas[&area_of(&work, *n)].at.y < CELL / 2).collect();
    let (first, second) = (numbers[0], numbers[1]);
    let below = *work
        .pieces
        .iter()
        .find(|(_, p)| work.pattern.areas[&p.area].at == Point::new(CELL / 6, CELL + CELL / 6))
        .unwrap()
        .0;
    let border = shared(first, below.0);
    edit(&mut work, Edit::Gap { border, gap: Um(1000) }).expect("a gap can be");
    let merged = vec![area_of(&work, first), area_of(&work, second)];
    edit(&mut work, Edit::Merge(merged)).expect("they touch");
    whole(&work);
    assert_eq!(work.pattern.borders.values().filter(|border| border.gap == Um(1000)).count(), 1);
    assert_eq!(work.pattern.borders[&border].gap, Um(1000));
}

#[test]
fn a_split_keeps_the_number_on_the_larger_side() {
    let mut work = accepted(3, 2);
    let name = part::Edit::Name { name: "reeds".into(), pieces: [Number(1)].into(), within: None };
    crate::apply(&mut work, &Any::Part(name)).expect("a part");
    let whole_area = area_mm2(&work, 1);
    let before = work.next;
    let along = points(&[(5000, -3000), (5000, 9000), (6000, 15_000), (5500, 23_000)]);
    let area = area_of(&work, 1);
    let changes = edit(&mut work, Edit::Split { area, along }).expect("it goes across");
    whole(&work);
    let new = Number(before.number);
    assert_eq!(changes.pieces, [Number(1), new].into());
    assert_eq!(area_of(&work, 1), area);
    assert!(area_mm2(&work, 1) > area_mm2(&work, new.0));
    // The halves of the borders that were parted are snapped to whole µm.
    assert!((area_mm2(&work, 1) + area_mm2(&work, new.0) - whole_area).abs() < 0.05);
    assert_eq!(work.parts.values().next().unwrap().pieces, [Number(1), new].into());
    assert!(work.next.junction == before.junction + 2 && work.next.border == before.border + 3);
}

#[test]
fn the_neighbours_line_hardly_moves() {
    let mut work = accepted(3, 2);
    let before = derived(&work);
    let along = points(&[(10_000, 3000), (10_500, 27_000)]);
    let area = area_of(&work, 1);
    // The line is too short to leave at the top and ends in the cell below: it is drawn on upwards by a millimetre only.
    assert!(refusal(&mut work, Edit::Split { area, along }).contains("ends inside"));
    let along = points(&[(10_000, -500), (10_500, 27_000)]);
    edit(&mut work, Edit::Split { area, along }).expect("it goes across");
    for (id, outline) in derived(&work).areas {
        let Some(old) = before.areas.get(&id).filter(|_| id != area) else { continue };
        assert!((outline.area_mm2 - old.area_mm2).abs() < 0.002 * 20.0, "{id}");
    }
}

#[test]
fn a_closed_line_makes_an_island_and_takes_holes_along() {
    let mut work = accepted(3, 2);
    let host =
        work.pattern.borders.values().find(|b| matches!(b.ends, Ends::Ring(_))).and_then(|b| b.left.area()).unwrap();
    let circle = |radius: f64| {
        let at = |k: i32| {
            let angle = f64::from(k) * std::f64::consts::TAU / 24.0;
            let (x, y) = (radius * libm::cos(angle), radius * libm::sin(angle));
            Point::new(CELL * 3 / 2 + x as i32, CELL / 2 + y as i32)
        };
        (0..=24).map(at).collect::<Vec<_>>()
    };
    let pieces = work.pieces.len();
    edit(&mut work, Edit::Split { area: host, along: circle(7500.0) }).expect("a ring fits around the island");
    whole(&work);
    assert_eq!(work.pieces.len(), pieces + 1);
    let made = derived(&work);
    assert_eq!(made.areas[&host].rings.len(), 2, "the host has one hole, which now holds the ring");
    let added = *work.pattern.areas.keys().last().unwrap();
    assert_eq!(made.areas[&added].rings.len(), 2);
    assert!((made.areas[&added].area_mm2 - std::f64::consts::PI * (7.5 * 7.5 - 36.0)).abs() < 0.5);
}

#[test]
fn from_corner_to_corner_no_junction_is_made() {
    let mut work = accepted(3, 2);
    let (area, before) = (area_of(&work, 1), work.next);
    edit(&mut work, Edit::Split { area, along: points(&[(-100, -100), (20_100, 20_100)]) }).expect("corner to corner");
    whole(&work);
    assert_eq!((work.next.junction, work.next.border), (before.junction, before.border + 1));
}

#[test]
fn an_opened_number_never_returns() {
    let mut work = accepted(3, 2);
    let area = area_of(&work, 3);
    edit(&mut work, Edit::Open(area)).expect("it can be opened");
    assert_eq!(work.pattern.areas[&area].becomes, Becomes::Shadow);
    edit(&mut work, Edit::Drop(area)).expect("shadow can be dropped");
    edit(&mut work, Edit::Close(area)).expect("ground can be closed");
    assert_eq!(work.pattern.areas[&area].becomes, Becomes::Piece(Number(9)));
    assert!(!work.pieces.contains_key(&Number(3)));
    whole(&work);
}

#[test]
fn what_cannot_be_is_refused_with_a_way_out() {
    let mut work = accepted(3, 2);
    let area = |number| area_of(&accepted(3, 2), number);
    let (first, last) = (area(1), area(8));
    let split = |of: &[(i32, i32)]| Edit::Split { area: first, along: points(of) };
    let edge = *work.pattern.borders.iter().find(|(_, border)| border.from == Origin::Edge).unwrap().0;
    let inner = *work.pattern.borders.iter().find(|(_, border)| border.from == Origin::Traced).unwrap().0;
    for (this, says) in [
        (Edit::Merge(vec![first]), "two areas"),
        (Edit::Merge(vec![first, last]), "shares no border"),
        (Edit::Merge(vec![first, AreaId(99_999)]), "no area 99999"),
        (split(&[(1, 1)]), "no line"),
        (split(&[(5000, 5000), (12_000, 12_000)]), "ends inside"),
        (split(&[(50_000, -1000), (50_000, 30_000)]), "does not cross"),
        (split(&[(5000, -1000), (5000, 5000), (10_000, -1000), (15_000, 5000), (15_000, -2000)]), "comes back"),
        (split(&[(1000, -1000), (15_000, 15_000), (1000, 15_000), (15_000, 1000), (18_000, -5000)]), "upon itself"),
        (split(&[(10_000, -100), (10_050, 10), (10_100, -100)]), "cuts a corner"),
        (Edit::Close(first), "piece 1 already"),
        (Edit::Gap { border: edge, gap: Um(1000) }, "edge of the panel"),
        (Edit::Gap { border: inner, gap: Um(100) }, "cannot be"),
        (Edit::Gap { border: inner, gap: Um(3001) }, "cannot be"),
        (Edit::Gap { border: BorderId(99_999), gap: Um(0) }, "no border 99999"),
    ] {
        let what = refusal(&mut work, this.clone());
        assert!(what.contains(says), "{this:?}: {what}");
    }
    let host =
        work.pattern.borders.values().find(|b| matches!(b.ends, Ends::Ring(_))).and_then(|b| b.left.area()).unwrap();
    let to_hole = points(&[(30_000, -1000), (30_000, 5500)]);
    assert!(refusal(&mut work, Edit::Split { area: host, along: to_hole }).contains("at a hole"));
}

#[test]
fn what_is_cut_stays() {
    let mut work = accepted(3, 2);
    let (one, two) = (area_of(&work, 1), area_of(&work, 2));
    let cut = Fact::Became { piece: Number(1), state: State::Cut, on: Date(2025, 3, 1), height: None };
    crate::apply(&mut work, &Any::Bench(bench::Edit::Log(cut))).expect("it can be logged");
    let border = *work
        .pattern
        .borders
        .iter()
        .find(|(_, b)| b.from == Origin::Traced && (b.left == Side::Area(one) || b.right == Side::Area(one)))
        .unwrap()
        .0;
    for this in [
        Edit::Merge(vec![one, two]),
        Edit::Split { area: one, along: points(&[(5000, -3000), (5000, 23_000)]) },
        Edit::Open(one),
        Edit::Drop(one),
        Edit::Gap { border, gap: Um(500) },
    ] {
        assert!(refusal(&mut work, this).contains("is cut"));
    }
    let (draft, _) = draft(3, 2);
    assert!(super::accept(&mut work, &draft).expect_err("it is cut").what.contains("is cut"));
}

#[test]
fn a_new_draft_keeps_numbers_that_lie_over_each_other() {
    let mut work = accepted(3, 2);
    let pinned = relief::Edit::Height { whom: Whom::Piece(Number(1)), height: Um(15_000) };
    crate::apply(&mut work, &Any::Relief(pinned)).expect("a height");
    let gone: BTreeSet<Number> = work.pieces.keys().copied().filter(|n| *n != Number(1)).collect();
    let name = part::Edit::Name { name: "all".into(), pieces: work.pieces.keys().copied().collect(), within: None };
    crate::apply(&mut work, &Any::Part(name)).expect("a part");
    // The same cells again: every piece keeps its number. Then one single cell: it overlaps none by half of itself.
    let (again, _) = draft(3, 2);
    super::accept(&mut work, &again).expect("a whole draft");
    whole(&work);
    assert_eq!(work.pieces.len(), 8);
    assert_eq!(work.pieces[&Number(1)].values.height.map(|chosen| chosen.value), Some(Um(15_000)));
    assert_eq!(work.next.number, 9);
    let mut one = again.clone();
    let ids: BTreeSet<AreaId> = one.areas.keys().copied().collect();
    super::merge::unite(&mut one, &ids, AreaId(1), &mut Changes::default());
    super::accept(&mut work, &one).expect("a whole draft");
    whole(&work);
    assert_eq!(work.pieces.keys().copied().collect::<Vec<_>>(), [Number(9)]);
    assert!(gone.iter().all(|number| work.retired[number].into == Number(9)));
    assert_eq!(work.parts.values().map(|part| part.pieces.clone()).collect::<Vec<_>>(), [[Number(9)].into()]);
    // A part may be left without a piece, and the job too.
    for area in work.pattern.areas.keys().copied().collect::<Vec<_>>() {
        edit(&mut work, Edit::Drop(area)).expect("it becomes ground");
    }
    super::accept(&mut work, &again).expect("a whole draft");
    assert_eq!((work.pieces.len(), work.parts.len()), (8, 1));
}

/// One step of a random run: the area and border by their place among all.
#[derive(Clone, Debug)]
enum Step {
    Merge(usize, usize),
    Across(usize, f64, f64),
    Around(usize, f64),
    Open(usize),
    Drop(usize),
    Close(usize),
    Gap(usize, i32),
}

fn step() -> impl Strategy<Value = Step> {
    let any = || 0usize..1000;
    prop_oneof![
        2 => (any(), any()).prop_map(|(a, b)| Step::Merge(a, b)),
        4 => (any(), 0.0..std::f64::consts::TAU, -0.8..0.8).prop_map(|(a, turn, off)| Step::Across(a, turn, off)),
        1 => (any(), 0.3..0.95).prop_map(|(a, share)| Step::Around(a, share)),
        1 => any().prop_map(Step::Open),
        1 => any().prop_map(Step::Drop),
        1 => any().prop_map(Step::Close),
        1 => (any(), 0..4).prop_map(|(b, gap)| Step::Gap(b, gap * 500)),
    ]
}

fn to_edit(work: &Work, step: &Step) -> Edit {
    let made = derived(work);
    let ids: Vec<AreaId> = work.pattern.areas.keys().copied().collect();
    let nth = |n: usize| ids[n % ids.len()];
    match *step {
        Step::Merge(a, b) => {
            let beside: Vec<AreaId> = made
                .meetings
                .keys()
                .filter(|(x, y)| *x == nth(a) || *y == nth(a))
                .flat_map(|(x, y)| [*x, *y])
                .filter(|id| *id != nth(a))
                .collect();
            Edit::Merge(vec![nth(a), beside[b % beside.len().max(1)..].first().copied().unwrap_or(nth(b))])
        }
        Step::Across(a, turn, off) => {
            let circle = made.areas[&nth(a)].widest;
            let (x, y) = (libm::cos(turn), libm::sin(turn));
            let r = circle.radius;
            let at = |along: f64, aside: f64| {
                Point::new(
                    circle.centre.x + (x * along - y * aside) as i32,
                    circle.centre.y + (y * along + x * aside) as i32,
                )
            };
            let along = (-12..=12)
                .map(|k| {
                    let k = f64::from(k);
                    at(k * r / 4.0, off * r + 0.1 * r * libm::sin(k))
                })
                .collect();
            Edit::Split { area: nth(a), along }
        }
        Step::Around(a, share) => {
            let circle = made.areas[&nth(a)].widest;
            let at = |k: i32| {
                let (angle, r) = (f64::from(k) * std::f64::consts::TAU / 16.0, circle.radius * share);
                Point::new(
                    circle.centre.x + (r * libm::cos(angle)) as i32,
                    circle.centre.y + (r * libm::sin(angle)) as i32,
                )
            };
            Edit::Split { area: nth(a), along: (0..=16).map(at).collect() }
        }
        Step::Open(a) => Edit::Open(nth(a)),
        Step::Drop(a) => Edit::Drop(nth(a)),
        Step::Close(a) => Edit::Close(nth(a)),
        Step::Gap(b, gap) => {
            let ids: Vec<BorderId> = work.pattern.borders.keys().copied().collect();
            Edit::Gap { border: ids[b % ids.len()], gap: Um(gap) }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_edits_keep_the_pattern_whole(steps in prop::collection::vec(step(), 1..30)) {
        let mut work = accepted(3, 3);
        let mut highest = work.next.number;
        for step in &steps {
            let this = to_edit(&work, step);
            let before = work.clone();
            let Ok(changes) = edit(&mut work, this.clone()) else { continue };
            prop_assert_eq!(prove(&work.pattern, work.panel), vec![], "{:?}", this);
            whole(&work);
            prop_assert_eq!(work.next.highest(before.next), work.next);
            for number in work.pieces.keys().filter(|number| !before.pieces.contains_key(number)) {
                prop_assert!(number.0 >= highest, "{} was given before", number);
            }
            highest = work.next.number;
            untold(&before, &work, &changes);
        }
    }
}

/// Everything that differs is among the changes.
fn untold(before: &Work, after: &Work, changes: &Changes) {
    fn differ<K: Ord + Copy, V: PartialEq>(a: &BTreeMap<K, V>, b: &BTreeMap<K, V>) -> Vec<K> {
        a.keys().chain(b.keys()).filter(|id| a.get(id) != b.get(id)).copied().collect()
    }
    assert!(differ(&before.pattern.areas, &after.pattern.areas).iter().all(|id| changes.areas.contains(id)));
    assert!(differ(&before.pattern.borders, &after.pattern.borders).iter().all(|id| changes.borders.contains(id)));
    assert!(differ(&before.pieces, &after.pieces).iter().all(|id| changes.pieces.contains(id)));
    assert!(differ(&before.parts, &after.parts).iter().all(|id| changes.parts.contains(id)));
    let (was, is) = (derived(before), derived(after));
    for (id, outline) in &is.areas {
        let alike = was.areas.get(id).is_some_and(|old| old.borders == outline.borders && old.rings == outline.rings);
        assert!(alike || changes.areas.contains(id), "area {id} changed untold");
    }
}

#[test]
#[ignore = "a measurement, not a check: run with --nocapture"]
fn how_long_edits_take_at_800_pieces() {
    let work = accepted(28, 28);
    let time = |what: &str, run: &dyn Fn()| {
        let start = std::time::Instant::now();
        for _ in 0..5 {
            run();
        }
        eprintln!("{what}: {:.1} ms", start.elapsed().as_secs_f64() * 200.0);
    };
    time("outlines", &|| drop(derived(&work)));
    let made = derived(&work);
    time("labels 1400x1400", &|| drop(made.labels(1400, 1400)));
    time("prove", &|| drop(prove(&work.pattern, work.panel)));
    let (a, b) = (area_of(&work, 400), area_of(&work, 401));
    time("merge", &|| drop(edit(&mut work.clone(), Edit::Merge(vec![a, b])).unwrap()));
    let circle = made.areas[&a].widest;
    let along: Vec<Point> =
        (-50..=50).map(|k| Point::new(circle.centre.x + k * 300, circle.centre.y + k % 3)).collect();
    time("split", &|| drop(edit(&mut work.clone(), Edit::Split { area: a, along: along.clone() }).unwrap()));
    let (x, y) = (circle.centre.x, circle.centre.y);
    let across: Vec<Point> = (0..=560).map(|k| Point::new(k * 1000, y + 100 * (k % 3))).collect();
    time("draw across all", &|| drop(edit(&mut work.clone(), Edit::Draw { along: across.clone() }).unwrap()));
    let near = Point::new(x / CELL * CELL, y / CELL * CELL + CELL / 2);
    let pull = Edit::Reshape { at: near, to: Point::new(near.x + 2000, near.y), width: Um(6000) };
    time("reshape", &|| drop(edit(&mut work.clone(), pull.clone()).unwrap()));
    let smooth = Edit::Smooth { along: vec![near], by: Um(6000) };
    time("smooth", &|| drop(edit(&mut work.clone(), smooth.clone()).unwrap()));
    let corner = Point::new(x / CELL * CELL, y / CELL * CELL);
    let to = Point::new(corner.x + 1000, corner.y);
    let junction = Edit::Junction { at: corner, to, width: Um(6000) };
    time("junction", &|| drop(edit(&mut work.clone(), junction.clone()).unwrap()));
    time("open", &|| drop(edit(&mut work.clone(), Edit::Open(a)).unwrap()));
    let (draft, _) = draft(28, 28);
    time("accept again", &|| drop(super::accept(&mut work.clone(), &draft).unwrap()));
}

#[test]
fn drawn_lines_stay_where_they_are_when_areas_merge() {
    let mut work = accepted(2, 2);
    let beyond = |border: &&mut Border| border.left == Side::Beyond || border.right == Side::Beyond;
    let beside = |border: &Border, id: AreaId| border.left == Side::Area(id) || border.right == Side::Area(id);
    for border in work.pattern.borders.values_mut().filter(beyond).filter(|border| beside(border, AreaId(3))) {
        border.ink = Um(700);
    }
    let inked = |work: &Work| -> i32 {
        let borders = work.pattern.borders.values().filter(|border| border.ink == Um(700));
        borders
            .flat_map(|border| &border.curve)
            .map(|c| (c.end().x - c.start().x).abs() + (c.end().y - c.start().y).abs())
            .sum()
    };
    let before = inked(&work);
    edit(&mut work, Edit::Merge(vec![AreaId(3), AreaId(4)])).unwrap();
    assert_eq!((inked(&work), before), (2 * CELL, 2 * CELL));
    assert_eq!(prove(&work.pattern, work.panel), []);
}
