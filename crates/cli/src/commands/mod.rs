//! A module a command.

mod board;
pub mod edit;
mod heights;
mod history;
mod saw;
mod sheets;
mod shop;
mod start;
mod stock;
mod studio;
mod subject;
mod tell;
mod test;
mod trace;
mod view;
mod woods;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use job::Job;
use workshop::Derived;
use workshop::picture::Raster;
use workshop::work::{Refusal, Way};

use crate::args::{Args, Command};
use crate::demo;
use crate::failure::{Failure, Outcome};
use crate::out::say;

pub use sheets::write_book;
pub use start::{Plan, plan_job};
pub use view::png;

/// Does what was typed.
pub fn run(args: Args) -> Result<Outcome, Failure> {
    if let Some(threads) = args.threads {
        // Fails only when the pool stands already, and nothing ran before this.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(threads.into()).build_global();
    }
    match args.command {
        Command::Start(typed) => start::run(&typed),
        Command::Studio(typed) => studio::run(&typed),
        Command::Tell(typed) => tell::run(&typed),
        Command::Check(typed) => tell::check(&typed),
        Command::Woods(typed) => woods::run(&typed),
        Command::Saw(typed) => saw::run(&typed),
        Command::Stock(typed) => stock::run(&typed),
        Command::Edit(typed) => edit::run(&typed),
        Command::Heights(typed) => heights::run(&typed),
        Command::Trace(typed) => trace::run(&typed),
        Command::Subject(typed) => subject::run(&typed),
        Command::Undo(typed) => history::undo(&typed),
        Command::Redo(typed) => history::redo(&typed),
        Command::History(typed) => history::list(&typed),
        Command::Sheets(typed) => sheets::run(&typed),
        Command::View(typed) => view::run(&typed),
        Command::Board(typed) => board::run(&typed),
        Command::Test(typed) => test::run(&typed),
        Command::Shop(typed) => shop::run(&typed),
        Command::Demo(typed) => demo::run(&typed),
    }
}

/// Opens a job for reading, with what derives from it.
pub fn read(path: &Path) -> Result<(Job, Derived), Failure> {
    let job = Job::read(path)?;
    let derived = derive(&job)?;
    Ok((job, derived))
}

/// What derives from a job: its decoded picture.
pub fn derive(job: &Job) -> Result<Derived, Failure> {
    let raster = match job.picture()? {
        Some(bytes) => Some(Arc::new(workshop::picture::read_framed(&bytes, job.framing())?)),
        None => None,
    };
    Ok(Derived::with_picture(raster))
}

/// The photographs of the job's boards, decoded; a board whose photograph is not in the file is told and does without.
pub fn photographs(job: &Job) -> Result<BTreeMap<String, Arc<Raster>>, Failure> {
    let mut found = BTreeMap::new();
    for board in job.work().boards.values() {
        let Some(named) = &board.photograph else { continue };
        match job.photograph(&named.hash)? {
            Some(bytes) => {
                found.insert(named.hash.clone(), Arc::new(workshop::picture::read(&bytes)?));
            }
            None => say!("The photograph of {} is not in the job file: its pieces show their wood.", board.name),
        }
    }
    Ok(found)
}

/// JSON of a maker's own file, or a refusal that says where it breaks.
pub fn parse_json<T: serde::de::DeserializeOwned>(text: &str, name: &Path, what: &str) -> Result<T, Failure> {
    serde_json::from_str(text).map_err(|error| {
        Refusal::new(format!("{} is no {what}: {error}.", name.display()))
            .way(Way::advice("Mend it at that line and column; `spelk help edit` lists every edit with an example."))
            .into()
    })
}
