//! Mends that are offered keep every must.

use super::*;

fn mends(work: &Work, outlines: &Outlines) -> Vec<(String, Work)> {
    let step = findings(work, outlines).into_iter().find(|finding| finding.kind == Kind::UnreadableStep).unwrap();
    let done = |way: &crate::work::Way| {
        let mut mended = work.clone();
        for edit in &way.edits {
            crate::apply(&mut mended, edit).unwrap();
        }
        (way.says.clone(), mended)
    };
    step.ways.iter().map(done).collect()
}

/// Piece 2 at least 1 mm above 1, at 19 and 18 mm: level would break it.
#[test]
fn level_is_not_offered_against_a_must() {
    let (mut work, outlines) = job(2);
    must(&mut work, above(2, 1, 1000));
    for (number, um) in [(1, 18_000), (2, 19_000)] {
        apply(&mut work, &Edit::Height { whom: piece(number), height: Um(um) }).unwrap();
    }
    let mends = mends(&work, &outlines);
    assert!(mends.len() == 1 && mends[0].0.starts_with("Make the step readable"), "{mends:?}");
    assert!(!kinds(&mends[0].1, &outlines).contains(&Kind::Unmet));
}

/// The higher of two cannot go up, since a third holds it down, so that the lower one goes down.
#[test]
fn the_readable_step_is_taken_where_it_keeps_the_musts() {
    let (mut work, outlines) = job(3);
    must(&mut work, above(3, 2, 1000));
    must(&mut work, Says::AtLeast { above: piece(2), below: piece(1), by: Um(1000) });
    for (number, um) in [(1, 20_000), (2, 21_000), (3, 25_000)] {
        work.pieces.get_mut(&Number(number)).unwrap().values.height = Some(Chosen::act(Um(um)));
    }
    must(&mut work, Says::Within(piece(1), Um(20_000), Um(25_000)));
    must(&mut work, Says::Within(piece(2), Um(12_000), Um(22_000)));
    let step = findings(&work, &outlines).into_iter().find(|one| one.kind == Kind::UnreadableStep).unwrap();
    assert!(step.ways.iter().all(|way| way.edits.is_empty()), "{:?}", step.ways);
    work.relations.remove(&RelationId(3));
    let mends = mends(&work, &outlines);
    assert_eq!(
        mends.iter().map(|(says, _)| says.as_str()).collect::<Vec<_>>(),
        ["Make the step readable: piece 1 at 18 mm"]
    );
    assert!(!kinds(&mends[0].1, &outlines).contains(&Kind::Unmet));
}

#[test]
fn no_frame_is_offered_that_leaves_no_heights() {
    let (mut work, outlines) = job(2);
    must(&mut work, above(1, 2, 15_000));
    let landed = solved(&work, &outlines).unwrap();
    taken(&mut work, &landed);
    work.choices.frame_depth = Some(Um(20_000));
    let found = findings(&work, &outlines).into_iter().find(|one| one.kind == Kind::OutOfFrame).unwrap();
    assert!(found.ways.iter().all(|way| !way.says.starts_with("Let no height")), "{:?}", found.ways);
}
