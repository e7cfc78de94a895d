//! Insets: small parts of a sheet at larger scale, for the numbers that found no place on it.
//!
//! The smallest piece without a number asks for the scale; of nine windows around it the one that holds the most others is
//! drawn, and all that find a seat in it are done. The count is not the least possible.

use super::draw::{Drawing, Lens};
use super::facts::{Facts, Row};
use super::labels::{Shown, Written, sat};
use super::paper::{Rect, Spot};
use super::room::{Room, enters};

/// Side of an inset on the page, mm: three across on A4, two on A5.
pub(super) const SIDE_MM: f64 = 58.0;
/// Side of an inset that shows one number only: with their heads four take the room of a large one.
pub(super) const SMALL_MM: f64 = 24.0;

/// Scales tried, over that of the sheet.
const TIMES: [f64; 10] = [1.5, 2.0, 2.5, 3.0, 4.0, 6.0, 9.0, 14.0, 24.0, 48.0];

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
    /// Its side on the page, mm.
    pub side: f64,
    /// Words, from the inset's upper left corner, with what each label covers.
    pub words: Vec<(Rect, Vec<Written>)>,
}

impl Inset {
    /// The lens that draws it at a place of a page.
    pub fn lens(&self, sheet: &Lens, at: Spot) -> Lens {
        let window = Rect::new(at.0, at.1, self.side, self.side);
        sheet.zoomed(window, (self.shows, self.times))
    }

    /// Cut down to the neighbourhood of its only number.
    fn small(mut self) -> Inset {
        let [(rect, words)] = &mut self.words[..] else { return self };
        if rect.w.max(rect.h) > SMALL_MM - 2.0 {
            return self;
        }
        let corner = |middle: f64| (middle - SMALL_MM / 2.0).clamp(0.0, SIDE_MM - SMALL_MM);
        let (x, y) = (corner(rect.centre().0), corner(rect.centre().1));
        (rect.x, rect.y) = (rect.x - x, rect.y - y);
        words.iter_mut().for_each(|word| word.at = (word.at.0 - x, word.at.1 - y));
        let (at, long) = ((self.shows.x + x / self.times, self.shows.y + y / self.times), SMALL_MM / self.times);
        Inset { shows: Rect::new(at.0, at.1, long, long), side: SMALL_MM, ..self }
    }
}

/// Insets for all that are lost.
pub(super) fn insets(facts: &Facts, sheet: &Lens, mut lost: Vec<Lost>) -> Vec<Inset> {
    let radius = |lost: &Lost| facts.outline(lost.piece.area).widest.radius;
    lost.sort_by(|a, b| radius(a).total_cmp(&radius(b)).then(a.piece.number.cmp(&b.piece.number)));
    let mut insets = Vec::new();
    while let Some(first) = lost.first() {
        let alone = |times: f64| window(first.dot, times);
        let fits = |times: &&f64| seat(facts, sheet, (first, alone(**times), **times)).is_some();
        let times = TIMES.iter().find(fits).copied().unwrap_or(TIMES[TIMES.len() - 1]);
        let shows = busiest(facts, sheet, (&lost, times));
        let mut words = Vec::new();
        let before = lost.len();
        lost.retain(|one| {
            let seat = holds(shows, one.dot).then(|| seat(facts, sheet, (one, shows, times))).flatten();
            seat.map(|found| words.push(found)).is_none()
        });
        if lost.len() == before {
            // No scale shows it: its outline is narrower than a letter forty-eight times enlarged.
            lost.remove(0);
            continue;
        }
        insets.push(Inset { number: insets.len() + 1, shows, times, side: SIDE_MM, words }.small());
    }
    insets
}

fn window(centre: Spot, times: f64) -> Rect {
    Rect::around(centre, SIDE_MM / times, SIDE_MM / times)
}

fn holds(window: Rect, dot: Spot) -> bool {
    window.inset(window.w * 0.04).contains(dot)
}

/// Of nine windows around the first, that with the most dots in which the first still has its seat.
fn busiest(facts: &Facts, sheet: &Lens, (lost, times): (&[Lost], f64)) -> Rect {
    let first = &lost[0];
    let step = SIDE_MM / times * 0.36;
    let shifts = [0.0, -1.0, 1.0];
    let around = shifts.iter().flat_map(|dy| shifts.iter().map(move |dx| (dx * step, dy * step)));
    let mut best = (0, window(first.dot, times));
    for (dx, dy) in around {
        let shows = window((first.dot.0 + dx, first.dot.1 + dy), times);
        let count = lost.iter().filter(|one| holds(shows, one.dot)).count();
        if count > best.0 && seat(facts, sheet, (first, shows, times)).is_some() {
            best = (count, shows);
        }
    }
    best.1
}

/// A piece's label in an inset, from the inset's corner.
fn seat(facts: &Facts, sheet: &Lens, (lost, shows, times): (&Lost, Rect, f64)) -> Option<(Rect, Vec<Written>)> {
    let window = Rect::new(0.0, 0.0, SIDE_MM, SIDE_MM);
    let lens = sheet.zoomed(window, (shows, times));
    let drawing = Drawing { facts, lens, words: window.inset(0.8) };
    let room = Room::new(drawing.rings(lost.piece.area), drawing.words)?.no_wider(drawing.radius(lost.piece));
    let widest = lens.page(sheet.panel(lost.dot));
    let number = lost.piece.number.to_string();
    sat(&facts.faces, &Shown { room, widest, number, code: lost.code.clone(), full_flag: false, grain: None })
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
