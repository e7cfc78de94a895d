//! Where the skeleton can be trusted: strands, as wide all along, and the knots between them.
//!
//! A skeleton strays wherever a stroke is not bounded by two edges that face each other: it cuts corners, and bends towards a
//! stroke that joins. There its distance from the edge changes, and it lies in a knot. What is left are strands of strokes, each
//! with its own width.

use std::collections::{BTreeSet, VecDeque};

use super::super::grid::NOBODY;
use super::Ink;
use super::thin::{degree, walk};

/// A strand is as wide all along: over so much of half its width to each side it varies by no more than so much of that half, and
/// by so many pixels.
const EVEN_OVER: f64 = 1.25;
const VARIES: f64 = 0.04;
const VARIES_PX: f64 = 1.0;
/// Where a stroke swells it varies by so much of that half.
const TAPERS: f64 = 0.25;
/// What is so many times as wide as the pen is no stroke of a broader one: strokes run side by side there.
const BROADER: f64 = 1.35;
/// The tip of a stroke is cut back to where it is this wide, in half pens: its round end says nothing of its axis. Half the pen is that
/// of its own where it is finer all along so many half pens.
const TIP: f64 = 0.85;
const FINER: f64 = 6.0;

/// By pixel of ink, half the width of the strand that is nearest within the ink; half the pen where there is none.
pub(super) fn halves(ink: Ink, bones: &[bool], knots: &[u32]) -> Vec<f64> {
    let grid = ink.grid;
    let mut halves = vec![ink.half; grid.len()];
    let mut seen: Vec<bool> = (0..grid.len()).map(|at| bones[at] && knots[at] == NOBODY).collect();
    let mut open: VecDeque<usize> = (0..grid.len()).filter(|at| seen[*at]).collect();
    for at in &open {
        let (least, most) = widths(ink, bones, *at);
        halves[*at] = (least + most) / 2.0;
    }
    while let Some(at) = open.pop_front() {
        for next in grid.eight(at).filter(|n| ink.marks[*n]) {
            if !seen[next] {
                (seen[next], halves[next]) = (true, halves[at]);
                open.push_back(next);
            }
        }
    }
    halves
}

/// The least and most distance from the edge along the skeleton about one of its pixels.
fn widths(ink: Ink, bones: &[bool], at: usize) -> (f64, f64) {
    let from_edge = |at: usize| f64::from(ink.squares[at]).sqrt();
    let (mut near, mut front) = (vec![at], vec![at]);
    for _ in 0..(EVEN_OVER * from_edge(at)).round() as usize {
        let next: Vec<usize> = front
            .iter()
            .flat_map(|at| ink.grid.eight(*at))
            .filter(|n| bones[*n] && !near.contains(n))
            .collect::<BTreeSet<usize>>()
            .into_iter()
            .collect();
        near.extend(&next);
        front = next;
    }
    near.into_iter().map(from_edge).fold((f64::MAX, 0.0), |(least, most), d| (d.min(least), d.max(most)))
}

/// The knot of each pixel of the skeleton that lies in one.
pub(super) fn knots(ink: Ink, bones: &[bool]) -> Vec<u32> {
    let grid = ink.grid;
    let strays = |at: usize| {
        let (least, most) = widths(ink, bones, at);
        let varies = if ink.swells[at] { TAPERS } else { VARIES };
        most - least > varies * least + VARIES_PX
            || (!ink.swells[at] && most > BROADER * ink.half + VARIES_PX)
            || degree(grid, bones, at) > 2
    };
    let inside: Vec<bool> = (0..grid.len()).map(|at| bones[at] && strays(at)).collect();
    let mut names = vec![NOBODY; grid.len()];
    let mut count = 0;
    for first in 0..grid.len() {
        if !inside[first] || names[first] != NOBODY {
            continue;
        }
        let mut open = vec![first];
        names[first] = count;
        while let Some(at) = open.pop() {
            for next in grid.eight(at).filter(|n| inside[*n]) {
                if names[next] == NOBODY {
                    names[next] = count;
                    open.push(next);
                }
            }
        }
        count += 1;
    }
    names
}

/// Takes the round tips of open strokes off; a stroke that ends on a dark area has none. Near the picture's edge, where they may
/// be led on for `edge_px`, they go no farther than a pen's tip is round, or a fine stroke that is drawn more lightly goes whole.
pub(super) fn without_tips(ink: Ink, bones: &mut [bool], edge_px: f64) {
    let grid = ink.grid;
    let near_edge = |at: usize| grid.to_edge(at) as f64 <= edge_px + 2.0 * ink.half;
    let most = |at: usize| if near_edge(at) { ink.half.ceil() as usize } else { usize::MAX };
    let is_end = |bones: &[bool], at: usize| bones[at] && degree(grid, bones, at) == 1;
    let own = |bones: &[bool], at: usize| half_along(ink, &walk(grid, bones, at)).min(ink.half);
    let mut ends: Vec<(usize, usize, f64)> =
        (0..grid.len()).filter(|at| is_end(bones, *at)).map(|at| (at, most(at), own(bones, at))).collect();
    while let Some((end, left, half)) = ends.pop() {
        let held = left == 0 || grid.on_frame(end) || grid.eight(end).any(|n| ink.dark[n]);
        if held || f64::from(ink.squares[end]).sqrt() >= TIP * half {
            continue;
        }
        bones[end] = false;
        ends.extend(grid.eight(end).filter(|n| is_end(bones, *n)).map(|n| (n, left - 1, half)));
    }
}

/// Half the width of the stroke along the beginning of a path: the middle one of its distances from the edge; half the pen where the
/// path is too short to tell.
fn half_along(ink: Ink, path: &[usize]) -> f64 {
    let count = (FINER * ink.half).ceil() as usize;
    if path.len() < count {
        return ink.half;
    }
    let mut squares: Vec<u32> = path[..count].iter().map(|at| ink.squares[*at]).collect();
    squares.sort_unstable();
    f64::from(squares[count / 2]).sqrt()
}
