//! What a check finds of outlines: too thin, too small, islands.

use measure::length::{Um, inch_text, mm_text};

use super::loose::loose;
use super::swallowed::swallowed;
use super::{Outline, Outlines};
use crate::work::edit::{Edit, pattern};
use crate::work::{AreaId, Becomes, Finding, Grave, Kind, Number, Spot, State, Unit, Way, Work};

/// The widest circle is known to 10 µm; a piece this close to the limit is not under it.
const SURE_UM: f64 = 10.0;

/// What a check finds of the pattern.
pub fn findings(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    let mut found = Vec::new();
    for (number, piece) in &work.pieces {
        let Some(outline) = outlines.areas.get(&piece.area) else { continue };
        found.extend(too_thin(work, outlines, *number, outline));
        found.extend(too_small(work, outlines, *number, outline));
        found.extend(island(work, *number, piece.area, outline));
    }
    found.extend(swallowed(work, outlines));
    found.extend(loose(work, outlines));
    found
}

pub(super) fn show(work: &Work, length: Um) -> String {
    match work.choices.unit {
        Unit::Mm => mm_text(length),
        Unit::Inch => inch_text(length),
    }
}

fn too_thin(work: &Work, outlines: &Outlines, number: Number, outline: &Outline) -> Option<Finding> {
    let (widest, least) = (2.0 * outline.widest.radius, work.choices.stock.least_width);
    if widest + SURE_UM >= f64::from(least.0) {
        return None;
    }
    let why = format!(
        "Piece {number} is {} at its widest; this stock wants {}. It breaks, or cannot be held at the blade.",
        show(work, Um(widest as i32)),
        show(work, least)
    );
    Some(under_limit(work, outlines, number, (Kind::TooThin, why)))
}

fn too_small(work: &Work, outlines: &Outlines, number: Number, outline: &Outline) -> Option<Finding> {
    let least = work.choices.stock.least_area_mm2;
    if outline.area_mm2 >= f64::from(least) {
        return None;
    }
    let why = format!(
        "Piece {number} has {:.1} mm²; this stock wants {least} mm². There is nothing to hold, and little to glue.",
        outline.area_mm2
    );
    Some(under_limit(work, outlines, number, (Kind::TooSmall, why)))
}

/// A grave finding whose mends are to merge the piece with the neighbour that it shares most with, or to open it.
fn under_limit(work: &Work, outlines: &Outlines, number: Number, (kind, why): (Kind, String)) -> Finding {
    let area = work.pieces[&number].area;
    let mut ways = Vec::new();
    if let Some((other, into)) = longest_neighbour(work, outlines, area) {
        let edit = Edit::Pattern(pattern::Edit::Merge(vec![area, other]));
        ways.push(Way::by(format!("Merge it with piece {into}, which it shares the longest border with."), vec![edit]));
    }
    let open = Edit::Pattern(pattern::Edit::Open(area));
    ways.push(Way::by("Open it: the backer shows there.", vec![open]));
    let spot = Spot { areas: vec![area], at: Some(outlines.areas[&area].widest.centre), ..Spot::pieces([number]) };
    let word = if kind == Kind::TooThin { "thin" } else { "small" };
    Finding { kind, grave: Grave::Grave, spot, why, ways, key: format!("{word}-{number:05}") }
}

/// The piece that an area shares the longest border with, among those that still take something in.
pub(crate) fn longest_neighbour(work: &Work, outlines: &Outlines, area: AreaId) -> Option<(AreaId, Number)> {
    let beside = outlines.meetings.iter().filter_map(|(&(a, b), meeting)| {
        let other = if a == area {
            b
        } else if b == area {
            a
        } else {
            return None;
        };
        match work.pattern.areas.get(&other)?.becomes {
            // What is cut takes nothing in any more.
            Becomes::Piece(number) if work.pieces[&number].state == State::Planned => {
                Some((meeting.length_mm, other, number))
            }
            _ => None,
        }
    });
    // On a tie the lower number wins.
    let longest = beside.max_by(|one, two| one.0.total_cmp(&two.0).then(two.2.cmp(&one.2)));
    longest.map(|(_, other, number)| (other, number))
}

/// A piece whose outline is one ring of borders that lies in one other area.
fn island(work: &Work, number: Number, area: AreaId, outline: &Outline) -> Option<Finding> {
    let mut around: Vec<Option<AreaId>> = outline
        .borders
        .first()?
        .iter()
        .map(|(id, forward)| {
            let border = &work.pattern.borders[id];
            if *forward { border.left.area() } else { border.right.area() }
        })
        .collect();
    around.dedup();
    let [Some(outer)] = around[..] else { return None };
    let Becomes::Piece(outer_number) = work.pattern.areas.get(&outer)?.becomes else { return None };
    let why =
        format!("Piece {number} lies inside piece {outer_number}: the opening for it is sawn from a drilled hole.");
    let merge = Edit::Pattern(pattern::Edit::Merge(vec![outer, area]));
    let ways = vec![
        Way::advice(
            "Drill the hole in what falls out of the opening, close to the line or in a corner; the blade's list says how wide.",
        ),
        Way::by(format!("Merge it with piece {outer_number}."), vec![merge]),
    ];
    let spot = Spot { areas: vec![area], at: Some(outline.widest.centre), ..Spot::pieces([number, outer_number]) };
    Some(Finding { kind: Kind::Island, grave: Grave::Note, spot, why, ways, key: format!("island-{number:05}") })
}

#[cfg(test)]
mod tests {
    use measure::plane::Point;

    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;

    fn found(work: &Work) -> Vec<(Kind, u32)> {
        let all = findings(work, &outlines(&work.pattern, work.panel));
        all.into_iter().map(|finding| (finding.kind, finding.spot.pieces[0].0)).collect()
    }

    /// Two rings lie in each other in the second cell; the inner one is 6 mm across and has 28.3 mm².
    #[test]
    fn islands_are_told_of_and_limits_are_kept() {
        let mut work = accepted(3, 2);
        work.choices.stock.least_width = Um(2900);
        assert_eq!(found(&work).iter().filter(|(kind, _)| *kind == Kind::Island).count(), 2);
        assert_eq!(found(&work).len(), 2);
        work.choices.stock.least_area_mm2 = 29;
        assert_eq!(found(&work).iter().filter(|(kind, _)| *kind == Kind::TooSmall).count(), 1);
        // The ring between is 3 mm wide.
        work.choices.stock.least_width = Um(3100);
        assert_eq!(found(&work).iter().filter(|(kind, _)| *kind == Kind::TooThin).count(), 1);
    }

    #[test]
    fn each_first_way_out_mends_it() {
        let mut work = accepted(3, 2);
        work.choices.stock.least_width = Um(2500);
        let area = work.pieces[&Number(1)].area;
        let along = vec![Point::new(-500, 2000), Point::new(21_500, 2000)];
        crate::apply(&mut work, &Edit::Pattern(pattern::Edit::Split { area, along })).expect("a strip along the top");
        let all = findings(&work, &outlines(&work.pattern, work.panel));
        let thin = all.iter().find(|finding| finding.kind == Kind::TooThin).expect("a strip of 2 mm is too thin");
        assert_eq!(thin.grave, Grave::Grave);
        crate::apply_all(&mut work, &thin.ways[0].edits).expect("the way can be walked");
        assert!(found(&work).iter().all(|(kind, _)| *kind == Kind::Island));
    }

    #[test]
    fn shadow_and_ground_are_not_sawn() {
        let mut work = accepted(3, 2);
        work.choices.stock.least_area_mm2 = 100_000;
        let ids: Vec<AreaId> = work.pattern.areas.keys().copied().collect();
        for id in ids {
            crate::apply(&mut work, &Edit::Pattern(pattern::Edit::Open(id))).expect("it can be opened");
        }
        assert_eq!(found(&work), []);
    }
}
