//! Copies: what is cut from which print of the pattern. On each page one print's pieces are heavy, all else is light; the
//! same prints at true scale are for cutting up.

use std::collections::BTreeMap;

use measure::length::Um;

use super::draw::{Drawing, Lens, Placed, scale_words};
use super::facts::{Facts, Row};
use super::frame::{Frame, SOFT};
use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pattern;
use super::pen::{Line, Pen};
use super::tiles::{Tile, Tiles};
use crate::work::{Border, Side};

/// Borders of pieces that are cut from another print.
const LIGHT: Line = Line { pt: 0.25, colour: [165; 3], dash: &[] };
/// Borders of pieces that are cut from this one.
const HEAVY: Line = Line { pt: 0.9, colour: [0; 3], dash: &[] };

/// White around the panel for numbers beside the work.
const RIM_MM: f64 = 6.0;
/// White above and below the panel where the page has it.
const BELOW_MM: f64 = 14.0;
/// What the words that name the print take: two lines on narrow paper.
fn head_mm(body: Rect) -> f64 {
    if body.w < 160.0 { 13.5 } else { 9.0 }
}

/// The page of a print (from 1): the whole pattern, its own pieces numbered, and below them by wood and thickness.
pub(super) struct Print {
    pub copy: usize,
    pub paper: Paper,
    lens: Lens,
    lines: Vec<String>,
    pub placed: Placed,
}

impl Print {
    /// Lays the page out, lying where that shows the pattern larger.
    pub fn of(facts: &Facts, paper: Paper, copy: usize) -> Print {
        let [upright, lying] = [paper, paper.turned()].map(|paper| {
            let body = Frame::body(paper);
            let lines = lines(facts, copy, body.w);
            let foot = (head_mm(body) + Style::plain(size::SMALL).line_mm() * lines.len() as f64).min(body.h / 2.0);
            let most = Rect { h: body.h - foot, ..body };
            let scale = Lens::whole(facts.panel, most, RIM_MM).scale;
            // The words follow the work, with room between for numbers.
            let space = Rect { h: most.h.min(facts.panel.1 * scale + 2.0 * BELOW_MM), ..most };
            (paper, lines, Lens::whole(facts.panel, space, RIM_MM))
        });
        let (paper, lines, lens) = if lying.2.scale > upright.2.scale * 1.05 { lying } else { upright };
        let drawing = Drawing { facts, lens, words: lens.window };
        let placed = drawing.placed(|piece| is_mine(facts, copy, piece).then(String::new), false, Vec::new());
        Print { copy, paper, lens, lines, placed }
    }

    pub fn drawing<'a>(&self, facts: &'a Facts<'a>) -> Drawing<'a> {
        Drawing { facts, lens: self.lens, words: self.lens.window }
    }

    pub fn draw(&self, pen: &mut Pen, facts: &Facts) {
        let (drawing, space) = (self.drawing(facts), self.lens.window);
        self.base(pen, &drawing);
        self.placed.frames(pen);
        super::draw::labels(pen, &self.placed.labels);
        let insets = if self.placed.insets.is_empty() { "" } else { "; grey corners: “Insets of the copies”" };
        if !self.placed.insets.is_empty() {
            super::finder::ticks(pen, space.inset(1.6));
        }
        let head = format!(
            "Print {} of {}: {} {}. Scale {}; the same print at true scale: “prints”{insets}.",
            self.copy,
            facts.copies.number,
            self.placed.areas.len(),
            if self.placed.areas.len() == 1 { "piece" } else { "pieces" },
            scale_words(self.lens.scale)
        );
        let (style, head_mm) = (Style::plain(size::BODY), head_mm(space));
        for (at, words) in pen.faces.wrap(style, &head, space.w).iter().enumerate() {
            pen.text(style, (space.x, space.bottom() + 5.0 + at as f64 * style.line_mm()), words);
        }
        let line = Style::plain(size::SMALL).line_mm();
        // A little over, for the sum and the quotient of the same lines.
        let fits = ((Frame::body(self.paper).bottom() - space.bottom() - head_mm) / line + 1e-6) as usize;
        for (at, words) in self.lines.iter().take(fits.max(1)).enumerate() {
            let style = Style::plain(size::SMALL).in_colour(SOFT);
            pen.text(style, (space.x, space.bottom() + head_mm + at as f64 * line), words);
        }
    }

    /// The pattern with the print's pieces heavy, without words.
    pub fn base(&self, pen: &mut Pen, drawing: &Drawing) {
        drawing.open_areas(pen);
        for piece in mine(drawing.facts, self.copy) {
            drawing.fill(pen, piece.area, [232; 3]);
        }
        outlined(pen, drawing, self.copy);
    }
}

/// A tile of a print at true scale, to cut up: number, wood, thickness and grain of the pieces that are cut from it, inside
/// or beside them, where all else is light.
pub(super) struct CutUp {
    pub copy: usize,
    pub tile: Tile,
    pub placed: Placed,
}

impl CutUp {
    pub fn of(facts: &Facts, tiles: &Tiles, (copy, tile): (usize, Tile)) -> CutUp {
        let drawing = pattern::drawing(facts, tiles, tile, false);
        let coded = |piece: &Row| is_mine(facts, copy, piece).then(|| facts.coded(piece));
        CutUp { copy, tile, placed: drawing.placed(coded, true, pattern::marked(tiles, tile)) }
    }

    /// What it is called.
    pub fn name(&self) -> String {
        format!("Print {}, {}", self.copy, self.tile.name())
    }

    pub fn draw(&self, pen: &mut Pen, facts: &Facts, tiles: &Tiles) {
        let drawing = pattern::drawing(facts, tiles, self.tile, false);
        pen.within(drawing.lens.window, |pen| {
            self.base(pen, &drawing);
            self.placed.frames(pen);
            super::draw::labels(pen, &self.placed.labels);
        });
        pattern::around(pen, tiles, self.tile, Some(&self.placed));
        pattern::grains(pen, facts, tiles, &self.placed);
    }

    /// The borders, heavy around its own pieces, without words.
    pub fn base(&self, pen: &mut Pen, drawing: &Drawing) {
        outlined(pen, drawing, self.copy);
    }
}

/// Whether a tile shows a piece of this print.
pub(super) fn on_tile(facts: &Facts, tiles: &Tiles, (copy, tile): (usize, Tile)) -> bool {
    let shows = tiles.shows(tile);
    mine(facts, copy).any(|piece| {
        let ring = facts.outline(piece.area).rings.first().map(Vec::as_slice).unwrap_or_default();
        Rect::bounding(ring.iter().map(|p| p.to_mm())).is_some_and(|around| around.meets(shows))
    })
}

fn mine<'a>(facts: &'a Facts, copy: usize) -> impl Iterator<Item = &'a Row> {
    facts.pieces.iter().filter(move |piece| is_mine(facts, copy, piece))
}

fn is_mine(facts: &Facts, copy: usize, piece: &Row) -> bool {
    facts.copies.of.get(&piece.number) == Some(&copy)
}

/// Borders, heavy around the pieces of a print.
fn outlined(pen: &mut Pen, drawing: &Drawing, copy: usize) {
    let facts = drawing.facts;
    let of_copy = |side: Side| {
        let piece = side.area().and_then(|area| facts.piece(area));
        piece.is_some_and(|piece| is_mine(facts, copy, piece))
    };
    let heavy = |border: &Border| [border.left, border.right].into_iter().any(of_copy);
    drawing.borders_in(pen, |border| (!heavy(border)).then_some(LIGHT));
    drawing.borders_in(pen, |border| heavy(border).then_some(HEAVY));
}

/// The print's pieces by wood and thickness, wrapped.
fn lines(facts: &Facts, copy: usize, wide: f64) -> Vec<String> {
    let mut kinds: BTreeMap<(&str, Option<Um>), Vec<&Row>> = BTreeMap::new();
    mine(facts, copy).for_each(|piece| kinds.entry((facts.code(piece), piece.thickness)).or_default().push(piece));
    let words = kinds.into_iter().map(|((code, thickness), mut pieces)| {
        pieces.sort_by_key(|piece| piece.number);
        let numbers: Vec<String> = pieces.iter().map(|piece| piece.number.to_string()).collect();
        // A line does not break between a wood and its thickness.
        let kind = format!("{code} {}: ", facts.words.or_dash(thickness)).replace(' ', "\u{a0}");
        kind + &numbers.join(", ")
    });
    let text = words.collect::<Vec<_>>().join("   ·   ");
    facts.faces.wrap(Style::plain(size::SMALL), &text, wide)
}
