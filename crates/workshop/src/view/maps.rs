//! The view as numbers: heights, reflectance, light, of the panel without its frame; for checks and for other programs.

use measure::Watch;
use rayon::prelude::*;

use super::expose::{Shot, expose};
use super::pose::Pose;
use super::{WIDEST_VIEW, clamped};
use crate::derived::Derived;
use crate::work::Work;

/// A grid of numbers, row by row from the top.
#[derive(Clone, Debug, PartialEq)]
pub struct Map {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Numbers a pixel: 1, or 3 for red, green and blue.
    pub channels: usize,
    /// The numbers.
    pub values: Vec<f32>,
}

/// How far the top stands above the backer, mm, at the middle of every pixel. `None` when stopped.
pub fn depth(work: &Work, derived: &mut Derived, pose: Pose, watch: Watch) -> Option<Map> {
    let shot = expose(work, derived, &Pose { frame: false, ..clamped(pose) }, watch)?;
    let fine = shot.grid.fine as usize;
    let at = |column, row| {
        vec![shot.field.heights.mm[(row * fine + fine / 2) * shot.field.heights.across + column * fine + fine / 2]]
    };
    Some(map(&shot, 1, at))
}

/// Diffuse reflectance in linear light, 0 to 1, and the light that each pixel sends, in the same measure: 1 is white in
/// full light. `None` when stopped.
pub fn linear(work: &Work, derived: &mut Derived, pose: Pose, watch: Watch) -> Option<[Map; 2]> {
    let shot = expose(work, derived, &Pose { frame: false, ..clamped(pose) }, watch)?;
    let fine = shot.grid.fine as usize;
    let mean = |column: usize, row: usize, lit: bool| {
        let mut sum = vec![0.0; 3];
        for sample in 0..fine * fine {
            let sent = shot.sent((column * fine + sample % fine, row * fine + sample / fine));
            for c in 0..3 {
                sum[c] += sent.colour[c] * if lit { sent.light[c] } else { 1.0 } / (fine * fine) as f32;
            }
        }
        sum
    };
    Some([map(&shot, 3, |column, row| mean(column, row, false)), map(&shot, 3, |column, row| mean(column, row, true))])
}

fn map(shot: &Shot, channels: usize, at: impl Fn(usize, usize) -> Vec<f32> + Sync) -> Map {
    let (width, height) = (shot.grid.width, shot.grid.height);
    debug_assert!(width <= WIDEST_VIEW, "a pose is clamped before it is exposed");
    let row = |row: usize| (0..width as usize).flat_map(|column| at(column, row)).collect::<Vec<f32>>();
    let rows: Vec<Vec<f32>> = (0..height as usize).into_par_iter().map(row).collect();
    Map { width, height, channels, values: rows.concat() }
}

impl Map {
    /// As a portable float map (PFM): lines from the bottom, four bytes a number, least first.
    pub fn pfm(&self) -> Vec<u8> {
        let kind = if self.channels == 3 { "PF" } else { "Pf" };
        let mut bytes = format!("{kind}\n{} {}\n-1.0\n", self.width, self.height).into_bytes();
        for row in self.values.chunks(self.width as usize * self.channels).rev() {
            bytes.extend(row.iter().flat_map(|value| value.to_le_bytes()));
        }
        bytes
    }
}
