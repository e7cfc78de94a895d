//! Boards, pins and cuts through the door, and layouts that break nothing.

use super::*;
use std::collections::BTreeMap;

use crate::pattern::outlines;
use crate::pattern::sample::accepted;
use crate::stock::{Why, findings, wrong};
use crate::work::edit::bench;
use crate::work::{Ask, Date, Edit as Any, Fact, Kind, Whom, Wood};
use crate::{Derived, apply as through_the_door, propose};
use measure::Watch;

fn job() -> Work {
    let mut work = Work { woods: crate::wood::table(), ..accepted(4, 3) };
    for piece in work.pieces.values_mut() {
        piece.values.wood = Some(Chosen::act(wood("walnut-black")));
        piece.values.thickness = Some(Chosen::act(Um(18_000)));
        piece.values.grain = Some(Chosen::act(Axis(16_500)));
    }
    work
}

fn wood(key: &str) -> WoodId {
    WoodId(key.into())
}

fn does(work: &mut Work, edit: Edit) -> Changes {
    through_the_door(work, &Any::Stock(edit)).expect("it can be")
}

fn refused(work: &mut Work, edit: Edit) -> Refusal {
    let before = work.clone();
    let refusal = through_the_door(work, &Any::Stock(edit)).expect_err("it cannot be");
    assert_eq!(*work, before, "a refusal leaves the job as it was");
    assert!(!refusal.ways.is_empty(), "there is a way out of: {}", refusal.what);
    refusal
}

fn size(name: &str, length: i32, width: i32, thickness: i32) -> Edit {
    let size = (Um(length), Um(width), Um(thickness));
    Edit::PutSize { name: name.into(), wood: "walnut-black".into(), size }
}

fn lay(work: &mut Work) {
    lay_with(work, 1, Watch::silent());
}

fn lay_with(work: &mut Work, effort: u32, watch: Watch) -> Option<&'static str> {
    let mut derived = Derived::default();
    let proposal = propose(work, &mut derived, &Ask::LayOut { effort }, watch).expect("it lays");
    let said = crate::stock::outcome(work, &proposal);
    through_the_door(work, &Any::Take(Box::new(proposal))).expect("nothing has changed");
    said
}

fn wrongs(work: &Work) -> Vec<crate::stock::Wrong> {
    let outlines = outlines(&work.pattern, work.panel);
    let rings = work.pieces.iter().map(|(number, piece)| (*number, outlines.areas[&piece.area].rings[0].clone()));
    wrong(work, &rings.collect())
}

fn kinds(work: &Work) -> Vec<(Kind, String)> {
    let found = findings(work, &outlines(&work.pattern, work.panel));
    found.into_iter().map(|f| (f.kind, f.why)).collect()
}

#[test]
fn all_is_laid_and_nothing_is_wrong() {
    let mut work = job();
    assert_eq!(kinds(&work), [], "nothing is said before there is a board");
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    assert!(kinds(&work)[0].1.contains("Nothing has been laid out yet"));
    lay(&mut work);
    assert_eq!(work.layout.len(), work.pieces.len());
    assert_eq!((wrongs(&work), kinds(&work)), (vec![], vec![]));
}

#[test]
fn faults_zones_and_grain_are_kept() {
    let mut work = job();
    let board = work.next.board;
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    let around = |x: i32, wide: i32| vec![(x, 20_000), (x + wide, 20_000), (x + wide, 90_000), (x, 90_000)];
    let points = |list: Vec<(i32, i32)>| list.into_iter().map(|(x, y)| Point::new(x, y)).collect::<Vec<_>>();
    let id = BoardId(board);
    does(&mut work, Edit::Fault { board: id, around: points(around(60_000, 40_000)) });
    does(
        &mut work,
        Edit::Zone { board: id, name: "sapwood".into(), around: points(around(200_000, 60_000)), keep: false },
    );
    lay(&mut work);
    assert!(wrongs(&work).is_empty() && work.layout.len() > 8, "{} lie", work.layout.len());
    let turned = |chosen: &Chosen<Lie>| (chosen.value.turn - 1500).rem_euclid(36_000);
    assert!(
        work.layout.values().all(|chosen| !(1001..35_000).contains(&turned(chosen))),
        "15° back to the grain, 10° each way"
    );
    for piece in work.pieces.values_mut() {
        piece.values.grain = Some(Chosen::hand(Axis(7000)));
    }
    assert!(wrongs(&work).iter().any(|wrong| wrong.why == Why::Grain));
}

#[test]
fn thicker_boards_are_planed_for_one_thickness_each() {
    let mut work = job();
    for number in [Number(1), Number(2)] {
        work.pieces.get_mut(&number).expect("it is there").values.thickness = Some(Chosen::hand(Um(12_000)));
    }
    does(&mut work, size("thick", 900_000, 120_000, 25_000));
    does(&mut work, Edit::Laying(Laying { crosscut: false, ..Laying::default() }));
    lay(&mut work);
    assert!(
        !work.layout.contains_key(&Number(1)) && work.layout.len() == work.pieces.len() - 2,
        "the larger group has it"
    );
    let found = kinds(&work);
    assert!(found[0].1.contains("\"thick\" is planed whole to 18 mm") && !found[0].1.contains("No room"), "{found:?}");
    does(&mut work, size("other", 200_000, 60_000, 20_000));
    lay(&mut work);
    assert_eq!(work.layout.len(), work.pieces.len());
    does(&mut work, Edit::Laying(Laying { plane: false, ..Laying::default() }));
    lay(&mut work);
    assert!(work.layout.is_empty(), "no board has the very thickness");
}

/// Walnut pieces in three thicknesses, and one board with a knot that is thicker than any of them.
fn three_thick() -> Work {
    let mut work = job();
    for (number, piece) in &mut work.pieces {
        piece.values.thickness = Some(Chosen::act(Um(9000 + (number.0 % 3) as i32 * 4500)));
    }
    does(&mut work, size("thick", 900_000, 120_000, 25_000));
    let knot = [(100_000, 20_000), (130_000, 20_000), (115_000, 60_000)].map(|(x, y)| Point::new(x, y));
    does(&mut work, Edit::Fault { board: BoardId(1), around: knot.to_vec() });
    work
}

#[test]
fn a_straight_cut_parts_the_thicknesses_that_share_a_board() {
    let mut work = three_thick();
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (work.pieces.len(), vec![]), "all are laid on the one board");
    let parts = crate::stock::parts(&work, BoardId(1));
    let ends: Vec<(Um, Um)> = parts.iter().map(|part| (part.from, part.to)).collect();
    assert!(ends[0].0 == Um(0) && ends[2].1 == Um(900_000) && ends.windows(2).all(|two| two[0].1 == two[1].0));
    assert!(parts.iter().all(|part| part.from.0 % 1000 == 0), "cuts are measured off by whole millimetres");
    let thick: Vec<i32> = parts.iter().map(|part| part.thickness.expect("all carry something").0).collect();
    assert_eq!(thick, [18_000, 13_500, 9000], "the thickest is planed to and sawn off first");
    let settings = crate::stock::milling(&work);
    assert_eq!(settings.iter().map(|one| one.to.0).collect::<Vec<_>>(), thick);
    assert!(settings.iter().all(|one| one.boards.len() == 1 && one.boards[0].part.is_some()));
    let cuts = crate::stock::crosscuts(&work);
    assert_eq!(cuts, [(BoardId(1), vec![parts[1].from, parts[2].from])]);
    // Made as it was planned, from the right end on, no piece loses its place.
    let (before, laid) = (settings, work.layout.clone());
    for at in cuts[0].1.iter().rev() {
        does(&mut work, Edit::Crosscut { board: BoardId(1), at: *at });
    }
    assert_eq!((work.boards.len(), wrongs(&work)), (3, vec![]));
    let places = |layout: &BTreeMap<Number, Chosen<Lie>>| {
        layout.iter().map(|(number, chosen)| (*number, chosen.value.at)).collect::<Vec<_>>()
    };
    assert_eq!(places(&work.layout), places(&laid));
    let settings = crate::stock::milling(&work);
    assert!(crate::stock::crosscuts(&work).is_empty() && settings.iter().all(|one| one.boards[0].part.is_none()));
    assert_eq!(
        settings.iter().map(|one| one.to).collect::<Vec<_>>(),
        before.iter().map(|one| one.to).collect::<Vec<_>>()
    );
    let again = work.layout.clone();
    lay(&mut work);
    assert_eq!(work.layout.len(), again.len());
}

/// What is to be bought stays true when a piece is built thinner than its board is planed to.
#[test]
fn a_piece_that_is_built_thinner_than_its_board_is_planed_to_loses_its_place() {
    let mut work = job();
    does(&mut work, size("plank", 900_000, 120_000, 18_000));
    lay(&mut work);
    let middle = (work.layout.iter()).min_by_key(|(_, chosen)| (chosen.value.at.x - 60_000).abs());
    let number = *middle.expect("all are laid").0;
    let thinner =
        crate::work::edit::relief::Edit::Build { whom: Whom::Piece(number), thickness: Um(12_000), raiser: Um(6000) };
    let changes = through_the_door(&mut work, &Any::Relief(thinner)).expect("it is planned");
    assert!(changes.told.iter().any(|told| told.contains("lost its place")), "{:?}", changes.told);
    assert_eq!(
        (work.layout.len(), work.layout.contains_key(&number), wrongs(&work)),
        (work.pieces.len() - 1, false, vec![])
    );
}

/// A piece that becomes thinner lies among others that do not, and that is told of it alone; laid anew, a cut parts them. The same
/// holds of pins: one of another thickness is taken where a cut can part it, and refused beside the others.
#[test]
fn what_no_cut_parts_from_another_thickness_is_told_and_refused() {
    let mut work = job();
    does(&mut work, size("plank", 900_000, 120_000, 18_000));
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (work.pieces.len(), vec![]));
    let middle = (work.layout.iter()).min_by_key(|(_, chosen)| (chosen.value.at.x - 60_000).abs());
    let thin = *middle.expect("all are laid").0;
    let thinner = |work: &mut Work, thickness: i32| {
        work.pieces.get_mut(&thin).expect("it is there").values.thickness = Some(Chosen::hand(Um(thickness)));
    };
    thinner(&mut work, 12_000);
    let told = wrongs(&work);
    assert!(matches!(told[..], [one] if one.piece == thin && matches!(one.why, Why::Thickness(_))), "{told:?}");
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (work.pieces.len(), vec![]));
    assert_eq!(crate::stock::parts(&work, BoardId(1)).len(), 2);
    // Of equal thickness again, two are pinned at the left end; there is no place between them for a thinner one.
    thinner(&mut work, 18_000);
    let mut at_left: Vec<(i32, Number)> =
        work.layout.iter().map(|(number, chosen)| (chosen.value.at.x, *number)).filter(|(_, n)| *n != thin).collect();
    at_left.sort_unstable();
    for (_, number) in at_left.iter().take(2) {
        let lie = work.layout[number].value;
        does(&mut work, Edit::Pin { piece: *number, lie });
    }
    thinner(&mut work, 12_000);
    let turn = work.layout[&thin].value.turn;
    let at = |x: i32, y: i32| Lie { board: BoardId(1), turn, at: Point::new(x, y) };
    let x = at_left.iter().take(2).map(|(x, _)| *x).max().expect("two are pinned");
    let pin = |y: i32| Edit::Pin { piece: thin, lie: at(x, y) };
    let said: Vec<String> = (20_000..110_000).step_by(10_000).map(|y| refused(&mut work, pin(y)).what).collect();
    assert!(said.iter().any(|said| said.contains("no cut straight across parts them")), "{said:?}");
    does(&mut work, Edit::Pin { piece: thin, lie: at(800_000, 60_000) });
    assert_eq!(wrongs(&work), []);
    does(&mut work, Edit::Laying(Laying { crosscut: false, ..Laying::default() }));
    assert!(wrongs(&work).iter().any(|one| matches!(one.why, Why::Thickness(_))), "the board stays whole now");
}

/// A job with a board on which more effort has laid more pieces than none would.
fn filled_by_effort(job: &Work) -> Work {
    let laid = |length: i32, effort: u32| {
        let mut work = job.clone();
        does(&mut work, size("plank", length, 60_000, 18_000));
        lay_with(&mut work, effort, Watch::silent());
        work
    };
    let tight = |length: i32| {
        let (plain, better) = (laid(length, 0), laid(length, 16));
        (plain.layout.len() < better.layout.len()).then_some(better)
    };
    (40..150).step_by(2).find_map(|mm| tight(mm * 1000)).expect("some board is filled by effort alone")
}

/// A stop at once must not take back what more effort laid.
#[test]
fn a_worse_layout_never_takes_the_place_of_a_better_one() {
    let mut work = filled_by_effort(&job());
    let before = work.layout.clone();
    let stop = std::sync::atomic::AtomicBool::new(true);
    let said = lay_with(&mut work, 1000, Watch::new(&|_, _| {}, &stop));
    assert!(said.is_some_and(|said| said.starts_with("Stopped. Nothing better")), "{said:?}");
    assert_eq!(work.layout, before);
    lay_with(&mut work, 0, Watch::silent());
    assert_eq!(work.layout, before);
    does(&mut work, Edit::Laying(Laying { apart: Um(9000), ..Laying::default() }));
    lay_with(&mut work, 0, Watch::silent());
    assert!(wrongs(&work).is_empty() && work.layout != before, "what breaks a new rule does not stay");
}

/// Of walnut the layout that stands is better than what is found without effort; cherry has a board that nothing was laid on
/// yet. Judged as one, the many pieces of cherry would bring the worse layout of walnut with them.
#[test]
fn of_each_wood_the_better_layout_stands() {
    let mut work = job();
    let of_cherry = [Number(11), Number(12)];
    for number in &of_cherry {
        work.pieces.get_mut(number).expect("there are 12").values.wood = Some(Chosen::act(wood("cherry-black")));
    }
    let mut work = filled_by_effort(&work);
    let before = work.layout.clone();
    assert!(before.keys().all(|number| !of_cherry.contains(number)), "there was no board for them");
    let cherry = (Um(400_000), Um(120_000), Um(18_000));
    does(&mut work, Edit::PutSize { name: "cherry".into(), wood: "cherry-black".into(), size: cherry });
    lay_with(&mut work, 0, Watch::silent());
    let (new, old): (Vec<_>, Vec<_>) = work.layout.iter().partition(|(number, _)| of_cherry.contains(number));
    assert_eq!(new.len(), of_cherry.len(), "the better layout of cherry is taken");
    assert_eq!(old.into_iter().map(|(number, lie)| (*number, *lie)).collect::<BTreeMap<_, _>>(), before);
}

/// Three thin pieces would have the begun thick board, which costs nothing more, and the one thick piece has no other.
#[test]
fn the_thickest_have_the_board_that_they_alone_need() {
    let mut work = job();
    for (number, piece) in &mut work.pieces {
        let thickness = if number.0 == 4 { 25_000 } else { 12_000 };
        piece.values.thickness = Some(Chosen::act(Um(thickness)));
        if number.0 > 4 {
            piece.values.wood = Some(Chosen::act(wood("cherry-black")));
        }
    }
    let begun =
        Used { piece: Number(0), ring: Board::rectangle("", wood(""), (Um(20_000), Um(20_000), Um(0))).outline };
    let thick = Board::rectangle("thick", wood("walnut-black"), (Um(300_000), Um(100_000), Um(30_000)));
    does(&mut work, Edit::Put(Box::new(Board { used: vec![begun], ..thick })));
    does(&mut work, size("thin", 300_000, 100_000, 12_700));
    lay(&mut work);
    assert_eq!(work.layout.keys().map(|number| number.0).collect::<Vec<_>>(), [1, 2, 3, 4]);
    assert_eq!((work.layout[&Number(4)].value.board, wrongs(&work)), (BoardId(1), vec![]));
}

/// A piece that is given another wood is on no board any more, and that is told.
#[test]
fn what_its_board_cannot_carry_any_more_loses_its_place() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    lay(&mut work);
    let lying = work.layout.len();
    assert!(lying > 2 && work.layout.contains_key(&Number(1)));
    let cherry = |number| {
        let whom = Whom::Piece(Number(number));
        Any::Wood(crate::work::edit::wood::Edit::Choose { whom, wood: wood("cherry-black") })
    };
    let changes = through_the_door(&mut work, &cherry(1)).expect("it is planned");
    assert!(!work.layout.contains_key(&Number(1)) && work.layout.len() == lying - 1);
    assert!(changes.told.iter().any(|told| told.contains("lost its place")), "{:?}", changes.told);
    // What is pinned stays, and a check tells of it.
    let lie = work.layout[&Number(2)].value;
    does(&mut work, Edit::Pin { piece: Number(2), lie });
    through_the_door(&mut work, &cherry(2)).expect("it is planned");
    assert!(work.layout.contains_key(&Number(2)));
    assert!(wrongs(&work).iter().any(|wrong| wrong.piece == Number(2) && wrong.why == Why::Wood));
}

/// The boards of the shopping list, put on the rack, carry all that they were listed for.
#[test]
fn the_boards_that_are_listed_suffice() {
    for (allowance, unit) in [(0, Unit::Mm), (50, Unit::Mm), (10, Unit::Inch)] {
        let mut work = job();
        work.choices.unit = unit;
        does(&mut work, Edit::Laying(Laying { allowance, apart: Um(5000), ..Laying::default() }));
        let lines = outlines(&work.pattern, work.panel);
        for one in crate::stock::missing(&work, &lines, &mut crate::stock::Bought::default()) {
            let (count, length, width) = one.boards;
            assert!(f64::from(count) * length.to_mm() * width.to_mm() >= one.buy_mm2, "the allowance is kept");
            (0..count).for_each(|_| drop(does(&mut work, size("bought", length.0, width.0, one.thickness.0))));
        }
        lay_with(&mut work, 0, Watch::silent());
        assert_eq!((work.layout.len(), kinds(&work)), (work.pieces.len(), vec![]), "{allowance} %");
    }
}

#[test]
fn a_pin_stays_and_the_rest_is_laid_round_it() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    lay(&mut work);
    let lie = work.layout[&Number(8)].value;
    let changes = does(&mut work, Edit::Pin { piece: Number(3), lie });
    assert!(changes.pieces.len() > 1 && work.layout.len() < work.pieces.len(), "what lay there gives way");
    let off = work.pieces.keys().filter(|number| !work.layout.contains_key(number));
    assert!(off.clone().all(|number| changes.told[0].contains(&number.to_string())), "{:?}", changes.told);
    assert!(changes.told[0].contains("the next layout seeks"));
    lay(&mut work);
    assert_eq!((work.layout[&Number(3)], work.layout.len()), (Chosen::hand(lie), work.pieces.len()));
    assert_eq!(wrongs(&work), []);
    let refusal = refused(&mut work, Edit::Pin { piece: Number(4), lie });
    assert!(refusal.what.contains("Pieces 4 and 3"), "{}", refusal.what);
    let off = Lie { turn: 4000, at: Point::new(200_000, 60_000), ..lie };
    let refusal = refused(&mut work, Edit::Pin { piece: Number(4), lie: off });
    assert!(refusal.what.contains("10° off its grain"), "{}", refusal.what);
    let edits = &refusal.ways[0].edits;
    edits.iter().for_each(|edit| drop(through_the_door(&mut work, edit).expect("the way out can be walked")));
    let beyond = Lie { at: Point::new(2000, 60_000), ..off };
    assert!(refused(&mut work, Edit::Pin { piece: Number(4), lie: beyond }).what.contains("edge"));
    does(&mut work, Edit::Unpin(Number(3)));
    assert_eq!(work.layout[&Number(3)].by, By::Act);
}

#[test]
fn what_is_cut_is_gone_and_comes_back_when_struck() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    let board = *work.boards.keys().next().expect("it was put");
    lay(&mut work);
    let cut = Fact::Became { piece: Number(5), state: State::Cut, on: Date(2026, 5, 17), height: None };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(cut))).expect("it is planned");
    does(&mut work, Edit::Cut([Number(6)].into()));
    assert_eq!(work.boards[&board].used.iter().map(|used| used.piece.0).collect::<Vec<_>>(), [5, 6]);
    let lay_before = work.layout.clone();
    lay(&mut work);
    assert_eq!(work.layout[&Number(5)], lay_before[&Number(5)]);
    assert_eq!(wrongs(&work), [], "nothing lies where wood is gone");
    assert!(refused(&mut work, Edit::Cut([Number(6)].into())).what.contains("cut already"));
    let struck = Fact::Struck { entry: 0, why: "wrong piece".into() };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(struck))).expect("it can be struck");
    assert_eq!((work.boards[&board].used.len(), work.layout[&Number(5)].by), (1, By::Hand));
}

/// That a board was cut is the same fact as the log's: nothing changes what is sawn, and nothing is bought for it.
#[test]
fn a_piece_cut_from_its_board_is_a_piece_cut() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    let board = *work.boards.keys().next().expect("it was put");
    lay(&mut work);
    let before = work.clone();
    does(&mut work, Edit::Cut([Number(6)].into()));
    let piece = &work.pieces[&Number(6)];
    assert_eq!((piece.state, piece.values.wood.as_ref().map(|c| c.by)), (State::Cut, Some(By::Fact)));
    let other = wood::Edit::Choose { whom: Whom::Piece(Number(6)), wood: self::wood("cherry-black") };
    assert!(through_the_door(&mut work, &Any::Wood(other)).is_err(), "it is sawn of walnut");
    let area = piece_area(&work, 6);
    let merge = crate::work::edit::pattern::Edit::Merge(vec![area, piece_area(&work, 7)]);
    assert!(through_the_door(&mut work, &Any::Pattern(merge)).is_err(), "it is sawn");
    let mut uncut = work.clone();
    does(&mut uncut, Edit::Uncut(Number(6)));
    assert_eq!((uncut.pieces[&Number(6)].state, uncut.layout[&Number(6)].by), (State::Planned, By::Hand));
    assert!(uncut.boards == before.boards && refused(&mut uncut, Edit::Uncut(Number(6))).what.contains("not cut"));
    does(&mut work, Edit::Away(board));
    let lines = outlines(&work.pattern, work.panel);
    let bought: Vec<Number> = crate::stock::missing(&work, &lines, &mut crate::stock::Bought::default())
        .into_iter()
        .flat_map(|one| one.pieces)
        .collect();
    assert!(bought.len() == work.pieces.len() - 1 && !bought.contains(&Number(6)), "{bought:?}");
    let shaped = Fact::Became { piece: Number(6), state: State::Shaped, on: Date(2026, 5, 17), height: None };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(shaped))).expect("it goes on from there");
    assert!(refused(&mut work, Edit::Uncut(Number(6))).ways[0].says.contains("Strike"));
}

/// What was said at the board stands by itself: an entry of the log that is struck takes none of it back.
#[test]
fn a_struck_entry_leaves_a_piece_cut_that_was_said_to_be_cut_from_its_board() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    lay(&mut work);
    does(&mut work, Edit::Cut([Number(6)].into()));
    let before = work.clone();
    let shaped = Fact::Became { piece: Number(6), state: State::Shaped, on: Date(2026, 5, 17), height: None };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(shaped))).expect("it is cut");
    let struck = Fact::Struck { entry: 0, why: "another piece was shaped".into() };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(struck))).expect("it can be struck");
    assert_eq!((&work.pieces, &work.boards, &work.layout), (&before.pieces, &before.boards, &before.layout));
    does(&mut work, Edit::Uncut(Number(6)));
    assert_eq!((work.pieces[&Number(6)].state, work.layout[&Number(6)].by), (State::Planned, By::Hand));
    let cut = Fact::Became { piece: Number(6), state: State::Cut, on: Date(2026, 5, 18), height: None };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(cut))).expect("it is planned again");
    let struck = Fact::Struck { entry: 2, why: "not yet".into() };
    through_the_door(&mut work, &Any::Bench(bench::Edit::Log(struck))).expect("it can be struck");
    assert_eq!(work.pieces[&Number(6)].state, State::Planned, "nothing is left that says it is cut");
}

fn piece_area(work: &Work, number: u32) -> crate::work::AreaId {
    work.pieces[&Number(number)].area
}

#[test]
fn a_crosscut_leaves_two_boards_and_every_lie_true() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    let board = *work.boards.keys().next().expect("it was put");
    does(&mut work, Edit::Price { board, price: Some(4000) });
    lay(&mut work);
    let laid = work.layout.len();
    does(&mut work, Edit::Crosscut { board, at: Um(45_000) });
    assert_eq!(work.boards.values().filter_map(|board| board.price).collect::<Vec<_>>(), [450, 3550]);
    assert!(
        work.layout.len() < laid && wrongs(&work).iter().all(|wrong| wrong.why == Why::Edge),
        "{:?}",
        wrongs(&work)
    );
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (laid, vec![]));
    assert!(refused(&mut work, Edit::Crosscut { board, at: Um(45_000) }).what.contains("does not make two boards"));
}

/// A fault in the shape of a U falls in two where its board is cut across; it is kept whole then, and both boards are sound.
#[test]
fn a_fault_that_a_cut_breaks_up_leaves_sound_boards() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 200_000, 18_000));
    let (outer, inner) =
        ([(100, 50), (300, 50), (300, 70), (120, 70)], [(120, 130), (300, 130), (300, 150), (100, 150)]);
    let around = outer.into_iter().chain(inner).map(|(x, y)| Point::new(x * 1000, y * 1000)).collect();
    does(&mut work, Edit::Fault { board: BoardId(1), around });
    does(&mut work, Edit::Crosscut { board: BoardId(1), at: Um(200_000) });
    assert_eq!(work.boards.values().map(|board| board.faults.len()).collect::<Vec<_>>(), [1, 1]);
    work.boards.values().for_each(|board| sound(board).expect("it can be"));
}

/// A thick board gives stock of both thicknesses that are wanted, less what the saw and planing take.
#[test]
fn a_resawn_board_is_two_boards_and_the_job_is_laid_on_both() {
    let mut work = job();
    let thin: Vec<Number> = work.pieces.keys().copied().take(6).collect();
    for number in &thin {
        work.pieces.get_mut(number).expect("it is there").values.thickness = Some(Chosen::act(Um(10_000)));
    }
    does(&mut work, size("plank", 400_000, 200_000, 35_000));
    let board = *work.boards.keys().next().expect("it was put");
    does(&mut work, Edit::Price { board, price: Some(3500) });
    does(&mut work, Edit::Laying(Laying { crosscut: false, ..Laying::default() }));
    lay(&mut work);
    assert!(work.layout.len() < work.pieces.len(), "a board is planed to one thickness");
    assert!(refused(&mut work, Edit::Resaw { board, to: Um(29_500) }).what.contains("no second board"));
    let offered = |work: &Work| -> Vec<Any> {
        let all = findings(work, &outlines(&work.pattern, work.panel));
        all.into_iter().flat_map(|finding| finding.ways).flat_map(|way| way.edits).collect()
    };
    let mends = offered(&work);
    assert!(matches!(mends[..], [Any::Stock(Edit::Resaw { .. })]), "a check offers it: {mends:?}");
    does(&mut work, Edit::Resaw { board, to: Um(19_000) });
    let told: Vec<(Um, Option<u32>)> = work.boards.values().map(|board| (board.thickness, board.price)).collect();
    assert_eq!(told, [(Um(19_000), Some(1900)), (Um(11_000), Some(1100))]);
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (work.pieces.len(), vec![]));
    let (on, lie) =
        work.layout.iter().find(|(number, _)| !thin.contains(number)).map(|(n, c)| (*n, c.value)).expect("laid");
    does(&mut work, Edit::Pin { piece: on, lie });
    assert!(refused(&mut work, Edit::Resaw { board, to: Um(10_000) }).what.contains("thicker"));
}

#[test]
fn what_the_shop_knows_of_a_board_is_taken_over_and_what_lies_where_wood_is_gone_is_laid_anew() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    let board = *work.boards.keys().next().expect("it was put");
    let agree = |of: &Board| Edit::Agree { board, shop: BoardId(7), of: Box::new(of.clone()) };
    lay(&mut work);
    let mut other = work.boards[&board].clone();
    does(&mut work, agree(&other));
    assert_eq!(work.boards[&board].shop, Some(BoardId(7)));
    let gone = [(0, 0), (150_000, 0), (150_000, 120_000), (0, 120_000)].map(|(x, y)| Point::new(x, y)).to_vec();
    other.used.push(Used { piece: Number(1), ring: gone });
    other.outline = Board::rectangle("", wood("walnut-black"), (Um(350_000), Um(120_000), Um(18_000))).outline;
    let laid = work.layout.len();
    does(&mut work, agree(&other));
    assert_eq!((work.boards[&board].outline.clone(), work.boards[&board].used.len()), (other.outline.clone(), 1));
    assert!(work.layout.len() < laid && wrongs(&work).is_empty(), "{:?}", wrongs(&work));
    assert_eq!(work.boards[&board].used[0].piece, Number(0), "another job's piece 1 is none of this job's");
    let same = work.clone();
    does(&mut work, agree(&other));
    assert_eq!(work, same, "it is learnt once");
    let thin = Board { thickness: Um(-5000), ..other.clone() };
    assert!(refused(&mut work, agree(&thin)).what.contains("thick"));
    let empty = Board { used: vec![Used { piece: Number(0), ring: Vec::new() }], ..other.clone() };
    assert!(refused(&mut work, agree(&empty)).what.contains("no area"));
    other.outline.iter_mut().for_each(|p| p.x += 200_000);
    assert!(refused(&mut work, agree(&other)).what.contains("cannot be one board"));
}

/// A hole goes through: when the piece was not cut after all, the wood is back on what its board was sawn into too.
#[test]
fn a_cut_that_is_taken_back_is_back_on_the_rests_of_its_board() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 60_000));
    let board = *work.boards.keys().next().expect("it was put");
    let lie = Lie { board, turn: 1500, at: Point::new(200_000, 60_000) };
    does(&mut work, Edit::Pin { piece: Number(1), lie });
    does(&mut work, Edit::Cut([Number(1)].into()));
    does(&mut work, Edit::Resaw { board, to: Um(20_000) });
    does(&mut work, Edit::Crosscut { board, at: Um(200_000) });
    assert!(work.boards.values().all(|board| board.used.len() == 1), "{:?}", work.boards);
    let changes = does(&mut work, Edit::Uncut(Number(1)));
    assert!(work.boards.values().all(|board| board.used.is_empty()), "{:?}", work.boards);
    assert_eq!(changes.boards.len(), 3);
}

#[test]
fn boards_that_cannot_be_are_refused() {
    let mut work = job();
    assert!(refused(&mut work, size("thin", 400_000, 120_000, 0)).what.contains("thick"));
    assert!(refused(&mut work, size("flat", 400_000, 0, 18_000)).what.contains("0 mm wide"));
    assert!(refused(&mut work, size("back", -500_000, 120_000, 30_000)).what.contains("-500 mm long"));
    assert!(refused(&mut work, size("turned", -500_000, -120_000, 30_000)).what.contains("-500 mm long"));
    assert!(refused(&mut work, size("", 400_000, 10_000, 18_000)).what.contains("name"));
    assert!(refused(&mut work, size("o\u{202e}ak", 400_000, 10_000, 18_000)).what.contains("cannot be seen"));
    assert!(refused(&mut work, Edit::Cut(BTreeSet::new())).what.contains("No piece"));
    assert!(refused(&mut work, size("far", 90_000_000, 10_000, 18_000)).what.contains("longer"));
    let strange = Edit::PutSize { name: "x".into(), wood: "unobtainium".into(), size: (Um(9000), Um(9000), Um(9000)) };
    assert!(refused(&mut work, strange).what.contains("unobtainium"));
    assert!(refused(&mut work, Edit::Away(BoardId(77))).what.contains("77"));
}

#[test]
fn small_or_faulty_boards_are_named_and_the_rest_is_laid() {
    let mut work = job();
    does(&mut work, size("chip", 8000, 8000, 18_000));
    does(&mut work, size("rotten", 300_000, 100_000, 18_000));
    let rotten = *work.boards.keys().last().expect("it was put");
    let all = [(0, 0), (300_000, 0), (300_000, 100_000), (0, 100_000)].map(|(x, y)| Point::new(x, y)).to_vec();
    does(&mut work, Edit::Fault { board: rotten, around: all });
    lay(&mut work);
    assert!(work.layout.is_empty());
    assert!(kinds(&work).iter().all(|(_, why)| why.contains("faults noted")), "{:?}", kinds(&work));
    does(&mut work, size("plank", 60_000, 120_000, 18_000));
    lay(&mut work);
    let found = kinds(&work);
    assert!(!work.layout.is_empty() && found.len() == 1 && found[0].0 == Kind::NoBoard, "{found:?}");
    assert_eq!(wrongs(&work), []);
    let other: Wood = work.woods[&wood("cherry-black")].clone();
    // Which pieces found room is the search's to say.
    let laid = *work.layout.keys().next().expect("some are laid");
    work.pieces.get_mut(&laid).expect("it is there").values.wood = Some(Chosen::hand(other.id));
    let wrongs = wrongs(&work);
    assert!(wrongs.len() == 1 && (wrongs[0].piece, wrongs[0].why) == (laid, Why::Wood), "{wrongs:?}");
    work.layout.remove(&laid);
    assert!(kinds(&work).iter().any(|(_, why)| why.contains("There is no board of this wood")));
}

#[test]
fn zones_reach_to_the_edge_as_sapwood_does() {
    let mut work = job();
    does(&mut work, size("plank", 400_000, 120_000, 18_000));
    let board = *work.boards.keys().next().expect("it was put");
    let zone = |top: i32, low: i32| {
        let around = [(0, top), (400_000, top), (400_000, low), (0, low)].map(|(x, y)| Point::new(x, y)).to_vec();
        Edit::Zone { board, name: "sapwood".into(), around, keep: false }
    };
    does(&mut work, zone(90_000, 120_000));
    assert!(refused(&mut work, zone(90_000, 120_001)).what.contains("beyond the edge"));
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (work.pieces.len(), vec![]));
    does(&mut work, Edit::Crosscut { board, at: Um(200_000) });
    assert!(work.boards.values().all(|half| half.zones.len() == 1), "each half keeps its part of the sapwood");
}

#[test]
fn five_thousand_boards_are_taken_and_no_more() {
    let mut work = job();
    let board = Board::rectangle("offcut", wood("walnut-black"), (Um(60_000), Um(50_000), Um(18_000)));
    work.boards = (1..=5000).map(|id| (BoardId(id), board.clone())).collect();
    lay(&mut work);
    assert_eq!((work.layout.len(), wrongs(&work)), (work.pieces.len(), vec![]));
    assert!(refused(&mut work, size("one more", 9000, 9000, 9000)).what.contains("5000"));
}
