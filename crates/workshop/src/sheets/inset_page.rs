//! Pages of insets: parts of sheets at larger scale, each headed with its number, its sheet, its place there and its scale.
//!
//! Those of all sheets of a kind are gathered, large ones first, so that pages are filled.

use super::draw::{Drawing, inset_name, scale_words, written};
use super::finder;
use super::frame::{Frame, SOFT};
use super::insets::{Inset, SIDE_MM, SMALL_MM};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, weight};

/// Height of an inset's head, and white to the next, mm.
const HEAD_MM: f64 = 5.0;
const APART_MM: f64 = 5.0;

/// An inset by its sheet's place among those gathered and its own on that sheet.
pub(super) type Which = (usize, usize);

/// How many large insets a page holds, across and down.
fn grid(paper: Paper) -> (usize, usize) {
    let body = Frame::body(paper);
    let fit = |long: f64, each: f64| (((long + APART_MM) / (each + APART_MM)) as usize).max(1);
    (fit(body.w, SIDE_MM), fit(body.h, SIDE_MM + HEAD_MM))
}

/// Quarters of a large place that an inset takes.
fn quarters(inset: &Inset) -> usize {
    if inset.side < SIDE_MM { 1 } else { 4 }
}

/// Insets of several sheets by page.
pub(super) fn pages<'a>(sheets: impl Iterator<Item = &'a [Inset]>, paper: Paper) -> Vec<Vec<Which>> {
    let mut all: Vec<(usize, Which)> = Vec::new();
    for (sheet, insets) in sheets.enumerate() {
        all.extend(insets.iter().enumerate().map(|(at, inset)| (quarters(inset), (sheet, at))));
    }
    // A stable sort: each kind stays in the order of its sheets.
    all.sort_by_key(|(quarters, _)| std::cmp::Reverse(*quarters));
    let (across, down) = grid(paper);
    let mut pages: Vec<Vec<Which>> = Vec::new();
    let mut used = usize::MAX;
    for (quarters, which) in all {
        if used.saturating_add(quarters) > 4 * across * down {
            pages.push(Vec::new());
            used = 0;
        }
        pages.last_mut().expect("the first inset begins a page").push(which);
        used += quarters;
    }
    pages
}

/// An inset to draw, the sheet that it is of, and what that is called where there are several.
pub(super) struct One<'a> {
    pub sheet: Drawing<'a>,
    pub inset: &'a Inset,
    pub of: String,
}

/// Draws a page; `base` draws the pattern under the words of one of them.
pub(super) fn draw(pen: &mut Pen, paper: Paper, insets: &[One], base: impl Fn(&mut Pen, usize, &Drawing, &[Rect])) {
    let body = Frame::body(paper);
    let (across, _) = grid(paper);
    let mut used = 0;
    for (at, one) in insets.iter().enumerate() {
        let (cell, quarter) = (used / 4, used % 4);
        let (pitch, small) = (SIDE_MM + APART_MM, SMALL_MM + APART_MM + HEAD_MM);
        let x = body.x + (cell % across) as f64 * pitch + (quarter % 2) as f64 * small;
        let y = body.y + (cell / across) as f64 * (pitch + HEAD_MM) + (quarter / 2) as f64 * small;
        head(pen, one, (x, y + 3.4));
        drawn(pen, one, (x, y + HEAD_MM), |pen, drawing, covered| base(pen, at, drawing, covered));
        used += quarters(one.inset);
    }
}

fn head(pen: &mut Pen, one: &One, at: Spot) {
    let (inset, sheet) = (one.inset, &one.sheet);
    let name = inset_name(inset);
    let bold = Style::bold(size::BODY);
    pen.text(bold, at, &name);
    let field = finder::field(sheet.lens.window, inset.shows.centre());
    let scale = scale(sheet.lens.scale * inset.times);
    let words = match (one.of.is_empty(), inset.side < SIDE_MM) {
        (true, _) => format!("at {field}, {scale}"),
        (false, true) => format!("{}, at {field}", one.of),
        (false, false) => format!("{}, at {field}, {scale}", one.of),
    };
    let x = at.0 + pen.faces.width(bold, &name) + 2.0;
    pen.text(Style::plain(size::SMALL).in_colour(SOFT), (x, at.1), &words);
}

/// `3 : 1` where it is enlarged.
fn scale(scale: f64) -> String {
    if scale > 1.0 { format!("{} : 1", super::words::trimmed(scale, 2)) } else { scale_words(scale) }
}

fn drawn(pen: &mut Pen, one: &One, at: Spot, base: impl Fn(&mut Pen, &Drawing, &[Rect])) {
    let lens = one.inset.lens(&one.sheet.lens, at);
    let drawing = Drawing { facts: one.sheet.facts, lens, words: lens.window };
    let moved = |rect: Rect| Rect { x: rect.x + at.0, y: rect.y + at.1, ..rect };
    let covered: Vec<Rect> = one.inset.words.iter().map(|(rect, _)| moved(*rect)).collect();
    pen.within(lens.window, |pen| {
        base(pen, &drawing, &covered);
        for word in one.inset.words.iter().flat_map(|(_, words)| words) {
            let mut word = word.clone();
            word.at = (word.at.0 + at.0, word.at.1 + at.1);
            written(pen, &word);
        }
    });
    pen.frame(weight::MARK, lens.window);
}

#[cfg(test)]
mod tests {
    use super::super::paper::paper;
    use super::*;

    #[test]
    fn pages_of_insets_are_filled_before_the_next_begins() {
        let inset =
            |side: f64| Inset { number: 1, shows: Rect::new(0.0, 0.0, 9.0, 9.0), times: 2.0, side, words: Vec::new() };
        let sheets = [
            vec![inset(SMALL_MM), inset(SIDE_MM), inset(SMALL_MM)],
            vec![inset(SIDE_MM); 9],
            vec![inset(SMALL_MM); 20],
        ];
        let pages = pages(sheets.iter().map(Vec::as_slice), paper("a4").unwrap());
        // Nine large places a page: ten large insets, then 22 small ones in the quarters of six places.
        assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [9, 23]);
        assert_eq!((pages[0][0], pages[1][0], pages[1][1]), ((0, 1), (1, 8), (0, 0)));
        let mut all: Vec<Which> = pages.concat();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), 32);
    }
}
