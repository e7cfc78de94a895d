//! Tones as JSON: of the whole picture, and of a part with the parts within it.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use super::lab;
use crate::derived::Derived;
use crate::picture::Tone;
use crate::work::{AreaId, Becomes, Number, PartId, Work};

/// A piece of which a tone makes up less than this share does not count as a place of it: edges blend.
const SHARE: f64 = 0.05;

/// Tones of all that is not ground.
pub(super) fn of_all(work: &Work, derived: &mut Derived) -> Value {
    let ground = |area: AreaId| work.pattern.areas.get(&area).is_some_and(|area| area.becomes == Becomes::Ground);
    told(work, derived, |area| !ground(area))
}

/// Tones of a part.
pub(super) fn of_part(work: &Work, derived: &mut Derived, id: PartId) -> Value {
    let areas: BTreeSet<AreaId> =
        within(work, id).iter().filter_map(|number| work.pieces.get(number)).map(|piece| piece.area).collect();
    told(work, derived, |area| areas.contains(&area))
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

fn told(work: &Work, derived: &mut Derived, wanted: impl Fn(AreaId) -> bool) -> Value {
    let Some(raster) = derived.picture().cloned() else { return json!([]) };
    let tones = derived.colour_count(work).tones(work.choices.tones as usize, wanted);
    let panel = work.panel.width.to_mm() * work.panel.height.to_mm();
    let pixel = panel / raster.pixels.len() as f64;
    let numbers: BTreeMap<AreaId, Number> = work.pieces.iter().map(|(number, piece)| (piece.area, *number)).collect();
    let outlines = derived.outlines(work);
    let places = |tone: &Tone| -> Vec<Value> {
        let place = |(area, pixels): (&AreaId, &u64)| {
            let mm2 = *pixels as f64 * pixel;
            let share = mm2 / outlines.areas.get(area)?.area_mm2;
            (share >= SHARE).then_some(json!({"piece": numbers.get(area)?, "area_mm2": tenths(mm2)}))
        };
        tone.of.iter().filter_map(place).collect()
    };
    let tone = |tone: &Tone| {
        json!({
            "name": tone.name,
            "colour_lab": lab(tone.colour),
            "area_mm2": tenths(tone.pixels as f64 * pixel),
            "pieces": places(tone),
        })
    };
    tones.iter().map(tone).collect()
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}
