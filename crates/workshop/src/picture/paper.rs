//! A line drawing on paper, scanned or photographed: straightened, its light evened, its lines black on white.
//!
//! Four corners give the plane. The paper's light is the lightest quarter about a place; what is left after division by it
//! is told from noise by a threshold that follows mean and deviation about each pixel (Sauvola, Pietikäinen 2000). Specks shorter
//! than a letter go. Weak for pencil, whose line the paper's grain breaks, and where a shadow ends sharply within the width of a
//! line.

use measure::length::Um;
use measure::plane::Point;

use super::grid::{Grid, NOBODY, components};
use super::ink::inked;
use super::limits::{Limits, absorb};
use super::plane::{Plane, aspect, is_convex};
use super::regions::finish;
use super::tree::no_ink;
use super::{Raster, Regions, even};
use crate::work::{Refusal, Size, Stock, Way};

/// Most pixels of the straightened drawing, as of any picture.
const MOST: f64 = 3_000_000.0;
/// The light is told by so many blocks along the longer side, each from the pixels of its neighbours too, and this share of them
/// is darker than paper at most.
const BLOCKS: usize = 48;
const PAPER: f64 = 0.75;
/// Half the side of the window that the threshold looks at, mm; at least so many pixels.
const WINDOW_MM: f64 = 3.0;
const WINDOW_PX: usize = 8;
/// The weight of the deviation, and the deviation of a window half paper, half ink (Sauvola's k and R, R of a range of 1).
const WEIGHT: f64 = 0.2;
const RANGE: f64 = 0.5;
/// A line is darker than paper by so many deviations of the paper's noise, and by this share at least.
const NOISES: f64 = 3.5;
const FAINTEST: f64 = 0.07;
/// What is shorter than this is a speck, mm; white within a line up to this is a hole in the pencil's trace, mm.
const SPECK_MM: f64 = 3.0;
const HOLE_MM: f64 = 0.5;
/// Of the least width and area of a piece: what has less is no area that a maker drew.
const KEPT: f64 = 0.5;
/// What the cleaned drawing shows.
const BLACK: [u8; 4] = [16, 16, 16, 255];
const WHITE: [u8; 4] = [255; 4];

/// What the maker says of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Its corners, or those of the frame drawn on it, clockwise from the top left, shares of the picture's width and height; without
    /// them the whole picture is the sheet, seen straight on.
    pub corners: Option<[(f64, f64); 4]>,
    /// Between the first two corners.
    pub width: Um,
    /// Between the second and the third, where it is known.
    pub height: Option<Um>,
}

/// The drawing seen straight on, black on white, and the size of its panel.
pub fn drawing(raster: &Raster, sheet: &Sheet) -> Result<(Raster, Size), Refusal> {
    let whole = (f64::from(raster.width), f64::from(raster.height));
    let edges = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    let corners = sheet.corners.unwrap_or(edges).map(|(x, y)| (x * whole.0, y * whole.1));
    let within = |(x, y): &(f64, f64)| (0.0..=whole.0).contains(x) && (0.0..=whole.1).contains(y);
    if !corners.iter().all(within) || !is_convex(&corners) {
        return Err(crooked());
    }
    let seen = aspect(&corners, (whole.0 / 2.0, whole.1 / 2.0)).ok_or_else(crooked)?;
    let height = sheet.height.unwrap_or(Um((f64::from(sheet.width.0) * seen).round() as i32));
    let size = (f64::from(sheet.width.0), f64::from(height.0));
    let plane = Plane::new(&corners, size).ok_or_else(crooked)?;
    let far = |a: (f64, f64), b: (f64, f64)| libm::hypot(a.0 - b.0, a.1 - b.1);
    let across = far(corners[0], corners[1]).max(far(corners[3], corners[2]));
    let down = far(corners[1], corners[2]).max(far(corners[0], corners[3]));
    let per_um = (across / size.0).max(down / size.1).min((MOST / (size.0 * size.1)).sqrt());
    let side = |um: f64| (um * per_um).round().max(1.0) as usize;
    let grid = Grid { width: side(size.0), height: side(size.1) };
    let luma = straightened(raster, &plane, grid);
    let ink = lines(grid, &luma, 1000.0 * per_um);
    let pixels = ink.into_iter().map(|ink| if ink { BLACK } else { WHITE }).collect();
    let panel = Size { width: sheet.width, height };
    Ok((Raster { width: grid.width as u32, height: grid.height as u32, pixels }, panel))
}

/// The areas that the lines of a drawing on paper close, each by itself, and where lines end in the open. Breaks up to `bridge`
/// wide are bridged. What has less than `KEPT` of the least width or area of `stock`, such as the loops of numbers, goes to
/// what lies around it.
pub fn closed(drawing: &Raster, (panel, bridge): (Size, Um), stock: &Stock) -> Result<(Regions, Vec<Point>), Refusal> {
    let grid = Grid::new(drawing.width, drawing.height);
    let pixel = panel.width.to_mm() / grid.width as f64;
    let found = inked(drawing, &even::plane(drawing), bridge.to_mm() / pixel).ok_or_else(no_ink)?;
    let limits = Limits {
        width: KEPT * stock.least_width.to_mm() / pixel,
        area: (KEPT * f64::from(stock.least_area_mm2) / (pixel * pixel)).ceil() as i64,
        keep: true,
    };
    let mut labels = found.strokes.areas.clone();
    let count = labels.iter().max().map_or(0, |most| most + 1);
    absorb(grid, &even::plane(&found.raster), &mut labels, count, limits);
    let loose = found.strokes.open_ends(grid, panel, &vec![true; grid.len()]);
    Ok((finish(grid, labels, count, Vec::new()), loose))
}

fn crooked() -> Refusal {
    Refusal::new("The four corners do not go round a sheet: two coincide, one lies outside, or they are not clockwise.")
        .way(Way::advice(
            "Give them clockwise as seen, from the top left, in percent of the picture's width and height.",
        ))
}

/// The brightness of the sheet seen straight on, 0 to 1, between pixels by how near they are.
fn straightened(raster: &Raster, plane: &Plane, grid: Grid) -> Vec<f32> {
    let (width, height) = (raster.width as usize, raster.height as usize);
    let bright = |x: usize, y: usize| {
        let [r, g, b, _] = raster.pixels[y.min(height - 1) * width + x.min(width - 1)];
        (0.299 * f32::from(r) + 0.587 * f32::from(g) + 0.114 * f32::from(b)) / 255.0
    };
    let step = (plane.size.0 / grid.width as f64, plane.size.1 / grid.height as f64);
    (0..grid.len())
        .map(|at| {
            let on = ((at % grid.width) as f64 + 0.5, (at / grid.width) as f64 + 0.5);
            let (x, y) = plane.to_photo((on.0 * step.0, on.1 * step.1));
            let (x, y) = ((x - 0.5).max(0.0), (y - 0.5).max(0.0));
            let (left, top, u, v) = (x as usize, y as usize, x.fract() as f32, y.fract() as f32);
            let row = |y: usize| bright(left, y) * (1.0 - u) + bright(left + 1, y) * u;
            row(top) * (1.0 - v) + row(top + 1) * v
        })
        .collect()
}

/// By pixel, whether a line is drawn there; `mm` is pixels to a millimetre.
fn lines(grid: Grid, luma: &[f32], mm: f64) -> Vec<bool> {
    let light = light(grid, luma);
    let flat: Vec<f32> = luma.iter().zip(&light).map(|(seen, light)| seen / light.max(1e-3)).collect();
    let flat = calmed(grid, &flat);
    let least = (NOISES * noise(&flat)).max(FAINTEST);
    let window = ((WINDOW_MM * mm) as usize).max(WINDOW_PX);
    let sums = Sums::new(grid, &flat);
    let mut ink: Vec<bool> = (0..grid.len())
        .map(|at| {
            let (mean, deviation) = sums.about(at, window);
            let threshold = mean * (1.0 + WEIGHT * (deviation / RANGE - 1.0));
            f64::from(flat[at]) <= threshold.min(1.0 - least)
        })
        .collect();
    without_small(grid, &mut ink, false, HOLE_MM * mm);
    without_small(grid, &mut ink, true, SPECK_MM * mm);
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

/// Each pixel's mean with its neighbours, the nearer the heavier (1 2 1 in both directions).
fn calmed(grid: Grid, flat: &[f32]) -> Vec<f32> {
    let pass = |of: &[f32], step: usize, at: usize, first: bool, last: bool| {
        let (before, after) = (if first { at } else { at - step }, if last { at } else { at + step });
        (of[before] + 2.0 * of[at] + of[after]) / 4.0
    };
    let (width, height) = (grid.width, grid.height);
    let across: Vec<f32> =
        (0..grid.len()).map(|at| pass(flat, 1, at, at % width == 0, at % width == width - 1)).collect();
    (0..grid.len()).map(|at| pass(&across, width, at, at / width == 0, at / width == height - 1)).collect()
}

/// The standard deviation of paper, by the median of what the darker half of it strays.
fn noise(flat: &[f32]) -> f64 {
    let mut off: Vec<f32> = flat.iter().step_by(7).map(|value| (1.0 - value).abs()).collect();
    let middle = off.len() / 2;
    // 0.6745 deviations hold half of a normal distribution.
    f64::from(*off.select_nth_unstable_by(middle, f32::total_cmp).1) / 0.6745
}

/// Sums over rectangles from the top left corner.
struct Sums {
    grid: Grid,
    of: Vec<[f64; 2]>,
}

impl Sums {
    fn new(grid: Grid, flat: &[f32]) -> Sums {
        let columns = grid.width + 1;
        let mut of = vec![[0.0; 2]; columns * (grid.height + 1)];
        for y in 0..grid.height {
            let mut row = [0.0; 2];
            for x in 0..grid.width {
                let value = f64::from(flat[y * grid.width + x]);
                row = [row[0] + value, row[1] + value * value];
                let above = of[y * columns + x + 1];
                of[(y + 1) * columns + x + 1] = [above[0] + row[0], above[1] + row[1]];
            }
        }
        Sums { grid, of }
    }

    /// Mean and deviation within `reach` pixels.
    fn about(&self, at: usize, reach: usize) -> (f64, f64) {
        let (x, y) = (at % self.grid.width, at / self.grid.width);
        let (left, top) = (x.saturating_sub(reach), y.saturating_sub(reach));
        let (right, bottom) = ((x + reach + 1).min(self.grid.width), (y + reach + 1).min(self.grid.height));
        let columns = self.grid.width + 1;
        let sum = |k: usize| {
            let of = |x: usize, y: usize| self.of[y * columns + x][k];
            of(right, bottom) - of(left, bottom) - of(right, top) + of(left, top)
        };
        let count = ((right - left) * (bottom - top)) as f64;
        let mean = sum(0) / count;
        (mean, (sum(1) / count - mean * mean).max(0.0).sqrt())
    }
}

/// Connected marks (or what is between them) shorter than `least` pixels in both directions change sides.
fn without_small(grid: Grid, ink: &mut [bool], which: bool, least: f64) {
    let keys: Vec<u32> = ink.iter().map(|ink| if *ink == which { 0 } else { NOBODY }).collect();
    let (parts, count) = components(grid, &keys);
    let mut boxes = vec![(usize::MAX, usize::MAX, 0, 0); count as usize];
    for (at, part) in parts.iter().enumerate().filter(|(_, part)| **part != NOBODY) {
        let (x, y, of) = (at % grid.width, at / grid.width, &mut boxes[*part as usize]);
        *of = (of.0.min(x), of.1.min(y), of.2.max(x), of.3.max(y));
    }
    for (at, part) in parts.iter().enumerate().filter(|(_, part)| **part != NOBODY) {
        let (left, top, right, bottom) = boxes[*part as usize];
        if ((right - left).max(bottom - top) as f64) < least {
            ink[at] = !which;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_that_go_round_no_sheet_are_refused() {
        let raster = Raster { width: 100, height: 100, pixels: vec![[255; 4]; 10_000] };
        for corners in [
            [(0.1, 0.1), (0.1, 0.1), (0.9, 0.9), (0.1, 0.9)],
            [(0.1, 0.1), (0.1, 0.9), (0.9, 0.9), (0.9, 0.1)],
            [(0.1, 0.1), (1.2, 0.1), (0.9, 0.9), (0.1, 0.9)],
        ] {
            let sheet = Sheet { corners: Some(corners), width: Um(150_000), height: None };
            assert!(drawing(&raster, &sheet).expect_err("no sheet").what.contains("corners"));
        }
    }
}
