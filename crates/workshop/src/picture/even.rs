//! Colours in which straight-line distance is close to CIEDE2000.
//!
//! Lab exaggerates differences of vivid and of very light or dark colours. Each axis is integrated over the weights
//! of CIEDE2000 (CIE 142-2001: SL, SC): lightness over 1/SL, chroma over 1/SC; hue is
//! kept. It leaves out the hue weight T, the turn in the blues and the stretch of a* near grey, where red and green differ by up
//! to half more than it says: applied by each colour's own chroma the stretch made other pairs worse. Stored in fixed point so that sums over regions are exact whatever their order.

use measure::colour::Lab;
use rayon::prelude::*;

use super::Raster;

/// Steps per unit: 1/256, finer than a byte of sRGB, and every axis fits `i16`.
pub(super) const STEPS: f64 = 256.0;

/// Pixels that a thread takes at once.
const CHUNK: usize = 1 << 19;

/// Colours seen lately that are not worked out again: a power of two.
const REMEMBERED: usize = 1 << 17;

/// A colour in `STEPS`.
pub(super) type Even = [i16; 3];

/// Every pixel's even colour; alpha is not looked at.
pub(super) fn plane(raster: &Raster) -> Vec<Even> {
    let mut out = vec![[0; 3]; raster.pixels.len()];
    let lightness = lightness_table();
    out.par_chunks_mut(CHUNK).zip(raster.pixels.par_chunks(CHUNK)).for_each(|(out, pixels)| {
        let mut seen = vec![([0u8; 3], even([0; 3], &lightness)); REMEMBERED];
        for (out, &[r, g, b, _]) in out.iter_mut().zip(pixels) {
            let slot = (usize::from(r) * 31 + usize::from(g) * 1021 + usize::from(b) * 7) % REMEMBERED;
            if seen[slot].0 != [r, g, b] {
                seen[slot] = ([r, g, b], even([r, g, b], &lightness));
            }
            *out = seen[slot].1;
        }
    });
    out
}

fn even(rgb: [u8; 3], lightness: &[f64]) -> Even {
    let lab = Lab::from_rgb(rgb);
    let chroma = lab.chroma();
    let k = if chroma > 1e-9 { libm::log1p(0.045 * chroma) / (0.045 * chroma) } else { 1.0 };
    let at = (lab.l.clamp(0.0, 100.0) * 10.0).min(999.0);
    let low = at as usize;
    let l = lightness[low] + (lightness[low + 1] - lightness[low]) * (at - low as f64);
    [l, lab.a * k, lab.b * k].map(|v| (v * STEPS).round() as i16)
}

/// The integral of 1/SL from 0, at every tenth of L*.
fn lightness_table() -> Vec<f64> {
    let mut sum = 0.0;
    let mut table = vec![0.0];
    for i in 0..1000 {
        let off = (f64::from(i) + 0.5) / 10.0 - 50.0;
        sum += 0.1 / (1.0 + 0.015 * off * off / (20.0 + off * off).sqrt());
        table.push(sum);
    }
    table
}

/// Squared distance, in steps.
#[inline]
pub(super) fn apart(a: Even, b: Even) -> i64 {
    (0..3).map(|k| i64::from(a[k]) - i64::from(b[k])).map(|d| d * d).sum()
}

/// Sums of even colours over pixels: exact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Sum {
    pub area: i64,
    pub of: [i64; 3],
    /// Sum of squared lengths.
    pub squares: i64,
}

impl Sum {
    #[inline]
    pub fn add(&mut self, colour: Even) {
        self.area += 1;
        (0..3).for_each(|k| self.of[k] += i64::from(colour[k]));
        self.squares += apart(colour, [0; 3]);
    }

    #[inline]
    pub fn take(&mut self, colour: Even) {
        self.area -= 1;
        (0..3).for_each(|k| self.of[k] -= i64::from(colour[k]));
        self.squares -= apart(colour, [0; 3]);
    }

    pub fn join(&mut self, other: Sum) {
        self.area += other.area;
        self.squares += other.squares;
        (0..3).for_each(|k| self.of[k] += other.of[k]);
    }

    /// The mean, rounded to a step.
    pub fn mean(self) -> Even {
        self.of.map(|v| (v as f64 / self.area.max(1) as f64).round() as i16)
    }

    /// Mean squared distance from the mean, in steps.
    pub fn variance(self) -> f64 {
        let area = self.area.max(1) as f64;
        let square: f64 = self.of.iter().map(|v| *v as f64 / area).map(|v| v * v).sum();
        (self.squares as f64 / area - square).max(0.0)
    }

    /// How much the squared error of two regions grows when they are filled with one mean (Ward 1963).
    #[inline]
    pub fn ward(self, other: Sum) -> f64 {
        let (a, b) = (self.area as f64, other.area as f64);
        let square: f64 = (0..3).map(|k| self.of[k] as f64 / a - other.of[k] as f64 / b).map(|d| d * d).sum();
        square * a * b / (a + b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::colour::delta_e_2000;

    /// Judged by CIEDE2000 itself: small differences away from deep blue come within 40 %, what the missing
    /// stretch explains.
    #[test]
    fn straight_distance_is_close_to_ciede2000() {
        let table = lightness_table();
        for rgb in [[30, 30, 30], [200, 60, 40], [90, 120, 60], [240, 230, 200], [120, 90, 60], [60, 140, 150]] {
            for step in [[8i16, 0, 0], [0, 8, 0], [0, 0, 8], [6, 6, 6], [-8, 6, 0]] {
                let other = [0, 1, 2].map(|k| (rgb[k] as i16 + step[k]) as u8);
                let true_one = delta_e_2000(Lab::from_rgb(rgb), Lab::from_rgb(other));
                let ours = (apart(even(rgb, &table), even(other, &table)) as f64).sqrt() / STEPS;
                assert!((ours / true_one - 1.0).abs() < 0.4, "{rgb:?} {other:?}: {ours} against {true_one}");
            }
        }
    }
}
