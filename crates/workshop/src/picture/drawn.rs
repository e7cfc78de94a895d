//! Where lines are drawn on paper, with a pen or a pencil.
//!
//! The paper's light is what is left when all narrow dark is filled; what a pixel lacks of it is drawn. A pencil's line is uneven and the
//! paper's grain breaks it, so its darkness is the mean along the direction in which it is darkest. It is told from noise by two
//! thresholds (hysteresis: Canny 1986), both shares of the darkest about a place: what is over the upper one is a line, and ways
//! between over the lower one join lines, each along its crest. Specks shorter than a letter go. Weak where a shadow is
//! as narrow as a line.

use std::f64::consts::PI;

use rayon::prelude::*;

use super::grid::{Grid, NOBODY, components, extent, touching};
use super::ink::joined;

/// The light round about is told by so many blocks along the longer side, each from the pixels of its neighbours too, and this share
/// of them is darker than paper at most.
const BLOCKS: usize = 48;
const PAPER: f64 = 0.75;

/// A line is narrower than this, mm, or has less than so much of the light round about; what has more is a shadow. A hard shadow under a
/// lamp leaves two fifths, a marker's ink a quarter.
const FILLED_MM: f64 = 5.0;
const INKED: f32 = 0.35;
/// The picture is smoothed by a Gaussian of this deviation, mm, before light is sought in it: its lightest is noise otherwise.
const STILL_MM: f64 = 0.3;

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

/// By pixel, whether a line is drawn there; `luma` is brightness, `mm` is pixels to a millimetre of the panel and of the drawing. The
/// drawing's tells how wide lines, shadows and specks are; by the panel's a line is followed, so that borders keep their place on it.
pub(super) fn lines(grid: Grid, luma: &[f32], (mm, drawn_mm): (f64, f64)) -> Vec<bool> {
    let light = light(grid, luma, drawn_mm);
    let drawn: Vec<f32> = luma.iter().zip(&light).map(|(seen, light)| 1.0 - seen / light.max(1e-3)).collect();
    let drawn = along_lines(grid, &smoothed(grid, &drawn, (CALM_MM * mm).max(CALM_PX)), ALONG_MM * mm);
    let about = ABOUT_MM * mm;
    let darkest = smoothed(grid, &most(grid, &drawn, about.ceil() as usize), about);
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
    without_holes(grid, &mut ink, HOLE_MM * drawn_mm);
    without_specks(grid, &mut ink, SPECK_MM * drawn_mm);
    ink
}

/// How bright paper is at each pixel: what is left of the picture when all dark is filled that is narrower than a window (the
/// morphological closing: Serra 1982). It follows every edge of a shadow, however soft, since light falls there to one side alone; a
/// line has light on both. Dark that is wider is drawn where it has less than `INKED` of the light round about.
fn light(grid: Grid, luma: &[f32], mm: f64) -> Vec<f32> {
    let reach = (FILLED_MM * mm / 2.0).ceil() as usize;
    let calm = smoothed(grid, luma, (STILL_MM * mm).max(CALM_PX));
    let upside_down = |of: &[f32]| -> Vec<f32> { of.iter().map(|value| -value).collect() };
    let filled = upside_down(&most(grid, &upside_down(&most(grid, &calm, reach)), reach));
    filled.into_iter().zip(round_about(grid, luma)).map(|(near, far)| near.max(INKED * far)).collect()
}

/// How bright the lightest quarter about each pixel is, from block to block.
fn round_about(grid: Grid, luma: &[f32]) -> Vec<f32> {
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

/// The largest within so many pixels, across and down: of two windows that touch or overlap, the larger, so that windows double.
fn most(grid: Grid, of: &[f32], reach: usize) -> Vec<f32> {
    let (width, height) = (grid.width, grid.height);
    let (mut found, mut reached) = (of.to_vec(), 0);
    while reached < reach {
        let step = reached.clamp(1, reach - reached);
        let rows = by_pixel(grid, |x, y| {
            let row = &found[y * width..][..width];
            row[x].max(row[x.saturating_sub(step)]).max(row[(x + step).min(width - 1)])
        });
        found = by_pixel(grid, |x, y| {
            let at = |y: usize| rows[y * width + x];
            at(y).max(at(y.saturating_sub(step))).max(at((y + step).min(height - 1)))
        });
        reached += step;
    }
    found
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
    let specks = touching(grid, ink).into_iter().filter(|part| extent(grid, part) < least);
    specks.flatten().for_each(|at| ink[at] = false);
}

/// Fills what lies within marks and is shorter than `least` pixels across and down.
fn without_holes(grid: Grid, ink: &mut [bool], least: f64) {
    let keys: Vec<u32> = ink.iter().map(|ink| if *ink { NOBODY } else { 0 }).collect();
    let (holes, count) = components(grid, &keys);
    let mut parts = vec![Vec::new(); count as usize];
    (0..grid.len()).filter(|at| holes[*at] != NOBODY).for_each(|at| parts[holes[at] as usize].push(at));
    parts.iter().filter(|part| extent(grid, part) < least).flatten().for_each(|at| ink[*at] = true);
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
        let ink = lines(grid, &luma, (5.0, 5.0));
        for x in 0..400 {
            assert!((55..64).any(|y| ink[y * 400 + x]), "broken at {x}");
        }
        assert!((0..grid.len()).all(|at| !ink[at] || (52..67).contains(&(at / 400))), "noise is no line");
    }

    /// The edge of a shadow, sharp or soft, runs aslant over the line; it is followed far and near from where it is darkest.
    #[test]
    fn the_edge_of_a_shadow_is_no_line() {
        let (grid, luma) = paper(|_| 0.35);
        for (dark, soft) in [(0.2, 0.5), (0.2, 4.0), (0.2, 8.0), (0.38, 0.5), (0.38, 4.0), (0.38, 8.0), (0.38, 15.0)] {
            let shaded = |at: usize| {
                // Millimetres from the middle of the edge, in deviations of the Gaussian that softens it.
                let off = ((at % 400) as f64 - 200.0 + 0.3 * (at / 400) as f64) / 5.0 / soft;
                luma[at] * (1.0 - dark * 0.5 * libm::erfc(-off / std::f64::consts::SQRT_2)) as f32
            };
            let ink = lines(grid, &(0..grid.len()).map(shaded).collect::<Vec<_>>(), (5.0, 5.0));
            let off = (0..grid.len()).filter(|at| ink[*at] && !(52..67).contains(&(at / 400))).count();
            assert_eq!(off, 0, "{dark} darker, {soft} mm soft");
            assert!((0..400).all(|x| (55..64).any(|y| ink[y * 400 + x])), "broken: {dark} darker, {soft} mm soft");
        }
    }

    /// A hard shadow that leaves two fifths of the light, over half of the sheet: paper lies in it, and no ink.
    #[test]
    fn a_deep_shadow_is_filled_with_nothing() {
        let grid = Grid { width: 400, height: 300 };
        let noise = |at: usize| ((at as u32).wrapping_mul(2_654_435_761) >> 16) as f32 / 65_536.0 - 0.5;
        let paper = |at: usize| if at % 400 < 200 { 0.8 } else { 0.32 };
        let luma: Vec<f32> = (0..grid.len()).map(|at| paper(at) + 0.04 * noise(at)).collect();
        let seen = light(grid, &luma, 5.0);
        for at in (0..grid.len()).filter(|at| !(192..208).contains(&(at % 400))) {
            assert!((seen[at] - paper(at)).abs() < 0.04, "{} for {} at {}", seen[at], paper(at), at % 400);
        }
    }

    /// Wider than the window in which light is sought, and light in it nowhere.
    #[test]
    fn what_is_filled_with_ink_is_drawn() {
        let grid = Grid { width: 1200, height: 300 };
        let dark = |at: usize| {
            let (x, y) = ((at % 1200) as f64 - 600.0, (at / 1200) as f64 - 150.0);
            x * x + y * y < 25.0 * 25.0
        };
        let ink =
            lines(grid, &(0..grid.len()).map(|at| if dark(at) { 0.2 } else { 0.8 }).collect::<Vec<_>>(), (5.0, 5.0));
        let wrong = (0..grid.len()).filter(|at| ink[*at] != dark(*at)).count();
        assert!(wrong < 320, "two pixels along its edge at most: {wrong}");
    }

    #[test]
    fn a_break_stays_one() {
        let (_, luma) = paper(|x| if (180..220).contains(&x) { 0.0 } else { 0.35 });
        let ink = lines(Grid { width: 400, height: 120 }, &luma, (5.0, 5.0));
        assert!((195..205).all(|x| (0..120).all(|y| !ink[y * 400 + x])), "nothing is drawn there");
    }
}
