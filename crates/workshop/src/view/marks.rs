//! Vessels, rays and fibre: the small marks of a solid, and where its fibre leans out of the face.
//!
//! Each vessel and ray lies in a cell of its own, placed by a hash, so a mark costs few hashes and nothing repeats. A mark
//! narrower than the sampling distance is drawn as wide as that and paler by as much: its mean is kept.

use super::anatomy::{Anatomy, Lean};
use super::noise::{cell, hash3, mixed, noise, noise1, noise3, share, step, unit};
use super::rings::Place;

/// How much an open vessel darkens a face: it is a groove that holds its own shade.
const PORE_DEPTH: f32 = 1.15;
/// Length of a vessel's cut on the face in its own widths, and how many more for each mm that it is wide: wide vessels are
/// grooves, fine ones specks.
const PORE_LENGTH: (f32, f32) = (9.0, 62.0);
/// How vessels sway into the face, mm: along and across, together and each by itself; and how far, so that cuts are as long as
/// `PORE_LENGTH` says in the mean.
const SWAY_MM: [(f32, f32); 2] = [(15.0, 5.0), (5.5, 0.7)];
const SWAY: f32 = 0.5;
/// How far they sway to the sides, mm, and over what length and width.
const ASIDE: f32 = 0.16;
const ASIDE_MM: (f32, f32) = (7.5, 2.6);
/// Between vessels, in their own widths: two nets over each other, so that none shows.
const PORE_PITCH: [f32; 2] = [1.7, 2.45];
/// How they crowd and leave room, as a share, and over what length and depth of the log, mm.
const CROWDING: f32 = 0.75;
const CROWD_MM: (f32, f32) = (38.0, 2.1);
/// The narrowest, in shares of the widest.
const NARROWEST: f32 = 0.45;
/// A vessel runs so far in its place, mm, and is stopped over about so much.
const TUBE_MM: f32 = 32.0;
const STOP_MM: f32 = 1.9;
/// Widths between which a vessel becomes a groove to the eye, mm: finer ones are hardly told from the fibre.
const PORE_SEEN: (f32, f32) = (0.02, 0.2);
/// How much fibre darkens and lightens.
const FIBRE_DEPTH: f32 = 0.05;
/// Fibre, coarse and fine, mm: length and width.
const FIBRE_MM: [(f32, f32); 2] = [(22.0, 0.8), (7.0, 0.3)];
/// How far the fibre of a black wood sways in its sheen, as a sine, and the streaks of it, mm: length and width.
const SHEEN: f32 = 0.11;
const SHEEN_MM: (f32, f32) = (48.0, 1.3);
/// How far a ray's sheet reaches from the pith before another takes its place, mm.
const RAY_REACH_MM: f32 = 16.0;
/// Rays across the grain, in their own widths: common in oak, from memory.
const RAY_PITCH: f32 = 4.5;

/// Vessels: how much darker, as a share. Each is a long tube that sways with the fibre; the face cuts it where it sways through,
/// aslant or along, so its cuts are as long, as wide and as pointed as that makes them.
pub(super) fn pores(anatomy: &Anatomy, place: &Place, [u, v, w]: [f32; 3], (sample, seed): (f32, u32)) -> f32 {
    if anatomy.pore_mm < 0.03 {
        return 0.0;
    }
    let (_, within) = cell(place.count);
    let early = 1.0 - step(0.18, 0.45, within);
    let crowd = 1.0 + CROWDING * noise(u / CROWD_MM.0, place.out / CROWD_MM.1, seed ^ 13);
    let often = crowd * anatomy.open * 2.5 * (anatomy.early * early * 4.0 + (1.0 - anatomy.early)).min(3.4);
    let wide = anatomy.pore_mm * if anatomy.early > 0.3 { 0.45 + 0.55 * early } else { 1.0 };
    let steep = 1.0 / (PORE_LENGTH.0 + PORE_LENGTH.1 * anatomy.pore_mm);
    let sway = |at: usize| {
        let (long, across) = SWAY_MM[at];
        SWAY * long * steep * noise(u / long, v / across, seed ^ (14 + at as u32))
    };
    let deep = w + sway(0) + sway(1);
    let aside = v + ASIDE * noise(u / ASIDE_MM.0, v / ASIDE_MM.1, seed ^ 16);
    let tube = |at: usize| {
        let pitch = PORE_PITCH[at] * anatomy.pore_mm;
        let spread = PORE_PITCH[at] / PORE_PITCH[0];
        vessel([u, aside, deep], (wide, pitch, often * spread * spread), (0.5 * sample, seed ^ (10 + at as u32)))
    };
    PORE_DEPTH * step(PORE_SEEN.0, PORE_SEEN.1, anatomy.pore_mm) * tube(0).max(tube(1))
}

/// How much of a sample the vessel of its cell takes; `soft` is half a sample.
fn vessel([u, aside, deep]: [f32; 3], (wide, pitch, often): (f32, f32, f32), (soft, seed): (f32, u32)) -> f32 {
    let (k, fw) = cell(deep / pitch);
    let (j, fv) = cell(aside / pitch + share(k, 5, seed));
    let (i, fu) = cell(u / TUBE_MM + share(j, k, seed));
    let dice = hash3([i, j, k], seed);
    if unit(dice) >= often {
        return 0.0;
    }
    let more = |by: u32| unit(mixed(dice, by));
    let wide = wide * (NARROWEST + (1.0 - NARROWEST) * more(1).sqrt());
    let spare = 1.0 - (wide / pitch).min(0.9);
    let aside = (fv - 0.5 - spare * (more(2) - 0.5)) * pitch;
    let deep = (fw - 0.5 - spare * (more(3) - 0.5)) * pitch;
    let half = 0.5 * wide * step(0.0, 0.1, 1.0 - (2.0 * fu - 1.0).abs());
    let chord = (half * half - deep * deep).max(0.0).sqrt();
    let seen = ((chord + soft - aside.abs()) / (2.0 * soft)).clamp(0.0, (chord / soft).min(1.0));
    if seen <= 0.0 {
        return 0.0;
    }
    // Some are shallow, and some are stopped here and there.
    let stopped = step(-0.8, 0.1, noise1(u / STOP_MM + 37.0 * more(4), seed ^ j as u32));
    seen * (0.35 + 0.65 * more(5)) * (0.4 + 0.6 * stopped)
}

/// Rays: below 0 where they shine on a quartered face, above where they show as dark lines on a flat-sawn one.
pub(super) fn rays(anatomy: &Anatomy, place: &Place, u: f32, (sample, seed): (f32, u32)) -> f32 {
    let [tall, wide] = anatomy.ray_mm;
    if anatomy.rays < 0.05 || tall < 3.0 * sample {
        return 0.0;
    }
    let pitch = wide * RAY_PITCH;
    let wave = 0.6 * pitch * noise(u / (2.2 * tall), place.out / 14.0, seed ^ 30);
    let (j, ft) = cell((place.around + wave) / pitch);
    let (k, fo) = cell(place.out / RAY_REACH_MM + share(j, 3, seed ^ 31));
    let (i, fu) = cell(u / (1.5 * tall) + share(j, k, seed ^ 32));
    let dice = hash3([i, j, k], seed ^ 33);
    let high = 0.35 + 0.65 * unit(dice);
    let along = (2.0 * fu - 1.0).abs() / high;
    if along >= 1.0 {
        return 0.0;
    }
    let half = 0.5 * wide * (1.0 - along * along) * step(0.0, 0.3, 1.0 - (2.0 * fo - 1.0).abs());
    if half <= 0.0 {
        return 0.0;
    }
    let aside = (ft - 0.3 - 0.4 * unit(mixed(dice, 1))).abs() * pitch;
    let soft = 0.5 * sample * (1.0 - place.quartered * place.quartered).max(0.02).sqrt();
    let seen = ((half + soft - aside) / (2.0 * soft)).clamp(0.0, (half / soft).min(1.0));
    let bright = place.quartered * place.quartered;
    anatomy.rays * seen * (0.9 * (1.0 - bright) - 0.8 * bright)
}

/// Fibre: how much darker, as a share.
pub(super) fn fibre([u, v, w]: [f32; 3], (sample, seed): (f32, u32)) -> f32 {
    let layer = |at: usize| {
        let (length, width) = FIBRE_MM[at];
        let seen = step(0.3, 1.0, width / (2.0 * sample));
        if seen == 0.0 { 0.0 } else { seen * noise3([u / length, v / width, w / width], seed ^ (40 + at as u32)) }
    };
    FIBRE_DEPTH * (layer(0) + layer(1))
}

/// The sway of the fibre that shows as a low sheen in streaks where a wood is too dark for much else.
pub(super) fn sheen(stronger: f32, [u, v, w]: [f32; 3], (sample, seed): (f32, u32)) -> f32 {
    let (long, wide) = SHEEN_MM;
    let strength = SHEEN * (stronger - 1.0) * step(0.3, 1.0, wide / (2.0 * sample));
    if strength <= 0.0 { 0.0 } else { strength * noise3([u / long, v / wide, w / wide], seed ^ 54) }
}

/// How far the fibre leans out of the face along the grain, as a sine: about −0.3 to 0.3.
pub(super) fn lean(anatomy: &Anatomy, place: &Place, [u, v, w]: [f32; 3], seed: u32) -> f32 {
    let strength = 0.34 * anatomy.leaning;
    let curl = || {
        let wave = u / 9.0 + 1.5 * noise3([u / 26.0, v / 17.0, w / 17.0], seed ^ 50) + 0.05 * v;
        let here = step(-0.5, 0.5, noise3([u / 70.0, v / 45.0, w / 45.0], seed ^ 51));
        libm::sinf(wave * std::f32::consts::TAU) * here
    };
    let ribbon = || {
        let broken = noise3([u / 60.0, v / 26.0, w / 26.0], seed ^ 53);
        2.0 * noise(place.out / 5.5, u / 160.0 + 0.25 * broken, seed ^ 52) * (0.75 + 0.25 * broken)
    };
    match anatomy.lean {
        Lean::None => 0.0,
        Lean::Curl => strength * curl(),
        Lean::Ribbon => strength * ribbon(),
        Lean::Mottle => strength * (0.6 * curl() + 0.6 * ribbon()),
    }
}
