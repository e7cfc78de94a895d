//! `spelk subject`: what of the picture becomes wood, by a mask and by marks.

use std::path::Path;
use std::sync::Arc;

use job::Job;
use workshop::picture::{Raster, masked, read, read_framed};
use workshop::work::SubjectMarks;
use workshop::work::edit::{Edit, picture};
use workshop::{Derived, masked_picture, subject, unmasked_picture};

use crate::args::Subject;
use crate::commands::trace;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;

pub fn run(typed: &Subject) -> Result<Outcome, Failure> {
    if let Some(out) = &typed.out {
        files::is_png(out, "a cut-out subject")?;
    }
    let mut job = Job::open(&typed.job)?;
    let unit = job.work().choices.unit;
    let strokes = |texts: &[String]| texts.iter().map(|text| trace::line(text, unit)).collect::<Result<Vec<_>, _>>();
    let round = SubjectMarks { keep: strokes(&typed.keep)?, drop: strokes(&typed.drop)? };
    // All is tried before anything is changed.
    let masked = typed.mask.as_deref().map(|file| mask(&job, file)).transpose()?;
    let mut edits = match &masked {
        Some((_, edits)) => edits.clone(),
        None if typed.unmask => unmasked_picture(job.work())?,
        None => Vec::new(),
    };
    edits.extend(typed.clear.then_some(Edit::Picture(picture::Edit::Unmark)));
    edits.extend((round != SubjectMarks::default()).then(|| Edit::Picture(picture::Edit::Mark(round.clone()))));
    let mut tried = job.work().clone();
    workshop::apply_all(&mut tried, &edits)?;
    let whole = match &masked {
        Some((picture, _)) => Some(picture.clone()),
        None if typed.unmask => job.unmasked_picture()?,
        None => job.picture()?,
    };
    let framed = whole.map(|bytes| read_framed(&bytes, job.framing())).transpose()?;
    let mut derived = Derived::with_picture(framed.map(Arc::new));
    let found = subject(&tried, &mut derived)?;
    let share = found.inside.iter().filter(|inside| **inside).count() as f64 / found.inside.len() as f64;
    if let Some(out) = &typed.out {
        files::write(out, &files::png_of(&cut_out(&derived, &found.inside)))?;
    }
    if let Some((picture, _)) = &masked {
        job.put_picture(picture)?;
    }
    if !edits.is_empty() {
        let what = match (&masked, typed.unmask) {
            (Some(_), _) => "mask the picture",
            (None, true) => "take the mask away",
            (None, false) => "mark the subject",
        };
        job.apply(&edits, what)?;
    }
    let rounds = job.work().choices.trace.subject.len();
    if typed.json {
        say!("{}", serde_json::json!({ "rounds": rounds, "subject_share": share }));
    } else {
        say!("{:.1} % of the picture is subject, by {}.", 100.0 * share, by(&job, rounds));
        let (keep, drop) = found.idle(&round, job.work().panel);
        for _ in 0..keep {
            say!("A stroke to keep lies where the picture is transparent, by its mask or its file: that stays ground.");
        }
        for _ in 0..drop {
            say!("A stroke to drop lies under one to keep of the same command, which counts.");
        }
        say!("Next: spelk trace {} draws the pattern by it", typed.job.display());
    }
    Ok(Outcome::Done)
}

/// The picture without what a mask leaves out, and the edits that put it in the place of the present one.
fn mask(job: &Job, file: &Path) -> Result<(Vec<u8>, Vec<Edit>), Failure> {
    let mask = files::read_picture(file)?;
    // An own drawing has no picture, and is refused by name.
    let whole = job.unmasked_picture()?.unwrap_or_default();
    let picture =
        if whole.is_empty() { whole } else { files::png_of(&files::within(file, masked(&read(&whole)?, &mask))?) };
    let edits = masked_picture(job.work(), job::picture_hash(&picture))?;
    Ok((picture, edits))
}

fn by(job: &Job, rounds: usize) -> String {
    let is_masked = job.work().picture.as_ref().is_some_and(|picture| picture.unmasked.is_some());
    match rounds {
        0 if is_masked => "its mask and a plain ground: no mark is made".into(),
        0 => "its transparency and a plain ground: no mark is made".into(),
        1 => "one round of marks".into(),
        more => format!("{more} rounds of marks"),
    }
}

/// The picture, its ground transparent.
fn cut_out(derived: &Derived, inside: &[bool]) -> Raster {
    let mut out = derived.picture().map(|raster| (**raster).clone()).expect("the subject was found in a picture");
    out.pixels.iter_mut().zip(inside).filter(|(_, inside)| !**inside).for_each(|(pixel, _)| pixel[3] = 0);
    out
}
