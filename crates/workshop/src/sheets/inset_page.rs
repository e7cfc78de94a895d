//! Pages of insets: parts of a sheet at larger scale, each headed with its number, its place on the sheet and its scale.

use super::draw::{Drawing, inset_name, scale_words, written};
use super::finder;
use super::frame::{Frame, SOFT};
use super::insets::{Inset, SIDE_MM};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, weight};

/// Height of an inset's head, and white to the next, mm.
const HEAD_MM: f64 = 5.0;
const APART_MM: f64 = 5.0;

/// How many insets a page holds, across and down.
fn grid(paper: Paper) -> (usize, usize) {
    let body = Frame::body(paper);
    let fit = |long: f64, each: f64| (((long + APART_MM) / (each + APART_MM)) as usize).max(1);
    (fit(body.w, SIDE_MM), fit(body.h, SIDE_MM + HEAD_MM))
}

/// Insets by page.
pub(super) fn pages(count: usize, paper: Paper) -> Vec<std::ops::Range<usize>> {
    let (across, down) = grid(paper);
    (0..count).step_by(across * down).map(|from| from..(from + across * down).min(count)).collect()
}

/// Draws insets of a sheet; `base` draws the pattern under the words.
pub(super) fn draw(
    pen: &mut Pen,
    sheet: &Drawing,
    (insets, paper): (&[Inset], Paper),
    base: impl Fn(&mut Pen, &Drawing, &[Rect]),
) {
    let body = Frame::body(paper);
    let (across, _) = grid(paper);
    for (at, inset) in insets.iter().enumerate() {
        let x = body.x + (at % across) as f64 * (SIDE_MM + APART_MM);
        let y = body.y + (at / across) as f64 * (SIDE_MM + HEAD_MM + APART_MM);
        head(pen, sheet, inset, (x, y + 3.4));
        one(pen, sheet, (inset, (x, y + HEAD_MM)), &base);
    }
}

fn head(pen: &mut Pen, sheet: &Drawing, inset: &Inset, at: Spot) {
    let name = inset_name(inset);
    let bold = Style::bold(size::BODY);
    pen.text(bold, at, &name);
    let words = format!(
        "at {},  {}",
        finder::field(sheet.lens.window, inset.shows.centre()),
        scale(sheet.lens.scale * inset.times)
    );
    let x = at.0 + pen.faces.width(bold, &name) + 2.0;
    pen.text(Style::plain(size::SMALL).in_colour(SOFT), (x, at.1), &words);
}

/// `3 : 1` where it is enlarged.
fn scale(scale: f64) -> String {
    if scale > 1.0 { format!("{} : 1", super::words::trimmed(scale, 2)) } else { scale_words(scale) }
}

fn one(pen: &mut Pen, sheet: &Drawing, (inset, at): (&Inset, Spot), base: &impl Fn(&mut Pen, &Drawing, &[Rect])) {
    let lens = inset.lens(&sheet.lens, at);
    let drawing = Drawing { facts: sheet.facts, lens, words: lens.window };
    let moved = |rect: Rect| Rect { x: rect.x + at.0, y: rect.y + at.1, ..rect };
    let covered: Vec<Rect> = inset.words.iter().map(|(rect, _)| moved(*rect)).collect();
    pen.within(lens.window, |pen| {
        base(pen, &drawing, &covered);
        for word in inset.words.iter().flat_map(|(_, words)| words) {
            let mut word = word.clone();
            word.at = (word.at.0 + at.0, word.at.1 + at.1);
            written(pen, &word);
        }
    });
    pen.frame(weight::MARK, lens.window);
}
