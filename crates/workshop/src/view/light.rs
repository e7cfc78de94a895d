//! Light on the relief: a soft lamp from the upper left, an even sky, a soft sheen; then the picture.

use measure::Watch;
use measure::colour::to_byte;
use rayon::prelude::*;

use super::backdrop::{Face, Faces};
use super::field::Field;
use super::horizon::{Heights, sweep, turned};

/// Tangent of the lamp's height above the plane of the panel: 50°. Lower, and the shades cover the picture.
pub(super) const LAMP_SLOPE: f32 = 1.191_754;
/// How far the lamp reaches above and below that, as tangents: about 42° to 56°. It makes a shade's edge soft.
const LAMP_RIM: f32 = 0.3;
/// Where the lamp stands, seen on the panel: unit vectors a few degrees apart, about 38° above the left.
const LAMP_TOWARD: [[f32; 2]; 4] =
    [[-0.848048, -0.529919], [-0.809017, -0.587785], [-0.766044, -0.642788], [-0.719340, -0.694658]];
/// The lamp's direction: x right, y down, z towards the eye.
pub(super) const LAMP: [f32; 3] = [-0.506524, -0.395740, 0.766044];
/// The lamp's share of the light on a flat face; the rest is sky.
const LAMP_SHARE: f32 = 0.62;
/// The lamp is a little warm, the sky makes up for it: together they are white.
const LAMP_TINT: [f32; 3] = [1.035, 1.0, 0.94];
/// Eight directions of the sky, the first four more across than down once the field is turned.
const SKY_TOWARD: [[f32; 2]; 4] =
    [[0.92388, 0.382_683], [0.92388, -0.382_683], [-0.92388, 0.382_683], [-0.92388, -0.382_683]];
/// Strength of the sheen of the finish.
const SHEEN: f32 = 0.05;
/// Sharpness of the sheen: waxed and rubbed, not polished.
const SHEEN_SHARPNESS: i32 = 5;
/// How much more light fibres give when they lie across the lamp's direction: cut wood glows so (Marschner 2005).
const FIBRE_GLOW: f32 = 0.03;
/// Light above this is rolled off towards white; every wood's lit face lies below.
const SHOULDER: f32 = 0.8;
/// How much a face brightens where its fibre leans towards the lamp by a whole sine: the shimmer of figured wood.
const LUSTRE: f32 = 1.1;

/// What each sample sees of the lamp, and each pixel of the sky, 0 to 1.
pub(super) struct Seen {
    pub lamp: Vec<f32>,
    pub sky: Vec<f32>,
}

/// How much of the lamp each sample sees.
pub(super) fn lamp(field: &Field, watch: Watch) -> Option<Vec<f32>> {
    let share = |slope: f32| {
        let hidden = ((slope - LAMP_SLOPE + LAMP_RIM) / (2.0 * LAMP_RIM)).clamp(0.0, 1.0);
        (1.0 - hidden * hidden * (3.0 - 2.0 * hidden)) / LAMP_TOWARD.len() as f32
    };
    gather(&field.heights, &LAMP_TOWARD, (share, watch))
}

/// How much of the sky each pixel sees, weighted by the cosine: over each direction 1 − sin² of the horizon.
pub(super) fn sky(field: &Field, watch: Watch) -> Option<Vec<f32>> {
    let toward: Vec<[f32; 2]> = SKY_TOWARD.iter().flat_map(|&[x, y]| [[x, y], [y, x]]).collect();
    let share = |slope: f32| 0.125 / (1.0 + slope * slope);
    gather(&pixel_heights(field), &toward, (share, watch))
}

/// Sums what `give` makes of the horizons over all directions.
fn gather(
    heights: &Heights,
    toward: &[[f32; 2]],
    (give, watch): (impl Fn(f32) -> f32 + Sync, Watch),
) -> Option<Vec<f32>> {
    let flat = |way: &&[f32; 2]| way[0].abs() >= way[1].abs();
    let mut sums = vec![0.0; heights.mm.len()];
    for way in toward.iter().filter(flat) {
        sweep(heights, *way, &mut sums, (&give, watch))?;
    }
    let steep: Vec<_> = toward.iter().filter(|way| !flat(way)).collect();
    if steep.is_empty() {
        return Some(sums);
    }
    let (heights, mut aside) = (heights.turned(), vec![0.0; sums.len()]);
    for way in steep {
        sweep(&heights, [way[1], way[0]], &mut aside, (&give, watch))?;
    }
    let back = turned(&aside, heights.across);
    sums.iter_mut().zip(back).for_each(|(sum, more)| *sum += more);
    Some(sums)
}

/// The mean height of each pixel's samples.
fn pixel_heights(field: &Field) -> Heights {
    let (fine, fines) = (field.grid.fine as usize, &field.heights);
    let (across, down) = (field.grid.width as usize, field.grid.height as usize);
    let mean = |at: usize| {
        let first = (at / across * fines.across + at % across) * fine;
        let rows = (0..fine).map(|row| fines.mm[first + row * fines.across..][..fine].iter().sum::<f32>());
        rows.sum::<f32>() / (fine * fine) as f32
    };
    Heights { across, down, step: fines.step * fine as f32, mm: (0..across * down).into_par_iter().map(mean).collect() }
}

/// The picture as sRGB bytes. `None` when stopped.
pub(super) fn develop(field: &Field, faces: &Faces, seen: &Seen, watch: Watch) -> Option<Vec<u8>> {
    let encode = encoder();
    let width = field.grid.width as usize;
    let mut pixels = vec![0u8; width * field.grid.height as usize * 3];
    pixels.par_chunks_mut(width * 3).enumerate().for_each(|(row, line)| {
        if !watch.stopped() {
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let light = pixel_light(field, faces, seen, (column, row));
                pixel.iter_mut().zip(light).for_each(|(byte, light)| *byte = encode[(light * ENCODED as f32) as usize]);
            }
        }
    });
    (!watch.stopped()).then_some(pixels)
}

/// Steps of linear light in the table of bytes: below half a byte's width even in the darks.
const ENCODED: usize = 1 << 15;

fn encoder() -> Vec<u8> {
    (0..=ENCODED).map(|step| to_byte((step as f64 + 0.5) / ENCODED as f64)).collect()
}

fn pixel_light(field: &Field, faces: &Faces, seen: &Seen, (column, row): (usize, usize)) -> [f32; 3] {
    let fine = field.grid.fine as usize;
    let sky = seen.sky[row * field.grid.width as usize + column];
    let mut sum = [0.0; 3];
    for sample in 0..fine * fine {
        let (x, y) = (column * fine + sample % fine, row * fine + sample / fine);
        let at = y * field.grid.across as usize + x;
        let light = sample_light(field, faces, (at, field.grid.place(x, y)), (seen.lamp[at], sky));
        sum.iter_mut().zip(light).for_each(|(sum, light)| *sum += light);
    }
    sum.map(|sum| (sum / (fine * fine) as f32).clamp(0.0, 1.0))
}

fn sample_light(field: &Field, faces: &Faces, (at, place): (usize, [f32; 2]), (lamp, sky): (f32, f32)) -> [f32; 3] {
    let face = field.face(faces, at);
    let normal = field.normal(face, at);
    let facing = (normal[0] * LAMP[0] + normal[1] * LAMP[1] + normal[2] * LAMP[2]).max(0.0) / LAMP[2];
    let direct = LAMP_SHARE * lamp * facing;
    let sheen = lamp * SHEEN * (gloss(normal) - gloss([0.0, 0.0, 1.0])).max(0.0);
    let colour = surface(face, place, field.grid.step);
    let open = sky * 0.5 * (1.0 + normal[2]);
    std::array::from_fn(|c| {
        let skylight = (1.0 - LAMP_SHARE * LAMP_TINT[c]) * bounced(open, colour[c]);
        tone(colour[c] * (direct * LAMP_TINT[c] + skylight) + sheen)
    })
}

/// The colour of a face at a place: the mean of its wood, with the marks of the solid and the glow of its fibres.
fn surface(face: &Face, [x, y]: [f32; 2], sample: f32) -> [f32; 3] {
    let Some(solid) = &face.solid else { return face.colour };
    let shown = solid.shown([x, y, 0.0], sample);
    let along = solid.along();
    let across = along[0] * LAMP_TOWARD[1][1] - along[1] * LAMP_TOWARD[1][0];
    let glow = 1.0 + FIBRE_GLOW * (2.0 * across * across - 1.0);
    let shimmer = 1.0 + LUSTRE * shown.lean * (along[0] * LAMP[0] + along[1] * LAMP[1]);
    std::array::from_fn(|c| face.colour[c] * glow * shimmer * shown.colour[c])
}

/// Sky light in a hollow, with what the hollow's own walls throw back: the cubic that Jimenez, Wu, Pesce and Jarabo
/// ("Practical real-time strategies for accurate indirect occlusion", 2016) fitted to path-traced hollows.
fn bounced(open: f32, reflectance: f32) -> f32 {
    let a = 2.0404 * reflectance - 0.3324;
    let b = -4.7951 * reflectance + 0.6417;
    let c = 2.7552 * reflectance + 0.6903;
    open.max(((open * a + b) * open + c) * open)
}

/// How far the surface mirrors the lamp into the eye: the cosine to the half vector, sharpened by squaring.
fn gloss(normal: [f32; 3]) -> f32 {
    let half = [LAMP[0], LAMP[1], LAMP[2] + 1.0];
    let length = (half[0] * half[0] + half[1] * half[1] + half[2] * half[2]).sqrt();
    let cosine = (normal[0] * half[0] + normal[1] * half[1] + normal[2] * half[2]).max(0.0) / length;
    (0..SHEEN_SHARPNESS).fold(cosine, |sharp, _| sharp * sharp)
}

/// Rolls off what is brighter than a lit face can be.
fn tone(light: f32) -> f32 {
    if light <= SHOULDER {
        return light;
    }
    let over = (light - SHOULDER) / (1.0 - SHOULDER);
    SHOULDER + (1.0 - SHOULDER) * over / (1.0 + over)
}
