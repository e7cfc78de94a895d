//! What a check finds of woods: contrast that is lost, colours that nobody measured, too many woods.
//!
//! Contrast is judged on the finished colours of the table. A board may differ from it, which is why a wood with an
//! unmeasured colour is named besides. Pieces without a wood are left in peace.

use std::collections::{BTreeMap, BTreeSet};

use measure::colour::{Lab, delta_e_2000};
use measure::length::{Um, inch_text, mm_text};

use super::choose::acts;
use super::look;
use crate::pattern::{Meeting, Outlines};
use crate::picture::Colours;
use crate::work::edit::{setup, wood};
use crate::work::{AreaId, Edit, Finding, Grave, Kind, Number, Piece, Spot, State, Unit, Way, Whom, WoodId, Work};

/// Two touching pieces whose picture colours lie this far apart were meant to be told apart. Lower floods the list with
/// shading inside one form.
const MEANT_APART: f64 = 8.0;

/// The least difference between finished woods that shows across a saw line (Allegretti and others 2009: 3 to 6 is
/// visible).
const VISIBLE: f64 = 3.0;

/// Common borders shorter than this carry no form, mm.
const SHORT_BORDER_MM: f64 = 10.0;

/// What a check finds of woods.
pub fn findings(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<Finding> {
    let mut found = low_contrast(work, outlines, colours);
    found.extend(unsure(work));
    found.extend(too_many(work, outlines));
    found
}

/// The woods in use and the pieces of each.
pub(crate) fn in_use(work: &Work) -> BTreeMap<&WoodId, Vec<Number>> {
    let mut woods: BTreeMap<&WoodId, Vec<Number>> = BTreeMap::new();
    for (number, piece) in &work.pieces {
        if let Some(wood) = &piece.values.wood {
            woods.entry(&wood.value).or_default().push(*number);
        }
    }
    woods
}

/// The name of a wood as the maker knows it.
pub(crate) fn name<'a>(work: &'a Work, wood: &'a WoodId) -> &'a str {
    work.woods.get(wood).map_or(wood.0.as_str(), |wood| wood.name.as_str())
}

/// A piece that has a wood, with what it looks like in both worlds.
#[derive(Clone, Copy)]
struct Seen<'a> {
    number: Number,
    piece: &'a Piece,
    wood: &'a WoodId,
    finished: Lab,
    picture: Lab,
}

fn low_contrast(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<Finding> {
    let looks: BTreeMap<&WoodId, Lab> = work.woods.iter().map(|(id, wood)| (id, look(work, wood))).collect();
    let seen = seen(work, colours, &looks);
    let mut found = Vec::new();
    for ((one, two), meeting) in &outlines.meetings {
        let (Some(one), Some(two)) = (seen.get(one), seen.get(two)) else { continue };
        if lost(one, two, meeting) && !step_tells(work, one, two) {
            found.push(contrast_finding(work, &looks, [*one, *two], meeting));
        }
    }
    found
}

fn seen<'a>(work: &'a Work, colours: &Colours, looks: &BTreeMap<&WoodId, Lab>) -> BTreeMap<AreaId, Seen<'a>> {
    work.pieces
        .iter()
        .filter_map(|(number, piece)| {
            let wood = &piece.values.wood.as_ref()?.value;
            let (finished, picture) = (*looks.get(wood)?, *colours.get(&piece.area)?);
            Some((piece.area, Seen { number: *number, piece, wood, finished, picture }))
        })
        .collect()
}

fn lost(one: &Seen, two: &Seen, meeting: &Meeting) -> bool {
    meeting.length_mm >= SHORT_BORDER_MM
        && delta_e_2000(one.picture, two.picture) >= MEANT_APART
        && delta_e_2000(one.finished, two.finished) < VISIBLE
}

/// Whether a readable step in height parts the two.
fn step_tells(work: &Work, one: &Seen, two: &Seen) -> bool {
    let (Some(a), Some(b)) = (one.piece.values.height, two.piece.values.height) else { return false };
    (i64::from(a.value.0) - i64::from(b.value.0)).abs() >= i64::from(work.choices.stock.readable_step.0)
}

fn contrast_finding(work: &Work, looks: &BTreeMap<&WoodId, Lab>, pair: [Seen; 2], meeting: &Meeting) -> Finding {
    let [one, two] = pair;
    let woods = if one.wood == two.wood {
        format!("both in {}", name(work, one.wood))
    } else {
        format!("in {} and {}", name(work, one.wood), name(work, two.wood))
    };
    let mut ways: Vec<Way> =
        [(one, two), (two, one)].iter().filter_map(|(change, stay)| other_wood(work, looks, change, stay)).collect();
    let step = length(work, work.choices.stock.readable_step);
    ways.push(Way::advice(format!("Set one of them at least {step} above the other, or open the line between them.")));
    ways.push(Way::advice("Turn the grain of one of them: the same wood catches the light differently."));
    Finding {
        kind: Kind::LowContrast,
        grave: Grave::Doubt,
        spot: Spot {
            pieces: vec![one.number, two.number],
            borders: meeting.borders.clone(),
            woods: [one.wood, two.wood].into_iter().cloned().collect::<BTreeSet<_>>().into_iter().collect(),
            ..Spot::default()
        },
        why: format!(
            "Pieces {} and {} differ in the picture (ΔE {:.0}) but will look alike {woods} (ΔE {:.1} finished), along {}.",
            one.number,
            two.number,
            delta_e_2000(one.picture, two.picture),
            delta_e_2000(one.finished, two.finished),
            length(work, Um::mm(meeting.length_mm.round())),
        ),
        ways,
        key: format!("contrast/{}/{}", one.number, two.number),
    }
}

/// A wood already in use that parts `change` from `stay`: the one nearest to what it has now.
fn other_wood(work: &Work, looks: &BTreeMap<&WoodId, Lab>, change: &Seen, stay: &Seen) -> Option<Way> {
    if change.piece.state != State::Planned {
        return None;
    }
    let rightly = |look: Lab| (look.l - stay.finished.l) * (change.picture.l - stay.picture.l) >= 0.0;
    let (_, wood) = in_use(work)
        .into_keys()
        .filter_map(|wood| Some((looks.get(wood)?, wood)))
        .filter(|(look, _)| delta_e_2000(**look, stay.finished) >= VISIBLE && rightly(**look))
        .map(|(look, wood)| (delta_e_2000(*look, change.finished), wood))
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)))?;
    let says = format!("Saw piece {} from {} instead.", change.number, name(work, wood));
    Some(Way::by(says, vec![choose(change.number, wood)]))
}

fn choose(number: Number, wood: &WoodId) -> Edit {
    Edit::Wood(wood::Edit::Choose { whom: Whom::Piece(number), wood: wood.clone() })
}

fn length(work: &Work, length: Um) -> String {
    match work.choices.unit {
        Unit::Mm => mm_text(length),
        Unit::Inch => inch_text(length),
    }
}

fn unsure(work: &Work) -> Vec<Finding> {
    in_use(work)
        .into_iter()
        .filter_map(|(id, pieces)| Some((work.woods.get(id)?, pieces)))
        .filter(|(wood, _)| !wood.measured)
        .map(|(wood, pieces)| Finding {
            kind: Kind::UnsureColour,
            grave: Grave::Note,
            spot: Spot { pieces, woods: vec![wood.id.clone()], ..Spot::default() },
            why: format!(
                "Nobody measured the colour of {} for this table ({}): what is said of its contrast is a guess.",
                wood.name, wood.colour.source
            ),
            ways: vec![Way::advice(format!(
                "Finish an offcut of {} as the work will be, lay it beside offcuts of its neighbours, and judge from a \
                 few steps away before the first cut.",
                wood.name
            ))],
            key: format!("unsure/{}", wood.id),
        })
        .collect()
}

fn too_many(work: &Work, outlines: &Outlines) -> Option<Finding> {
    let in_use = in_use(work);
    let most = work.choices.woods_most as usize;
    if in_use.len() <= most {
        return None;
    }
    let allow = Edit::Setup(setup::Edit::WoodsMost(in_use.len() as u32));
    let mut ways = vec![Way::by(format!("Allow {} woods.", in_use.len()), vec![allow])];
    ways.extend(give_up_least(work, outlines, &in_use));
    Some(Finding {
        kind: Kind::TooManyWoods,
        grave: Grave::Grave,
        spot: Spot { woods: in_use.keys().map(|id| (*id).clone()).collect(), ..Spot::default() },
        why: format!("{} woods are in use, and the job allows {most}.", in_use.len()),
        ways,
        key: "woods/too-many".into(),
    })
}

/// Gives up the wood with the least area among those that are all on paper, for the wood that looks most like it. Woods
/// chosen by hand are given up last.
fn give_up_least(work: &Work, outlines: &Outlines, in_use: &BTreeMap<&WoodId, Vec<Number>>) -> Option<Way> {
    let piece = |number: &Number| &work.pieces[number];
    let area = |number: &Number| outlines.areas.get(&piece(number).area).map_or(0.0, |outline| outline.area_mm2);
    let rank = |numbers: &[Number]| {
        let by_hand = numbers.iter().any(|number| !acts(&piece(number).values.wood));
        (by_hand, numbers.iter().map(area).sum::<f64>())
    };
    let (least, numbers) = in_use
        .iter()
        .filter(|(_, numbers)| numbers.iter().all(|number| piece(number).state == State::Planned))
        .min_by(|a, b| {
            let (a, b) = (rank(a.1), rank(b.1));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        })?;
    let colour = look(work, work.woods.get(*least)?);
    let (_, instead) = in_use
        .keys()
        .filter(|id| *id != least)
        .filter_map(|id| Some((delta_e_2000(colour, look(work, work.woods.get(*id)?)), *id)))
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)))?;
    let says = format!("Give up {} for {}, which looks most like it.", name(work, least), name(work, instead));
    Some(Way::by(says, numbers.iter().map(|number| choose(*number, instead)).collect()))
}

#[cfg(test)]
mod tests;
