//! Edits of woods and grain.

use measure::colour::Lab;
use measure::plane::Point;

use super::finish::finish_of;
use super::fit::unfinished;
use super::spelling::near;
use super::whom::whose;
use crate::pattern::state_word;
use crate::work::edit::wood::Edit;
use crate::work::{
    Changes, Chosen, Edit as Any, Number, PieceValues, Refusal, Sourced, Spot, State, Way, Whom, WoodId, Work,
};

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Choose { whom, wood } => {
            known(work, *whom, wood)?;
            change(work, *whom, |values| values.wood = Some(Chosen::hand(wood.clone())))
        }
        Edit::Unchoose(whom) => change(work, *whom, |values| values.wood = None),
        Edit::Grain { whom, axis } => change(work, *whom, |values| values.grain = Some(Chosen::hand(*axis))),
        Edit::Stroke(line) => stroke(work, line),
        Edit::Unstroke(at) => unstroke(work, *at),
        Edit::Ungrain(whom) => change(work, *whom, |values| values.grain = None),
        Edit::Measured { wood, lab, from } => measured(work, wood, (*lab, from)),
        Edit::Tested { wood, lab, coats, from } => tested(work, wood, (*lab, from), *coats),
    }
}

/// What the source of the maker's own colour begins with.
pub const OWN: &str = "own photograph of ";

/// What the source of a colour begins with that was seen on a finished test piece.
pub const OWN_TEST: &str = "own test of ";

/// More coats than this are a slip of the pen.
const COATS_MOST: u32 = 20;

fn measured(work: &mut Work, id: &WoodId, (lab, from): ([i32; 3], &str)) -> Result<Changes, Refusal> {
    let (value, from) = sound_colour(lab, from)?;
    takes(work, id, Sourced { value, source: format!("{OWN}{from}") })
}

/// The raw colour that looks so under the job's finish takes the place of the table's.
fn tested(work: &mut Work, id: &WoodId, (lab, from): ([i32; 3], &str), coats: u32) -> Result<Changes, Refusal> {
    let (seen, from) = sound_colour(lab, from)?;
    if !(1..=COATS_MOST).contains(&coats) {
        return Err(Refusal::new(format!("A test piece has 1 to {COATS_MOST} coats, not {coats}."))
            .way(Way::advice("Say how many coats of the finish are on it.")));
    }
    let Some(finish) = finish_of(work) else {
        return Err(Refusal::new("The job's finish is not known, so the test says nothing of the raw wood.")
            .way(Way::advice("Choose a finish that the job offers.")));
    };
    let coated = if coats == 1 { "1 coat".into() } else { format!("{coats} coats") };
    let source = format!("{OWN_TEST}{from}: {coated} of {}", finish.name);
    let value = unfinished(seen, finish);
    takes(work, id, Sourced { value, source })
}

fn sound_colour([l, a, b]: [i32; 3], from: &str) -> Result<(Lab, &str), Refusal> {
    let sound = (0..=100_000).contains(&l) && [a, b].iter().all(|v| v.unsigned_abs() <= 128_000);
    if !sound || from.trim().is_empty() || from.chars().count() > 200 || from.chars().any(char::is_control) {
        return Err(Refusal::new(
            "This is no measured colour: L* lies from 0 to 100, and it says what it was measured on.",
        )
        .way(Way::advice("Give L*, a* and b* in thousandths, and up to 200 letters of where they are from.")));
    }
    Ok((Lab::new(f64::from(l) / 1000.0, f64::from(a) / 1000.0, f64::from(b) / 1000.0), from.trim()))
}

fn takes(work: &mut Work, id: &WoodId, colour: Sourced<Lab>) -> Result<Changes, Refusal> {
    let Some(wood) = work.woods.get_mut(id) else {
        return Err(Refusal::new(format!("“{id}” is no wood of this job."))
            .at(Spot { woods: vec![id.clone()], ..Spot::default() })
            .way(Way::advice("Name a wood that the job offers.")));
    };
    wood.colour = colour;
    wood.measured = true;
    Ok(Changes { settings: true, ..Changes::default() })
}

/// A stroke needs a length, and the panel under it.
fn stroke(work: &mut Work, line: &[Point]) -> Result<Changes, Refusal> {
    let on_panel = |p: &Point| (0..=work.panel.width.0).contains(&p.x) && (0..=work.panel.height.0).contains(&p.y);
    if line.windows(2).all(|step| step[0] == step[1]) || !line.iter().all(on_panel) {
        return Err(Refusal::new("This stroke has no length, or leaves the panel.")
            .way(Way::advice("Draw it over the pieces, from one side of them to the other.")));
    }
    work.strokes.push(line.to_vec());
    Ok(Changes { settings: true, ..Changes::default() })
}

fn unstroke(work: &mut Work, at: usize) -> Result<Changes, Refusal> {
    if at >= work.strokes.len() {
        return Err(Refusal::new(format!(
            "There are {} strokes of grain, and none is number {at}.",
            work.strokes.len()
        ))
        .way(Way::advice("Strokes are counted from 0, in the order that they were drawn.")));
    }
    work.strokes.remove(at);
    Ok(Changes { settings: true, ..Changes::default() })
}

fn change(work: &mut Work, whom: Whom, make: impl Fn(&mut PieceValues)) -> Result<Changes, Refusal> {
    let numbers = free(work, whom)?;
    let mut changes = Changes::default();
    for number in numbers {
        let Some(piece) = work.pieces.get_mut(&number) else { continue };
        let before = piece.values.clone();
        make(&mut piece.values);
        if piece.values != before {
            changes.pieces.insert(number);
        }
    }
    Ok(changes)
}

fn known(work: &Work, whom: Whom, wood: &WoodId) -> Result<(), Refusal> {
    if work.woods.contains_key(wood) {
        return Ok(());
    }
    let refusal = Refusal::new(format!("“{wood}” is no wood of this job."));
    let mut refusal = refusal.at(Spot { woods: vec![wood.clone()], ..Spot::default() });
    for meant in near(&wood.0, &work.woods) {
        let says = format!("Take {} ({meant}).", work.woods[&meant].name);
        refusal = refusal.way(Way::by(says, vec![Any::Wood(Edit::Choose { whom, wood: meant })]));
    }
    Err(refusal.way(Way::advice("Offer the wood to the job first, with its colour and where that is from.")))
}

/// The pieces of `whom`, all still on paper.
fn free(work: &Work, whom: Whom) -> Result<Vec<Number>, Refusal> {
    let numbers = whose(work, whom);
    if numbers.is_empty() {
        return Err(nobody(work, whom));
    }
    let begun: Vec<Number> = numbers.iter().copied().filter(|n| work.pieces[n].state != State::Planned).collect();
    if begun.is_empty() { Ok(numbers) } else { Err(sawn(work, &begun, whom)) }
}

fn nobody(work: &Work, whom: Whom) -> Refusal {
    match whom {
        Whom::Piece(number) => gone(work, number),
        Whom::Backer | Whom::Frame => Refusal::new("The backer and the frame are no pieces.")
            .way(Way::advice("Name a piece or a part; the backer's wood is set by an edit of setup.backer.")),
        Whom::Part(part) => match work.parts.get(&part) {
            Some(part) => Refusal::new(format!("The part “{}” has no pieces.", part.name))
                .way(Way::advice("Bring pieces into the part first.")),
            None => Refusal::new(format!("There is no part {part}.")).way(Way::advice("Name a part of this job.")),
        },
    }
}

/// Says where a retired number went, through every later merge.
fn gone(work: &Work, number: Number) -> Refusal {
    let mut into = number;
    // A number is only ever retired into one that lives then, so the chain is no longer than the list.
    for _ in 0..work.retired.len() {
        let Some(next) = work.retired.get(&into) else { break };
        into = next.into;
    }
    if into == number {
        return Refusal::new(format!("There is no piece {number}."))
            .way(Way::advice("Name a piece by the number on the pattern."));
    }
    Refusal::new(format!("Piece {number} is gone: it was merged into piece {into}."))
        .at(Spot::pieces([into]))
        .way(Way::advice(format!("Name piece {into} instead.")))
}

fn sawn(work: &Work, begun: &[Number], whom: Whom) -> Refusal {
    let names: Vec<String> = begun.iter().map(|n| format!("{n} ({})", state_word(work.pieces[n].state))).collect();
    let (noun, verb) = if begun.len() == 1 { ("Piece", "is") } else { ("Pieces", "are") };
    let refusal =
        Refusal::new(format!("{noun} {} {verb} no longer on paper: wood and grain can't change.", names.join(", ")))
            .at(Spot::pieces(begun.iter().copied()));
    let refusal = match whom {
        Whom::Part(_) => refusal.way(Way::advice("Change the part's other pieces one by one.")),
        _ => refusal,
    };
    refusal.way(Way::advice("If the log is wrong, strike the entry first."))
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use super::*;
    use crate::wood::table;
    use crate::work::{AreaId, Axis, Part, PartId, Piece, Retired};

    /// Pieces 1 to 4; 1 lies in a wing, 2 in the feathers within it, 4 is cut; 5 went into 6, and 6 into 3.
    fn job() -> Work {
        let piece = |n: u32, state| (Number(n), Piece { area: AreaId(n), values: PieceValues::default(), state });
        let part = |name: &str, n: u32, within| Part { name: name.into(), pieces: BTreeSet::from([Number(n)]), within };
        Work {
            woods: table(),
            pieces: BTreeMap::from([
                piece(1, State::Planned),
                piece(2, State::Planned),
                piece(3, State::Planned),
                piece(4, State::Cut),
            ]),
            parts: BTreeMap::from([
                (PartId(1), part("wing", 1, None)),
                (PartId(2), part("feathers", 2, Some(PartId(1)))),
                (PartId(3), part("eye", 4, Some(PartId(2)))),
            ]),
            retired: BTreeMap::from([
                (Number(5), Retired { into: Number(6) }),
                (Number(6), Retired { into: Number(3) }),
            ]),
            ..Work::default()
        }
    }

    fn choose(whom: Whom, wood: &str) -> Edit {
        Edit::Choose { whom, wood: WoodId(wood.into()) }
    }

    fn refused(edit: Edit, says: &str) -> Refusal {
        let mut work = job();
        let refusal = apply(&mut work, &edit).expect_err(says);
        assert!(refusal.what.contains(says), "{refusal}");
        assert!(work == job() && !refusal.ways.is_empty());
        refusal
    }

    #[test]
    fn a_part_takes_the_parts_within_it_along() {
        let mut work = job();
        work.parts.remove(&PartId(3));
        let changes = apply(&mut work, &choose(Whom::Part(PartId(1)), "wenge")).expect("it is on paper");
        assert_eq!(changes.pieces, BTreeSet::from([Number(1), Number(2)]));
        assert_eq!(work.pieces[&Number(2)].values.wood, Some(Chosen::hand(WoodId("wenge".into()))));
        let again = apply(&mut work, &choose(Whom::Part(PartId(1)), "wenge")).expect("it is on paper");
        assert!(again.pieces.is_empty(), "nothing changed");
        apply(&mut work, &Edit::Unchoose(Whom::Piece(Number(2)))).expect("it is on paper");
        assert_eq!(work.pieces[&Number(2)].values.wood, None);
    }

    #[test]
    fn refusals_say_where_to_go() {
        refused(choose(Whom::Piece(Number(5)), "wenge"), "merged into piece 3");
        refused(choose(Whom::Piece(Number(9)), "wenge"), "no piece 9");
        refused(choose(Whom::Part(PartId(9)), "wenge"), "no part 9");
        refused(choose(Whom::Part(PartId(1)), "wenge"), "Piece 4 (cut) is no longer on paper");
        refused(Edit::Grain { whom: Whom::Piece(Number(4)), axis: Axis(0) }, "no longer on paper");
        let near = refused(choose(Whom::Piece(Number(1)), "wange"), "no wood of this job");
        let mut work = job();
        let [Any::Wood(edit)] = &near.ways[0].edits[..] else { panic!("an edit of woods") };
        apply(&mut work, edit).expect("the way out can be walked");
        assert_eq!(work.pieces[&Number(1)].values.wood, Some(Chosen::hand(WoodId("wenge".into()))));
    }

    #[test]
    fn a_finished_test_takes_the_tables_place_and_is_told_apart() {
        use super::super::{Seeing, Verdict, judge, look};
        let mut work = job();
        work.choices.finish = "wax".into();
        let [cherry, alder] = ["cherry-black", "alder-red"].map(|key| WoodId(key.into()));
        let verdict = |work: &Work| {
            let seeing = Seeing { finish: finish_of(work), years: 0.0 };
            judge(&work.woods[&cherry], &work.woods[&alder], seeing).1
        };
        assert_eq!(verdict(&work), Verdict::CantTell);
        for (wood, lab) in [(&cherry, [41_000, 21_000, 30_000]), (&alder, [52_000, 19_000, 34_000])] {
            let edit = Edit::Tested { wood: wood.clone(), lab, coats: 2, from: "A. Maker, 3 May 2026".into() };
            apply(&mut work, &edit).expect("a sound test");
            let seen = look(&work, &work.woods[wood]);
            assert!((seen.l - f64::from(lab[0]) / 1000.0).abs() < 1e-6, "{seen:?}");
            let source = &work.woods[wood].colour.source;
            assert!(source.starts_with(OWN_TEST) && source.contains("3 May 2026: 2 coats of"), "{source}");
        }
        assert_eq!(verdict(&work), Verdict::Apart);
        let sane = work.clone();
        for (coats, lab) in [(0, [41_000, 21_000, 30_000]), (2, [141_000, 0, 0])] {
            let edit = Edit::Tested { wood: cherry.clone(), lab, coats, from: "me".into() };
            assert!(!apply(&mut work, &edit).expect_err("unsound").ways.is_empty());
            assert!(work == sane);
        }
    }
}
