//! Climbs: even steps where stock allows them, and a word where it does not.

use super::*;
use crate::relief::uneven;

fn climb(row: &[u32], from: i32, to: i32) -> Says {
    Says::Climbs { row: row.iter().copied().map(piece).collect(), from: Um(from), to: Um(to) }
}

#[test]
fn a_climb_rises_evenly() {
    let (mut work, outlines) = job(6);
    let row = [2, 4, 1, 5, 3];
    must(&mut work, climb(&row, 15_000, 45_000));
    let landed = solved(&work, &outlines).unwrap();
    let tops = row.map(|number| landed[&Number(number)].height.0);
    assert_eq!((tops[0], tops[4]), (15_000, 45_000));
    assert!(tops.windows(2).all(|pair| (6000..=9000).contains(&(pair[1] - pair[0]))), "{tops:?}");
    taken(&mut work, &landed);
    assert_eq!(uneven(&work), []);
}

#[test]
fn a_climb_that_cannot_rise_evenly_is_told() {
    let (mut work, outlines) = job(5);
    let id = must(&mut work, climb(&[1, 2, 3, 4, 5], 12_000, 36_000));
    apply(&mut work, &Edit::Height { whom: piece(3), height: Um(18_000) }).unwrap();
    let landed = solved(&work, &outlines).unwrap();
    taken(&mut work, &landed);
    let [one] = uneven(&work).try_into().unwrap();
    assert_eq!((one.relation, one.piece, one.at, one.even), (id, Number(3), Um(18_000), Um(24_000)));
}

#[test]
fn a_wish_of_usual_weight_bends_a_climb() {
    let (mut work, outlines) = job(5);
    must(&mut work, climb(&[1, 2, 3, 4, 5], 12_000, 36_000));
    apply(&mut work, &Edit::Relate { says: Says::Level(piece(3), piece(4)), strength: Strength::Wish(10) }).unwrap();
    let landed = solved(&work, &outlines).unwrap();
    assert_eq!(landed[&Number(3)].height, landed[&Number(4)].height);
}

#[test]
fn a_climb_said_from_its_high_end_is_turned_round() {
    let (mut work, _) = job(3);
    let id = must(&mut work, climb(&[3, 1, 2], 45_000, 25_000));
    assert_eq!(work.relations[&id].says, climb(&[2, 1, 3], 25_000, 45_000));
    let restate = Edit::Restate { relation: id, says: climb(&[1, 3], 30_000, 12_000), strength: Strength::Must };
    apply(&mut work, &restate).unwrap();
    assert_eq!(work.relations[&id].says, climb(&[3, 1], 12_000, 30_000));
}
