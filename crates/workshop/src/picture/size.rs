//! The working size: large pictures down, small ones up.
//!
//! Down by a filter that covers the area a new pixel stands for, up by a bicubic (Catmull-Rom): both are polynomials, so
//! no platform's mathematics comes in. Colours are weighted with alpha, so that what hides under transparency does not
//! bleed in.

use image::RgbaImage;
use image::imageops::{FilterType, resize};

use super::Raster;

/// Most pixels that are worked on: at 400 mm across, 0.2 mm a pixel, finer than a blade follows. More costs time alone.
const MOST: f64 = 3_000_000.0;

/// Least pixels that are worked on: borders run on the pixel grid until they are fitted, so a coarse grid shows in them.
const LEAST: f64 = 1_500_000.0;

/// The raster of working size.
pub(super) fn to_working(picture: RgbaImage) -> Raster {
    let by = scale(f64::from(picture.width()) * f64::from(picture.height()));
    if by == 1.0 {
        return raster(&picture);
    }
    let side = |side: u32| (f64::from(side) * by).round().max(1.0) as u32;
    let (width, height) = (side(picture.width()), side(picture.height()));
    let filter = if by < 1.0 { FilterType::Triangle } else { FilterType::CatmullRom };
    raster(&resized(picture, width, height, filter))
}

/// By how much the sides of a picture of so many pixels are scaled.
pub(super) fn scale(pixels: f64) -> f64 {
    (pixels.clamp(LEAST, MOST) / pixels).sqrt()
}

/// The picture at another size.
pub(super) fn resized(mut picture: RgbaImage, width: u32, height: u32, filter: FilterType) -> RgbaImage {
    let clear = picture.pixels().any(|p| p.0[3] < u8::MAX);
    if clear {
        picture.pixels_mut().for_each(|p| weight(&mut p.0));
    }
    let mut picture = resize(&picture, width, height, filter);
    if clear {
        picture.pixels_mut().for_each(|p| unweight(&mut p.0));
    }
    picture
}

fn raster(picture: &RgbaImage) -> Raster {
    let pixels = picture.pixels().map(|p| p.0).collect();
    Raster { width: picture.width(), height: picture.height(), pixels }
}

/// Brings a pixel's colours to what they weigh by its alpha.
pub(super) fn weight(pixel: &mut [u8; 4]) {
    let alpha = u32::from(pixel[3]);
    pixel[..3].iter_mut().for_each(|v| *v = ((u32::from(*v) * alpha + 127) / 255) as u8);
}

/// The colours of a pixel that was weighted.
pub(super) fn unweight(pixel: &mut [u8; 4]) {
    let alpha = u32::from(pixel[3]).max(1);
    pixel[..3].iter_mut().for_each(|v| *v = ((u32::from(*v) * 255 + alpha / 2) / alpha).min(255) as u8);
}
