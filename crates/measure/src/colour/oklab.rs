//! Oklab (B. Ottosson, "A perceptual color space for image processing", 2020), from XYZ with the matrices printed there.

const LMS_FROM_XYZ: [[f64; 3]; 3] = [
    [0.818_933_010_1, 0.361_866_742_4, -0.128_859_713_7],
    [0.032_984_543_6, 0.929_311_871_5, 0.036_145_638_7],
    [0.048_200_301_8, 0.264_366_269_1, 0.633_851_707_0],
];

const OKLAB_FROM_LMS: [[f64; 3]; 3] = [
    [0.210_454_255_3, 0.793_617_785_0, -0.004_072_046_8],
    [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
    [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
];

/// Oklab (lightness 0 to 1, then green to red, blue to yellow) of XYZ with white Y = 1.
pub fn oklab(xyz: [f64; 3]) -> [f64; 3] {
    times(&OKLAB_FROM_LMS, times(&LMS_FROM_XYZ, xyz).map(libm::cbrt))
}

fn times(matrix: &[[f64; 3]; 3], [x, y, z]: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * x + row[1] * y + row[2] * z)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table of examples in Ottosson's article, printed to three digits.
    #[test]
    fn agrees_with_the_printed_examples() {
        let pairs = [
            ([0.950, 1.000, 1.089], [1.000, 0.000, 0.000]),
            ([1.000, 0.000, 0.000], [0.450, 1.236, -0.019]),
            ([0.000, 1.000, 0.000], [0.922, -0.671, 0.263]),
            ([0.000, 0.000, 1.000], [0.153, -1.415, -0.449]),
        ];
        for (xyz, printed) in pairs {
            let ours = oklab(xyz);
            assert!((0..3).all(|i| (ours[i] - printed[i]).abs() < 0.000_6), "{ours:?} {printed:?}");
        }
    }
}
