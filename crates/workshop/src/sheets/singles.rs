//! Single pieces at true scale, gathered by wood and thickness, packed on shelves, each as it lies in the pattern.
//!
//! Shelves, tallest piece first (next-fit by decreasing height: Coffman, Garey, Johnson and Tarjan 1980): simple, and
//! pieces of one kind stay together; it leaves some paper white. A piece that is larger than the page is turned upright or
//! on its side where that helps, else it goes over tiles of its own.

use std::collections::BTreeMap;

use measure::length::Um;

use super::draw::grain_way;
use super::facts::{Facts, Row};
use super::frame::Frame;
use super::inside::{Inside, Says};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Pen, Trail, weight};
use super::room::Room;
use super::tiles::{Spans, Tile, Tiles};

/// Paper between neighbours, mm: enough to cut them apart with scissors. Common practice, no source.
const APART_MM: f64 = 6.0;
/// Under each piece, for its number when it has no room inside.
const CAPTION_MM: f64 = 5.0;
/// The line that names wood and thickness.
const HEAD_MM: f64 = 8.0;

/// A page of single pieces.
pub(super) enum Singles {
    /// Pieces on shelves.
    Shelves(Vec<Item>),
    /// A tile of a piece that is larger than the page.
    Large(usize, Tiles, Tile),
}

/// What stands on a shelf page.
pub(super) enum Item {
    /// Wood and thickness of what follows: of this piece, at this height of the page.
    Head(usize, f64),
    /// A piece, the place of the upper left corner of the box around it, and whether it is turned a quarter.
    Piece(usize, Spot, bool),
}

/// All pages.
pub(super) fn pages(facts: &Facts, paper: Paper) -> Vec<Singles> {
    let mut kinds: BTreeMap<(&str, Option<Um>), Vec<usize>> = BTreeMap::new();
    for (at, piece) in facts.pieces.iter().enumerate() {
        kinds.entry((facts.code(piece), piece.thickness)).or_default().push(at);
    }
    let mut shelves = Shelves::new(Frame::body(paper));
    let mut large = Vec::new();
    for (_, mut pieces) in kinds {
        pieces.sort_by(|a, b| high(facts, *b).total_cmp(&high(facts, *a)).then(a.cmp(b)));
        let mut headed = false;
        for at in pieces {
            let around = around(facts, at);
            match shelves.turn_for(around.w, around.h) {
                Some(turned) => {
                    if !std::mem::replace(&mut headed, true) {
                        shelves.head(at, if turned { around.w } else { around.h });
                    }
                    shelves.put(at, (around.w, around.h), turned);
                }
                None => {
                    let tiles = Tiles::over((around.w, around.h), paper, &Spans::default());
                    large.extend(tiles.each().map(|tile| Singles::Large(at, tiles.clone(), tile)));
                }
            }
        }
    }
    let mut pages = shelves.finish();
    pages.extend(large);
    pages
}

/// The box around a piece on the panel, mm.
fn around(facts: &Facts, at: usize) -> Rect {
    let rings = &facts.outline(facts.pieces[at].area).rings;
    let points = rings.iter().flatten().map(|p| p.to_mm());
    Rect::bounding(points).expect("a piece has an outline")
}

fn high(facts: &Facts, at: usize) -> f64 {
    around(facts, at).h
}

struct Shelves {
    body: Rect,
    pages: Vec<Singles>,
    page: Vec<Item>,
    /// Where the next piece goes.
    at: Spot,
    /// The height of the shelf.
    shelf: f64,
}

impl Shelves {
    fn new(body: Rect) -> Shelves {
        Shelves { body, pages: Vec::new(), page: Vec::new(), at: (body.x, body.y), shelf: 0.0 }
    }

    /// Whether a piece of this size must be turned to fit on a page; `None` when it fits neither way.
    fn turn_for(&self, w: f64, h: f64) -> Option<bool> {
        let fits = |w: f64, h: f64| w <= self.body.w && h + HEAD_MM + CAPTION_MM <= self.body.h;
        [(false, fits(w, h)), (true, fits(h, w))].iter().find(|(_, fits)| *fits).map(|(turned, _)| *turned)
    }

    /// Begins a kind on a shelf of its own, on a new page when its first piece does not fit below.
    fn head(&mut self, at: usize, high: f64) {
        self.shelf_down();
        if self.at.1 + HEAD_MM + high + CAPTION_MM > self.body.bottom() {
            self.new_page();
        }
        self.page.push(Item::Head(at, self.at.1));
        self.at.1 += HEAD_MM;
    }

    fn put(&mut self, piece: usize, (w, h): (f64, f64), turned: bool) {
        let (w, h) = if turned { (h, w) } else { (w, h) };
        if self.at.0 + w > self.body.right() {
            self.shelf_down();
        }
        if self.at.1 + h + CAPTION_MM > self.body.bottom() {
            self.new_page();
            self.page.push(Item::Head(piece, self.at.1));
            self.at.1 += HEAD_MM;
        }
        self.page.push(Item::Piece(piece, self.at, turned));
        self.at.0 += w + APART_MM;
        self.shelf = self.shelf.max(h);
    }

    fn shelf_down(&mut self) {
        if self.shelf > 0.0 {
            self.at = (self.body.x, self.at.1 + self.shelf + CAPTION_MM + APART_MM / 2.0);
            self.shelf = 0.0;
        }
    }

    fn new_page(&mut self) {
        let page = std::mem::take(&mut self.page);
        if !page.is_empty() {
            self.pages.push(Singles::Shelves(page));
        }
        (self.at, self.shelf) = ((self.body.x, self.body.y), 0.0);
    }

    fn finish(mut self) -> Vec<Singles> {
        self.new_page();
        self.pages
    }
}

/// The paper of a page.
pub(super) fn paper_of(page: &Singles, paper: Paper) -> Paper {
    match page {
        Singles::Shelves(_) => paper,
        Singles::Large(_, tiles, _) => tiles.paper,
    }
}

/// Draws a page.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper, page: &Singles) {
    match page {
        Singles::Shelves(items) => items.iter().for_each(|item| match item {
            Item::Head(first, y) => head(pen, facts, &facts.pieces[*first], (Frame::body(paper), *y)),
            Item::Piece(at, to, turned) => {
                let from = around(facts, *at);
                piece(pen, facts, &facts.pieces[*at], &Place { from, to: *to, turned: *turned, words: None });
            }
        }),
        Singles::Large(at, tiles, tile) => large(pen, facts, (*at, tiles, *tile)),
    }
}

fn head(pen: &mut Pen, facts: &Facts, piece: &Row, (body, y): (Rect, f64)) {
    let name = facts.wood(piece).map_or("wood still open", |wood| &wood.name);
    let thick = match piece.thickness {
        Some(thickness) => facts.words.length(thickness),
        None => "thickness still open".into(),
    };
    // Bold figures are numbers of pieces throughout the book, so the thickness is not.
    let (bold, plain, code) = (Style::bold(size::BODY), Style::plain(size::BODY), facts.code(piece));
    let after = body.x + pen.faces.width(bold, code) + 3.0;
    pen.text(bold, (body.x, y + 3.4), code);
    let words = pen.faces.cut(plain, &format!("{name}, {thick}"), body.right() - after);
    pen.text(plain, (after, y + 3.4), &words);
    pen.line(weight::RULE, (body.x, y + 4.8), (body.right(), y + 4.8));
}

/// How a piece comes from the panel to the page.
struct Place {
    /// The box around it on the panel.
    from: Rect,
    /// Where the upper left corner of the box lies on the page.
    to: Spot,
    /// Turned a quarter clockwise.
    turned: bool,
    /// Where words may stand, if not everywhere.
    words: Option<Rect>,
}

impl Place {
    fn page(&self, (x, y): Spot) -> Spot {
        let (dx, dy) = (x - self.from.x, y - self.from.y);
        match self.turned {
            true => (self.to.0 + self.from.h - dy, self.to.1 + dx),
            false => (self.to.0 + dx, self.to.1 + dy),
        }
    }

    fn way(&self, (x, y): Spot) -> Spot {
        if self.turned { (-y, x) } else { (x, y) }
    }

    fn high(&self) -> f64 {
        if self.turned { self.from.w } else { self.from.h }
    }
}

/// The outline as the saw follows it, words inside, or below where they have no room.
fn piece(pen: &mut Pen, facts: &Facts, piece: &Row, place: &Place) {
    let outline = facts.outline(piece.area);
    let rings: Vec<Vec<Spot>> =
        outline.rings.iter().map(|ring| ring.iter().map(|p| place.page(p.to_mm())).collect()).collect();
    let mut trail = Trail::default();
    rings.iter().for_each(|ring| trail.ring(ring.iter().copied()));
    pen.stroke(weight::SAW, trail);
    let everywhere = Rect::bounding(rings.iter().flatten().copied()).expect("a piece has an outline").inset(-1.0);
    let room = Room::new(rings, place.words.unwrap_or(everywhere));
    let focus = place.page(outline.widest.centre.to_mm());
    let grain = piece.grain.map(|axis| place.way(grain_way(axis)));
    let number = piece.number.to_string();
    // Among others of its kind a piece stands below its wood and thickness; alone on a tile it carries them.
    let code = if place.words.is_some() { facts.coded(piece) } else { String::new() };
    let says = Says { number: number.clone(), code, grain };
    let Some(room) = room else { return };
    let inside = Inside::of(pen.faces, room, focus, &says);
    inside.draw(pen);
    if !inside.has_number() && place.words.is_none() {
        pen.text(Style::bold(size::LEAST), (place.to.0, place.to.1 + place.high() + 3.6), &number);
    }
}

fn large(pen: &mut Pen, facts: &Facts, (at, tiles, tile): (usize, &Tiles, Tile)) {
    let (row, from, shows) = (&facts.pieces[at], around(facts, at), tiles.shows(tile));
    let to = (tiles.window(tile).x - shows.x, tiles.window(tile).y - shows.y);
    let place = Place { from, to, turned: false, words: Some(tiles.own(tile)) };
    pen.within(tiles.window(tile), |pen| piece(pen, facts, row, &place));
    super::pattern::joins(pen, tiles, tile);
}
