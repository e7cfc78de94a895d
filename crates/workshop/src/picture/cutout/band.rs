//! The border pixel by pixel: a minimum cut in a band along the border of the leaves.

use measure::solve::Cut;

use super::marks::Said;
use super::mixture::Mixture;
use super::moments::units;
use super::{FINE, stiffness};
use crate::picture::even::{Even, STEPS, apart};
use crate::picture::grid::Grid;

/// The band reaches so many pixels to either side.
const REACH: u8 = 6;

/// By pixel whether it is subject: as marks have it, as `inside` has it beyond the band, by colours and edges in it.
pub(super) fn cut(
    grid: Grid,
    plane: &[Even],
    (mut inside, marks): (Vec<bool>, &Said),
    (sides, falloff): (&[Mixture; 2], f64),
) -> Vec<bool> {
    inside.iter_mut().zip(marks).for_each(|(inside, mark)| *inside = mark.unwrap_or(*inside));
    let band = band(grid, &inside);
    let mut node = vec![u32::MAX; grid.len()];
    band.iter().enumerate().for_each(|(at, pixel)| node[*pixel] = at as u32);
    let mut cut = Cut::new(band.len());
    for (at, pixel) in band.iter().enumerate() {
        let colour = units(plane[*pixel]);
        cut.pay(
            at,
            match marks[*pixel] {
                Some(true) => -Cut::UNLIMITED,
                Some(false) => Cut::UNLIMITED,
                None => ((sides[0].cost(colour) - sides[1].cost(colour)) * FINE) as i64,
            },
        );
        // Between two of the band each pair is asked for once.
        for next in grid.eight(*pixel).filter(|next| node[*next] == u32::MAX || next > pixel) {
            let contrast = apart(plane[*pixel], plane[next]) as f64 / (STEPS * STEPS);
            let cost = (stiffness(falloff * contrast) / apart_by(grid, *pixel, next) * FINE) as i64;
            if cost == 0 {
                continue;
            }
            match node[next] {
                u32::MAX => cut.pay(at, if inside[next] { -cost } else { cost }),
                other => cut.part_both(at, other as usize, cost),
            }
        }
    }
    band.iter().zip(cut.source_side()).for_each(|(pixel, side)| inside[*pixel] = side);
    inside
}

/// The distance of neighbours, pixels.
fn apart_by(grid: Grid, one: usize, other: usize) -> f64 {
    let aslant = one % grid.width != other % grid.width && one / grid.width != other / grid.width;
    if aslant { std::f64::consts::SQRT_2 } else { 1.0 }
}

/// Pixels within `REACH` steps of one on the other side.
fn band(grid: Grid, inside: &[bool]) -> Vec<usize> {
    let mut seen = vec![false; grid.len()];
    let crossed = |at: &usize| grid.four(*at).any(|next| inside[next] != inside[*at]);
    let mut rim: Vec<usize> = (0..grid.len()).filter(crossed).collect();
    rim.iter().for_each(|at| seen[*at] = true);
    for _ in 1..REACH {
        let mut next = Vec::new();
        for at in rim.iter().flat_map(|at| grid.four(*at)) {
            if !seen[at] {
                seen[at] = true;
                next.push(at);
            }
        }
        rim = next;
    }
    (0..grid.len()).filter(|at| seen[*at]).collect()
}
