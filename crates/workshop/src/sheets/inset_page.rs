//! Pages of insets: parts of sheets at larger scale, each under a rule with its number, its sheet, its place there and its
//! scale.
//!
//! Those of all sheets of a kind are gathered and packed on shelves, the highest first, so that pages are filled.

use super::draw::{Drawing, inset_name, labels, scale_words};
use super::finder;
use super::frame::{Frame, SOFT};
use super::insets::Inset;
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, weight};
use super::shelves::{Apart, paged};

/// Height of an inset's head, and white to the next, mm.
const HEAD_MM: f64 = 6.5;
const APART: Apart = Apart { across: 5.0, down: 4.0 };
/// The least width of a head: of one sheet's insets, and where each names its sheet.
const HEAD_WIDE_MM: f64 = 32.0;
const NAMED_WIDE_MM: f64 = 42.0;

/// An inset by its sheet's place among those gathered and its own on that sheet, and where on the page its head begins.
pub(super) type Which = (usize, usize, Spot);

/// What an inset takes of a page.
fn size(inset: &Inset, named: bool) -> (f64, f64) {
    let head = if named { NAMED_WIDE_MM } else { HEAD_WIDE_MM };
    (inset.outer.w.max(head), HEAD_MM + inset.outer.h)
}

/// Insets of several sheets by page; `named`: each says of which sheet it is.
pub(super) fn pages(sheets: &[&[Inset]], named: bool, paper: Paper) -> Vec<Vec<Which>> {
    let body = Frame::body(paper);
    let mut all: Vec<((usize, usize), (f64, f64))> = Vec::new();
    for (sheet, insets) in sheets.iter().enumerate() {
        all.extend(insets.iter().enumerate().map(|(at, inset)| ((sheet, at), size(inset, named))));
    }
    // A stable sort: those of even height stay in the order of their sheets.
    all.sort_by(|a, b| b.1.1.total_cmp(&a.1.1));
    let sizes: Vec<(f64, f64)> = all.iter().map(|(_, size)| *size).collect();
    let mut pages: Vec<Vec<Which>> = Vec::new();
    for (((sheet, at), _), (page, seat)) in all.into_iter().zip(paged(&sizes, (body.w, body.h), APART)) {
        pages.resize_with(pages.len().max(page + 1), Vec::new);
        pages[page].push((sheet, at, (body.x + seat.0, body.y + seat.1)));
    }
    pages
}

/// An inset to draw, where its head begins, the sheet that it is of, and what that is called where there are several.
pub(super) struct One<'a> {
    pub sheet: Drawing<'a>,
    pub inset: &'a Inset,
    pub at: Spot,
    pub of: String,
}

/// Draws a page; `base` draws the pattern under the words of one of them.
pub(super) fn draw(pen: &mut Pen, insets: &[One], base: impl Fn(&mut Pen, usize, &Drawing, &[Rect])) {
    for (at, one) in insets.iter().enumerate() {
        head(pen, one);
        drawn(pen, one, |pen, drawing, covered| base(pen, at, drawing, covered));
    }
}

fn head(pen: &mut Pen, one: &One) {
    let (inset, sheet) = (one.inset, &one.sheet);
    let (x, y) = (one.at.0, one.at.1 + 3.0);
    let name = inset_name(inset);
    let bold = Style::bold(size::SMALL);
    pen.text(bold, (x, y), &name);
    let field = finder::field(sheet.lens.window, inset.shows.centre());
    let scale = scale(sheet.lens.scale * inset.times);
    let words = match one.of.is_empty() {
        true => format!("field {field}, {scale}"),
        false => format!("{}, field {field}, {scale}", one.of),
    };
    let after = x + pen.faces.width(bold, &name) + 2.0;
    pen.text(Style::plain(size::SMALL).in_colour(SOFT), (after, y), &words);
    pen.line(weight::RULE, (x, y + 1.4), (x + size(inset, !one.of.is_empty()).0, y + 1.4));
}

/// `3 : 1` where it is enlarged.
fn scale(scale: f64) -> String {
    if scale > 1.0 { format!("{} : 1", super::words::trimmed(scale, 2)) } else { scale_words(scale) }
}

fn drawn(pen: &mut Pen, one: &One, base: impl Fn(&mut Pen, &Drawing, &[Rect])) {
    let outer = one.inset.outer;
    let at = (one.at.0 - outer.x, one.at.1 + HEAD_MM - outer.y);
    let lens = one.inset.lens(&one.sheet.lens, at);
    let drawing = Drawing { facts: one.sheet.facts, lens, words: lens.window };
    let words = one.inset.labels.moved(at);
    let covered: Vec<Rect> = words.seated.iter().map(|(_, rect)| *rect).collect();
    pen.within(lens.window, |pen| base(pen, &drawing, &covered));
    pen.frame(weight::MARK, lens.window);
    labels(pen, &words);
}

#[cfg(test)]
mod tests {
    use super::super::labels::Labels;
    use super::super::paper::paper;
    use super::*;

    #[test]
    fn pages_of_insets_are_filled_before_the_next_begins() {
        let inset = |w: f64, h: f64| Inset {
            number: 1,
            shows: Rect::new(0.0, 0.0, 9.0, 9.0),
            times: 2.0,
            outer: Rect::new(-4.0, -3.0, w, h),
            areas: Vec::new(),
            bare: Vec::new(),
            labels: Labels::default(),
        };
        let sheets = [vec![inset(50.0, 20.0), inset(90.0, 70.0), inset(50.0, 30.0)], vec![inset(90.0, 70.0); 5]];
        let paper = paper("a4").unwrap();
        let pages = pages(&sheets.each_ref().map(Vec::as_slice), true, paper);
        // Two abreast, three below each other fill the first page.
        assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [6, 2]);
        for page in &pages {
            let boxes = page.iter().map(|&(sheet, at, (x, y))| {
                let (w, h) = size(&sheets[sheet][at], true);
                Rect::new(x, y, w, h)
            });
            let boxes: Vec<Rect> = boxes.collect();
            assert!(boxes.iter().all(|one| Frame::body(paper).inset(-1e-9).holds(*one)));
            assert!(boxes.iter().enumerate().all(|(at, one)| !boxes[..at].iter().any(|other| other.meets(*one))));
        }
    }
}
