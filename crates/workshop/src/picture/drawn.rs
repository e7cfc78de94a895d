//! Where lines are drawn on paper, with a pen or a pencil.
//!
//! The paper's light is the lightest quarter about a place; what a pixel lacks of it is drawn. A pencil's line is uneven and the
//! paper's grain breaks it, so its darkness is the mean along the direction in which it is darkest. It is told from noise by two
//! thresholds (hysteresis: Canny 1986), both shares of the darkest about a place: what is over the upper one is a line, and ways
//! between over the lower one join lines, each along its crest. Specks shorter than a letter go. Weak where a shadow ends sharply
//! within the width of a line.

use std::f64::consts::PI;

use rayon::prelude::*;

use super::grid::{Grid, NOBODY, components};
use super::ink::joined;

/// The light is told by so many blocks along the longer side, each from the pixels of its neighbours too, and this share of them
/// is darker than paper at most.
const BLOCKS: usize = 48;
const PAPER: f64 = 0.75;

/// What takes the grain of paper and the noise of the camera off first: the deviation of a Gaussian, mm, and pixels at least.
const CALM_MM: f64 = 0.12;
const CALM_PX: f64 = 0.8;

/// So far to each side a line is followed, mm, in so many directions. Less leaves breaks of pencil, more joins numbers with the
/// lines beside them and rounds corners.
const ALONG_MM: f64 = 0.6;
const DIRECTIONS: usize = 16;

/// So far about a place the darkest is looked for, mm, and the shares of it from which a place is a line, and may be the way from
/// one to another. On pencil that is half as dark as usual, without the lower one half of the areas are lost.
const ABOUT_MM: f64 = 1.5;
const SURE: f32 = 0.5;
const FAINT: f32 = 0.38;

/// The same in deviations of the paper's noise, and shares of its light at least.
const SURE_NOISES: f64 = 3.0;
const FAINT_NOISES: f64 = 2.0;
const SURE_LEAST: f64 = 0.05;
const FAINT_LEAST: f64 = 0.03;

/// What is shorter than this is a speck, mm; white within a line up to this is a hole in the pencil's trace, mm.
const SPECK_MM: f64 = 3.0;
const HOLE_MM: f64 = 0.5;

/// By pixel, whether a line is drawn there; `luma` is brightness, `mm` is pixels to a millimetre.
pub(super) fn lines(grid: Grid, luma: &[f32], mm: f64) -> Vec<bool> {
    let light = light(grid, luma);
    let drawn: Vec<f32> = luma.iter().zip(&light).map(|(seen, light)| 1.0 - seen / light.max(1e-3)).collect();
    let drawn = along_lines(grid, &smoothed(grid, &drawn, (CALM_MM * mm).max(CALM_PX)), ALONG_MM * mm);
    let about = ABOUT_MM * mm;
    let darkest = smoothed(grid, &darkest(grid, &drawn, about.ceil() as usize), about);
    let noise = noise(&drawn);
    let over = |share: f32, noises: f64, least: f64| -> Vec<bool> {
        let least = (noises * noise).max(least) as f32;
        drawn.iter().zip(&darkest).map(|(drawn, darkest)| *drawn >= least.max(share * darkest)).collect()
    };
    let sure = over(SURE, SURE_NOISES, SURE_LEAST);
    let strength: Vec<u32> = drawn.iter().map(|drawn| (drawn.max(0.0) * 1e6) as u32).collect();
    let mut ink = joined(grid, &sure, &over(FAINT, FAINT_NOISES, FAINT_LEAST), &strength);
    // Ways are a pixel wide as yet.
    let ways: Vec<usize> = (0..grid.len()).filter(|at| ink[*at] && !sure[*at]).collect();
    ways.into_iter().flat_map(|at| grid.four(at)).for_each(|at| ink[at] = true);
    without_holes(grid, &mut ink, HOLE_MM * mm);
    without_specks(grid, &mut ink, SPECK_MM * mm);
    ink
}

/// How bright paper is at each pixel.
fn light(grid: Grid, luma: &[f32]) -> Vec<f32> {
    let side = grid.width.max(grid.height).div_ceil(BLOCKS);
    let (across, down) = (grid.width.div_ceil(side), grid.height.div_ceil(side));
    let block = |at: usize| {
        let (x, y) = (at % across * side, at / across * side);
        let (left, top) = (x.saturating_sub(side), y.saturating_sub(side));
        let (right, bottom) = ((x + 2 * side).min(grid.width), (y + 2 * side).min(grid.height));
        // Every second pixel of every second row tells as much.
        let rows = (top..bottom).step_by(2);
        let mut seen: Vec<f32> =
            rows.flat_map(|y| (left..right).step_by(2).map(move |x| luma[y * grid.width + x])).collect();
        let rank = ((seen.len() - 1) as f64 * PAPER) as usize;
        *seen.select_nth_unstable_by(rank, f32::total_cmp).1
    };
    let blocks: Vec<f32> = (0..across * down).map(block).collect();
    let between = |at: f32, count: usize| {
        let at = (at - 0.5).clamp(0.0, (count - 1) as f32);
        (at as usize, (at as usize + 1).min(count - 1), at.fract())
    };
    (0..grid.len())
        .map(|at| {
            let (left, right, u) = between((at % grid.width) as f32 / side as f32, across);
            let (top, bottom, v) = between((at / grid.width) as f32 / side as f32, down);
            let row = |y: usize| blocks[y * across + left] * (1.0 - u) + blocks[y * across + right] * u;
            row(top) * (1.0 - v) + row(bottom) * v
        })
        .collect()
}

/// The mean along the direction in which it is largest, over `reach` pixels each way.
fn along_lines(grid: Grid, of: &[f32], reach: f64) -> Vec<f32> {
    let steps = reach.round().max(1.0) as isize;
    let way = |k: usize| {
        let turn = PI * k as f64 / DIRECTIONS as f64;
        let (dx, dy) = (libm::cos(turn) * reach / steps as f64, libm::sin(turn) * reach / steps as f64);
        (-steps..=steps).map(|s| ((dx * s as f64).round() as isize, (dy * s as f64).round() as isize)).collect()
    };
    let ways: Vec<Vec<(isize, isize)>> = (0..DIRECTIONS).map(way).collect();
    let (width, height) = (grid.width as isize, grid.height as isize);
    by_pixel(grid, |x, y| {
        let (x, y) = (x as isize, y as isize);
        let at = |(dx, dy): &(isize, isize)| {
            of[((y + dy).clamp(0, height - 1) * width + (x + dx).clamp(0, width - 1)) as usize]
        };
        let mean = |way: &Vec<(isize, isize)>| way.iter().map(at).sum::<f32>() / way.len() as f32;
        ways.iter().map(mean).fold(f32::MIN, f32::max)
    })
}

/// The largest within so many pixels, across and down.
fn darkest(grid: Grid, of: &[f32], reach: usize) -> Vec<f32> {
    let (width, height) = (grid.width, grid.height);
    let most = |of: &mut dyn Iterator<Item = f32>| of.fold(f32::MIN, f32::max);
    let rows = by_pixel(grid, |x, y| {
        let row = &of[y * width + x.saturating_sub(reach)..y * width + (x + reach + 1).min(width)];
        most(&mut row.iter().copied())
    });
    by_pixel(grid, |x, y| {
        most(&mut (y.saturating_sub(reach)..(y + reach + 1).min(height)).map(|y| rows[y * width + x]))
    })
}

/// Smoothed by a Gaussian of so many pixels.
fn smoothed(grid: Grid, of: &[f32], deviation: f64) -> Vec<f32> {
    let reach = (3.0 * deviation).ceil() as usize;
    let weight = |j: usize| libm::exp(-0.5 * (j as f64 / deviation) * (j as f64 / deviation)) as f32;
    let weights: Vec<f32> = (0..=reach).map(weight).collect();
    let whole = weights[0] + 2.0 * weights[1..].iter().sum::<f32>();
    let mean = |of: &[f32], at: usize, step: usize, (before, after): (usize, usize)| {
        let pair = |j: usize| of[at - j.min(before) * step] + of[at + j.min(after) * step];
        (weights[0] * of[at] + (1..=reach).map(|j| weights[j] * pair(j)).sum::<f32>()) / whole
    };
    let (width, height) = (grid.width, grid.height);
    let across = by_pixel(grid, |x, y| mean(of, y * width + x, 1, (x, width - 1 - x)));
    by_pixel(grid, |x, y| mean(&across, y * width + x, width, (y, height - 1 - y)))
}

/// Each pixel stands alone, so the result does not depend on threads.
fn by_pixel(grid: Grid, value: impl Fn(usize, usize) -> f32 + Sync) -> Vec<f32> {
    (0..grid.len()).into_par_iter().map(|at| value(at % grid.width, at / grid.width)).collect()
}

/// The standard deviation of paper, by the median of what it strays: lines are few.
fn noise(drawn: &[f32]) -> f64 {
    let mut off: Vec<f32> = drawn.iter().step_by(7).map(|value| value.abs()).collect();
    let middle = off.len() / 2;
    // 0.6745 deviations hold half of a normal distribution.
    f64::from(*off.select_nth_unstable_by(middle, f32::total_cmp).1) / 0.6745
}

/// Takes away marks that hang together, also by corners, and are shorter than `least` pixels across and down.
fn without_specks(grid: Grid, ink: &mut [bool], least: f64) {
    let mut seen = vec![false; grid.len()];
    for first in 0..grid.len() {
        if !ink[first] || seen[first] {
            continue;
        }
        let mut part = vec![first];
        seen[first] = true;
        let mut next = 0;
        while next < part.len() {
            for near in grid.eight(part[next]).filter(|n| ink[*n]) {
                if !std::mem::replace(&mut seen[near], true) {
                    part.push(near);
                }
            }
            next += 1;
        }
        if extent(grid, &part) < least {
            part.into_iter().for_each(|at| ink[at] = false);
        }
    }
}

/// Fills what lies within marks and is shorter than `least` pixels across and down.
fn without_holes(grid: Grid, ink: &mut [bool], least: f64) {
    let keys: Vec<u32> = ink.iter().map(|ink| if *ink { NOBODY } else { 0 }).collect();
    let (holes, count) = components(grid, &keys);
    let mut parts = vec![Vec::new(); count as usize];
    (0..grid.len()).filter(|at| holes[*at] != NOBODY).for_each(|at| parts[holes[at] as usize].push(at));
    parts.iter().filter(|part| extent(grid, part) < least).flatten().for_each(|at| ink[*at] = true);
}

/// The longer side of the box about some pixels.
fn extent(grid: Grid, part: &[usize]) -> f64 {
    let side = |of: &dyn Fn(usize) -> usize| {
        let (least, most) = part.iter().map(|at| of(*at)).fold((usize::MAX, 0), |(l, m), v| (l.min(v), m.max(v)));
        most - least
    };
    side(&|at| at % grid.width).max(side(&|at| at / grid.width)) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Paper that noise makes uneven, a line across it, and how much of the light the line takes at each place.
    fn paper(line: impl Fn(usize) -> f32) -> (Grid, Vec<f32>) {
        let grid = Grid { width: 400, height: 120 };
        let noise = |at: usize| ((at as u32).wrapping_mul(2_654_435_761) >> 16) as f32 / 65_536.0 - 0.5;
        let drawn = |at: usize| if (58..61).contains(&(at / 400)) { line(at % 400) } else { 0.0 };
        (grid, (0..grid.len()).map(|at| 0.8 * (1.0 - drawn(at)) + 0.04 * noise(at)).collect())
    }

    #[test]
    fn a_line_that_fades_for_a_while_is_one() {
        let (grid, luma) = paper(|x| if (190..205).contains(&x) { 0.14 } else { 0.35 });
        let ink = lines(grid, &luma, 5.0);
        for x in 0..400 {
            assert!((55..64).any(|y| ink[y * 400 + x]), "broken at {x}");
        }
        assert!((0..grid.len()).all(|at| !ink[at] || (52..67).contains(&(at / 400))), "noise is no line");
    }

    #[test]
    fn a_break_stays_one() {
        let (_, luma) = paper(|x| if (180..220).contains(&x) { 0.0 } else { 0.35 });
        let ink = lines(Grid { width: 400, height: 120 }, &luma, 5.0);
        assert!((195..205).all(|x| (0..120).all(|y| !ink[y * 400 + x])), "nothing is drawn there");
    }
}
