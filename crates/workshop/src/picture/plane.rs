//! From a plane, a board's face or a sheet of paper, to its photograph.

use measure::colour::from_byte;

use super::Raster;

/// A plane seen in perspective.
pub(crate) struct Plane {
    /// Eight numbers of the homography from the plane (µm) to the photograph (pixels); the ninth is 1.
    to: [f64; 8],
    /// Length and width, µm.
    pub size: (f64, f64),
}

impl Plane {
    /// By the corners of a rectangle of that size.
    pub fn new(corners: &[(f64, f64); 4], size: (f64, f64)) -> Option<Plane> {
        let unit = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let mut rows = Vec::new();
        for ((u, v), (x, y)) in unit.into_iter().zip(*corners) {
            rows.push([u, v, 1.0, 0.0, 0.0, 0.0, -u * x, -v * x, x]);
            rows.push([0.0, 0.0, 0.0, u, v, 1.0, -u * y, -v * y, y]);
        }
        Some(Plane { to: solve(rows)?, size })
    }

    /// Where a place of the plane, µm from its first corner, is seen, pixels.
    pub fn to_photo(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (u, v, h) = (x / self.size.0, y / self.size.1, &self.to);
        let w = h[6] * u + h[7] * v + 1.0;
        ((h[0] * u + h[1] * v + h[2]) / w, (h[3] * u + h[4] * v + h[5]) / w)
    }

    /// Where a pixel lies on the plane, in shares of its length and width.
    pub fn on_plane(&self, (x, y): (f64, f64)) -> Option<(f64, f64)> {
        let h = &self.to;
        let (a, b, c, d) = (h[0] - h[6] * x, h[1] - h[7] * x, h[3] - h[6] * y, h[4] - h[7] * y);
        let (e, f, det) = (x - h[2], y - h[5], a * d - b * c);
        (det != 0.0).then(|| ((e * d - b * f) / det, (a * f - e * c) / det))
    }
}

/// Nine numbers a row, the last to the right of the equals sign; Gauss with the largest pivot.
fn solve(mut rows: Vec<[f64; 9]>) -> Option<[f64; 8]> {
    for at in 0..8 {
        let pivot = (at..8).max_by(|a, b| rows[*a][at].abs().total_cmp(&rows[*b][at].abs()))?;
        rows.swap(at, pivot);
        if rows[at][at].abs() < 1e-12 {
            return None;
        }
        let own = rows[at];
        for (other, row) in rows.iter_mut().enumerate().filter(|(other, _)| *other != at) {
            debug_assert!(other < 8, "there are eight rows");
            let by = row[at] / own[at];
            row.iter_mut().zip(own).for_each(|(value, mine)| *value -= by * mine);
        }
    }
    Some(std::array::from_fn(|at| rows[at][8] / rows[at][at]))
}

/// Whether four places go clockwise as seen (y down) around a convex face.
pub(crate) fn is_convex(four: &[(f64, f64); 4]) -> bool {
    (0..4).all(|at| {
        let [a, b, c] = [0, 1, 2].map(|step| four[(at + step) % 4]);
        (b.0 - a.0) * (c.1 - b.1) - (b.1 - a.1) * (c.0 - b.0) > 1.0
    })
}

/// Below this share of perspective the focal length is not seen, and the face is taken as seen straight on.
const FLAT: f64 = 0.002;

/// Width ÷ length of a rectangle seen by a camera whose axis meets `middle` (Zhang and He 2007, equations 11, 14, 20, 21).
pub(crate) fn aspect(corners: &[(f64, f64); 4], middle: (f64, f64)) -> Option<f64> {
    let [m1, m2, m4, m3] = corners.map(|(x, y)| [x - middle.0, y - middle.1, 1.0]);
    let k2 = dot(cross(m1, m4), m3) / dot(cross(m2, m4), m3);
    let k3 = dot(cross(m1, m4), m2) / dot(cross(m3, m4), m2);
    if !k2.is_finite() || !k3.is_finite() {
        return None;
    }
    let along: [f64; 3] = std::array::from_fn(|i| k2 * m2[i] - m1[i]);
    let down: [f64; 3] = std::array::from_fn(|i| k3 * m3[i] - m1[i]);
    let focal2 = -(along[0] * down[0] + along[1] * down[1]) / (along[2] * down[2]);
    let flat = along[2].abs() < FLAT || down[2].abs() < FLAT || focal2.is_nan() || focal2 <= 0.0;
    let length2 = |n: [f64; 3]| n[0] * n[0] + n[1] * n[1] + if flat { 0.0 } else { n[2] * n[2] * focal2 };
    Some((length2(down) / length2(along)).sqrt()).filter(|aspect| aspect.is_finite() && *aspect > 0.0)
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The pixel at a place of the photograph.
pub(crate) fn byte(raster: &Raster, (x, y): (f64, f64)) -> [u8; 3] {
    let along = |value: f64, side: u32| (value.max(0.0) as u32).min(side - 1) as usize;
    let at = along(y, raster.height) * raster.width as usize + along(x, raster.width);
    let [r, g, b, _] = raster.pixels[at];
    [r, g, b]
}

/// Its linear channels.
pub(crate) fn linear(raster: &Raster, at: (f64, f64)) -> [f64; 3] {
    byte(raster, at).map(from_byte)
}
