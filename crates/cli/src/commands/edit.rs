//! `spelk edit`: applies edits, all or none.

use job::Job;
use workshop::work::edit::Edit;

use crate::args;
use crate::commands::parse_json;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;

pub fn run(typed: &args::Edit) -> Result<Outcome, Failure> {
    let text = files::read_edits(&typed.edits)?;
    let edits: Vec<Edit> = parse_json(&text, &typed.edits, "list of edits")?;
    if edits.is_empty() {
        return Err(Failure::Typed(format!("{} holds no edit; nothing was changed", typed.edits.display())));
    }
    let mut job = Job::open(&typed.job)?;
    let changes = job.apply(&edits, &workshop::label_all(&edits))?;
    if typed.json {
        say!("{}", serde_json::json!(changes));
    } else {
        let (pieces, borders) = (changes.pieces.len(), changes.borders.len());
        say!("Done: {}. Touched {pieces} pieces and {borders} borders.", workshop::label_all(&edits));
    }
    Ok(Outcome::Done)
}
