//! `spelk subject`: what of the picture becomes wood, by a mask and by marks.

use std::path::Path;

use job::Job;
use measure::length::Um;
use measure::plane::Point;
use workshop::picture::{Raster, masked, read};
use workshop::work::edit::{Edit, picture};
use workshop::work::{Size, SubjectMarks};
use workshop::{Derived, Subject as Found, masked_picture, subject, unmasked_picture};

use crate::args::Subject;
use crate::commands::{derive, trace};
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;

pub fn run(typed: &Subject) -> Result<Outcome, Failure> {
    let mut job = Job::open(&typed.job)?;
    if let Some(file) = &typed.mask {
        mask(&mut job, file)?;
    } else if typed.unmask {
        job.apply(&unmasked_picture(job.work())?, "take the mask away")?;
    }
    let mut derived = derive(&job)?;
    let unit = job.work().choices.unit;
    let strokes = |texts: &[String]| texts.iter().map(|text| trace::line(text, unit)).collect::<Result<Vec<_>, _>>();
    let round = SubjectMarks { keep: strokes(&typed.keep)?, drop: strokes(&typed.drop)? };
    let mut edits = Vec::new();
    if typed.clear {
        edits.push(Edit::Picture(picture::Edit::Unmark));
    }
    if round != SubjectMarks::default() {
        edits.push(Edit::Picture(picture::Edit::Mark(round.clone())));
    }
    if !edits.is_empty() {
        job.apply(&edits, "mark the subject")?;
    }
    let found = subject(job.work(), &mut derived)?;
    let share = found.inside.iter().filter(|inside| **inside).count() as f64 / found.inside.len() as f64;
    if let Some(out) = &typed.out {
        files::write(out, &files::png_of(&cut_out(&derived, &found.inside)))?;
    }
    let rounds = job.work().choices.trace.subject.len();
    if typed.json {
        say!("{}", serde_json::json!({ "rounds": rounds, "subject_share": share }));
    } else {
        say!("{:.1} % of the picture is subject, by {}.", 100.0 * share, by(&job, rounds));
        say_idle(&round, &found, job.work().panel);
        say!("Next: spelk trace {} draws the pattern by it", typed.job.display());
    }
    Ok(Outcome::Done)
}

/// Leaves out of the picture what a mask leaves out.
fn mask(job: &mut Job, file: &Path) -> Result<(), Failure> {
    let mask = files::read_picture(file)?;
    // An own drawing has no picture, and is refused by name.
    let whole = job.unmasked_picture()?.unwrap_or_default();
    let picture =
        if whole.is_empty() { whole } else { files::png_of(&files::within(file, masked(&read(&whole)?, &mask))?) };
    let edits = masked_picture(job.work(), job::picture_hash(&picture))?;
    job.put_picture(&picture)?;
    job.apply(&edits, "mask the picture")?;
    Ok(())
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

/// Says which strokes just made have no effect.
fn say_idle(round: &SubjectMarks, found: &Found, panel: Size) {
    for (strokes, keep, why) in [
        (&round.keep, true, "to keep lies where the picture is transparent: that stays ground."),
        (&round.drop, false, "to drop lies under one to keep of the same command, which counts."),
    ] {
        for _ in strokes.iter().filter(|stroke| !anywhere(stroke, found, panel, keep)) {
            say!("A stroke {why}");
        }
    }
}

/// Whether a stroke goes over a pixel of a side.
fn anywhere(stroke: &[Point], found: &Found, panel: Size, keep: bool) -> bool {
    let scale = |at: i32, side: Um, count: u32| f64::from(at) / f64::from(side.0.max(1)) * f64::from(count);
    let at = |p: &Point| [scale(p.x, panel.width, found.width), scale(p.y, panel.height, found.height)];
    let is_side = |[x, y]: [f64; 2]| {
        let (x, y) = (x.clamp(0.0, f64::from(found.width - 1)), y.clamp(0.0, f64::from(found.height - 1)));
        found.inside[y as usize * found.width as usize + x as usize] == keep
    };
    let last = stroke.last().into_iter().map(|end| [end, end]);
    stroke.windows(2).map(|pair| [&pair[0], &pair[1]]).chain(last).any(|[from, to]| {
        let ([ax, ay], [bx, by]) = (at(from), at(to));
        let steps = (bx - ax).abs().max((by - ay).abs()).ceil().max(1.0);
        (0..=steps as usize).map(|step| step as f64 / steps).any(|t| is_side([ax + (bx - ax) * t, ay + (by - ay) * t]))
    })
}

/// The picture, its ground transparent.
fn cut_out(derived: &Derived, inside: &[bool]) -> Raster {
    let mut out = derived.picture().map(|raster| (**raster).clone()).expect("the subject was found in a picture");
    out.pixels.iter_mut().zip(inside).filter(|(_, inside)| !**inside).for_each(|(pixel, _)| pixel[3] = 0);
    out
}
