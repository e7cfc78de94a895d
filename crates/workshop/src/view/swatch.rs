//! Boards of one wood side by side, flat and evenly lit: to see what a wood looks like before it is chosen.

use measure::colour::{Lab, to_byte};
use rayon::prelude::*;

use super::Lit;
use super::noise::hash;
use super::solid::{Kind, Solid};
use crate::work::{Axis, Wood};

/// Boards shown beside each other.
const BOARDS: u32 = 3;
/// Pixels in a mm.
const FINE: u32 = 4;
/// Samples across and down a pixel.
const SAMPLES: u32 = 2;
/// The largest board that is drawn, mm.
const MOST_MM: u32 = 400;

/// Three boards of `wood`, each as wide and high (mm) as `size` says, in the colour `shown`; grain runs across.
pub fn swatch(wood: &Wood, shown: Lab, size: [u32; 2]) -> Lit {
    let [wide, high] = size.map(|mm| mm.clamp(1, MOST_MM) * FINE);
    let sample = 1.0 / (FINE * SAMPLES) as f32;
    let kind = Kind::new(wood, shown.l, sample);
    let middle = [wide, high].map(|pixels| 0.5 * pixels as f32 / FINE as f32);
    let boards: Vec<Solid> = (0..BOARDS as i32)
        .map(|at| Solid::new(kind.clone(), Axis::default(), (hash(at, 2, 0xb0a2_d5e1), middle)))
        .collect();
    let base = shown.to_linear();
    let (width, height) = (wide * BOARDS, high);
    let mut pixels = vec![0; (width * height * 3) as usize];
    pixels.par_chunks_mut(width as usize * 3).enumerate().for_each(|(row, line)| {
        for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
            let board = &boards[column / wide as usize];
            let seen = mean(board, [column % wide as usize, row], sample);
            (0..3).for_each(|c| pixel[c] = to_byte(base[c] * f64::from(seen[c])));
        }
    });
    Lit { width, height, pixels }
}

fn mean(board: &Solid, [column, row]: [usize; 2], sample: f32) -> [f32; 3] {
    let mut sum = [0.0; 3];
    let fine = SAMPLES as usize;
    for at in 0..fine * fine {
        let x = ((column * fine + at % fine) as f32 + 0.5) * sample;
        let y = ((row * fine + at / fine) as f32 + 0.5) * sample;
        let shown = board.shown([x, y, 0.0], sample).colour;
        (0..3).for_each(|c| sum[c] += shown[c]);
    }
    sum.map(|sum| sum / (fine * fine) as f32)
}
