//! sRGB (IEC 61966-2-1): its transfer curve, and linear channels to and from XYZ.

use std::sync::LazyLock;

/// Chromaticities of red, green, blue: the primaries of ITU-R BT.709, which sRGB uses.
const PRIMARIES: [[f64; 2]; 3] = [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]];

/// Chromaticity of the white, D65 as IEC 61966-2-1 rounds it.
const WHITE_XY: [f64; 2] = [0.3127, 0.3290];

type Matrix = [[f64; 3]; 3];

static XYZ_FROM_RGB: LazyLock<Matrix> = LazyLock::new(derive);
static RGB_FROM_XYZ: LazyLock<Matrix> = LazyLock::new(|| inverse(&XYZ_FROM_RGB));
static LINEAR: LazyLock<[f64; 256]> =
    LazyLock::new(|| std::array::from_fn(|byte| linear_from_encoded(byte as f64 / 255.0)));

/// Linear light, 0 to 1, of an encoded byte: one look-up, fit for every pixel of a picture.
pub fn from_byte(byte: u8) -> f64 {
    LINEAR[usize::from(byte)]
}

/// The nearest encoded byte to linear light; clips below 0 and above 1.
pub fn to_byte(linear: f64) -> u8 {
    (encoded_from_linear(linear.clamp(0.0, 1.0)) * 255.0).round() as u8
}

/// XYZ (white Y = 1) of linear channels.
pub fn xyz_from_rgb(linear: [f64; 3]) -> [f64; 3] {
    times(&XYZ_FROM_RGB, linear)
}

/// Linear channels of XYZ (white Y = 1); outside 0 to 1 where sRGB cannot show the colour.
pub fn rgb_from_xyz(xyz: [f64; 3]) -> [f64; 3] {
    times(&RGB_FROM_XYZ, xyz)
}

/// XYZ of the white, Y = 1.
pub(super) fn white_xyz() -> [f64; 3] {
    xyz_from_xy(WHITE_XY)
}

fn linear_from_encoded(encoded: f64) -> f64 {
    if encoded <= 0.04045 { encoded / 12.92 } else { libm::pow((encoded + 0.055) / 1.055, 2.4) }
}

fn encoded_from_linear(linear: f64) -> f64 {
    if linear <= 0.003_130_8 { linear * 12.92 } else { 1.055 * libm::pow(linear, 1.0 / 2.4) - 0.055 }
}

fn xyz_from_xy([x, y]: [f64; 2]) -> [f64; 3] {
    [x / y, 1.0, (1.0 - x - y) / y]
}

/// The primaries as columns, each scaled so that all three together make the white.
fn derive() -> Matrix {
    let columns = PRIMARIES.map(xyz_from_xy);
    let unscaled: Matrix = std::array::from_fn(|row| std::array::from_fn(|column| columns[column][row]));
    let scale = times(&inverse(&unscaled), white_xyz());
    std::array::from_fn(|row| std::array::from_fn(|column| unscaled[row][column] * scale[column]))
}

fn times(matrix: &Matrix, [x, y, z]: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * x + row[1] * y + row[2] * z)
}

/// By cofactors; the matrices here are far from singular.
fn inverse(m: &Matrix) -> Matrix {
    let minor = |row: usize, column: usize| {
        let (r, s, c, d) = ((row + 1) % 3, (row + 2) % 3, (column + 1) % 3, (column + 2) % 3);
        m[r][c] * m[s][d] - m[r][d] * m[s][c]
    };
    let determinant: f64 = (0..3).map(|column| m[0][column] * minor(0, column)).sum();
    std::array::from_fn(|row| std::array::from_fn(|column| minor(column, row) / determinant))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 61966-2-1 prints this matrix to four digits.
    #[test]
    fn derived_matrix_rounds_to_the_printed_one() {
        let printed = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
        for (ours, printed) in XYZ_FROM_RGB.iter().flatten().zip(printed.iter().flatten()) {
            assert!((ours - printed).abs() <= 0.000_06, "{ours} {printed}");
        }
    }

    #[test]
    fn bytes_come_back() {
        for byte in 0..=255 {
            assert_eq!(to_byte(from_byte(byte)), byte);
        }
    }

    #[test]
    fn xyz_comes_back() {
        let rgb = [0.2, 0.7, 0.1];
        let back = rgb_from_xyz(xyz_from_rgb(rgb));
        assert!((0..3).all(|c| (rgb[c] - back[c]).abs() < 1e-14));
    }
}
