//! `spelk sheets`: the pattern book, the pattern and the cut list.

use std::path::{Path, PathBuf};

use workshop::Derived;
use workshop::sheets::{self, Kind, Sheet, Wanted};
use workshop::work::{Number, Refusal, Work};

use crate::args::Sheets;
use crate::commands::read;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;
use crate::progress::watched;

pub fn run(typed: &Sheets) -> Result<Outcome, Failure> {
    let wanted = wanted(typed)?;
    let (job, mut derived) = read(&typed.job)?;
    for path in write_book(job.work(), &mut derived, &wanted, &typed.out)? {
        say!("{}", path.display());
    }
    Ok(Outcome::Done)
}

fn wanted(typed: &Sheets) -> Result<Wanted, Failure> {
    let kinds = typed.only.iter().flat_map(|list| list.split(',')).map(Kind::named);
    Ok(Wanted {
        only: kinds.collect::<Result<_, Refusal>>()?,
        part: typed.part.clone(),
        piece: typed.piece.map(Number),
        many: typed.yes,
        ..Wanted::book(sheets::paper(&typed.paper)?)
    })
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
