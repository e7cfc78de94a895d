//! The relief as a solid in 3D: one binary glTF for the browser and any viewer. Upright, in metres, the front to +z.
//!
//! Each piece is a body of its own, named by its number; one texture holds all faces, unlit. Where it fails: a side shows
//! the colours at the edge of its face, not the solid's own side; very sharp points may fold where they are set in.

mod body;
mod ears;
mod file;

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use measure::Watch;
use measure::colour::to_byte;
use rayon::prelude::*;

use super::clamped;
use super::expose::{Shot, expose};
use super::pose::Pose;
use crate::derived::Derived;
use crate::work::{Becomes, Number, Work};
use body::Body;

/// Quality of the texture, percent: above it bytes grow faster than what can be seen.
const JPEG_QUALITY: u8 = 86;
/// The widest texture, pixels: what every browser takes.
const WIDEST_TEXTURE: u32 = 4096;
/// How thick the backer is drawn, mm; common practice, no source.
const BACKER_MM: f32 = 9.0;

/// The relief as the bytes of a GLB; `pose.width` is the width of its texture. `None` when stopped.
pub fn glb(work: &Work, derived: &mut Derived, pose: Pose, watch: Watch) -> Option<Vec<u8>> {
    let pose = Pose { width: pose.width.min(WIDEST_TEXTURE), ..clamped(pose) };
    let shot = expose(work, derived, &pose, watch)?;
    let jpeg = texture(&shot);
    watch.tell("shaping the pieces", 0.8);
    let bodies = bodies(work, derived, &shot);
    let rough = 0.9 - 0.007 * pose.gloss.min(100) as f32;
    (!watch.stopped()).then(|| file::file(&bodies, &jpeg, (&work.choices.title, rough)))
}

fn bodies(work: &Work, derived: &mut Derived, shot: &Shot) -> Vec<(String, Body)> {
    let panel = [work.panel.width.to_mm() as f32, work.panel.height.to_mm() as f32];
    let outlines = derived.outlines(work);
    let shown = work.pattern.areas.iter().filter(|(id, _)| shot.faces.at(id.0).piece);
    let pieces: Vec<_> = shown.filter_map(|(id, area)| Some((id, area, outlines.areas.get(id)?))).collect();
    let body = |&(id, area, outline): &(_, &crate::work::Area, &crate::pattern::Outline)| {
        let id: &crate::work::AreaId = id;
        let name = match area.becomes {
            Becomes::Piece(Number(number)) => format!("piece {number}"),
            _ => format!("area {}", id.0),
        };
        let size = (shot.faces.at(id.0).height, outline.widest.radius as f32 / 1000.0);
        (name, Body::piece(&outline.rings, size, panel))
    };
    let mut bodies = vec![("backer".to_string(), Body::sheet(panel, BACKER_MM))];
    bodies.extend(pieces.par_iter().map(body).collect::<Vec<_>>());
    bodies
}

/// The faces, unlit, as a JPEG.
fn texture(shot: &Shot) -> Vec<u8> {
    let (width, height, fine) = (shot.grid.width as usize, shot.grid.height as usize, shot.grid.fine as usize);
    let mut pixels = vec![0; width * height * 3];
    pixels.par_chunks_mut(width * 3).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
            let mut sum = [0.0; 3];
            for sample in 0..fine * fine {
                let bare = shot.bare((column * fine + sample % fine, row * fine + sample / fine));
                (0..3).for_each(|c| sum[c] += bare[c]);
            }
            (0..3).for_each(|c| pixel[c] = to_byte(f64::from(sum[c] / (fine * fine) as f32)));
        }
    });
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, JPEG_QUALITY)
        .write_image(&pixels, width as u32, height as u32, ExtendedColorType::Rgb8)
        .expect("a texture has three bytes a pixel, and memory takes every write");
    bytes
}
