//! From light to bytes: sheen, tone, greys, what the eye parts from afar.

use measure::Watch;
use measure::colour::to_byte;
use rayon::prelude::*;

use super::Lit;
use super::expose::{Sent, Shot};
use super::gloss::Gloss;
use super::oblique::{Hit, Oblique};
use super::pose::{Pose, Show};

/// Light above this is rolled off towards white; every wood's lit face lies below.
const SHOULDER: f32 = 0.8;
/// Steps of linear light in the table of bytes: below half a byte's width even in the darks.
const ENCODED: usize = 1 << 15;
/// Red, green and blue in the luminance of sRGB (IEC 61966-2-1).
const LUMINANCE: [f32; 3] = [0.212_6, 0.715_2, 0.072_2];
/// The finest angle that a good eye parts, one minute of arc, in radians (20/20 vision).
const FINEST_ANGLE: f32 = 2.909e-4;

/// The picture as sRGB bytes. `None` when stopped.
pub(super) fn develop(shot: &Shot, pose: &Pose, watch: Watch) -> Option<Lit> {
    let stands = (pose.aside != 0).then(|| shot.field.stands(&shot.faces, &shot.grid));
    let oblique = (pose.aside != 0).then(|| Oblique::new(pose.aside, &shot.grid, &shot.field.heights));
    let fine = shot.grid.fine as usize;
    let width = oblique.map_or(shot.grid.width, |oblique| (oblique.across / fine) as u32);
    let height = shot.grid.height;
    let encode = encoder();
    let mut pixels = vec![0u8; width as usize * height as usize * 3];
    let gloss = Gloss::new(pose.gloss, &shot.lamp, (shot.panel(), pose.aside));
    pixels.par_chunks_mut(width as usize * 3).enumerate().for_each(|(row, line)| {
        if !watch.stopped() {
            let hits: Vec<Vec<Hit>> = oblique.zip(stands.as_ref()).map_or(Vec::new(), |(oblique, stands)| {
                (0..fine).map(|y| oblique.row(stands, row * fine + y)).collect()
            });
            let sent = |(x, y): (usize, usize)| match oblique {
                Some(oblique) => shot.sent_aside((hits[y - row * fine][x], y), oblique.toward),
                None => shot.sent((x, y)),
            };
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let light = shown(pixel_light((shot, sent), &gloss, (column, row)), pose.show);
                pixel.iter_mut().zip(light).for_each(|(byte, light)| *byte = encode[(light * ENCODED as f32) as usize]);
            }
        }
    });
    if let Some(away) = pose.away_mm {
        let pixel_mm = shot.grid.step * shot.grid.fine as f32;
        blur(&mut pixels, width as usize, 0.5 * FINEST_ANGLE * away as f32 / pixel_mm);
    }
    (!watch.stopped()).then_some(Lit { width, height, pixels })
}

fn encoder() -> Vec<u8> {
    (0..=ENCODED).map(|step| to_byte((step as f64 + 0.5) / ENCODED as f64)).collect()
}

fn shown(light: [f32; 3], show: Show) -> [f32; 3] {
    match show {
        Show::Picture => light,
        Show::Greys => [luminance(light).min(1.0); 3],
    }
}

/// How light a colour is, in linear light.
pub(super) fn luminance(light: [f32; 3]) -> f32 {
    light.iter().zip(LUMINANCE).map(|(light, weight)| light * weight).sum()
}

fn pixel_light(
    (shot, sent): (&Shot, impl Fn((usize, usize)) -> Sent),
    gloss: &Gloss,
    (column, row): (usize, usize),
) -> [f32; 3] {
    let fine = shot.grid.fine as usize;
    let mut sum = [0.0; 3];
    for sample in 0..fine * fine {
        let sent = sent((column * fine + sample % fine, row * fine + sample / fine));
        let film = gloss.film(&sent);
        (0..3).for_each(|c| sum[c] += tone(film.over(sent.colour[c]) * sent.light[c] + film.sheen));
    }
    sum.map(|sum| (sum / (fine * fine) as f32).clamp(0.0, 1.0))
}

/// Rolls off what is brighter than a lit face can be.
fn tone(light: f32) -> f32 {
    if light <= SHOULDER {
        return light;
    }
    let over = (light - SHOULDER) / (1.0 - SHOULDER);
    SHOULDER + (1.0 - SHOULDER) * over / (1.0 + over)
}

/// Blurs by a Gaussian of `sigma` pixels, in linear light, edges held.
fn blur(pixels: &mut [u8], width: usize, sigma: f32) {
    if sigma < 0.2 {
        return;
    }
    let decode: Vec<f32> = (0..=255).map(|byte| measure::colour::from_byte(byte) as f32).collect();
    let encode = encoder();
    let weights = weights(sigma);
    let height = pixels.len() / width / 3;
    let linear: Vec<[f32; 3]> = pixels.chunks_exact(3).map(|p| [0, 1, 2].map(|c| decode[p[c] as usize])).collect();
    let across = along(&linear, [width, 1], width, &weights);
    let both = along(&across, [height, width], width, &weights);
    for (pixel, light) in pixels.chunks_exact_mut(3).zip(both) {
        (0..3).for_each(|c| pixel[c] = encode[(light[c].clamp(0.0, 1.0) * ENCODED as f32) as usize]);
    }
}

fn weights(sigma: f32) -> Vec<f32> {
    let reach = (3.0 * sigma).ceil() as i32;
    let weight = |at: i32| libm::expf(-0.5 * (at as f32 / sigma) * (at as f32 / sigma));
    let sum: f32 = (-reach..=reach).map(weight).sum();
    (-reach..=reach).map(|at| weight(at) / sum).collect()
}

/// Weighted sums along one axis of `count` pixels, `stride` apart.
fn along(of: &[[f32; 3]], [count, stride]: [usize; 2], width: usize, weights: &[f32]) -> Vec<[f32; 3]> {
    let reach = weights.len() as i32 / 2;
    let sum = |at: usize| {
        let place = if stride == 1 { at % width } else { at / width };
        let mut sum = [0.0; 3];
        for (tap, weight) in weights.iter().enumerate() {
            let other = (place as i32 + tap as i32 - reach).clamp(0, count as i32 - 1);
            let from = &of[(at as i32 + (other - place as i32) * stride as i32) as usize];
            (0..3).for_each(|c| sum[c] += weight * from[c]);
        }
        sum
    };
    (0..of.len()).into_par_iter().map(sum).collect()
}
