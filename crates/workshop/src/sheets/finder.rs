//! Letters and figures along the edges of a sheet, by which an inset's place is found.

use super::frame::SOFT;
use super::letters::{Style, size};
use super::paper::{Rect, Spot};
use super::pen::{Pen, weight};

/// A field is about this wide.
const FIELD_MM: f64 = 40.0;

/// Where a field's letter may stand, from its left, and how far from the middle of the edge it keeps, mm.
const LETTER_AT: [f64; 4] = [0.25, 0.5, 0.08, 0.92];
const NAME_MM: f64 = 13.0;

fn fields(long: f64) -> usize {
    ((long / FIELD_MM).round() as usize).clamp(2, 26)
}

/// Ticks outside a window, with a letter or figure between two.
pub(super) fn ticks(pen: &mut Pen, window: Rect) {
    let style = Style::plain(size::LEAST).in_colour(SOFT);
    let (across, down) = (fields(window.w), fields(window.h));
    let (wide, high) = (window.w / across as f64, window.h / down as f64);
    for at in 0..=across {
        let x = window.x + at as f64 * wide;
        pen.line(weight::MARK, (x, window.y - 1.5), (x, window.y));
        if at < across {
            // The middle of the edge may hold the name of the tile beyond.
            let middle = window.centre().0;
            let places = LETTER_AT.map(|share| x + share * wide);
            let clear = places.into_iter().find(|place| (place - middle).abs() >= NAME_MM).unwrap_or(places[0]);
            pen.text_amid(style, (clear, window.y - 1.0), &letter(at));
        }
    }
    for at in 0..=down {
        let y = window.y + at as f64 * high;
        pen.line(weight::MARK, (window.x - 1.5, y), (window.x, y));
        if at < down {
            pen.text_to(style, (window.x - 1.0, y + high / 4.0), &(at + 1).to_string());
        }
    }
}

/// The field of a place, as `C4`.
pub(super) fn field(window: Rect, (x, y): Spot) -> String {
    let part = |at: f64, long: f64| {
        let count = fields(long);
        ((at / long * count as f64).max(0.0) as usize).min(count - 1)
    };
    format!("{}{}", letter(part(x - window.x, window.w)), part(y - window.y, window.h) + 1)
}

fn letter(at: usize) -> String {
    char::from(b'A' + at as u8).to_string()
}
