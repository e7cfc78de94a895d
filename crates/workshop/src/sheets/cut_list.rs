//! The cut list as CSV (RFC 4180: comma, CRLF, quotes where needed; UTF-8), lengths in the job's unit.

use measure::length::Um;

use super::facts::{Facts, Row};
use super::words::trimmed;
use crate::work::{State, Unit};

/// Writes the list, by part, then by number.
pub(super) fn csv(facts: &Facts) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let unit = facts.words.unit();
    let heads = [
        "number".to_owned(),
        "part".into(),
        "wood code".into(),
        "wood".into(),
        format!("thickness ({unit})"),
        format!("raiser ({unit})"),
        format!("height ({unit})"),
        "grain (degrees counterclockwise from right)".into(),
        format!("area ({})", facts.words.area_unit()),
        "state".into(),
        "copy".into(),
        "blade".into(),
        "why this blade".into(),
        format!("tightest bend, radius ({unit})"),
        "start holes".into(),
        format!("drill for start holes ({unit})"),
    ];
    let expect = "memory takes every row";
    writer.write_record(&heads).expect(expect);
    facts.pieces.iter().for_each(|piece| writer.write_record(row(facts, piece)).expect(expect));
    writer.into_inner().expect(expect)
}

fn row(facts: &Facts, piece: &Row) -> [String; 16] {
    let wood = facts.wood(piece);
    let sawing = facts.sawing.get(&piece.number);
    let drilled = sawing.filter(|sawing| sawing.holes > 0);
    let length = |value| figure(facts, value);
    [
        piece.number.to_string(),
        guarded(&piece.part),
        wood.map_or_else(String::new, |wood| guarded(&wood.code)),
        wood.map_or_else(String::new, |wood| guarded(&wood.name)),
        length(piece.thickness),
        length(piece.raiser),
        length(piece.height),
        piece.grain.map_or_else(String::new, |axis| trimmed(axis.to_degrees(), 2)),
        facts.words.area(piece.area_mm2),
        state(piece.state).into(),
        facts.copies.of.get(&piece.number).map_or_else(String::new, ToString::to_string),
        sawing.map_or_else(String::new, |sawing| guarded(&sawing.blade.number)),
        sawing.map_or_else(String::new, |sawing| sawing.why.clone()),
        length(sawing.and_then(|sawing| sawing.bend)),
        drilled.map_or_else(String::new, |sawing| sawing.holes.to_string()),
        length(drilled.map(|sawing| sawing.blade.hole())),
    ]
}

/// A decimal that a spreadsheet takes for a number; empty while undecided.
fn figure(facts: &Facts, length: Option<Um>) -> String {
    length.map_or_else(String::new, |length| match facts.work.choices.unit {
        Unit::Mm => trimmed(length.to_mm(), 3),
        Unit::Inch => trimmed(length.to_inches(), 4),
    })
}

fn state(state: State) -> &'static str {
    match state {
        State::Planned => "planned",
        State::Cut => "cut",
        State::Shaped => "shaped",
        State::Set => "set",
    }
}

/// A leading apostrophe keeps a spreadsheet from taking a text for a formula.
fn guarded(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::guarded;

    #[test]
    fn no_text_is_a_formula() {
        assert_eq!(guarded("=1+1"), "'=1+1");
        assert_eq!(guarded("@wing"), "'@wing");
        assert_eq!(guarded("near wing"), "near wing");
    }
}
