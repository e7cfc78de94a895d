//! `spelk tell` and `spelk check`: what a job is, and what will not work.

use workshop::work::Grave;

use crate::args::Told;
use crate::commands::read;
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::words;

pub fn run(typed: &Told) -> Result<Outcome, Failure> {
    let (job, mut derived) = read(&typed.job)?;
    if typed.json {
        say!("{}", workshop::tell(job.work(), &mut derived));
    } else {
        words::say_job(job.work(), &mut derived);
    }
    Ok(Outcome::Done)
}

pub fn check(typed: &Told) -> Result<Outcome, Failure> {
    let (job, mut derived) = read(&typed.job)?;
    let findings = workshop::check(job.work(), &mut derived);
    if typed.json {
        say!("{}", serde_json::json!(findings));
    } else {
        words::say_findings(&findings);
    }
    let grave = findings.iter().any(|finding| finding.grave == Grave::Grave);
    Ok(if grave { Outcome::Grave } else { Outcome::Done })
}
