//! Bytes of an image to an upright sRGB raster of working size.
//!
//! The header is read first and its size judged before anything is decoded, so a small file cannot claim the memory of a
//! huge picture. EXIF orientation is applied; an embedded RGB or grey profile is brought to sRGB (16 bits a channel on
//! the way); a profile that cannot be read, or of inks, is passed over and the values are taken as sRGB.

use std::io::Cursor;
use std::sync::Arc;

use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageError, ImageReader, Limits, RgbaImage};
use moxcms::{ColorProfile, DataColorSpace, Layout, Transform16BitExecutor, TransformOptions};

use super::{Raster, framing, size};
use crate::work::{Framing, Refusal, Way};

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
    read_framed(bytes, None)
}

/// The same, of what a framing leaves of the picture.
pub fn read_framed(bytes: &[u8], framing: Option<&Framing>) -> Result<Raster, Refusal> {
    let picture = decode(bytes)?;
    if picture.pixels().all(|p| p.0[3] < OPAQUE) {
        return Err(Refusal::new("The picture is transparent all over: there is nothing to saw.")
            .way(Way::advice("Save it with its background, or without transparency, and read it again.")));
    }
    Ok(match framing {
        Some(framing) => framing::seen(&picture, framing),
        None => size::to_working(picture),
    })
}

/// Pixels across and down of a picture that `read` takes, upright, without decoding it.
pub fn sides(bytes: &[u8]) -> Result<(u32, u32), Refusal> {
    let mut decoder = decoder(bytes)?;
    let (width, height) = decoder.dimensions();
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    Ok(if lies_over(orientation) { (height, width) } else { (width, height) })
}

/// Whether what is upright is as wide as the file's rows are many.
fn lies_over(orientation: Orientation) -> bool {
    use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
    matches!(orientation, Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH)
}

/// A decoder that has read the header, its size judged.
fn decoder(bytes: &[u8]) -> Result<impl ImageDecoder, Refusal> {
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|_| no_picture())?;
    if reader.format() == Some(image::ImageFormat::Jpeg) && !jpeg_is_whole(bytes) {
        return Err(cut_short());
    }
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MOST_BYTES);
    let mut reader = reader;
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(unreadable)?;
    let (width, height) = decoder.dimensions();
    judge_size(width, height)?;
    Ok(decoder)
}

fn decode(bytes: &[u8]) -> Result<RgbaImage, Refusal> {
    let mut decoder = decoder(bytes)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let profile = decoder.icc_profile().ok().flatten();
    let picture = DynamicImage::from_decoder(decoder).map_err(unreadable)?;
    let mut upright = DynamicImage::ImageRgba8(match profile.and_then(|p| Transform::new(&p, &picture)) {
        Some(transform) => transform.run(&picture),
        None => picture.into_rgba8(),
    });
    upright.apply_orientation(orientation);
    Ok(upright.into_rgba8())
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

/// From an embedded profile to sRGB.
struct Transform {
    grey: bool,
    run: Arc<Transform16BitExecutor>,
}

/// Rows that are brought to sRGB at once: the whole picture at 16 bits would need twice its memory.
const STRIP: u32 = 64;

impl Transform {
    /// `None` when the profile is of no use for the picture.
    fn new(profile: &[u8], picture: &DynamicImage) -> Option<Transform> {
        let profile = ColorProfile::new_from_slice(profile).ok()?;
        let grey = !picture.color().has_color();
        let layout = match profile.color_space {
            DataColorSpace::Rgb if !grey => Layout::Rgba,
            DataColorSpace::Gray if grey => Layout::GrayAlpha,
            _ => return None,
        };
        let target = ColorProfile::new_srgb();
        let run = profile.create_transform_16bit(layout, &target, Layout::Rgba, TransformOptions::default()).ok()?;
        Some(Transform { grey, run })
    }

    fn run(&self, picture: &DynamicImage) -> RgbaImage {
        let (width, height) = (picture.width(), picture.height());
        let mut out = Vec::with_capacity(width as usize * height as usize * 4);
        for top in (0..height).step_by(STRIP as usize) {
            let strip = picture.crop_imm(0, top, width, STRIP.min(height - top));
            out.extend(self.strip(&strip).into_raw());
        }
        RgbaImage::from_raw(width, height, out).expect("the strips make up the picture")
    }

    fn strip(&self, strip: &DynamicImage) -> RgbaImage {
        let source = if self.grey { strip.to_luma_alpha16().into_raw() } else { strip.to_rgba16().into_raw() };
        let mut out = Rgba16Image::new(strip.width(), strip.height());
        match self.run.transform(&source, &mut out) {
            Ok(()) => DynamicImage::ImageRgba16(out).into_rgba8(),
            Err(_) => strip.to_rgba8(),
        }
    }
}

type Rgba16Image = image::ImageBuffer<image::Rgba<u16>, Vec<u16>>;

#[cfg(test)]
mod tests {
    use image::codecs::{jpeg::JpegEncoder, png::PngEncoder};
    use image::{ExtendedColorType, ImageEncoder, ImageFormat};

    use super::*;

    /// Red on the left, blue on the right, dark at the bottom left corner.
    fn sample() -> RgbaImage {
        RgbaImage::from_fn(60, 40, |x, y| match (x < 30, x < 10 && y >= 30) {
            (_, true) => image::Rgba([10, 10, 10, 255]),
            (true, _) => image::Rgba([200, 30, 30, 255]),
            (false, _) => image::Rgba([30, 30, 200, 255]),
        })
    }

    fn bytes_of(format: ImageFormat) -> Vec<u8> {
        let mut out = Cursor::new(Vec::new());
        let picture = DynamicImage::ImageRgba8(sample());
        let picture = if format == ImageFormat::Jpeg { DynamicImage::ImageRgb8(picture.into_rgb8()) } else { picture };
        picture.write_to(&mut out, format).unwrap();
        out.into_inner()
    }

    /// The pixel at a share of width and height.
    fn at(raster: &Raster, x: f64, y: f64) -> [u8; 4] {
        let (x, y) = ((x * f64::from(raster.width)) as u32, (y * f64::from(raster.height)) as u32);
        raster.pixels[(y * raster.width + x) as usize]
    }

    fn near(found: [u8; 4], wanted: [u8; 3], within: u8) -> bool {
        (0..3).all(|k| found[k].abs_diff(wanted[k]) <= within)
    }

    #[test]
    fn every_format_is_read() {
        use ImageFormat::{Bmp, Gif, Jpeg, Png, Tiff, WebP};
        for format in [Png, Jpeg, WebP, Tiff, Gif, Bmp] {
            let raster = read(&bytes_of(format)).unwrap_or_else(|r| panic!("{format:?}: {r}"));
            assert!(near(at(&raster, 0.25, 0.3), [200, 30, 30], 12), "{format:?}");
            assert!(near(at(&raster, 0.75, 0.3), [30, 30, 200], 12), "{format:?}");
        }
    }

    #[test]
    fn small_pictures_grow_and_keep_their_shape() {
        let raster = read(&bytes_of(ImageFormat::Png)).unwrap();
        assert_eq!((raster.width, raster.height), (1500, 1000));
        let large = RgbaImage::from_fn(4000, 1500, |x, _| image::Rgba([(x / 16) as u8, 9, 9, 255]));
        let raster = size::to_working(large);
        assert_eq!((raster.width, raster.height), (2828, 1061));
        assert!(near(at(&raster, 0.5, 0.5), [125, 9, 9], 1));
    }

    /// EXIF orientation 6 (row 0 is the right side, JEITA CP-3451): the stored picture is turned clockwise to stand.
    #[test]
    fn exif_orientation_turns_it_upright() {
        let mut out = Vec::new();
        let mut encoder = JpegEncoder::new_with_quality(&mut out, 95);
        let tiff = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
        encoder.set_exif_metadata(tiff.to_vec()).unwrap();
        let rgb = DynamicImage::ImageRgba8(sample()).into_rgb8();
        encoder.write_image(&rgb, 60, 40, ExtendedColorType::Rgb8).unwrap();
        let raster = read(&out).unwrap();
        assert_eq!((raster.width, raster.height), (1000, 1500));
        assert_eq!(sides(&out).unwrap(), (40, 60));
        assert!(near(at(&raster, 0.6, 0.2), [200, 30, 30], 12), "left became top");
        assert!(near(at(&raster, 0.5, 0.8), [30, 30, 200], 12), "right became bottom");
        assert!(near(at(&raster, 0.05, 0.05), [10, 10, 10], 20), "bottom left became top left");
    }

    /// In Display P3 the red of sRGB is (234, 51, 35): from memory, and by the primaries of SMPTE EG 432-1.
    #[test]
    fn an_embedded_profile_is_brought_to_srgb() {
        let mut out = Vec::new();
        let mut encoder = PngEncoder::new(&mut out);
        encoder.set_icc_profile(ColorProfile::new_display_p3().encode().unwrap()).unwrap();
        let pixels: Vec<u8> = [234, 51, 35].repeat(32 * 32);
        encoder.write_image(&pixels, 32, 32, ExtendedColorType::Rgb8).unwrap();
        let raster = read(&out).unwrap();
        assert!(near(raster.pixels[0], [255, 0, 0], 6), "{:?}", raster.pixels[0]);
    }

    #[test]
    fn sixteen_bits_and_alpha_are_kept() {
        let deep =
            Rgba16Image::from_fn(32, 32, |x, _| image::Rgba([0x8000, 0x4000, 0xffff, if x < 16 { 0 } else { 0xffff }]));
        let mut out = Cursor::new(Vec::new());
        DynamicImage::ImageRgba16(deep).write_to(&mut out, ImageFormat::Png).unwrap();
        let raster = read(&out.into_inner()).unwrap();
        assert_eq!(at(&raster, 0.2, 0.5)[3], 0);
        assert_eq!(at(&raster, 0.8, 0.5)[3], 255);
        assert!(near(at(&raster, 0.8, 0.5), [128, 64, 255], 1));
        assert!(near(at(&raster, 0.51, 0.5), [128, 64, 255], 3), "what is clear does not bleed in");
    }

    #[test]
    fn what_is_cut_short_is_refused() {
        use ImageFormat::{Bmp, Gif, Jpeg, Png, Tiff, WebP};
        for format in [Png, Jpeg, WebP, Tiff, Gif, Bmp] {
            let bytes = bytes_of(format);
            for share in [0.3, 0.6, 0.9] {
                let cut = &bytes[..(bytes.len() as f64 * share) as usize];
                let refusal = read(cut).expect_err(&format!("{format:?} cut to {share}"));
                assert!(!refusal.ways.is_empty());
            }
        }
    }

    #[test]
    fn what_is_no_picture_is_refused() {
        for bytes in [&b""[..], b"PK\x03\x04 a packed folder", b"<svg xmlns='http://www.w3.org/2000/svg'/>", &[0; 4096]]
        {
            assert_eq!(read(bytes).unwrap_err(), no_picture());
        }
    }

    fn plain_png(width: u32, height: u32, colour: [u8; 4]) -> Vec<u8> {
        let mut out = Cursor::new(Vec::new());
        let picture = RgbaImage::from_pixel(width, height, image::Rgba(colour));
        picture.write_to(&mut out, ImageFormat::Png).unwrap();
        out.into_inner()
    }

    #[test]
    fn one_pixel_and_all_clear_are_refused() {
        assert!(read(&plain_png(1, 1, [1, 2, 3, 255])).unwrap_err().what.contains("1 by 1 pixels"));
        assert!(read(&plain_png(40, 40, [1, 2, 3, 0])).unwrap_err().what.contains("transparent"));
    }

    /// CRC-32 of ISO 3309, as the PNG specification (annex D) gives it.
    fn crc(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(!0u32, |crc, b| {
            (0..8).fold(crc ^ u32::from(*b), |c, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 })
        })
    }

    /// A true header and nothing behind it: refused by its size before any pixel is looked for.
    #[test]
    fn a_huge_picture_is_refused_by_its_header() {
        let mut bytes = plain_png(32, 32, [1, 2, 3, 255]);
        bytes[16..24].copy_from_slice(&[0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60]);
        let sum = crc(&bytes[12..29]).to_be_bytes();
        bytes[29..33].copy_from_slice(&sum);
        let refusal = read(&bytes).unwrap_err();
        assert!(refusal.what.contains("60000 by 60000 pixels"), "{refusal}");
    }
}
