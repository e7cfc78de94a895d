//! Two touching pieces, and what is said of them.

use super::*;
use measure::colour::Lab;

use crate::pattern::Meeting;
use crate::wood::offcuts;
use crate::work::{AreaId, Axis, Border, BorderId, Chosen, Ends, Origin, Piece, PieceValues, Side, Sourced};

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

/// Two woods of their own, 6 apart when fresh; the paler darkens and the darker pales.
fn fading() -> (Work, Outlines, Colours) {
    let mut job = job(["maple-hard", "cherry-black"]);
    for (key, l, shift) in [("maple-hard", 62.0, -5.0), ("cherry-black", 54.0, 3.0)] {
        let wood = job.0.woods.get_mut(&WoodId(key.into())).expect("it is in the table");
        wood.colour = Sourced { value: Lab::new(l, 8.0, 20.0), source: "own sample".into() };
        wood.light = Some(Sourced { value: Lab::new(shift, 0.0, 0.0), source: "own sample".into() });
    }
    job
}

#[test]
fn contrast_that_fades_is_found_and_the_mend_holds() {
    let mut job = fading();
    assert!(of(Kind::LowContrast, &job).is_empty(), "fresh it is there");
    let values = PieceValues { wood: Some(Chosen::act(WoodId("wenge".into()))), ..PieceValues::default() };
    job.0.pieces.insert(Number(3), Piece { area: AreaId(3), values, state: State::Planned });
    let found = of(Kind::Fades, &job);
    assert_eq!(found.len(), 1);
    let way = found[0].ways.iter().find(|way| way.says.contains("piece 2")).expect("wenge is darker");
    crate::apply_all(&mut job.0, &way.edits).expect("the mend can be applied");
    assert!(of(Kind::Fades, &job).is_empty() && of(Kind::LowContrast, &job).is_empty());
}

/// Every mend that spelk can walk takes the finding away, or makes it a note.
#[test]
fn grain_step_and_line_mend_it() {
    let mut job = job(["wenge", "wenge"]);
    let line = Border {
        ends: Ends::Ring(measure::plane::Point::new(0, 0)),
        curve: Vec::new(),
        left: Side::Area(AreaId(1)),
        right: Side::Area(AreaId(2)),
        gap: Um(0),
        ink: Um(0),
        from: Origin::Drawn,
    };
    job.0.pattern.borders.insert(BorderId(1), line);
    job.1.meetings.values_mut().for_each(|meeting| meeting.borders.push(BorderId(1)));
    for n in [1, 2] {
        height(&mut job.0, n, 20_000);
        job.0.pieces.get_mut(&Number(n)).expect("it is there").values.grain = Some(Chosen::act(Axis(0)));
    }
    let found = of(Kind::LowContrast, &job);
    let walked: Vec<&Way> = found[0].ways.iter().filter(|way| !way.edits.is_empty()).collect();
    assert_eq!(walked.len(), 3, "grain, step, line");
    for way in walked {
        let mut mended = job.clone();
        crate::apply_all(&mut mended.0, &way.edits).expect("the mend can be applied");
        assert!(of(Kind::LowContrast, &mended).iter().all(|finding| finding.grave == Grave::Note), "{}", way.says);
    }
}

#[test]
fn woods_alike_raw_only_are_noted_once() {
    let mut job = job(["maple-hard", "cherry-black"]);
    for (key, l, b) in [("maple-hard", 60.0, 20.0), ("cherry-black", 58.5, 22.5)] {
        let wood = job.0.woods.get_mut(&WoodId(key.into())).expect("it is in the table");
        wood.colour.value = Lab::new(l, 10.0, b);
        wood.light = None;
    }
    let difference = |finish| {
        judge(&job.0.woods[&WoodId("maple-hard".into())], &job.0.woods[&WoodId("cherry-black".into())], finish).0
    };
    let deep = crate::wood::finishes().remove("oil");
    let (raw, oiled) = (Seeing { finish: None, years: 0.0 }, Seeing { finish: deep.as_ref(), years: 0.0 });
    job.0.choices.finish = "oil".into();
    let noted = of(Kind::LowContrast, &job).iter().any(|finding| finding.key.starts_with("contrast-raw"));
    assert_eq!(noted, difference(raw) < VISIBLE && difference(oiled) >= VISIBLE);
}

#[test]
fn what_cannot_be_told_goes_on_the_list_of_tests() {
    let job = job(["cherry-black", "alder-red"]);
    let list = offcuts(&job.0, &job.1, &job.2);
    assert_eq!((list.len(), list[0].pieces.len(), list[0].coats), (1, 1, 2));
    assert_eq!(list[0].woods, ["alder-red", "cherry-black"].map(|key| WoodId(key.into())));
    assert!(offcuts(&fading().0, &fading().1, &fading().2).len() <= 1);
    let sure = self::job(["holly-american", "wenge"]);
    assert!(offcuts(&sure.0, &sure.1, &sure.2).is_empty());
}

#[test]
fn more_than_is_on_hand_and_a_backer_that_is_alike_are_found() {
    let mut job = job(["wenge", "holly-american"]);
    let area = |becomes| crate::work::Area { becomes, at: measure::plane::Point::new(0, 0) };
    job.0.pattern.areas.insert(AreaId(9), area(Becomes::Shadow));
    job.1.meetings.insert((AreaId(1), AreaId(9)), Meeting { borders: Vec::new(), length_mm: 40.0 });
    assert!(of(Kind::BackerAlike, &job).is_empty() || job.0.choices.backer.0 == "wenge");
    job.0.choices.backer = WoodId("wenge".into());
    let found = of(Kind::BackerAlike, &job);
    assert_eq!(found[0].spot.pieces, [Number(1)]);
    crate::apply_all(&mut job.0, &found[0].ways[0].edits).expect("another backer can be taken");
    assert!(of(Kind::BackerAlike, &job).is_empty());
    let widest = measure::plane::Circle { centre: measure::plane::Point::new(0, 0), radius: 1.0 };
    let outline = crate::pattern::Outline { rings: Vec::new(), borders: Vec::new(), area_mm2: 700.0, widest };
    job.1.areas.insert(AreaId(1), outline);
    job.0.choices.choosing.on_hand.insert(WoodId("wenge".into()), 1000);
    assert_eq!(of(Kind::TooLittleWood, &job).len(), 1);
    job.0.choices.choosing.on_hand.insert(WoodId("wenge".into()), 2000);
    assert!(of(Kind::TooLittleWood, &job).is_empty());
}
