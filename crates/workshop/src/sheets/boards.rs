//! Boards with what is cut from them, what to plane, and what is still to be bought.
//!
//! A long board is drawn in stretches, one below the other, so that the numbers of the pieces can be read.

use std::ops::Range;
use std::sync::Arc;

use krilla::tagging::Tag;
use measure::length::Um;
use measure::plane::Point;

use super::draw::{Lens, scale_words};
use super::facts::Facts;
use super::flow;
use super::frame::{Frame, SOFT};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pen::{Line, Pen, Trail, weight};
use super::table::{Set, Table, Words};
use crate::stock::{self, Missing};
use crate::work::{BoardId, By, Number, WoodId};

const LEGEND: &str = "Boards are seen on their show face. A number with a star is pinned by hand. Where a piece has spare \
    wood for fitting, its finished edge is dashed. Grey is a fault; white is cut out already.";
/// Scales that are tried, the largest first.
const SCALES: [f64; 6] = [1.0, 0.5, 0.4, 0.25, 0.2, 0.1];
/// A board is drawn no higher than this, mm.
const HIGH_MM: f64 = 70.0;
/// And in no more stretches than this.
const STRETCHES: f64 = 3.0;
/// Between two stretches, mm.
const BETWEEN_MM: f64 = 4.0;
/// Between boards abreast, mm.
const ASIDE_MM: f64 = 6.0;
/// Words above a board, and the least width for them, mm: three boards abreast on A4 and Letter.
const ABOVE_MM: f64 = 12.6;
const WORDS_MM: f64 = 58.0;
/// Paler than any wood's name: what cannot be used.
const FAULT: [u8; 3] = [190; 3];
/// Edges of zones, and the finished edge of a piece that has spare wood.
const ZONE: Line = Line { pt: 0.4, colour: [110; 3], dash: &[1.5, 1.0] };

/// A row of these pages.
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
    let drawn = begun.filter_map(|id| drawn(facts, *id, body)).collect();
    items.extend(abreast(drawn, body).into_iter().map(Item::Boards));
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
    table("To plane, one setting after the other", planing(facts));
    table("To buy", to_buy(facts));
    items
}

fn wood_name<'a>(facts: &'a Facts, wood: &'a WoodId) -> &'a str {
    facts.work.woods.get(wood).map_or(wood.0.as_str(), |wood| wood.name.as_str())
}

fn planing(facts: &Facts) -> Words {
    let words = facts.words;
    let one = |setting: &stock::Setting| {
        let board = |(id, from, resaw): &(BoardId, Um, bool)| {
            let name = facts.faces.clean(&facts.work.boards[id].name);
            let resaw = if *resaw { ", thick enough to resaw into two first" } else { "" };
            format!("{name} (now {}{resaw})", words.length(*from))
        };
        let boards: Vec<String> = setting.boards.iter().map(board).collect();
        (vec![words.length(setting.to)], boards.join("; "))
    };
    let rows = stock::milling(facts.work).iter().map(one).collect();
    Words { heads: vec![("To".into(), Set::Right)], last: "Boards".into(), rows }
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

fn drawn(facts: &Facts, id: BoardId, body: Rect) -> Option<Drawn> {
    let around = Rect::bounding(facts.work.boards[&id].outline.iter().map(|p| p.to_mm()))?;
    let fits = |scale: &&f64| around.h * **scale <= HIGH_MM && around.w * **scale <= STRETCHES * body.w;
    let least = (HIGH_MM / around.h).min(STRETCHES * body.w / around.w);
    let scale = SCALES.iter().find(fits).copied().unwrap_or(least);
    let stretches = (around.w * scale / body.w).ceil().max(1.0);
    Some(Drawn { id, scale, around, stretch: around.w / stretches, stretches: stretches as usize })
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
    ABOVE_MM + one.stretches as f64 * (one.around.h * one.scale + BETWEEN_MM) + 3.0
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
    let carried = stock::carried(facts.work, one.id).filter(|to| *to < board.thickness);
    let plane = carried.map_or(String::new(), |to| format!(", plane to {}", words.length(to)));
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
    let head = pen.faces.cut(bold, &head, body.w);
    pen.text(bold, (body.x, y + 3.4), &head);
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    let lines = pen.faces.wrap(soft, &says, body.w);
    pen.text(soft, (body.x, y + 7.2), &lines[0]);
    let rest = pen.faces.cut(soft, &lines[1..].join(" "), body.w);
    pen.text(soft, (body.x, y + 7.2 + soft.line_mm()), &rest);
    for stretch in 0..one.stretches {
        let top = y + ABOVE_MM + stretch as f64 * (one.around.h * one.scale + BETWEEN_MM);
        let shows = Rect::new(one.around.x + stretch as f64 * one.stretch, one.around.y, one.stretch, one.around.h);
        let window = Rect::new(body.x, top, one.stretch * one.scale, one.around.h * one.scale);
        let lens = Lens::tile(window, shows);
        let lens = Lens { scale: one.scale, ..lens };
        pen.within(Rect::new(window.x - 0.3, window.y - 0.3, window.w + 0.6, window.h + 0.6), |pen| {
            face(pen, facts, one.id, &lens);
        });
    }
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
    pen.fill(FAULT, trail(board.faults.iter().map(Vec::as_slice), lens));
    pen.fill([255; 3], trail(board.used.iter().map(|used| used.ring.as_slice()), lens));
    pen.stroke(ZONE, trail(board.zones.iter().map(|zone| zone.outline.as_slice()), lens));
    pen.stroke(weight::HATCH, trail(board.used.iter().map(|used| used.ring.as_slice()), lens));
    pen.stroke(weight::EDGE, trail([&board.outline[..]], lens));
    let rings = stock::cut_rings(facts.work, &facts.outlines);
    for (number, chosen) in facts.work.layout.iter().filter(|(_, chosen)| chosen.value.board == id) {
        let Some(outline) = facts.work.pieces.get(number).and_then(|piece| facts.outlines.areas.get(&piece.area))
        else {
            continue;
        };
        let (Some(outer), Some(finished)) = (rings.get(number), outline.rings.first()) else { continue };
        let ring = stock::laid(outer, &chosen.value);
        let at = |point: &Point| stock::laid_point(outer, *point, &chosen.value);
        if outer != finished {
            pen.stroke(ZONE, trail([&finished.iter().map(at).collect::<Vec<_>>()[..]], lens));
        }
        let holes: Vec<Vec<Point>> = outline.rings[1..].iter().map(|hole| hole.iter().map(at).collect()).collect();
        pen.stroke(weight::SAW, trail(holes.iter().map(Vec::as_slice).chain([&ring[..]]), lens));
        let name = if chosen.by == By::Hand { format!("{number}*") } else { number.to_string() };
        named(
            pen,
            (&name, outline.widest.radius / 1000.0 * lens.scale),
            lens.page(stock::laid_point(outer, outline.widest.centre, &chosen.value).to_mm()),
        );
    }
}

fn named(pen: &mut Pen, (name, radius): (&str, f64), (x, y): Spot) {
    let mut style = Style::bold(size::BODY);
    while style.pt > size::LEAST && pen.faces.width(style, name) > 1.8 * radius {
        style.pt -= 0.5;
    }
    pen.text_amid(style, (x, y + style.cap_mm() / 2.0), name);
}
