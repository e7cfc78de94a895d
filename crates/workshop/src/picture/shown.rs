//! A raster in linear light, each pixel as something made it look.

use measure::colour::{Lab, from_byte};
use rayon::prelude::*;

use super::Raster;

/// A picture in linear light.
#[derive(Debug)]
pub(crate) struct Shown {
    /// Pixels across.
    pub across: usize,
    /// Pixels down.
    pub down: usize,
    /// Linear red, green and blue, 0 to 1.
    pub pixels: Vec<[f32; 3]>,
    /// Their mean.
    pub mean: [f32; 3],
}

impl Shown {
    /// A raster, every colour as `look` changes it.
    pub(crate) fn new(raster: &Raster, look: impl Fn(Lab) -> Lab + Sync) -> Shown {
        let one = |pixel: &[u8; 4]| {
            let raw = Lab::from_linear([pixel[0], pixel[1], pixel[2]].map(from_byte));
            look(raw).to_linear().map(|channel| channel.clamp(0.0, 1.0) as f32)
        };
        let pixels: Vec<[f32; 3]> = raster.pixels.par_iter().map(one).collect();
        let sum = pixels.iter().fold([0.0f64; 3], |sum, p| std::array::from_fn(|c| sum[c] + f64::from(p[c])));
        let mean = sum.map(|channel| (channel / pixels.len().max(1) as f64) as f32);
        Shown { across: raster.width as usize, down: raster.height as usize, pixels, mean }
    }
}
