//! The list of pieces: by part, then by number, with boxes to tick at the bench.

use std::ops::Range;

use krilla::tagging::{TableHeaderScope, Tag};

use super::draw::grain_degrees;
use super::facts::{Facts, Row};
use super::flow;
use super::frame::{Frame, SOFT};
use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pen::{Pen, weight};
use crate::work::State;

const ROW_MM: f64 = 5.6;
const HEAD_MM: f64 = 10.0;
/// Less room than this cuts most names off: the code alone then stands for the wood.
const NAME_MM: f64 = 22.0;

/// A row of the list.
#[derive(Clone, Copy)]
pub(super) enum Item {
    /// A part begins with this piece.
    Part(usize),
    /// A piece by its place in `Facts::pieces`.
    Piece(usize),
}

/// Every row in order.
pub(super) fn items(facts: &Facts) -> Vec<Item> {
    let mut items = Vec::new();
    for (at, piece) in facts.pieces.iter().enumerate() {
        let begins = at == 0 || facts.pieces[at - 1].part != piece.part;
        if begins && !(at == 0 && piece.part.is_empty()) {
            items.push(Item::Part(at));
        }
        items.push(Item::Piece(at));
    }
    items
}

/// Rows by page.
pub(super) fn pages(items: &[Item], paper: Paper) -> Vec<Range<usize>> {
    let room = Frame::body(paper).h - HEAD_MM;
    flow::pages(items, room, high, |item| matches!(item, Item::Part(_)))
}

fn high(item: &Item) -> f64 {
    match item {
        Item::Part(_) => ROW_MM + 3.0,
        Item::Piece(_) => ROW_MM,
    }
}

/// Places of the columns, from the left, mm.
struct Columns {
    wood: f64,
    /// Right ends of thickness, raiser, height, grain, blade, copy; no blade on narrow paper, where its sheet alone names it.
    figures: Vec<f64>,
    /// Left ends of the boxes.
    boxes: [f64; 3],
}

impl Columns {
    fn over(body: Rect) -> Columns {
        let third = body.right() - 33.0;
        let (step, shown) = if with_blade(body) { (15.0, 6) } else { (12.5, 5) };
        let last = third - 5.0;
        Columns {
            wood: body.x + 13.0,
            figures: (0..shown).rev().map(|steps| last - f64::from(steps) * step).collect(),
            boxes: [third + 2.0, third + 13.0, third + 24.0],
        }
    }
}

/// Whether the paper has room for a column of blades.
fn with_blade(body: Rect) -> bool {
    body.w > 150.0
}

/// The heads of the figures, each with what stands below it.
fn figure_heads(facts: &Facts, body: Rect) -> Vec<(&'static str, &'static str)> {
    let unit = facts.words.unit();
    let blade = with_blade(body).then_some(("Blade", "No."));
    let before = [("Thick", unit), ("Raiser", unit), ("Height", unit), ("Grain", "°")];
    before.into_iter().chain(blade).chain([("Copy", "")]).collect()
}

/// Draws a page of the list.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, paper: Paper, items: &[Item]) {
    let body = Frame::body(paper);
    let columns = Columns::over(body);
    pen.group(Tag::Table, |pen| {
        pen.group(Tag::TR, |pen| heads(pen, facts, body, &columns));
        let mut y = body.y + HEAD_MM;
        for item in items {
            y += high(item);
            pen.group(Tag::TR, |pen| match *item {
                Item::Part(first) => part(pen, facts, first, (body, y)),
                Item::Piece(at) => piece(pen, facts, &facts.pieces[at], (body, &columns, y)),
            });
        }
    });
}

fn heads(pen: &mut Pen, facts: &Facts, body: Rect, columns: &Columns) {
    let style = Style::bold(size::SMALL);
    let soft = Style::plain(size::LEAST).in_colour(SOFT);
    let y = body.y + 4.0;
    let head = || Tag::TH(TableHeaderScope::Column);
    pen.heard(head(), |pen| pen.text(style, (body.x, y), "No."));
    pen.heard(head(), |pen| pen.text(style, (columns.wood, y), "Wood"));
    for (right, (word, unit)) in columns.figures.iter().zip(figure_heads(facts, body)) {
        pen.heard(head(), |pen| {
            pen.text_to(style, (*right, y), word);
            pen.text_to(soft, (*right, y + 3.4), unit);
        });
    }
    for (left, word) in columns.boxes.iter().zip(["Sawn", "Shaped", "Set"]) {
        pen.heard(head(), |pen| pen.text_amid(style, (left + 1.7, y), word));
    }
    pen.line(weight::RULE, (body.x, body.y + HEAD_MM - 1.0), (body.right(), body.y + HEAD_MM - 1.0));
}

fn part(pen: &mut Pen, facts: &Facts, first: usize, (body, y): (Rect, f64)) {
    let name = match facts.pieces[first].part.as_str() {
        "" => "In no part",
        name => name,
    };
    let style = Style::bold(size::BODY);
    let name = pen.faces.cut(style, name, body.w);
    pen.heard(Tag::TH(TableHeaderScope::Row), |pen| pen.text(style, (body.x, y - 1.6), &name));
}

fn piece(pen: &mut Pen, facts: &Facts, piece: &Row, (body, columns, y): (Rect, &Columns, f64)) {
    let (bold, plain) = (Style::bold(size::BODY), Style::plain(size::BODY));
    let base = y - 1.6;
    pen.heard(Tag::TH(TableHeaderScope::Row), |pen| pen.text(bold, (body.x, base), &piece.number.to_string()));
    let room = columns.figures[0] - 12.0 - columns.wood;
    let wood = match facts.wood(piece) {
        Some(wood) if wood.code == wood.name || room < NAME_MM => wood.code.clone(),
        Some(wood) => format!("{}  {}", wood.code, wood.name),
        None => "–".into(),
    };
    let wood = pen.faces.cut(plain, &wood, room);
    pen.heard(Tag::TD, |pen| pen.text(plain, (columns.wood, base), &wood));
    for (right, words) in columns.figures.iter().zip(figures(facts, piece, body)) {
        pen.heard(Tag::TD, |pen| pen.text_to(plain, (*right, base), &words));
    }
    for (left, done) in columns.boxes.iter().zip([State::Cut, State::Shaped, State::Set]) {
        let done = piece.state >= done;
        let told = Tag::TD.with_alt_text(Some(if done { "done" } else { "not yet" }.into()));
        pen.heard(told, |pen| tick(pen, Rect::new(*left, base - 2.9, 3.4, 3.4), done));
    }
    pen.line(weight::RULE, (body.x, y), (body.right(), y));
}

/// Thickness, raiser, height, grain, blade where there is room, copy.
fn figures(facts: &Facts, piece: &Row, body: Rect) -> Vec<String> {
    let words = facts.words;
    let grain = piece.grain.map_or_else(|| "–".into(), grain_degrees);
    let copy = facts.copies.of.get(&piece.number).map_or_else(|| "–".into(), ToString::to_string);
    let sawing = facts.sawing.get(&piece.number);
    let blade = sawing.map_or_else(|| "–".into(), |sawing| facts.faces.clean(&sawing.blade.number));
    let before = [words.or_dash(piece.thickness), words.or_dash(piece.raiser), facts.height(piece), grain];
    before.into_iter().chain(with_blade(body).then_some(blade)).chain([copy]).collect()
}

fn tick(pen: &mut Pen, rect: Rect, done: bool) {
    pen.frame(weight::MARK, rect);
    if done {
        pen.line(weight::BAR, (rect.x + 0.6, rect.y + 1.7), (rect.x + 1.4, rect.bottom() - 0.7));
        pen.line(weight::BAR, (rect.x + 1.4, rect.bottom() - 0.7), (rect.right() - 0.4, rect.y + 0.6));
    }
}
