//! `spelk view`: the lit relief as a PNG.

use std::io::Cursor;

use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder};
use workshop::view::{Lit, Pose};
use workshop::work::Refusal;

use crate::args::View;
use crate::commands::read;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;
use crate::progress::watched;

pub fn run(typed: &View) -> Result<Outcome, Failure> {
    let (job, mut derived) = read(&typed.job)?;
    let pose = Pose { width: typed.pixels };
    let lit = watched(|watch| workshop::view::render(job.work(), &mut derived, pose, watch));
    let lit = lit.ok_or_else(|| Refusal::new("Stopped; no view was written."))?;
    files::write(&typed.out, &png(&lit))?;
    say!("{}", typed.out.display());
    Ok(Outcome::Done)
}

/// A view as the bytes of a PNG.
pub fn png(lit: &Lit) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    PngEncoder::new(&mut bytes)
        .write_image(&lit.pixels, lit.width, lit.height, ExtendedColorType::Rgb8)
        .expect("a view has three bytes a pixel, and memory takes every write");
    bytes.into_inner()
}
