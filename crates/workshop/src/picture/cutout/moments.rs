//! Area, mean and spread of colours, which add up.

use crate::picture::even::{Even, STEPS};

/// Sums over pixels, in units of even colour.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Moments {
    area: f64,
    sum: [f64; 3],
    squares: [f64; 6],
}

/// A symmetric matrix: xx, xy, xz, yy, yz, zz.
pub(super) type Matrix = [f64; 6];

/// An even colour in units.
pub(super) fn units(colour: Even) -> [f64; 3] {
    colour.map(|step| f64::from(step) / STEPS)
}

fn products([x, y, z]: [f64; 3]) -> Matrix {
    [x * x, x * y, x * z, y * y, y * z, z * z]
}

impl Moments {
    pub fn add(&mut self, colour: [f64; 3]) {
        self.join(&Moments { area: 1.0, sum: colour, squares: products(colour) });
    }

    pub fn join(&mut self, other: &Moments) {
        self.area += other.area;
        self.sum.iter_mut().zip(other.sum).for_each(|(sum, c)| *sum += c);
        self.squares.iter_mut().zip(other.squares).for_each(|(sum, c)| *sum += c);
    }

    /// Pixels.
    pub fn area(&self) -> f64 {
        self.area
    }

    pub fn mean(&self) -> [f64; 3] {
        self.sum.map(|sum| sum / self.area.max(1.0))
    }

    pub fn covariance(&self) -> Matrix {
        let mean = products(self.mean());
        std::array::from_fn(|k| self.squares[k] / self.area.max(1.0) - mean[k])
    }
}

/// The inverse of a symmetric matrix, and its determinant.
pub(super) fn inverse([xx, xy, xz, yy, yz, zz]: Matrix) -> (Matrix, f64) {
    let first = [yy * zz - yz * yz, xz * yz - xy * zz, xy * yz - xz * yy];
    let determinant = xx * first[0] + xy * first[1] + xz * first[2];
    let rest = [xx * zz - xz * xz, xy * xz - xx * yz, xx * yy - xy * xy];
    let all = [first[0], first[1], first[2], rest[0], rest[1], rest[2]];
    (all.map(|minor| minor / determinant), determinant)
}

/// The direction in which a symmetric matrix is longest, and how long; by powers, from its longest row.
pub(super) fn longest_axis([xx, xy, xz, yy, yz, zz]: Matrix) -> ([f64; 3], f64) {
    const POWERS: usize = 24;
    let rows = [[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]];
    let long = |v: [f64; 3]| v.iter().map(|c| c * c).sum::<f64>().sqrt();
    let mut axis = rows.into_iter().max_by(|a, b| long(*a).total_cmp(&long(*b))).expect("there are three rows");
    let mut stretched = axis;
    for _ in 0..POWERS {
        axis = stretched.map(|c| c / long(stretched).max(f64::MIN_POSITIVE));
        stretched = rows.map(|row| (0..3).map(|k| row[k] * axis[k]).sum::<f64>());
    }
    (axis, long(stretched))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: the matrix of axes 9, 4 and 1, the first along (1, 1, 0).
    #[test]
    fn axes_and_inverse_are_those_of_a_known_matrix() {
        let matrix = [6.5, 2.5, 0.0, 6.5, 0.0, 1.0];
        let (axis, long) = longest_axis(matrix);
        assert!((long - 9.0).abs() < 1e-9 && (axis[0] - axis[1]).abs() < 1e-6 && axis[2].abs() < 1e-6);
        let (inverse, determinant) = inverse(matrix);
        assert!((determinant - 36.0).abs() < 1e-9);
        let row = [6.5 * inverse[0] + 2.5 * inverse[1], 6.5 * inverse[1] + 2.5 * inverse[3]];
        assert!((row[0] - 1.0).abs() < 1e-12 && row[1].abs() < 1e-12);
    }

    #[test]
    fn moments_add_up() {
        let mut one = Moments::default();
        [[1.0, 0.0, 0.0], [3.0, 4.0, 0.0]].into_iter().for_each(|colour| one.add(colour));
        assert_eq!((one.area(), one.mean()), (2.0, [2.0, 2.0, 0.0]));
        assert_eq!(one.covariance(), [1.0, 2.0, 0.0, 4.0, 0.0, 0.0]);
    }
}
