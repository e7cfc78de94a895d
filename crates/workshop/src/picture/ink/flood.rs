//! What the strokes part: closed areas up to the centre lines, and the picture without its strokes.

use std::collections::{BTreeSet, VecDeque};

use super::super::even::{Even, STEPS, apart};
use super::super::grid::{Grid, NOBODY, components};
use super::Ink;
use super::pen::within;

/// Paper within so many pixels of the nearest is looked at for whose side of a line it is.
const BESIDE: f64 = 2.0;

/// A part of one colour differs from its first pixel by no more than this (ΔE00, about).
const SPAN: f64 = 3.0;
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
/// is that of the picture without its strokes.
pub(super) fn coloured(ink: Ink, lines: &[bool], cells: &[u32], colour: impl Fn(usize) -> Even) -> Vec<u32> {
    let grid = ink.grid;
    let free = |at: usize| !lines[at] && !ink.dark[at];
    let alike = |a: Even, b: usize| apart(a, colour(b)) as f64 <= (SPAN * STEPS) * (SPAN * STEPS);
    let (mut parts, mut count) = (vec![NOBODY; grid.len()], 0);
    let (mut seen, mut has_part) = (vec![false; grid.len()], BTreeSet::new());
    for first in (0..grid.len()).filter(|at| free(*at)) {
        if std::mem::replace(&mut seen[first], true) {
            continue;
        }
        let (mut part, mut next, own) = (vec![first], 0, colour(first));
        while let Some(&at) = part.get(next) {
            next += 1;
            for beside in grid.four(at).filter(|n| free(*n) && alike(own, *n)) {
                if !std::mem::replace(&mut seen[beside], true) {
                    part.push(beside);
                }
            }
        }
        if part.len() as f64 >= PART * ink.half * ink.half {
            part.iter().for_each(|at| parts[*at] = count);
            count += 1;
            has_part.insert(cells[first]);
        }
    }
    // Edges and grain go to the parts beside them; where nothing else is, the area stays as it is.
    let whole = |at: &usize| free(*at) && !has_part.contains(&cells[*at]);
    (0..grid.len()).filter(whole).for_each(|at| parts[at] = count + cells[at]);
    let between: Vec<bool> = (0..grid.len()).map(free).collect();
    flood(grid, &mut parts, &between);
    flood(grid, &mut parts, ink.dark);
    settle(ink, &mut parts);
    parts
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
