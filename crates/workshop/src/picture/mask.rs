//! The subject from a second picture of the same shape: a mask.

use super::read::OPAQUE;
use super::{Raster, read};
use crate::work::{Refusal, Way};

/// Sides of picture and mask may differ by this share: rounding when both were scaled.
const SHAPE: f64 = 0.01;

/// The picture with all transparent that the mask leaves out: where the mask is transparent, or, if it is opaque all over,
/// where it is dark.
pub fn masked(raster: &Raster, mask: &[u8]) -> Result<Raster, Refusal> {
    let mask = read(mask)?;
    let shape = |raster: &Raster| f64::from(raster.width) / f64::from(raster.height);
    if (shape(&mask) / shape(raster) - 1.0).abs() > SHAPE {
        let what = format!(
            "The mask has another shape than the picture: it is {:.2} times as wide as high, the picture {:.2} times.",
            shape(&mask),
            shape(raster)
        );
        return Err(Refusal::new(what).way(Way::advice("Make the mask from the picture itself, without cropping.")));
    }
    let solid = mask.pixels.iter().all(|pixel| pixel[3] >= OPAQUE);
    let keeps = |[r, g, b, a]: [u8; 4]| {
        if solid { u32::from(r) + u32::from(g) + u32::from(b) >= 3 * 128 } else { a >= OPAQUE }
    };
    let under = |at: u32, of: u32, side: u32| (u64::from(at) * u64::from(of) / u64::from(side)) as u32;
    let mut out = raster.clone();
    for (at, pixel) in out.pixels.iter_mut().enumerate() {
        let (x, y) = (at as u32 % raster.width, at as u32 / raster.width);
        let there = under(y, mask.height, raster.height) * mask.width + under(x, mask.width, raster.width);
        if !keeps(mask.pixels[there as usize]) {
            pixel[3] = 0;
        }
    }
    if out.pixels.iter().all(|pixel| pixel[3] < OPAQUE) {
        return Err(Refusal::new("The mask keeps nothing of the picture: it is dark all over.")
            .way(Way::advice("Paint white what is to become wood, or leave the mask out.")));
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use image::{DynamicImage, ImageFormat, Rgba, RgbaImage};

    use super::*;

    fn png(width: u32, height: u32, of: impl Fn(u32, u32) -> [u8; 4]) -> Vec<u8> {
        let mut out = Cursor::new(Vec::new());
        let picture = RgbaImage::from_fn(width, height, |x, y| Rgba(of(x, y)));
        DynamicImage::ImageRgba8(picture).write_to(&mut out, ImageFormat::Png).unwrap();
        out.into_inner()
    }

    #[test]
    fn dark_or_transparent_is_left_out() {
        let raster = read(&png(60, 40, |_, _| [90, 120, 60, 255])).unwrap();
        let masks = [
            png(30, 20, |x, _| if x < 15 { [255; 4] } else { [0, 0, 0, 255] }),
            png(120, 80, |x, _| [10, 10, 10, if x < 60 { 255 } else { 0 }]),
        ];
        for mask in masks {
            let out = masked(&raster, &mask).unwrap();
            let kept = out.pixels.iter().filter(|pixel| pixel[3] == 255).count();
            assert!(kept.abs_diff(out.pixels.len() / 2) * 100 < out.pixels.len(), "{kept} of {}", out.pixels.len());
            assert_eq!((out.pixels[0][3], out.pixels[out.width as usize - 1][3]), (255, 0));
        }
    }

    #[test]
    fn another_shape_or_nothing_kept_is_refused() {
        let raster = read(&png(60, 40, |_, _| [90, 120, 60, 255])).unwrap();
        let other = masked(&raster, &png(40, 40, |_, _| [255; 4])).unwrap_err();
        assert!(other.what.contains("another shape"), "{other}");
        let nothing = masked(&raster, &png(60, 40, |_, _| [9, 9, 9, 255])).unwrap_err();
        assert!(nothing.what.contains("keeps nothing"), "{nothing}");
    }
}
