//! Planer settings: the thicknesses that planned pieces are planed to, each of which the planer is set to once.

use std::collections::BTreeMap;

use measure::Watch;
use measure::length::Um;

use super::heights::heights;
use super::words;
use crate::pattern::Outlines;
use crate::work::edit::setup;
use crate::work::{Chosen, Edit, Finding, Grave, Kind, Number, Refusal, Spot, State, Unit, Way, Work};

/// The decided thicknesses of planned pieces, ascending, and the pieces of each. What is cut needs no planer any more.
pub fn settings(work: &Work) -> BTreeMap<Um, Vec<Number>> {
    let mut settings: BTreeMap<Um, Vec<Number>> = BTreeMap::new();
    for (number, piece) in work.pieces.iter().filter(|(_, piece)| piece.state == State::Planned) {
        if let Some(thickness) = piece.values.thickness {
            settings.entry(thickness.value).or_default().push(*number);
        }
    }
    settings
}

/// What a wish for few planer settings costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    /// How many settings there would be without it.
    pub settings_without: usize,
    /// Pieces that would stand at another height without it, and at which.
    pub otherwise: BTreeMap<Number, Um>,
    /// Weight × µm by which the wishes are missed with it, and without.
    pub missed: [i64; 2],
}

/// The heights worked out with the wish for few settings and without, side by side; `None` where nothing is wished.
pub fn price_of_settings(work: &Work, outlines: &Outlines, watch: Watch) -> Result<Option<Price>, Refusal> {
    if work.choices.planer_settings.is_none() {
        return Ok(None);
    }
    let mut free = work.clone();
    free.choices.planer_settings = None;
    let ((with, missed), (without, less)) = (heights(work, outlines, watch)?, heights(&free, outlines, watch)?);
    for (number, landed) in &without {
        let Some(piece) = free.pieces.get_mut(number) else { continue };
        piece.values.thickness = Some(Chosen::act(landed.thickness));
    }
    let stands = |number: &Number| with.get(number).map(|landed| landed.height);
    let otherwise = without.iter().filter(|(number, landed)| stands(number) != Some(landed.height));
    Ok(Some(Price {
        settings_without: settings(&free).len(),
        otherwise: otherwise.map(|(number, landed)| (*number, landed.height)).collect(),
        missed: [missed, less],
    }))
}

/// The price in the maker's words.
pub fn price_in_words(work: &Work, price: &Price) -> String {
    let (name, um) = match work.choices.unit {
        Unit::Mm => ("mm", 1000),
        Unit::Inch => ("in", 25_400),
    };
    let [with, without] = price.missed.map(|missed| missed / um);
    let missed = match price.missed {
        [0, 0] => "no wish is missed either way".into(),
        _ => format!("missed wishes add up to {with} (weight × {name}), without it to {without}"),
    };
    format!(
        "Without the wish for few planer settings there would be {}, and {} of {} pieces would stand otherwise; {missed}.",
        price.settings_without,
        price.otherwise.len(),
        work.pieces.len(),
    )
}

/// More settings than wished, at the pieces of those that the fewest pieces have.
pub(super) fn too_many(work: &Work) -> Option<Finding> {
    let (settings, most) = (settings(work), work.choices.planer_settings? as usize);
    if settings.len() <= most {
        return None;
    }
    let mut rare: Vec<(&Um, &Vec<Number>)> = settings.iter().collect();
    rare.sort_by_key(|(thickness, pieces)| (pieces.len(), **thickness));
    let rare: Vec<Number> =
        rare[..settings.len() - most].iter().flat_map(|(_, pieces)| pieces.iter().copied()).collect();
    let long: Vec<String> = settings.keys().map(|thickness| words::length(work, *thickness)).collect();
    let why = format!(
        "The pieces are of {} thicknesses ({}), and the planer is set anew for each; {} wished for.",
        settings.len(),
        long.join(", "),
        if most == 1 { "one setting is".into() } else { format!("at most {most} settings are") },
    );
    let allow = Edit::Setup(setup::Edit::PlanerSettings(Some(settings.len() as u32)));
    Some(Finding {
        kind: Kind::PlanerSettings,
        grave: Grave::Note,
        spot: Spot::pieces(rare),
        why,
        ways: vec![
            Way::advice(
                "Work out the heights again: they keep to it wherever the musts and the settled pieces leave it.",
            ),
            Way::by(format!("Allow {} settings", settings.len()), vec![allow]),
        ],
        key: "planer_settings".into(),
    })
}
