//! Labels for the backs of pieces, on standard label sheets.
//!
//! A4: 24 labels of 70 × 37 mm, 3 × 8, edge to edge. Letter: 30 labels of 2 5/8 × 1 in, 3 × 10, with margins of 1/2 in above
//! and 3/16 in beside and 1/8 in between columns. Both are sizes that many makers sell; common practice, no source: hold
//! a print on plain paper against the sheet first. These pages carry no head and no bars, for labels cover them.

use std::ops::Range;

use measure::length::MM_PER_INCH;

use super::facts::{Facts, Row};
use super::frame::SOFT;
use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pen::Pen;

/// Printers shift a sheet by this much: words keep off a label's edge.
const CLEAR_MM: f64 = 3.5;

/// A grid of labels.
pub(super) struct Grid {
    pub paper: Paper,
    across: usize,
    down: usize,
    /// Upper left label.
    first: Rect,
    /// From one label to the next.
    step: (f64, f64),
}

impl Grid {
    /// The grid for papers like this one: Letter where it is measured in inches, else A4.
    pub fn for_paper(paper: Paper) -> Grid {
        let inches = ["letter", "legal", "tabloid"].contains(&paper.name);
        let size = |name| super::paper::paper(name).expect("the paper is on the list");
        if inches {
            let (w, h) = (2.625 * MM_PER_INCH, MM_PER_INCH);
            let first = Rect::new(MM_PER_INCH * 3.0 / 16.0, MM_PER_INCH / 2.0, w, h);
            Grid { paper: size("letter"), across: 3, down: 10, first, step: (2.75 * MM_PER_INCH, h) }
        } else {
            let first = Rect::new(0.0, 0.5, 70.0, 37.0);
            Grid { paper: size("a4"), across: 3, down: 8, first, step: (70.0, 37.0) }
        }
    }

    /// Which pieces go on which sheet.
    pub fn pages(&self, pieces: usize) -> Vec<Range<usize>> {
        let each = self.across * self.down;
        (0..pieces.div_ceil(each)).map(|page| page * each..pieces.min((page + 1) * each)).collect()
    }

    fn label(&self, at: usize) -> Rect {
        let (column, row) = (at % self.across, at / self.across);
        let (x, y) = (self.first.x + column as f64 * self.step.0, self.first.y + row as f64 * self.step.1);
        Rect::new(x, y, self.first.w, self.first.h)
    }

    /// Draws a sheet of labels.
    pub fn draw(&self, pen: &mut Pen, facts: &Facts, pieces: Range<usize>) {
        for (at, piece) in facts.pieces[pieces].iter().enumerate() {
            label(pen, facts, piece, self.label(at).inset(CLEAR_MM));
        }
    }
}

fn label(pen: &mut Pen, facts: &Facts, piece: &Row, space: Rect) {
    let number = Style::bold(size::TITLE);
    let text = piece.number.to_string();
    pen.text(number, (space.x, space.y + number.cap_mm()), &text);
    let left = space.x + pen.faces.width(number, &text).max(16.0) + 3.0;
    let plain = Style::plain(size::BODY);
    let wood = facts.wood(piece).map_or_else(|| "wood open".to_owned(), |wood| format!("{} {}", wood.code, wood.name));
    let words = facts.words;
    let build = format!(
        "{} + {} = {} {}",
        words.or_dash(piece.thickness),
        words.or_dash(piece.raiser),
        facts.height(piece),
        words.unit()
    );
    let mut y = space.y + plain.cap_mm();
    for line in [wood, build] {
        let line = pen.faces.cut(plain, &line, space.right() - left);
        pen.text(plain, (left, y), &line);
        y += plain.line_mm();
    }
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    let lines = [piece.part.as_str(), facts.title.as_str()];
    let mut y = space.bottom();
    for line in lines.iter().rev().filter(|line| !line.is_empty()) {
        let line = pen.faces.cut(soft, line, space.w);
        pen.text(soft, (space.x, y), &line);
        y -= soft.line_mm();
    }
}
