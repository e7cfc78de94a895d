//! Boards with what is cut from them, what to plane, and what is still to be bought.
//!
//! A long board is drawn in stretches, one below the other, so that the numbers of the pieces can be read.

use std::ops::Range;
use std::sync::Arc;

use krilla::tagging::Tag;
use measure::length::Um;
use measure::plane::Point;

use super::draw::{self, Lens, grain_way, scale_words};
use super::facts::Facts;
use super::flags::Ground;
use super::flow;
use super::frame::{Frame, SOFT};
use super::hatch::FAULT;
use super::labels::{Labels, Shown};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Line, Pen, Trail, weight};
use super::room::{Room, clipped};
use super::table::{Set, Table, Words};
use crate::stock::{self, Missing};
use crate::work::{Axis, BoardId, By, Chosen, Lie, Number, WoodId};

const LEGEND: &str = "Boards are seen on their show face. A number with a star is pinned by hand. Arrows run along the grain. \
    Where a piece has spare wood for fitting, its finished edge is dashed. Hatched both ways is a fault; white is cut out already. \
    A heavy line of dashes and dots is a straight cut: plane the whole to its thickest part, saw that off and go on with the rest. \
    A long board is drawn in strips, one below the other: they are one board, and what lies over a dashed end is numbered on both.";
/// What a mm on the page may stand for, mm of the board: round scales, the largest first.
const SCALES: [f64; 13] = [1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0];
/// So many of a board's numbers are to stand inside their pieces.
const INSIDE: f64 = 0.75;
/// At first a board is drawn no higher than this, mm.
const HIGH_MM: f64 = 70.0;
/// Of more boards than this none is drawn larger than at first: each step of each lays the pages out anew.
const GROWN: usize = 200;
/// A board is drawn in no more stretches than this.
const STRETCHES: f64 = 3.0;
/// Between two stretches, mm: a number beside a board finds room there.
const BETWEEN_MM: f64 = 6.0;
/// The arrow for a board's grain, mm.
const GRAIN_MM: f64 = 6.0;
/// Room for the words above the first board of all, mm.
const LEGEND_MM: f64 = 12.0;
/// What a strip is, above it, where a board is drawn in several, mm.
const STRIP_MM: f64 = 4.0;
/// A piece is numbered on a strip that shows a place of it this far from its edge, mm. Less is a hair.
const HAIR_MM: f64 = 0.3;
/// Between boards abreast, mm.
const ASIDE_MM: f64 = 6.0;
/// Words above a board, and the least width for them, mm: three boards abreast on A4 and Letter.
const ABOVE_MM: f64 = 12.6;
const WORDS_MM: f64 = 58.0;
/// Hatches what cannot be used, and goes around it.
const FAULT_LINE: Line = Line { pt: 0.35, colour: [60; 3], dash: &[] };
/// Edges of zones, and the finished edge of a piece that has spare wood.
const ZONE: Line = Line { pt: 0.4, colour: [110; 3], dash: &[1.5, 1.0] };
/// Where a board is cut across before it is planed.
const CROSSCUT: Line = Line { pt: 1.0, colour: [0; 3], dash: &[5.0, 1.5, 1.0, 1.5] };

/// A row of these pages.
#[derive(Clone)]
pub(super) enum Item {
    Head(String),
    Words(Style, String),
    /// Boards side by side.
    Boards(Vec<Drawn>),
    /// A row of a table; its heads stand above the first of a page.
    Row(Arc<Table>, usize),
    Space,
}

/// A board as it is drawn.
#[derive(Clone, Copy)]
pub(super) struct Drawn {
    id: BoardId,
    scale: f64,
    around: Rect,
    /// Length of a stretch, mm of the board.
    stretch: f64,
    stretches: usize,
}

/// All rows in order.
pub(super) fn items(facts: &Facts, paper: Paper) -> Vec<Item> {
    let work = facts.work;
    let body = Frame::body(paper);
    let mut items = Vec::new();
    let used = |id: &BoardId| work.layout.values().any(|chosen| chosen.value.board == *id);
    let begun = work.boards.keys().filter(|id| used(id));
    if begun.clone().next().is_some() {
        let style = Style::plain(size::SMALL).in_colour(SOFT);
        let wrapped = facts.faces.wrap(style, LEGEND, body.w);
        items.extend(wrapped.into_iter().map(|line| Item::Words(style, line)));
        items.push(Item::Space);
    }
    let begun: Vec<BoardId> = begun.copied().collect();
    let above = items.len();
    let untouched: Vec<String> =
        work.boards.iter().filter(|(id, _)| !used(id)).map(|(_, board)| facts.faces.clean(&board.name)).collect();
    if !untouched.is_empty() {
        items.push(Item::Head("Boards that nothing is cut from".into()));
        let style = Style::plain(size::BODY);
        let wrapped = facts.faces.wrap(style, &untouched.join("; "), body.w);
        items.extend(wrapped.into_iter().map(|line| Item::Words(style, line)));
    }
    let mut table = |head: &str, words: Words| {
        if words.rows.is_empty() {
            return;
        }
        items.push(Item::Head(head.into()));
        let table = Arc::new(Table::of(&facts.faces, words, body.w));
        items.extend((0..table.len()).map(|row| Item::Row(table.clone(), row)));
    };
    table("To crosscut", crosscuts(facts));
    table("To plane, one setting after the other", planing(facts));
    table("To buy", to_buy(facts));
    let below = items.split_off(above);
    scaled(facts, &begun, paper, |boards| {
        let rows = abreast(boards, body).into_iter().map(Item::Boards);
        items.iter().cloned().chain(rows).chain(below.iter().cloned()).collect()
    })
}

/// All items with every board as large as the pages have room for that the boards take at no more than `HIGH_MM` high: first
/// those on which numbers find no room inside their pieces, then all.
fn scaled(facts: &Facts, begun: &[BoardId], paper: Paper, with: impl Fn(Vec<Drawn>) -> Vec<Item>) -> Vec<Item> {
    let body = Frame::body(paper);
    let at =
        |scales: &[usize]| with(begun.iter().zip(scales).filter_map(|(id, s)| drawn(facts, *id, body, *s)).collect());
    let mut scales: Vec<usize> = begun.iter().map(|id| low(facts, *id)).collect();
    let mut best = at(&scales);
    let most = pages(&best, paper).len();
    let wanted: Vec<usize> = begun.iter().map(|id| wanted(facts, *id)).collect();
    for least in [wanted, vec![0; begun.len()]] {
        let mut grows = begun.len() <= GROWN;
        while std::mem::take(&mut grows) {
            for board in 0..begun.len() {
                if scales[board] <= least[board] {
                    continue;
                }
                scales[board] -= 1;
                let items = at(&scales);
                if pages(&items, paper).len() <= most {
                    (best, grows) = (items, true);
                } else {
                    scales[board] += 1;
                }
            }
        }
    }
    best
}

/// The largest scale at which a board is no higher than `HIGH_MM`, by its place among all.
fn low(facts: &Facts, id: BoardId) -> usize {
    let around = Rect::bounding(facts.work.boards[&id].outline.iter().map(|p| p.to_mm()));
    let fits = |scale: &f64| around.is_some_and(|around| around.h / scale <= HIGH_MM);
    SCALES.iter().position(fits).unwrap_or(SCALES.len() - 1)
}

/// The smallest scale at which most numbers on a board stand inside their pieces, by its place among all.
fn wanted(facts: &Facts, id: BoardId) -> usize {
    let style = Style::bold(size::LEAST);
    let per_mm = |(number, _): (&Number, _)| {
        let piece = facts.work.pieces.get(number)?;
        let room = 2.0 * facts.outlines.areas.get(&piece.area)?.widest.radius / 1000.0;
        let (w, h) = (facts.faces.width(style, &number.to_string()), style.cap_mm());
        Some(room / (w * w + h * h).sqrt())
    };
    let here = facts.work.layout.iter().filter(|(_, chosen)| chosen.value.board == id);
    let mut fits: Vec<f64> = here.filter_map(per_mm).collect();
    fits.sort_by(f64::total_cmp);
    let least = fits.get(((1.0 - INSIDE) * fits.len() as f64) as usize).copied().unwrap_or(1.0);
    SCALES.iter().rposition(|scale| *scale <= least).unwrap_or(0)
}

fn wood_name<'a>(facts: &'a Facts, wood: &'a WoodId) -> &'a str {
    facts.work.woods.get(wood).map_or(wood.0.as_str(), |wood| wood.name.as_str())
}

fn planing(facts: &Facts) -> Words {
    let words = facts.words;
    let one = |setting: &stock::Setting| {
        let board = |one: &stock::Planed| {
            let name = facts.faces.clean(&facts.work.boards[&one.board].name);
            let ends = |(from, to): (Um, Um)| format!(", part {} to {}", words.bare(from), words.length(to));
            let part = one.part.map_or(String::new(), ends);
            let resaw = if one.resaw { ", thick enough to resaw into two first" } else { "" };
            let short = if one.short { ", short for a planer" } else { "" };
            format!("{name}{part} (now {}{resaw}{short})", words.length(one.from))
        };
        let boards: Vec<String> = setting.boards.iter().map(board).collect();
        (vec![words.length(setting.to)], boards.join("; "))
    };
    let rows = stock::milling(facts.work).iter().map(one).collect();
    Words { heads: vec![("To".into(), Set::Right)], last: "Boards".into(), rows }
}

/// Where boards are cut across before they are planed.
fn crosscuts(facts: &Facts) -> Words {
    let words = facts.words;
    let one = |(id, cuts): (BoardId, Vec<Um>)| {
        let name = format!("{id}. {}", facts.faces.clean(&facts.work.boards[&id].name));
        (vec![name], cuts.into_iter().map(|at| words.length(at)).collect::<Vec<_>>().join("; "))
    };
    let rows = stock::crosscuts(facts.work).into_iter().map(one).collect();
    Words { heads: vec![("Board".into(), Set::Left)], last: "From its left end".into(), rows }
}

/// What is still to be bought, by wood and thickness; a price only where the maker gave one.
fn to_buy(facts: &Facts) -> Words {
    let (words, allowance) = (facts.words, facts.work.choices.laying.allowance);
    let missing = stock::missing(facts.work, &facts.outlines, &mut stock::Bought::default());
    let feet = missing.iter().any(|one| one.board_feet.is_some());
    let priced = missing.iter().any(|one| one.price.is_some());
    let columns = [
        (true, "Wood", Set::Left),
        (true, "Finished", Set::Right),
        (true, "Rough", Set::Right),
        (true, "Boards", Set::Left),
        (feet, "Board ft", Set::Right),
        (true, "Of pieces", Set::Right),
        (true, "To buy", Set::Right),
        (priced, "Price", Set::Right),
    ];
    let head = |name: &str| match name {
        "To buy" => format!("With {allowance} %"),
        other => other.to_owned(),
    };
    let shown = || columns.iter().filter(|(shown, ..)| *shown);
    let row = |one: &Missing| {
        let (count, length, width) = one.boards;
        let cell = |name: &str| match name {
            "Wood" => facts.faces.clean(wood_name(facts, &one.wood)),
            "Finished" => words.length(one.thickness),
            "Rough" => one.rough.as_ref().map_or_else(|| "glued up".to_owned(), |(_, name)| name.clone()),
            "Boards" => format!("{count} of {} × {}", words.bare(length), words.length(width)),
            "Board ft" => one.board_feet.map_or(String::new(), |feet| format!("{feet:.1}")),
            "Of pieces" => words.wide_area(one.net_mm2),
            "To buy" => words.wide_area(one.buy_mm2),
            _ => one.price.map_or(String::new(), |price| format!("{:.2}", price as f64 / 100.0)),
        };
        let numbers: Vec<String> = one.pieces.iter().map(Number::to_string).collect();
        (shown().map(|(_, name, _)| cell(name)).collect(), numbers.join(", "))
    };
    let rows = missing.iter().map(row).collect();
    let heads = shown().map(|(_, name, set)| (head(name), *set)).collect();
    Words { heads, last: "For pieces".into(), rows }
}

/// A board at a scale, by its place among all, or at the next smaller one with which it goes on a page.
fn drawn(facts: &Facts, id: BoardId, body: Rect, scale: usize) -> Option<Drawn> {
    let around = Rect::bounding(facts.work.boards[&id].outline.iter().map(|p| p.to_mm()))?;
    let at = |scale: f64| {
        let stretches = (around.w * scale / body.w).ceil().max(1.0);
        Drawn { id, scale, around, stretch: around.w / stretches, stretches: stretches as usize }
    };
    let room = body.h - LEGEND_MM;
    let fits = |one: &Drawn| one.stretches as f64 <= STRETCHES && tall(one) <= room;
    let least = ((room - ABOVE_MM - BETWEEN_MM - 3.0) / around.h).min(body.w / around.w);
    Some(SCALES[scale..].iter().map(|scale| at(1.0 / scale)).find(fits).unwrap_or_else(|| at(least)))
}

/// Boards in rows, as many abreast as the page has room for.
fn abreast(boards: Vec<Drawn>, body: Rect) -> Vec<Vec<Drawn>> {
    let mut rows: Vec<Vec<Drawn>> = Vec::new();
    for board in boards {
        let used = |row: &Vec<Drawn>| row.iter().map(|one| wide(one) + ASIDE_MM).sum::<f64>();
        match rows.last_mut().filter(|row| used(row) + wide(&board) <= body.w) {
            Some(row) => row.push(board),
            None => rows.push(vec![board]),
        }
    }
    rows
}

/// What a board takes of a page's width.
fn wide(one: &Drawn) -> f64 {
    (one.stretch * one.scale).max(WORDS_MM)
}

/// Rows by page.
pub(super) fn pages(items: &[Item], paper: Paper) -> Vec<Range<usize>> {
    if items.is_empty() {
        return Vec::new();
    }
    let room = Frame::body(paper).h;
    let mut pages: Vec<Range<usize>> = Vec::new();
    while pages.last().map_or(0, |page| page.end) < items.len() {
        let from = pages.last().map_or(0, |page| page.end);
        // A table that goes on repeats its heads.
        let repeated = match &items[from] {
            Item::Row(table, row) if *row > 0 => table.head_mm(),
            _ => 0.0,
        };
        let ranges = flow::pages(&items[from..], room - repeated, high, |item| matches!(item, Item::Head(_)));
        pages.push(from..from + ranges[0].end);
    }
    pages
}

fn high(item: &Item) -> f64 {
    match item {
        Item::Head(_) => 12.0,
        Item::Words(style, _) => style.line_mm(),
        Item::Boards(row) => row.iter().map(tall).fold(0.0, f64::max),
        Item::Row(table, row) => table.row_mm(*row) + if *row == 0 { table.head_mm() } else { 0.0 },
        Item::Space => 1.5,
    }
}

fn tall(one: &Drawn) -> f64 {
    ABOVE_MM + one.stretches as f64 * pitch(one) + 3.0
}

/// From one strip to the next.
fn pitch(one: &Drawn) -> f64 {
    one.around.h * one.scale + BETWEEN_MM + strip_mm(one)
}

/// Room above a strip for what it is.
fn strip_mm(one: &Drawn) -> f64 {
    if one.stretches > 1 { STRIP_MM } else { 0.0 }
}

/// Which strip of its board it is, and where on the board it begins and ends.
fn strip_words(facts: &Facts, one: &Drawn, stretch: usize) -> String {
    let along = |ends: usize| Um::mm(ends as f64 * one.stretch);
    let (from, to) = (facts.words.bare(along(stretch)), facts.words.length(along(stretch + 1)));
    let is = if stretch == 0 { "" } else { ", continued" };
    let goes_on = if stretch + 1 < one.stretches { "; goes on below" } else { "" };
    format!("{}, strip {} of {}{is}: {from} to {to} from the left end{goes_on}", one.id, stretch + 1, one.stretches)
}

/// Draws a page.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper, items: &[Item]) {
    let body = Frame::body(paper);
    let mut y = body.y;
    let is_row = |item: &Item| matches!(item, Item::Row(..));
    for alike in items.chunk_by(|a, b| is_row(a) && is_row(b)) {
        match alike {
            [Item::Row(table, first), ..] => {
                pen.group(Tag::Table, |pen| {
                    pen.group(Tag::TR, |pen| table.heads(pen, (body, y)));
                    y += table.head_mm();
                    for row in *first..*first + alike.len() {
                        pen.group(Tag::TR, |pen| table.row(pen, row, (body, y)));
                        y += table.row_mm(row);
                    }
                });
            }
            others => {
                for item in others {
                    pen.heard(Tag::P, |pen| other(pen, facts, item, (body, y)));
                    y += high(item);
                }
            }
        }
    }
}

/// What is no row of a table.
fn other(pen: &mut Pen, facts: &Facts, item: &Item, (body, y): (Rect, f64)) {
    match item {
        Item::Head(words) => pen.text(Style::bold(size::HEAD), (body.x, y + 8.4), words),
        Item::Words(style, words) => pen.text(*style, (body.x, y + style.line_mm() - 1.0), words),
        Item::Boards(row) => {
            let mut x = body.x;
            for one in row {
                // A board alone in its row has the page's width for its words.
                let w = if row.len() == 1 { body.w } else { wide(one) };
                board(pen, facts, one, (Rect { x, w, ..body }, y));
                x += w + ASIDE_MM;
            }
        }
        Item::Row(..) | Item::Space => {}
    }
}

fn board(pen: &mut Pen, facts: &Facts, one: &Drawn, (body, y): (Rect, f64)) {
    let board = &facts.work.boards[&one.id];
    let words = facts.words;
    let head = format!("{}. {}", one.id, facts.faces.clean(&board.name));
    let parts = stock::parts(facts.work, one.id);
    let plane = match parts.as_slice() {
        [part] => part
            .thickness
            .filter(|to| *to < board.thickness)
            .map_or(String::new(), |to| format!(", plane to {}", words.length(to))),
        parts => {
            let thick = |part: &stock::Part| part.thickness.map_or(String::new(), |to| words.length(to));
            format!(", crosscut, then plane to {}", parts.iter().map(thick).collect::<Vec<_>>().join(" | "))
        }
    };
    let cuts: Vec<f64> = parts.iter().skip(1).map(|part| one.around.x + part.from.to_mm()).collect();
    let says = format!(
        "{}, {} × {} × {}{plane}. Scale {}; grain {}.",
        wood_name(facts, &board.wood),
        words.bare(Um::mm(one.around.w)),
        words.bare(Um::mm(one.around.h)),
        words.length(board.thickness),
        scale_words(one.scale),
        if board.grain.0 == 0 { "to the right".into() } else { format!("{:.0}°", board.grain.to_degrees()) }
    );
    let bold = Style::bold(size::BODY);
    let head = pen.faces.cut(bold, &head, body.w - 2.0 * GRAIN_MM);
    pen.text(bold, (body.x, y + 3.4), &head);
    let (across, down) = grain_way(board.grain);
    let middle = (body.x + pen.faces.width(bold, &head) + GRAIN_MM, y + 2.0);
    let end = |by: f64| (middle.0 + by * GRAIN_MM * across, middle.1 + by * GRAIN_MM * down);
    draw::arrow(pen, end(-0.5), end(0.5));
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    let lines = pen.faces.wrap(soft, &says, body.w);
    pen.text(soft, (body.x, y + 7.2), &lines[0]);
    let rest = pen.faces.cut(soft, &lines[1..].join(" "), body.w);
    pen.text(soft, (body.x, y + 7.2 + soft.line_mm()), &rest);
    for stretch in 0..one.stretches {
        let top = y + ABOVE_MM + stretch as f64 * pitch(one) + strip_mm(one);
        let lens = strip(one, stretch, (body.x, top));
        let window = lens.window;
        let laid = laid(facts, one.id, &lens);
        pen.within(Rect::new(window.x - 0.3, window.y - 0.3, window.w + 0.6, window.h + 0.6), |pen| {
            face(pen, facts, one.id, &lens);
            for cut in &cuts {
                let end = |y: f64| lens.page((*cut, y));
                pen.line(CROSSCUT, end(one.around.y), end(one.around.bottom()));
            }
            laid.iter().for_each(|piece| pen.stroke(ZONE, ring_trail(&piece.finished)));
            laid.iter().for_each(|piece| pen.stroke(weight::SAW, ring_trail(&piece.rings)));
        });
        if one.stretches > 1 {
            pen.text(soft, (window.x, top - 1.4), &strip_words(facts, one, stretch));
            let ends = [(stretch > 0, window.x), (stretch + 1 < one.stretches, window.right())];
            for (_, x) in ends.into_iter().filter(|(goes_on, _)| *goes_on) {
                pen.line(weight::PAPER, (x, window.y - 1.0), (x, window.bottom() + 1.0));
            }
        }
        // Beside it is room up to the next stretch, and where it is shorter than the words above it.
        let bounds = Rect::new(window.x, window.y, body.right() - window.x, window.h + BETWEEN_MM - 0.5);
        numbers(pen, facts, one.id, (&lens, bounds), &laid);
    }
}

/// A strip of a board with its upper left corner at a place of the page.
fn strip(one: &Drawn, stretch: usize, (x, y): Spot) -> Lens {
    let shows = Rect::new(one.around.x + stretch as f64 * one.stretch, one.around.y, one.stretch, one.around.h);
    let window = Rect::new(x, y, one.stretch * one.scale, one.around.h * one.scale);
    Lens { scale: one.scale, ..Lens::tile(window, shows) }
}

/// A piece as it lies on the page.
#[derive(Clone)]
struct Laid {
    number: Number,
    pinned: bool,
    /// What the saw follows: outer ring, then holes.
    rings: Vec<Vec<Spot>>,
    /// Its finished edge, where it has spare wood.
    finished: Vec<Vec<Spot>>,
    widest: Spot,
    /// Radius of the widest circle.
    radius: f64,
    grain: Option<Spot>,
}

impl Laid {
    /// What a strip shows of it and its widest place there; of a piece that has its widest place elsewhere only more than a
    /// hair.
    fn within(&self, window: Rect) -> Option<Laid> {
        let whole = Rect::bounding(self.rings[0].iter().copied()).is_some_and(|around| window.holds(around));
        if whole {
            return Some(self.clone());
        }
        let near = window.inset(-0.01);
        let seen = self.rings.iter().map(|ring| clipped(ring, near));
        let rings: Vec<Vec<Spot>> = seen.filter(|ring| ring.len() > 2).collect();
        let (widest, radius) = Room::new(rings.clone(), window)?.widest();
        // The grid on which the place is sought finds a little less than there is.
        let radius = (1.2 * radius).min(self.radius);
        (radius >= HAIR_MM || window.contains(self.widest)).then(|| Laid { rings, widest, radius, ..self.clone() })
    }
}

/// The pieces of a board that a stretch shows.
fn laid(facts: &Facts, id: BoardId, lens: &Lens) -> Vec<Laid> {
    let work = facts.work;
    let rings = stock::cut_rings(work, &facts.outlines);
    let here = work.layout.iter().filter(|(_, chosen)| chosen.value.board == id);
    let one = |(number, chosen): (&Number, &Chosen<Lie>)| {
        let piece = work.pieces.get(number)?;
        let outline = facts.outlines.areas.get(&piece.area)?;
        let (outer, finished) = (rings.get(number)?, outline.rings.first()?);
        let at = |point: &Point| lens.page(stock::laid_point(outer, *point, &chosen.value).to_mm());
        let whole = |ring: &Vec<Point>| ring.iter().map(at).collect::<Vec<Spot>>();
        let axis = piece.values.grain.map(|grain| grain.value.to_degrees() + f64::from(chosen.value.turn) / 100.0);
        let rings: Vec<Vec<Spot>> = std::iter::once(outer).chain(&outline.rings[1..]).map(whole).collect();
        Rect::bounding(rings[0].iter().copied())?.meets(lens.window).then(|| Laid {
            number: *number,
            pinned: chosen.by == By::Hand,
            rings,
            finished: if outer == finished { Vec::new() } else { vec![whole(finished)] },
            widest: at(&outline.widest.centre),
            radius: outline.widest.radius / 1000.0 * lens.scale,
            grain: axis.map(|axis| grain_way(Axis::degrees(axis))),
        })
    };
    here.filter_map(one).collect()
}

fn ring_trail(rings: &[Vec<Spot>]) -> Trail {
    let mut trail = Trail::default();
    rings.iter().for_each(|ring| trail.ring(ring.iter().copied()));
    trail
}

/// Numbers and grain arrows inside their pieces; a number that finds no room there stands on free wood or beside the board.
fn numbers(pen: &mut Pen, facts: &Facts, id: BoardId, (lens, bounds): (&Lens, Rect), laid: &[Laid]) {
    let board = &facts.work.boards[&id];
    let own: Vec<Laid> = laid.iter().filter_map(|piece| piece.within(lens.window)).collect();
    let name = |piece: &Laid| if piece.pinned { format!("{}*", piece.number) } else { piece.number.to_string() };
    let shown = |piece: &Laid| {
        Some(Shown {
            room: Room::new(piece.rings.clone(), lens.window)?.no_wider(piece.radius),
            widest: piece.widest,
            number: name(piece),
            code: String::new(),
            flag_code: String::new(),
            grain: piece.grain,
        })
    };
    let page = |ring: &Vec<Point>| ring.iter().map(|p| lens.page(p.to_mm())).collect::<Vec<Spot>>();
    let gone = board.used.iter().filter(|used| laid.iter().all(|piece| piece.number != used.piece));
    let taken = board.faults.iter().chain(gone.map(|used| &used.ring)).map(page);
    let mut wood: Vec<Vec<Spot>> = std::iter::once(page(&board.outline)).chain(taken).collect();
    wood.extend(laid.iter().flat_map(|piece| piece.rings.iter().cloned()));
    let sides = |ring: &Vec<Spot>| -> Vec<(Spot, Spot)> {
        ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)).collect()
    };
    let zones: Vec<Vec<Spot>> = board.zones.iter().map(|zone| page(&zone.outline)).collect();
    let borders = wood.iter().chain(&zones).flat_map(sides).collect();
    let ground = Ground { borders, open: vec![wood], panel: lens.window, bounds, keep: Vec::new() };
    let labels = Labels::place(pen.faces, own.iter().filter_map(shown).collect(), &ground);
    draw::labels(pen, &labels);
    let lost = labels.unseated.iter().filter_map(|at| own.get(*at));
    lost.for_each(|piece| {
        let style = Style::bold(size::LEAST);
        let (x, y) = piece.widest;
        pen.text_amid(style, (x, y + style.cap_mm() / 2.0), &name(piece));
    });
}

fn trail<'a>(rings: impl IntoIterator<Item = &'a [Point]>, lens: &Lens) -> Trail {
    let mut trail = Trail::default();
    rings.into_iter().for_each(|ring| trail.ring(ring.iter().map(|p| lens.page(p.to_mm()))));
    trail
}

fn face(pen: &mut Pen, facts: &Facts, id: BoardId, lens: &Lens) {
    let board = &facts.work.boards[&id];
    let colour = facts.woods.iter().find(|wood| wood.id == board.wood).and_then(|wood| wood.colour);
    // Pale, so that black lines and numbers stay readable on every wood.
    let pale = colour.map_or([245; 3], |rgb| rgb.map(|v| (u16::from(v) / 4 + 190).min(255) as u8));
    pen.fill(pale, trail([&board.outline[..]], lens));
    pen.fill([255; 3], trail(board.used.iter().map(|used| used.ring.as_slice()), lens));
    pen.stroke(FAULT_LINE, faults(facts, id, lens));
    pen.stroke(ZONE, trail(board.zones.iter().map(|zone| zone.outline.as_slice()), lens));
    pen.stroke(weight::HATCH, trail(board.used.iter().map(|used| used.ring.as_slice()), lens));
    pen.stroke(weight::EDGE, trail([&board.outline[..]], lens));
}

/// The edges of a board's faults, and their hatch.
fn faults(facts: &Facts, id: BoardId, lens: &Lens) -> Trail {
    let faults = &facts.work.boards[&id].faults;
    let mut lines = trail(faults.iter().map(Vec::as_slice), lens);
    for fault in faults {
        let ring: Vec<Spot> = fault.iter().map(|p| lens.page(p.to_mm())).collect();
        FAULT.iter().for_each(|hatch| hatch.over(std::slice::from_ref(&ring), &mut lines));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::paper;
    use crate::sheets::tests::job;
    use crate::work::{Board, Work};

    /// A board of 2.4 m with a piece over the first cut between its strips, by how far its middle lies beyond it, mm.
    fn over_the_cut(beyond: f64) -> (Work, Arc<crate::pattern::Outlines>) {
        let (mut work, outlines) = job();
        let board = Board::rectangle("long", WoodId("cherry".into()), (Um::mm(2400.0), Um::mm(150.0), Um::mm(20.0)));
        work.boards.insert(BoardId(1), board);
        let lie = Lie { board: BoardId(1), turn: 0, at: Point::new(((800.0 + beyond) * 1000.0) as i32, 75_000) };
        work.layout.insert(Number(5), Chosen::act(lie));
        (work, outlines)
    }

    fn strips_with(beyond: f64) -> Vec<usize> {
        let (work, outlines) = over_the_cut(beyond);
        let facts = Facts::of(&work, outlines);
        let body = Frame::body(paper("a4").expect("a paper"));
        let one = drawn(&facts, BoardId(1), body, low(&facts, BoardId(1))).expect("a board");
        assert_eq!((one.stretches, one.stretch), (3, 800.0));
        let numbered = |stretch: &usize| {
            let lens = strip(&one, *stretch, (body.x, body.y));
            let laid = laid(&facts, BoardId(1), &lens);
            let seen: Vec<Laid> = laid.iter().filter_map(|piece| piece.within(lens.window)).collect();
            let window = lens.window.inset(-0.02);
            assert!(seen.iter().all(|piece| window.contains(piece.widest)), "its number stands on the strip");
            !seen.is_empty()
        };
        (0..one.stretches).filter(numbered).collect()
    }

    #[test]
    fn a_piece_over_the_cut_is_numbered_on_both_strips() {
        assert_eq!(strips_with(8.0), [0, 1]);
        assert_eq!(strips_with(-8.0), [0, 1]);
        assert_eq!(strips_with(18.0), [0, 1], "a narrow bit of it, too");
        assert_eq!(strips_with(100.0), [1]);
        assert_eq!(strips_with(22.5), [1], "a hair is not numbered");
    }

    #[test]
    fn strips_say_which_board_and_where_on_it_they_are() {
        let (work, outlines) = over_the_cut(0.0);
        let facts = Facts::of(&work, outlines);
        let body = Frame::body(paper("a4").expect("a paper"));
        let one = drawn(&facts, BoardId(1), body, low(&facts, BoardId(1))).expect("a board");
        let said: Vec<String> = (0..one.stretches).map(|stretch| strip_words(&facts, &one, stretch)).collect();
        assert_eq!(said[0], "1, strip 1 of 3: 0 to 800 mm from the left end; goes on below");
        assert_eq!(said[1], "1, strip 2 of 3, continued: 800 to 1600 mm from the left end; goes on below");
        assert_eq!(said[2], "1, strip 3 of 3, continued: 1600 to 2400 mm from the left end");
    }

    #[test]
    fn a_fault_is_hatched_both_ways_and_the_legend_says_so() {
        let square = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)].to_vec();
        assert!(
            FAULT[0].way != FAULT[1].way && FAULT.iter().all(|hatch| hatch.count(std::slice::from_ref(&square)) > 10)
        );
        assert!(LEGEND.contains("Hatched both ways is a fault") && !LEGEND.contains("Grey"));
    }
}
