//! `spelk edit`: applies edits, all or none.

use std::collections::BTreeSet;

use job::Job;
use workshop::work::edit::Edit;
use workshop::work::{Changes, Finding, Grave};

use crate::args;
use crate::commands::{derive, parse_json};
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;
use crate::words;

/// The edits that are written by hand, each with an example, from the page that lists them. Its lines are not to be broken: they are copied.
pub fn examples() -> String {
    let page = include_str!("../../../../ARCHITECTURE.md");
    let list = page.split("## Edits as text").nth(1).and_then(|rest| rest.split("```").nth(1)).unwrap_or_default();
    let list = list.trim_start_matches("json").trim();
    format!(
        "EDITS is a JSON list. Lengths are whole µm, points [x, y] in µm from the upper left corner,\n\
         angles hundredths of a degree; \"whom\" is {{\"piece\": 47}} or {{\"part\": 3}}. Areas, borders, parts\n\
         and relations go by their ids in `spelk tell JOB --json`. The edits, but those that only commands\n\
         and pages make, each with an example:\n\n{list}"
    )
}

pub fn run(typed: &args::Edit) -> Result<Outcome, Failure> {
    let text = files::read_edits(&typed.edits)?;
    let edits: Vec<Edit> = parse_json(&text, &typed.edits, "list of edits")?;
    if edits.is_empty() {
        return Err(Failure::Typed(format!("{} holds no edit; nothing was changed", typed.edits.display())));
    }
    let mut job = Job::open(&typed.job)?;
    let label = workshop::label_all(job.work(), &edits);
    let before = if typed.json { BTreeSet::new() } else { found(&job)?.iter().map(known_by).collect() };
    let changes = job.apply(&edits, &label)?;
    if typed.json {
        say!("{}", serde_json::json!(changes));
    } else {
        say!("Done: {label}.{}", touched(&changes));
        changes.told.iter().for_each(|told| say!("  {told}"));
        found(&job)?.iter().filter(|finding| !before.contains(&known_by(finding))).for_each(words::say_finding);
    }
    Ok(Outcome::Done)
}

/// What tells a finding from others: one that has come to be grave is new.
fn known_by(finding: &Finding) -> (String, bool) {
    (finding.key.clone(), finding.grave == Grave::Grave)
}

/// What is grave or to be looked at.
fn found(job: &Job) -> Result<Vec<Finding>, Failure> {
    let mut findings = workshop::check(job.work(), &mut derive(job)?);
    findings.retain(|finding| finding.grave != Grave::Note);
    Ok(findings)
}

/// How many pieces and borders; nothing where it is neither.
fn touched(changes: &Changes) -> String {
    let count = |count: usize, what: &str| (count > 0).then(|| words::counted(count, what));
    let all = [count(changes.pieces.len(), "piece"), count(changes.borders.len(), "border")];
    let all: Vec<String> = all.into_iter().flatten().collect();
    if all.is_empty() { String::new() } else { format!(" Touched {}.", all.join(" and ")) }
}
