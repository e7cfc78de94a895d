//! The document type of an SVG: what it declares is read as far as nothing in the file can grow by it.
//!
//! XML 1.0 (W3C), section 2.8. A type that declares no entities says nothing of the lines. Entities that stand for a few plain words,
//! as drawing programs name their namespaces, are let stand; any that hold others or mark-up, or that would make the drawing too
//! large, are not.

use std::borrow::Cow;

/// So many entities are looked for in a drawing at most.
const ENTITIES_MOST: usize = 64;

/// A text whose document type is looked at.
pub(super) enum Typed<'a> {
    /// It has none to read: blanks stand in the place of one without entities, so that places in the text stay.
    Plain(Cow<'a, str>),
    /// Its entities stand for plain words.
    Words(&'a str),
    /// Its entities stand for more, or for too much.
    Growing,
    /// It does not end.
    Endless,
}

/// Looks at the document type of a text that may grow to so many bytes.
pub(super) fn typed(text: &str, most: usize) -> Typed<'_> {
    let after = |at: usize, end: &str| text[at..].find(end).map(|found| at + found + end.len());
    let mut at = 0;
    loop {
        at += text[at..].len() - text[at..].trim_start().len();
        let passed = match &text[at..] {
            rest if rest.starts_with("<?") => after(at, "?>"),
            rest if rest.starts_with("<!--") => after(at, "-->"),
            rest if rest.starts_with("<!DOCTYPE") => break,
            _ => None,
        };
        let Some(passed) = passed else { return Typed::Plain(text.into()) };
        at = passed;
    }
    let Some((length, entities)) = declared(&text[at..]) else { return Typed::Endless };
    if entities.is_empty() {
        let end = at + length;
        let blank: String = text[at..end].chars().map(|c| if c == '\n' { '\n' } else { ' ' }).collect();
        return Typed::Plain([&text[..at], &blank, &text[end..]].concat().into());
    }
    if grown(text, &entities).is_some_and(|size| size <= most) { Typed::Words(text) } else { Typed::Growing }
}

/// How long the document type is that a text begins with, and its declarations of entities; `None` when it does not end.
fn declared(text: &str) -> Option<(usize, Vec<&str>)> {
    let (mut at, mut inside, mut entities) = ("<!DOCTYPE".len(), false, Vec::new());
    loop {
        let rest = &text[at..];
        let next = rest.chars().next()?;
        at += match next {
            '"' | '\'' => rest[1..].find(next)? + 2,
            '<' if rest.starts_with("<!--") => rest.find("-->")? + 3,
            '<' if rest.starts_with("<?") => rest.find("?>")? + 2,
            '<' if inside => {
                let length = declaration(rest)?;
                entities.extend(rest[..length].strip_prefix("<!ENTITY"));
                length
            }
            '>' if !inside => return Some((at + 1, entities)),
            '[' | ']' => {
                inside = next == '[';
                1
            }
            _ => next.len_utf8(),
        }
    }
}

/// How long the declaration is that a text begins with.
fn declaration(text: &str) -> Option<usize> {
    let mut quote = None;
    text.bytes()
        .position(|byte| {
            match quote {
                None if matches!(byte, b'"' | b'\'') => quote = Some(byte),
                Some(open) if open == byte => quote = None,
                _ => {}
            }
            quote.is_none() && byte == b'>'
        })
        .map(|end| end + 1)
}

/// How large a text is with what its entities stand for; `None` when that is more than words.
fn grown(text: &str, entities: &[&str]) -> Option<usize> {
    if entities.len() > ENTITIES_MOST {
        return None;
    }
    entities.iter().try_fold(text.len(), |size, entity| {
        let quote = entity.find(['"', '\''])?;
        let (name, value) = (entity[..quote].trim(), &entity[quote + 1..]);
        let value = &value[..value.find(&entity[quote..=quote])?];
        let plain = !value.contains(['&', '<', '%']) && name.split_whitespace().count() == 1;
        plain.then(|| size + value.len() * text.matches(&format!("&{name};")).count())
    })
}
