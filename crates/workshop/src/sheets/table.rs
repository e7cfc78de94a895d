//! Tables of words: columns as wide as their widest cell, the last takes what is left and is broken into lines.
//!
//! Where too little is left for the last column it stands below the others, indented.

use krilla::tagging::{TableHeaderScope, Tag};

use super::frame::SOFT;
use super::letters::{Faces, Style, size};
use super::paper::{Rect, Spot};
use super::pen::{Pen, weight};

/// White between columns; above and below a row's words, mm.
const GAP_MM: f64 = 4.0;
const ABOVE_MM: f64 = 1.9;
/// Less than this for the last column breaks it into a tower, mm.
const LAST_MM: f64 = 26.0;
/// How far the last column is indented where it stands below.
const INDENT_MM: f64 = 4.0;

/// A column before the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Set {
    /// Words, from the left.
    Left,
    /// Figures, to the right.
    Right,
}

/// Words of a table.
pub(super) struct Words {
    /// Heads of the columns, and of the last.
    pub heads: Vec<(String, Set)>,
    pub last: String,
    /// Cells before the last, and the last.
    pub rows: Vec<(Vec<String>, String)>,
}

/// A table laid out for a width.
pub(super) struct Table {
    heads: Vec<(String, Set)>,
    last: (String, Spot),
    /// Left and right ends of the columns before the last, from the table's left side.
    columns: Vec<(f64, f64)>,
    rows: Vec<(Vec<String>, Vec<String>)>,
    below: bool,
}

const HEAD: f64 = size::SMALL;

impl Table {
    pub fn of(faces: &Faces, words: Words, wide: f64) -> Table {
        let (bold, plain) = (Style::bold(HEAD), Style::plain(size::SMALL));
        let mut columns = Vec::new();
        let mut x = 0.0;
        for (at, (head, _)) in words.heads.iter().enumerate() {
            let cells = words.rows.iter().map(|(cells, _)| faces.width(plain, &cells[at]));
            let w = cells.fold(faces.width(bold, head), f64::max);
            columns.push((x, x + w));
            x += w + GAP_MM;
        }
        let below = wide - x < LAST_MM;
        let from = if below { INDENT_MM } else { x };
        let broken = |last: &str| if last.is_empty() { Vec::new() } else { faces.wrap(plain, last, wide - from) };
        let rows = words.rows.into_iter().map(|(cells, last)| (cells, broken(&last))).collect();
        Table { heads: words.heads, last: (words.last, (from, wide)), columns, rows, below }
    }

    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Height of the heads, mm.
    pub fn head_mm(&self) -> f64 {
        let lines = if self.below { 2.0 } else { 1.0 };
        lines * Style::bold(HEAD).line_mm() + ABOVE_MM
    }

    /// Height of a row, mm.
    pub fn row_mm(&self, row: usize) -> f64 {
        let last = self.rows[row].1.len();
        let lines = if self.below { 1 + last } else { last.max(1) };
        lines as f64 * Style::plain(size::SMALL).line_mm() + ABOVE_MM
    }

    /// Draws the heads with their upper end at `y`.
    pub fn heads(&self, pen: &mut Pen, (body, y): (Rect, f64)) {
        let style = Style::bold(HEAD);
        let first = y + style.line_mm();
        let head = || Tag::TH(TableHeaderScope::Column);
        for (at, (words, set)) in self.heads.iter().enumerate() {
            pen.heard(head(), |pen| self.cell(pen, (style, words), (body, at, *set), first));
        }
        let last = if self.below { first + style.line_mm() } else { first };
        pen.heard(head(), |pen| pen.text(style, (body.x + self.last.1.0, last), &self.last.0));
        let under = y + self.head_mm();
        pen.line(weight::BAR, (body.x, under), (body.right(), under));
    }

    /// Draws a row with its upper end at `y`.
    pub fn row(&self, pen: &mut Pen, row: usize, (body, y): (Rect, f64)) {
        let style = Style::plain(size::SMALL);
        let (cells, last) = &self.rows[row];
        let first = y + style.line_mm();
        for (at, words) in cells.iter().enumerate() {
            pen.heard(Tag::TD, |pen| self.cell(pen, (style, words), (body, at, self.heads[at].1), first));
        }
        let from = if self.below { first + style.line_mm() } else { first };
        let soft = if self.below { style.in_colour(SOFT) } else { style };
        pen.heard(Tag::TD, |pen| {
            for (at, line) in last.iter().enumerate() {
                pen.text(soft, (body.x + self.last.1.0, from + at as f64 * style.line_mm()), line);
            }
        });
        let under = y + self.row_mm(row);
        pen.line(weight::RULE, (body.x, under), (body.right(), under));
    }

    fn cell(&self, pen: &mut Pen, (style, words): (Style, &str), (body, at, set): (Rect, usize, Set), y: f64) {
        let (left, right) = self.columns[at];
        match set {
            Set::Left => pen.text(style, (body.x + left, y), words),
            Set::Right => pen.text_to(style, (body.x + right, y), words),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words() -> Words {
        Words {
            heads: vec![("Wood".into(), Set::Left), ("Thickness".into(), Set::Right)],
            last: "For".into(),
            rows: vec![(vec!["walnut, in a long name".into(), "18 mm".into()], "1, 2, 3, 4, 5, 6, 7, 8, 9, 10".into())],
        }
    }

    #[test]
    fn columns_keep_apart_and_the_last_is_broken() {
        let table = Table::of(&Faces::new(), words(), 90.0);
        assert!(!table.below && table.columns[1].0 >= table.columns[0].1 + GAP_MM);
        assert!(
            table.row_mm(0) < Table::of(&Faces::new(), words(), 30.0).row_mm(0),
            "below, it takes lines of its own"
        );
        let faces = Faces::new();
        let wide = table.last.1.1 - table.last.1.0;
        assert!(table.rows[0].1.iter().all(|line| faces.width(Style::plain(size::SMALL), line) <= wide));
    }
}
