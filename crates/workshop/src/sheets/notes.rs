//! Woods by thickness, and what can hurt.
//!
//! Sources are those of the cautions' own lines; a wood's hazard and protection come from the table of woods with their
//! source. A missing hazard is missing data, not a clean bill, and the sheet says so.

use std::mem::discriminant;
use std::num::NonZeroU16;
use std::ops::Range;

use krilla::tagging::{Tag, TagKind};

use super::facts::{Facts, WoodRow};
use super::flow;
use super::frame::{Frame, SOFT};
use super::letters::{Faces, Style, size};
use super::paper::{Paper, Rect};
use super::pen::{Pen, weight};
use crate::{letters, stock};

/// A line of the notes.
pub(super) enum Note {
    Head(String),
    /// Wood, thickness, pieces, area.
    Sum([String; 4], bool),
    Line(Style, String),
    Space,
}

/// Every line in order, broken to the paper's width.
pub(super) fn notes(facts: &Facts, paper: Paper) -> Vec<Note> {
    let wide = Frame::body(paper).w;
    let mut notes = vec![Note::Head("Woods".into())];
    sums(facts, &mut notes);
    notes.push(Note::Head("How to read the sheets".into()));
    for words in READING {
        caution(&facts.faces, &mut notes, (words, ""), wide);
    }
    for words in letters::in_book(facts.work, &facts.faces.family) {
        caution(&facts.faces, &mut notes, (&words, ""), wide);
    }
    notes.push(Note::Head("Cautions".into()));
    for (words, source) in GENERAL {
        caution(&facts.faces, &mut notes, (words, source), wide);
    }
    let mills = !stock::milling(facts.work).is_empty();
    for (words, source) in MACHINES.iter().filter(|(words, _)| mills || !words.contains("planer")) {
        caution(&facts.faces, &mut notes, (words, source), wide);
    }
    for wood in &facts.woods {
        of_wood(facts, wood, &mut notes, wide);
    }
    notes
}

/// Lines by page.
pub(super) fn pages(notes: &[Note], paper: Paper) -> Vec<Range<usize>> {
    flow::pages(notes, Frame::body(paper).h, high, |note| matches!(note, Note::Head(_)))
}

fn high(note: &Note) -> f64 {
    match note {
        Note::Head(_) => 12.0,
        Note::Sum(..) => 5.4,
        Note::Line(style, _) => style.line_mm(),
        Note::Space => 2.0,
    }
}

fn sums(facts: &Facts, notes: &mut Vec<Note>) {
    let words = facts.words;
    let heads = ["Wood".into(), format!("Thickness, {}", words.unit()), "Pieces".into(), words.area_unit().into()];
    notes.push(Note::Sum(heads, true));
    for wood in &facts.woods {
        for (thickness, (pieces, mm2)) in &wood.by_thickness {
            let name = format!("{}  {}", wood.code, wood.name);
            notes.push(Note::Sum([name, words.or_dash(*thickness), pieces.to_string(), words.area(*mm2)], false));
        }
    }
    let open: Vec<f64> = facts.pieces.iter().filter(|p| p.wood.is_none()).map(|p| p.area_mm2).collect();
    if !open.is_empty() {
        let area = words.area(open.iter().sum());
        notes.push(Note::Sum(["Wood still open".into(), "–".into(), open.len().to_string(), area], false));
    }
    let mm2 = facts.pieces.iter().map(|p| p.area_mm2).sum();
    notes.push(Note::Sum(["Together".into(), String::new(), facts.pieces.len().to_string(), words.area(mm2)], true));
    notes.push(Note::Space);
    notes.push(Note::Line(
        Style::plain(size::SMALL).in_colour(SOFT),
        "Net areas of the pieces on the pattern, without kerf, waste or raisers.".into(),
    ));
}

const READING: [&str; 4] = [
    "Check the printer first: measure the 100 mm or the 4 in bar at the foot of a printed sheet. Only when it is true are \
     the pattern sheets true.",
    "Thin line: saw line. Thick line: edge of the panel. Double line: an open gap between pieces, its width noted, or a \
     slot that ends inside a piece. Thick dashes inside a piece: a burnt line. Close hatch: shadow, where the backer shows. Wide hatch: ground, where nothing is sawn.",
    "In a piece stand its number, below it the code of its wood and its thickness; the arrow is the direction of its grain. \
     Where it has no room the foot of the sheet and the list give it in degrees, counterclockwise from the right. A boxed number belongs to the piece in which its line ends in a dot.",
    "Dashed line: join of two sheets. Cut one sheet along it and lay circle on circle; the tile beyond each edge is named.",
];

/// General cautions, each with whom it is from.
const GENERAL: [(&str, &str); 5] = [
    (
        "Dust of any wood can harm lungs, nose and skin; some woods sensitise, and hardwood dust can cause cancer. Catch it \
         at the machine, wear a fitting dust mask, and keep to the limits of your country.",
        "OSHA, wood dust; NIOSH Pocket Guide; HSE, wood dust (hse.gov.uk/woodworking/wooddust.htm)",
    ),
    (
        "The blade: guard it, keep fingers out of its line, turn slowly, take a narrow blade for sharp turns. Wear eye \
         protection; blades break.",
        "OSHA, jig saw page",
    ),
    (
        "Small pieces: hold them in a jig, not in the fingers, when sanding or sawing. Protect hearing, eyes and lungs.",
        "CCOHS, quoted in Safety+Health magazine",
    ),
    (
        "Rags with oil finish can catch fire by themselves: dry them spread flat, or under water first. Ventilate when you \
         spray glue or finish; keep flames away.",
        "Harvard GSD on oily rags; OSHA 1910.107 on spraying",
    ),
    (
        "Labels and data sheets of glues, finishes, blades and saws, your local rules and licensed practice come before \
         anything written here.",
        "",
    ),
];

/// Cautions of machines that a sheet sends the maker to, each naming the sheet.
const MACHINES: [(&str, &str); 2] = [
    (
        "The sheets “Pattern at true scale”, “Copies” and “Boards” send you to the saw. Rough out long boards before the \
         fine cut, support what overhangs the table, and stop the saw before you clear offcuts.",
        "HSE L114, Safe use of woodworking machinery (2014); OSHA, jig saw page",
    ),
    (
        "The sheet “Boards” sends you to the planer, for resawing to the band saw. Plane one board at a time, \
         never shorter than the machine's manual allows: of a board that is crosscut plane the whole to its thickest part \
         first, saw that off and go on with the rest. Take light cuts, stand out of the line of the board, guards in \
         place. Pieces too small for the machine are sanded or planed by hand in a holder. Use the machine only if you were \
         shown how, and its manual and your local rules come first.",
        "HSE L114, Safe use of woodworking machinery (2014); HSE Woodworking Information Sheet 17",
    ),
];

fn of_wood(facts: &Facts, wood: &WoodRow, notes: &mut Vec<Note>, wide: f64) {
    let name = format!("{} ({})", wood.name, wood.code);
    let hazard = match &wood.hazard {
        Some((what, source)) => (format!("{name}: {what}"), source.clone()),
        None => {
            (format!("{name}: no hazard is on record here. That is missing data, not a clean bill."), String::new())
        }
    };
    caution(&facts.faces, notes, (&hazard.0, &hazard.1), wide);
    if let Some((what, source)) = &wood.protected {
        caution(&facts.faces, notes, (&format!("{name}, trade: {what}"), source), wide);
    }
}

fn caution(faces: &Faces, notes: &mut Vec<Note>, (words, source): (&str, &str), wide: f64) {
    let plain = Style::plain(size::BODY);
    notes.extend(faces.wrap(plain, words, wide).into_iter().map(|line| Note::Line(plain, line)));
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    if !source.is_empty() {
        notes.extend(
            faces.wrap(soft, &format!("Source: {source}"), wide).into_iter().map(|line| Note::Line(soft, line)),
        );
    }
    notes.push(Note::Space);
}

/// Draws a page of notes.
pub(super) fn draw(pen: &mut Pen, paper: Paper, notes: &[Note]) {
    let body = Frame::body(paper);
    let mut y = body.y;
    for alike in notes.chunk_by(|a, b| discriminant(a) == discriminant(b)) {
        let tag = match alike[0] {
            Note::Head(_) => TagKind::from(Tag::Hn(BELOW_THE_SHEET, None)),
            Note::Sum(..) => Tag::Table.into(),
            Note::Line(..) | Note::Space => Tag::P.into(),
        };
        pen.group(tag, |pen| {
            for note in alike {
                y += high(note);
                match note {
                    Note::Head(words) => pen.leaf(|pen| pen.text(Style::bold(size::HEAD), (body.x, y - 3.6), words)),
                    Note::Sum(cells, bold) => pen.group(Tag::TR, |pen| sum(pen, cells, *bold, (body, y))),
                    Note::Line(style, words) => pen.leaf(|pen| pen.text(*style, (body.x, y - 1.0), words)),
                    Note::Space => {}
                }
            }
        });
    }
}

/// The level of a heading below the sheet's own.
pub(super) const BELOW_THE_SHEET: NonZeroU16 = NonZeroU16::new(2).expect("two is not nought");

fn sum(pen: &mut Pen, cells: &[String; 4], bold: bool, (body, y): (Rect, f64)) {
    let style = Style { bold, ..Style::plain(size::BODY) };
    let step = if body.w > 150.0 { 26.0 } else { 19.0 };
    let room = body.w - 2.0 * step - 34.0;
    let name = pen.faces.cut(style, &cells[0], room);
    pen.heard(Tag::TD, |pen| pen.text(style, (body.x, y - 1.6), &name));
    for (at, cell) in cells[1..].iter().enumerate() {
        let right = body.right() - (2 - at) as f64 * step;
        pen.heard(Tag::TD, |pen| pen.text_to(style, (right, y - 1.6), cell));
    }
    pen.line(weight::RULE, (body.x, y), (body.right(), y));
}
