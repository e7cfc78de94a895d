//! Tones and where they occur: of the whole picture, and of a part with the parts within it; and the same as JSON.

use std::collections::{BTreeMap, BTreeSet};

use measure::colour::Lab;
use serde_json::{Value, json};

use super::lab;
use crate::derived::Derived;
use crate::picture::Tone;
use crate::work::{AreaId, Becomes, Number, PartId, Work};

/// A piece of which a tone makes up less than this share does not count as a place of it: edges blend.
const SHARE: f64 = 0.05;

/// A tone of the picture and the pieces that it occurs in.
#[derive(Clone, Debug, PartialEq)]
pub struct Gathered {
    /// A plain colour word.
    pub name: String,
    /// Its mean colour in the picture.
    pub colour: Lab,
    /// How much of the panel shows it, mm².
    pub area_mm2: f64,
    /// The pieces that it occurs in, with how much of each, mm².
    pub pieces: Vec<(Number, f64)>,
}

/// Tones of all that is not ground.
pub(super) fn of_all(work: &Work, derived: &mut Derived) -> Value {
    tones(work, derived).iter().map(told).collect()
}

/// The picture's colours, of all that is not ground, gathered into as many tones as the job asks for. Empty without a picture.
pub fn tones(work: &Work, derived: &mut Derived) -> Vec<Gathered> {
    let ground = |area: AreaId| work.pattern.areas.get(&area).is_some_and(|area| area.becomes == Becomes::Ground);
    gathered(work, derived, |area| !ground(area))
}

/// Tones of a part.
pub(super) fn of_part(work: &Work, derived: &mut Derived, id: PartId) -> Value {
    let areas: BTreeSet<AreaId> =
        within(work, id).iter().filter_map(|number| work.pieces.get(number)).map(|piece| piece.area).collect();
    gathered(work, derived, |area| areas.contains(&area)).iter().map(told).collect()
}

fn within(work: &Work, id: PartId) -> BTreeSet<Number> {
    let mut numbers = BTreeSet::new();
    let mut open = vec![id];
    while let Some(id) = open.pop() {
        numbers.extend(work.parts[&id].pieces.iter().copied());
        open.extend(work.parts.iter().filter(|(_, part)| part.within == Some(id)).map(|(id, _)| *id));
    }
    numbers
}

fn gathered(work: &Work, derived: &mut Derived, wanted: impl Fn(AreaId) -> bool) -> Vec<Gathered> {
    let Some(raster) = derived.picture().cloned() else { return Vec::new() };
    let tones = derived.colour_count(work).tones(work.choices.tones as usize, wanted);
    let panel = work.panel.width.to_mm() * work.panel.height.to_mm();
    let pixel = panel / raster.pixels.len() as f64;
    let numbers: BTreeMap<AreaId, Number> = work.pieces.iter().map(|(number, piece)| (piece.area, *number)).collect();
    let outlines = derived.outlines(work);
    let places = |tone: &Tone| -> Vec<(Number, f64)> {
        let place = |(area, pixels): (&AreaId, &u64)| {
            let mm2 = *pixels as f64 * pixel;
            let share = mm2 / outlines.areas.get(area)?.area_mm2;
            (share >= SHARE).then_some((*numbers.get(area)?, mm2))
        };
        tone.of.iter().filter_map(place).collect()
    };
    let tone = |tone: &Tone| Gathered {
        name: tone.name.clone(),
        colour: tone.colour,
        area_mm2: tone.pixels as f64 * pixel,
        pieces: places(tone),
    };
    tones.iter().map(tone).collect()
}

fn told(tone: &Gathered) -> Value {
    let place = |(piece, mm2): &(Number, f64)| json!({"piece": piece, "area_mm2": tenths(*mm2)});
    json!({
        "name": tone.name,
        "colour_lab": lab(tone.colour),
        "area_mm2": tenths(tone.area_mm2),
        "pieces": tone.pieces.iter().map(place).collect::<Vec<_>>(),
    })
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}
