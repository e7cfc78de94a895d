//! The pattern from behind: mirrored left to right, for work that is laid face down or glued from the back.
//!
//! On one page in the book, tiled at true scale when asked for by name. Only places are mirrored, so words stay readable;
//! shadow and ground are grey.

use super::draw::{Drawing, Lens, scale_words};
use super::facts::Facts;
use super::frame::Frame;
use super::inside::{Inside, Says};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, Trail, weight};
use super::room::Room;
use super::tiles::{Tile, Tiles};
use crate::work::{Becomes, Origin};

/// Room for the words that say it.
const SAYS_MM: f64 = 10.0;

/// Draws the mirrored pattern on one page.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper) {
    let body = Frame::body(paper);
    let space = Rect::new(body.x, body.y + SAYS_MM, body.w, body.h - SAYS_MM);
    let lens = Lens::whole(facts.panel, space, 2.0);
    let words = format!("From behind: left and right are exchanged. Scale {}.", scale_words(lens.scale));
    pen.text(Style::bold(size::HEAD), (body.x, body.y + 5.5), &words);
    mirrored(pen, &Drawing { facts, lens, words: space });
}

/// Draws a tile at true scale.
pub(super) fn tile(pen: &mut Pen, facts: &Facts, tiles: &Tiles, tile: Tile) {
    let shows = tiles.shows(tile);
    // Tiles are counted from the left of the mirrored panel; the pattern is shown so that mirroring brings it there.
    let lens = Lens { window: tiles.window(tile), from: (shows.x, shows.y), scale: 1.0 };
    let drawing = Drawing { facts, lens, words: tiles.own(tile) };
    pen.within(tiles.window(tile), |pen| {
        mirrored(pen, &drawing);
        super::pattern::marks(pen, tiles, &lens);
    });
    super::pattern::joins(pen, tiles, tile);
    let at = (tiles.window(tile).x + 8.0, tiles.window(tile).y + 8.0);
    pen.text(Style::bold(size::HEAD), at, "From behind");
}

fn mirrored(pen: &mut Pen, drawing: &Drawing) {
    let (facts, lens) = (drawing.facts, drawing.lens);
    let page = |p: measure::plane::Point| {
        let (x, y) = p.to_mm();
        lens.page((facts.panel.0 - x, y))
    };
    for (id, area) in &facts.work.pattern.areas {
        if let (Becomes::Shadow | Becomes::Ground, Some(outline)) = (area.becomes, facts.outlines.areas.get(id)) {
            let mut trail = Trail::default();
            outline.rings.iter().for_each(|ring| trail.ring(ring.iter().map(|&p| page(p))));
            pen.fill([228; 3], trail);
        }
    }
    let (mut sawn, mut edge) = (Trail::default(), Trail::default());
    for border in facts.work.pattern.borders.values() {
        let trail = if border.from == Origin::Edge { &mut edge } else { &mut sawn };
        for (at, cubic) in border.curve.iter().enumerate() {
            let [a, b, c, d] = cubic.0.map(page);
            if at == 0 {
                trail.start(a);
            }
            trail.cubic([b, c, d]);
        }
    }
    pen.stroke(weight::SAW, sawn);
    pen.stroke(weight::EDGE, edge);
    for piece in &facts.pieces {
        let outline = facts.outline(piece.area);
        let rings: Vec<Vec<Spot>> = outline.rings.iter().map(|ring| ring.iter().map(|&p| page(p)).collect()).collect();
        let Some(room) = Room::new(rings, drawing.words) else { continue };
        let says = Says { number: piece.number.to_string(), code: String::new(), grain: None };
        Inside::of(pen.faces, room, page(outline.widest.centre), &says).draw(pen);
    }
}
