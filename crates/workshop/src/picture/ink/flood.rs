//! What the strokes part: closed areas up to the centre lines, and the picture without its strokes.

use std::collections::{BTreeSet, VecDeque};

use super::super::even::{Even, STEPS, apart};
use super::super::grid::{Grid, NOBODY, components};
use super::super::trim::{opened, spread};
use super::super::widest::{Beyond, distances};
use super::Ink;
use super::pen::within;

/// Paper within so many pixels of the nearest is looked at for whose side of a line it is.
const BESIDE: f64 = 2.0;

/// A part of one colour differs from its first pixel by no more than this (ΔE00, about).
const SPAN: f64 = 3.0;
/// A strip along a stroke is looked at as one up to so many pixels wider, to either side of its middle.
const STRIP: u32 = 1;
/// It is looked at so many times as far around as a slip may be wide to either side of its middle.
const AROUND: u32 = 5;
/// A part of one colour has so many squares of half the pen: less is an edge or grain.
const PART: f64 = 32.0;

/// The closed area of each pixel: lines and dark areas close it, and fall to what lies beside them.
pub(super) fn cells(ink: Ink, lines: &[bool]) -> Vec<u32> {
    let keys: Vec<u32> =
        lines.iter().zip(ink.dark).map(|(line, dark)| if *line || *dark { NOBODY } else { 0 }).collect();
    let (mut cells, _) = components(ink.grid, &keys);
    flood(ink.grid, &mut cells, ink.dark);
    settle(ink, &mut cells);
    cells
}

/// The same, but dark areas are areas themselves.
pub(super) fn areas(ink: Ink, lines: &[bool]) -> Vec<u32> {
    let keys: Vec<u32> =
        lines.iter().zip(ink.dark).map(|(line, dark)| if *line { NOBODY } else { u32::from(*dark) }).collect();
    let (mut areas, _) = components(ink.grid, &keys);
    settle(ink, &mut areas);
    areas
}

/// The closed areas parted further where colours do: a line may end at the edge of a colour and so part what it does not close. `colour`
/// is that of the picture without its strokes; where it tells none nothing is joined.
pub(super) fn coloured(ink: Ink, lines: &[bool], cells: &[u32], colour: impl Fn(usize) -> Option<Even>) -> Vec<u32> {
    let grid = ink.grid;
    let between: Vec<bool> = lines.iter().zip(ink.dark).map(|(line, dark)| !line && !dark).collect();
    let (mut parts, sizes) = alike(grid, &between, colour);
    let small = |part: u32| (sizes[part as usize] as f64) < PART * ink.half * ink.half;
    let mut has_part = BTreeSet::new();
    for (at, part) in parts.iter_mut().enumerate().filter(|(_, part)| **part != NOBODY) {
        if small(*part) {
            *part = NOBODY;
        } else {
            has_part.insert(cells[at]);
        }
    }
    // Edges and grain go to the parts beside them; where nothing else is, the area stays as it is.
    let whole = |at: &usize| between[*at] && !has_part.contains(&cells[*at]);
    (0..grid.len()).filter(whole).for_each(|at| parts[at] = sizes.len() as u32 + cells[at]);
    flood(grid, &mut parts, &between);
    flood(grid, &mut parts, ink.dark);
    settle(ink, &mut parts);
    parts
}

/// Slips of the brush: what is narrower than the pen and than `slip` pixels and lies along a stroke, where a colour stops short of
/// its line or runs over it. A strip that widens is one up to where most of it is wider, so that its border leaves the line once.
pub(super) fn slips(ink: Ink, strokes: &[bool], (plane, slip): (&[Even], f64)) -> Vec<bool> {
    let grid = ink.grid;
    // A disc with a pixel in its middle.
    let reach = ink.half.min((slip + 1.0) / 2.0).ceil() as u32;
    if reach < 2 {
        return vec![false; grid.len()];
    }
    let paper: Vec<bool> = strokes.iter().zip(ink.dark).map(|(stroke, dark)| !stroke && !dark).collect();
    let (parts, _) = alike(grid, &paper, |at| Some(plane[at]));
    let squares = distances(grid, &parts, Beyond::Same);
    let strip = |reach: u32| -> Vec<bool> {
        let (wide, near) = (opened(grid, &parts, &squares, reach), spread(grid, strokes, 2 * reach as usize + 1));
        (0..grid.len()).map(|at| paper[at] && near[at] && !wide[at]).collect()
    };
    let (narrow, strip) = (strip(reach), strip(reach + STRIP));
    let around = (AROUND * reach) as usize;
    let (narrow, all) = (counted(grid, &narrow, around), counted(grid, &strip, around));
    (0..grid.len()).map(|at| strip[at] && 2 * narrow[at] > all[at]).collect()
}

/// By pixel how many of a set lie in the square that reaches so far from it.
fn counted(grid: Grid, set: &[bool], reach: usize) -> Vec<u32> {
    let along = |of: &[u32], side: usize, step: usize, first: usize, out: &mut [u32]| {
        let mut sum: u32 = (0..reach.min(side)).map(|k| of[first + k * step]).sum();
        for k in 0..side {
            sum += if k + reach < side { of[first + (k + reach) * step] } else { 0 };
            sum -= if k > reach { of[first + (k - reach - 1) * step] } else { 0 };
            out[first + k * step] = sum;
        }
    };
    let ones: Vec<u32> = set.iter().map(|set| u32::from(*set)).collect();
    let (mut rows, mut all) = (ones.clone(), ones.clone());
    (0..grid.height).for_each(|y| along(&ones, grid.width, 1, y * grid.width, &mut rows));
    (0..grid.width).for_each(|x| along(&rows, grid.height, grid.width, x, &mut all));
    all
}

/// The parts of one colour within a set, and their sizes; what has no colour is of no part.
fn alike(grid: Grid, set: &[bool], colour: impl Fn(usize) -> Option<Even>) -> (Vec<u32>, Vec<usize>) {
    let alike = |a: Even, b: usize| colour(b).is_some_and(|b| apart(a, b) as f64 <= (SPAN * STEPS) * (SPAN * STEPS));
    let (mut parts, mut sizes) = (vec![NOBODY; grid.len()], Vec::new());
    for first in 0..grid.len() {
        if !set[first] || parts[first] != NOBODY {
            continue;
        }
        let Some(own) = colour(first) else { continue };
        let name = sizes.len() as u32;
        let (mut open, mut size) = (vec![first], 0);
        parts[first] = name;
        while let Some(at) = open.pop() {
            size += 1;
            for beside in grid.four(at).filter(|n| set[*n] && alike(own, *n)) {
                if parts[beside] == NOBODY {
                    parts[beside] = name;
                    open.push(beside);
                }
            }
        }
        sizes.push(size);
    }
    (parts, sizes)
}

/// Hands the pixels of `within` to the cells beside them, from all sides.
fn flood(grid: Grid, cells: &mut [u32], within: &[bool]) {
    let mut open: VecDeque<usize> = (0..grid.len()).filter(|at| cells[*at] != NOBODY).collect();
    while let Some(at) = open.pop_front() {
        for next in grid.four(at).filter(|n| within[*n]) {
            if cells[next] == NOBODY {
                cells[next] = cells[at];
                open.push_back(next);
            }
        }
    }
}

/// Hands pixels of nobody to a neighbour, those in touch with one first. Of several that whose paper is nearest takes them: the
/// middle of a stroke lies to one side of that of the pixel.
fn settle(ink: Ink, cells: &mut [u32]) {
    let grid = ink.grid;
    let mut open: VecDeque<usize> = (0..grid.len()).filter(|at| cells[*at] == NOBODY).collect();
    let mut idle = 0;
    while let Some(at) = open.pop_front() {
        match nearest(ink, cells, at) {
            Some(cell) => {
                cells[at] = cell;
                idle = 0;
            }
            None if idle > open.len() => return,
            None => {
                open.push_back(at);
                idle += 1;
            }
        }
    }
}

/// Of the cells that touch a pixel, the one whose paper is nearest; the first where one of them has none near.
fn nearest(ink: Ink, cells: &[u32], at: usize) -> Option<u32> {
    let beside: BTreeSet<u32> = ink.grid.four(at).map(|n| cells[n]).filter(|cell| *cell != NOBODY).collect();
    let first = *beside.first()?;
    let reach = f64::from(ink.squares[at]).sqrt() + BESIDE;
    let paper: Vec<(isize, u32)> = within(ink.grid, at, reach)
        .filter(|(_, n)| beside.len() > 1 && !ink.marks[*n] && beside.contains(&cells[*n]))
        .map(|(square, n)| (square, cells[n]))
        .collect();
    let near: BTreeSet<u32> = paper.iter().map(|(_, cell)| *cell).collect();
    if near.len() < beside.len() {
        return Some(first);
    }
    paper.into_iter().min().map(|(_, cell)| cell)
}

/// Where each pixel takes its colour from: itself, or for strokes the nearest pixel beside that no line parts from it.
pub(super) fn sources(grid: Grid, stroke: &[bool], lines: &[bool]) -> Vec<u32> {
    let taken = |at: usize| if stroke[at] || lines[at] { NOBODY } else { at as u32 };
    let mut from: Vec<u32> = (0..grid.len()).map(taken).collect();
    let rim = |at: &usize| from[*at] != NOBODY && grid.four(*at).any(|n| from[n] == NOBODY);
    let mut open: VecDeque<usize> = (0..grid.len()).filter(rim).collect();
    let mut last = VecDeque::new();
    while let Some(at) = open.pop_front() {
        for next in grid.four(at) {
            if from[next] == NOBODY {
                from[next] = from[at];
                if lines[next] { last.push_back(next) } else { open.push_back(next) }
            }
        }
    }
    // What lies within lines on all sides takes what is nearest across them.
    while let Some(at) = last.pop_front() {
        for next in grid.four(at) {
            if from[next] == NOBODY {
                from[next] = from[at];
                last.push_back(next);
            }
        }
    }
    from.iter().enumerate().map(|(at, from)| if *from == NOBODY { at as u32 } else { *from }).collect()
}
