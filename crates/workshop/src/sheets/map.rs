//! Maps: the whole pattern on one page, each piece's number once; by wood, by height, by part.
//!
//! Tint, hatch and words say the same: a map copied in grey loses nothing. Heights are gathered into at most `BANDS` even
//! bands; the height itself stands under the number where it fits.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::cover::{code_width, hatch_line, hatched};
use super::draw::{Drawing, Lens, Placed, labels, scale_words};
use super::facts::{Facts, Row};
use super::finder;
use super::frame::{Frame, SOFT};
use super::hatch::Hatch;
use super::letters::{Style, size};
use super::paper::{Paper, Rect};
use super::pen::{Line, Pen, Rgb, Trail, weight};
use crate::work::{AreaId, Border, Side};

/// White around the panel, where flags may stand.
const RIM_MM: f64 = 12.0;
/// From one row of the key to the next.
const KEY_ROW_MM: f64 = 6.2;
/// A column of the key is at least and at most this wide.
const KEY_COLUMN_MM: (f64, f64) = (45.0, 80.0);
/// Lines of the note over a key that stands beside the work.
const NOTE_LINES: usize = 14;
/// Steps of height told apart by tint and hatch.
const BANDS: usize = 6;
/// Borders between parts.
const PART: Line = Line { pt: 1.6, colour: [0; 3], dash: &[] };

/// What a map tells apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Theme {
    Woods,
    Heights,
    Parts,
}

/// A line of the key.
struct Key {
    colour: Rgb,
    hatches: Vec<Hatch>,
    code: String,
    name: String,
}

/// A map laid out.
pub(super) struct Map {
    pub theme: Theme,
    pub paper: Paper,
    pub lens: Lens,
    /// Where the key stands.
    key: Rect,
    pub placed: Placed,
    /// Tint and hatch of each piece, in the order of `Facts::pieces`.
    dresses: Vec<(Rgb, Vec<Hatch>)>,
}

/// The paper turned the way that shows the panel larger; upright when even.
pub(super) fn turned(panel: (f64, f64), paper: Paper) -> Paper {
    let scale = |paper: Paper| {
        let body = Frame::body(paper);
        ((body.w - 2.0 * RIM_MM) / panel.0).min((body.h - 20.0 - 2.0 * RIM_MM) / panel.1)
    };
    if scale(paper.turned()) > scale(paper) * 1.05 { paper.turned() } else { paper }
}

impl Theme {
    /// Its sheet's name.
    pub fn name(self) -> &'static str {
        match self {
            Theme::Woods => "Map of woods",
            Theme::Heights => "Map of heights",
            Theme::Parts => "Map of parts",
        }
    }

    /// Maps that have something to tell.
    pub fn of(facts: &Facts) -> Vec<Theme> {
        let heights = facts.pieces.iter().any(|piece| piece.height.is_some());
        let parts = facts.pieces.iter().any(|piece| !piece.part.is_empty());
        let all = [(Theme::Woods, true), (Theme::Heights, heights), (Theme::Parts, parts)];
        all.into_iter().filter(|(_, told)| *told).map(|(theme, _)| theme).collect()
    }

    fn code(self, facts: &Facts, (parts, piece): (&[&str], &Row)) -> String {
        match self {
            Theme::Woods => facts.code(piece).to_owned(),
            Theme::Heights => facts.height(piece),
            Theme::Parts => part_of(parts, piece).map_or_else(|| "–".into(), part_code),
        }
    }

    /// Each piece's tint and hatch.
    fn dresses(self, facts: &Facts) -> Vec<(Rgb, Vec<Hatch>)> {
        let (parts, reach) = (parts(facts), reach(facts));
        let none = || ([255; 3], Vec::new());
        let dress = |piece: &Row| match self {
            Theme::Woods => (
                tint(facts.wood(piece).and_then(|w| w.colour)),
                facts.wood(piece).map_or(Vec::new(), |w| hatch_of(w.place)),
            ),
            Theme::Heights => piece.height.map_or_else(none, |height| band_dress(band(reach, height.to_mm()))),
            Theme::Parts => part_of(&parts, piece).map_or_else(none, |part| ([244; 3], hatch_of(part))),
        };
        facts.pieces.iter().map(dress).collect()
    }

    fn keys(self, facts: &Facts) -> Vec<Key> {
        match self {
            Theme::Woods => (facts.woods.iter())
                .map(|wood| Key {
                    colour: wood.colour.unwrap_or([255; 3]),
                    hatches: hatch_of(wood.place),
                    code: wood.code.clone(),
                    name: wood.name.clone(),
                })
                .collect(),
            Theme::Heights => bands(facts),
            Theme::Parts => (parts(facts).iter().enumerate())
                .map(|(at, part)| Key {
                    colour: [244; 3],
                    hatches: hatch_of(at),
                    code: part_code(at),
                    name: (*part).to_owned(),
                })
                .collect(),
        }
    }

    fn note(self) -> &'static str {
        match self {
            Theme::Woods => "Colours are lightened; hatch and code name the wood too.",
            Theme::Heights => {
                "The higher, the lighter and the wider hatched; under a number its height over the backer."
            }
            Theme::Parts => "Hatch and letter name the part; thick lines part them.",
        }
    }
}

/// Parts that hold pieces, by name.
fn parts<'a>(facts: &'a Facts) -> Vec<&'a str> {
    let mut names: Vec<&str> = facts.pieces.iter().map(|p| p.part.as_str()).filter(|name| !name.is_empty()).collect();
    names.sort_unstable();
    names.dedup();
    names
}

fn part_of(parts: &[&str], piece: &Row) -> Option<usize> {
    parts.binary_search(&piece.part.as_str()).ok()
}

/// `a` to `z`, then `aa`.
pub(super) fn part_code(at: usize) -> String {
    let letter = |at: usize| char::from(b'a' + (at % 26) as u8);
    if at < 26 { letter(at).to_string() } else { format!("{}{}", part_code(at / 26 - 1), letter(at)) }
}

/// Lowest and highest top, mm.
fn reach(facts: &Facts) -> (f64, f64) {
    let tops = facts.pieces.iter().filter_map(|piece| piece.height).map(|height| height.to_mm());
    tops.fold((f64::MAX, f64::MIN), |(low, high), top| (low.min(top), high.max(top)))
}

fn band((low, high): (f64, f64), top: f64) -> usize {
    (((top - low) / (high - low).max(1e-9) * BANDS as f64) as usize).min(BANDS - 1)
}

fn band_dress(band: usize) -> (Rgb, Vec<Hatch>) {
    let grey = 165 + (band * 88 / (BANDS - 1)) as u8;
    let hatch = (band + 1 < BANDS).then_some(Hatch { way: (1.0, 0.0), apart: 1.3 + 0.9 * band as f64 });
    ([grey; 3], hatch.into_iter().collect())
}

/// Bands that hold pieces, highest first, with the least and the greatest height found in each.
fn bands(facts: &Facts) -> Vec<Key> {
    let height = |piece: &Row| facts.words.height([piece.thickness, piece.raiser, piece.height]);
    let tops: Vec<_> = facts.pieces.iter().filter_map(height).collect();
    let reach = reach(facts);
    let key = |at: usize| {
        let inside = || tops.iter().copied().filter(|top| band(reach, top.to_mm()) == at);
        let (low, high) = (inside().min()?, inside().max()?);
        let (colour, hatches) = band_dress(at);
        let name = match low == high {
            true => facts.words.length(low),
            false => format!("{} to {}", facts.words.bare(low), facts.words.length(high)),
        };
        Some(Key { colour, hatches, code: format!("{}", inside().count()), name })
    };
    (0..BANDS).rev().filter_map(key).collect()
}

/// The wood's colour mixed with white, so that black words read on every wood; white while undecided.
fn tint(colour: Option<Rgb>) -> Rgb {
    colour.unwrap_or([255; 3]).map(|channel| (f64::from(channel) * 0.45 + 255.0 * 0.55).round() as u8)
}

/// A hatch for each wood or part: a direction, a spacing, and from the ninth on a second direction across.
pub(super) fn hatch_of(at: usize) -> Vec<Hatch> {
    let way = |quarter: usize| {
        let (s, c) = libm::sincos(quarter as f64 * std::f64::consts::FRAC_PI_4);
        (c, -s)
    };
    let apart = [1.9, 3.4][at / 4 % 2];
    let mut hatches = vec![Hatch { way: way(at % 4 + 1), apart }];
    if at / 8 % 2 == 1 {
        hatches.push(Hatch { way: way(at % 4 + 3), apart });
    }
    hatches
}

/// Where the work and its key stand, for all maps alike.
struct Layout {
    paper: Paper,
    lens: Lens,
    key: Rect,
}

impl Layout {
    /// Of upright and lying paper with the key below or beside, that which shows the work largest; the earlier while the gain
    /// is small.
    fn of(facts: &Facts, paper: Paper, themes: &[Theme]) -> Layout {
        let papers = [paper, paper.turned()];
        let ways = papers.into_iter().flat_map(|paper| [(paper, false), (paper, true)]);
        let mut found: Option<Layout> = None;
        for layout in ways.filter_map(|(paper, beside)| Layout::laid(facts, themes, (paper, beside))) {
            if found.as_ref().is_none_or(|best| layout.lens.scale > best.lens.scale * 1.05) {
                found = Some(layout);
            }
        }
        found.expect("the key goes below on any paper")
    }

    fn laid(facts: &Facts, themes: &[Theme], (paper, beside): (Paper, bool)) -> Option<Layout> {
        let body = Frame::body(paper);
        let wide = column_wide(facts, themes);
        let rows = themes.iter().map(|theme| theme.keys(facts).len()).max().unwrap_or(0);
        let note = Style::plain(size::SMALL).line_mm();
        if beside {
            let high = note * NOTE_LINES as f64 + rows as f64 * KEY_ROW_MM;
            let work = Rect { w: body.w - wide - KEY_GAP_MM, ..body };
            let key = Rect::new(body.right() - wide, body.y + RIM_MM / 2.0, wide, body.h - RIM_MM / 2.0);
            let lens = Lens::whole(facts.panel, work, RIM_MM);
            return (high <= key.h && work.w > wide).then_some(Layout { paper, lens, key });
        }
        let columns = ((body.w / wide) as usize).max(1);
        let most = Rect { h: body.h - 10.0 - rows.div_ceil(columns) as f64 * KEY_ROW_MM, ..body };
        let scale = Lens::whole(facts.panel, most, RIM_MM).scale;
        // The key follows the work: no white between that the eye must cross.
        let space = Rect { h: most.h.min(facts.panel.1 * scale + 2.0 * RIM_MM), ..most };
        let key = Rect::new(body.x, space.bottom(), body.w, body.bottom() - space.bottom());
        Some(Layout { paper, lens: Lens::whole(facts.panel, space, RIM_MM), key })
    }
}

/// White between the work and a key beside it.
const KEY_GAP_MM: f64 = 4.0;

/// Wide enough for the longest name of any key.
fn column_wide(facts: &Facts, themes: &[Theme]) -> f64 {
    let plain = Style::plain(size::BODY);
    let names = themes.iter().flat_map(|theme| theme.keys(facts)).map(|key| facts.faces.width(plain, &key.name));
    let longest = names.fold(0.0, f64::max);
    (11.0 + code_width(facts) + longest + 3.5).clamp(KEY_COLUMN_MM.0, KEY_COLUMN_MM.1)
}

impl Map {
    /// Lays maps out: numbers, flags and insets stand at the same places on each.
    pub fn all(facts: &Facts, paper: Paper, themes: &[Theme]) -> Vec<Map> {
        let Some(&first) = themes.first() else { return Vec::new() };
        let parts = parts(facts);
        let code = |theme: Theme, piece: &Row| theme.code(facts, (&parts, piece));
        let plain = Style::plain(size::SMALL);
        let widest = |piece: &Row| {
            let codes = themes.iter().map(|&theme| code(theme, piece));
            codes.max_by(|a, b| facts.faces.width(plain, a).total_cmp(&facts.faces.width(plain, b)))
        };
        let Layout { paper, lens, key } = Layout::of(facts, paper, themes);
        let drawing = Drawing { facts, lens, words: lens.window };
        let placed = drawing.placed(|piece| widest(piece).or_else(|| Some(code(first, piece))), false, Vec::new());
        let map = |&theme: &Theme| {
            let placed = placed.recoded(facts, |piece| code(theme, piece));
            Map { theme, paper, lens, key, placed, dresses: theme.dresses(facts) }
        };
        themes.par_iter().map(map).collect()
    }

    pub fn drawing<'a>(&self, facts: &'a Facts<'a>) -> Drawing<'a> {
        Drawing { facts, lens: self.lens, words: self.lens.window }
    }

    /// Draws the map and its key.
    pub fn draw(&self, pen: &mut Pen, facts: &Facts) {
        let drawing = self.drawing(facts);
        self.base(pen, &drawing, &[]);
        self.placed.frames(pen);
        let tints: BTreeMap<AreaId, Rgb> =
            facts.pieces.iter().zip(&self.dresses).map(|(piece, dress)| (piece.area, dress.0)).collect();
        for (at, rect) in &self.placed.labels.seated {
            // Hatching stops short of words: they must read at arm's length.
            pen.block(tints[&self.placed.areas[*at]], rect.inset(-0.3));
        }
        labels(pen, &self.placed.labels);
        if !self.placed.insets.is_empty() {
            finder::ticks(pen, self.lens.window.inset(1.6));
        }
        key(pen, facts, self);
    }

    /// Letters and figures along the edge and what the grey corners are, for a sheet that shows the map's numbers without its
    /// key.
    pub fn explain_insets(&self, pen: &mut Pen) {
        if self.placed.insets.is_empty() {
            return;
        }
        finder::ticks(pen, self.lens.window.inset(1.6));
        let soft = Style::plain(size::SMALL).in_colour(SOFT);
        for (at, line) in pen.faces.wrap(soft, IN_INSETS, self.key.w).iter().enumerate() {
            pen.text(soft, (self.key.x, self.key.y + 3.0 + at as f64 * soft.line_mm()), line);
        }
    }

    /// The map without words; hatching leaves `covered` free.
    pub fn base(&self, pen: &mut Pen, drawing: &Drawing, covered: &[Rect]) {
        let mut hatching = Trail::default();
        for (piece, (colour, hatches)) in drawing.facts.pieces.iter().zip(&self.dresses) {
            let Some(rings) = drawing.seen(piece.area) else { continue };
            if *colour != [255; 3] {
                let mut trail = Trail::default();
                rings.iter().for_each(|ring| trail.ring(ring.iter().copied()));
                pen.fill(*colour, trail);
            }
            hatches.iter().for_each(|hatch| hatch.over(&rings, &mut hatching));
        }
        pen.stroke(hatch_line([255; 3]), hatching);
        covered.iter().for_each(|rect| pen.block([255; 3], rect.inset(-0.3)));
        drawing.open_areas(pen);
        drawing.borders(pen);
        if self.theme == Theme::Parts {
            let part = |side: Side| side.area().and_then(|area| drawing.facts.piece(area)).map(|piece| &piece.part);
            let parts =
                |border: &Border| matches!((part(border.left), part(border.right)), (Some(a), Some(b)) if a != b);
            drawing.borders_in(pen, |border| parts(border).then_some(PART));
        }
    }
}

const IN_INSETS: &str = "Grey corners: shown larger on the pages “Insets of the maps”, each by its letter and figure.";

fn key(pen: &mut Pen, facts: &Facts, map: &Map) {
    let soft = Style::plain(size::SMALL).in_colour(SOFT);
    let insets = if map.placed.insets.is_empty() { "" } else { IN_INSETS };
    let note = format!(
        "Scale {}. Do not measure here. {} Close hatch without a number: shadow; wide: ground. {insets}",
        scale_words(map.lens.scale),
        map.theme.note()
    );
    let space = map.key;
    let lines = pen.faces.wrap(soft, &note, space.w);
    let below = space.w > 2.0 * KEY_COLUMN_MM.1;
    let most = if below { 2 } else { NOTE_LINES - 1 };
    for (at, line) in lines.iter().take(most).enumerate() {
        pen.text(soft, (space.x, space.y + 3.0 + at as f64 * soft.line_mm()), line);
    }
    let after_note = 9.5_f64.max(lines.len().min(most) as f64 * soft.line_mm() + 1.5);
    let columns = ((space.w / column_wide(facts, &[map.theme])) as usize).max(1);
    let wide = space.w / columns as f64;
    let after_code = 11.0 + code_width(facts);
    for (at, row) in map.theme.keys(facts).into_iter().enumerate() {
        let x = space.x + (at % columns) as f64 * wide;
        let y = space.y + after_note + (at / columns) as f64 * KEY_ROW_MM;
        let rect = Rect::new(x, y, 9.0, 4.6);
        pen.block(row.colour, rect);
        hatched(pen, &row.hatches, row.colour, &[rect.corners().to_vec()]);
        pen.frame(weight::MARK, rect);
        // The count of pieces of a height is no code: it stands lighter, so that it is not taken for a number.
        let style = if map.theme == Theme::Heights { Style::plain(size::BODY) } else { Style::bold(size::BODY) };
        let code = if map.theme == Theme::Heights { format!("{} ×", row.code) } else { row.code };
        pen.text(style, (x + 11.0, y + 3.6), &code);
        let name = pen.faces.cut(Style::plain(size::BODY), &row.name, wide - after_code - 3.0);
        pen.text(Style::plain(size::BODY), (x + after_code, y + 3.6), &name);
    }
}
