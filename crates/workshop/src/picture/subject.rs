//! What becomes wood, and what is ground.
//!
//! Ground is what is transparent and, when the maker drops a plain ground, what is joined to the edges in one colour: a
//! flood from the edge pixels of the edge's commonest colour, over pixels close to it. A ground that shares its colour
//! with the subject where they meet is not parted by this; marks by hand are for that.

use super::Raster;
use super::even::{self, Even, STEPS, apart};
use super::grid::{Grid, NOBODY, components};
use super::read::OPAQUE;
use crate::work::{GroundChoice, Size};

/// The share of the edge that must show one colour for the ground to count as plain.
const PLAIN_SHARE: f64 = 0.6;

/// How far a pixel may be from that colour (ΔE00, about): paper shade and JPEG noise pass, a pale subject does not.
const PLAIN_REACH: f64 = 4.0;

/// Ground or subject specks under this area go to the other side, mm²: no saw opens or leaves less.
const SPECK_MM2: f64 = 4.0;

/// By pixel, whether it is subject.
/// A plain ground ends at lines of ink: `cells` says by pixel which closed area it lies in, empty for none.
pub(super) fn subject(
    raster: &Raster,
    (plane, cells): (&[Even], &[u32]),
    panel: Size,
    ground: GroundChoice,
) -> Vec<bool> {
    let grid = Grid::new(raster.width, raster.height);
    if ground == GroundChoice::Keep {
        return vec![true; grid.len()];
    }
    let mut inside: Vec<bool> = raster.pixels.iter().map(|p| p[3] >= OPAQUE).collect();
    if let Some(colour) = plain_edge(grid, plane, &inside) {
        drop_ground(grid, (plane, cells), colour, &mut inside);
    }
    without_specks(grid, &inside, panel, &[])
}

/// The subject by transparency and a plain ground alone; lines of ink are not looked at.
pub(crate) fn plain_subject(raster: &Raster, panel: Size, ground: GroundChoice) -> Vec<bool> {
    subject(raster, (&even::plane(raster), &[]), panel, ground)
}

/// A speck in pixels.
pub(super) fn speck(grid: Grid, panel: Size) -> u32 {
    let side = panel.width.to_mm() / grid.width as f64;
    (SPECK_MM2 / (side * side).max(1e-9)) as u32
}

/// The colour of a plain edge; `None` when the edge shows several, or is mostly transparent.
fn plain_edge(grid: Grid, plane: &[Even], inside: &[bool]) -> Option<Even> {
    let frame: Vec<usize> = (0..grid.len()).filter(|at| grid.on_frame(*at)).collect();
    let opaque: Vec<usize> = frame.iter().copied().filter(|at| inside[*at]).collect();
    let step = (opaque.len() / 64).max(1);
    let near = |colour: Even| opaque.iter().filter(|at| close(plane[**at], colour)).count();
    let best = opaque.iter().step_by(step).map(|at| plane[*at]).max_by_key(|c| (near(*c), *c))?;
    (near(best) as f64 >= PLAIN_SHARE * frame.len() as f64).then_some(best)
}

fn close(a: Even, b: Even) -> bool {
    (apart(a, b) as f64) <= PLAIN_REACH * PLAIN_REACH * STEPS * STEPS
}

fn drop_ground(grid: Grid, (plane, cells): (&[Even], &[u32]), colour: Even, inside: &mut [bool]) {
    let ground = |at: usize, inside: &[bool]| inside[at] && close(plane[at], colour);
    let mut stack: Vec<usize> = (0..grid.len()).filter(|at| grid.on_frame(*at) && ground(*at, inside)).collect();
    stack.iter().for_each(|at| inside[*at] = false);
    while let Some(at) = stack.pop() {
        for next in grid.four(at) {
            if ground(next, inside) && (cells.is_empty() || cells[next] == cells[at]) {
                inside[next] = false;
                stack.push(next);
            }
        }
    }
}

/// Parts smaller than a speck change sides, ground first; none that a mark holds on its side, by pixel: `marks` may be empty.
pub(super) fn without_specks(grid: Grid, inside: &[bool], panel: Size, marks: &[Option<bool>]) -> Vec<bool> {
    let least = speck(grid, panel);
    let mut inside = inside.to_vec();
    for side in [false, true] {
        let keys: Vec<u32> = inside.iter().map(|i| if *i == side { 0 } else { NOBODY }).collect();
        let (parts, count) = components(grid, &keys);
        let mut area = vec![0u32; count as usize];
        parts.iter().filter(|p| **p != NOBODY).for_each(|p| area[*p as usize] += 1);
        // A part with a mark is as large as can be.
        let held = parts.iter().zip(marks).filter(|(part, mark)| **part != NOBODY && **mark == Some(side));
        held.for_each(|(part, _)| area[*part as usize] = u32::MAX);
        for (at, part) in parts.iter().enumerate().filter(|(_, p)| **p != NOBODY) {
            if area[*part as usize] < least && area[*part as usize] < grid.len() as u32 / 4 {
                inside[at] = !side;
            }
        }
    }
    inside
}
