//! `spelk sheets`: the pattern book, the pattern and the cut list.

use std::io::{IsTerminal, stderr, stdin};
use std::path::{Path, PathBuf};

use workshop::Derived;
use workshop::sheets::{self, Kind, Sheet, Wanted};
use workshop::work::{Number, Refusal, Work};

use measure::length::Um;

use crate::args::{Sheets, length};
use crate::commands::read;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;
use crate::progress::watched;

pub fn run(typed: &Sheets) -> Result<Outcome, Failure> {
    let wanted = wanted(typed)?;
    let (job, mut derived) = read(&typed.job)?;
    let pages = sheets::pages_at_least(job.work(), &wanted);
    let wanted = agreed(wanted, pages)?;
    for path in write_book(job.work(), &mut derived, &wanted, &typed.out)? {
        say!("{}", path.display());
    }
    for finding in workshop::letters::findings(job.work()) {
        eprintln!("{}: {}", finding.kind.words(), finding.why);
        finding.ways.iter().for_each(|way| eprintln!("    - {}", way.says));
    }
    Ok(Outcome::Done)
}

fn wanted(typed: &Sheets) -> Result<Wanted, Failure> {
    let kinds = typed.only.iter().flat_map(|list| list.split(',')).map(Kind::named);
    Ok(Wanted {
        only: kinds.collect::<Result<_, Refusal>>()?,
        part: typed.part.clone(),
        piece: typed.piece.map(Number),
        sections: typed.section.iter().map(|line| section(line)).collect::<Result<_, Failure>>()?,
        many: typed.yes,
        ..Wanted::book(sheets::paper(&typed.paper)?)
    })
}

/// Asks at a terminal whether so many pages are meant; elsewhere nobody can answer, and the book is refused as it stands.
fn agreed(wanted: Wanted, pages: usize) -> Result<Wanted, Failure> {
    if pages <= sheets::MOST_PAGES || wanted.many || !stdin().is_terminal() || !stderr().is_terminal() {
        return Ok(wanted);
    }
    eprint!("The book would have {pages} pages or more. Write it? [y/N] ");
    let mut answer = String::new();
    stdin().read_line(&mut answer).map_err(|error| Failure::Typed(format!("No answer could be read: {error}")))?;
    let many = ["y", "yes"].contains(&answer.trim().to_lowercase().as_str());
    Ok(Wanted { many, ..wanted })
}

/// A place along a side of the panel: a length, or nought in any unit.
fn place(typed: &str) -> Result<Um, Failure> {
    let figures = typed.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == ' ');
    if figures.parse() == Ok(0.0) { Ok(Um(0)) } else { length(typed) }
}

/// Four places, parted by commas.
fn section(typed: &str) -> Result<[Um; 4], Failure> {
    let places: Vec<Um> = typed.split(',').map(|each| place(each.trim())).collect::<Result<_, Failure>>()?;
    let what = format!("--section {typed} names no line; give four lengths, as in 0mm,150mm,420mm,80mm");
    places.try_into().map_err(|_| Failure::Typed(what))
}

/// Makes every sheet, then writes them: a stop or a refusal leaves the folder as it was.
pub fn write_book(work: &Work, derived: &mut Derived, wanted: &Wanted, out: &Path) -> Result<Vec<PathBuf>, Failure> {
    let sheets = watched(|watch| -> Result<Vec<Sheet>, Refusal> { sheets::book(work, derived, wanted, watch) })?;
    files::folder(out)?;
    sheets.iter().map(|sheet| write_one(out, sheet)).collect()
}

fn write_one(out: &Path, sheet: &Sheet) -> Result<PathBuf, Failure> {
    let path = out.join(&sheet.name);
    files::write(&path, &sheet.bytes)?;
    Ok(path)
}
