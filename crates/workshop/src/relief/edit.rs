//! Edits of heights, relations and marks, each checked before anything is touched.

use std::collections::BTreeSet;

use measure::length::Um;

use super::anchor::{check_stands, is_anchor, no_piece, stands_at};
use super::choices::thicknesses;
use super::front::in_front;
use super::words;
use crate::wood::whose;
use crate::work::edit::relief::Edit;
use crate::work::{
    Becomes, By, Changes, Chosen, Named, Number, Refusal, Relation, RelationId, Says, Spot, State, Strength, Way, Whom,
    Work,
};

/// No height in a wood picture comes near it; it catches slips of the unit.
const HIGHEST: Um = Um(200_000);
/// Weight × µm × rows stays within whole numbers up to here.
const HEAVIEST: u32 = 1_000_000;

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Relate { says, strength } => {
            let says = upwards(says);
            check_says(work, &says, *strength)?;
            let id = work.next.new_relation();
            Ok(put(work, id, &says, *strength))
        }
        Edit::RelateBy { says, strength, named } => relate_by(work, says.clone(), *strength, *named),
        Edit::KeepApart { one, other, named, strength } => {
            check_row(work, &[*one, *other])?;
            check_stands(work, (*one, *other), Um(0)).or_else(|_| check_stands(work, (*other, *one), Um(0)))?;
            let (above, below) = facing(work, (*one, *other), (*named, *strength))?;
            relate_by(work, Says::AtLeast { above, below, by: Um(0) }, *strength, *named)
        }
        Edit::Restate { relation, says, strength } => {
            known(work, *relation)?;
            let says = upwards(says);
            check_says(work, &says, *strength)?;
            let named = work.relations[relation].named.filter(|_| work.relations[relation].says == says);
            let changes = put(work, *relation, &says, *strength);
            work.relations.entry(*relation).and_modify(|one| one.named = named);
            Ok(changes)
        }
        Edit::Unrelate(relation) => {
            known(work, *relation)?;
            work.relations.remove(relation);
            Ok(Changes { relations: [*relation].into(), ..Changes::default() })
        }
        Edit::Mark { whom, depth } => {
            check_whom(work, *whom)?;
            work.marks.insert(*whom, *depth);
            Ok(marked(work, *whom))
        }
        Edit::Unmark(whom) => match work.marks.remove(whom) {
            Some(_) => Ok(marked(work, *whom)),
            None => Err(Refusal::new(format!("{} has no depth mark.", named(work, *whom)))
                .way(Way::advice("There is nothing to take back: mark it near, middle or far, or leave it."))),
        },
        Edit::Height { whom, height } => {
            reached(work, *height)?;
            pin(work, *whom, |values| {
                let stays = matches!((values.thickness, values.raiser), (Some(t), Some(r)) if t.value.0 + r.value.0 == height.0);
                if !stays {
                    (values.thickness, values.raiser) = (None, None);
                }
                values.height = Some(Chosen::hand(*height));
            })
        }
        Edit::Build { whom, thickness, raiser } => {
            check_build(work, *thickness, *raiser)?;
            pin(work, *whom, |values| {
                values.thickness = Some(Chosen::hand(*thickness));
                values.raiser = Some(Chosen::hand(*raiser));
                values.height = Some(Chosen::hand(Um(thickness.0 + raiser.0)));
            })
        }
        Edit::Unpin(whom) => pin(work, *whom, |values| {
            (values.height, values.thickness, values.raiser) = (None, None, None);
        }),
    }
}

/// A climb said from its high end is the same climb from its low end.
fn upwards(says: &Says) -> Says {
    match says {
        Says::Climbs { row, from, to } if from > to => {
            Says::Climbs { row: row.iter().rev().copied().collect(), from: *to, to: *from }
        }
        _ => says.clone(),
    }
}

fn put(work: &mut Work, id: RelationId, says: &Says, strength: Strength) -> Changes {
    work.relations.insert(id, Relation { says: says.clone(), strength, by: By::Hand, named: None });
    Changes { relations: [id].into(), ..Changes::default() }
}

fn relate_by(work: &mut Work, mut says: Says, strength: Strength, named: Named) -> Result<Changes, Refusal> {
    match says.distance() {
        Some(by) => *by = work.choices.named(named),
        None => {
            let way = Way::advice("Say a hair, a step or a lot of one that stands above another, at least or about.");
            return Err(Refusal::new("Only a distance between two can be a named step.").way(way));
        }
    }
    check_says(work, &says, strength)?;
    let id = work.next.new_relation();
    let changes = put(work, id, &says, strength);
    if let Some(relation) = work.relations.get_mut(&id) {
        relation.named = Some(named);
    }
    Ok(changes)
}

/// Gives each relation by a named step the distance that the name stands for now.
pub fn follow_step(work: &mut Work) {
    for relation in work.relations.values_mut() {
        if let (Some(named), Some(by)) = (relation.named, relation.says.distance()) {
            *by = work.choices.named(named);
        }
    }
}

/// A step that reads and that fits between the job's lowest and highest top.
pub fn sound_step(work: &Work, step: Um) -> Result<Um, Refusal> {
    let stock = &work.choices.stock;
    let most = Um((stock.highest.0 - stock.lowest.0).max(stock.readable_step.0));
    if (stock.readable_step..=most).contains(&step) {
        return Ok(step);
    }
    let (least, most) = (words::length(work, stock.readable_step), words::length(work, most));
    let what = format!("A step of {} does not suit this job: {least} to {most}.", words::length(work, step));
    Err(Refusal::new(what)
        .way(Way::advice("Under the readable step it looks like a mistake; more, and it leaves the range.")))
}

/// Of two the one in front, then the other.
fn facing(
    work: &Work,
    (one, other): (Whom, Whom),
    (named, strength): (Named, Strength),
) -> Result<(Whom, Whom), Refusal> {
    let known = match (one, other) {
        (Whom::Frame, _) | (_, Whom::Backer) => Some(true),
        (_, Whom::Frame) | (Whom::Backer, _) => Some(false),
        _ => in_front(work, &whose(work, one), &whose(work, other)),
    };
    match known {
        Some(true) => Ok((one, other)),
        Some(false) => Ok((other, one)),
        None => {
            let what = format!(
                "Which of {} and {} lies in front is not known: neither their marks nor the borders between them tell.",
                words::whom(work, one),
                words::whom(work, other)
            );
            let spot = Spot::pieces(whose(work, one).into_iter().chain(whose(work, other)));
            let way = |above: Whom, below: Whom| {
                let says = Says::AtLeast { above, below, by: work.choices.named(named) };
                let edit = crate::work::Edit::Relief(Edit::RelateBy { says: says.clone(), strength, named });
                Way::by(format!("Say it yourself: {}", words::says(work, &says)), vec![edit])
            };
            let refusal = Refusal::new(what).at(spot).way(way(one, other)).way(way(other, one));
            Err(refusal.way(Way::advice("Or mark one of them near and the other far.")))
        }
    }
}

fn marked(work: &Work, whom: Whom) -> Changes {
    Changes { pieces: whose(work, whom).into_iter().collect(), settings: true, ..Changes::default() }
}

/// Changes the values of pieces that nothing has settled yet.
fn pin(work: &mut Work, whom: Whom, change: impl Fn(&mut crate::work::PieceValues)) -> Result<Changes, Refusal> {
    check_whom(work, whom)?;
    let pieces = whose(work, whom);
    let settled: Vec<Number> = pieces.iter().copied().filter(|number| settled(work, *number)).collect();
    if !settled.is_empty() {
        let what = format!("The height of {} is a fact: it is cut, measured or set.", words::pieces(&settled));
        let way = Way::advice("If the log is wrong, strike its entry; else change its neighbours.");
        return Err(Refusal::new(what).at(Spot::pieces(settled)).way(way));
    }
    for number in &pieces {
        if let Some(piece) = work.pieces.get_mut(number) {
            change(&mut piece.values);
        }
    }
    Ok(Changes { pieces: pieces.into_iter().collect(), ..Changes::default() })
}

/// Whether a piece's height is a fact.
pub(super) fn settled(work: &Work, number: Number) -> bool {
    let piece = &work.pieces[&number];
    piece.state != State::Planned || piece.values.height.is_some_and(|height| height.by == By::Fact)
}

fn named(work: &Work, whom: Whom) -> String {
    words::sentence(&words::whom(work, whom))
}

fn known(work: &Work, relation: RelationId) -> Result<(), Refusal> {
    if work.relations.contains_key(&relation) {
        return Ok(());
    }
    let what = match work.relations.is_empty() {
        true => format!("There is no relation {relation}: none has been said yet."),
        false => format!("There is no relation {relation}: it was taken back, or never said."),
    };
    Err(Refusal::new(what)
        .way(Way::advice("`spelk tell` lists what was said, each with its number; so does the Relief page.")))
}

/// Whoever is named must be there, and be sawn from wood. A part without pieces has no height to speak of.
fn check_whom(work: &Work, whom: Whom) -> Result<(), Refusal> {
    let refuse = |what: String, way: &str| Err(Refusal::new(what).way(Way::advice(way)));
    match whom {
        Whom::Backer | Whom::Frame => Err(no_piece(work, whom)),
        Whom::Part(part) if work.parts.contains_key(&part) => match whose(work, whom).is_empty() {
            true => refuse(
                format!("{} has no pieces: what is said of it would say nothing.", named(work, whom)),
                "Bring pieces into the part first, or into a part within it.",
            ),
            false => Ok(()),
        },
        Whom::Part(part) => refuse(format!("There is no part {part}."), "Name the part first."),
        Whom::Piece(number) => match (work.pieces.get(&number), work.retired.get(&number)) {
            (Some(piece), _) => match work.pattern.areas.get(&piece.area).map(|area| area.becomes) {
                Some(Becomes::Shadow | Becomes::Ground) => open(number),
                _ => Ok(()),
            },
            (None, Some(_)) => {
                let into = last_into(work, number);
                let what = format!("Piece {number} is gone: it was merged into piece {into}.");
                Err(Refusal::new(what).at(Spot::pieces([into])).way(Way::advice(format!("Name piece {into} instead."))))
            }
            (None, None) if number.0 > 0 && number.0 < work.next.number => open(number),
            (None, None) => {
                refuse(format!("There is no piece {number}."), "The pattern shows each piece with its number.")
            }
        },
    }
}

fn open(number: Number) -> Result<(), Refusal> {
    let what = format!("Piece {number} is an open area now: nothing is sawn there, so it has no height.");
    Err(Refusal::new(what).way(Way::advice("Close the area: it becomes a piece again, of a new number, and what you say can be said of that; or name one of its neighbours.")))
}

/// Follows merges to the piece that is there now.
pub(super) fn last_into(work: &Work, number: Number) -> Number {
    let mut into = number;
    for _ in 0..=work.retired.len() {
        match work.retired.get(&into) {
            Some(retired) => into = retired.into,
            None => break,
        }
    }
    into
}

fn in_range(work: &Work, length: Um, what: &str) -> Result<(), Refusal> {
    if (Um(0)..=HIGHEST).contains(&length) {
        return Ok(());
    }
    let most = words::length(work, HIGHEST);
    let what = format!("{what} of {} is beyond what can be built: 0 to {most}.", words::length(work, length));
    Err(Refusal::new(what).way(Way::advice("Heights are counted from the backer, steps from the lower piece.")))
}

/// A height that some thickness with some raiser in stock reaches, or stays below.
fn reached(work: &Work, height: Um) -> Result<(), Refusal> {
    in_range(work, height, "A height")?;
    let (stock, long) = (&work.choices.stock, |um| words::length(work, um));
    let (thickest, raiser) = (thicknesses(work).last().copied(), stock.raisers.iter().max());
    let tallest = Um(thickest.map_or(0, |um| um.0) + raiser.map_or(0, |um| um.0));
    if height <= tallest {
        return Ok(());
    }
    let what =
        format!("Nothing in stock reaches {}: the thickest on the highest raiser is {}.", long(height), long(tallest));
    Err(Refusal::new(what).way(Way::advice(
        "Give a lower height; or add a thickness or a raiser, on the Relief page under Stock and range.",
    )))
}

fn check_build(work: &Work, thickness: Um, raiser: Um) -> Result<(), Refusal> {
    in_range(work, thickness, "A thickness")?;
    in_range(work, raiser, "A raiser")?;
    if thickness.0 == 0 {
        return Err(
            Refusal::new("A piece has a thickness above zero.").way(Way::advice("Give the thickness of its stock."))
        );
    }
    reached(work, Um(thickness.0 + raiser.0))
}

pub(super) fn check_says(work: &Work, says: &Says, strength: Strength) -> Result<(), Refusal> {
    if let Strength::Wish(weight) = strength
        && !(1..=HEAVIEST).contains(&weight)
    {
        let what = format!("A wish has a weight from 1 to {HEAVIEST}, not {weight}.");
        return Err(Refusal::new(what).way(Way::advice("Give a weight in that range, or make it a must.")));
    }
    match says {
        Says::AtLeast { above, below, by } | Says::About { above, below, by } => {
            check_row(work, &[*above, *below])?;
            in_range(work, *by, "A step")?;
            check_stands(work, (*above, *below), *by)?;
            stands_at(work, *below).map_or(Ok(()), |from| reached(work, Um(from.0 + by.0)))
        }
        Says::Level(a, b) => {
            check_row(work, &[*a, *b])?;
            // The backer's face is the one anchor that nothing is level with.
            let order = if *b == Whom::Backer { (*b, *a) } else { (*a, *b) };
            check_stands(work, order, Um(0))?;
            [a, b].into_iter().find_map(|whom| stands_at(work, *whom)).map_or(Ok(()), |at| reached(work, at))
        }
        Says::SameAs(a, b) => {
            [a, b].into_iter().try_for_each(|whom| check_whom(work, *whom))?;
            check_row(work, &[*a, *b])
        }
        Says::At(a, at) => check_whom(work, *a).and(reached(work, *at)),
        Says::Within(a, least, most) => {
            check_whom(work, *a)?;
            in_range(work, *most, "A height")?;
            reached(work, *least)?;
            in_order(work, *least, *most)
        }
        Says::Climbs { row, from, to } => {
            if row.len() < 2 {
                let way =
                    Way::advice("Name the lowest first, then each that stands no lower; or fix the height of the one.");
                return Err(Refusal::new("A climb needs two or more in its row.").way(way));
            }
            row.iter().try_for_each(|whom| check_whom(work, *whom))?;
            check_row(work, row)?;
            in_range(work, *from, "A height")?;
            reached(work, *to)
        }
    }
}

fn in_order(work: &Work, least: Um, most: Um) -> Result<(), Refusal> {
    if least <= most {
        return Ok(());
    }
    let (least, most) = (words::length(work, least), words::length(work, most));
    Err(Refusal::new(format!("The lower height, {least}, is above the higher, {most}."))
        .way(Way::advice("Give the lower height first.")))
}

fn to_itself(work: &Work, whom: Whom) -> Refusal {
    Refusal::new(format!("{} cannot stand to itself.", named(work, whom)))
        .at(Spot::pieces(whose(work, whom)))
        .way(Way::advice("Name two different pieces or parts."))
}

/// All are there, and no piece is named twice, alone or in a part.
fn check_row(work: &Work, row: &[Whom]) -> Result<(), Refusal> {
    let (mut named_before, mut seen) = (BTreeSet::new(), BTreeSet::new());
    for whom in row {
        if !is_anchor(*whom) {
            check_whom(work, *whom)?;
        }
        if !named_before.insert(*whom) {
            return Err(to_itself(work, *whom));
        }
        let pieces = whose(work, *whom);
        let twice: Vec<Number> = pieces.iter().copied().filter(|number| seen.contains(number)).collect();
        if !twice.is_empty() {
            let what = format!(
                "{} shares {} with another that is named: a piece cannot stand to itself.",
                named(work, *whom),
                words::pieces(&twice)
            );
            let way = Way::advice("Name parts that have no piece in common, or the pieces themselves.");
            return Err(Refusal::new(what).at(Spot::pieces(twice)).way(way));
        }
        seen.extend(pieces);
    }
    Ok(())
}
