//! `spelk trace`: draws the pattern from the picture again, with more or fewer pieces in all or in places.

use job::Job;
use measure::length::Um;
use measure::plane::Point;
use workshop::Derived;
use workshop::work::edit::Edit;
use workshop::work::{AreaId, Ask, Place, Refusal, TraceChoices, Unit, Way, Work};

use crate::args::Trace;
use crate::commands::{derive, start};
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;

/// What `--more` and `--fewer` make of a place's pieces, in a hundred.
const MORE: u32 = 200;
const FEWER: u32 = 50;

pub fn run(typed: &Trace) -> Result<Outcome, Failure> {
    let mut job = Job::open(&typed.job)?;
    let mut derived = derive(&job)?;
    let choices = choices(typed, job.work(), &mut derived)?;
    let before = job.work().pieces.clone();
    let ask = Ask::Trace(choices);
    let proposal = watched(|watch| workshop::propose(job.work(), &mut derived, &ask, watch))?;
    let changes = job.apply(&[Edit::Take(Box::new(proposal))], "trace the picture again")?;
    if typed.json {
        say!("{}", serde_json::json!(changes));
    } else {
        let now = &job.work().pieces;
        let kept = now.keys().filter(|number| before.contains_key(number)).count();
        say!("{} pieces, {kept} of them under the number that they had.", now.len());
    }
    Ok(Outcome::Done)
}

fn choices(typed: &Trace, work: &Work, derived: &mut Derived) -> Result<TraceChoices, Failure> {
    let mut choices = work.choices.trace.clone();
    if let Some(pieces) = typed.pieces {
        choices.pieces = start::sound_count(pieces)?;
    }
    if typed.even {
        choices.places.clear();
    }
    for (texts, percent) in [(&typed.more, MORE), (&typed.fewer, FEWER)] {
        for text in texts {
            let rings = place(text, work, derived)?;
            choices.places.extend(rings.into_iter().map(|around| Place { around, percent }));
        }
    }
    Ok(choices)
}

/// Corners of a closed line in the job's unit, or the outlines of a part's pieces.
fn place(text: &str, work: &Work, derived: &mut Derived) -> Result<Vec<Vec<Point>>, Failure> {
    if let Some((_, part)) = work.parts.iter().find(|(_, part)| part.name == text) {
        let outlines = derived.outlines(work);
        let areas: Vec<AreaId> =
            part.pieces.iter().filter_map(|number| work.pieces.get(number)).map(|piece| piece.area).collect();
        return Ok(areas.iter().filter_map(|id| Some(outlines.areas.get(id)?.rings.first()?.clone())).collect());
    }
    let corners: Option<Vec<Point>> = text.split_whitespace().map(|corner| at(corner, work.choices.unit)).collect();
    match corners {
        Some(corners) if corners.len() >= 3 => Ok(vec![corners]),
        _ => {
            let unit = if work.choices.unit == Unit::Inch { "inches" } else { "millimetres" };
            let what = format!("“{text}” is neither a part of this job nor a line around a place.");
            let way = format!("Name a part, or give three or more corners in {unit} as in \"20,30 90,30 60,80\".");
            Err(Refusal::new(what).way(Way::advice(way)).into())
        }
    }
}

fn at(corner: &str, unit: Unit) -> Option<Point> {
    let (x, y) = corner.split_once(',')?;
    let length = |text: &str| {
        let value: f64 = text.trim().parse().ok().filter(|value: &f64| value.abs() < 10_000.0)?;
        Some(if unit == Unit::Inch { Um::inches(value) } else { Um::mm(value) }.0)
    };
    Some(Point::new(length(x)?, length(y)?))
}
