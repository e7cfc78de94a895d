//! The picture: on one page and at true scale on the pattern's tiles, each bare and with borders and numbers.

use image::ExtendedColorType;
use image::codecs::jpeg::JpegEncoder;
use krilla::image::Image;

use super::cover;
use super::draw::{Drawing, Placed};
use super::facts::Facts;
use super::frame::Frame;
use super::map::Map;
use super::paper::{Paper, Rect};
use super::pen::{Line, Pen};
use crate::picture::Raster;

/// Under each border, so that it shows on dark places too.
const HALO: Line = Line { pt: 1.5, colour: [255; 3], dash: &[] };

/// Quality of pictures in the book. 85 shows blocks in even skies, 95 takes half as much space again.
const QUALITY: u8 = 91;

/// The picture for the pen, on white where it is transparent. Drawn many times it is stored once.
pub(super) fn image(raster: &Raster) -> Image {
    let over = |channel: u8, alpha: u8| {
        let (channel, alpha) = (u32::from(channel), u32::from(alpha));
        ((channel * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    };
    let pixels = raster.pixels.iter().flat_map(|&[r, g, b, a]| [r, g, b].map(|channel| over(channel, a)));
    jpeg(&pixels.collect::<Vec<_>>(), raster.width, raster.height)
}

/// Three bytes a pixel as a JPEG (ITU-T T.81): a picture without loss is five times as large and its packing takes longer
/// than all the drawing.
pub(super) fn jpeg(pixels: &[u8], width: u32, height: u32) -> Image {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY)
        .encode(pixels, width, height, ExtendedColorType::Rgb8)
        .expect("a picture of at most 65 535 pixels a side is packed into memory");
    Image::from_jpeg(bytes.into(), true).expect("what was just packed is whole")
}

/// The paper of the picture alone, upright or lying as shows it larger.
pub(super) fn paper(panel: (f64, f64), paper: Paper) -> Paper {
    let wide = |paper: Paper| cover::within(space(paper), panel.0, panel.1).w;
    if wide(paper.turned()) > wide(paper) { paper.turned() } else { paper }
}

fn space(paper: Paper) -> Rect {
    let body = Frame::body(paper);
    Rect::new(body.x, body.y + 2.0, body.w, body.h - 4.0)
}

/// As large as the page takes it.
pub(super) fn whole(pen: &mut Pen, facts: &Facts, (image, on): (&Image, Paper)) {
    pen.image(image.clone(), cover::within(space(paper(facts.panel, on)), facts.panel.0, facts.panel.1));
}

/// The picture under the pattern of a sheet.
pub(super) fn under(pen: &mut Pen, drawing: &Drawing, image: &Image) {
    let panel = Rect::new(0.0, 0.0, drawing.facts.panel.0, drawing.facts.panel.1);
    pen.image(image.clone(), drawing.lens.rect(panel));
}

/// The picture with borders and numbers as on the map of woods.
pub(super) fn mapped(pen: &mut Pen, facts: &Facts, map: &Map, image: &Image) {
    let drawing = map.drawing(facts);
    under(pen, &drawing, image);
    over(pen, &drawing, &map.placed);
    map.explain_insets(pen);
}

/// Borders and numbers over the picture.
pub(super) fn over(pen: &mut Pen, drawing: &Drawing, placed: &Placed) {
    drawing.borders_in(pen, |_| Some(HALO));
    drawing.borders(pen);
    placed.frames(pen);
    placed.labels.numbers(pen);
}
