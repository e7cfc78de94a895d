//! Which letters the book's font has. Texts of the maker may hold others: they print as boxes, and the maker is told before.
//!
//! Coverage is what the charmaps of both weights hold (OpenType, `cmap`). A script that needs shaping beyond single letters is
//! not in them.

use std::borrow::Cow;

use skrifa::{FontRef, MetadataProvider};

use crate::work::{Finding, Grave, Kind, Spot, Way, Work};

/// The two weights of the family (Inter, SIL Open Font License).
pub(crate) static REGULAR: &[u8] = include_bytes!("../../../data/fonts/Inter-Regular.ttf");
pub(crate) static SEMIBOLD: &[u8] = include_bytes!("../../../data/fonts/Inter-SemiBold.ttf");

/// Drawn for a letter that the family lacks.
pub(crate) const MISSING: char = '□';

/// The coverage of the family.
pub(crate) struct Family([FontRef<'static>; 2]);

impl Family {
    pub fn new() -> Family {
        Family([REGULAR, SEMIBOLD].map(|bytes| FontRef::new(bytes).expect("the embedded font is whole")))
    }

    /// Whether both weights have a letter.
    pub fn has(&self, c: char) -> bool {
        self.0.iter().all(|face| face.charmap().map(c).is_some())
    }

    /// Letters of a text that the family lacks, each once, as they come.
    pub fn lacking(&self, text: &str) -> Vec<char> {
        let mut lacking = Vec::new();
        for c in clean(text).chars().filter(|c| !self.has(*c)) {
            if !lacking.contains(&c) {
                lacking.push(c);
            }
        }
        lacking
    }

    /// A clean text with a box for each letter that the family lacks.
    pub fn boxed<'t>(&self, text: &'t str) -> Cow<'t, str> {
        if text.is_ascii() || text.chars().all(|c| self.has(c)) {
            return text.into();
        }
        text.chars().map(|c| if self.has(c) { c } else { MISSING }).collect()
    }
}

/// Text that can be drawn: control characters dropped, white space made plain.
pub(crate) fn clean(text: &str) -> String {
    let kept = text.chars().filter_map(|c| match c {
        c if c.is_whitespace() => Some(' '),
        c if c.is_control() || invisible(c) => None,
        c => Some(c),
    });
    kept.collect::<String>().split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Marks that steer direction, join letters or choose their look: they show nothing, and could turn a title around.
fn invisible(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ad}')
}

/// So many letters are named in a sentence.
const NAMED: usize = 8;

/// A text of the job that stands in the book.
struct Text<'a> {
    /// What it is, in the maker's words.
    what: String,
    /// The same for the same text, whatever it says.
    key: String,
    says: &'a str,
    spot: Spot,
}

/// What a check finds of texts.
pub fn findings(work: &Work) -> Vec<Finding> {
    let texts: Vec<Text> = texts(work).into_iter().filter(|text| !text.says.is_ascii()).collect();
    if texts.is_empty() {
        return Vec::new();
    }
    let family = Family::new();
    texts.iter().filter_map(|text| finding(&family, text)).collect()
}

/// The same for the book itself, which cannot show those letters: by their Unicode numbers.
pub(crate) fn in_book(work: &Work, family: &Family) -> Vec<String> {
    let one = |text: Text| {
        let lacking = family.lacking(text.says);
        let named: Vec<String> = lacking.iter().take(NAMED).map(|c| format!("U+{:04X}", *c as u32)).collect();
        let more = if lacking.len() > NAMED { " and others" } else { "" };
        (!lacking.is_empty()).then(|| {
            format!(
                "{}: {MISSING} stands for letters that the book's font lacks, {}{more}.",
                text.what,
                named.join(", ")
            )
        })
    };
    texts(work).into_iter().filter_map(one).collect()
}

fn finding(family: &Family, text: &Text) -> Option<Finding> {
    let lacking = family.lacking(text.says);
    let first = lacking.first()?;
    let why = match lacking.len() {
        1 => format!(
            "{} holds a letter that the pattern book's font lacks: {first}. It prints as a box, {MISSING}.",
            text.what
        ),
        many => {
            let named: Vec<String> = lacking.iter().take(NAMED).map(char::to_string).collect();
            let more = if many > NAMED { format!(" and {} more", many - NAMED) } else { String::new() };
            format!(
                "{} holds letters that the pattern book's font lacks: {}{more}. They print as boxes, {MISSING}.",
                text.what,
                named.join(" ")
            )
        }
    };
    Some(Finding {
        kind: Kind::NoLetters,
        grave: Grave::Doubt,
        spot: text.spot.clone(),
        why,
        ways: vec![Way::advice(
            "Write it, or its reading, in Latin, Greek or Cyrillic letters; the book's properties, the SVG and the cut list \
             keep every letter.",
        )],
        key: format!("no-letters-{}", text.key),
    })
}

fn texts(work: &Work) -> Vec<Text<'_>> {
    let mut texts = vec![text("The title".into(), "title".into(), &work.choices.title)];
    if let Some(picture) = &work.picture {
        let said = [("author", &picture.author), ("source", &picture.source), ("permission", &picture.permission)];
        texts.extend(said.map(|(what, says)| text(format!("What is said of the picture's {what}"), what.into(), says)));
    }
    for (id, part) in &work.parts {
        let spot = Spot::pieces(part.pieces.iter().copied());
        texts
            .push(Text {
                spot, ..text(format!("The name of part “{}”", part.name), format!("part-{id}"), &part.name)
            });
    }
    for (id, wood) in &work.woods {
        let spot = || Spot { woods: vec![id.clone()], ..Spot::default() };
        let (name, code) = (format!("The name of wood “{}”", wood.name), format!("The code of wood “{}”", wood.name));
        texts.push(Text { spot: spot(), ..text(name, format!("wood-{id}"), &wood.name) });
        texts.push(Text { spot: spot(), ..text(code, format!("code-{id}"), &wood.code) });
    }
    for (id, board) in &work.boards {
        let spot = Spot { boards: vec![*id], ..Spot::default() };
        texts.push(Text {
            spot,
            ..text(format!("The name of board “{}”", board.name), format!("board-{id}"), &board.name)
        });
    }
    texts
}

fn text(what: String, key: String, says: &str) -> Text<'_> {
    Text { what, key, says, spot: Spot::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::work::{Part, PartId};

    /// Coverage: Inter's charmap holds Latin, Greek and Cyrillic; Han, Arabic and emoji it does not.
    #[test]
    fn what_prints_as_boxes_is_told_with_its_letters() {
        let mut work = Work::default();
        work.choices.title = "Héron, Цапля, Ερωδιός".into();
        assert!(findings(&work).is_empty());
        work.choices.title = "Heron 白鷺".into();
        let name = "طائر".into();
        work.parts.insert(PartId(1), Part { name, pieces: Default::default(), within: None });
        let found = findings(&work);
        assert_eq!(found.len(), 2);
        assert!(found[0].why.starts_with("The title holds letters") && found[0].why.contains("白 鷺"));
        assert!(found[1].why.contains("part “طائر”"));
        let told = in_book(&work, &Family::new());
        assert!(told.len() == 2 && told[0].contains("U+767D, U+9DFA"));
    }
}
