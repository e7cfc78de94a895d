//! `spelk trace`: draws the pattern from the picture again, with more or fewer pieces in all or in places, or from the drawing on
//! paper, with other breaks bridged or other corners.

use std::collections::BTreeSet;
use std::sync::Arc;

use job::Job;
use measure::length::Um;
use measure::plane::Point;
use workshop::picture::{Sheet, millionths};
use workshop::work::edit::Edit;
use workshop::work::{
    self, AreaId, Ask, Number, Piece, Place, Refusal, Size, Spot, State, TraceChoices, Unit, Way, Work,
};
use workshop::{Derived, pattern};

use crate::args::Trace;
use crate::commands::{board, derive, start};
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;
use crate::words::{self, counted, pieces};

/// What `--more` and `--fewer` make of a place's pieces, in a hundred.
const MORE: u32 = 200;
const FEWER: u32 = 50;

pub fn run(typed: &Trace) -> Result<Outcome, Failure> {
    let mut job = Job::open(&typed.job)?;
    let mut derived = derive(&job)?;
    if let Some(paper) = job.paper()? {
        derived.set_paper(Some(Arc::new(workshop::picture::read(&paper)?)));
    }
    let choices = choices(typed, job.work(), &mut derived)?;
    let before = job.work().pieces.clone();
    let open_before = (before.len(), open(job.work()));
    let ask = Ask::Trace(choices);
    let mut edits = holds(typed, job.work())?;
    let mut work = job.work().clone();
    for edit in &edits {
        workshop::apply(&mut work, edit)?;
    }
    let staying = pattern::held(&work).len();
    let proposal = watched(|watch| workshop::propose(&work, &mut derived, &ask, watch))?;
    edits.push(Edit::Take(Box::new(proposal)));
    let changes = job.apply(&edits, "trace the picture again")?;
    if typed.json {
        say!("{}", serde_json::json!(changes));
    } else {
        let now = &job.work().pieces;
        let kept = now.keys().filter(|number| before.contains_key(number)).count();
        say!(
            "{}, {kept} of them under the number that they had; {} stayed as they lie.",
            pieces(now.len()),
            counted(staying, "area")
        );
        if job.work().choices.trace.paper.is_none() {
            words::say_fewer(job.work(), "A smaller least width or area may give more (edit: setup, stock)");
        }
        say_open(typed, job.work(), open_before);
        if let (Some(_), Some(left_out)) = (&job.work().choices.trace.paper, pattern::left_out(&job.work().loose_lines))
        {
            say!("{left_out}");
        }
        if typed.corners.is_some() {
            say_stretch(job.work(), &derived)?;
        }
    }
    Ok(Outcome::Done)
}

/// A sheet that is laid so much higher or lower than its corners show it looks stretched.
const STRETCHED: f64 = 0.03;

/// Says so where the panel, which stays as it is, has another form than the sheet within its new corners.
fn say_stretch(work: &Work, derived: &Derived) -> Result<(), Failure> {
    let (Some(photograph), Some(paper)) = (derived.paper(), &work.choices.trace.paper) else { return Ok(()) };
    let stretch = Sheet::again(paper, work.panel).stretch(photograph)?;
    if (stretch - 1.0).abs() > STRETCHED {
        let (way, percent) = if stretch > 1.0 { ("taller", stretch - 1.0) } else { ("wider", 1.0 / stretch - 1.0) };
        say!(
            "The panel keeps its form, which is not that of the sheet within these corners: the drawing is {:.0} % {way} than \
             it was drawn. To keep its form start the job anew with these corners.",
            100.0 * percent
        );
    }
    Ok(())
}

/// How many pieces have no wood, and how many no height.
fn open(work: &Work) -> [usize; 2] {
    let count = |is: fn(&Piece) -> bool| work.pieces.values().filter(|piece| is(piece)).count();
    [count(|piece| piece.values.wood.is_none()), count(|piece| piece.values.height.is_none())]
}

/// Says what a new drawing left open, how it was before, and how it is decided again.
fn say_open(typed: &Trace, work: &Work, before: (usize, [usize; 2])) {
    let (count, before) = before;
    let job = typed.job.display();
    let next = [format!("spelk woods {job} --choose"), format!("spelk heights {job}")];
    for (((what, now), before), next) in ["Woods", "Heights"].into_iter().zip(open(work)).zip(before).zip(next) {
        if now > 0 {
            say!("{what} undecided: {}; before {before} of {count}. Next: {next}", pieces(now));
        }
    }
}

fn choices(typed: &Trace, work: &Work, derived: &mut Derived) -> Result<TraceChoices, Failure> {
    let mut choices = work.choices.trace.clone();
    if choices.paper.is_some() {
        closed_alone(typed)?;
    }
    if let Some(pieces) = typed.pieces {
        choices.pieces = start::sound_count(pieces)?;
    }
    if let Some(typed) = &typed.ink {
        choices.ink = start::ink(typed);
    }
    if let Some(typed) = &typed.bridge {
        if choices.paper.is_none() && work.picture.is_some() {
            start::inked(choices.ink)?;
        }
        let mut tried = work.clone();
        workshop::apply(&mut tried, &start::bridge(typed)?)?;
        choices.bridge = tried.choices.trace.bridge;
    }
    if let Some(typed) = &typed.corners {
        let corners = board::four(typed, "--corners")?.map(|(x, y)| [millionths(x), millionths(y)]);
        let mut tried = work.clone();
        workshop::apply(&mut tried, &Edit::Picture(work::edit::picture::Edit::Corners(Some(corners))))?;
        choices.paper = tried.choices.trace.paper;
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

/// Refuses what a drawing on paper has no say of.
fn closed_alone(typed: &Trace) -> Result<(), Failure> {
    let counted = typed.pieces.is_some() || typed.even || !typed.more.is_empty() || !typed.fewer.is_empty();
    if !counted && typed.ink.is_none() {
        return Ok(());
    }
    let text = "the areas of a drawing on paper are those that its lines close; leave --pieces, --more, --fewer, --even and --ink out, or let wider breaks be bridged with --bridge";
    Err(Failure::Typed(text.into()))
}

/// What is held and let go before the pattern is drawn. What would stay as it lies though it is let go is refused.
fn holds(typed: &Trace, work: &Work) -> Result<Vec<Edit>, Failure> {
    let all = |texts: &[String]| -> Result<BTreeSet<AreaId>, Failure> {
        let areas: Vec<Vec<AreaId>> = texts.iter().map(|text| named(text, work)).collect::<Result<_, _>>()?;
        Ok(areas.into_iter().flatten().collect())
    };
    let (hold, let_go) = (all(&typed.hold)?, all(&typed.let_go)?);
    if let Some((number, _)) =
        work.pieces.iter().find(|(_, piece)| hold.contains(&piece.area) && let_go.contains(&piece.area))
    {
        return Err(stays(*number, "is both to be held and to be let go", "Name it with --hold or with --let-go."));
    }
    let mut tried = work.clone();
    tried.held.retain(|area| !let_go.contains(area));
    let still = pattern::held(&tried);
    if let Some((number, piece)) =
        work.pieces.iter().find(|(_, piece)| let_go.contains(&piece.area) && still.contains(&piece.area))
    {
        return Err(match piece.state {
            State::Planned => stays(
                *number,
                "stays as it lies though it is let go: its wood, grain, height or build was chosen by hand",
                "Take that back first (edit: wood unchoose or ungrain, relief unpin), or leave it out.",
            ),
            made => stays(
                *number,
                &format!("stays as it lies though it is let go: it is {}", pattern::state_word(made)),
                "Leave it out, or strike the entry of the log if it was a mistake.",
            ),
        });
    }
    let edits = hold.into_iter().map(work::edit::pattern::Edit::Hold);
    Ok(edits.chain(let_go.into_iter().map(work::edit::pattern::Edit::LetGo)).map(Edit::Pattern).collect())
}

fn stays(number: Number, why: &str, way: &str) -> Failure {
    Refusal::new(format!("Piece {number} {why}.")).at(Spot::pieces([number])).way(Way::advice(way)).into()
}

/// The areas of a part, or of numbered pieces.
fn named(text: &str, work: &Work) -> Result<Vec<AreaId>, Failure> {
    let area = |number: &Number| work.pieces.get(number).map(|piece| piece.area);
    if let Some(part) = work.parts.values().find(|part| part.name == text) {
        return Ok(part.pieces.iter().filter_map(area).collect());
    }
    let numbers = text.split(',').map(|each| area(&Number(each.trim().parse().ok()?)));
    numbers.collect::<Option<Vec<_>>>().ok_or_else(|| {
        Refusal::new(format!("“{text}” names no piece and no part of this job."))
            .way(Way::advice("Give numbers of pieces as in 12,15, or the name of a part."))
            .into()
    })
}

/// Corners of a closed line in the job's unit, or the outlines of a part's pieces.
fn place(text: &str, work: &Work, derived: &mut Derived) -> Result<Vec<Vec<Point>>, Failure> {
    if let Some((_, part)) = work.parts.iter().find(|(_, part)| part.name == text) {
        let outlines = derived.outlines(work);
        let areas: Vec<AreaId> =
            part.pieces.iter().filter_map(|number| work.pieces.get(number)).map(|piece| piece.area).collect();
        return Ok(areas.iter().filter_map(|id| Some(outlines.areas.get(id)?.rings.first()?.clone())).collect());
    }
    match corners(text, work.choices.unit) {
        Some(corners) if corners.len() >= 3 && is_off(&corners, work.panel) => {
            let sides = [work.panel.width, work.panel.height].map(|side| words::show(side, work.choices.unit));
            let what = format!("The place “{text}” lies off the panel, which is {} by {}.", sides[0], sides[1]);
            Err(Refusal::new(what).way(Way::advice("Count its corners from the panel's top left.")).into())
        }
        Some(corners) if corners.len() >= 3 => Ok(vec![corners]),
        _ => {
            let unit = in_words(work.choices.unit);
            let what = format!("“{text}” is neither a part of this job nor a line around a place.");
            let way = format!("Name a part, or give three or more corners in {unit} as in \"20,30 90,30 60,80\".");
            Err(Refusal::new(what).way(Way::advice(way)).into())
        }
    }
}

/// Whether the box about a place has nothing of the panel in it.
fn is_off(corners: &[Point], panel: Size) -> bool {
    let beyond = |of: fn(&Point) -> i32, side: Um| {
        corners.iter().all(|at| of(at) <= 0) || corners.iter().all(|at| of(at) >= side.0)
    };
    beyond(|at| at.x, panel.width) || beyond(|at| at.y, panel.height)
}

/// A stroke over the picture.
pub(super) fn line(text: &str, unit: Unit) -> Result<Vec<Point>, Failure> {
    corners(text, unit).filter(|points| !points.is_empty()).ok_or_else(|| {
        let way =
            format!("Give points in {} from the picture's top left corner, as in \"20,30 90,30\".", in_words(unit));
        Refusal::new(format!("“{text}” is no stroke.")).way(Way::advice(way)).into()
    })
}

fn corners(text: &str, unit: Unit) -> Option<Vec<Point>> {
    text.split_whitespace().map(|corner| at(corner, unit)).collect()
}

fn in_words(unit: Unit) -> &'static str {
    if unit == Unit::Inch { "inches" } else { "millimetres" }
}

fn at(corner: &str, unit: Unit) -> Option<Point> {
    let (x, y) = corner.split_once(',')?;
    let length = |text: &str| {
        let value: f64 = text.trim().parse().ok().filter(|value: &f64| value.abs() < 10_000.0)?;
        Some(if unit == Unit::Inch { Um::inches(value) } else { Um::mm(value) }.0)
    };
    Some(Point::new(length(x)?, length(y)?))
}
