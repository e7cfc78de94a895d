//! Wishes beside guesses and marks.

use super::*;
use crate::relief::given_up;

/// Seven near pieces and a far one: a wish of the least weight that the far one stands highest.
#[test]
fn a_wish_gives_way_to_no_guess_and_to_no_mark() {
    let (mut work, outlines) = job(8);
    let near = part(&mut work, 1, "near", 1..=7);
    apply(&mut work, &Edit::Mark { whom: near, depth: Depth::Near }).unwrap();
    apply(&mut work, &Edit::Mark { whom: piece(8), depth: Depth::Far }).unwrap();
    let says = Says::AtLeast { above: piece(8), below: near, by: Um(20_000) };
    apply(&mut work, &Edit::Relate { says, strength: Strength::Wish(1) }).unwrap();
    let landed = solved(&work, &outlines).unwrap();
    taken(&mut work, &landed);
    assert_eq!(given_up(&work), []);
}

#[test]
fn of_two_wishes_the_heavier_is_kept_and_a_must_before_both() {
    let (mut work, outlines) = job(3);
    for (says, weight) in [(above(1, 2, 6000), 3), (above(2, 1, 6000), 4)] {
        apply(&mut work, &Edit::Relate { says, strength: Strength::Wish(weight) }).unwrap();
    }
    let step = |work: &Work| {
        let landed = solved(work, &outlines).unwrap();
        landed[&Number(2)].height.0 - landed[&Number(1)].height.0
    };
    assert!(step(&work) >= 6000);
    must(&mut work, Says::Level(piece(1), piece(2)));
    assert_eq!(step(&work), 0);
}
