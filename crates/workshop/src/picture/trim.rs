//! Tails and necks that no saw leaves standing are taken off.
//!
//! Each region is opened with a disc (Serra 1982): what no disc inside the region reaches is residue. A corner's residue is
//! small and stays; a tail's goes to the neighbours beside it. Where residue joins two bodies of a region it is a neck: it
//! goes too, and the lesser body becomes a region of its own if it passes the limits, else it goes to the neighbours.

use super::even::Even;
use super::grid::{Grid, NOBODY, components};
use super::limits::{Limits, hand_out};
use super::widest::{Beyond, distances};

/// Necks and tails under this share of the least width go. More rounds off what a maker would saw; less leaves spurs that
/// break.
const NECK: f64 = 0.35;

/// Takes off tails and necks; gives how many labels there are now. Some may be without a pixel, and what found no taker
/// is under the limits: `absorb` is to follow.
pub(super) fn trim(grid: Grid, plane: &[Even], labels: &mut [u32], count: u32, limits: Limits) -> u32 {
    trim_to(grid, plane, (labels, count), limits, reach(limits))
}

/// Takes off the same only where regions are up to so many pixels wide.
pub(super) fn trim_hairs(
    grid: Grid,
    plane: &[Even],
    (labels, count): (&mut [u32], u32),
    limits: Limits,
    widest: f64,
) -> u32 {
    trim_to(grid, plane, (labels, count), limits, (widest / 2.0 + 0.5).ceil() as u32)
}

fn trim_to(grid: Grid, plane: &[Even], (labels, count): (&mut [u32], u32), limits: Limits, reach: u32) -> u32 {
    let radius = f64::from(reach) - 0.5;
    let squares = distances(grid, labels, Beyond::Other);
    let opened = opened(grid, labels, &squares, reach);
    let bodies = Parts::new(grid, labels, &opened, true);
    let (names, count) = bodies.names(labels, &squares, count, limits);
    let residue = Parts::new(grid, labels, &opened, false);
    let homes = residue.homes(grid, labels, &bodies, (radius, limits.corner));
    let mut loose = vec![NOBODY; labels.len()];
    for at in 0..labels.len() {
        if labels[at] == NOBODY {
            continue;
        }
        let home = if opened[at] { Home::Body(bodies.of[at]) } else { homes[residue.of[at] as usize] };
        let name = match home {
            Home::Nowhere => labels[at],
            Home::Loose => NOBODY,
            Home::Body(body) => names[body as usize],
        };
        if name == NOBODY {
            loose[at] = labels[at];
        } else {
            labels[at] = name;
        }
    }
    give_away(grid, plane, labels, &loose, count)
}

/// Whether a region hangs together by a neck, looked at a step less closely than `trim` does, which takes off what is there.
pub(super) fn has_necks(grid: Grid, labels: &[u32], limits: Limits) -> bool {
    let squares = distances(grid, labels, Beyond::Other);
    let bodies = Parts::new(grid, labels, &opened(grid, labels, &squares, (reach(limits) - 1).max(1)), true);
    let mut body_of = vec![NOBODY; labels.iter().filter(|l| **l != NOBODY).max().map_or(0, |l| *l as usize + 1)];
    labels.iter().zip(&bodies.of).filter(|(_, body)| **body != NOBODY).any(|(label, body)| {
        let known = &mut body_of[*label as usize];
        *known = if *known == NOBODY { *body } else { *known };
        *known != *body
    })
}

/// Radius of the disc that necks are too narrow for, rounded up.
fn reach(limits: Limits) -> u32 {
    (limits.width * NECK / 2.0 + 0.5).ceil() as u32
}

/// Each 4-connected part of the loose pixels goes to neighbours other than the region that it came from.
fn give_away(grid: Grid, plane: &[Even], labels: &mut [u32], loose: &[u32], count: u32) -> u32 {
    let (parts, more) = components(grid, loose);
    let mut parents = vec![NOBODY; more as usize];
    for (at, part) in parts.iter().enumerate().filter(|(_, p)| **p != NOBODY) {
        parents[*part as usize] = loose[at];
        labels[at] = count + part;
    }
    hand_out(grid, plane, labels, count, &parents);
    count + more
}

/// Whether a disc that lies inside the region reaches the pixel. The reach is a whole number of pixels, so that a straight
/// border has no residue.
pub(super) fn opened(grid: Grid, labels: &[u32], squares: &[u32], reach: u32) -> Vec<bool> {
    let middles: Vec<bool> =
        labels.iter().zip(squares).map(|(label, square)| *label != NOBODY && *square >= reach * reach).collect();
    let discs = spread(grid, &middles, reach as usize);
    labels.iter().zip(discs).map(|(label, near)| *label != NOBODY && near).collect()
}

/// Whether a pixel of a set lies nearer than so many pixels: every run of a row is drawn as wide as the disc is there.
pub(super) fn spread(grid: Grid, set: &[bool], reach: usize) -> Vec<bool> {
    let half = |dy: usize| (0..reach).take_while(|dx| dx * dx + dy * dy < reach * reach).last().unwrap_or(0);
    let halves: Vec<usize> = (0..reach).map(half).collect();
    let mut near = vec![false; grid.len()];
    for (y, row) in set.chunks_exact(grid.width).enumerate() {
        let mut start = 0;
        for run in row.chunk_by(|a, b| a == b) {
            let end = start + run.len();
            if run[0] {
                for down in y.saturating_sub(reach - 1)..(y + reach).min(grid.height) {
                    let by = halves[down.abs_diff(y)];
                    let (from, to) = (start.saturating_sub(by), (end + by).min(grid.width));
                    near[down * grid.width + from..down * grid.width + to].fill(true);
                }
            }
            start = end;
        }
    }
    near
}

/// The 4-connected parts of the opened pixels, or of the residue, within the regions.
struct Parts {
    of: Vec<u32>,
    areas: Vec<i64>,
}

/// Where a part of the residue belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Home {
    /// Its region has no body that it touches: it stays.
    Nowhere,
    /// A corner of this body.
    Body(u32),
    /// A tail, or a neck between two bodies.
    Loose,
}

impl Parts {
    fn new(grid: Grid, labels: &[u32], opened: &[bool], which: bool) -> Parts {
        let keys: Vec<u32> = labels.iter().zip(opened).map(|(l, o)| if *o == which { *l } else { NOBODY }).collect();
        let (of, count) = components(grid, &keys);
        let mut areas = vec![0; count as usize];
        of.iter().filter(|p| **p != NOBODY).for_each(|p| areas[*p as usize] += 1);
        Parts { of, areas }
    }

    /// The label that each body is to bear (its region's for the largest, a new one for others within the limits, else
    /// `NOBODY`), and how many labels there are then.
    fn names(&self, labels: &[u32], squares: &[u32], mut count: u32, limits: Limits) -> (Vec<u32>, u32) {
        let mut whose = vec![NOBODY; self.areas.len()];
        let mut widest = vec![0; self.areas.len()];
        for (at, body) in self.of.iter().enumerate().filter(|(_, b)| **b != NOBODY) {
            whose[*body as usize] = labels[at];
            widest[*body as usize] = squares[at].max(widest[*body as usize]);
        }
        let main = self.largest(&whose, count);
        let mut names = vec![NOBODY; self.areas.len()];
        for (body, label) in whose.iter().enumerate() {
            if main[*label as usize] == body as u32 {
                names[body] = *label;
            } else if limits.pass(widest[body], self.areas[body]) {
                names[body] = count;
                count += 1;
            }
        }
        (names, count)
    }

    /// By label, its largest part.
    fn largest(&self, whose: &[u32], count: u32) -> Vec<u32> {
        let mut main = vec![NOBODY; count as usize];
        for (part, label) in whose.iter().enumerate() {
            let best = &mut main[*label as usize];
            if *best == NOBODY || self.areas[*best as usize] < self.areas[part] {
                *best = part as u32;
            }
        }
        main
    }

    fn homes(&self, grid: Grid, labels: &[u32], bodies: &Parts, (radius, corner): (f64, f64)) -> Vec<Home> {
        let mut homes = vec![Home::Nowhere; self.areas.len()];
        for (at, part) in self.of.iter().enumerate().filter(|(_, p)| **p != NOBODY) {
            let home = &mut homes[*part as usize];
            for next in grid.four(at).filter(|n| bodies.of[*n] != NOBODY && labels[*n] == labels[at]) {
                *home = match *home {
                    Home::Nowhere if self.areas[*part as usize] as f64 <= corner * radius * radius => {
                        Home::Body(bodies.of[next])
                    }
                    Home::Body(body) if body == bodies.of[next] => Home::Body(body),
                    _ => Home::Loose,
                };
            }
        }
        homes
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// Against every pixel of the set by Pythagoras.
        #[test]
        fn discs_drawn_as_runs_are_discs(
            width in 1usize..18,
            height in 1usize..18,
            reach in 1usize..7,
            seed in prop::collection::vec(0u8..12, 324),
        ) {
            let grid = Grid { width, height };
            let set: Vec<bool> = seed[..grid.len()].iter().map(|of| *of == 0).collect();
            let near = spread(grid, &set, reach);
            for (at, near) in near.into_iter().enumerate() {
                let within = |of: usize| {
                    let (dx, dy) = ((of % width).abs_diff(at % width), (of / width).abs_diff(at / width));
                    dx * dx + dy * dy < reach * reach
                };
                prop_assert_eq!(near, (0..grid.len()).any(|of| set[of] && within(of)));
            }
        }
    }
}
