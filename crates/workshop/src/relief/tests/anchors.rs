//! Relations to the backer's face and to the front of the frame.

use super::*;

fn frame(work: &mut Work, um: i32) {
    crate::apply(work, &crate::work::Edit::Setup(setup::Edit::FrameDepth(Some(Um(um))))).unwrap();
}

fn under_front(number: u32, um: i32) -> Says {
    Says::AtLeast { above: Whom::Frame, below: piece(number), by: Um(um) }
}

fn stands(work: &Work, outlines: &Outlines, number: u32) -> i32 {
    solved(work, outlines).unwrap()[&Number(number)].height.0
}

#[test]
fn what_is_said_of_the_front_follows_the_frame() {
    let (mut work, outlines) = job(3);
    frame(&mut work, 30_000);
    must(&mut work, Says::About { above: Whom::Frame, below: piece(2), by: Um(5000) });
    must(&mut work, Says::AtLeast { above: piece(1), below: Whom::Backer, by: Um(25_000) });
    must(&mut work, under_front(1, 4000));
    assert_eq!(stands(&work, &outlines, 2), 25_000);
    assert!((25_000..=26_000).contains(&stands(&work, &outlines, 1)));
    frame(&mut work, 41_000);
    assert_eq!(stands(&work, &outlines, 2), 36_000);
}

#[test]
fn a_whole_part_stays_below_the_front() {
    let (mut work, outlines) = job(4);
    frame(&mut work, 25_000);
    let all = part(&mut work, 1, "bank", [1, 2, 3, 4]);
    must(&mut work, Says::AtLeast { above: Whom::Frame, below: all, by: Um(3000) });
    let landed = solved(&work, &outlines).unwrap();
    assert!(landed.values().all(|one| one.height.0 <= 22_000), "{landed:?}");
}

#[test]
fn a_contradiction_with_the_front_offers_a_step_on_stock_and_a_deeper_frame() {
    let (mut work, outlines) = job(2);
    frame(&mut work, 30_000);
    must(&mut work, under_front(1, 8000));
    must(&mut work, Says::At(piece(1), Um(25_000)));
    let refusal = solved(&work, &outlines).unwrap_err();
    assert!(refusal.what.contains("piece 1 at least 8 mm below the frame's front at 30 mm"), "{}", refusal.what);
    let deeper = refusal.ways.iter().find(|way| way.says == "Take a frame that is 33 mm deep").expect("a deeper frame");
    let less =
        refusal.ways.iter().find(|way| way.says.contains("at least 5 mm below the frame's front")).expect("less");
    for way in [deeper, less] {
        let mut mended = work.clone();
        way.edits.iter().for_each(|edit| drop(crate::apply(&mut mended, edit).unwrap()));
        assert_eq!(stands(&mended, &outlines, 1), 25_000, "{}", way.says);
    }
}

#[test]
fn heights_that_break_what_is_said_of_an_anchor_are_found() {
    let (mut work, outlines) = job(2);
    frame(&mut work, 40_000);
    must(&mut work, under_front(1, 5000));
    work.pieces.get_mut(&Number(1)).unwrap().values.height = Some(Chosen { value: Um(36_000), by: By::Act });
    let found = findings(&work, &outlines);
    let unmet = found.iter().find(|finding| finding.kind == Kind::Unmet).expect("it stands too high");
    assert!(unmet.why.contains("miss it by 1 mm"), "{}", unmet.why);
    work.choices.frame_depth = None;
    assert!(findings(&work, &outlines).iter().any(|one| one.why.contains("how deep the frame is")));
}

#[test]
fn the_front_is_before_all_and_the_backer_behind() {
    let (mut work, _) = job(2);
    frame(&mut work, 40_000);
    let apart = |one, other| Edit::KeepApart { one, other, named: Named::Step, strength: Strength::Must };
    apply(&mut work, &apart(piece(1), Whom::Frame)).unwrap();
    apply(&mut work, &apart(Whom::Backer, piece(2))).unwrap();
    let step = work.choices.named(Named::Step);
    let says: Vec<Says> = work.relations.values().map(|relation| relation.says.clone()).collect();
    let expected = [
        Says::AtLeast { above: Whom::Frame, below: piece(1), by: step },
        Says::AtLeast { above: piece(2), below: Whom::Backer, by: step },
    ];
    assert_eq!(says, expected);
}

#[test]
fn what_cannot_be_said_of_an_anchor_is_refused() {
    let (mut work, _) = job(3);
    let relate = |says| Edit::Relate { says, strength: Strength::Must };
    refused(&work, relate(under_front(1, 3000)), "How deep the frame is");
    frame(&mut work, 40_000);
    refused(&work, relate(under_front(1, 40_000)), "behind it");
    refused(&work, relate(Says::Level(piece(1), Whom::Backer)), "behind it");
    refused(&work, relate(Says::Level(Whom::Frame, Whom::Backer)), "no piece is named");
    refused(&work, relate(Says::AtLeast { above: piece(1), below: Whom::Frame, by: Um(20_000) }), "thickest");
    refused(&work, relate(Says::SameAs(piece(1), Whom::Frame)), "no piece and no part");
    refused(&work, relate(Says::At(Whom::Frame, Um(9000))), "no piece and no part");
    let climb = Says::Climbs { row: vec![piece(1), Whom::Frame], from: Um(12_000), to: Um(30_000) };
    refused(&work, relate(climb), "no piece and no part");
    refused(&work, Edit::Mark { whom: Whom::Backer, depth: Depth::Far }, "no piece and no part");
    refused(&work, Edit::Height { whom: Whom::Frame, height: Um(9000) }, "no piece and no part");
}

#[test]
fn numbers_out_of_range_are_refused_in_plain_words() {
    let said = |text: &str| serde_json::from_str::<crate::work::Edit>(text).unwrap_err().to_string();
    let weight = |weight: &str| {
        format!(
            r#"{{"relief":{{"relate":{{"says":{{"level":[{{"piece":4}},{{"piece":5}}]}},"strength":{{"wish":{weight}}}}}}}}}"#
        )
    };
    for typed in ["-1", "99999999999", "2.5", "1e30"] {
        let error = said(&weight(typed));
        assert!(error.contains("a whole weight from 1 to 1000000"), "{error}");
    }
    let height = |um: &str| format!(r#"{{"relief":{{"height":{{"whom":{{"piece":4}},"height":{um}}}}}}}"#);
    assert!(said(&height("99999999999")).contains("2147483647 (2.1 km) at the most, not 99999999999"));
    assert!(said(r#"{"relief":{"unrelate":-1}}"#).contains("counts up from 1, not -1"));
}
