//! Two touching pieces, and what is said of them.

use super::*;
use crate::work::{Chosen, PieceValues};

/// Pieces 1 and 2 touch along 40 mm; the picture shows them pale and dark.
fn job(woods: [&str; 2]) -> (Work, Outlines, Colours) {
    let (mut work, mut outlines) = (Work { woods: crate::wood::table(), ..Work::default() }, Outlines::default());
    for (n, wood) in [1, 2].into_iter().zip(woods) {
        let values = PieceValues { wood: Some(Chosen::act(WoodId(wood.into()))), ..PieceValues::default() };
        work.pieces.insert(Number(n), Piece { area: AreaId(n), values, state: State::Planned });
    }
    outlines.meetings.insert((AreaId(1), AreaId(2)), Meeting { borders: Vec::new(), length_mm: 40.0 });
    let colours = Colours::from([(AreaId(1), Lab::new(80.0, 2.0, 15.0)), (AreaId(2), Lab::new(40.0, 8.0, 15.0))]);
    (work, outlines, colours)
}

fn of(kind: Kind, (work, outlines, colours): &(Work, Outlines, Colours)) -> Vec<Finding> {
    findings(work, outlines, colours).into_iter().filter(|finding| finding.kind == kind).collect()
}

fn height(work: &mut Work, n: u32, um: i32) {
    work.pieces.get_mut(&Number(n)).expect("it is there").values.height = Some(Chosen::act(Um(um)));
}

#[test]
fn pieces_that_look_alike_are_found_and_the_mend_mends() {
    let mut job = job(["holly-american", "holly-american"]);
    let values = PieceValues { wood: Some(Chosen::act(WoodId("wenge".into()))), ..PieceValues::default() };
    job.0.pieces.insert(Number(3), Piece { area: AreaId(3), values, state: State::Planned });
    let found = of(Kind::LowContrast, &job);
    assert_eq!(found.len(), 1);
    let way = found[0].ways.iter().find(|way| way.says.contains("piece 2")).expect("wenge is darker");
    crate::apply_all(&mut job.0, &way.edits).expect("the mend can be applied");
    assert!(of(Kind::LowContrast, &job).is_empty());
}

#[test]
fn contrast_short_borders_steps_and_undecided_pieces_are_left_in_peace() {
    assert!(of(Kind::LowContrast, &job(["holly-american", "wenge"])).is_empty());
    let same = || job(["wenge", "wenge"]);
    let mut short = same();
    short.1.meetings.values_mut().for_each(|meeting| meeting.length_mm = 9.0);
    assert!(of(Kind::LowContrast, &short).is_empty());
    let mut stepped = same();
    height(&mut stepped.0, 1, 20_000);
    let step = stepped.0.choices.stock.readable_step.0;
    height(&mut stepped.0, 2, 20_000 + step);
    assert!(of(Kind::LowContrast, &stepped).is_empty());
    let mut open = same();
    open.0.pieces.get_mut(&Number(2)).expect("it is there").values.wood = None;
    assert!(of(Kind::LowContrast, &open).is_empty());
    assert_eq!(of(Kind::LowContrast, &same()).len(), 1);
}

#[test]
fn a_colour_that_nobody_measured_is_named_once() {
    assert_eq!(of(Kind::UnsureColour, &job(["wenge", "wenge"])).len(), 1);
    assert!(of(Kind::UnsureColour, &job(["spruce-sitka", "cypress-hinoki"])).is_empty());
}

#[test]
fn too_many_woods_are_grave_and_both_ways_mend_it() {
    let mut job = job(["holly-american", "wenge"]);
    job.0.choices.woods_most = 1;
    let found = of(Kind::TooManyWoods, &job);
    assert_eq!((found.len(), found[0].grave, found[0].ways.len()), (1, Grave::Grave, 2));
    for way in &found[0].ways {
        let mut work = job.0.clone();
        crate::apply_all(&mut work, &way.edits).expect("the mend can be applied");
        assert!(of(Kind::TooManyWoods, &(work, job.1.clone(), job.2.clone())).is_empty(), "{}", way.says);
    }
}
