//! Bytes of an image to an upright sRGB raster of working size.
//!
//! The header is read first and its size judged before anything is decoded, so a small file cannot claim the memory of a
//! huge picture. EXIF orientation is applied; an embedded RGB or grey profile is brought to sRGB (16 bits a channel on
//! the way); a profile that cannot be read, or of inks, is passed over and the values are taken as sRGB.

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageError, ImageReader, Limits, Rgba};
use moxcms::{ColorProfile, DataColorSpace, Layout, TransformOptions};

use super::{Raster, size};
use crate::work::{Refusal, Way};

/// Shortest side that can carry pieces, pixels.
const LEAST_SIDE: u32 = 16;

/// Longest side that is read, pixels: twice what a scanner makes of an A3 sheet at 600 dots an inch.
const MOST_SIDE: u32 = 20_000;

/// Most pixels that are read: at 8 bytes a pixel this is under the decoder's share of memory.
const MOST_PIXELS: u64 = 100_000_000;

/// Bytes that the decoder may take: 100 megapixels of 16-bit RGBA and its own buffers.
const MOST_BYTES: u64 = 1 << 30;

/// Alpha below this is ground, here and in `subject`.
pub(super) const OPAQUE: u8 = 128;

/// Decodes PNG, JPEG, WebP, TIFF, GIF or BMP; turns it upright (EXIF), brings an embedded profile to sRGB.
/// At most 100 megapixels and 20 000 pixels a side are accepted. The raster is of working size: large pictures are
/// brought down, small ones up.
pub fn read(bytes: &[u8]) -> Result<Raster, Refusal> {
    let picture = decode(bytes)?.into_rgba8();
    if picture.pixels().all(|p| p.0[3] < OPAQUE) {
        return Err(Refusal::new("The picture is transparent all over: there is nothing to saw.")
            .way(Way::advice("Save it with its background, or without transparency, and read it again.")));
    }
    Ok(size::to_working(picture))
}

fn decode(bytes: &[u8]) -> Result<DynamicImage, Refusal> {
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|_| no_picture())?;
    if reader.format() == Some(image::ImageFormat::Jpeg) && !jpeg_is_whole(bytes) {
        return Err(cut_short());
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_BYTES);
    let mut reader = reader;
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(unreadable)?;
    let (width, height) = decoder.dimensions();
    judge_size(width, height)?;
    let orientation = decoder.orientation().unwrap_or(image::metadata::Orientation::NoTransforms);
    let profile = decoder.icc_profile().ok().flatten();
    let mut picture = DynamicImage::from_decoder(decoder).map_err(unreadable)?;
    if let Some(profile) = profile {
        picture = to_srgb(&profile, picture);
    }
    picture.apply_orientation(orientation);
    Ok(picture)
}

fn judge_size(width: u32, height: u32) -> Result<(), Refusal> {
    if width.min(height) < LEAST_SIDE {
        return Err(Refusal::new(format!(
            "The picture is {width} by {height} pixels, and a side under {LEAST_SIDE} pixels shows no shapes to saw."
        ))
        .way(Way::advice("Use a larger version of the picture.")));
    }
    if width.max(height) > MOST_SIDE || u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(Refusal::new(format!(
            "The picture is {width} by {height} pixels; at most 100 megapixels and {MOST_SIDE} pixels a side are read."
        ))
        .way(Way::advice("Scale it down: 2000 pixels across hold all that a saw can follow.")));
    }
    Ok(())
}

fn no_picture() -> Refusal {
    Refusal::new("This is not a picture that can be read.")
        .way(Way::advice("Use a PNG, JPEG, WebP, TIFF, GIF or BMP file."))
}

fn cut_short() -> Refusal {
    Refusal::new("The picture is damaged or cut short: part of it is missing.")
        .way(Way::advice("Copy or download the file again, or save it anew from the program that made it."))
}

fn unreadable(error: ImageError) -> Refusal {
    match error {
        ImageError::Unsupported(_) => no_picture(),
        ImageError::Limits(_) => Refusal::new("The picture would need too much memory to read.")
            .way(Way::advice("Scale it down: 2000 pixels across hold all that a saw can follow.")),
        _ => cut_short(),
    }
}

/// Whether an end-of-image marker follows the first scan. The decoder fills what is missing with grey, silently; within
/// a scan, ITU-T T.81 (B.1.1.5) lets 0xFF be followed by 0xD9 only as that marker.
fn jpeg_is_whole(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(&[0xff, marker, high, low]) = bytes.get(at..at + 4).and_then(|b| b.first_chunk::<4>()) {
        if marker == 0xff {
            at += 1;
            continue;
        }
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
        if marker == 0xda {
            return bytes.get(at..).is_some_and(|scan| scan.windows(2).any(|w| w == [0xff, 0xd9]));
        }
    }
    false
}

/// By the embedded profile; the picture as it is when the profile is of no use.
fn to_srgb(profile: &[u8], picture: DynamicImage) -> DynamicImage {
    let Ok(profile) = ColorProfile::new_from_slice(profile) else { return picture };
    let grey = !picture.color().has_color();
    let layout = match profile.color_space {
        DataColorSpace::Rgb if !grey => Layout::Rgba,
        DataColorSpace::Gray if grey => Layout::GrayAlpha,
        _ => return picture,
    };
    let target = ColorProfile::new_srgb();
    let Ok(transform) = profile.create_transform_16bit(layout, &target, Layout::Rgba, TransformOptions::default())
    else {
        return picture;
    };
    let source = if grey { picture.to_luma_alpha16().into_raw() } else { picture.to_rgba16().into_raw() };
    let mut out = image::ImageBuffer::<Rgba<u16>, Vec<u16>>::new(picture.width(), picture.height());
    match transform.transform(&source, &mut out) {
        Ok(()) => DynamicImage::ImageRgba16(out),
        Err(_) => picture,
    }
}
