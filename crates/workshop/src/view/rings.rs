//! Growth rings about a pith line: where a place lies in its ring, and how dark its ring is there.
//!
//! Rings are cylinders about a line that leans a little out of the face and wanders, so that a flat-sawn face shows
//! arches and a quartered one lines. Their spacing changes from year to year. Shapes are from memory of planed boards.

use super::anatomy::{Anatomy, Rings};
use super::noise::{cell, noise, noise1, noise3, ramps, share, step, swell};

/// How far a face lies from the pith, mm: from near the heart to a wide log.
const RADIUS_MM: (f32, f32) = (35.0, 110.0);
/// Bands farther apart are stripes to the eye. From memory.
const BROAD_BAND_MM: f32 = 3.0;
/// How far the pith wanders, mm, over `WANDER_MM` of length and width.
const WANDER: f32 = 6.5;
const WANDER_MM: (f32, f32) = (120.0, 75.0);
/// How rings waver, mm, and over what length and width, coarse and fine: little, or a flat-sawn face shows them kinked.
const WAVER: [(f32, f32, f32); 2] = [(0.22, 46.0, 6.0), (0.05, 15.0, 2.2)];
/// How much years differ: rings gained or lost over so many years, good decades and single summers. Twice the sum of
/// the quotients stays below 1, or a ring would turn back.
const YEARS: [(f32, f32); 3] = [(1.6, 11.0), (0.62, 3.2), (0.14, 1.15)];

/// A place seen from the pith.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// Rings from the pith.
    pub count: f32,
    /// Round the pith, mm at the middle radius.
    pub around: f32,
    /// From the pith, mm.
    pub out: f32,
    /// How squarely the face cuts the rings: 0 on a flat-sawn face, 1 on a quartered one.
    pub quartered: f32,
}

/// The rings of one solid.
#[derive(Clone, Debug)]
pub(super) struct Log {
    seed: u32,
    kind: Rings,
    ring_mm: f32,
    radius: f32,
    pith: [f32; 2],
    lean: [f32; 2],
    /// How far along the board the solid was cut, mm.
    on: f32,
}

impl Log {
    /// The log that a face was sawn from, as `seed` says: half of all faces are flat-sawn, a fifth are quartered.
    pub(super) fn new(anatomy: &Anatomy, ring_mm: f32, seed: u32) -> Log {
        let dice = |which: i32| share(which, 0, seed);
        let striped = anatomy.rings == Rings::Band && ring_mm > BROAD_BAND_MM;
        let turn = match dice(0) {
            // Woods that are sold for their rays or stripes are sawn to show them.
            any if anatomy.rays > 0.4 || striped => 1.15 + 0.35 * any,
            low @ ..0.5 => low * 0.6,
            low @ ..0.8 => 0.45 + (low - 0.5) * 2.0,
            high => 1.05 + (high - 0.8) * 2.2,
        };
        let side = if dice(2) < 0.5 { -1.0 } else { 1.0 };
        let radius = RADIUS_MM.0 + (RADIUS_MM.1 - RADIUS_MM.0) * dice(3);
        Log {
            seed,
            kind: anatomy.rings,
            ring_mm,
            radius,
            pith: [side * radius * libm::sinf(turn), radius * libm::cosf(turn)],
            lean: [0.03 * (dice(4) - 0.5), 0.16 * (dice(5) - 0.5)],
            on: 0.0,
        }
    }

    /// The same log so much further along, mm: the same years, wandering otherwise. The pith leans from here on anew.
    pub(super) fn further(self, mm: f32) -> Log {
        Log { on: self.on + mm, ..self }
    }

    /// Where a place of the solid (along the grain, across the face, out of the face; mm) lies in the log.
    pub(super) fn place(&self, [u, v, w]: [f32; 3]) -> Place {
        let along = u + self.on;
        let wander = WANDER * swell([along / WANDER_MM.0, v / WANDER_MM.1, 0.37], self.seed ^ 1);
        let waver = |at: usize| {
            let (far, long, wide) = WAVER[at];
            far * swell([along / long, v / wide, w / wide], self.seed ^ (2 + 4 * at as u32))
        };
        let a = v - self.pith[0] + self.lean[0] * u;
        let b = w + self.pith[1] + self.lean[1] * u + wander;
        let out = (a * a + b * b).sqrt() + waver(0) + waver(1);
        let years = out / self.ring_mm;
        let differ = |at: usize| YEARS[at].0 * ramps(years / YEARS[at].1, self.seed ^ (3 + 8 * at as u32));
        let count = years + differ(0) + differ(1) + differ(2);
        let around = if self.kind == Rings::Conifer { 0.0 } else { self.radius * libm::atan2f(a, b) };
        Place { count, around, out, quartered: (a / out.max(0.1)).abs().min(1.0) }
    }

    /// How dark the ring is at a place, 0 to 1; `blur` is the sampling distance in rings.
    pub(super) fn dark(&self, place: &Place, [u, v, w]: [f32; 3], blur: f32) -> f32 {
        let (year, within) = cell(place.count);
        let heavy = 0.35 + 1.3 * share(year, 7, self.seed);
        match self.kind {
            Rings::Conifer => (0.3 + 0.5 * heavy) * conifer(within, blur),
            Rings::Porous => {
                0.3 * (0.3 + 0.7 * heavy) * step(0.12, 0.6, within) * (1.0 - step(0.97 - blur, 1.0, within))
            }
            Rings::Half => heavy * (0.25 * (1.0 - within) + self.line((year, within), u, blur)),
            Rings::Line => heavy * self.line((year, within), u, blur),
            Rings::Stripe => self.stripe(place, [u, v, w]),
            Rings::Band => self.band(place, [u, v, w], blur),
        }
    }

    /// Bands of soft tissue, pale between dark fibre: broad and thin, running together and out along the grain. Finer than a
    /// sample they blend.
    fn band(&self, place: &Place, [u, v, w]: [f32; 3], blur: f32) -> f32 {
        let drift = 1.5 * swell([u / 75.0, v / 8.0, w / 8.0], self.seed ^ 22)
            + 0.5 * swell([u / 19.0, v / 2.4, w / 2.4], self.seed ^ 23);
        let (year, within) = cell(place.count + drift);
        let broad = 0.25 + 0.5 * share(year, 24, self.seed);
        let edge = 0.12 + 0.5 * blur;
        let dark = step(0.0, edge, within) * (1.0 - step(broad, (broad + 2.0 * edge).min(1.0), within));
        let here = step(-0.85, 0.35, noise1(u / 34.0 + 61.0 * share(year, 25, self.seed), self.seed ^ year as u32));
        let zone = 0.5 + 0.5 * noise(u / 160.0, (place.count + drift) / 6.5, self.seed ^ 26);
        let fine = 1.0 - step(0.45, 1.1, blur);
        0.25 * zone + 0.75 * (0.5 * (1.0 - fine) + fine * dark * here)
    }

    /// The thin dark line that closes a ring, fainter here and there along the grain, and a breath of dark before it.
    fn line(&self, (year, within): (i32, f32), u: f32, blur: f32) -> f32 {
        let wide = 0.05 + 0.09 * share(year, 8, self.seed) + blur;
        let off = ((within - 0.9) / wide).abs().min(1.0);
        let here = 0.65 + 0.35 * noise1(u / 45.0 + 71.0 * share(year, 9, self.seed), self.seed ^ year as u32);
        let breath = 0.3 * within * within * (1.0 - step(0.88, 1.0, within));
        breath + here * (1.0 - step(0.0, 1.0, off)) * (0.07 / wide).min(1.0)
    }

    /// Pigment in sheets about the pith, drifting along the grain: some broad, some thin, most with one sharp side.
    fn stripe(&self, place: &Place, [u, v, w]: [f32; 3]) -> f32 {
        let drift = 0.7 * noise3([u / 130.0, v / 34.0, w / 34.0], self.seed ^ 20);
        let (year, within) = cell(place.count + drift);
        let strength = share(year, 21, self.seed);
        let broad = 0.25 + 0.6 * share(year, 22, self.seed);
        let sheet = step(0.0, 0.14, within) * (1.0 - step(0.5 * broad, broad + 0.12, within));
        sheet * step(0.05, 0.6, strength)
    }
}

/// Early wood light, late wood dark, then the winter's edge.
fn conifer(within: f32, blur: f32) -> f32 {
    let edge = (0.06 + blur).min(0.5);
    let rise = (within / (1.0 - edge)).min(1.0);
    rise * rise * rise * rise * rise * (1.0 - step(1.0 - edge, 1.0, within))
}
