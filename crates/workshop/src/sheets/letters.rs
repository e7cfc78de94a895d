//! Letters: one family in two weights, measured and cleaned before they are drawn.
//!
//! Text is set glyph by glyph from the font's own advances, without kerning or ligatures, so its width is known before
//! it is drawn. Scripts that need shaping are outside the family's coverage: each letter that it lacks is drawn as a box;
//! `crate::letters` tells the maker which those are.

use std::borrow::Cow;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

use crate::letters::{self, Family, MISSING, REGULAR, SEMIBOLD};

/// mm in a point.
pub(super) const PT_MM: f64 = 25.4 / 72.0;

/// Height of capitals and figures over the size, from the font's OS/2 table (1490 of 2048).
pub(super) const CAP: f64 = 0.7275;

/// Type sizes, pt. Few, and none under 7.
pub(super) mod size {
    pub const TITLE: f64 = 24.0;
    pub const HEAD: f64 = 13.0;
    pub const BODY: f64 = 9.0;
    pub const SMALL: f64 = 7.5;
    pub const LEAST: f64 = 7.0;
}

/// Size, weight and colour of a text.
#[derive(Clone, Copy, Debug)]
pub(super) struct Style {
    pub pt: f64,
    pub bold: bool,
    pub colour: [u8; 3],
}

impl Style {
    pub fn plain(pt: f64) -> Style {
        Style { pt, bold: false, colour: [0; 3] }
    }

    pub fn bold(pt: f64) -> Style {
        Style { pt, bold: true, colour: [0; 3] }
    }

    pub fn in_colour(self, colour: [u8; 3]) -> Style {
        Style { colour, ..self }
    }

    /// Height of its capitals, mm.
    pub fn cap_mm(self) -> f64 {
        self.pt * CAP * PT_MM
    }

    /// From one line to the next, mm.
    pub fn line_mm(self) -> f64 {
        self.pt * 1.42 * PT_MM
    }
}

/// The two weights.
pub(super) struct Faces {
    pub family: Family,
    regular: Face,
    bold: Face,
}

struct Face {
    font: Font,
    glyphs: FontRef<'static>,
    per_em: f64,
}

impl Faces {
    pub fn new() -> Faces {
        Faces { family: Family::new(), regular: Face::new(REGULAR), bold: Face::new(SEMIBOLD) }
    }

    fn face(&self, style: Style) -> &Face {
        if style.bold { &self.bold } else { &self.regular }
    }

    /// Width of a clean text, mm.
    pub fn width(&self, style: Style, text: &str) -> f64 {
        let face = self.face(style);
        text.chars().map(|c| face.advance(c)).sum::<f64>() * style.pt * PT_MM
    }

    /// Glyphs for drawing, and their font.
    pub fn glyphs(&self, style: Style, text: &str) -> (Font, Vec<KrillaGlyph>) {
        let face = self.face(style);
        let glyphs = text.char_indices().map(|(at, c)| {
            let range = at..at + c.len_utf8();
            KrillaGlyph::new(GlyphId::new(face.glyph(c).to_u32()), face.advance(c) as f32, 0.0, 0.0, 0.0, range, None)
        });
        (face.font.clone(), glyphs.collect())
    }

    /// Text that can be drawn: control characters dropped, white space made plain.
    pub fn clean(&self, text: &str) -> String {
        letters::clean(text)
    }

    /// Letters of a text that the family lacks.
    pub fn lacking(&self, text: &str) -> Vec<char> {
        self.family.lacking(text)
    }

    /// A clean text with a box for each letter that the family lacks.
    pub fn boxed<'t>(&self, text: &'t str) -> Cow<'t, str> {
        self.family.boxed(text)
    }

    /// The text if it is no wider than `width` mm, else its beginning and an ellipsis.
    pub fn cut(&self, style: Style, text: &str, width: f64) -> String {
        if self.width(style, text) <= width {
            return text.to_owned();
        }
        let mut kept = text.to_owned();
        while kept.pop().is_some() {
            let shown = format!("{}…", kept.trim_end());
            if self.width(style, &shown) <= width {
                return shown;
            }
        }
        String::new()
    }

    /// Breaks a text into lines no wider than `width` mm; a word too wide for a line is cut.
    pub fn wrap(&self, style: Style, text: &str, width: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split(' ') {
            match lines.last_mut() {
                Some(line) if self.width(style, &format!("{line} {word}")) <= width => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(self.cut(style, word, width)),
            }
        }
        lines
    }
}

impl Face {
    fn new(data: &'static [u8]) -> Face {
        let glyphs = FontRef::new(data).expect("the embedded font is whole");
        let font = Font::new(data.into(), 0).expect("the embedded font is whole");
        let per_em = f64::from(font.units_per_em());
        Face { font, glyphs, per_em }
    }

    /// The glyph of a letter, a box where there is none.
    fn glyph(&self, c: char) -> skrifa::GlyphId {
        let charmap = self.glyphs.charmap();
        charmap.map(c).or_else(|| charmap.map(MISSING)).unwrap_or_default()
    }

    /// Advance over the size.
    fn advance(&self, c: char) -> f64 {
        let id = self.glyph(c);
        let metrics = self.glyphs.glyph_metrics(Size::unscaled(), LocationRef::default());
        f64::from(metrics.advance_width(id).unwrap_or_default()) / self.per_em
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_drawn_is_dropped_or_shown() {
        let faces = Faces::new();
        assert_eq!(faces.clean("Reiher\u{7}\n am  Teich\u{202e}"), "Reiher am Teich");
        assert_eq!(
            (faces.clean("Цапля 鷺"), faces.lacking("Цапля 鷺 鷺🐦\u{fe0f}")),
            ("Цапля 鷺".into(), vec!['鷺', '🐦'])
        );
        let box_ = faces.width(Style::bold(9.0), &MISSING.to_string());
        assert!(box_ > 1.0 && faces.width(Style::bold(9.0), "鷺") == box_);
        assert!(
            faces.family.has(MISSING)
                && faces.family.has('–')
                && faces.family.has('…')
                && faces.family.has('×')
                && faces.family.has('²')
                && faces.family.has('\u{2002}')
        );
    }

    #[test]
    fn lines_keep_to_their_width() {
        let faces = Faces::new();
        let style = Style::plain(9.0);
        let lines = faces.wrap(style, &faces.clean("a heron among reeds at dusk, seen over still water"), 30.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| faces.width(style, line) <= 30.0));
        assert!(faces.cut(style, "Untersberger", 10.0).ends_with('…'));
    }

    /// The OS/2 table's sCapHeight, read by skrifa.
    #[test]
    fn capitals_are_as_high_as_the_font_says() {
        let font = FontRef::new(REGULAR).unwrap();
        let metrics = font.metrics(Size::unscaled(), LocationRef::default());
        let cap = f64::from(metrics.cap_height.unwrap()) / f64::from(metrics.units_per_em);
        assert!((cap - CAP).abs() < 1e-3, "{cap}");
    }
}
