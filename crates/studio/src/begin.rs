//! A job from a picture or an own drawing dropped on the start page.

use std::path::{Path, PathBuf};

use image::ExtendedColorType;
use job::{Job, ShopFile, picture_hash};
use measure::Watch;
use measure::length::{Um, in_inches, parse};
use workshop::Beginning;
use workshop::pattern::{Own, is_drawing, own_from_paper, own_from_svg};
use workshop::picture::{Raster, Sheet};
use workshop::work::{Choices, GroundChoice, PictureRef, Size, TraceChoices, Unit, Work};

use crate::routes::encoded;
use crate::wire::{Asking, Paper, Trouble};

/// Makes the job's file: the picture placed, nothing drawn yet.
pub fn begin(asking: &Asking, (bytes, mask): (&[u8], Option<&[u8]>), folder: &Path) -> Result<Job, Trouble> {
    if is_drawing(bytes) {
        let own = own_from_svg(bytes, Some(length(&asking.width)?))?;
        return begin_drawn(asking, &own, (TraceChoices::default(), None), folder);
    }
    let mut raster = workshop::picture::read(bytes)?;
    let width = length(&asking.width)?;
    if let Some(paper) = &asking.paper {
        let (own, trace) = on_paper(asking, paper, (bytes, &raster))?;
        return begin_drawn(asking, &own, (trace, Some(bytes)), folder);
    }
    let mut kept = Vec::new();
    if let Some(mask) = mask {
        raster = workshop::picture::masked(&raster, mask)?;
        kept = kept_as(&raster)?;
    }
    let unmasked = mask.map(|_| bytes);
    let (across, down) = workshop::picture::sides(bytes)?;
    let bytes = if mask.is_some() { &kept } else { bytes };
    let picture = PictureRef {
        hash: picture_hash(bytes),
        width: across,
        height: down,
        author: asking.author.clone(),
        source: asking.source.clone(),
        permission: asking.permission.clone(),
        framing: asking.framing,
        unmasked: unmasked.map(picture_hash),
    };
    let mut work = begun(asking, Beginning::panel(width, &picture)?, Some(picture))?;
    work.choices.trace.ground = if asking.keep_all { GroundChoice::Keep } else { GroundChoice::Drop };
    work.choices.trace.ink = asking.ink;
    let path = free(asking.folder.as_deref().map_or(folder, Path::new), &asking.title);
    let mut job =
        Job::create(path, &work, Some(bytes), "placed the picture").map_err(|problem| Trouble::from(&problem))?;
    if let Some(unmasked) = unmasked {
        job.put_picture(unmasked).map_err(|problem| Trouble::from(&problem))?;
    }
    Ok(job)
}

/// A picture as a job keeps it.
pub fn kept_as(raster: &Raster) -> Result<Vec<u8>, Trouble> {
    encoded(raster.pixels.as_flattened(), raster.width, raster.height, ExtendedColorType::Rgba8)
}

fn length(typed: &str) -> Result<Um, Trouble> {
    parse(typed).map_err(|error| {
        Trouble::of(error.to_string(), "Say how wide the finished work is, as in 420 mm or 16 1/2 in.")
    })
}

/// The pattern of a drawing on paper, and what is kept to trace it again.
fn on_paper(asking: &Asking, paper: &Paper, (bytes, raster): (&[u8], &Raster)) -> Result<(Own, TraceChoices), Trouble> {
    let width = length(&asking.width)?;
    let height = if paper.height.trim().is_empty() { None } else { Some(length(&paper.height)?) };
    let sheet = Sheet { corners: Some(paper.corners), width, height };
    let unit = if in_inches(&asking.width) { Unit::Inch } else { Unit::Mm };
    let none = ["", "0"].contains(&paper.bridge.trim());
    let bridge = if none { Um(0) } else { bridge(&paper.bridge)?.min(Um::mm(BRIDGE_MM)) };
    let own = own_from_paper(raster, (&sheet, bridge), &workshop::stock(&asking.stock, unit)?, Watch::silent())?;
    let paper = Some(sheet.kept(picture_hash(bytes)));
    Ok((own, TraceChoices { bridge, paper, ..TraceChoices::default() }))
}

fn bridge(typed: &str) -> Result<Um, Trouble> {
    parse(typed).map_err(|error| {
        Trouble::of(
            error.to_string(),
            "Say how wide a break in a line may be, as in 1 mm or 1/16 in, or leave it empty.",
        )
    })
}

/// A wider break in a line is no slip of the pen.
const BRIDGE_MM: f64 = 20.0;

/// Makes the job's file from an own drawing, which is the pattern at once.
fn begin_drawn(
    asking: &Asking,
    own: &Own,
    (trace, paper): (TraceChoices, Option<&[u8]>),
    folder: &Path,
) -> Result<Job, Trouble> {
    let mut work = begun(asking, own.panel, None)?;
    work.choices.trace = trace;
    workshop::plan_drawn(&mut work, own)?;
    let path = free(asking.folder.as_deref().map_or(folder, Path::new), &asking.title);
    let label = own.left_out().map_or("took the drawing".into(), |left| format!("took the drawing. {left}"));
    Job::create(path, &work, paper, &label).map_err(|problem| Trouble::from(&problem))
}

/// A job with its wishes, nothing drawn yet.
fn begun(asking: &Asking, panel: Size, picture: Option<PictureRef>) -> Result<Work, Trouble> {
    let woods = ShopFile::woods().map_err(|problem| Trouble::from(&problem))?;
    let mut work = Work { woods, ..Work::default() };
    let usual = Choices::default();
    let unit = if in_inches(&asking.width) { Unit::Inch } else { Unit::Mm };
    let edits = workshop::begin(Beginning {
        title: asking.title.clone(),
        panel,
        unit,
        stock: workshop::stock(&asking.stock, unit)?,
        woods_most: asking.woods.unwrap_or(usual.woods_most),
        backer: usual.backer,
        picture,
    });
    edits.iter().try_for_each(|edit| workshop::apply(&mut work, edit).map(|_| ()))?;
    Ok(work)
}

/// A name that no file of the folder has, from the title.
fn free(folder: &Path, title: &str) -> PathBuf {
    let plain: String = title.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    let stem: String = words.join("-").chars().take(60).collect();
    let stem = if stem.is_empty() { "picture".into() } else { stem };
    let named = |end: &str| folder.join(format!("{stem}{end}.spelk"));
    let mut path = named("");
    let mut count = 2;
    while path.exists() {
        path = named(&format!("-{count}"));
        count += 1;
    }
    path
}
