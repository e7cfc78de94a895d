//! `spelk edit`: applies edits, all or none.

use job::Job;
use workshop::work::Changes;
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
    let label = workshop::label_all(job.work(), &edits);
    let changes = job.apply(&edits, &label)?;
    if typed.json {
        say!("{}", serde_json::json!(changes));
    } else {
        say!("Done: {label}.{}", touched(&changes));
        changes.told.iter().for_each(|told| say!("  {told}"));
    }
    Ok(Outcome::Done)
}

/// How many pieces and borders; nothing where it is neither.
fn touched(changes: &Changes) -> String {
    let count = |count: usize, one: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        many => Some(format!("{many} {one}s")),
    };
    let all = [count(changes.pieces.len(), "piece"), count(changes.borders.len(), "border")];
    let all: Vec<String> = all.into_iter().flatten().collect();
    if all.is_empty() { String::new() } else { format!(" Touched {}.", all.join(" and ")) }
}
