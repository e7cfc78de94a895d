//! Borders that follow drawn lines: closed to a saw line, or open as a gap as wide as the line.

use std::collections::BTreeSet;

use measure::length::Um;
use measure::plane::{Point, line};

use super::{GAP_UM, pieces_of};
use crate::pattern::refuse_if_made;
use crate::work::{
    Area, Becomes, Border, BorderId, Changes, InkChoice, Number, Origin, PartId, Pattern, Refusal, Side, Way, Work,
};

/// Places along a border where the line under it is looked for, µm apart.
const LOOK_UM: f64 = 400.0;
/// A border follows a line when this share of it lies in ink.
const SHARE: f64 = 0.6;

/// Notes on the traced borders of a draft how wide the line is that each was closed on, and opens them where `open`. `width` says how wide a
/// drawn line is at a place. Ground that `is_line` becomes shadow.
pub fn with_ink(draft: &mut Pattern, open: bool, width: impl Fn(Point) -> Option<Um>, is_line: impl Fn(Point) -> bool) {
    for area in draft.areas.values_mut().filter(|area| area.becomes == Becomes::Ground && is_line(area.at)) {
        *area = Area { becomes: Becomes::Shadow, ..*area };
    }
    for border in draft.borders.values_mut().filter(|border| border.from == Origin::Traced) {
        let mut widths: Vec<Option<Um>> = places(border).into_iter().map(&width).collect();
        let inked = widths.iter().flatten().count() as f64;
        if inked < SHARE * widths.len() as f64 {
            continue;
        }
        widths.retain(Option::is_some);
        widths.sort();
        border.ink = widths[widths.len() / 2].expect("only widths are left");
    }
    if open {
        let between: Vec<BorderId> = draft.borders.keys().copied().filter(|id| may_open(draft, *id)).collect();
        between.into_iter().for_each(|id| set_gap(draft, id, true));
    }
}

/// Places along a border, about evenly.
fn places(border: &Border) -> Vec<Point> {
    let points = line(&border.curve);
    let mut found = Vec::new();
    let mut gone = LOOK_UM / 2.0;
    for pair in points.windows(2) {
        let (x, y) = (f64::from(pair[1].x - pair[0].x), f64::from(pair[1].y - pair[0].y));
        let long = libm::hypot(x, y);
        let mut at = LOOK_UM - gone;
        while at < long {
            let place = |from: i32, by: f64| (f64::from(from) + by * at / long).round() as i32;
            found.push(Point::new(place(pair[0].x, x), place(pair[0].y, y)));
            at += LOOK_UM;
        }
        gone = (gone + long) % LOOK_UM;
    }
    if found.is_empty() { points } else { found }
}

/// Whether wood, or what will be, lies on both sides of a line.
fn may_open(pattern: &Pattern, id: BorderId) -> bool {
    let border = &pattern.borders[&id];
    let wood = |side: Side| {
        let area = side.area().and_then(|id| pattern.areas.get(&id));
        area.is_some_and(|area| matches!(area.becomes, Becomes::Piece(_) | Becomes::Unnumbered))
    };
    border.ink > Um(0) && wood(border.left) && wood(border.right)
}

fn set_gap(pattern: &mut Pattern, id: BorderId, open: bool) {
    let border = pattern.borders.get_mut(&id).expect("the border was found in the pattern");
    border.gap = if open { Um(border.ink.0.clamp(*GAP_UM.start(), *GAP_UM.end())) } else { Um(0) };
}

/// Opens or closes the drawn lines of a part or of all; a next trace does the same.
pub(super) fn set(work: &mut Work, part: Option<PartId>, open: bool) -> Result<Changes, Refusal> {
    let borders = lines_of(work, part)?;
    if borders.is_empty() {
        let what = "No border here follows a drawn line.";
        return Err(Refusal::new(what).way(Way::advice("Trace a drawing with its ink closed or open, then choose.")));
    }
    let open_now = |id: &BorderId| (work.pattern.borders[id].gap > Um(0)) == open;
    let changed: Vec<BorderId> = borders.into_iter().filter(|id| !open_now(id)).collect();
    let sides = changed.iter().flat_map(|id| [work.pattern.borders[id].left, work.pattern.borders[id].right]);
    let pieces: BTreeSet<Number> = pieces_of(work, sides.filter_map(Side::area)).into_iter().collect();
    refuse_if_made(work, &pieces.into_iter().collect::<Vec<_>>())?;
    changed.iter().for_each(|id| set_gap(&mut work.pattern, *id, open));
    let trace = &mut work.choices.trace;
    match part {
        Some(part) => {
            trace.open_parts.insert(part, open);
        }
        None => {
            trace.open_parts.clear();
            trace.ink = match (trace.ink, open) {
                (InkChoice::Alone, _) => InkChoice::Alone,
                (_, true) => InkChoice::Open,
                (_, false) => InkChoice::Close,
            };
        }
    }
    Ok(Changes { borders: changed.into_iter().collect(), settings: true, ..Changes::default() })
}

/// After a trace: the lines of the parts that were chosen for.
pub fn of_parts(work: &mut Work) {
    work.choices.trace.open_parts.retain(|part, _| work.parts.contains_key(part));
    for (part, open) in work.choices.trace.open_parts.clone() {
        let borders = lines_of(work, Some(part)).unwrap_or_default();
        borders.into_iter().for_each(|id| set_gap(&mut work.pattern, id, open));
    }
}

/// The borders between pieces that follow a drawn line: all, or those about the pieces of a part and of the parts in it.
fn lines_of(work: &Work, part: Option<PartId>) -> Result<Vec<BorderId>, Refusal> {
    let mut pieces = BTreeSet::new();
    if let Some(part) = part {
        if !work.parts.contains_key(&part) {
            return Err(Refusal::new(format!("There is no part {part}.")).way(Way::advice("Name the part again.")));
        }
        let (mut open, mut seen) = (vec![part], BTreeSet::new());
        while let Some(id) = open.pop() {
            // A ring of nestings would end, too.
            if seen.insert(id) {
                pieces.extend(work.parts[&id].pieces.iter().copied());
                open.extend(work.parts.iter().filter(|(_, one)| one.within == Some(id)).map(|(id, _)| *id));
            }
        }
    }
    let meant = |border: &Border| {
        let of = |side: Side| match side.area().and_then(|id| work.pattern.areas.get(&id)).map(|area| area.becomes) {
            Some(Becomes::Piece(number)) => pieces.contains(&number),
            _ => false,
        };
        part.is_none() || of(border.left) || of(border.right)
    };
    let all = work.pattern.borders.iter().filter(|(id, border)| may_open(&work.pattern, **id) && meant(border));
    Ok(all.map(|(id, _)| *id).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::apply;
    use crate::pattern::sample::accepted;
    use crate::work::State;
    use crate::work::edit::{Edit, part, pattern};

    fn ink(part: Option<PartId>, open: bool) -> Edit {
        Edit::Pattern(pattern::Edit::Ink { part, open })
    }

    /// Every border between pieces follows a line of 0.8 mm, but the first, of 5 mm.
    fn inked() -> (Work, Vec<BorderId>) {
        let mut work = accepted(3, 2);
        for border in work.pattern.borders.values_mut().filter(|border| border.from != Origin::Edge) {
            border.ink = Um(800);
        }
        let between: Vec<BorderId> =
            work.pattern.borders.keys().copied().filter(|id| may_open(&work.pattern, *id)).collect();
        work.pattern.borders.get_mut(&between[0]).unwrap().ink = Um(5000);
        (work, between)
    }

    fn open(work: &Work) -> Vec<BorderId> {
        work.pattern.borders.iter().filter(|(_, border)| border.gap > Um(0)).map(|(id, _)| *id).collect()
    }

    #[test]
    fn lines_open_as_gaps_of_their_width_and_close_again() {
        let (mut work, between) = inked();
        let closed = work.pattern.clone();
        let changes = apply(&mut work, &ink(None, true)).unwrap();
        assert_eq!(changes.borders, between.iter().copied().collect());
        assert_eq!((open(&work), work.choices.trace.ink), (between.clone(), InkChoice::Open));
        assert_eq!(work.pattern.borders[&between[0]].gap, Um(3000), "no gap is wider");
        assert_eq!(work.pattern.borders[&between[1]].gap, Um(800));
        apply(&mut work, &ink(None, false)).unwrap();
        assert_eq!((work.pattern, work.choices.trace.ink), (closed, InkChoice::Close));
    }

    #[test]
    fn a_part_chooses_for_the_lines_about_its_pieces() {
        let (mut work, between) = inked();
        let first = *work.pieces.keys().next().unwrap();
        let name = part::Edit::Name { name: "wing".into(), pieces: [first].into(), within: None };
        apply(&mut work, &Edit::Part(name)).unwrap();
        let wing = *work.parts.keys().next().unwrap();
        apply(&mut work, &ink(Some(wing), true)).unwrap();
        let area = work.pieces[&first].area;
        let beside = |id: &BorderId| {
            let border = &work.pattern.borders[id];
            border.left == Side::Area(area) || border.right == Side::Area(area)
        };
        assert_eq!(open(&work), between.iter().copied().filter(beside).collect::<Vec<_>>());
        assert!(open(&work).len() < between.len());
        work.pattern.borders.values_mut().for_each(|border| border.gap = Um(0));
        of_parts(&mut work);
        assert!(!open(&work).is_empty(), "a next trace opens them again");
    }

    #[test]
    fn where_no_line_was_drawn_or_a_piece_is_cut_nothing_opens() {
        let mut bare = accepted(3, 2);
        assert!(apply(&mut bare, &ink(None, true)).unwrap_err().what.contains("No border"));
        let (mut work, _) = inked();
        assert!(apply(&mut work, &ink(Some(PartId(9)), true)).unwrap_err().what.contains("no part 9"));
        let first = *work.pieces.keys().next().unwrap();
        work.pieces.get_mut(&first).unwrap().state = State::Cut;
        assert!(apply(&mut work, &ink(None, true)).unwrap_err().what.contains("cut already"));
    }
}
