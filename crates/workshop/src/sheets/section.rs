//! Heights: sections along chosen lines; without any, along a level and an upright line through the middle of the panel.
//!
//! Where the line runs through a piece its section is drawn: the raiser on the backer, the wood on the raiser. Along the
//! line it is at the scale of the page, upward as much larger as is said, for steps of a few mm must read. A small plan
//! shows where the line runs.

use measure::length::Um;

use super::draw::scale_words;
use super::facts::{Facts, Row};
use super::frame::{Frame, SOFT};
use super::hatch::{Hatch, SHADOW};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, Trail, weight};
use super::words::{Words, trimmed};
use crate::work::{Refusal, Way};

/// Thickness of the backer on the drawing, mm: its real one is not yet chosen here.
const BACKER_MM: f64 = 2.0;
/// The most by which heights are drawn larger than they are: more makes towers of steps.
const MOST_UP: f64 = 4.0;

/// A stretch of a section through one piece: from and to along the line, mm.
struct Stretch<'a> {
    piece: &'a Row,
    from: f64,
    to: f64,
}

/// Sections on a page: one, so that figures at each piece and a tall strip both have room.
pub(super) const A_PAGE: usize = 1;
/// From a section's head to its highest place.
const HEAD_MM: f64 = 22.0;
/// From the backer down to the figures, for the lines that lead to them.
const LEAD_MM: f64 = 9.0;
/// From one piece's figures to the next, and the least, mm: words of the least size turned upward.
const PITCH_MM: f64 = 4.0;
const LEAST_PITCH_MM: f64 = 2.7;
/// The plan beside a section's head, mm.
const PLAN_MM: (f64, f64) = (30.0, 18.0);
/// A shorter line cuts nothing worth seeing, mm.
const LEAST_MM: f64 = 5.0;

/// A line on the panel, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cut {
    a: Spot,
    b: Spot,
}

/// The chosen lines, or those through the middle.
pub(super) fn cuts(panel: Spot, words: Words, chosen: &[[Um; 4]]) -> Result<Vec<Cut>, Refusal> {
    if chosen.is_empty() {
        let (x, y) = (panel.0 / 2.0, panel.1 / 2.0);
        return Ok(vec![Cut { a: (0.0, y), b: (panel.0, y) }, Cut { a: (x, 0.0), b: (x, panel.1) }]);
    }
    chosen.iter().map(|line| cut(panel, words, line)).collect()
}

fn cut(panel: Spot, words: Words, line: &[Um; 4]) -> Result<Cut, Refusal> {
    let [ax, ay, bx, by] = line.map(|um| um.to_mm());
    let cut = Cut { a: (ax, ay), b: (bx, by) };
    let inside = super::room::enters(Rect::new(0.0, 0.0, panel.0, panel.1), cut.a, cut.b);
    if cut.long() < LEAST_MM || !inside {
        let [ax, ay, bx, by] = line.map(|um| words.bare(um));
        let unit = words.unit();
        let what = format!("No section can be drawn from {ax}, {ay} to {bx}, {by} {unit}.");
        let (least, w, h) = (words.length(Um::mm(LEAST_MM)), words.bare(Um::mm(panel.0)), words.bare(Um::mm(panel.1)));
        let way = format!("Give a line of at least {least} over the panel, from 0, 0 to {w}, {h} {unit}.");
        return Err(Refusal::new(what).way(Way::advice(way)));
    }
    Ok(cut)
}

impl Cut {
    fn long(self) -> f64 {
        super::room::distance(self.a, self.b)
    }

    fn says(self, facts: &Facts) -> String {
        let mm = |value: f64| facts.words.bare(Um::mm(value));
        let ((ax, ay), (bx, by)) = (self.a, self.b);
        if ay == by && ax < bx {
            format!("along the level line {} from the top, left to right", facts.words.length(Um::mm(ay)))
        } else if ax == bx && ay < by {
            format!("along the upright line {} from the left, top to bottom", facts.words.length(Um::mm(ax)))
        } else {
            let unit = facts.words.unit();
            format!("from {}, {} to {}, {} {unit} (from the left, from the top)", mm(ax), mm(ay), mm(bx), mm(by))
        }
    }
}

/// Draws a page of sections, the first of them `from` among all.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper, (cuts, from): (&[Cut], usize)) {
    let body = Frame::body(paper);
    let half = body.h / A_PAGE as f64;
    for (at, cut) in cuts.iter().skip(from).take(A_PAGE).enumerate() {
        let space = Rect::new(body.x, body.y + at as f64 * half, body.w, half - 4.0);
        let name = format!("Section {}", super::map::part_code(from + at).to_uppercase());
        // Bold figures are numbers of pieces throughout the book, so those of the line are not.
        let bold = Style::bold(size::BODY);
        pen.text(bold, (space.x, space.y + 4.0), &name);
        let after = space.x + pen.faces.width(bold, &name) + 2.5;
        pen.text(Style::plain(size::BODY), (after, space.y + 4.0), &cut.says(facts));
        section(pen, facts, (&stretches(facts, *cut), cut.long()), space);
        plan(pen, facts, *cut, Rect::new(space.right() - PLAN_MM.0, space.y, PLAN_MM.0, PLAN_MM.1));
    }
}

/// Where the line runs over the panel; a dot at its beginning.
fn plan(pen: &mut Pen, facts: &Facts, cut: Cut, space: Rect) {
    let scale = (space.w / facts.panel.0).min(space.h / facts.panel.1);
    let panel = Rect::new(space.right() - facts.panel.0 * scale, space.y, facts.panel.0 * scale, facts.panel.1 * scale);
    let page = |(x, y): Spot| (panel.x + x * scale, panel.y + y * scale);
    pen.frame(weight::RULE, panel);
    pen.line(weight::BAR, page(cut.a), page(cut.b));
    pen.dot(page(cut.a), 0.7);
}

/// Stretches along a line in their order.
fn stretches<'a>(facts: &'a Facts, cut: Cut) -> Vec<Stretch<'a>> {
    let long = cut.long();
    let (ux, uy) = ((cut.b.0 - cut.a.0) / long, (cut.b.1 - cut.a.1) / long);
    let turned = |(x, y): Spot| {
        let (dx, dy) = (x - cut.a.0, y - cut.a.1);
        (dx * ux + dy * uy, dy * ux - dx * uy)
    };
    let mut found = Vec::new();
    for piece in &facts.pieces {
        let mut hits: Vec<f64> = Vec::new();
        for ring in &facts.outline(piece.area).rings {
            let spots: Vec<Spot> = ring.iter().map(|p| turned(p.to_mm())).collect();
            for (a, b) in spots.iter().zip(spots.iter().cycle().skip(1)) {
                // Half-open, so that a corner on the line counts once.
                if (a.1 <= 0.0) != (b.1 <= 0.0) {
                    hits.push(a.0 - a.1 / (b.1 - a.1) * (b.0 - a.0));
                }
            }
        }
        hits.sort_by(f64::total_cmp);
        let pairs = hits.chunks_exact(2).map(|pair| (pair[0].max(0.0), pair[1].min(long)));
        found.extend(pairs.filter(|(from, to)| from < to).map(|(from, to)| Stretch { piece, from, to }));
    }
    found.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.piece.number.cmp(&b.piece.number)));
    found
}

fn section(pen: &mut Pen, facts: &Facts, (cuts, long): (&[Stretch], f64), space: Rect) {
    let top = facts.pieces.iter().filter_map(|piece| piece.height).map(|height| height.to_mm()).fold(0.0, f64::max);
    let axis = 14.0;
    let scale = ((space.w - axis) / long).min(1.0);
    let figures: Vec<String> = cuts.iter().map(|cut| build(facts, cut.piece)).collect();
    let widest = |texts: &[String], style| texts.iter().map(|text| pen.faces.width(style, text)).fold(0.0, f64::max);
    let below = widest(&figures, Style::plain(size::LEAST)) + NUMBER_MM + LEAD_MM + BACKER_MM;
    let up = ((space.h - HEAD_MM - below) / top.max(1.0)).clamp(scale.min(1.0), MOST_UP);
    // Halves make a scale that can be said.
    let up = if up > 1.0 { (up * 2.0).floor() / 2.0 } else { up };
    let style = Style::plain(size::SMALL).in_colour(SOFT);
    let enlarged = if up > 1.0 { format!("{} : 1", trimmed(up, 2)) } else { scale_words(up) };
    let scales = match trimmed(up / scale, 1).as_str() {
        "1" => format!("Lengths and heights {}", scale_words(scale)),
        times => format!("Lengths {}, heights {enlarged} ({times} times larger)", scale_words(scale)),
    };
    let unit = facts.words.unit();
    let words =
        format!("{scales}. Plain: wood; hatched: raiser; dark: backer. Figures: thickness + raiser = height, {unit}.");
    let words = pen.faces.cut(style, &words, space.w - PLAN_MM.0 - 4.0);
    pen.text(style, (space.x, space.y + 8.5), &words);
    let ground = (space.x + axis, space.y + HEAD_MM + top * up);
    heights(pen, facts, (ground, top, up), space);
    for cut in cuts {
        stretch(pen, facts, cut, (ground, scale, up));
    }
    pen.block([60; 3], Rect::new(ground.0, ground.1, long * scale, BACKER_MM));
    let places = spread(cuts.iter().map(|cut| ground.0 + (cut.from + cut.to) / 2.0 * scale), (ground.0, space.right()));
    for ((cut, text), (from, to)) in cuts.iter().zip(&figures).zip(places) {
        told(pen, (cut.piece, text), (from, to), ground.1 + BACKER_MM);
    }
}

/// Room for a number turned upward.
const NUMBER_MM: f64 = 8.0;

/// Thickness, raiser and height as they add up.
fn build(facts: &Facts, piece: &Row) -> String {
    let (words, height) = (facts.words, facts.height(piece));
    match (piece.thickness, piece.raiser) {
        (Some(thick), Some(raiser)) if raiser > Um(0) => {
            format!("{} + {} = {height}", words.bare(thick), words.bare(raiser))
        }
        _ => height,
    }
}

/// Places side by side for words, each as near its own as its neighbours allow: where it points, where it stands.
fn spread(middles: impl Iterator<Item = f64>, (left, right): (f64, f64)) -> Vec<(f64, f64)> {
    let from: Vec<f64> = middles.collect();
    let pitch = ((right - left) / from.len().max(1) as f64).clamp(LEAST_PITCH_MM, PITCH_MM);
    let mut to = from.clone();
    for at in 0..to.len() {
        to[at] = to[at].max(if at == 0 { left + pitch / 2.0 } else { to[at - 1] + pitch });
    }
    let mut most = right - pitch / 2.0;
    for place in to.iter_mut().rev() {
        *place = place.min(most);
        most = *place - pitch;
    }
    from.into_iter().zip(to).collect()
}

/// A piece's number and figures, reading upward, with a line from its stretch.
fn told(pen: &mut Pen, (piece, figures): (&Row, &str), (from, to): (f64, f64), y: f64) {
    let (bold, plain) = (Style::bold(size::LEAST), Style::plain(size::LEAST));
    let top = y + LEAD_MM - 1.0;
    pen.line(weight::RULE, (from, y), (from, y + 1.5));
    pen.line(weight::RULE, (from, y + 1.5), (to, top - 0.8));
    let number = piece.number.to_string();
    let long = pen.faces.width(bold, &number);
    pen.text_upward(bold, (to, top + long / 2.0), &number);
    let words = pen.faces.width(plain, figures);
    pen.text_upward(plain, (to, top + NUMBER_MM + words / 2.0), figures);
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
        let words = facts.words.bare(Um::mm(at));
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_below_a_section_keep_apart_and_in_order() {
        let middles = [3.0, 3.2, 3.4, 50.0, 90.0, 99.0, 99.5, 99.9];
        let places = spread(middles.into_iter(), (0.0, 100.0));
        assert!(places.windows(2).all(|pair| pair[1].1 - pair[0].1 >= PITCH_MM - 1e-9), "{places:?}");
        assert!(places[0].1 >= 0.0 && places[7].1 <= 100.0 && places[3] == (50.0, 50.0), "{places:?}");
        let many = spread((0..36).map(f64::from), (0.0, 100.0));
        assert!(many.windows(2).all(|pair| pair[1].1 - pair[0].1 >= LEAST_PITCH_MM - 1e-9));
    }
}
