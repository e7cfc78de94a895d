//! Where the middle of the pen must have been.
//!
//! A pen of even width leaves ink half its width to each side of its way. So each smooth place of the ink's edge says where the
//! middle was, also where strokes run into one another and no second edge faces the first: of all places where a disc of the
//! pen's size fits into the ink (its erosion; Serra 1982), these are the ones that the edge cannot do without. At an inside
//! corner, where strokes cross, the edge turns at once and says nothing.

use super::super::grid::Grid;

/// The direction of the edge is taken over so much of half the pen, and over so many pixels at least (the deviation of the
/// Gaussian that smooths it); its place over so many.
const TURNS: f64 = 0.2;
const TURNS_PX: f64 = 1.5;
const PLACE_PX: f64 = 1.0;
/// Where the middle would run so many times as far as the edge, the edge has an inside corner.
const FAN: f64 = 2.5;
/// The disc about the middle may stand over the ink by so much of half the pen, and by so many pixels.
const VARIES: f64 = 0.06;
const VARIES_PX: f64 = 0.75;

pub(super) type At = (f64, f64);

/// The least distance from the edge at which the pen can have stood.
pub(super) fn least(half: f64) -> f64 {
    half * (1.0 - VARIES) - VARIES_PX
}

/// The pixels where the middle of the pen must have been; `halves` says by pixel of ink how far the middle is from the nearest
/// pixel without ink.
pub(super) fn middles(grid: Grid, ink: &[bool], squares: &[u32], halves: &[f64]) -> Vec<bool> {
    let mut marks = vec![false; grid.len()];
    for (edge, inked) in edges(grid, ink) {
        let halves: Vec<f64> = inked.into_iter().map(|at| halves[at]).collect();
        let found = along(grid, &edge, &halves);
        let fits = |k: usize| {
            let fits = |p: &At| pixel(grid, *p).is_some_and(|at| f64::from(squares[at]).sqrt() >= least(halves[k]));
            found[k].filter(fits)
        };
        let count = found.len();
        for k in 0..count {
            let next = (k + 1) % count;
            let (Some(a), Some(b)) = (fits(k), fits(next)) else { continue };
            if far(a, b) <= FAN * far(edge[k], edge[next]) {
                straight(grid, a, b, &mut marks);
            }
        }
    }
    marks
}

/// The middle of a pixel.
pub(super) fn place(grid: Grid, at: usize) -> At {
    ((at % grid.width) as f64, (at / grid.width) as f64)
}

/// The pixels within reach of one, each after its squared distance.
pub(super) fn within(grid: Grid, at: usize, reach: f64) -> impl Iterator<Item = (isize, usize)> {
    let (x, y) = ((at % grid.width) as isize, (at / grid.width) as isize);
    let around = reach.ceil() as isize;
    let rows = (y - around).max(0)..=(y + around).min(grid.height as isize - 1);
    rows.flat_map(move |v| {
        let row = (x - around).max(0)..=(x + around).min(grid.width as isize - 1);
        row.map(move |u| ((u - x) * (u - x) + (v - y) * (v - y), v as usize * grid.width + u as usize))
    })
    .filter(move |(square, _)| *square as f64 <= reach * reach)
}

/// The pixel that holds a place, when the picture has it.
pub(super) fn pixel(grid: Grid, (x, y): At) -> Option<usize> {
    let (x, y) = (x.round(), y.round());
    let inside = x >= 0.0 && y >= 0.0 && x < grid.width as f64 && y < grid.height as f64;
    inside.then(|| y as usize * grid.width + x as usize)
}

pub(super) fn far(a: At, b: At) -> f64 {
    libm::hypot(a.0 - b.0, a.1 - b.1)
}

/// Marks the pixels from one place straight to another.
pub(super) fn straight(grid: Grid, from: At, to: At, marks: &mut [bool]) {
    let steps = (from.0 - to.0).abs().max((from.1 - to.1).abs()).ceil().max(1.0);
    for k in 0..=steps as usize {
        let t = k as f64 / steps;
        if let Some(at) = pixel(grid, (from.0 + (to.0 - from.0) * t, from.1 + (to.1 - from.1) * t)) {
            marks[at] = true;
        }
    }
}

/// By place of an edge, the middle of the pen inwards; none near the frame, which is no edge.
fn along(grid: Grid, edge: &[At], halves: &[f64]) -> Vec<Option<At>> {
    let turns = (TURNS * halves[0]).max(TURNS_PX).min(edge.len() as f64 / 12.0);
    let (place, smooth) = (smoothed(edge, PLACE_PX.min(turns)), smoothed(edge, turns));
    let reach = (3.0 * turns).ceil() as usize + 1;
    let (right, low) = (grid.width as f64 - 0.5, grid.height as f64 - 0.5);
    let on_frame = |p: &At| p.0 < 0.0 || p.1 < 0.0 || p.0 >= right || p.1 >= low;
    let count = edge.len();
    let mut near_frame = vec![false; count];
    for k in (0..count).filter(|k| on_frame(&edge[*k])) {
        (0..=2 * reach).for_each(|j| near_frame[(k + j + count * reach - reach) % count] = true);
    }
    (0..count)
        .map(|k| {
            let (before, after) = (smooth[(k + count - 1) % count], smooth[(k + 1) % count]);
            let (x, y) = (after.0 - before.0, after.1 - before.1);
            let length = libm::hypot(x, y);
            // Ink lies to the right of one who walks along its edge; y points down.
            let inwards = (-y / length, x / length);
            // The edge lies half a pixel before the nearest pixel without ink.
            let half = halves[k] - 0.5;
            (!near_frame[k] && length > 1e-9).then(|| (place[k].0 + half * inwards.0, place[k].1 + half * inwards.1))
        })
        .collect()
}

/// A closed line smoothed by a Gaussian along its points.
fn smoothed(points: &[At], deviation: f64) -> Vec<At> {
    let reach = (3.0 * deviation).ceil() as usize;
    let weight = |j: usize| libm::exp(-0.5 * (j as f64 / deviation) * (j as f64 / deviation));
    let weights: Vec<f64> = (0..=reach).map(weight).collect();
    let whole = weights[0] + 2.0 * weights[1..].iter().sum::<f64>();
    let count = points.len();
    (0..count)
        .map(|k| {
            let mut sum = (points[k].0 * weights[0], points[k].1 * weights[0]);
            for (j, weight) in weights.iter().enumerate().skip(1) {
                for p in [points[(k + j) % count], points[(k + count * reach - j) % count]] {
                    sum = (sum.0 + p.0 * weight, sum.1 + p.1 * weight);
                }
            }
            (sum.0 / whole, sum.1 / whole)
        })
        .collect()
}

/// East, south, west, north.
const STEPS: [(isize, isize); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];
/// From a node to the pixels to the left and to the right of one who leaves it that way.
const SIDES: [[(isize, isize); 2]; 4] =
    [[(0, -1), (0, 0)], [(0, 0), (-1, 0)], [(-1, 0), (-1, -1)], [(-1, -1), (0, -1)]];

/// The edges of the ink, each closed, as the middles of the cracks between pixels, with the pixel of ink to the right of each.
fn edges(grid: Grid, ink: &[bool]) -> Vec<(Vec<At>, Vec<usize>)> {
    let (width, height) = (grid.width as isize, grid.height as isize);
    let inked = |x: isize, y: isize| x >= 0 && y >= 0 && x < width && y < height && ink[(y * width + x) as usize];
    let is_edge = |(x, y): (isize, isize), way: usize| {
        let [left, right] = SIDES[way];
        inked(x + right.0, y + right.1) && !inked(x + left.0, y + left.1)
    };
    let columns = grid.width + 1;
    let index = |(x, y): (isize, isize)| y as usize * columns + x as usize;
    let mut walked = vec![0u8; columns * (grid.height + 1)];
    let mut edges = Vec::new();
    for y in 0..=height {
        for x in 0..width {
            // Every closed edge goes east somewhere.
            if walked[index((x, y))] & 1 != 0 || !is_edge((x, y), 0) {
                continue;
            }
            let (mut node, mut way) = ((x, y), 0);
            let (mut edge, mut beside) = (Vec::new(), Vec::new());
            while walked[index(node)] & (1 << way) == 0 {
                walked[index(node)] |= 1 << way;
                let (dx, dy) = STEPS[way];
                edge.push((node.0 as f64 + dx as f64 / 2.0 - 0.5, node.1 as f64 + dy as f64 / 2.0 - 0.5));
                let [_, right] = SIDES[way];
                beside.push(((node.1 + right.1) * width + node.0 + right.0) as usize);
                node = (node.0 + dx, node.1 + dy);
                // To the left first: pixels that touch at a corner hang together.
                way = [3, 0, 1].map(|turn| (way + turn) % 4).into_iter().find(|way| is_edge(node, *way)).unwrap_or(way);
            }
            edges.push((edge, beside));
        }
    }
    edges
}
