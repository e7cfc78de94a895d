//! `spelk demo`: our own scene, planned whole.
//!
//! The scene is an SVG in `demo/`; its parts are polygons over the panel, since numbers follow from the tracing. A
//! second job of the same scene holds one case of every finding, so that a newcomer can see what `check` says.

mod boards;
mod scene;
mod troubles;

use std::path::{Path, PathBuf};

use job::Job;
use workshop::work::{Ask, Edit, Work};
use workshop::{Derived, sheets, view};

use crate::args;
use crate::commands::{Plan, plan_job, png, write_book};
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;
use crate::progress::watched;
use crate::words;

/// Pixels across of the view that the demo writes.
const VIEW_PIXELS: u32 = 1800;

pub fn run(typed: &args::Demo) -> Result<Outcome, Failure> {
    let folder = &typed.folder;
    refuse_taken(folder)?;
    let picture = scene::picture();
    let mut plan = plan_scene(folder, picture)?;
    files::folder(folder)?;
    let path = |name: &str| folder.join(name);
    files::write(&path("heron.png"), &plan.picture)?;
    Job::create(path("heron.spelk"), &plan.work, Some(&plan.picture), "planned from the picture")?;
    write_view(&plan.work, &mut plan.derived, &path("view.png"))?;
    let told = workshop::tell(&plan.work, &mut plan.derived).to_string();
    files::write(&path("heron.json"), told.as_bytes())?;
    for paper in ["a4", "letter"] {
        write_book(&plan.work, &mut plan.derived, &sheets::Wanted::book(sheets::paper(paper)?), &path("sheets"))?;
    }
    write_troubles(&mut plan, &path("troubles.spelk"))?;
    say_what_to_open(folder, &plan.work);
    Ok(Outcome::Done)
}

/// The demo's job alone, in a folder; one that is there already is opened as it is.
pub fn job(folder: &Path) -> Result<PathBuf, Failure> {
    let path = folder.join("heron.spelk");
    if !path.exists() {
        let plan = plan_scene(folder, scene::picture())?;
        Job::create(&path, &plan.work, Some(&plan.picture), "planned from the picture")?;
    }
    Ok(path)
}

/// A demo never writes over a maker's file.
fn refuse_taken(folder: &Path) -> Result<(), Failure> {
    let taken = ["heron.spelk", "troubles.spelk"].iter().map(|name| folder.join(name)).find(|path| path.exists());
    match taken {
        None => Ok(()),
        Some(path) => Err(Failure::Typed(format!(
            "{} exists already and is left as it is; remove the folder or name another: spelk demo OTHER",
            path.display()
        ))),
    }
}

fn plan_scene(folder: &Path, picture: Vec<u8>) -> Result<Plan, Failure> {
    let mut plan = plan_job(&scene::start(folder), picture)?;
    let parts = scene::parts(&plan.work, &mut plan.derived);
    workshop::apply_all(&mut plan.work, &parts)?;
    work_out_again(&mut plan.work, &mut plan.derived)?;
    boards::put_and_lay(&mut plan.work, &mut plan.derived)?;
    Ok(plan)
}

/// Parts and marks have changed what the heights rest on.
fn work_out_again(work: &mut Work, derived: &mut Derived) -> Result<(), Failure> {
    let proposal = watched(|watch| workshop::propose(work, derived, &Ask::WorkOutHeights, watch))?;
    workshop::apply(work, &Edit::Take(Box::new(proposal)))?;
    Ok(())
}

fn write_view(work: &Work, derived: &mut Derived, path: &Path) -> Result<(), Failure> {
    let pose = view::Pose { width: VIEW_PIXELS, ..view::Pose::default() };
    match watched(|watch| view::render(work, derived, pose, watch)) {
        Some(lit) => files::write(path, &png(&lit)),
        None => Err(Failure::Typed("Stopped; what is written so far is whole.".into())),
    }
}

fn write_troubles(plan: &mut Plan, path: &Path) -> Result<(), Failure> {
    let mut work = plan.work.clone();
    let edits = troubles::edits(&work, &mut plan.derived);
    workshop::apply_all(&mut work, &edits)?;
    Job::create(path, &work, Some(&plan.picture), "one case of every finding")?;
    Ok(())
}

fn say_what_to_open(folder: &Path, work: &Work) {
    let at = |name: &str| folder.join(name).display().to_string();
    say!("Planned {} in {}.", words::pieces(work.pieces.len()), folder.display());
    say!("Open    {}   the relief as it will look", at("view.png"));
    say!("        {}   the pattern book, at true scale", folder.join("sheets").join("pattern-book-a4.pdf").display());
    say!("Try     spelk tell {}   what the job is", at("heron.spelk"));
    say!("        spelk check {}   every kind of trouble, with its mends", at("troubles.spelk"));
}
