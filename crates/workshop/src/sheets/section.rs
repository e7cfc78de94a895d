//! Heights: sections along a level and an upright line through the middle of the panel.
//!
//! Where the line runs through a piece its section is drawn: the raiser on the backer, the wood on the raiser. Along the
//! line it is at the scale of the page, upward as much larger as is said, for steps of a few mm must read.

use super::draw::scale_words;
use super::facts::{Facts, Row};
use super::frame::{Frame, SOFT};
use super::hatch::{Hatch, SHADOW};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, Trail, weight};
use super::words::trimmed;

/// Thickness of the backer on the drawing, mm: its real one is not yet chosen here.
const BACKER_MM: f64 = 2.0;
/// The most by which heights are drawn larger than lengths.
const MOST_TIMES: f64 = 4.0;

/// A stretch of a section through one piece: from and to along the line, mm.
struct Stretch<'a> {
    piece: &'a Row,
    from: f64,
    to: f64,
}

/// Draws the page: the level section above, the upright one below.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper) {
    let body = Frame::body(paper);
    let half = body.h / 2.0;
    let middle = (facts.panel.0 / 2.0, facts.panel.1 / 2.0);
    let level = format!("Along the level line {} from the top, left to right", mm(facts, middle.1));
    let upright = format!("Along the upright line {} from the left, top to bottom", mm(facts, middle.0));
    let space = |at: f64| Rect::new(body.x, body.y + at * half, body.w, half - 4.0);
    section(pen, facts, (&level, &stretches(facts, middle.1, false), facts.panel.0), space(0.0));
    section(pen, facts, (&upright, &stretches(facts, middle.0, true), facts.panel.1), space(1.0));
}

fn mm(facts: &Facts, value: f64) -> String {
    facts.words.length(measure::length::Um::mm(value))
}

/// Stretches along a line in their order; `upright`: along x = `at`, else along y = `at`.
fn stretches<'a>(facts: &'a Facts, at: f64, upright: bool) -> Vec<Stretch<'a>> {
    let mut found = Vec::new();
    for piece in &facts.pieces {
        let mut hits: Vec<f64> = Vec::new();
        for ring in &facts.outline(piece.area).rings {
            let spots: Vec<Spot> =
                ring.iter().map(|p| p.to_mm()).map(|(x, y)| if upright { (y, x) } else { (x, y) }).collect();
            for (a, b) in spots.iter().zip(spots.iter().cycle().skip(1)) {
                // Half-open, so that a corner on the line counts once.
                if (a.1 <= at) != (b.1 <= at) {
                    hits.push(a.0 + (at - a.1) / (b.1 - a.1) * (b.0 - a.0));
                }
            }
        }
        hits.sort_by(f64::total_cmp);
        found.extend(hits.chunks_exact(2).map(|pair| Stretch { piece, from: pair[0], to: pair[1] }));
    }
    found.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.piece.number.cmp(&b.piece.number)));
    found
}

fn section(pen: &mut Pen, facts: &Facts, (says, cuts, long): (&str, &[Stretch], f64), space: Rect) {
    let top = facts.pieces.iter().filter_map(|piece| piece.height).map(|height| height.to_mm()).fold(0.0, f64::max);
    let axis = 14.0;
    let scale = ((space.w - axis) / long).min(1.0);
    let times = ((space.h - 34.0) / (top.max(1.0) * scale)).clamp(1.0, MOST_TIMES).floor();
    let up = (scale * times).min((space.h - 34.0) / top.max(1.0));
    let style = Style::plain(size::SMALL).in_colour(SOFT);
    pen.text(Style::bold(size::BODY), (space.x, space.y + 4.0), says);
    let words = format!(
        "Lengths {}, heights {} ({} times larger). Plain: wood; hatched: raiser; dark: backer.",
        scale_words(scale),
        if up > 1.0 { format!("{} : 1", trimmed(up, 2)) } else { scale_words(up) },
        trimmed(up / scale, 1)
    );
    pen.text(style, (space.x, space.y + 8.5), &words);
    let ground = (space.x + axis, space.y + 22.0 + top * up);
    heights(pen, facts, (ground, top, up), space);
    for cut in cuts {
        stretch(pen, facts, cut, (ground, scale, up));
    }
    numbers(pen, cuts, (ground, scale));
    pen.block([60; 3], Rect::new(ground.0, ground.1, long * scale, BACKER_MM));
}

/// The scale of heights at the left.
fn heights(pen: &mut Pen, facts: &Facts, (ground, top, up): (Spot, f64, f64), space: Rect) {
    let inch = facts.words.unit() == "in";
    let step = if inch { 25.4 / 4.0 } else { 5.0 };
    let style = Style::plain(size::LEAST).in_colour(SOFT);
    let mut every = step;
    while every * up < 5.0 {
        every *= 2.0;
    }
    let mut at = 0.0;
    while at <= top + every / 2.0 {
        let y = ground.1 - at * up;
        pen.line(weight::RULE, (ground.0 - 2.0, y), (space.right(), y));
        let words = facts.words.bare(measure::length::Um::mm(at));
        pen.text_to(style, (ground.0 - 3.0, y + style.cap_mm() / 2.0), &words);
        at += every;
    }
}

fn stretch(pen: &mut Pen, facts: &Facts, cut: &Stretch, (ground, scale, up): (Spot, f64, f64)) {
    let (Some(height), thickness) = (cut.piece.height, cut.piece.thickness) else { return };
    let (height, thick) = (height.to_mm(), thickness.map_or(height.to_mm(), |t| t.to_mm()));
    let (x, w) = (ground.0 + cut.from * scale, (cut.to - cut.from) * scale);
    let raiser = Rect::new(x, ground.1 - (height - thick) * up, w, (height - thick) * up);
    let wood = Rect::new(x, ground.1 - height * up, w, thick * up);
    pen.block([255; 3], raiser);
    let mut trail = Trail::default();
    Hatch { apart: 1.6, ..SHADOW }.over(&[raiser.corners().to_vec()], &mut trail);
    pen.stroke(weight::HATCH, trail);
    pen.frame(weight::HATCH, raiser);
    let colour = facts.wood(cut.piece).and_then(|wood| wood.colour).unwrap_or([255; 3]);
    pen.block(colour.map(|c| (f64::from(c) * 0.5 + 127.5).round() as u8), wood);
    pen.frame(weight::SAW, wood);
}

/// Numbers below, on as many rows as keep them apart, each with a line to its stretch.
fn numbers(pen: &mut Pen, cuts: &[Stretch], (ground, scale): (Spot, f64)) {
    let style = Style::bold(size::LEAST);
    let mut ends: Vec<f64> = Vec::new();
    for cut in cuts {
        let text = cut.piece.number.to_string();
        let x = ground.0 + (cut.from + cut.to) / 2.0 * scale;
        let left = x - pen.faces.width(style, &text) / 2.0;
        let row = ends.iter().position(|end| end + 1.0 < left).unwrap_or(ends.len());
        let right = x + pen.faces.width(style, &text) / 2.0;
        if row == ends.len() {
            ends.push(right)
        } else {
            ends[row] = right
        }
        let y = ground.1 + BACKER_MM + 4.0 + row as f64 * 3.6;
        pen.text_amid(style, (x, y), &text);
    }
}
