//! Relief as a maker meets it: edits in, heights or a reason out.

use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;
use measure::length::Um;
use measure::plane::{Circle, Cubic, Point};

use super::{apply, findings, front, heights, price_of_settings, settings};
use crate::pattern::{Meeting, Outline, Outlines};
use crate::work::edit::relief::Edit;
use crate::work::edit::setup;
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, By, Changes, Chosen, Depth, Ends, JunctionId, Kind, Landed, Named, Number,
    Origin, Part, PartId, Piece, PieceValues, Refusal, RelationId, Retired, Says, Side, State, Strength, Whom, Work,
};

mod anchors;
mod climbs;
mod loosening;
mod mending;
mod on_hand;
mod properties;
mod wishes;

/// A row of touching pieces, numbered from 1 on.
pub(super) fn job(pieces: u32) -> (Work, Outlines) {
    let (mut work, mut outlines) = (Work::default(), Outlines::default());
    for id in 1..=pieces {
        let at = Point::new(id as i32 * 10_000, 0);
        work.pattern.areas.insert(AreaId(id), Area { becomes: Becomes::Piece(Number(id)), at });
        let piece = Piece { area: AreaId(id), values: PieceValues::default(), state: State::Planned };
        work.pieces.insert(Number(id), piece);
        let outline = Outline {
            rings: Vec::new(),
            borders: Vec::new(),
            area_mm2: 100.0,
            widest: Circle { centre: at, radius: 5000.0 },
        };
        outlines.areas.insert(AreaId(id), outline);
        if id > 1 {
            outlines.meetings.insert((AreaId(id - 1), AreaId(id)), Meeting { borders: Vec::new(), length_mm: 10.0 });
        }
    }
    work.next.number = pieces + 1;
    (work, outlines)
}

fn piece(number: u32) -> Whom {
    Whom::Piece(Number(number))
}

fn above(a: u32, b: u32, um: i32) -> Says {
    Says::AtLeast { above: piece(a), below: piece(b), by: Um(um) }
}

fn must(work: &mut Work, says: Says) -> RelationId {
    let id = RelationId(work.next.relation);
    apply(work, &Edit::Relate { says, strength: Strength::Must }).unwrap();
    id
}

fn part(work: &mut Work, id: u32, name: &str, pieces: impl IntoIterator<Item = u32>) -> Whom {
    let pieces = pieces.into_iter().map(Number).collect();
    work.parts.insert(PartId(id), Part { name: name.into(), pieces, within: None });
    Whom::Part(PartId(id))
}

fn solved(work: &Work, outlines: &Outlines) -> Result<BTreeMap<Number, Landed>, Refusal> {
    heights(work, outlines, Watch::silent()).map(|(landed, _)| landed)
}

fn taken(work: &mut Work, landed: &BTreeMap<Number, Landed>) {
    for (number, landed) in landed {
        let values = &mut work.pieces.get_mut(number).unwrap().values;
        values.height = Some(Chosen::act(landed.height));
        values.thickness = Some(Chosen::act(landed.thickness));
        values.raiser = Some(Chosen::act(landed.raiser));
    }
}

fn relief_edit(edit: &crate::work::Edit) -> &Edit {
    match edit {
        crate::work::Edit::Relief(edit) => edit,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_contradiction_names_its_chain_and_each_way_out_works() {
    let (mut work, outlines) = job(8);
    must(&mut work, above(7, 8, 3000));
    let ring = [above(1, 2, 3000), above(2, 3, 4000), above(3, 1, 1000)].map(|says| must(&mut work, says));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert_eq!(refusal.spot.relations, ring);
    assert!(refusal.what.contains("piece 1 at least 3 mm above piece 2"), "{}", refusal.what);
    assert!(refusal.what.ends_with("over by 8 mm."), "{}", refusal.what);
    for id in ring {
        let mut without = work.clone();
        apply(&mut without, &Edit::Unrelate(id)).unwrap();
        solved(&without, &outlines).unwrap();
    }
    assert!(refusal.ways.iter().filter(|way| !way.edits.is_empty()).count() >= 3);
    for way in refusal.ways.into_iter().filter(|way| !way.edits.is_empty()) {
        let mut mended = work.clone();
        way.edits.iter().for_each(|edit| {
            apply(&mut mended, relief_edit(edit)).unwrap();
        });
        assert!(solved(&mended, &outlines).is_ok(), "{}", way.says);
    }
}

#[test]
fn the_smallest_loosening_is_exact() {
    let (mut work, outlines) = job(3);
    let id = must(&mut work, above(1, 2, 40_000));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert!(refusal.what.contains("no piece stands higher than 45 mm"), "{}", refusal.what);
    let first = relief_edit(&refusal.ways[0].edits[0]).clone();
    assert_eq!(first, Edit::Restate { relation: id, says: above(1, 2, 33_000), strength: Strength::Must });
}

#[test]
fn two_contradictions_are_told_apart() {
    let (mut work, outlines) = job(6);
    for (a, b) in [(1, 2), (2, 1), (4, 5), (5, 4)] {
        must(&mut work, above(a, b, 2000));
    }
    let found = findings(&work, &outlines);
    let named: Vec<Vec<u32>> = found
        .iter()
        .filter(|finding| finding.kind == Kind::NoWay)
        .map(|finding| finding.spot.relations.iter().map(|id| id.0).collect())
        .collect();
    assert_eq!(named, [vec![1, 2], vec![3, 4]]);
    let mut by_edits = found[0].ways.iter().filter(|way| !way.edits.is_empty());
    assert!(by_edits.all(|way| way.says.contains("another contradiction remains")));
}

#[test]
fn parts_contradict_as_one_relation_each() {
    let (mut work, outlines) = job(12);
    let reeds = part(&mut work, 1, "reeds", 1..=5);
    let water = part(&mut work, 2, "water", 6..=10);
    let one = must(&mut work, Says::AtLeast { above: reeds, below: water, by: Um(3000) });
    let landed = solved(&work, &outlines).unwrap();
    let (low, high) = (1..=5).zip(6..=10).fold((i32::MAX, 0), |(low, high), (a, b)| {
        (low.min(landed[&Number(a)].height.0), high.max(landed[&Number(b)].height.0))
    });
    assert!(low - high >= 3000);
    let two = must(&mut work, above(7, 3, 0));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert_eq!(refusal.spot.relations, [one, two]);
    assert!(refusal.what.contains("“reeds” at least 3 mm above “water”"), "{}", refusal.what);
}

#[test]
fn what_is_settled_never_moves() {
    let (mut work, outlines) = job(4);
    apply(&mut work, &Edit::Height { whom: piece(2), height: Um(17_300) }).unwrap();
    let cut = work.pieces.get_mut(&Number(3)).unwrap();
    cut.state = State::Cut;
    cut.values.height = Some(Chosen { value: Um(30_000), by: By::Fact });
    must(&mut work, above(1, 3, 2000));
    let landed = solved(&work, &outlines).unwrap();
    assert!(!landed.contains_key(&Number(2)) && !landed.contains_key(&Number(3)));
    assert!(landed[&Number(1)].height.0 >= 32_000);
    must(&mut work, above(2, 3, 0));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert!(refusal.what.contains("piece 3 is made at 30 mm"), "{}", refusal.what);
    assert!(refusal.what.contains("piece 2 is fixed at 17.3 mm"), "{}", refusal.what);
    let edits = refusal.ways.iter().flat_map(|way| &way.edits).map(relief_edit);
    let unpinned: Vec<&Edit> = edits.filter(|edit| matches!(edit, Edit::Unpin(_))).collect();
    assert_eq!(unpinned, [&Edit::Unpin(piece(2))], "a fact cannot be let go");
}

#[test]
fn a_fixed_thickness_leaves_only_its_heights() {
    let (mut work, outlines) = job(3);
    work.pieces.get_mut(&Number(1)).unwrap().values.thickness = Some(Chosen::hand(Um(20_000)));
    must(&mut work, Says::Within(piece(1), Um(22_000), Um(24_000)));
    let landed = solved(&work, &outlines).unwrap()[&Number(1)];
    assert_eq!((landed.thickness, landed.raiser), (Um(20_000), Um(3000)));
}

#[test]
fn what_stock_cannot_give_is_said() {
    let (mut work, outlines) = job(2);
    let id = must(&mut work, Says::At(piece(1), Um(17_300)));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert_eq!(refusal.spot.relations, [id]);
    assert!(refusal.what.contains("stock") && refusal.what.contains("piece 1 at 17.3 mm"), "{}", refusal.what);
}

#[test]
fn marks_order_parts_and_climb_between() {
    let (mut work, outlines) = job(9);
    apply(&mut work, &Edit::Mark { whom: piece(1), depth: Depth::Far }).unwrap();
    apply(&mut work, &Edit::Mark { whom: piece(9), depth: Depth::Near }).unwrap();
    let landed = solved(&work, &outlines).unwrap();
    let tops: Vec<i32> = landed.values().map(|landed| landed.height.0).collect();
    assert!(tops.windows(2).all(|pair| pair[0] <= pair[1]) && tops[8] - tops[0] >= 20_000, "{tops:?}");
    assert!(tops.iter().collect::<BTreeSet<_>>().len() >= 4, "{tops:?}");
}

#[test]
fn the_innermost_mark_counts() {
    let (mut work, outlines) = job(6);
    let whole = part(&mut work, 1, "bird", []);
    let wing = part(&mut work, 2, "wing", 1..=3);
    work.parts.get_mut(&PartId(2)).unwrap().within = Some(PartId(1));
    for (whom, depth) in [(whole, Depth::Near), (wing, Depth::Far), (piece(2), Depth::Middle)] {
        apply(&mut work, &Edit::Mark { whom, depth }).unwrap();
    }
    let landed = solved(&work, &outlines).unwrap();
    let top = |number| landed[&Number(number)].height.0;
    assert!(top(1) == top(3) && (20_000..36_000).contains(&top(2)) && top(1) < 20_000);
}

/// Three areas around a junction at the middle: a stem from the left meets a straight upright edge.
fn t_junction() -> (Work, Outlines) {
    let (mut work, mut outlines) = job(3);
    outlines.meetings.insert((AreaId(1), AreaId(3)), Meeting { borders: Vec::new(), length_mm: 10.0 });
    let (top, bottom, left, middle) =
        (Point::new(0, -30_000), Point::new(0, 30_000), Point::new(-30_000, 0), Point::new(0, 0));
    let sides = |a, b| (Side::Area(AreaId(a)), Side::Area(AreaId(b)));
    let spokes = [(top, sides(1, 3)), (bottom, sides(3, 2)), (left, sides(2, 1))];
    for (at, (end, (left, right))) in (1..).zip(spokes) {
        let ends = Ends::Between(JunctionId(4), JunctionId(at));
        let curve = vec![Cubic([middle, middle, end, end])];
        let border = Border { ends, curve, left, right, gap: Um(0), ink: Um(0), from: Origin::Traced };
        work.pattern.borders.insert(BorderId(at), border);
        outlines.lines.insert(BorderId(at), vec![middle, end]);
    }
    (work, outlines)
}

#[test]
fn the_straight_edge_at_a_t_is_in_front() {
    let (work, outlines) = t_junction();
    let guessed = front::fronts(&work, &outlines);
    let pairs: Vec<(u32, u32)> = guessed.iter().map(|front| (front.front.0, front.behind.0)).collect();
    assert_eq!(pairs, [(3, 1), (3, 2)]);
    let landed = solved(&work, &outlines).unwrap();
    let top = |number| landed[&Number(number)].height.0;
    let step = work.choices.stock.readable_step.0;
    assert!(top(3) - top(1) >= step && top(3) - top(2) >= step, "{landed:?}");
}

fn refused(work: &Work, edit: Edit, word: &str) {
    let mut changed = work.clone();
    let refusal = apply(&mut changed, &edit).expect_err(&format!("{edit:?}"));
    assert!(refusal.what.contains(word), "{} lacks “{word}”", refusal.what);
    assert!(refusal.what.ends_with('.') && !refusal.ways.is_empty(), "{refusal:?}");
    assert_eq!(&changed, work);
}

#[test]
fn what_cannot_be_is_refused_with_a_way_out() {
    let (mut work, _) = job(6);
    work.pieces.remove(&Number(6));
    work.retired.insert(Number(6), Retired { into: Number(5) });
    work.pieces.remove(&Number(4));
    work.pieces.get_mut(&Number(3)).unwrap().state = State::Set;
    let reeds = part(&mut work, 1, "reeds", [1, 2]);
    let bank = part(&mut work, 2, "bank", [2, 3]);
    let bare = part(&mut work, 3, "moon", []);
    let relate = |says| Edit::Relate { says, strength: Strength::Must };
    let climb = |row: &[Whom], from, to| Says::Climbs { row: row.to_vec(), from: Um(from), to: Um(to) };
    refused(&work, relate(above(1, 1, 5)), "itself");
    refused(&work, relate(Says::Level(reeds, reeds)), "itself");
    refused(&work, relate(Says::Level(reeds, piece(2))), "shares piece 2");
    refused(&work, relate(above(1, 6, 5)), "merged into piece 5");
    refused(&work, relate(above(1, 4, 5)), "open area");
    refused(&work, relate(above(1, 99, 5)), "no piece 99");
    refused(&work, relate(Says::At(Whom::Part(PartId(9)), Um(1))), "no part 9");
    refused(&work, relate(above(1, 2, -1)), "beyond");
    refused(&work, relate(Says::At(piece(1), Um(200_001))), "beyond");
    refused(&work, relate(Says::Within(piece(1), Um(9000), Um(8000))), "above the higher");
    refused(&work, relate(climb(&[piece(1)], 0, 1)), "two or more");
    refused(&work, relate(climb(&[piece(1), piece(2), piece(1)], 0, 1)), "itself");
    refused(&work, relate(Says::AtLeast { above: reeds, below: bank, by: Um(1) }), "shares piece 2");
    refused(&work, relate(Says::About { above: reeds, below: piece(1), by: Um(1) }), "shares piece 1");
    for weight in [0, 1_000_001] {
        refused(&work, Edit::Relate { says: above(1, 2, 5), strength: Strength::Wish(weight) }, "weight");
    }
    let tall = "thickest on the highest raiser is 54 mm";
    refused(&work, Edit::Height { whom: piece(1), height: Um(54_001) }, tall);
    refused(&work, relate(Says::At(piece(1), Um(60_000))), tall);
    refused(&work, relate(climb(&[piece(1), piece(2)], 12_000, 60_000)), tall);
    refused(&work, relate(Says::Within(piece(1), Um(55_000), Um(60_000))), tall);
    refused(&work, relate(Says::SameAs(piece(1), piece(1))), "itself");
    refused(
        &work,
        Edit::KeepApart { one: piece(1), other: piece(6), named: Named::Hair, strength: Strength::Must },
        "merged",
    );
    refused(&work, Edit::Unrelate(RelationId(7)), "no relation 7");
    refused(&work, Edit::Height { whom: piece(3), height: Um(9000) }, "fact");
    refused(&work, Edit::Unpin(bank), "fact");
    refused(&work, Edit::Height { whom: piece(1), height: Um(-1) }, "beyond");
    refused(&work, Edit::Height { whom: bare, height: Um(9000) }, "no pieces");
    refused(&work, Edit::Mark { whom: bare, depth: Depth::Near }, "no pieces");
    refused(&work, relate(Says::Level(bare, piece(1))), "no pieces");
    refused(&work, relate(Says::Level(bank, piece(2))), "shares piece 2");
    refused(&work, Edit::Build { whom: piece(1), thickness: Um(150_000), raiser: Um(60_000) }, "beyond");
    refused(&work, Edit::Build { whom: piece(1), thickness: Um(0), raiser: Um(0) }, "thickness");
    refused(&work, Edit::Unmark(piece(1)), "no depth mark");
}

#[test]
fn an_edit_says_what_it_touched() {
    let (mut work, _) = job(3);
    let changes = apply(&mut work, &Edit::Height { whom: piece(2), height: Um(21_000) }).unwrap();
    assert_eq!(changes, Changes { pieces: [Number(2)].into(), ..Changes::default() });
    let changes = apply(&mut work, &Edit::Relate { says: above(1, 2, 5), strength: Strength::Wish(3) }).unwrap();
    assert_eq!(changes, Changes { relations: [RelationId(1)].into(), ..Changes::default() });
}

fn kinds(work: &Work, outlines: &Outlines) -> Vec<Kind> {
    findings(work, outlines).into_iter().map(|finding| finding.kind).collect()
}

#[test]
fn nothing_is_said_of_what_is_undecided() {
    let (mut work, outlines) = job(5);
    must(&mut work, above(1, 2, 3000));
    assert_eq!(kinds(&work, &outlines), []);
    let landed = solved(&work, &outlines).unwrap();
    taken(&mut work, &landed);
    assert_eq!(kinds(&work, &outlines), []);
}

#[test]
fn findings_of_heights_and_their_mends() {
    let (mut work, outlines) = job(4);
    let bare = part(&mut work, 1, "moon", [3]);
    apply(&mut work, &Edit::Mark { whom: bare, depth: Depth::Far }).unwrap();
    work.parts.get_mut(&PartId(1)).unwrap().pieces.clear();
    must(&mut work, above(1, 2, 3000));
    for (number, um) in [(1, 18_000), (2, 18_900), (4, 30_000)] {
        apply(&mut work, &Edit::Height { whom: piece(number), height: Um(um) }).unwrap();
    }
    // The hand has fixed both pieces against the must, so it can neither be met nor be worked out.
    assert_eq!(
        kinds(&work, &outlines),
        [Kind::NoWay, Kind::Unmet, Kind::OffStock, Kind::UnreadableStep, Kind::EmptyPart]
    );
    let step = findings(&work, &outlines).into_iter().find(|finding| finding.kind == Kind::UnreadableStep).unwrap();
    assert_eq!(step.ways.len(), 2);
    for way in &step.ways {
        let mut mended = work.clone();
        way.edits.iter().for_each(|edit| {
            apply(&mut mended, relief_edit(edit)).unwrap();
        });
        assert!(!kinds(&mended, &outlines).contains(&Kind::UnreadableStep), "{}", way.says);
    }
}

#[test]
fn few_planer_settings_are_wished_and_musts_outweigh_them() {
    let (mut work, outlines) = job(16);
    apply(&mut work, &Edit::Mark { whom: piece(1), depth: Depth::Far }).unwrap();
    apply(&mut work, &Edit::Mark { whom: piece(16), depth: Depth::Near }).unwrap();
    let landed_by = |work: &mut Work, most: Option<u32>| {
        work.choices.planer_settings = most;
        let landed = solved(work, &outlines).unwrap();
        taken(work, &landed);
        settings(work).len()
    };
    let freely = landed_by(&mut work, None);
    assert!(freely > 3, "{freely}");
    for most in 1..=3 {
        assert_eq!(landed_by(&mut work, Some(most)), most as usize);
        assert_eq!(kinds(&work, &outlines), []);
    }
    let price = price_of_settings(&work, &outlines, Watch::silent()).unwrap().unwrap();
    assert_eq!(price.settings_without, freely);
    assert!(!price.otherwise.is_empty());

    // 12 and 30 mm by the hand, and a step over all raisers besides.
    for (number, um) in [(5, 12_000), (9, 30_000)] {
        apply(&mut work, &Edit::Build { whom: piece(number), thickness: Um(um), raiser: Um(0) }).unwrap();
    }
    must(&mut work, above(16, 9, 15_000));
    assert_eq!(landed_by(&mut work, Some(2)), 3);
    assert_eq!(kinds(&work, &outlines), [Kind::PlanerSettings]);
    let way = &findings(&work, &outlines)[0].ways[1];
    way.edits.iter().for_each(|edit| {
        crate::apply(&mut work, edit).unwrap();
    });
    assert_eq!(kinds(&work, &outlines), []);

    // What is cut is planed already.
    work.pieces.get_mut(&Number(5)).unwrap().state = State::Cut;
    assert!(landed_by(&mut work, Some(2)) == 2 && settings(&work).keys().all(|one| one.0 >= 30_000));
}

#[test]
fn built_the_same_means_thickness_and_raiser() {
    let (mut work, outlines) = job(4);
    apply(&mut work, &Edit::Build { whom: piece(1), thickness: Um(12_000), raiser: Um(9000) }).unwrap();
    must(&mut work, Says::SameAs(piece(2), piece(1)));
    must(&mut work, Says::SameAs(piece(3), piece(2)));
    let landed = solved(&work, &outlines).unwrap();
    for number in [2, 3] {
        let one = landed[&Number(number)];
        assert_eq!((one.thickness, one.raiser), (Um(12_000), Um(9000)), "21 mm is 18 on 3 where nobody says otherwise");
    }
    taken(&mut work, &landed);
    work.pieces.get_mut(&Number(3)).unwrap().values.thickness = Some(Chosen::hand(Um(18_000)));
    assert!(findings(&work, &outlines).iter().any(|finding| finding.kind == Kind::Unmet));
}

#[test]
fn a_named_step_follows_the_slider() {
    let (mut work, _) = job(3);
    let says = Says::AtLeast { above: piece(1), below: piece(2), by: Um(0) };
    for named in [Named::Hair, Named::Step, Named::Lot] {
        apply(&mut work, &Edit::RelateBy { says: says.clone(), strength: Strength::Must, named }).unwrap();
    }
    let by = |work: &Work| -> Vec<i32> {
        work.relations.values().map(|one| one.says.clone().distance().unwrap().0).collect()
    };
    assert_eq!(by(&work), [1500, 3000, 6000]);
    crate::apply(&mut work, &crate::work::Edit::Setup(setup::Edit::Step(Um(8000)))).unwrap();
    assert_eq!(by(&work), [4000, 8000, 16_000]);
    let too_small = crate::work::Edit::Setup(setup::Edit::Step(Um(1000)));
    let refusal = crate::apply(&mut work, &too_small).unwrap_err();
    assert!(refusal.what.contains("1.5 mm") && !refusal.ways.is_empty(), "{}", refusal.what);
    refused(
        &work,
        Edit::RelateBy { says: Says::Level(piece(1), piece(2)), strength: Strength::Must, named: Named::Hair },
        "distance",
    );
}

#[test]
fn apart_is_turned_by_what_lies_in_front_or_refused() {
    let (mut work, _) = t_junction();
    let apart = |one, other| Edit::KeepApart {
        one: piece(one),
        other: piece(other),
        named: Named::Step,
        strength: Strength::Must,
    };
    let last = |work: &Work| work.relations.values().next_back().unwrap().says.clone();
    apply(&mut work, &apart(1, 3)).unwrap();
    assert_eq!(last(&work), above(3, 1, 3000), "the straight edge lies in front");
    let mut unsure = work.clone();
    let refusal = apply(&mut unsure, &apart(1, 2)).unwrap_err();
    assert!(refusal.what.contains("not known"), "{}", refusal.what);
    assert_eq!(refusal.ways.iter().filter(|way| !way.edits.is_empty()).count(), 2);
    apply(&mut unsure, relief_edit(&refusal.ways[1].edits[0])).unwrap();
    assert_eq!(last(&unsure), above(2, 1, 3000));
    for (whom, depth) in [(piece(1), Depth::Near), (piece(2), Depth::Far)] {
        apply(&mut work, &Edit::Mark { whom, depth }).unwrap();
    }
    apply(&mut work, &apart(2, 1)).unwrap();
    assert_eq!(last(&work), above(1, 2, 3000), "marks tell");
}
