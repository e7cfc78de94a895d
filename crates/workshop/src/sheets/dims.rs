//! Dimension lines of a shop drawing: extension lines from the feature, the line between them with oblique strokes at its
//! ends, the figure on it. After ISO 129-1 in the main; figures read upright or upward.

use super::letters::{Style, size};
use super::paper::{Rect, Spot};
use super::pen::{Line, Pen, weight};

/// From one dimension line to the next, mm.
pub(super) const PITCH_MM: f64 = 6.0;
/// Extension lines begin this far from the feature, and run this far beyond the dimension line, mm.
const OFF_MM: f64 = 1.0;
const BEYOND_MM: f64 = 1.2;
/// Half of the oblique stroke at each end, mm.
const STROKE_MM: f64 = 1.0;
/// Across the work, from corner to corner.
const DIAGONAL: Line = Line { pt: 0.35, colour: [90; 3], dash: &[4.0, 1.2] };

/// Width and height of a box, their lines this many steps beyond `edge` (the upper and left sides of the drawing).
pub(super) fn sides(pen: &mut Pen, (of, edge): (Rect, Rect), step: usize, [wide, high]: &[String; 2]) {
    let away = step as f64 * PITCH_MM;
    let (y, x) = (edge.y - away, edge.x - away);
    for at in [of.x, of.right()] {
        pen.line(weight::MARK, (at, of.y - OFF_MM), (at, y - BEYOND_MM));
    }
    for at in [of.y, of.bottom()] {
        pen.line(weight::MARK, (of.x - OFF_MM, at), (x - BEYOND_MM, at));
    }
    measured(pen, ((of.x, y), (of.right(), y)));
    measured(pen, ((x, of.y), (x, of.bottom())));
    let style = Style::plain(size::BODY);
    let room = |long: f64| Rect::around((0.0, 0.0), long + 3.0, style.cap_mm() + 1.6);
    let (w, h) = (pen.faces.width(style, wide), pen.faces.width(style, high));
    let (cx, cy) = of.centre();
    pen.block([255; 3], Rect::around((cx, y), room(w).w, room(w).h));
    pen.text_amid(style, (cx, y + style.cap_mm() / 2.0), wide);
    pen.block([255; 3], Rect::around((x, cy), room(h).h, room(h).w));
    pen.text_upward(style, (x, cy), high);
}

fn measured(pen: &mut Pen, (a, b): (Spot, Spot)) {
    pen.line(weight::MARK, a, b);
    for (x, y) in [a, b] {
        pen.line(weight::BAR, (x - STROKE_MM, y + STROKE_MM), (x + STROKE_MM, y - STROKE_MM));
    }
}

/// Both diagonals of a box, and the length that they have in common beside their crossing.
pub(super) fn diagonals(pen: &mut Pen, of: Rect, (ground, words): ([u8; 3], &str)) {
    let [a, b, c, d] = of.corners();
    pen.line(DIAGONAL, a, c);
    pen.line(DIAGONAL, b, d);
    let style = Style::plain(size::BODY);
    let wide = pen.faces.width(style, words);
    let (x, y) = of.centre();
    pen.block(ground, Rect::around((x, y), wide + 4.0, style.cap_mm() + 2.4));
    pen.text_amid(style, (x, y + style.cap_mm() / 2.0), words);
}
