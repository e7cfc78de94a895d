//! After borders have moved: nothing touches, every area is still there, and its point lies in it; or a refusal with the place.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Point, inside_rings, line};

use super::{at, pieces_of};
use crate::pattern::outline::{rings, widest};
use crate::pattern::prove::{Fault, prove_near};
use crate::pattern::refuse_if_made;
use crate::work::{AreaId, Becomes, Border, BorderId, Changes, JunctionId, Pattern, Refusal, Side, Spot, Way, Work};

/// No area may be narrower than this, µm: it would be lost in the snapping of its own border.
pub(super) const SLIVER_UM: f64 = 50.0;

/// Refuses to move borders beside what is cut, shaped or set.
pub(super) fn refuse_if_beside_made(work: &Work, borders: &BTreeSet<BorderId>) -> Result<(), Refusal> {
    refuse_if_made(work, &pieces_of(work, beside(&work.pattern, borders)))
}

/// The areas beside borders.
pub(super) fn beside(pattern: &Pattern, borders: &BTreeSet<BorderId>) -> BTreeSet<AreaId> {
    let of = |id: &BorderId| pattern.borders.get(id).map(|border| [border.left, border.right]);
    borders.iter().filter_map(of).flatten().filter_map(Side::area).collect()
}

/// What the moved borders changed, once the pattern is known to be whole around them.
pub(super) fn settled(work: &mut Work, moved: BTreeSet<BorderId>) -> Result<Changes, Refusal> {
    let faults = prove_near(&work.pattern, work.panel, &moved);
    if let Some(fault) = faults.iter().find(|fault| !matches!(fault, Fault::Area(_))) {
        return Err(refusal(&work.pattern, fault));
    }
    let areas = beside(&work.pattern, &moved);
    for id in &areas {
        let rings = rings_of(&work.pattern, *id);
        let circle = widest::circle(&rings);
        if circle.radius * 2.0 < SLIVER_UM {
            return Err(refusal(&work.pattern, &Fault::Area(*id)));
        }
        let area = work.pattern.areas.get_mut(id).expect("the sides of a sound border are areas of the pattern");
        if !holds(&rings, area.at) {
            area.at = circle.centre;
        }
    }
    if !faults.is_empty()
        && let Some(fault) = prove_near(&work.pattern, work.panel, &moved).first()
    {
        return Err(refusal(&work.pattern, fault));
    }
    Ok(Changes { areas, borders: moved, ..Changes::default() })
}

pub(super) fn rings_of(pattern: &Pattern, id: AreaId) -> Vec<Vec<Point>> {
    let of = |border: &&Border| border.left == Side::Area(id) || border.right == Side::Area(id);
    let borders: BTreeMap<BorderId, Border> =
        pattern.borders.iter().filter(|(_, border)| of(border)).map(|(i, b)| (*i, b.clone())).collect();
    let lines: BTreeMap<BorderId, Vec<Point>> = borders.iter().map(|(i, b)| (*i, line(&b.curve))).collect();
    let own = Pattern { borders, ..Pattern::default() };
    let walks = rings::walks(&own, &lines, rings::Turn::Part).remove(&id).unwrap_or_default();
    walks.iter().map(|walk| rings::points(walk, &lines)).collect()
}

fn holds(rings: &[Vec<Point>], point: Point) -> bool {
    inside_rings(rings.iter().map(Vec::as_slice), point)
}

fn refusal(pattern: &Pattern, fault: &Fault) -> Refusal {
    let way = Way::advice("Move it less far, or with a narrower brush.");
    match fault {
        Fault::Touch(one, other, place) => {
            let what = match one == other {
                true => "The border would come upon itself.",
                false => "The border would come upon another.",
            };
            let borders = if one == other { vec![*one] } else { vec![*one, *other] };
            Refusal::new(what).at(Spot { borders, at: Some(*place), ..Spot::default() }).way(way)
        }
        Fault::Broken(id) => {
            let border = &pattern.borders[id];
            let out = |p: &&Point| p.x < 0 || p.y < 0;
            let line = line(&border.curve);
            let place = line.iter().find(out).or(line.get(line.len() / 2)).copied();
            Refusal::new("The border would leave the panel.")
                .at(Spot { borders: vec![*id], at: place, ..Spot::default() })
                .way(way)
        }
        Fault::Area(id) => {
            let what = match pattern.areas[id].becomes {
                Becomes::Piece(number) => format!("Piece {number} would be left without wood, or fall apart."),
                _ => format!("Area {id} would vanish, or fall apart."),
            };
            Refusal::new(what).at(Spot { at: Some(pattern.areas[id].at), ..at(*id) }).way(way)
        }
        Fault::Sum(_) => Refusal::new("The areas would no longer fill the panel.").way(way),
    }
}

/// The borders that meet in a junction.
pub(super) fn around(pattern: &Pattern, junction: JunctionId) -> BTreeSet<BorderId> {
    let meets =
        |border: &Border| matches!(border.ends, crate::work::Ends::Between(a, b) if a == junction || b == junction);
    pattern.borders.iter().filter(|(_, border)| meets(border)).map(|(id, _)| *id).collect()
}
