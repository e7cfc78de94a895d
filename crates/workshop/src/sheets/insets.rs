//! Insets: small parts of a sheet at larger scale, for the numbers that found no place on it.
//!
//! The smallest piece without a number asks for the scale; of the windows that show it, that with the most others is cut down
//! to what it is for and labelled like a sheet of its own: numbers inside, else beside it with a leader. The count is not the
//! least possible.

use super::draw::{Drawing, Lens};
use super::facts::Row;
use super::flags::Ground;
use super::labels::{Labels, Shown};
use super::paper::{Rect, Spot};
use super::room::enters;
use crate::work::AreaId;

/// The largest window of an inset on its page, mm: with flags around it two stand abreast on A4 and Letter, three below each
/// other. Larger ones hold more numbers and leave more of a page white.
const MOST_MM: (f64, f64) = (74.0, 56.0);
/// The least side: a head has room above, and neighbours can be recognised.
const LEAST_MM: (f64, f64) = (26.0, 20.0);
/// White beside a window for flags: a number's, one with wood, thickness and grain, and above and below.
const BESIDE_MM: f64 = 9.0;
const BESIDE_FULL_MM: f64 = 26.0;
const ABOVE_MM: f64 = 6.0;
/// Of the neighbourhood, around the dots of the pieces that an inset is for.
const AROUND_MM: f64 = 8.0;
/// A dot keeps this far from the window's edge.
const EDGE_MM: f64 = 2.0;
/// The least radius of a piece in its inset, mm: a dot covers no neighbour.
const RADIUS_MM: f64 = 0.5;

/// Scales tried, over that of the sheet. Less than twice shows hardly more than the sheet itself.
const TIMES: [f64; 9] = [2.0, 2.5, 3.0, 4.0, 6.0, 9.0, 14.0, 24.0, 48.0];

/// A piece without a number.
pub(super) struct Lost<'a> {
    pub piece: &'a Row,
    pub code: String,
    /// Its dot on the sheet.
    pub dot: Spot,
}

/// A part of a sheet at larger scale.
#[derive(Clone)]
pub(super) struct Inset {
    /// From 1, on its sheet.
    pub number: usize,
    /// What it shows of the sheet, page mm.
    pub shows: Rect,
    /// Its scale over that of the sheet.
    pub times: f64,
    /// Its window and the flags beside it, from the window's upper left corner.
    pub outer: Rect,
    /// Areas of the pieces that it numbers.
    pub areas: Vec<AreaId>,
    /// Areas of those whose grain arrow found no room.
    pub bare: Vec<AreaId>,
    /// Words, from the window's upper left corner.
    pub labels: Labels,
}

impl Inset {
    /// The lens that draws it with its window's upper left corner at a place of a page.
    pub fn lens(&self, sheet: &Lens, at: Spot) -> Lens {
        let window = Rect::new(at.0, at.1, self.shows.w * self.times, self.shows.h * self.times);
        sheet.zoomed(window, (self.shows, self.times))
    }
}

/// Insets for all that are lost; `in_full` with their grain, and their code on flags too.
pub(super) fn insets(sheet: &Drawing, mut lost: Vec<Lost>, in_full: bool) -> Vec<Inset> {
    lost.sort_by(|a, b| {
        sheet.radius(a.piece).total_cmp(&sheet.radius(b.piece)).then(a.piece.number.cmp(&b.piece.number))
    });
    let mut insets: Vec<Inset> = Vec::new();
    while let Some(first) = lost.first() {
        let enough = |times: &f64| sheet.radius(first.piece) * times >= RADIUS_MM;
        let from = TIMES.iter().position(enough).unwrap_or(TIMES.len() - 1);
        let with_others = || laid(sheet, (&within(&lost, TIMES[from])[..], TIMES[from]), in_full);
        let alone = || TIMES[from..].iter().find_map(|times| laid(sheet, (&[first], *times), in_full));
        let Some(inset) = with_others().or_else(alone) else {
            // No scale shows it: its outline is narrower than a letter forty-eight times enlarged.
            lost.remove(0);
            continue;
        };
        lost.retain(|one| !inset.areas.contains(&one.piece.area));
        insets.push(Inset { number: insets.len() + 1, ..inset });
    }
    insets
}

/// Those that are shown with the first, by the window that shows most of them: it begins at the dot of one, across and down.
fn within<'a, 'b>(lost: &'a [Lost<'b>], times: f64) -> Vec<&'a Lost<'b>> {
    let (w, h) = ((MOST_MM.0 - 2.0 * AROUND_MM) / times, (MOST_MM.1 - 2.0 * AROUND_MM) / times);
    let first = lost[0].dot;
    let near = |one: &&Lost| (one.dot.0 - first.0).abs() <= w && (one.dot.1 - first.1).abs() <= h;
    let near: Vec<&Lost> = lost.iter().filter(near).collect();
    let shown = |x: f64, y: f64| near.iter().filter(move |one| Rect::new(x, y, w, h).contains(one.dot));
    let mut best = (0, first);
    for x in near.iter().map(|one| one.dot.0).filter(|x| *x <= first.0) {
        for y in near.iter().map(|one| one.dot.1).filter(|y| *y <= first.1) {
            let count = shown(x, y).count();
            if count > best.0 {
                best = (count, (x, y));
            }
        }
    }
    let (x, y) = best.1;
    shown(x, y).copied().collect()
}

/// An inset around these pieces, the first among those that it numbers; `None` where that finds no place.
fn laid(sheet: &Drawing, (lost, times): (&[&Lost], f64), in_full: bool) -> Option<Inset> {
    let shows = window(sheet, lost.iter().map(|one| one.dot), times)?;
    let on_page = Rect::new(0.0, 0.0, shows.w * times, shows.h * times);
    let drawing = Drawing { facts: sheet.facts, lens: sheet.lens.zoomed(on_page, (shows, times)), words: on_page };
    let (mut areas, mut shown): (Vec<AreaId>, Vec<Shown>) = (Vec::new(), Vec::new());
    for one in lost {
        let seen = drawing.shown(one.piece, one.code.clone(), in_full);
        // The dot of the sheet: a tile may show another part of the piece than the whole pattern does.
        let widest = drawing.lens.page(sheet.lens.panel(one.dot));
        if let Some(seen) = seen.filter(|_| on_page.inset(EDGE_MM).contains(widest)) {
            areas.push(one.piece.area);
            shown.push(Shown { widest, ..seen });
        }
    }
    let beside = if in_full { BESIDE_FULL_MM } else { BESIDE_MM };
    let bounds = Rect::new(-beside, -ABOVE_MM, on_page.w + 2.0 * beside, on_page.h + 2.0 * ABOVE_MM);
    let borders = drawing.segments().into_iter().chain(sides(on_page)).collect();
    let ground = Ground { borders, open: Vec::new(), panel: on_page, bounds, keep: Vec::new() };
    let labels = Labels::place(&sheet.facts.faces, shown, &ground);
    if areas.is_empty() || labels.unseated.first() == Some(&0) {
        return None;
    }
    let placed = areas.iter().enumerate().filter(|(at, _)| !labels.unseated.contains(at)).map(|(_, area)| *area);
    let bare = labels.bare.iter().map(|at| areas[*at]).collect();
    let covered = labels.flags.iter().flat_map(|flag| flag.frame.inset(-0.4).corners()).chain(on_page.corners());
    let outer = Rect::bounding(covered)?;
    Some(Inset { number: 0, shows, times, outer, areas: placed.collect(), bare, labels })
}

/// What an inset shows of its sheet: its dots with their neighbourhood, of the panel only.
fn window(sheet: &Drawing, dots: impl Iterator<Item = Spot>, times: f64) -> Option<Rect> {
    let around = Rect::bounding(dots)?.inset(-AROUND_MM / times);
    let (w, h) = (around.w.max(LEAST_MM.0 / times), around.h.max(LEAST_MM.1 / times));
    let wanted = Rect::around(around.centre(), w, h);
    let panel = sheet.lens.rect(Rect::new(0.0, 0.0, sheet.facts.panel.0, sheet.facts.panel.1));
    Some(moved_into(wanted, panel))
}

/// A box moved into another as far as it fits.
fn moved_into(one: Rect, other: Rect) -> Rect {
    let place = |at: f64, long: f64, from: f64, room: f64| at.min(from + room - long).max(from);
    Rect { x: place(one.x, one.w, other.x, other.w), y: place(one.y, one.h, other.y, other.h), ..one }
}

fn sides(rect: Rect) -> impl Iterator<Item = (Spot, Spot)> {
    let corners = rect.corners();
    (0..4).map(move |at| (corners[at], corners[(at + 1) % 4]))
}

/// A place for an inset's number beside its frame on the sheet: over no border, no label, no leader.
pub(super) fn name_place(frame: Rect, (w, h): (f64, f64), taken: &impl Fn(Rect) -> bool) -> Option<Rect> {
    let slots = 12;
    let along = |at: i32, from: f64, to: f64| from + (to - from) * f64::from(at) / f64::from(slots);
    let places = (0..=slots).flat_map(|at| {
        let x = along(at, frame.x, frame.right() - w);
        let y = along(at, frame.y, frame.bottom() - h);
        [
            (x, frame.y - h - 0.7),
            (x, frame.bottom() + 0.7),
            (frame.x - w - 0.7, y),
            (frame.right() + 0.7, y),
            (x, frame.y + 0.7),
            (x, frame.bottom() - h - 0.7),
        ]
    });
    places.map(|(x, y)| Rect::new(x, y, w, h)).find(|rect| !taken(*rect))
}

/// Whether a box is struck by any of the segments.
pub(super) fn struck(rect: Rect, mut segments: impl Iterator<Item = (Spot, Spot)>) -> bool {
    segments.any(|(a, b)| enters(rect, a, b))
}
