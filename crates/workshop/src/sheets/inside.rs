//! A number, a code and a grain arrow seated inside one outline, for sheets whose words never leave their piece.

use super::letters::{Faces, Style, size};
use super::paper::{Rect, Spot};
use super::pen::Pen;
use super::room::{Room, rotate};

/// White around words, mm.
const CLEAR_MM: f64 = 0.5;
/// Lengths tried for grain arrows, mm; under 5 mm a direction no longer reads.
const ARROWS_MM: [f64; 7] = [30.0, 22.0, 16.0, 12.0, 9.0, 6.5, 5.0];
const ARROW_WIDE_MM: f64 = 2.6;
/// Sizes of number and code tried, from the roomiest.
const SIZES: [(f64, Option<f64>); 5] =
    [(12.0, Some(size::SMALL)), (size::BODY, Some(size::LEAST)), (12.0, None), (size::BODY, None), (size::LEAST, None)];

/// What is to be said of a piece.
pub(super) struct Says {
    pub number: String,
    /// Empty for none.
    pub code: String,
    /// Direction of the grain on the page (cosine, sine; y down).
    pub grain: Option<Spot>,
}

/// What found room.
#[derive(Default)]
pub(super) struct Inside {
    words: Vec<(Style, Spot, String)>,
    arrow: Option<(Spot, Spot)>,
}

impl Inside {
    /// Seats words near `focus`, then the longest arrow beside them.
    pub fn of(faces: &Faces, mut room: Room, focus: Spot, says: &Says) -> Inside {
        let mut inside = Inside::default();
        for (number, code) in SIZES {
            let rows = rows(says, (number, code));
            let wide = rows.iter().map(|(style, text)| faces.width(*style, text)).fold(0.0, f64::max);
            let high = rows.iter().map(|(style, _)| style.cap_mm()).sum::<f64>() + 1.2 * (rows.len() - 1) as f64;
            if let Some(at) = room.seat((wide + 2.0 * CLEAR_MM, high + 2.0 * CLEAR_MM), focus) {
                let rect = Rect::around(at, wide, high);
                inside = Inside { words: set(faces, rows, rect), arrow: None };
                room.take(rect.inset(-CLEAR_MM).corners());
                break;
            }
        }
        inside.arrow = says.grain.and_then(|grain| arrow(&room, focus, grain));
        inside
    }

    pub fn has_number(&self) -> bool {
        !self.words.is_empty()
    }

    pub fn has_arrow(&self) -> bool {
        self.arrow.is_some()
    }

    pub fn draw(&self, pen: &mut Pen) {
        if let Some((a, b)) = self.arrow {
            super::draw::arrow(pen, a, b);
        }
        for (style, at, text) in &self.words {
            pen.text(*style, *at, text);
        }
    }
}

fn rows(says: &Says, (number, code): (f64, Option<f64>)) -> Vec<(Style, String)> {
    let code = code.filter(|_| !says.code.is_empty()).map(|pt| (Style::plain(pt), says.code.clone()));
    std::iter::once((Style::bold(number), says.number.clone())).chain(code).collect()
}

fn set(faces: &Faces, rows: Vec<(Style, String)>, rect: Rect) -> Vec<(Style, Spot, String)> {
    let mut y = rect.y - 1.2;
    let mut words = Vec::new();
    for (style, text) in rows {
        y += style.cap_mm() + 1.2;
        words.push((style, (rect.centre().0 - faces.width(style, &text) / 2.0, y), text));
    }
    words
}

fn arrow(room: &Room, focus: Spot, grain: Spot) -> Option<(Spot, Spot)> {
    let back = (grain.0, -grain.1);
    let turned = room.turned(back);
    let focus = rotate(focus, back);
    let (at, long) =
        ARROWS_MM.iter().find_map(|&long| Some((turned.seat((long + 1.0, ARROW_WIDE_MM), focus)?, long)))?;
    let [a, b] = [-0.5, 0.5].map(|half| rotate((at.0 + half * long, at.1), grain));
    Some((a, b))
}
