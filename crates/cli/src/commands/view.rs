//! `spelk view`: the lit relief as a picture, as a solid, or as numbers.

use std::io::Cursor;

use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder};
use measure::Watch;
use workshop::Derived;
use workshop::picture::Raster;
use workshop::view::{self, Light, Lit, Pose, Show, Surface};
use workshop::work::{PartId, Refusal, VariantId, Way, WoodId, Work};

use crate::args::{self, Shows, View};
use crate::commands::{photographs, read};
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;
use crate::progress::watched;

pub fn run(typed: &View) -> Result<Outcome, Failure> {
    let ending = ending(typed)?;
    let (job, mut derived) = read(&typed.job)?;
    derived.set_photographs(photographs(&job)?);
    let pose = pose(typed, job.work())?;
    let works = works(typed, job.work())?;
    let picture = typed.picture.then(|| derived.picture().cloned().ok_or_else(no_picture)).transpose()?;
    let shown = Shown { works: &works, picture: picture.as_deref() };
    let made = watched(|watch| made((typed.show, ending), (shown, &mut derived), pose, watch));
    let bytes = made.ok_or_else(|| Refusal::new("Stopped; no view was written."))?;
    files::write(&typed.out, &bytes)?;
    say!("{}", typed.out.display());
    say_what_is_open(job.work());
    Ok(Outcome::Done)
}

/// What kind of file is asked for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ending {
    Png,
    Pfm,
    Glb,
}

fn ending(typed: &View) -> Result<Ending, Failure> {
    let ending = typed.out.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    let numbers = matches!(typed.show, Shows::Depth | Shows::Colour | Shows::Light);
    let several = typed.picture || !typed.backers.is_empty() || !typed.variants.is_empty();
    match (ending.as_str(), numbers) {
        ("glb" | "pfm", _) if several => Err(Failure::Typed("only a .png holds views side by side".into())),
        ("png", false) => Ok(Ending::Png),
        ("glb", false) => Ok(Ending::Glb),
        ("pfm", true) => Ok(Ending::Pfm),
        ("pfm", false) => Err(Failure::Typed("a .pfm holds numbers; add --show depth, colour or light".into())),
        (_, true) => Err(Failure::Typed("numbers go into a .pfm; name the file so, or leave --show away".into())),
        _ => Err(Failure::Typed(format!("{}: a view is a .png or, in 3D, a .glb", typed.out.display()))),
    }
}

fn pose(typed: &View, work: &Work) -> Result<Pose, Failure> {
    let away = typed.away.as_deref().map(args::length).transpose()?;
    Ok(Pose {
        width: typed.pixels,
        light: Light { from: typed.lamp_from, height: typed.lamp_height, share: typed.lamp_share },
        show: if typed.show == Shows::Greys { Show::Greys } else { Show::Picture },
        surface: if typed.raw { Surface::Raw } else { Surface::Finished },
        years: typed.years,
        gloss: typed.gloss,
        aside: typed.aside,
        away_mm: away.map(|length| length.to_mm().max(0.0) as u32),
        part: typed.part.as_deref().map(|name| part(work, name)).transpose()?,
        only_set: typed.set,
        frame: !typed.without_frame,
        wall: true,
    })
}

fn part(work: &Work, name: &str) -> Result<PartId, Refusal> {
    let named = work.parts.iter().find(|(_, part)| part.name == name).map(|(id, _)| *id);
    named.ok_or_else(|| {
        let names: Vec<&str> = work.parts.values().map(|part| part.name.as_str()).collect();
        let way = if names.is_empty() { "This job has no parts yet.".into() } else { names.join(", ") };
        Refusal::new(format!("There is no part “{name}”.")).way(Way::advice(way))
    })
}

fn no_picture() -> Refusal {
    Refusal::new("This job has no picture to show beside the view.").way(Way::advice("Leave --picture away."))
}

/// The job as it stands, or as it would stand on each backer or with each variant put back.
fn works(typed: &View, work: &Work) -> Result<Vec<Work>, Refusal> {
    match (typed.backers.as_slice(), typed.variants.as_slice()) {
        ([], []) => Ok(vec![work.clone()]),
        (backers, []) => {
            let woods: Vec<WoodId> = backers.iter().map(|wood| WoodId(wood.as_str().into())).collect();
            workshop::on_backers(work, &woods)
        }
        (_, variants) => {
            let named = variants.iter().map(|name| variant(work, name)).collect::<Result<Vec<_>, _>>()?;
            workshop::with_variants(work, &named)
        }
    }
}

fn variant(work: &Work, name: &str) -> Result<VariantId, Refusal> {
    let named = work.variants.iter().find(|(_, variant)| variant.name == name).map(|(id, _)| *id);
    named.ok_or_else(|| {
        let names: Vec<&str> = work.variants.values().map(|variant| variant.name.as_str()).collect();
        let way = if names.is_empty() { "This job has no variants yet.".into() } else { names.join(", ") };
        Refusal::new(format!("There is no variant “{name}”.")).way(Way::advice(way))
    })
}

/// What a view is of: the job in one or more states, the picture beside it if it is wanted.
#[derive(Clone, Copy)]
struct Shown<'a> {
    works: &'a [Work],
    picture: Option<&'a Raster>,
}

fn made(
    (show, ending): (Shows, Ending),
    (shown, derived): (Shown, &mut Derived),
    pose: Pose,
    watch: Watch,
) -> Option<Vec<u8>> {
    let work = shown.works.first()?;
    match (ending, show) {
        (Ending::Png, _) => view::compared((shown.works, shown.picture), derived, pose, watch).map(|lit| png(&lit)),
        (Ending::Glb, _) => view::glb(work, derived, pose, watch),
        (Ending::Pfm, Shows::Depth) => view::depth(work, derived, pose, watch).map(|map| map.pfm()),
        (Ending::Pfm, Shows::Colour) => view::linear(work, derived, pose, watch).map(|[colour, _]| colour.pfm()),
        (Ending::Pfm, _) => view::linear(work, derived, pose, watch).map(|[_, light]| light.pfm()),
    }
}

/// What the view had to assume.
fn say_what_is_open(work: &Work) {
    let count = |open: fn(&workshop::work::Piece) -> bool| work.pieces.values().filter(|piece| open(piece)).count();
    let (flat, plain) = (count(|piece| piece.values.height.is_none()), count(|piece| piece.values.wood.is_none()));
    if flat > 0 {
        say!("{flat} of {} pieces have no height yet; they are shown flat, at one height.", work.pieces.len());
    }
    if plain > 0 {
        say!("{plain} of {} pieces have no wood yet; they are shown plain.", work.pieces.len());
    }
}

/// A view as the bytes of a PNG.
pub fn png(lit: &Lit) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    PngEncoder::new(&mut bytes)
        .write_image(&lit.pixels, lit.width, lit.height, ExtendedColorType::Rgb8)
        .expect("a view has three bytes a pixel, and memory takes every write");
    bytes.into_inner()
}
