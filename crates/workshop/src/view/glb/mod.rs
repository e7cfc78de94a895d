//! The relief as a solid in 3D: one binary glTF for the browser and any viewer. Upright, in metres, the front to +z.
//!
//! Each piece is a body of its own, named by its number. Three textures, unlit: all faces, all sides (each the side of the
//! solid that its face is cut from), and the backer. Slots go through their piece, burnt lines lie on the texture of faces. Where it
//! fails: raisers show as the wood they lift; gaps wider than a kerf are drawn as a kerf; very sharp points may fold where they are
//! set in.

mod atlas;
mod body;
mod ears;
mod file;
mod plain;

use std::collections::BTreeSet;

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use measure::Watch;
use measure::colour::to_byte;
use measure::length::Um;
use measure::plane::Point;
use rayon::prelude::*;
use serde_json::{Value, json};

use super::backdrop::{Face, linear, look};
use super::clamped;
use super::edges::KERF_MM;
use super::expose::{Shot, expose};
use super::frame::{self, BEHIND_MM, Rim};
use super::pose::{Pose, Surface};
use crate::derived::Derived;
use crate::pattern::Outlines;
use crate::saw;
use crate::work::{Area, AreaId, Becomes, LooseLine, Number, Wood, WoodId, Work};
use atlas::Atlas;
use body::{Body, Mesh, Page};
use file::{Part, Texture};

/// Quality of the textures, percent: above it bytes grow faster than what can be seen.
const JPEG_QUALITY: u8 = 84;
/// The widest texture, pixels: what every browser takes.
const WIDEST_TEXTURE: u32 = 4096;
/// The backer shows in gaps and shadows only: its texture is this many times coarser.
const BACKER_COARSER: usize = 2;

/// The frame's edges are broken, not rounded, or its mitres would gape: as much as a piece's that is so narrow, mm.
const FRAME_WIDEST_MM: f32 = 0.8;
/// How thick the veneer behind the ground is drawn, mm: about what sawn veneer has. From memory.
const VENEER_MM: f32 = 0.6;

/// What is left of a slot no wider than a kerf, before its sides are set in, µm.
const SLOT_LEAST_UM: i32 = 20;

/// The relief as the bytes of a GLB; `pose.width` is the width of its texture. `None` when stopped.
pub fn glb(work: &Work, derived: &mut Derived, pose: Pose, watch: Watch) -> Option<Vec<u8>> {
    let told = |share| (!watch.stopped()).then(|| watch.tell("shaping the pieces", share));
    let pose = Pose { width: pose.width.min(WIDEST_TEXTURE), wall: false, ..clamped(pose) };
    let shot = expose(work, derived, &pose, watch)?;
    let faces = texture(&shot, 1, |at| shot.bare(at));
    told(0.75)?;
    let backer = texture(&shot, BACKER_COARSER, |at| shot.bare_backer(at));
    told(0.8)?;
    let panel = [work.panel.width, work.panel.height].map(|side| side.to_mm() as f32);
    let page = Page { panel, beyond: shot.grid.beyond() };
    let (names, shown, bodies) = bodies((work, &pose), derived, (&shot, page));
    let atlas = Atlas::new(&bodies);
    told(0.85)?;
    let (pixels, size) = atlas.painted((&bodies, &shown), watch)?;
    let textures = [faces, backer, Texture { name: "sides", jpeg: jpeg(&pixels, size) }];
    told(0.97)?;
    let parts = parts((names, bodies), &shown, (&atlas, page));
    let rough = 0.9 - 0.007 * pose.gloss.min(100) as f32;
    Some(file::file(&parts, &textures, (&work.choices.title, rough, woods(work, &pose))))
}

/// The years after which colours are told.
const YEARS: [u32; 6] = [0, 1, 2, 5, 10, 20];

/// What a viewer needs to show a finish and years: for each wood in linear light its colour in this view, and raw and
/// finished after each of the years.
fn woods(work: &Work, pose: &Pose) -> Value {
    let colour = |wood: &Wood, surface, years| linear(look((work, wood), surface, years));
    let course = |wood: &Wood, surface| YEARS.map(|years| colour(wood, surface, years));
    let told = |wood: &Wood| {
        json!({"shown": colour(wood, pose.surface, pose.years), "raw": course(wood, Surface::Raw),
            "finished": course(wood, Surface::Finished)})
    };
    let used: BTreeSet<&WoodId> =
        work.pieces.values().filter_map(|piece| Some(&piece.values.wood.as_ref()?.value)).collect();
    let frame = work.choices.frame.as_ref().map(|frame| &frame.wood);
    let others = [Some(&work.choices.backer), work.choices.ground.as_ref(), frame];
    let all = used
        .into_iter()
        .chain(others.into_iter().flatten())
        .filter_map(|id| Some((id.0.clone(), told(&known(work, id)?))));
    json!({"years": YEARS, "woods": all.collect::<serde_json::Map<_, _>>()})
}

fn known(work: &Work, id: &WoodId) -> Option<Wood> {
    work.woods.get(id).cloned().or_else(|| crate::wood::table().remove(id))
}

/// Names, faces and bodies: the backer first, then every piece shown and the veneer of the ground.
fn bodies<'a>(
    (work, pose): (&Work, &Pose),
    derived: &mut Derived,
    (shot, page): (&'a Shot, Page),
) -> (Vec<Label>, Vec<&'a Face>, Vec<Body>) {
    let outlines = derived.outlines(work);
    let veneered = |area: &Area| area.becomes == Becomes::Ground && work.choices.ground.is_some();
    let shown = work.pattern.areas.iter().filter(|(id, area)| shot.faces.at(id.0).piece || veneered(area));
    let pieces: Vec<_> = shown.filter_map(|(id, area)| Some((id, area, outlines.areas.get(id)?))).collect();
    let slots = slots(work, &outlines);
    let body = |(id, _, outline): &(&AreaId, &Area, &crate::pattern::Outline)| {
        let own: Vec<&LooseLine> = slots.iter().filter(|(area, _)| area == *id).map(|(_, slot)| slot).collect();
        // A slot parts the widest circle of its piece in two at the worst.
        let widest = outline.widest.radius as f32 / 1000.0 / if own.is_empty() { 1.0 } else { 2.0 };
        let size = (0.0, shot.faces.at(id.0).height.max(VENEER_MM), widest);
        Body::piece(&saw::slotted(&outline.rings, own.into_iter()), size, page)
    };
    let mut bodies = vec![Body::sheet(page, BEHIND_MM)];
    bodies.extend(pieces.par_iter().map(body).collect::<Vec<_>>());
    let named = |(id, area, _): &(&AreaId, &Area, _)| (name(**id, area), wood(work, area));
    let backer = ("backer".to_string(), Some(work.choices.backer.0.clone()));
    let mut names: Vec<Label> = std::iter::once(backer).chain(pieces.iter().map(named)).collect();
    let mut faces: Vec<&Face> =
        std::iter::once(&shot.faces.backer).chain(pieces.iter().map(|(id, ..)| shot.faces.at(id.0))).collect();
    for (name, face, body) in frame((work, pose), shot, page) {
        names.push((name, work.choices.frame.as_ref().map(|frame| frame.wood.0.to_string())));
        faces.push(face);
        bodies.push(body);
    }
    (names, faces, bodies)
}

/// The slots by their area, narrower by the kerf that every side of a body is set in for.
fn slots(work: &Work, outlines: &Outlines) -> Vec<(AreaId, LooseLine)> {
    let narrower = |width: Um| Um((width.0 - (KERF_MM * 1000.0) as i32).max(SLOT_LEAST_UM));
    let of = |(area, slot): (AreaId, &LooseLine)| (area, LooseLine { width: narrower(slot.width), ..slot.clone() });
    saw::slots(work, outlines).into_iter().map(of).collect()
}

/// The frame's members, from the back of the backer to the lip.
fn frame<'a>((work, pose): (&Work, &Pose), shot: &'a Shot, page: Page) -> Vec<(String, &'a Face, Body)> {
    let Some((rim, first)) = Rim::of(work, pose).zip(shot.faces.frame) else { return Vec::new() };
    let member = |(at, ring): (u32, [[f32; 2]; 4])| {
        let face = shot.faces.at(first + at);
        let point = |[x, y]: [f32; 2]| Point::new((x * 1000.0).round() as i32, (y * 1000.0).round() as i32);
        let body = Body::piece(&[ring.map(point).to_vec()], (-BEHIND_MM, face.height, FRAME_WIDEST_MM), page);
        (frame::NAMES[at as usize].to_string(), face, body)
    };
    (0..).zip(rim.members()).map(member).collect()
}

/// A body's name, and the key of its wood.
type Label = (String, Option<String>);

fn wood(work: &Work, area: &Area) -> Option<String> {
    match area.becomes {
        Becomes::Piece(number) => {
            work.pieces.get(&number)?.values.wood.as_ref().map(|chosen| chosen.value.0.to_string())
        }
        Becomes::Ground => work.choices.ground.as_ref().map(|wood| wood.0.to_string()),
        _ => None,
    }
}

fn name(id: AreaId, area: &Area) -> String {
    match area.becomes {
        Becomes::Piece(Number(number)) => format!("piece {number}"),
        Becomes::Ground => format!("ground {}", id.0),
        _ => format!("area {}", id.0),
    }
}

/// The meshes by name: of the face on the first texture, or the second for the backer, and of the sides on the third.
fn parts((names, bodies): (Vec<Label>, Vec<Body>), shown: &[&Face], (atlas, page): (&Atlas, Page)) -> Vec<Part> {
    let part = |(at, ((name, wood), body)): (usize, (Label, Body))| {
        let mut sides = Mesh::default();
        for (run, side) in body.runs.iter().enumerate() {
            side.onto(&mut sides, (page, atlas.place((at, run))));
        }
        let lies = shown[at].lies.map(|lies| lies.in_solid(page.panel));
        Part { name, wood, lies, meshes: vec![(body.face, usize::from(at == 0)), (sides, 2)] }
    };
    names.into_iter().zip(bodies).enumerate().map(part).collect()
}

/// Colours of the grid's samples as a texture, `coarser` times smaller than the picture.
fn texture(shot: &Shot, coarser: usize, colour: impl Fn((usize, usize)) -> [f32; 3] + Sync) -> Texture {
    let fine = shot.grid.fine as usize;
    let size = [shot.grid.width, shot.grid.height].map(|pixels| (pixels as usize / coarser).max(1));
    let step = fine * coarser;
    let mut pixels = vec![0; size[0] * size[1] * 3];
    pixels.par_chunks_mut(size[0] * 3).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
            let mut sum = [0.0; 3];
            for sample in 0..fine * fine {
                let (x, y) = (sample % fine * coarser, sample / fine * coarser);
                let sent = colour((column * step + x, row * step + y));
                (0..3).for_each(|c| sum[c] += sent[c]);
            }
            (0..3).for_each(|c| pixel[c] = to_byte(f64::from(sum[c] / (fine * fine) as f32)));
        }
    });
    Texture { name: if coarser == 1 { "faces" } else { "backer" }, jpeg: jpeg(&pixels, size) }
}

fn jpeg(pixels: &[u8], [width, height]: [usize; 2]) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, JPEG_QUALITY)
        .write_image(pixels, width as u32, height as u32, ExtendedColorType::Rgb8)
        .expect("a texture has three bytes a pixel, and memory takes every write");
    bytes
}
