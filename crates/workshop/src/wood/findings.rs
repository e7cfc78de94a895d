//! What a check finds of woods: contrast that is lost, colours that nobody measured, too many woods.
//!
//! Contrast is judged on the finished colours of the table. A board may differ from it, which is why a wood with an
//! unmeasured colour is named besides. Pieces without a wood are left in peace.

use std::collections::BTreeMap;

use measure::colour::delta_e_2000;
use measure::length::{Um, inch_text, mm_text};

use super::alternatives::{Behind, backers, bordering};
use super::choose::{BECOMES_PIECES, acts};
use super::contrast::{SHORT_BORDER_MM, contrast};
use super::finish::{finish_of, look};
use super::sure::{Seeing, VISIBLE, judge};
use crate::pattern::Outlines;
use crate::picture::Colours;
use crate::work::edit::{setup, wood};
use crate::work::{Becomes, Edit, Finding, Grave, Kind, Number, Spot, State, Unit, Way, Whom, Wood, WoodId, Work};

/// What a check finds of woods.
pub fn findings(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<Finding> {
    let mut found = contrast(work, outlines, colours);
    found.extend(behind(work, outlines));
    found.extend(too_little(work, outlines));
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

/// How woods are looked at in this job after so many years.
pub(super) fn seeing(work: &Work, years: f64) -> Seeing<'_> {
    Seeing { finish: finish_of(work), years }
}

pub(super) fn choose(number: Number, wood: &WoodId) -> Edit {
    Edit::Wood(wood::Edit::Choose { whom: Whom::Piece(number), wood: wood.clone() })
}

pub(super) fn length(work: &Work, length: Um) -> String {
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

/// The backer where it looks like the pieces that border shadow.
fn behind(work: &Work, outlines: &Outlines) -> Option<Finding> {
    let backer = work.woods.get(&work.choices.backer)?;
    let wood = |n: &Number| work.woods.get(&work.pieces[n].values.wood.as_ref()?.value);
    let pieces: Vec<Number> = bordering(work, outlines, Becomes::Shadow)
        .into_iter()
        .filter(|(n, length)| {
            let alike = |wood: &Wood| judge(backer, wood, seeing(work, 0.0)).0 < VISIBLE;
            *length >= SHORT_BORDER_MM && wood(n).is_some_and(alike)
        })
        .map(|(n, _)| n)
        .collect();
    let other = |behind: &Behind| {
        let says = format!("Take {} as backer: apart along {:.0} %.", behind.name, 100.0 * behind.told_apart);
        Way::by(says, vec![Edit::Setup(setup::Edit::Backer(behind.wood.clone()))])
    };
    let others = backers(work, outlines, Becomes::Shadow);
    let ways = others.iter().filter(|behind| behind.wood != backer.id).map(other).collect();
    let why =
        format!("The backer of {} looks like pieces that border its openings: there the outline is lost.", backer.name);
    let spot = Spot { woods: vec![backer.id.clone()], ..Spot::pieces(pieces) };
    (!spot.pieces.is_empty()).then(|| Finding {
        kind: Kind::BackerAlike,
        grave: Grave::Doubt,
        spot,
        why,
        ways,
        key: "woods/backer".into(),
    })
}

/// Woods of which the pieces take more than the boards on hand give.
fn too_little(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    let area = |n: &Number| outlines.areas.get(&work.pieces[n].area).map_or(0.0, |outline| outline.area_mm2);
    let asked = |(id, pieces): (&WoodId, Vec<Number>)| {
        let had = f64::from(*work.choices.choosing.on_hand.get(id)?) * BECOMES_PIECES;
        let takes: f64 = pieces.iter().map(area).sum();
        (takes > had).then(|| Finding {
            kind: Kind::TooLittleWood,
            grave: Grave::Doubt,
            spot: Spot { woods: vec![id.clone()], ..Spot::pieces(pieces) },
            why: format!(
                "The pieces in {} take {:.0} cm²; the boards on hand give about {:.0} cm² of pieces.",
                name(work, id),
                takes / 100.0,
                had / 100.0
            ),
            ways: vec![Way::advice("Bring in another board, choose another wood for some of them, or choose anew.")],
            key: format!("woods/too-little/{id}"),
        })
    };
    in_use(work).into_iter().filter_map(asked).collect()
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
