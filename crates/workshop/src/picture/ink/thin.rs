//! The skeleton of strokes: thinned from their edges inwards, spurs taken off.
//!
//! Pixels go in the order of their distance from the edge (a homotopic thinning ordered by distance, after Pudney 1998) while
//! that keeps the strokes in one piece and does not shorten an end. What is left runs along the middle, but for spurs into
//! corners and bumps: those never leave the widest circle about the place where they begin, or only as a tip.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::super::grid::Grid;

/// A branch is a spur unless it is this wide, of the pen's half width, somewhere outside the circle where it begins, or so many half
/// pens long: a finer pen drew it.
const SPUR: f64 = 0.6;
const FINER: f64 = 6.0;

/// The skeleton of the marked pixels by their squared distances from the edge.
pub(super) fn skeleton(grid: Grid, ink: &[bool], squares: &[u32]) -> Vec<bool> {
    let mut left = ink.to_vec();
    thin(grid, &mut left, squares, (0..grid.len()).filter(|at| ink[*at]), true);
    left
}

/// Adds to what is sure those ways through the faint that join it with itself, each along its crest: of the faint goes what may,
/// the weakest first, and no end is spared.
pub(in super::super) fn joined(grid: Grid, sure: &[bool], faint: &[bool], strength: &[u32]) -> Vec<bool> {
    let mut left: Vec<bool> = sure.iter().zip(faint).map(|(sure, faint)| *sure || *faint).collect();
    let among: Vec<usize> = (0..grid.len()).filter(|at| left[*at] && !sure[*at]).collect();
    // What is sure comes last and is never asked.
    let order: Vec<u32> =
        sure.iter().zip(strength).map(|(sure, strength)| if *sure { u32::MAX } else { *strength }).collect();
    thin(grid, &mut left, &order, among.into_iter(), false);
    left
}

/// Takes away what parts and joins nothing, the lowest first, ends only where they are not spared; a pixel is looked at again when one
/// beside it has gone.
fn thin(grid: Grid, left: &mut [bool], order: &[u32], among: impl Iterator<Item = usize>, spares_ends: bool) {
    let may_go = |left: &[bool], at: usize| {
        let ring = around(grid, left, at);
        number(&ring) == 1
            && !(spares_ends && is_end(&ring, || !grid.eight(at).any(|n| left[n] && order[n] > order[at])))
    };
    let mut open: BinaryHeap<Reverse<(u32, usize)>> = among.map(|at| Reverse((order[at], at))).collect();
    while let Some(Reverse((_, at))) = open.pop() {
        if left[at] && may_go(left, at) {
            left[at] = false;
            open.extend(grid.eight(at).filter(|n| left[*n] && order[*n] <= order[at]).map(|n| Reverse((order[n], n))));
        }
    }
}

/// The eight pixels around, clockwise from the one above.
pub(super) fn around(grid: Grid, set: &[bool], at: usize) -> [bool; 8] {
    let (x, y) = ((at % grid.width) as isize, (at / grid.width) as isize);
    [(0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1)].map(|(dx, dy)| {
        let (x, y) = (x + dx, y + dy);
        let inside = x >= 0 && y >= 0 && x < grid.width as isize && y < grid.height as isize;
        inside && set[y as usize * grid.width + x as usize]
    })
}

/// Whether a pixel is the end of a line: of a line two pixels wide as well, where the middle of a stroke lies between pixels, or the
/// line would go from its end to where it began. Such an end `is_crest`: nothing beside it is higher.
fn is_end(ring: &[bool; 8], is_crest: impl Fn() -> bool) -> bool {
    match ring.iter().filter(|set| **set).count() {
        0 | 1 => true,
        2 => (0..8).any(|k| ring[k] && ring[(k + 1) % 8]) && is_crest(),
        _ => false,
    }
}

/// The connectivity number of a pixel (Yokoi, Toriwaki, Fukumura 1975): one where it parts nothing and joins nothing.
fn number(ring: &[bool; 8]) -> i32 {
    let beside = |k: usize| i32::from(!ring[k]) - i32::from(!ring[k] && !ring[k + 1] && !ring[(k + 2) % 8]);
    (0..8).step_by(2).map(beside).sum()
}

/// How many of the skeleton's pixels lie around one of them.
pub(super) fn degree(grid: Grid, bones: &[bool], at: usize) -> usize {
    grid.eight(at).filter(|n| bones[*n]).count()
}

/// Takes spurs off until there are none.
pub(super) fn prune(grid: Grid, bones: &mut [bool], squares: &[u32], half: f64) {
    let mut left: Vec<usize> = (0..grid.len()).filter(|at| bones[*at]).collect();
    loop {
        let ends = left.iter().copied().filter(|at| degree(grid, bones, *at) == 1);
        let spurs: Vec<Vec<usize>> = ends.filter_map(|end| spur(grid, bones, squares, (end, half))).collect();
        if spurs.is_empty() {
            return;
        }
        spurs.iter().flatten().for_each(|at| bones[*at] = false);
        left.retain(|at| bones[*at]);
        thin(grid, bones, squares, left.iter().copied(), true);
        left.retain(|at| bones[*at]);
    }
}

/// The pixels from an end to where its branch begins, when it is a spur.
fn spur(grid: Grid, bones: &[bool], squares: &[u32], (end, half): (usize, f64)) -> Option<Vec<usize>> {
    let path = walk(grid, bones, end);
    let last = &path[path.len().saturating_sub(3)..];
    let fork =
        grid.eight(path[path.len() - 1]).filter(|n| bones[*n] && !last.contains(n)).max_by_key(|n| squares[*n])?;
    let (x, y) = ((fork % grid.width) as f64, (fork / grid.width) as f64);
    let beyond = |at: &usize| {
        let (dx, dy) = ((at % grid.width) as f64 - x, (at / grid.width) as f64 - y);
        dx * dx + dy * dy > f64::from(squares[fork])
    };
    let wide = |at: &usize| f64::from(squares[*at]).sqrt() >= SPUR * half;
    let finer = path.len() as f64 >= FINER * half;
    (!finer && !path.iter().any(|at| beyond(at) && wide(at))).then_some(path)
}

/// From an end on as far as there is one way.
pub(super) fn walk(grid: Grid, bones: &[bool], end: usize) -> Vec<usize> {
    let mut path = vec![end];
    loop {
        let at = path[path.len() - 1];
        let mut next = grid.eight(at).filter(|n| bones[*n] && !path[path.len().saturating_sub(3)..].contains(n));
        let (Some(one), None) = (next.next(), next.next()) else { break };
        if degree(grid, bones, one) > 2 {
            break;
        }
        path.push(one);
    }
    path
}
