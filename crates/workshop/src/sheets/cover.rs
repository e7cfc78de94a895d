//! The cover: title, view, size, woods, what lies on which page, and whose the picture is.

use krilla::image::Image;
use krilla::tagging::Tag;

use super::facts::{Facts, WoodRow};
use super::frame::{Frame, SOFT};
use super::hatch::Hatch;
use super::impose;
use super::letters::{Style, size};
use super::map::hatch_of;
use super::notes::BELOW_THE_SHEET;
use super::paper::{Paper, Rect, Spot};
use super::pen::{Line, Pen, Rgb, Trail, weight};
use super::picture::jpeg;
use crate::derived::Derived;
use crate::letters::MISSING;
use crate::saw;
use crate::view::{self, Pose};
use crate::work::Work;
use measure::Watch;

/// A line of the page index: sheet, and the page that it begins on.
pub(super) type Entry = (String, usize);

/// Dots an inch of the view: at arm's length the eye tells no finer ones apart, and they cost time as the square.
const VIEW_DPI: f64 = 150.0;
/// The most pixels across, whatever the paper.
const MOST_PIXELS: f64 = 2000.0;

/// The view as large as the cover shows it.
pub(super) fn view(work: &Work, derived: &mut Derived, paper: Paper, watch: Watch) -> Option<Image> {
    let shown = within(view_space(Frame::body(paper), 0.0), work.panel.width.to_mm(), work.panel.height.to_mm());
    let width = (shown.w / 25.4 * VIEW_DPI).clamp(64.0, MOST_PIXELS) as u32;
    let lit = view::render(work, derived, Pose { width, ..Pose::default() }, watch)?;
    Some(jpeg(&lit.pixels, lit.width, lit.height))
}

/// Most of the page's height that the view takes.
const VIEW_SHARE: f64 = 0.46;
/// The least height of the view: smaller shows nothing.
const LEAST_VIEW_MM: f64 = 30.0;

fn view_space(body: Rect, y: f64) -> Rect {
    Rect::new(body.x, y, body.w, body.h * VIEW_SHARE)
}

/// Lines of the page index: as far apart as reads well, closer where the paper is small.
const PITCH_MM: f64 = 5.0;
const LEAST_PITCH_MM: f64 = 3.6;
/// As far apart as the view leaves them room for.
const LEFT_PITCH_MM: f64 = 4.5;
/// What the heading of the index and the picture's papers take below the view.
const PAPERS_MM: f64 = 36.0;

/// Draws the cover of a book on this paper.
pub(super) fn draw(pen: &mut Pen, facts: &Facts, sheet: Paper, (lit, index): (Option<&Image>, &[Entry])) {
    let field = impose::field(sheet);
    let body = Frame::body(field);
    let mut y = title(pen, facts, (body, field != sheet));
    if let Some(lit) = lit {
        let (w, h) = lit.size();
        let below = index.len() as f64 * LEFT_PITCH_MM + PAPERS_MM;
        let most = view_space(body, y);
        let left = (body.bottom() - y - below).max(LEAST_VIEW_MM);
        let shown = within(Rect { h: most.h.min(left), ..most }, f64::from(w), f64::from(h));
        let told = "The relief as it would look, lit from the side.".to_owned();
        pen.heard(Tag::Figure(Some(told)), |pen| pen.image(lit.clone(), shown));
        y = shown.bottom() + 7.0;
    }
    let half = (body.w - 8.0) / 2.0;
    let left = Rect::new(body.x, y, half, body.bottom() - y);
    let right = Rect::new(body.x + half + 8.0, y, half, body.bottom() - y);
    let below = [contents(pen, index, left), woods(pen, facts, right)];
    let left_over = [(left, below[0]), (right, below[1])]
        .map(|(column, y)| Rect::new(column.x, y + 3.0, column.w, column.bottom() - y - 3.0));
    credit(pen, facts, left_over);
}

fn title(pen: &mut Pen, facts: &Facts, (body, shared): (Rect, bool)) -> f64 {
    let style = Style::bold(size::TITLE);
    let lines = pen.faces.wrap(style, &facts.title, body.w);
    let mut y = body.y + 3.0;
    pen.heard(Tag::Title, |pen| {
        for line in lines.iter().take(2) {
            y += style.line_mm();
            pen.text(style, (body.x, y), line);
        }
    });
    let panel = facts.work.panel;
    let size_words = format!("{} × {}", facts.words.bare(panel.width), facts.words.length(panel.height));
    let woods = facts.woods.len();
    let words = format!(
        "{size_words}   ·   {} {}   ·   {woods} {}",
        facts.pieces.len(),
        if facts.pieces.len() == 1 { "piece" } else { "pieces" },
        if woods == 1 { "wood" } else { "woods" }
    );
    y += 8.0;
    pen.heard(Tag::P, |pen| pen.text(Style::plain(11.0), (body.x, y), &words));
    let boxed = !pen.faces.lacking(&facts.title).is_empty();
    let boxed = boxed.then(|| format!("{MISSING} {BOXED}"));
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    let shared = shared.then(|| SHARED.to_owned());
    for words in hours(facts).into_iter().chain(boxed).chain(shared) {
        pen.heard(Tag::P, |pen| {
            for line in pen.faces.wrap(soft, &words, body.w) {
                y += 5.0;
                pen.text(soft, (body.x, y), &line);
            }
        });
    }
    y + 6.0
}

const BOXED: &str = "stands for a letter that this book's font lacks. The whole title is in the file's properties; the sheet \
    “Woods and cautions” names the letters.";

const SHARED: &str =
    "Several pages share a sheet: cut them apart along the dashed lines. What needs the whole sheet has its own.";

/// The hours at the saw, as far as thicknesses are decided.
fn hours(facts: &Facts) -> Option<String> {
    let plan = &facts.sawing;
    let known: Vec<f64> = plan.values().filter_map(|sawing| sawing.minutes).collect();
    let joints = saw::joints(facts.work, &facts.outlines, plan);
    let all = saw::hours(facts.work, plan, &joints);
    let rates = if facts.work.choices.saw.rates.is_empty() { "rates from memory" } else { "your rates" };
    let of = match known.len() {
        0 => return None,
        all if all == plan.len() => String::new(),
        some => format!(" for {some} of {} pieces", plan.len()),
    };
    Some(format!(
        "About {:.1} hours at the saw{of} by {rates}, {:.1} with starts, drilling, handling, fitting and gluing; shaping \
         comes on top.",
        all.sawing / 60.0,
        all.all() / 60.0
    ))
}

/// The largest rectangle of this shape at the upper left of `space`, in its middle across.
pub(super) fn within(space: Rect, across: f64, down: f64) -> Rect {
    let scale = (space.w / across).min(space.h / down);
    let (w, h) = (across * scale, down * scale);
    Rect::new(space.x + (space.w - w) / 2.0, space.y, w, h)
}

fn head(pen: &mut Pen, words: &str, at: Spot, wide: f64) -> f64 {
    pen.heard(Tag::Hn(BELOW_THE_SHEET, None), |pen| pen.text(Style::bold(size::BODY), at, words));
    pen.line(weight::RULE, (at.0, at.1 + 1.6), (at.0 + wide, at.1 + 1.6));
    at.1 + 1.6
}

fn contents(pen: &mut Pen, index: &[Entry], space: Rect) -> f64 {
    let style = Style::plain(size::BODY);
    let mut y = head(pen, "Sheets", (space.x, space.y + 3.0), space.w);
    let pitch = (space.h - PAPERS_MM) / index.len().max(1) as f64;
    pen.group(Tag::TOC, |pen| {
        for (sheet, page) in index {
            y += pitch.clamp(LEAST_PITCH_MM, PITCH_MM);
            pen.heard(Tag::TOCI, |pen| {
                // Ends with a space, or the page's number would be heard as part of the name.
                pen.text(style, (space.x, y), &format!("{sheet} "));
                pen.text_to(style, (space.right(), y), &page.to_string());
            });
        }
    });
    y
}

/// Whose the picture is: below the index, or below the woods where only that column takes all of it; cut with an ellipsis
/// where none does.
fn credit(pen: &mut Pen, facts: &Facts, [left, right]: [Rect; 2]) {
    let Some(picture) = &facts.work.picture else { return };
    let style = Style::plain(size::SMALL).in_colour(SOFT);
    let facts_of = [("By", &picture.author), ("From", &picture.source), ("Used by permission", &picture.permission)];
    let said = facts_of.map(|(label, value)| {
        let value = pen.faces.clean(value);
        if value.is_empty() { format!("{label}: not said") } else { format!("{label}: {value}") }
    });
    let wrapped: Vec<Vec<String>> = said.iter().map(|words| pen.faces.wrap(style, words, left.w)).collect();
    let lines: usize = wrapped.iter().map(Vec::len).sum();
    let fits = |space: Rect| ((space.h - CREDIT_HEAD_MM) / style.line_mm()).max(0.0) as usize;
    let space = if fits(left) < lines && fits(right) > fits(left) { right } else { left };
    let mut room = fits(space);
    let mut y = head(pen, "Picture", (space.x, space.y + 4.0), space.w) + 1.2;
    for paragraph in wrapped {
        let shown = room.min(paragraph.len());
        let cut = shown < paragraph.len();
        pen.heard(Tag::P, |pen| {
            for (at, line) in paragraph.iter().take(shown).enumerate() {
                y += style.line_mm();
                let line = if cut && at + 1 == shown {
                    pen.faces.cut(style, &format!("{line} {}", paragraph[shown..].join(" ")), space.w)
                } else {
                    line.clone()
                };
                pen.text(style, (space.x, y), &line);
            }
        });
        room -= shown;
    }
}

/// The head of the picture's papers.
const CREDIT_HEAD_MM: f64 = 7.0;

/// Codes, swatches and names; what does not fit is said to be on the sheet of woods.
fn woods(pen: &mut Pen, facts: &Facts, space: Rect) -> f64 {
    let mut y = head(pen, "Woods", (space.x, space.y + 3.0), space.w) + 2.0;
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    pen.heard(Tag::P, |pen| pen.text_to(soft, (space.right(), space.y + 3.0), "pieces"));
    let fits = (((space.bottom() - y) / 6.4) as usize).max(1);
    let shown = if facts.woods.len() > fits { fits - 1 } else { facts.woods.len() };
    for wood in facts.woods.iter().take(shown) {
        swatch(pen, wood, Rect::new(space.x, y, 9.0, 4.8));
        pen.heard(Tag::P, |pen| wood_line(pen, facts, wood, (space, y + 3.7)));
        y += 6.4;
    }
    if shown < facts.woods.len() {
        let words = format!("and {} more: see the sheet “Woods”", facts.woods.len() - shown);
        pen.text(soft, (space.x, y + 3.7), &words);
        y += 6.4;
    }
    y
}

/// Code, name and number of pieces of a wood.
fn wood_line(pen: &mut Pen, facts: &Facts, wood: &WoodRow, (space, y): (Rect, f64)) {
    pen.text(Style::bold(size::BODY), (space.x + 11.0, y), &format!("{} ", wood.code));
    let x = space.x + 11.0 + code_width(facts);
    let count = wood.pieces.to_string();
    let style = Style::plain(size::BODY);
    let room = space.right() - x - pen.faces.width(style, &count) - 2.0;
    let name = pen.faces.cut(style, &wood.name, room);
    pen.text(style, (x, y), &format!("{name} "));
    pen.text_to(style, (space.right(), y), &count);
}

/// Width of the widest code and a gap after it.
pub(super) fn code_width(facts: &Facts) -> f64 {
    let style = Style::bold(size::BODY);
    facts.woods.iter().map(|wood| facts.faces.width(style, &wood.code)).fold(0.0, f64::max) + 3.0
}

/// A wood's colour and hatch in a box.
fn swatch(pen: &mut Pen, wood: &WoodRow, rect: Rect) {
    let colour = wood.colour.unwrap_or([255; 3]);
    pen.block(colour, rect);
    hatched(pen, &hatch_of(wood.place), colour, &[rect.corners().to_vec()]);
    pen.frame(weight::MARK, rect);
}

/// Hatches rings in a grey that stands out from `colour`.
pub(super) fn hatched(pen: &mut Pen, hatches: &[Hatch], colour: Rgb, rings: &[Vec<Spot>]) {
    let line = hatch_line(colour);
    let mut trail = Trail::default();
    hatches.iter().for_each(|hatch| hatch.over(rings, &mut trail));
    pen.stroke(line, trail);
}

/// A line of hatching that stands out from `colour`.
pub(super) fn hatch_line(colour: Rgb) -> Line {
    Line { pt: 0.3, colour: against(colour), dash: &[] }
}

/// Dark on light, light on dark, by Rec. 709 weights over encoded values: close enough for a hatch.
fn against([r, g, b]: Rgb) -> Rgb {
    let light = 0.2126 * f64::from(r) + 0.7152 * f64::from(g) + 0.0722 * f64::from(b);
    if light < 110.0 { [215; 3] } else { [80; 3] }
}
