//! The pattern at true scale, one tile a page: borders as they are sawn, marks to join the tiles, neighbours named.

use super::draw::{Drawing, Lens, Placed, grain_degrees, labels};
use super::facts::{Facts, Row};
use super::finder;
use super::frame::{FOOT_MM, Frame, SOFT};
use super::letters::{Style, size};
use super::paper::{Rect, Spot};
use super::pen::{Pen, Trail, weight};
use super::tiles::{Tile, Tiles};

/// The pattern on a tile, whose words stand on its own side of the joins; `behind`: left and right are exchanged.
pub(super) fn drawing<'a>(facts: &'a Facts<'a>, tiles: &Tiles, tile: Tile, behind: bool) -> Drawing<'a> {
    let lens = Lens::tile(tiles.window(tile), tiles.shows(tile));
    let lens = Lens { mirror: behind.then_some(facts.panel.0), ..lens };
    Drawing { facts, lens, words: tiles.own(tile) }
}

/// All words of a tile.
pub(super) fn placed(facts: &Facts, tiles: &Tiles, tile: Tile, behind: bool) -> Placed {
    let drawing = drawing(facts, tiles, tile, behind);
    let marks = marked(tiles, tile);
    drawing.placed(|piece| Some(if behind { String::new() } else { facts.coded(piece) }), !behind, marks)
}

/// What the marks of a tile take; words keep off.
pub(super) fn marked(tiles: &Tiles, tile: Tile) -> Vec<Rect> {
    let lens = Lens::tile(tiles.window(tile), tiles.shows(tile));
    mark_places(tiles, &lens).map(|at| Rect::around(at, 9.0, 9.0)).collect()
}

/// Draws a tile.
pub(super) fn draw(pen: &mut Pen, drawing: &Drawing, (tiles, tile): (&Tiles, Tile), placed: &Placed) {
    pen.within(drawing.lens.window, |pen| {
        drawing.open_areas(pen);
        drawing.borders(pen);
        placed.frames(pen);
        labels(pen, &placed.labels);
    });
    around(pen, tiles, tile, Some(placed));
    grains(pen, drawing.facts, tiles, placed);
}

/// The grain of pieces that have no room for its arrow, in words between the bars and the plan of the tiles.
pub(super) fn grains(pen: &mut Pen, facts: &Facts, tiles: &Tiles, placed: &Placed) {
    let space = foot(tiles);
    let mut pieces: Vec<&Row> = placed.bare().into_iter().filter_map(|area| facts.piece(area)).collect();
    if pieces.is_empty() || space.w < LEAST_WORDS_MM {
        return;
    }
    pieces.sort_by_key(|piece| piece.number);
    let one = |piece: &&Row| Some(format!("{}\u{a0}{}°", piece.number, grain_degrees(piece.grain?)));
    let words = pieces.iter().filter_map(one).collect::<Vec<String>>().join(", ");
    let style = Style::plain(size::LEAST).in_colour(SOFT);
    let fits = (space.h / style.line_mm()) as usize;
    let lines = pen.faces.wrap(style, &format!("Grain without an arrow: {words}"), space.w);
    for (at, line) in lines.iter().take(fits).enumerate() {
        let more = at + 1 == fits && lines.len() > fits;
        let line = if more { "… and in the list" } else { line };
        pen.text(style, (space.x, space.y + (at as f64 + 0.8) * style.line_mm()), line);
    }
}

/// The room for words between the bars and the plan of the tiles, below the names of neighbours.
pub(super) fn foot(tiles: &Tiles) -> Rect {
    let body = Frame::body(tiles.paper);
    let wide = body.w - AFTER_BARS_MM - AFTER_WORDS_MM;
    Rect::new(body.x + AFTER_BARS_MM, body.bottom() + BELOW_NAMES_MM, wide, FOOT_MM - BELOW_NAMES_MM)
}

/// Where words may begin beside the bars in the foot, and the least room for them, mm.
const AFTER_BARS_MM: f64 = 116.0;
const AFTER_WORDS_MM: f64 = 43.0;
const BELOW_NAMES_MM: f64 = 5.0;
pub(super) const LEAST_WORDS_MM: f64 = 20.0;

/// What a tile carries for joining: marks, joins with the names of neighbours, the index, and the letters and figures by
/// which insets are found.
pub(super) fn around(pen: &mut Pen, tiles: &Tiles, tile: Tile, placed: Option<&Placed>) {
    let shows = tiles.shows(tile);
    let window = tiles.window(tile);
    marks(pen, tiles, &Lens::tile(window, shows));
    joins(pen, tiles, tile);
    index(pen, tiles, tile);
    if placed.is_some_and(|placed| !placed.insets.is_empty()) {
        finder::ticks(pen, window);
    }
}

fn mark_places(tiles: &Tiles, lens: &Lens) -> impl Iterator<Item = Spot> {
    let (across, down) = tiles.joins();
    let lens = *lens;
    let places = across.into_iter().flat_map(move |x| down.clone().into_iter().map(move |y| lens.page((x, y))));
    places.filter(move |place| lens.window.contains(*place))
}

/// Crosses where joins meet: the same place of the panel on every tile that shows it.
pub(super) fn marks(pen: &mut Pen, tiles: &Tiles, lens: &Lens) {
    for (x, y) in mark_places(tiles, lens) {
        pen.line(weight::MARK, (x - 4.0, y), (x + 4.0, y));
        pen.line(weight::MARK, (x, y - 4.0), (x, y + 4.0));
        let mut ring = Trail::default();
        ring.circle((x, y), 2.0);
        pen.stroke(weight::MARK, ring);
    }
}

/// Dashed lines in the middle of the shared strips, each with the tile beyond it named outside the window.
pub(super) fn joins(pen: &mut Pen, tiles: &Tiles, tile: Tile) {
    let w = tiles.window(tile);
    let half = super::tiles::OVERLAP_MM / 2.0;
    let sides: [((isize, isize), Spot, Spot); 4] = [
        ((-1, 0), (w.x + half, w.y), (w.x + half, w.bottom())),
        ((1, 0), (w.right() - half, w.y), (w.right() - half, w.bottom())),
        ((0, -1), (w.x, w.y + half), (w.right(), w.y + half)),
        ((0, 1), (w.x, w.bottom() - half), (w.right(), w.bottom() - half)),
    ];
    for (way, from, to) in sides {
        let Some(next) = tiles.beside(tile, way) else { continue };
        pen.line(weight::PAPER, from, to);
        neighbour(pen, w, way, &next.name());
    }
}

fn neighbour(pen: &mut Pen, w: Rect, way: (isize, isize), name: &str) {
    let style = Style::bold(size::SMALL).in_colour(SOFT);
    let (x, y) = w.centre();
    // A word before the name: the letters and figures along the edge look much like it.
    let words = format!("tile {name}");
    match way {
        (-1, _) => pen.text_upward(style, (w.x - 2.6, y), &words),
        (1, _) => pen.text_upward(style, (w.right() + 2.6, y), &words),
        (_, -1) => pen.text_amid(style, (x, w.y - 1.0), &words),
        _ => pen.text_amid(style, (x, w.bottom() + 3.4), &words),
    }
}

/// A small plan of all tiles in the foot, this one black.
pub(super) fn index(pen: &mut Pen, tiles: &Tiles, tile: Tile) {
    let body = Frame::body(tiles.paper);
    // On narrow paper the bars leave only the corner above the page's number.
    let space = match body.w < 160.0 {
        true => Rect::new(body.right() - 13.0, body.bottom() + 1.5, 13.0, 8.0),
        false => Rect::new(body.right() - 40.0, body.bottom() + 4.0, 24.0, 12.0),
    };
    let cell = (space.w / tiles.across as f64).min(space.h / tiles.down as f64).min(5.0);
    let left = space.right() - cell * tiles.across as f64;
    for each in tiles.each() {
        let rect = Rect::new(left + each.column as f64 * cell, space.y + each.row as f64 * cell, cell, cell);
        if each == tile {
            pen.block([0; 3], rect);
        }
        pen.frame(weight::RULE, rect);
    }
}
