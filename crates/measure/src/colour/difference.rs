//! CIEDE2000 (CIE 142-2001), after G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 color-difference formula:
//! implementation notes, supplementary test data, and mathematical observations", Color Research & Application 30
//! (2005) 21–30, with all weights 1. It is fitted to differences under about 5; large ones only rank. It jumps where two
//! hues lie opposite, which wood colours never do.

use std::f64::consts::PI;

use super::Lab;

const DEGREE: f64 = PI / 180.0;

/// 25⁷, at which chroma half counts as vivid.
const VIVID: f64 = 6_103_515_625.0;

/// Lightness, chroma and hue (radians, 0 to 2π; 0 for grey) after the a* axis is stretched.
struct Polar {
    l: f64,
    chroma: f64,
    hue: f64,
}

/// The colour difference ΔE00.
pub fn delta_e_2000(first: Lab, second: Lab) -> f64 {
    let stretch = 1.0 + 0.5 * (1.0 - vividness(0.5 * (first.chroma() + second.chroma())));
    let (one, two) = (polar(first, stretch), polar(second, stretch));
    let (dl, dc) = (two.l - one.l, two.chroma - one.chroma);
    let dh = 2.0 * (one.chroma * two.chroma).sqrt() * libm::sin(0.5 * hue_step(&one, &two));

    let chroma = 0.5 * (one.chroma + two.chroma);
    let hue = mean_hue(&one, &two);
    let off = 0.5 * (one.l + two.l) - 50.0;
    let l = dl / (1.0 + 0.015 * off * off / (20.0 + off * off).sqrt());
    let c = dc / (1.0 + 0.045 * chroma);
    let h = dh / (1.0 + 0.015 * chroma * hue_weight(hue));
    (l * l + c * c + h * h + rotation(hue, chroma) * c * h).sqrt()
}

fn vividness(chroma: f64) -> f64 {
    let cube = chroma * chroma * chroma;
    let seventh = cube * cube * chroma;
    (seventh / (seventh + VIVID)).sqrt()
}

fn polar(colour: Lab, stretch: f64) -> Polar {
    let (a, b) = (colour.a * stretch, colour.b);
    let hue = if a == 0.0 && b == 0.0 { 0.0 } else { libm::atan2(b, a) };
    Polar { l: colour.l, chroma: (a * a + b * b).sqrt(), hue: if hue < 0.0 { hue + 2.0 * PI } else { hue } }
}

/// From the first hue to the second the short way round; 0 when one is grey.
fn hue_step(one: &Polar, two: &Polar) -> f64 {
    let step = two.hue - one.hue;
    if one.chroma * two.chroma == 0.0 {
        0.0
    } else if step > PI {
        step - 2.0 * PI
    } else if step < -PI {
        step + 2.0 * PI
    } else {
        step
    }
}

fn mean_hue(one: &Polar, two: &Polar) -> f64 {
    let sum = one.hue + two.hue;
    if one.chroma * two.chroma == 0.0 {
        sum
    } else if (one.hue - two.hue).abs() <= PI {
        0.5 * sum
    } else if sum < 2.0 * PI {
        0.5 * sum + PI
    } else {
        0.5 * sum - PI
    }
}

fn hue_weight(hue: f64) -> f64 {
    1.0 - 0.17 * libm::cos(hue - 30.0 * DEGREE)
        + 0.24 * libm::cos(2.0 * hue)
        + 0.32 * libm::cos(3.0 * hue + 6.0 * DEGREE)
        - 0.20 * libm::cos(4.0 * hue - 63.0 * DEGREE)
}

/// The term that turns the ellipses in the blues.
fn rotation(hue: f64, chroma: f64) -> f64 {
    let off = (hue / DEGREE - 275.0) / 25.0;
    -libm::sin(60.0 * DEGREE * libm::exp(-off * off)) * 2.0 * vividness(chroma)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 34 published pairs; the source stands in the file.
    #[test]
    fn agrees_with_the_published_pairs() {
        let table = include_str!("../../../../tests/suite/colour/ciede2000.csv");
        let rows: Vec<&str> = table.lines().filter(|row| !row.starts_with('#')).skip(1).collect();
        assert_eq!(rows.len(), 34);
        for row in rows {
            let n: Vec<f64> = row.split(',').map(|cell| cell.parse().expect("a number")).collect();
            let (one, two) = (Lab::new(n[1], n[2], n[3]), Lab::new(n[4], n[5], n[6]));
            for ours in [delta_e_2000(one, two), delta_e_2000(two, one)] {
                assert!((ours - n[7]).abs() <= 1e-4, "pair {}: {ours} instead of {}", n[0], n[7]);
            }
        }
    }
}
