//! `spelk start`: a picture becomes a planned job; an own drawing becomes the pattern of one.

use std::path::Path;
use std::sync::Arc;

use job::{Job, ShopFile, picture_hash};
use measure::length::{Um, in_inches};
use workshop::pattern::{Own, is_drawing, left_out, own_from_paper, own_from_svg};
use workshop::picture::Sheet;
use workshop::work::edit::Edit;
use workshop::work::{
    Crop, Framing, GroundChoice, InkChoice, PictureRef, Refusal, Size, Stock, TraceChoices, Unit, Way, WoodId, Work,
};
use workshop::{Beginning, Derived};

use crate::args::{Start, length, length_or_none, lengths, raisers};
use crate::commands::board;
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;
use crate::{files, words};

/// The most pieces a draft is asked for; a maker's work has fifty to eight hundred.
const PIECES_MOST: u32 = 2000;

/// A job planned whole, not yet written.
pub struct Plan {
    /// The job.
    pub work: Work,
    /// What derives from it.
    pub derived: Derived,
    /// The picture's bytes as they were read.
    pub picture: Vec<u8>,
    /// The same before a mask left parts of it out, where one did.
    pub unmasked: Option<Vec<u8>>,
}

pub fn run(typed: &Start) -> Result<Outcome, Failure> {
    if typed.out.exists() {
        let text = format!("{} exists already and is left as it is; choose another name", typed.out.display());
        return Err(Failure::Typed(text));
    }
    let picture = files::read_picture(&typed.picture)?;
    if is_drawing(&picture) {
        return run_drawn(typed, &own_from_svg_alone(typed, &picture)?, (TraceChoices::default(), None));
    }
    if typed.on_paper {
        let (own, trace) = on_paper(typed, &picture)?;
        return run_drawn(typed, &own, (trace, Some(&picture)));
    }
    let mut plan = plan_job(typed, picture)?;
    let mut job = Job::create(&typed.out, &plan.work, Some(&plan.picture), "planned from the picture")?;
    if let Some(unmasked) = &plan.unmasked {
        job.put_picture(unmasked)?;
    }
    if typed.json {
        say!("{:#}", workshop::tell(&plan.work, &mut plan.derived));
    } else {
        words::say_job(&plan.work, &mut plan.derived);
        words::say_fewer(
            &plan.work,
            if typed.stock == "thin" {
                "A wider panel (--width) or a smaller --least-width may give more"
            } else {
                "A wider panel (--width), thinner stock (--stock thin) or a smaller --least-width may give more"
            },
        );
        let out = typed.out.display();
        say!(
            "\nWritten: {out}\nNext: spelk check {out}, spelk view {out} --out view.png, spelk sheets {out} --out sheets"
        );
    }
    Ok(Outcome::Done)
}

/// The pattern of an SVG, which says all itself but, at times, its size.
fn own_from_svg_alone(typed: &Start, drawing: &[u8]) -> Result<Own, Failure> {
    if typed.mask.is_some() || typed.on_paper || typed.crop.is_some() || typed.turn.is_some() {
        let text = "a drawing as SVG has no ground to mask, is on no paper and says its own page; leave --mask, --on-paper, --crop and --turn out";
        return Err(Failure::Typed(text.into()));
    }
    if typed.ink != "leave" || typed.bridge.is_some() {
        let text = "the lines of a drawing as SVG are the saw lines, and none of them is read as ink; leave --ink and --bridge out";
        return Err(Failure::Typed(text.into()));
    }
    let width = typed.width.as_deref().map(length).transpose()?;
    let own = files::within(&typed.picture, own_from_svg(drawing, width))?;
    if width.is_some() && own.says_size {
        let text = "this drawing says its own size; leave --width out, or change the page's size in the drawing";
        return Err(Failure::Typed(text.into()));
    }
    Ok(own)
}

/// The pattern of a drawing on paper, and what is kept to trace it again.
fn on_paper(typed: &Start, picture: &[u8]) -> Result<(Own, TraceChoices), Failure> {
    if typed.ink != "leave" {
        let text =
            "the lines of a drawing on paper are the saw lines, whatever becomes of ink in a picture; leave --ink out";
        return Err(Failure::Typed(text.into()));
    }
    let raster = files::within(&typed.picture, workshop::picture::read(picture))?;
    let width = typed.width.as_deref().ok_or_else(no_width)?;
    let sheet = Sheet {
        corners: typed.corners.as_deref().map(|text| board::four(text, "--corners")).transpose()?,
        width: length(width)?,
        height: typed.sheet_height.as_deref().map(length).transpose()?,
    };
    let mut work = Work::default();
    if let Some(bridge) = &typed.bridge {
        workshop::apply(&mut work, &self::bridge(bridge)?)?;
    }
    let (bridge, stock) = (work.choices.trace.bridge, stock(typed)?);
    let own = watched(|watch| own_from_paper(&raster, (&sheet, bridge), &stock, watch))?;
    let paper = Some(sheet.kept(picture_hash(picture)));
    Ok((own, TraceChoices { bridge, paper, ..TraceChoices::default() }))
}

fn no_width() -> Failure {
    Failure::Typed("say how wide the finished work is, as in --width 420mm".into())
}

fn run_drawn(typed: &Start, own: &Own, (trace, paper): (TraceChoices, Option<&[u8]>)) -> Result<Outcome, Failure> {
    let mut work = Work { woods: ShopFile::woods()?, ..Work::default() };
    let edits = settings(typed, own.panel, None)?;
    edits.iter().try_for_each(|edit| workshop::apply(&mut work, edit).map(|_| ()))?;
    work.choices.trace = trace;
    workshop::plan_drawn(&mut work, own)?;
    Job::create(&typed.out, &work, paper, "took the drawing")?;
    let mut derived = Derived::with_picture(None);
    if typed.json {
        say!("{:#}", workshop::tell(&work, &mut derived));
    } else {
        words::say_job(&work, &mut derived);
        if let Some(left) = own.left_out() {
            say!("\n{left}");
        }
        let out = typed.out.display();
        if paper.is_some() && left_out(&own.loose).is_some() {
            say!("To draw it again with wider breaks bridged: spelk trace {out} --bridge LENGTH");
        }
        say!("\nWritten: {out}\nNext: give pieces woods and heights: spelk studio {out}");
    }
    Ok(Outcome::Done)
}

/// Plans everything from a picture's bytes.
pub fn plan_job(typed: &Start, picture: Vec<u8>) -> Result<Plan, Failure> {
    let mut raster = files::within(&typed.picture, workshop::picture::read(&picture))?;
    let (across, down) = files::within(&typed.picture, workshop::picture::sides(&picture))?;
    let (picture, unmasked) = match &typed.mask {
        Some(mask) => {
            raster = files::within(mask, workshop::picture::masked(&raster, &files::read_picture(mask)?))?;
            (files::png_of(&raster), Some(picture))
        }
        None => (picture, None),
    };
    let mut work = Work { woods: ShopFile::woods()?, ..Work::default() };
    let place = PictureRef {
        hash: picture_hash(&picture),
        width: across,
        height: down,
        author: typed.author.clone(),
        source: typed.source.clone(),
        permission: typed.permission.clone(),
        framing: None,
        unmasked: unmasked.as_deref().map(picture_hash),
    };
    let place = PictureRef { framing: framing(typed, &place)?, ..place };
    let width = typed.width.as_deref().ok_or_else(no_width)?;
    let panel = Beginning::panel(length(width)?, &place)?;
    if place.framing.is_some() {
        raster = workshop::picture::read_framed(&picture, place.framing.as_ref())?;
    }
    let raster = Arc::new(raster);
    let edits = settings(typed, panel, Some(place))?;
    edits.iter().try_for_each(|edit| workshop::apply(&mut work, edit).map(|_| ()))?;
    work.choices.trace = trace(typed)?;
    if let Some(bridge) = &typed.bridge {
        inked(work.choices.trace.ink)?;
        workshop::apply(&mut work, &self::bridge(bridge)?)?;
    }
    let mut derived = Derived::with_picture(Some(raster));
    watched(|watch| workshop::plan(&mut work, &mut derived, watch))?;
    Ok(Plan { work, derived, picture, unmasked })
}

/// Turn and crop as typed.
fn framing(typed: &Start, picture: &PictureRef) -> Result<Option<Framing>, Failure> {
    let turn = typed.turn.unwrap_or_default();
    if !(-180.0..=180.0).contains(&turn) {
        return Err(Failure::Typed(format!("--turn takes -180 to 180 degrees, not {turn}")));
    }
    let turn = (turn * 100.0).round() as i32;
    let Some(crop) = &typed.crop else {
        return Ok((turn != 0).then(|| Beginning::turned(turn, picture)));
    };
    let shares: Option<Vec<i32>> = crop.split(',').map(millionths).collect();
    match shares.as_deref() {
        Some(&[left, top, width, height]) => Ok(Some(Framing { turn, crop: Crop { left, top, width, height } })),
        _ => Err(Failure::Typed(format!(
            "--crop takes left and upper edge, width and height in percent of the picture's, as in 10,5,60,80, not \"{crop}\""
        ))),
    }
}

/// A percentage as typed.
fn millionths(percent: &str) -> Option<i32> {
    let percent: f64 = percent.trim().parse().ok()?;
    (percent.abs() <= 1000.0).then_some((percent * 10_000.0).round() as i32)
}

fn settings(typed: &Start, panel: Size, picture: Option<PictureRef>) -> Result<Vec<Edit>, Failure> {
    Ok(workshop::begin(Beginning {
        title: typed.title.clone().unwrap_or_else(|| name_of(&typed.picture)),
        panel,
        unit: unit(typed),
        stock: stock(typed)?,
        woods_most: typed.woods,
        backer: WoodId(typed.backer.clone()),
        picture,
    }))
}

fn name_of(path: &Path) -> String {
    path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default()
}

fn unit(typed: &Start) -> Unit {
    match typed.unit.as_deref() {
        Some("in") => Unit::Inch,
        Some(_) => Unit::Mm,
        None if typed.width.as_deref().is_some_and(in_inches) => Unit::Inch,
        None => Unit::Mm,
    }
}

fn trace(typed: &Start) -> Result<TraceChoices, Refusal> {
    let ground = if typed.keep_all { GroundChoice::Keep } else { GroundChoice::Drop };
    Ok(TraceChoices { pieces: sound_count(typed.pieces)?, ground, ink: ink(&typed.ink), ..TraceChoices::default() })
}

/// Refuses to bridge where no line is taken for ink.
pub(super) fn inked(ink: InkChoice) -> Result<(), Failure> {
    if ink != InkChoice::Leave {
        return Ok(());
    }
    let text = "--bridge bridges breaks in ink, and without --ink no line is taken for ink; add --ink close, open or alone, or leave --bridge out";
    Err(Failure::Typed(text.into()))
}

/// Which breaks in ink are bridged, as typed.
pub(super) fn bridge(typed: &str) -> Result<Edit, Failure> {
    Ok(Edit::Picture(workshop::work::edit::picture::Edit::Bridge(length_or_none(typed)?)))
}

/// What becomes of ink, as typed.
pub(super) fn ink(typed: &str) -> InkChoice {
    match typed {
        "close" => InkChoice::Close,
        "open" => InkChoice::Open,
        "alone" => InkChoice::Alone,
        _ => InkChoice::Leave,
    }
}

/// A number of pieces that can be asked for, or a refusal.
pub(super) fn sound_count(pieces: u32) -> Result<u32, Refusal> {
    if (1..=PIECES_MOST).contains(&pieces) {
        return Ok(pieces);
    }
    let what = format!("--pieces {pieces} cannot be: a pattern has 1 to {PIECES_MOST} pieces.");
    Err(Refusal::new(what).way(Way::advice("Leave --pieces out for 180, or give a number in that range.")))
}

fn stock(typed: &Start) -> Result<Stock, Failure> {
    let mut stock = workshop::stock(&typed.stock, unit(typed))?;
    if let Some(width) = &typed.least_width {
        stock.least_width = length(width)?;
    }
    if let Some(area) = typed.least_area {
        stock.least_area_mm2 = area;
    }
    if let Some(step) = &typed.readable_step {
        stock.readable_step = length(step)?;
    }
    if let Some(typed) = &typed.raisers {
        stock.raisers = ascending(raisers(typed)?);
    }
    if let Some(heights) = &typed.heights {
        (stock.lowest, stock.highest) = two(heights)?;
    }
    Ok(stock)
}

pub(super) fn two(text: &str) -> Result<(Um, Um), Failure> {
    match lengths(text)?[..] {
        [lowest, highest] => Ok((lowest, highest)),
        _ => Err(Failure::Typed(format!(
            "A range of heights is the lowest and the highest, as in 12mm,40mm, not \"{text}\""
        ))),
    }
}

pub(super) fn ascending(mut lengths: Vec<Um>) -> Vec<Um> {
    lengths.sort();
    lengths.dedup();
    lengths
}
