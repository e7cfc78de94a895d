//! A job and its findings in words.

use crate::out::say;
use measure::length::Um;
use workshop::Derived;
use workshop::work::{Becomes, Finding, Grave, InkChoice, Strength, Unit, Work, runs};

/// mm² in a square inch.
const SQUARE_INCH_MM2: f64 = measure::length::MM_PER_INCH * measure::length::MM_PER_INCH;

/// A length in the job's unit.
pub fn show(length: Um, unit: Unit) -> String {
    match unit {
        Unit::Mm => measure::length::mm_text(length),
        Unit::Inch => measure::length::inch_text(length),
    }
}

/// A kerf or another small length in the job's unit: thousandths of an inch where 64ths miss it.
pub fn fine(length: Um, unit: Unit) -> String {
    match unit {
        Unit::Mm => measure::length::mm_text(length),
        Unit::Inch => measure::length::fine_inch_text(length),
    }
}

/// A face of boards in the job's unit.
pub fn face(mm2: f64, unit: Unit) -> String {
    match unit {
        Unit::Mm => format!("{:.3} m²", mm2 / 1e6),
        Unit::Inch => format!("{:.2} sq ft", mm2 / (SQUARE_INCH_MM2 * 144.0)),
    }
}

/// "1 piece", "2 pieces".
pub fn pieces(count: usize) -> String {
    counted(count, "piece")
}

/// So many of what has a plain plural.
pub fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Says what a job is.
pub fn say_job(work: &Work, derived: &mut Derived) {
    let unit = work.choices.unit;
    let title = if work.choices.title.is_empty() { "Untitled" } else { &work.choices.title };
    say!("{title}, {} × {}", show(work.panel.width, unit), show(work.panel.height, unit));
    say_pieces(work);
    say_woods(work);
    say_heights(work);
    say_limits(work);
    say_relations(work);
    let findings = workshop::check(work, derived);
    say!("Findings: {}", tally(&findings));
}

fn say_relations(work: &Work) {
    if !work.relations.is_empty() {
        say!("Said of heights:");
    }
    for (id, one) in &work.relations {
        let must = if one.strength == Strength::Must { "must: " } else { "" };
        say!("  {id}: {must}{}", workshop::relief::in_words(work, &one.says, one.strength));
    }
    for (whom, depth) in &work.marks {
        say!("  {} is marked {}", workshop::relief::named(work, *whom), workshop::relief::deep(*depth));
    }
}

fn say_pieces(work: &Work) {
    let shadows = work.pattern.areas.values().filter(|area| area.becomes == Becomes::Shadow).count();
    let ground = work.pattern.areas.values().filter(|area| area.becomes == Becomes::Ground).count();
    let areas = if shadows == 1 { "area" } else { "areas" };
    say!("{}, {shadows} {areas} of shadow, {ground} of ground", pieces(work.pieces.len()));
    for part in work.parts.values() {
        say!("  part \"{}\": {} of its own", part.name, pieces(part.pieces.len()));
    }
}

fn say_woods(work: &Work) {
    say!("Woods, of {} at most:", work.choices.woods_most);
    for wood in work.woods.values() {
        let count = chosen(work, |piece| piece.values.wood.as_ref().is_some_and(|chosen| chosen.value == wood.id));
        if count > 0 {
            let origin = if wood.measured { "" } else { ", colour not measured" };
            say!("  {:<4} {}, {}{origin}", wood.code, wood.name, pieces(count));
        }
    }
    let open = chosen(work, |piece| piece.values.wood.is_none());
    if open > 0 {
        say!("  undecided: {}", pieces(open));
    }
}

fn chosen(work: &Work, is: impl Fn(&workshop::work::Piece) -> bool) -> usize {
    work.pieces.values().filter(|piece| is(piece)).count()
}

fn say_heights(work: &Work) {
    let heights = || work.pieces.values().filter_map(|piece| piece.values.height.as_ref().map(|height| height.value));
    if let (Some(lowest), Some(highest)) = (heights().min(), heights().max()) {
        let unit = work.choices.unit;
        say!("Heights: {} to {} above the backer", show(lowest, unit), show(highest, unit));
    }
    let open = chosen(work, |piece| piece.values.height.is_none());
    if open > 0 {
        say!("Heights undecided: {}", pieces(open));
    }
}

fn say_limits(work: &Work) {
    let (stock, unit) = (&work.choices.stock, work.choices.unit);
    let list = |lengths: &[Um]| lengths.iter().map(|&each| show(each, unit)).collect::<Vec<_>>().join(", ");
    say!("Stock: {}; raisers {}", list(&stock.thicknesses), list(&stock.raisers));
    say!(
        "Limits: least width {}, least area {}, readable step {}, heights {} to {}",
        show(stock.least_width, unit),
        area(stock.least_area_mm2, unit),
        show(stock.readable_step, unit),
        show(stock.lowest, unit),
        show(stock.highest, unit)
    );
}

/// A small area in the job's unit.
fn area(mm2: u32, unit: Unit) -> String {
    match unit {
        Unit::Mm => format!("{mm2} mm²"),
        Unit::Inch => {
            format!("{:.3} sq in", f64::from(mm2) / SQUARE_INCH_MM2)
        }
    }
}

fn tally(findings: &[Finding]) -> String {
    let count = |grave| findings.iter().filter(|finding| finding.grave == grave).count();
    let (grave, doubt, note) = (count(Grave::Grave), count(Grave::Doubt), count(Grave::Note));
    format!("{grave} grave, {doubt} to look at, {note} good to know")
}

/// Says findings, gravest first.
pub fn say_findings(findings: &[Finding]) {
    findings.iter().for_each(say_finding);
    say!("{}", tally(findings));
}

/// A finding's own words name up to so many pieces.
const NAMED: usize = 2;

/// One finding with what can be done.
pub fn say_finding(finding: &Finding) {
    say!("{}: {}. {}", heading(finding.grave), finding.kind.words(), finding.why);
    if finding.spot.pieces.len() > NAMED {
        let mut pieces = finding.spot.pieces.clone();
        pieces.sort_unstable();
        say!("    Pieces {}", runs(pieces));
    }
    for way in &finding.ways {
        say!("    - {}", way.says);
    }
}

/// Under this share of the pieces that were asked their number is told as too low: "about" leaves so much room.
const FEWER: f64 = 0.8;

/// Says so where a pattern drawn from a picture has clearly fewer pieces than were asked, with `more`, what gives more.
pub fn say_fewer(work: &Work, more: &str) {
    let trace = &work.choices.trace;
    let thinned = trace.places.iter().any(|place| place.percent < 100);
    if thinned || work.pieces.len() as f64 >= FEWER * f64::from(trace.pieces) {
        return;
    }
    let (stock, unit) = (&work.choices.stock, work.choices.unit);
    let lines = match trace.ink {
        InkChoice::Leave => "",
        InkChoice::Alone => ", and each area that lines close is one piece; --ink close parts it by its colours too",
        InkChoice::Close | InkChoice::Open => ", and lines of ink part it; --ink leave lets colours alone part it",
    };
    say!(
        "Fewer pieces than the {} that were asked: the picture has no more areas that are at least {} wide and {} large{lines}. {more}.",
        trace.pieces,
        show(stock.least_width, unit),
        area(stock.least_area_mm2, unit)
    );
}

fn heading(grave: Grave) -> &'static str {
    match grave {
        Grave::Grave => "GRAVE",
        Grave::Doubt => "Look at",
        Grave::Note => "Good to know",
    }
}
