//! The map: the whole pattern on one page, each piece's number once, woods by tint, hatch and code.

use super::cover::{code_width, hatched, swatch};
use super::draw::{Drawing, Hatch, Lens, labels, scale_words};
use super::facts::{Facts, Row};
use super::frame::{Frame, SOFT};
use super::labels::{Labels, Shown};
use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pen::{Pen, Rgb};

/// White around the panel, where flags may stand.
const RIM_MM: f64 = 12.0;
/// From one row of the key to the next.
const KEY_ROW_MM: f64 = 6.2;
/// A column of the key is about this wide.
const KEY_COLUMN_MM: f64 = 60.0;

/// The paper turned the way that shows the panel larger; upright when even.
pub(super) fn turned(panel: (f64, f64), paper: Paper) -> Paper {
    let scale = |paper: Paper| {
        let body = Frame::body(paper);
        (body.w / panel.0).min((body.h - 20.0) / panel.1)
    };
    if scale(paper.turned()) > scale(paper) * 1.05 { paper.turned() } else { paper }
}

/// Draws the map.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper) {
    let body = Frame::body(paper);
    let columns = ((body.w / KEY_COLUMN_MM) as usize).max(1);
    let key_rows = facts.woods.len().div_ceil(columns);
    let key_high = 10.0 + key_rows as f64 * KEY_ROW_MM;
    let space = Rect::new(body.x, body.y, body.w, body.h - key_high);
    let drawing = Drawing { facts, lens: Lens::whole(facts.panel, space, RIM_MM), words: space };
    fills(pen, &drawing);
    drawing.open_areas(pen);
    drawing.borders(pen);
    words(pen, &drawing, space);
    key(pen, facts, Rect::new(body.x, space.bottom(), body.w, key_high), (columns, drawing.lens.scale));
}

fn words(pen: &mut Pen, drawing: &Drawing, space: Rect) {
    let facts = drawing.facts;
    let in_view: Vec<(&Row, Shown)> = (facts.pieces.iter())
        .filter_map(|piece| Some((piece, drawing.shown(piece, facts.code(piece).to_owned(), false)?)))
        .collect();
    let (pieces, shown): (Vec<&Row>, Vec<Shown>) = in_view.into_iter().unzip();
    let mut placed = Labels::place(pen.faces, shown, &drawing.segments(), space);
    for (at, rect) in &placed.seated {
        // Hatching stops short of words: they must read at arm's length.
        pen.block(tint_of(facts, pieces[*at]), rect.inset(-0.5));
    }
    labels(pen, &placed);
    drawing.open_words(pen, &mut placed);
}

fn fills(pen: &mut Pen, drawing: &Drawing) {
    for piece in &drawing.facts.pieces {
        let colour = tint_of(drawing.facts, piece);
        drawing.fill(pen, piece.area, colour);
        if let Some(wood) = piece.wood {
            hatched(pen, hatch_of(wood), [255; 3], &drawing.rings(piece.area));
        }
    }
}

/// The wood's colour mixed with white, so that black words read on every wood; white while undecided.
fn tint_of(facts: &Facts, piece: &Row) -> Rgb {
    let colour = facts.wood(piece).and_then(|wood| wood.colour).unwrap_or([255; 3]);
    colour.map(|channel| (f64::from(channel) * 0.45 + 255.0 * 0.55).round() as u8)
}

/// Each wood's hatch: a direction, a spacing, and from the ninth wood on a second direction across.
pub(super) fn hatch_of(wood: usize) -> Vec<Hatch> {
    let way = |quarter: usize| {
        let (s, c) = libm::sincos(quarter as f64 * std::f64::consts::FRAC_PI_4);
        (c, -s)
    };
    let apart = [1.9, 3.4][wood / 4 % 2];
    let mut hatches = vec![Hatch { way: way(wood % 4 + 1), apart }];
    if wood / 8 % 2 == 1 {
        hatches.push(Hatch { way: way(wood % 4 + 3), apart });
    }
    hatches
}

fn key(pen: &mut Pen, facts: &Facts, space: Rect, (columns, scale): (usize, f64)) {
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    let note = format!(
        "Scale {}. Do not measure here. Colours are lightened; hatch and code name the wood too. \
         Close hatch without a number: shadow; wide: ground.",
        scale_words(scale)
    );
    for (at, line) in pen.faces.wrap(soft, &note, space.w).iter().take(2).enumerate() {
        pen.text(soft, (space.x, space.y + 3.0 + at as f64 * soft.line_mm()), line);
    }
    let wide = space.w / columns as f64;
    let after_code = 11.0 + code_width(pen, facts);
    for (at, wood) in facts.woods.iter().enumerate() {
        let x = space.x + (at % columns) as f64 * wide;
        let y = space.y + 9.5 + (at / columns) as f64 * KEY_ROW_MM;
        swatch(pen, wood, at, Rect::new(x, y, 9.0, 4.6));
        pen.text(Style::bold(size::BODY), (x + 11.0, y + 3.6), &wood.code);
        let name = pen.faces.cut(Style::plain(size::BODY), &wood.name, wide - after_code - 3.0);
        pen.text(Style::plain(size::BODY), (x + after_code, y + 3.6), &name);
    }
}
