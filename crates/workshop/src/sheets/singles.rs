//! Single pieces at true scale, gathered by wood and thickness, packed on shelves.
//!
//! Each kind is packed on shelves of its own, the highest piece first, and these go, each under its head, on the first page
//! with room. A piece lies as in the pattern or turned a quarter; one that fits on the page neither way is turned by
//! as little as makes it fit, and goes over tiles of its own where nothing does.

use std::collections::BTreeMap;

use measure::length::Um;

use super::draw::{Lens, grain_way};
use super::facts::{Facts, Row};
use super::frame::Frame;
use super::inside::{Inside, Says};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, Trail, weight};
use super::room::{Room, clipped, enters, rotate};
use super::shelves::{Apart, Shelf, paged};
use super::tiles::{Spans, Tile, Tiles};
use super::{impose, pattern};

/// Paper between neighbours, mm: enough to cut them apart with scissors. Common practice, no source.
const APART: Apart = Apart { across: 6.0, down: 3.0 };
/// Under each piece, for its number and its grain where they have no room inside; and the least room across for both.
const CAPTION_MM: f64 = 5.0;
const CAPTION_WIDE_MM: f64 = 11.0;
/// The line that names wood and thickness, and the least that it is wide.
const HEAD_MM: f64 = 8.0;
const HEAD_WIDE_MM: f64 = 46.0;
/// A piece this many times as high as wide lies on its side: low shelves leave less white.
const TALL: f64 = 1.4;
/// Turns tried for a piece that fits neither way: finer ones win less than a mm.
const TURN_DEGREES: usize = 2;

/// A page of single pieces.
pub(super) enum Singles {
    /// Pieces on shelves.
    Shelves(Vec<Item>),
    /// A tile of a piece that is larger than the page.
    Large(Box<Large>),
}

/// A tile of a piece, turned, by its place on the list.
pub(super) struct Large {
    at: usize,
    turn: Spot,
    pub tiles: Tiles,
    pub tile: Tile,
}

/// What stands on a shelf page.
pub(super) enum Item {
    /// Wood and thickness of what follows: of this piece, from here, so wide.
    Head(usize, Spot, f64),
    /// A piece, the place of the upper left corner of the box around it, and its turn (cosine, sine).
    Piece(usize, Spot, Spot),
}

/// A shelf of one kind with its head, before it has a place.
struct Block {
    first: usize,
    shelf: Shelf,
    pieces: Vec<(usize, Spot, Spot)>,
}

impl Block {
    fn size(&self) -> (f64, f64) {
        (self.shelf.used().max(HEAD_WIDE_MM), HEAD_MM + self.shelf.high)
    }
}

/// All pages and the paper of their shelves: a field of large paper where every piece fits on it whole.
pub(super) fn pages_on(facts: &Facts, sheet: Paper) -> (Vec<Singles>, Paper) {
    let field = impose::field(sheet);
    let pages_of = pages(facts, field);
    let split = pages_of.iter().any(|page| matches!(page, Singles::Large(_)));
    if split && field != sheet { (pages(facts, sheet), sheet) } else { (pages_of, field) }
}

fn pages(facts: &Facts, paper: Paper) -> Vec<Singles> {
    let mut kinds: BTreeMap<(&str, Option<Um>), Vec<usize>> = BTreeMap::new();
    for (at, piece) in facts.pieces.iter().enumerate() {
        kinds.entry((facts.code(piece), piece.thickness)).or_default().push(at);
    }
    let body = Frame::body(paper);
    let (mut blocks, mut large) = (Vec::new(), Vec::new());
    for pieces in kinds.into_values() {
        let mut fitting = Vec::new();
        for at in pieces {
            match turn_for(facts, at, body) {
                Some(turn) => fitting.push((at, turn, sized(around(facts, at, turn)))),
                None => large.extend(split(facts, at, paper)),
            }
        }
        fitting.sort_by(|a, b| b.2.1.total_cmp(&a.2.1).then(a.0.cmp(&b.0)));
        blocks.extend(of_kind(&fitting, body.w));
    }
    let mut pages: Vec<Singles> = on_pages(blocks, body).into_iter().map(Singles::Shelves).collect();
    pages.extend(large);
    pages
}

/// A piece with its turn and its size with the caption.
type Fitting = (usize, Spot, (f64, f64));

fn sized(around: Rect) -> (f64, f64) {
    (around.w.max(CAPTION_WIDE_MM), around.h + CAPTION_MM)
}

/// Shelves of one kind.
fn of_kind(pieces: &[Fitting], wide: f64) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    for &(at, turn, size) in pieces {
        let seat = blocks.iter_mut().find_map(|block| Some((block.shelf.seat(size, wide, APART)?, block)));
        match seat {
            Some((seat, block)) => block.pieces.push((at, seat, turn)),
            None => {
                let mut shelf = Shelf::new(size.1);
                let seat = shelf.seat(size, wide, APART).expect("a piece that fits on the page fits on its own shelf");
                blocks.push(Block { first: at, shelf, pieces: vec![(at, seat, turn)] });
            }
        }
    }
    blocks
}

/// Blocks on the first page with room.
fn on_pages(blocks: Vec<Block>, body: Rect) -> Vec<Vec<Item>> {
    let sizes: Vec<(f64, f64)> = blocks.iter().map(Block::size).collect();
    let mut pages: Vec<Vec<Item>> = Vec::new();
    for (block, (page, seat)) in blocks.into_iter().zip(paged(&sizes, (body.w, body.h), APART)) {
        pages.resize_with(pages.len().max(page + 1), Vec::new);
        let (x, y) = (body.x + seat.0, body.y + seat.1);
        pages[page].push(Item::Head(block.first, (x, y), block.size().0));
        let moved = |(at, (dx, dy), turn)| Item::Piece(at, (x + dx, y + HEAD_MM + dy), turn);
        pages[page].extend(block.pieces.into_iter().map(moved));
    }
    pages
}

/// The box around a turned piece, mm.
fn around(facts: &Facts, at: usize, turn: Spot) -> Rect {
    let rings = &facts.outline(facts.pieces[at].area).rings;
    let points = rings.iter().flatten().map(|p| rotate(p.to_mm(), turn));
    Rect::bounding(points).expect("a piece has an outline")
}

const AS_IT_LIES: Spot = (1.0, 0.0);
/// Clockwise on the page.
const QUARTER: Spot = (0.0, 1.0);

/// How a piece is turned to fit on a page; `None` when nothing makes it fit.
fn turn_for(facts: &Facts, at: usize, body: Rect) -> Option<Spot> {
    let fits = |turn: &Spot| {
        let around = around(facts, at, *turn);
        around.w.max(HEAD_WIDE_MM) <= body.w && around.h + HEAD_MM + CAPTION_MM <= body.h
    };
    let lies = around(facts, at, AS_IT_LIES);
    let first = if lies.h > TALL * lies.w { [QUARTER, AS_IT_LIES] } else { [AS_IT_LIES, QUARTER] };
    first.into_iter().find(|turn| fits(turn)).or_else(|| turns().find(|turn| fits(turn)))
}

/// Turns of up to half a circle, small ones first.
fn turns() -> impl Iterator<Item = Spot> {
    (0..180).step_by(TURN_DEGREES).map(|degrees| {
        let (s, c) = libm::sincos((degrees as f64).to_radians());
        (c, s)
    })
}

/// Tiles of a piece, turned so that the box around it is least; those that show nothing of it are left out.
fn split(facts: &Facts, at: usize, paper: Paper) -> Vec<Singles> {
    let size = |turn: &Spot| {
        let around = around(facts, at, *turn);
        around.w * around.h
    };
    let turn = turns().min_by(|a, b| size(a).total_cmp(&size(b))).expect("there are turns");
    let box_ = around(facts, at, turn);
    let tiles = Tiles::over((box_.w, box_.h), paper, &Spans::default());
    let rings = turned_rings(facts, &facts.pieces[at], turn);
    let shown = |tile: &Tile| {
        let shows = tiles.shows(*tile);
        let on = Rect { x: shows.x + box_.x, y: shows.y + box_.y, ..shows };
        rings.iter().any(|ring| (0..ring.len()).any(|i| enters(on, ring[i], ring[(i + 1) % ring.len()])))
    };
    let one = |tile| Singles::Large(Box::new(Large { at, turn, tiles: tiles.clone(), tile }));
    tiles.each().filter(shown).map(one).collect()
}

fn turned_rings(facts: &Facts, piece: &Row, turn: Spot) -> Vec<Vec<Spot>> {
    let rings = &facts.outline(piece.area).rings;
    rings.iter().map(|ring| ring.iter().map(|p| rotate(p.to_mm(), turn)).collect()).collect()
}

/// The paper of a page.
pub(super) fn paper_of(page: &Singles, paper: Paper) -> Paper {
    match page {
        Singles::Shelves(_) => paper,
        Singles::Large(large) => large.tiles.paper,
    }
}

/// Draws a page.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, page: &Singles) {
    match page {
        Singles::Shelves(items) => items.iter().for_each(|item| match item {
            Item::Head(first, at, wide) => head(pen, facts, &facts.pieces[*first], (*at, *wide)),
            Item::Piece(at, to, turn) => {
                let around = around(facts, *at, *turn);
                let place = Place { turn: *turn, by: (to.0 - around.x, to.1 - around.y), words: None };
                let inside = piece(pen, facts, &facts.pieces[*at], &place);
                caption(pen, &facts.pieces[*at], (&inside, *turn), (to.0, to.1 + around.h));
            }
        }),
        Singles::Large(one) => large(pen, facts, one),
    }
}

/// Below a piece, what has no room in it.
fn caption(pen: &mut Pen, piece: &Row, (inside, turn): (&Inside, Spot), (x, y): Spot) {
    let mut after = x;
    if !inside.has_number() {
        let (style, number) = (Style::bold(size::LEAST), piece.number.to_string());
        pen.text(style, (x, y + 3.6), &number);
        after += pen.faces.width(style, &number) + 1.0;
    }
    if let Some(axis) = piece.grain.filter(|_| !inside.has_arrow()) {
        let (dx, dy) = rotate(grain_way(axis), turn);
        let (half, middle) = (CAPTION_MM / 2.0, (after + CAPTION_MM / 2.0, y + CAPTION_MM / 2.0));
        let ends = [-half, half].map(|by| (middle.0 + dx * by, middle.1 + dy * by));
        super::draw::arrow(pen, ends[0], ends[1]);
    }
}

fn head(pen: &mut Pen, facts: &Facts, piece: &Row, ((x, y), wide): (Spot, f64)) {
    // Bold figures are numbers of pieces throughout the book, so the thickness is not.
    let (bold, plain, code) = (Style::bold(size::BODY), Style::plain(size::BODY), facts.code(piece));
    let after = x + pen.faces.width(bold, code) + 3.0;
    pen.text(bold, (x, y + 3.4), code);
    let (name, thick) = kind(facts, piece);
    let room = x + wide - after - pen.faces.width(plain, &format!(", {thick}"));
    let words = format!("{}, {thick}", pen.faces.cut(plain, &name, room.max(0.0)));
    pen.text(plain, (after, y + 3.4), &words);
    pen.line(weight::RULE, (x, y + 4.8), (x + wide, y + 4.8));
}

/// Names of wood and thickness.
fn kind(facts: &Facts, piece: &Row) -> (String, String) {
    let name = facts.wood(piece).map_or("wood still open", |wood| &wood.name);
    let thick = piece.thickness.map_or_else(|| "thickness still open".into(), |thick| facts.words.length(thick));
    (name.to_owned(), thick)
}

/// How a piece comes from the panel to the page.
struct Place {
    /// Cosine and sine of its turn.
    turn: Spot,
    /// How far it is moved once it is turned.
    by: Spot,
    /// Where words may stand, if not everywhere.
    words: Option<Rect>,
}

impl Place {
    fn page(&self, at: Spot) -> Spot {
        let (x, y) = rotate(at, self.turn);
        (x + self.by.0, y + self.by.1)
    }
}

/// The outline as the saw follows it, and words inside as far as they have room.
fn piece(pen: &mut Pen, facts: &Facts, piece: &Row, place: &Place) -> Inside {
    let outline = facts.outline(piece.area);
    let rings: Vec<Vec<Spot>> =
        outline.rings.iter().map(|ring| ring.iter().map(|p| place.page(p.to_mm())).collect()).collect();
    let mut trail = Trail::default();
    rings.iter().for_each(|ring| trail.ring(ring.iter().copied()));
    pen.stroke(weight::SAW, trail);
    let lines = facts.lines_in(piece.area);
    super::draw::inner(pen, lines, 1.0, |p| place.page(p.to_mm()));
    let focus = place.page(outline.widest.centre.to_mm());
    let grain = piece.grain.map(|axis| rotate(grain_way(axis), place.turn));
    // Among others of its kind a piece stands below its wood and thickness; alone on a tile it carries them.
    let code = if place.words.is_some() { facts.coded(piece) } else { String::new() };
    let says = Says { number: piece.number.to_string(), code, grain };
    let Some((room, focus)) = room(rings, focus, place.words) else { return Inside::default() };
    let inside = Inside::of(pen.faces, room, focus, &says);
    inside.draw(pen);
    inside
}

/// What words may use of a piece, and its widest place there.
fn room(rings: Vec<Vec<Spot>>, focus: Spot, words: Option<Rect>) -> Option<(Room, Spot)> {
    let Some(words) = words else {
        let everywhere = Rect::bounding(rings.iter().flatten().copied())?.inset(-1.0);
        return Some((Room::new(rings, everywhere)?, focus));
    };
    let seen = rings.iter().map(|ring| clipped(ring, words)).filter(|ring| ring.len() > 2).collect();
    let room = Room::new(seen, words)?;
    let focus = if words.contains(focus) { focus } else { room.widest().0 };
    Some((room, focus))
}

/// A tile of a piece: what it is of stands on it whether or not the number finds room in the piece.
fn large(pen: &mut Pen, facts: &Facts, one: &Large) {
    let (row, tiles, tile) = (&facts.pieces[one.at], &one.tiles, one.tile);
    let (around, shows, window) = (around(facts, one.at, one.turn), tiles.shows(tile), tiles.window(tile));
    let by = (window.x - shows.x - around.x, window.y - shows.y - around.y);
    let place = Place { turn: one.turn, by, words: Some(tiles.own(tile)) };
    let mut numbered = false;
    pen.within(window, |pen| {
        numbered = piece(pen, facts, row, &place).has_number();
        pattern::marks(pen, tiles, &Lens::tile(window, shows));
    });
    let rings = turned_rings(facts, row, one.turn);
    let moved = rings.into_iter().flatten().map(|(x, y)| (x + by.0, y + by.1)).collect::<Vec<_>>();
    tag(pen, facts, (one, numbered), &moved);
    pattern::joins(pen, tiles, tile);
    pattern::index(pen, tiles, tile);
}

/// Number, wood, thickness and tile in words beside the piece, in the foot where there is no room beside it.
fn tag(pen: &mut Pen, facts: &Facts, (one, numbered): (&Large, bool), outline: &[Spot]) {
    let row = &facts.pieces[one.at];
    // The number stands once in the heavier weight: inside where it has room.
    let (plain, small) = (Style::plain(size::BODY), Style::plain(size::LEAST));
    let (name, thick) = kind(facts, row);
    let first = format!("Piece {}", row.number);
    let rest = format!("{} {name}, {thick}; tile {} of {}", facts.code(row), one.tile.name(), one.tiles.count());
    // Clear of the marks at the corners.
    let own = one.tiles.own(one.tile).inset(10.0);
    let foot = pattern::foot(&one.tiles);
    let beside = TAGS_MM.iter().find_map(|&wide| {
        let lines = pen.faces.wrap(plain, &rest, wide);
        let longest = lines.iter().map(|line| pen.faces.width(plain, line)).fold(0.0, f64::max);
        let size = (longest, (lines.len() + 1) as f64 * plain.line_mm());
        Some((free(own, size, outline)?, plain, lines))
    });
    let (seat, style, lines) = beside.unwrap_or_else(|| match foot.w >= pattern::LEAST_WORDS_MM {
        true => (foot, small, pen.faces.wrap(small, &rest, foot.w)),
        false => (own, small, pen.faces.wrap(small, &rest, own.w)),
    });
    let top = seat.y + style.cap_mm();
    pen.text(Style { bold: !numbered, ..style }, (seat.x, top), &first);
    for (at, line) in lines.iter().enumerate() {
        pen.text(style, (seat.x, top + (at + 1) as f64 * style.line_mm()), line);
    }
}

/// Widths tried for the words beside a piece, mm.
const TAGS_MM: [f64; 4] = [120.0, 70.0, 45.0, 30.0];

/// A place for a box in `space` that no side of a ring enters, from the top.
fn free(space: Rect, (w, h): (f64, f64), ring: &[Spot]) -> Option<Rect> {
    const STEPS: i32 = 24;
    if w > space.w || h > space.h {
        return None;
    }
    let along = |at: i32, long: f64| long * f64::from(at) / f64::from(STEPS);
    let places = (0..=STEPS).flat_map(|down| (0..=STEPS).map(move |across| (across, down)));
    let mut rects = places.map(|(across, down)| {
        Rect::new(space.x + along(across, space.w - w), space.y + along(down, space.h - h), w, h)
    });
    rects.find(|rect| {
        let near = rect.inset(-1.5);
        (0..ring.len()).all(|i| !enters(near, ring[i], ring[(i + 1) % ring.len()]))
            && !super::room::inside(ring, rect.centre())
    })
}
