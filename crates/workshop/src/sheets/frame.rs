//! What every page carries: title and sheet name above; below, a 100 mm bar, a 4 in bar and the page's number.

use std::num::NonZeroU16;

use krilla::tagging::Tag;

use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pen::{Pen, Rgb, weight};

/// White border that most printers can leave unprinted.
pub(super) const MARGIN_MM: f64 = 10.0;
/// Height of the head, mm.
pub(super) const HEAD_MM: f64 = 9.0;
/// Height of the foot with its two bars, mm.
pub(super) const FOOT_MM: f64 = 17.0;

/// Words of minor weight.
pub(super) const SOFT: Rgb = [90, 90, 90];

/// What stands in the head and foot of a page.
pub(super) struct Frame<'a> {
    pub paper: Paper,
    /// The work's title.
    pub title: &'a str,
    /// The sheet's name.
    pub sheet: &'a str,
    /// From 1.
    pub page: usize,
    pub pages: usize,
}

impl Frame<'_> {
    /// What is left for the sheet.
    pub fn body(paper: Paper) -> Rect {
        Rect::new(
            MARGIN_MM,
            MARGIN_MM + HEAD_MM,
            paper.width_mm - 2.0 * MARGIN_MM,
            paper.height_mm - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM,
        )
    }

    pub fn draw(&self, pen: &mut Pen) {
        self.head(pen);
        self.foot(pen);
    }

    fn head(&self, pen: &mut Pen) {
        let (right, baseline) = (self.paper.width_mm - MARGIN_MM, MARGIN_MM + 4.0);
        let name = Style::bold(size::BODY);
        let advice = "Print at 100 %, without fitting to the page";
        let soft = Style::plain(size::SMALL).in_colour(SOFT);
        let room = right - MARGIN_MM - pen.faces.width(soft, advice) - pen.faces.width(name, self.sheet) - 10.0;
        let heading = Tag::Hn(NonZeroU16::MIN, Some(self.sheet.to_owned()));
        pen.heard(heading, |pen| pen.text(name, (MARGIN_MM, baseline), self.sheet));
        let after = MARGIN_MM + pen.faces.width(name, self.sheet) + 4.0;
        let title = pen.faces.cut(soft, self.title, room.max(0.0));
        pen.text(soft, (after, baseline), &title);
        pen.text_to(soft, (right, baseline), advice);
    }

    fn foot(&self, pen: &mut Pen) {
        let top = self.paper.height_mm - MARGIN_MM - FOOT_MM;
        bar(pen, (MARGIN_MM, top + 7.0), &MM_BAR);
        bar(pen, (MARGIN_MM, top + 14.5), &INCH_BAR);
        let number = format!("{} / {}", self.page, self.pages);
        let style = Style::plain(size::BODY);
        pen.text_to(style, (self.paper.width_mm - MARGIN_MM, top + 14.5), &number);
    }
}

/// A bar that proves the printer.
struct Bar {
    says: &'static str,
    length_mm: f64,
    ticks: usize,
    /// Every so many ticks one is tall.
    tall: usize,
}

const MM_BAR: Bar = Bar { says: "100 mm", length_mm: 100.0, ticks: 20, tall: 2 };
const INCH_BAR: Bar = Bar { says: "4 in", length_mm: 101.6, ticks: 16, tall: 4 };

/// Draws a bar from its left end; its rule is exactly as long as it says, butt-ended.
fn bar(pen: &mut Pen, (x, y): (f64, f64), bar: &Bar) {
    pen.line(weight::BAR, (x, y), (x + bar.length_mm, y));
    for tick in 0..=bar.ticks {
        let at = x + bar.length_mm * tick as f64 / bar.ticks as f64;
        let height = match tick {
            t if t == 0 || t == bar.ticks => 3.0,
            t if t % bar.tall == 0 => 2.0,
            _ => 1.1,
        };
        pen.line(weight::MARK, (at, y), (at, y - height));
    }
    let style = Style::plain(size::SMALL);
    pen.text(style, (x + bar.length_mm + 2.0, y), bar.says);
}
