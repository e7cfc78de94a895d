//! Copies: what is cut from which print of the pattern. On each page one print's pieces are heavy, all else is light; the
//! same prints at true scale are for cutting up.

use std::collections::BTreeMap;

use measure::length::Um;

use super::draw::{Drawing, Lens, scale_words};
use super::facts::{Facts, Row};
use super::frame::{Frame, SOFT};
use super::inside::{Inside, Says};
use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pen::{Line, Pen};
use super::room::Room;
use super::tiles::{Tile, Tiles};
use crate::work::{Border, Side};

/// Borders of pieces that are cut from another print.
const LIGHT: Line = Line { pt: 0.25, colour: [165; 3], dash: &[] };
/// Borders of pieces that are cut from this one.
const HEAVY: Line = Line { pt: 0.9, colour: [0; 3], dash: &[] };

/// Draws the page of a print (from 1): the whole pattern, and below it the print's pieces by wood and thickness.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper, copy: usize) {
    let body = Frame::body(paper);
    let lines = lines(pen, facts, copy, body.w);
    let line = Style::plain(size::SMALL).line_mm();
    let foot = (9.0 + line * lines.len() as f64).min(body.h / 2.0);
    let space = Rect::new(body.x, body.y, body.w, body.h - foot);
    let drawing = Drawing { facts, lens: Lens::whole(facts.panel, space, 2.0), words: space };
    for piece in mine(facts, copy) {
        drawing.fill(pen, piece.area, [232; 3]);
    }
    drawn(pen, &drawing, copy, |_| String::new());
    let head = format!(
        "Print {copy} of {}: {} pieces. Scale {}; the same print at true scale: “prints”.",
        facts.copies.number,
        mine(facts, copy).count(),
        scale_words(drawing.lens.scale)
    );
    pen.text(Style::plain(size::BODY), (body.x, space.bottom() + 5.0), &head);
    // A little over, for the sum and the quotient of the same lines.
    let fits = ((foot - 9.0) / line + 1e-6) as usize;
    for (at, words) in lines.iter().take(fits.max(1)).enumerate() {
        let style = Style::plain(size::SMALL).in_colour(SOFT);
        pen.text(style, (body.x, space.bottom() + 9.0 + at as f64 * line), words);
    }
}

/// Draws a tile of a print at true scale: number, wood, thickness and grain in the pieces that are cut from it.
pub(super) fn tile(pen: &mut Pen, facts: &Facts, tiles: &Tiles, (copy, tile): (usize, Tile)) {
    let shows = tiles.shows(tile);
    let lens = Lens::tile(tiles.window(tile), shows);
    let drawing = Drawing { facts, lens, words: tiles.own(tile) };
    pen.within(lens.window, |pen| {
        drawn(pen, &drawing, copy, |piece| facts.coded(piece));
        super::pattern::marks(pen, tiles, &lens);
    });
    super::pattern::joins(pen, tiles, tile);
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
    facts.pieces.iter().filter(move |piece| facts.copies.of.get(&piece.number) == Some(&copy))
}

fn drawn(pen: &mut Pen, drawing: &Drawing, copy: usize, code: impl Fn(&Row) -> String) {
    let facts = drawing.facts;
    let of_copy = |side: Side| {
        let piece = side.area().and_then(|area| facts.piece(area));
        piece.is_some_and(|piece| facts.copies.of.get(&piece.number) == Some(&copy))
    };
    let heavy = |border: &Border| [border.left, border.right].into_iter().any(of_copy);
    drawing.borders_in(pen, |border| (!heavy(border)).then_some(LIGHT));
    drawing.borders_in(pen, |border| heavy(border).then_some(HEAVY));
    for piece in mine(facts, copy) {
        let Some(room) = Room::new(drawing.rings(piece.area), drawing.words) else { continue };
        let focus = drawing.lens.page(facts.outline(piece.area).widest.centre.to_mm());
        let grain = piece.grain.filter(|_| drawing.lens.scale >= 1.0).map(super::draw::grain_way);
        let says = Says { number: piece.number.to_string(), code: code(piece), grain };
        Inside::of(pen.faces, room, focus, &says).draw(pen);
    }
}

/// The print's pieces by wood and thickness, wrapped: all of them, for a small piece's number has no room on the drawing.
fn lines(pen: &Pen, facts: &Facts, copy: usize, wide: f64) -> Vec<String> {
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
    pen.faces.wrap(Style::plain(size::SMALL), &text, wide)
}
