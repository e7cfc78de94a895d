//! Contradictions with stock: what is offered exists in stock and holds.

use super::*;
use crate::work::Way;

fn at(number: u32, um: i32) -> Says {
    Says::At(piece(number), Um(um))
}

/// What each way says instead, in its order.
fn instead(ways: &[Way]) -> Vec<Says> {
    let says = |way: &Way| match way.edits.as_slice() {
        [crate::work::Edit::Relief(Edit::Restate { says, .. })] => Some(says.clone()),
        _ => None,
    };
    ways.iter().filter_map(says).collect()
}

fn holds_after(work: &Work, outlines: &Outlines, way: &Way) -> bool {
    let mut mended = work.clone();
    for edit in &way.edits {
        crate::apply(&mut mended, edit).unwrap();
    }
    solved(&mended, outlines).is_ok()
}

#[test]
fn a_height_between_those_in_stock_gets_its_neighbours() {
    let (mut work, outlines) = job(3);
    must(&mut work, at(1, 37_000));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert_eq!(instead(&refusal.ways), [at(1, 36_000), at(1, 38_000)]);
    assert!(refusal.ways.iter().any(|way| way.says.starts_with("Add a thickness of 37 mm")));
    for way in refusal.ways.iter().filter(|way| !way.edits.is_empty()) {
        assert!(holds_after(&work, &outlines, way), "{}", way.says);
    }
    let found = findings(&work, &outlines);
    assert!(found.iter().any(|finding| finding.kind == Kind::NoWay && instead(&finding.ways).len() == 2));
}

/// Higher tops free these two, but not the third, which must stand above them.
#[test]
fn a_way_that_leaves_another_contradiction_says_so() {
    let (mut work, outlines) = job(3);
    must(&mut work, above(2, 1, 40_000));
    must(&mut work, above(3, 2, 3000));
    let refusal = solved(&work, &outlines).unwrap_err();
    let wider = refusal.ways.iter().find(|way| way.says.starts_with("Let heights go up")).expect("a wider range");
    assert!(wider.says.ends_with("(another contradiction remains)"), "{}", wider.says);
    assert!(!holds_after(&work, &outlines, wider));
}

#[test]
fn a_must_of_about_a_hair_gets_steps_that_exist() {
    let (mut work, outlines) = job(3);
    let about = |um| Says::About { above: piece(1), below: piece(2), by: Um(um) };
    must(&mut work, about(1500));
    let refusal = solved(&work, &outlines).unwrap_err();
    let offered = instead(&refusal.ways);
    for says in [about(1000), about(2000), above(1, 2, 1500)] {
        assert!(offered.contains(&says), "{offered:?}");
    }
    assert!(refusal.ways.iter().filter(|way| !way.edits.is_empty()).all(|way| holds_after(&work, &outlines, way)));
}

/// 12 to 38 mm over pieces that others hold to within 24.5 mm: 36.5 mm is not in stock, so 36 is said.
#[test]
fn a_loosened_climb_ends_on_stock() {
    let (mut work, outlines) = job(3);
    must(&mut work, Says::Within(piece(3), Um(12_000), Um(37_500)));
    let row = vec![piece(1), piece(2), piece(3)];
    must(&mut work, Says::Climbs { row, from: Um(12_000), to: Um(38_000) });
    let refusal = solved(&work, &outlines).unwrap_err();
    let ends: Vec<i32> = instead(&refusal.ways)
        .iter()
        .filter_map(|says| match says {
            Says::Climbs { to, .. } => Some(to.0),
            _ => None,
        })
        .collect();
    assert_eq!(ends, [36_000]);
    assert!(refusal.ways.iter().filter(|way| !way.edits.is_empty()).all(|way| holds_after(&work, &outlines, way)));
}

#[test]
fn each_relation_of_a_chain_is_loosened_or_said_why_not() {
    let (mut work, outlines) = job(3);
    must(&mut work, above(1, 2, 6000));
    must(&mut work, Says::About { above: piece(2), below: piece(3), by: Um(3000) });
    must(&mut work, Says::Level(piece(3), piece(1)));
    let refusal = solved(&work, &outlines).unwrap_err();
    let offered = instead(&refusal.ways);
    assert!(offered.contains(&Says::About { above: piece(3), below: piece(2), by: Um(6000) }), "{offered:?}");
    assert!(offered.contains(&Says::AtLeast { above: piece(1), below: piece(3), by: Um(0) }), "{offered:?}");
    let advice = refusal.ways.iter().find(|way| way.edits.is_empty()).unwrap();
    assert!(advice.says.contains("No other figure helps in “piece 1 at least 6 mm above piece 2”"), "{}", advice.says);
}

#[test]
fn the_range_is_let_out_to_a_height_in_stock() {
    let (mut work, outlines) = job(2);
    must(&mut work, above(1, 2, 35_000));
    let refusal = solved(&work, &outlines).unwrap_err();
    let way = refusal.ways.iter().find(|way| way.says.starts_with("Let heights go up to 47 mm")).unwrap();
    assert!(holds_after(&work, &outlines, way));
}
