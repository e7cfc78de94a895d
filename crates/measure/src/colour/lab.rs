//! CIE 1976 L*a*b* under D65 (CIE 15:2004), with the exact fractions 216/24389 and 24389/27.

use std::hash::{Hash, Hasher};
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::srgb::{from_byte, rgb_from_xyz, to_byte, white_xyz, xyz_from_rgb};

/// A colour in CIE 1976 L*a*b*, white D65.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct Lab {
    /// Lightness, 0 black to 100 white.
    pub l: f64,
    /// Green (negative) to red.
    pub a: f64,
    /// Blue (negative) to yellow.
    pub b: f64,
}

/// The white: L* 100.
pub const WHITE: Lab = Lab { l: 100.0, a: 0.0, b: 0.0 };

const EPSILON: f64 = 216.0 / 24389.0;
const KAPPA: f64 = 24389.0 / 27.0;

/// Steps of halving towards grey when a colour lies outside sRGB: 2⁻²⁰ of its chroma, far below one byte.
const CLAMP_STEPS: u32 = 20;

/// How far a channel may leave 0 to 1 and still count as inside: rounding of the matrices.
const INSIDE: f64 = 1e-9;

static D65: LazyLock<[f64; 3]> = LazyLock::new(white_xyz);

impl Lab {
    /// From its three numbers.
    pub const fn new(l: f64, a: f64, b: f64) -> Lab {
        Lab { l, a, b }
    }

    /// Of an sRGB pixel.
    pub fn from_rgb(rgb: [u8; 3]) -> Lab {
        Lab::from_linear(rgb.map(from_byte))
    }

    /// Of linear sRGB channels, 0 to 1.
    pub fn from_linear(linear: [f64; 3]) -> Lab {
        Lab::from_xyz(xyz_from_rgb(linear))
    }

    /// Of XYZ with white Y = 1.
    pub fn from_xyz(xyz: [f64; 3]) -> Lab {
        let [x, y, z] = std::array::from_fn(|i| compress(xyz[i] / D65[i]));
        Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
    }

    /// To XYZ with white Y = 1.
    pub fn to_xyz(self) -> [f64; 3] {
        let y = (self.l + 16.0) / 116.0;
        let relative = [expand(y + self.a / 500.0), expand(y), expand(y - self.b / 200.0)];
        std::array::from_fn(|i| relative[i] * D65[i])
    }

    /// To linear sRGB channels; outside 0 to 1 where sRGB cannot show the colour.
    pub fn to_linear(self) -> [f64; 3] {
        rgb_from_xyz(self.to_xyz())
    }

    /// The sRGB pixel; a colour that sRGB cannot show keeps lightness and hue and loses chroma.
    pub fn to_rgb(self) -> [u8; 3] {
        self.within_srgb().to_linear().map(to_byte)
    }

    /// Chroma C*.
    pub fn chroma(self) -> f64 {
        (self.a * self.a + self.b * self.b).sqrt()
    }

    /// Euclidean difference ΔE*ab of 1976.
    pub fn delta_e_1976(self, other: Lab) -> f64 {
        let (l, a, b) = (self.l - other.l, self.a - other.a, self.b - other.b);
        (l * l + a * a + b * b).sqrt()
    }

    fn within_srgb(self) -> Lab {
        let inside = |colour: Lab| colour.to_linear().iter().all(|v| (-INSIDE..=1.0 + INSIDE).contains(v));
        if inside(self) {
            return self;
        }
        let l = self.l.clamp(0.0, 100.0);
        let (mut in_share, mut out_share) = (0.0, 1.0);
        for _ in 0..CLAMP_STEPS {
            let share = 0.5 * (in_share + out_share);
            let side =
                if inside(Lab { l, a: self.a * share, b: self.b * share }) { &mut in_share } else { &mut out_share };
            *side = share;
        }
        Lab { l, a: self.a * in_share, b: self.b * in_share }
    }
}

fn compress(t: f64) -> f64 {
    if t > EPSILON { libm::cbrt(t) } else { (KAPPA * t + 16.0) / 116.0 }
}

fn expand(f: f64) -> f64 {
    let cube = f * f * f;
    if cube > EPSILON { cube } else { (116.0 * f - 16.0) / KAPPA }
}

impl Hash for Lab {
    fn hash<H: Hasher>(&self, to: &mut H) {
        for v in [self.l, self.a, self.b] {
            to.write_u64(v.to_bits());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_and_black_are_where_they_belong() {
        assert!(Lab::from_rgb([255; 3]).delta_e_1976(WHITE) < 1e-9);
        assert!(Lab::from_rgb([0; 3]).delta_e_1976(Lab::default()) < 1e-9);
    }

    #[test]
    fn pixels_come_back() {
        for r in (0..=255).step_by(15) {
            for g in (0..=255).step_by(15) {
                for b in (0..=255).step_by(15) {
                    let rgb = [r as u8, g as u8, b as u8];
                    assert_eq!(Lab::from_rgb(rgb).to_rgb(), rgb);
                }
            }
        }
    }

    #[test]
    fn what_srgb_cannot_show_keeps_lightness_and_hue() {
        let vivid = Lab::new(60.0, 0.0, -120.0);
        let shown = Lab::from_rgb(vivid.to_rgb());
        assert!((shown.l - 60.0).abs() < 0.5 && shown.a.abs() < 1.0 && shown.b < -20.0, "{shown:?}");
        assert_eq!(Lab::new(120.0, 5.0, 5.0).to_rgb(), [255; 3]);
    }
}
