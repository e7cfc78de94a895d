//! Borders straightened pixel by pixel.
//!
//! A Potts model settled by iterated conditional modes (Besag 1986): a border pixel goes over to a neighbouring region when
//! that lowers colour error plus border length. Length is felt through each region's share of a disc about the pixel: the
//! wider the disc, the closer it comes to motion by mean curvature (Merriman, Bence, Osher 1992) and the less the pixel
//! grid shows in the borders. Only simple points move (their going neither parts nor joins anything among their eight
//! neighbours), so every region stays 4-connected. It finds a minimum nearby, not the least one.

use std::collections::BTreeSet;

use super::even::{Even, STEPS, Sum, apart};
use super::grid::{Grid, NOBODY};

/// What the relaxation may do.
pub(super) struct Relaxation {
    /// Labels lie below this.
    pub count: u32,
    /// ΔE00 of one pixel that all of the disc is worth. More gives shorter, rounder borders and more error.
    pub stiff: f64,
    /// Radius of the disc, pixels; 1 stands for the eight neighbours.
    pub reach: usize,
    /// Most sweeps over the borders; it ends earlier when nothing moves.
    pub sweeps: u32,
    /// Pixels that keep their region; empty for none.
    pub frozen: Vec<bool>,
    /// No region falls below this area, pixels.
    pub least_area: i64,
    /// Whether what is a pixel wide and open at one end goes in the end.
    pub hairless: bool,
}

impl Relaxation {
    /// Without limits.
    pub fn free(count: u32, stiff: f64, sweeps: u32) -> Relaxation {
        Relaxation { count, stiff, reach: 1, sweeps, frozen: Vec::new(), least_area: 1, hairless: false }
    }

    /// Whether a pixel keeps its region whatever is gained.
    fn keeps(&self, sums: &[Sum], region: u32, at: usize) -> bool {
        self.frozen.get(at) == Some(&true) || region == NOBODY || sums[region as usize].area <= self.least_area
    }
}

/// Moves border pixels of `labels` until nothing gains or the sweeps are used up. After the first sweep only what lies
/// beside a pixel that moved is looked at again.
pub(super) fn relax(grid: Grid, plane: &[Even], labels: &mut [u32], how: &Relaxation) {
    let mut sums = vec![Sum::default(); how.count as usize];
    let mut from = 0;
    for run in labels.chunk_by(|a, b| a == b) {
        if run[0] != NOBODY {
            let mut sum = Sum::default();
            plane[from..][..run.len()].iter().for_each(|colour| sum.add(*colour));
            sums[run[0] as usize].join(sum);
        }
        from += run.len();
    }
    let window = Window::new(grid, how.reach);
    let mut watched = borders(grid, labels);
    let mut seen = if how.hairless { watched.clone() } else { Vec::new() };
    let mut listed = vec![0u32; grid.len()];
    for sweep in 1..=how.sweeps {
        let means: Vec<Even> = sums.iter().map(|s| s.mean()).collect();
        let mut next = Vec::new();
        for at in watched {
            let from = labels[at];
            if how.keeps(&sums, from, at) {
                continue;
            }
            if let Some(to) = window.better(plane[at], labels, at, (&means, how.stiff)) {
                sums[from as usize].take(plane[at]);
                sums[to as usize].add(plane[at]);
                labels[at] = to;
                for beside in grid.eight(at) {
                    if listed[beside] != sweep {
                        listed[beside] = sweep;
                        next.push(beside);
                    }
                }
            }
        }
        if next.is_empty() {
            break;
        }
        next.sort_unstable();
        if how.hairless {
            seen.extend(&next);
        }
        watched = next;
    }
    if how.hairless {
        shear(grid, labels, (&mut sums, plane), how, seen);
    }
}

/// Gives hairs, a pixel wide and open at one end, to what lies beside them, beginning at `watched`: colour holds them against any
/// relaxation, and nothing so thin is sawn. No pixel goes back to what it has left: where hairs of two regions cross, each would take
/// it from the other for ever.
fn shear(grid: Grid, labels: &mut [u32], (sums, plane): (&mut [Sum], &[Even]), how: &Relaxation, watched: Vec<usize>) {
    let is_hair = |labels: &[u32], at: usize| {
        let ring = grid.around(labels, at);
        // The three others of each square of four pixels that it is part of.
        [[6, 7, 0], [0, 1, 2], [2, 3, 4], [4, 5, 6]].iter().all(|square| square.iter().any(|i| ring[*i] != labels[at]))
    };
    let mut open: Vec<usize> = watched.into_iter().filter(|at| is_hair(labels, *at)).collect();
    let mut left = BTreeSet::new();
    while let Some(at) = open.pop() {
        let (ring, from) = (grid.around(labels, at), labels[at]);
        if how.keeps(sums, from, at) || arcs(&ring, from) != 1 || !is_hair(labels, at) {
            continue;
        }
        let share = |label: u32| ring.iter().filter(|other| **other == label).count();
        let beside = [ring[0], ring[2], ring[4], ring[6]];
        let takes = beside.into_iter().filter(|l| *l != NOBODY && *l != from && arcs(&ring, *l) == 1);
        let takes = takes.filter(|label| !left.contains(&(at, *label)));
        if let Some(to) = takes.max_by_key(|label| (share(*label), std::cmp::Reverse(*label))) {
            sums[from as usize].take(plane[at]);
            sums[to as usize].add(plane[at]);
            labels[at] = to;
            left.insert((at, from));
            open.extend(grid.eight(at).filter(|n| is_hair(labels, *n)));
        }
    }
}

/// Pixels beside one of another label, in reading order.
fn borders(grid: Grid, labels: &[u32]) -> Vec<usize> {
    let mut at_border = vec![false; grid.len()];
    for (y, row) in labels.chunks_exact(grid.width).enumerate() {
        let start = y * grid.width;
        for x in 1..grid.width {
            if row[x] != row[x - 1] {
                at_border[start + x] = true;
                at_border[start + x - 1] = true;
            }
        }
        if y > 0 {
            for x in 0..grid.width {
                if row[x] != labels[start + x - grid.width] {
                    at_border[start + x] = true;
                    at_border[start + x - grid.width] = true;
                }
            }
        }
    }
    (0..grid.len()).filter(|at| at_border[*at] && labels[*at] != NOBODY).collect()
}

/// The disc about a pixel: steps across, down and along the rows, and whole weights.
struct Window {
    grid: Grid,
    reach: usize,
    steps: Vec<(isize, isize, isize, u32)>,
    /// Its rows where all weigh alike and its middle nothing: the step to the first pixel, and which of those from there count.
    rows: Vec<(isize, [u32; LANES])>,
    /// The sum of the weights, and one over it.
    whole: i64,
    share: f64,
}

/// Weight of a neighbour that shares a side, and of a diagonal one beside it, in the smallest disc: slanted borders are to
/// cost about their length.
const SIDE: u32 = 10;
const DIAGONAL: u32 = 7;

/// How much colour, ΔE00, holds the borders that meet at a junction against the pull to three angles alike. From 20 to 14 the cubics
/// of a drawing fall by 1 %; under 10 pixels come to stand alone on photographs.
const BENT: f64 = 14.0;

/// A region with less of the disc than this lies there with an acute tip, of less than about 86°.
const ACUTE: f64 = 0.24;

/// Pixels of a row that are looked at together: no disc is wider.
const LANES: usize = 16;

impl Window {
    fn new(grid: Grid, reach: usize) -> Window {
        assert!(2 * reach < LANES);
        let most = reach as isize;
        let all = (-most..=most).flat_map(|dy| (-most..=most).map(move |dx| (dx, dy)));
        let weight = |dx: isize, dy: isize| match (dx * dx + dy * dy, reach) {
            (0, _) => 0,
            (1, 1) => SIDE,
            (_, 1) => DIAGONAL,
            (square, _) => u32::from(square <= most * most + most / 2),
        };
        let row = grid.width as isize;
        let steps = all.map(|(dx, dy)| (dx, dy, dy * row + dx, weight(dx, dy)));
        let steps: Vec<_> = steps.filter(|step| step.3 > 0).collect();
        let whole = i64::from(steps.iter().map(|step| step.3).sum::<u32>());
        let share = 1.0 / whole as f64;
        let counts = |dx: isize, dy: isize| u32::from((dx, dy) != (0, 0) && dx <= most && weight(dx, dy) > 0);
        let one = |dy: isize| (dy * row - most, std::array::from_fn(|lane| counts(lane as isize - most, dy)));
        let rows = if reach == 1 { Vec::new() } else { (-most..=most).map(one).collect() };
        Window { grid, reach, steps, rows, whole, share }
    }

    /// The neighbouring region that the pixel gains most by joining.
    fn better(&self, colour: Even, labels: &[u32], at: usize, (means, stiff): (&[Even], f64)) -> Option<u32> {
        let here = labels[at];
        let ring = self.grid.around(labels, at);
        if arcs(&ring, here) != 1 {
            return None;
        }
        let error = |label: u32| (apart(colour, means[label as usize]) as f64).sqrt() / STEPS;
        let (mut rivals, mut errors) = ([(here, 0u32); 5], [error(here); 5]);
        let mut count = 1;
        for label in [ring[0], ring[2], ring[4], ring[6]] {
            if label == NOBODY || rivals[..count].iter().any(|r| r.0 == label) || arcs(&ring, label) != 1 {
                continue;
            }
            // All of the disc would not outweigh the colour of some.
            let wrong = error(label);
            if wrong < errors[0] + stiff {
                (rivals[count].0, errors[count]) = (label, wrong);
                count += 1;
            }
        }
        if count == 1 {
            return None;
        }
        self.shares(labels, at, &mut rivals[..count]);
        let mut best = (0.0, None);
        for (rival, &(label, share)) in rivals.iter().enumerate().take(count).skip(1) {
            let gained = errors[rival] - errors[0] - stiff * self.pull(rivals[0].1, share, stiff);
            if gained < best.0 - 1e-9 || (gained <= best.0 && best.1.is_some_and(|b| label < b)) {
                best = (gained, Some(label));
            }
        }
        best.1
    }

    /// The part of the disc by which a pixel is drawn to the region that holds `there` of it, from its own that holds `here`.
    /// Where three meet the least length asks for three angles alike and would bend a border that runs straight through; what
    /// draws to that beyond what straightens the one border is kept under `BENT`. An acute tip is no end of another's border.
    fn pull(&self, here: u32, there: u32, stiff: f64) -> f64 {
        let part = |weight: i64| self.share * weight as f64;
        let (here, there) = (i64::from(here), i64::from(there));
        let bent = part(there - here);
        if part(here.min(there)) < ACUTE {
            return bent;
        }
        let third = self.whole - here - there;
        let straight = part((there - here - third).max(0) + (there + third - here).min(0));
        bent.clamp(straight - BENT / stiff, straight + BENT / stiff)
    }

    /// Adds up each rival's part of the disc, that of the pixel's own region first; beyond the frame nobody has any.
    fn shares(&self, labels: &[u32], at: usize, rivals: &mut [(u32, u32)]) {
        let (x, y) = (at % self.grid.width, at / self.grid.width);
        let r = self.reach;
        let right = if self.rows.is_empty() { r } else { LANES - 1 - r };
        if x < r || y < r || x + right >= self.grid.width || y + r >= self.grid.height {
            return self.shares_at_frame(labels, (x as isize, y as isize), rivals);
        }
        if !self.rows.is_empty() {
            for rival in rivals {
                let mut sums = [0; LANES];
                for (first, counts) in &self.rows {
                    let row = &labels[(at as isize + first) as usize..][..LANES];
                    (0..LANES).for_each(|i| sums[i] += u32::from(row[i] == rival.0) & counts[i]);
                }
                rival.1 = sums.iter().sum();
            }
            return;
        }
        if let [here, there] = rivals {
            for &(_, _, step, weight) in &self.steps {
                let label = labels[(at as isize + step) as usize];
                here.1 += u32::from(label == here.0) * weight;
                there.1 += u32::from(label == there.0) * weight;
            }
            return;
        }
        for &(_, _, step, weight) in &self.steps {
            let label = labels[(at as isize + step) as usize];
            rivals.iter_mut().for_each(|rival| rival.1 += u32::from(label == rival.0) * weight);
        }
    }

    fn shares_at_frame(&self, labels: &[u32], (x, y): (isize, isize), rivals: &mut [(u32, u32)]) {
        let (width, height) = (self.grid.width as isize, self.grid.height as isize);
        for &(dx, dy, _, weight) in &self.steps {
            let (x, y) = (x + dx, y + dy);
            if x >= 0 && y >= 0 && x < width && y < height {
                let label = labels[(y * width + x) as usize];
                rivals.iter_mut().for_each(|rival| rival.1 += u32::from(label == rival.0) * weight);
            }
        }
    }
}

/// The arcs of `label` around a pixel that hold one of its four neighbours.
pub(super) fn arcs(ring: &[u32; 8], label: u32) -> usize {
    let mask = (0..8).fold(0u32, |mask, i| mask | u32::from(ring[i] == label) << i);
    if mask == 0xff {
        return 1;
    }
    let before = (mask << 1 | mask >> 7) & 0xff;
    let mut starts = mask & !before;
    let mut arcs = 0;
    while starts != 0 {
        let start = starts.trailing_zeros();
        let turned = (mask >> start | mask << (8 - start)) & 0xff;
        let run = (1 << turned.trailing_ones()) - 1;
        // The even bits are the four that share a side.
        let sides = if start.is_multiple_of(2) { 0x55 } else { 0xaa };
        arcs += usize::from(run & sides != 0);
        starts &= starts - 1;
    }
    arcs
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::picture::grid::components;

    proptest! {
        /// Whatever lies beside what, shearing comes to an end, and no region is parted or lost.
        #[test]
        fn shearing_ends_and_keeps_regions_whole(
            width in 3usize..16,
            height in 3usize..16,
            seed in prop::collection::vec(0u32..4, 256),
        ) {
            let grid = Grid { width, height };
            let (mut labels, count) = components(grid, &seed[..grid.len()]);
            let plane: Vec<Even> = labels.iter().map(|label| [(*label % 7) as i16 * 90, 0, 0]).collect();
            relax(grid, &plane, &mut labels, &Relaxation { hairless: true, ..Relaxation::free(count, 0.0, 0) });
            let (parts, left) = components(grid, &labels);
            prop_assert_eq!(left, count);
            let homes: BTreeSet<(u32, u32)> = parts.into_iter().zip(labels).collect();
            prop_assert_eq!(homes.len(), count as usize);
        }
    }

    /// A hair of a region's own colour, which no relaxation would take: it goes to what lies around it; what is two pixels wide
    /// stays, and so does a bridge, which would part a region.
    #[test]
    fn hairs_are_shorn_and_nothing_else() {
        let grid = Grid { width: 40, height: 30 };
        let at = |x: usize, y: usize| y * grid.width + x;
        let mut labels = vec![0; grid.len()];
        let mut own = |xs: std::ops::Range<usize>, ys: std::ops::Range<usize>| {
            xs.flat_map(|x| ys.clone().map(move |y| (x, y))).for_each(|(x, y)| labels[at(x, y)] = 1)
        };
        own(5..15, 5..25);
        own(25..35, 5..25);
        own(15..25, 8..9);
        own(15..21, 14..16);
        own(15..22, 20..21);
        let plane: Vec<Even> = labels.iter().map(|l| if *l == 1 { [600, 300, 0] } else { [200, 0, 0] }).collect();
        let before = labels.clone();
        let how = Relaxation { hairless: true, ..Relaxation::free(2, 0.0, 4) };
        relax(grid, &plane, &mut labels, &how);
        for y in 0..grid.height {
            for x in 0..grid.width {
                let hair = y == 20 && (15..22).contains(&x);
                assert_eq!(labels[at(x, y)], if hair { 0 } else { before[at(x, y)] }, "{x} {y}");
            }
        }
    }
}
