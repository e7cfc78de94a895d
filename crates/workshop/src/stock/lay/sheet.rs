//! A sheet as the search sees it: the box within its margin, and bars over faults, over what was cut before, and over the
//! pockets between an irregular edge and its box.
//!
//! Forms are grown by half the distance between blanks, so a bar is grown by the margin less that half.

use super::form::{Form, Pose};
use super::layout::Bed;
use super::poles::bounds;
use super::ring::{Spot, area, grown, loosened, upright};
use super::{Rules, Sheet};
use measure::plane::Point;

/// Against the rounding of corners to whole µm: what forms are grown by beyond half the distance.
pub(super) const ROUNDING: f64 = 3.0;
/// How far a pocket is drawn beyond the box, as a share of the box: it gives its circles room.
const BEYOND: f64 = 0.15;
/// The share of area that a simpler outline may add, and the corners beyond which more may be added.
pub(super) const SIMPLER: (f64, usize) = (0.004, 40);

/// A ring of whole µm as the search takes it.
pub(super) fn spots(ring: &[Point]) -> Vec<Spot> {
    upright(ring.iter().map(|p| [f64::from(p.x), f64::from(p.y)]).collect())
}

/// What an outline claims of a sheet, µm²: itself and half the distance to its neighbours around it.
pub fn claimed(outer: &[Point], rules: Rules) -> f64 {
    area(&grown(&spots(outer), f64::from(rules.apart.0) / 2.0))
}

/// What a sheet can give up to claims at the most, µm²: within its margin, less its faults within theirs. The margin of an
/// irregular edge is not taken off, and faults are taken as lying apart.
pub fn usable(sheet: &Sheet, rules: Rules) -> f64 {
    let margin = f64::from(rules.edge.0) - f64::from(rules.apart.0) / 2.0;
    let outer = spots(&sheet.outer);
    let b = bounds(&outer);
    let (wide, high) = (b[2] - b[0], b[3] - b[1]);
    let within = (wide - 2.0 * margin) * (high - 2.0 * margin) - (wide * high - area(&outer)).max(0.0);
    within - sheet.faults.iter().map(|fault| area(&grown(&spots(fault), margin))).sum::<f64>()
}

/// The bed of a sheet.
pub(super) fn bed(sheet: &Sheet, rules: Rules) -> Bed {
    let outer = spots(&sheet.outer);
    let half = f64::from(rules.apart.0) / 2.0;
    let margin = f64::from(rules.edge.0) - half;
    let whole = bounds(&outer);
    let mut bars: Vec<Pose> = pockets(&outer, &whole).iter().map(|pocket| bar(pocket, margin)).collect();
    bars.extend(sheet.faults.iter().map(|fault| bar(&spots(fault), margin)));
    bars.extend(sheet.used.iter().map(|used| bar(&spots(used), half)));
    let bounds = [whole[0] + margin, whole[1] + margin, whole[2] - margin, whole[3] - margin];
    let axis = usize::from(bounds[3] - bounds[1] > bounds[2] - bounds[0]);
    Bed { bounds, bars, grain: sheet.grain, axis, begun: false, shut: false, least: f64::NEG_INFINITY }
}

fn bar(ring: &[Spot], reach: f64) -> Pose {
    let mut pose = Pose::default();
    pose.set(&Form::new(loosened(grown(ring, reach), SIMPLER.0, SIMPLER.1), Vec::new(), Vec::new()), 0, [0.0, 0.0]);
    pose
}

/// What a box holds beyond a ring that touches all its sides, each pocket drawn on beyond the box.
fn pockets(outer: &[Spot], whole: &[f64; 4]) -> Vec<Vec<Spot>> {
    let touching: Vec<usize> = (0..outer.len()).filter(|&i| side(outer[i], whole, 0).is_some()).collect();
    let chain = |from: usize, to: usize| {
        let count = (to + outer.len() - from) % outer.len();
        (0..=count).map(|k| outer[(from + k) % outer.len()]).collect::<Vec<Spot>>()
    };
    (0..touching.len())
        .map(|k| chain(touching[k], touching[(k + 1) % touching.len()]))
        .filter_map(|chain| pocket(chain, whole))
        .collect()
}

fn pocket(mut chain: Vec<Spot>, whole: &[f64; 4]) -> Option<Vec<Spot>> {
    let (first, last) = (chain[0], chain[chain.len() - 1]);
    let from = (0..4).find(|&k| touches(first, whole, k) && !touches(first, whole, (k + 1) % 4))?;
    let to = side(last, whole, from)?;
    if chain.len() == 2 && from == to {
        return None;
    }
    let reach = BEYOND * (whole[2] - whole[0]).min(whole[3] - whole[1]);
    let far = [whole[0] - reach, whole[1] - reach, whole[2] + reach, whole[3] + reach];
    chain.push(pushed(last, &far, to));
    chain.extend((0..(to + 4 - from) % 4).rev().map(|k| corner(&far, (from + k) % 4)));
    chain.push(pushed(first, &far, from));
    Some(upright(chain))
}

/// Sides in the order of a ring: top, right, bottom, left.
fn touches(at: Spot, whole: &[f64; 4], side: usize) -> bool {
    match side {
        0 => at[1] == whole[1],
        1 => at[0] == whole[2],
        2 => at[1] == whole[3],
        _ => at[0] == whole[0],
    }
}

/// The side that a place touches: the first one from `start` on.
fn side(at: Spot, whole: &[f64; 4], start: usize) -> Option<usize> {
    (0..4).map(|k| (start + k) % 4).find(|&k| touches(at, whole, k))
}

/// The corner of a box after a side.
fn corner(b: &[f64; 4], side: usize) -> Spot {
    [[b[2], b[1]], [b[2], b[3]], [b[0], b[3]], [b[0], b[1]]][side]
}

fn pushed(at: Spot, far: &[f64; 4], side: usize) -> Spot {
    match side {
        0 => [at[0], far[1]],
        1 => [far[2], at[1]],
        2 => [at[0], far[3]],
        _ => [far[0], at[1]],
    }
}

#[cfg(test)]
mod tests {
    use super::super::ring::inside;
    use super::*;

    /// Outline and pockets together cover the box once.
    #[test]
    fn pockets_are_what_the_box_holds_more() {
        let outer: Vec<Spot> = vec![
            [10.0, 0.0],
            [90.0, 10.0],
            [100.0, 60.0],
            [70.0, 50.0],
            [60.0, 80.0],
            [30.0, 70.0],
            [0.0, 75.0],
            [5.0, 30.0],
        ];
        assert!(area(&outer) > 0.0);
        let whole = bounds(&outer);
        let pockets = pockets(&outer, &whole);
        for (x, y) in (0..100).flat_map(|x| (0..80).map(move |y| (x, y))) {
            let at = [f64::from(x) + 0.37, f64::from(y) + 0.41];
            let covers = pockets.iter().filter(|pocket| inside(pocket, at)).count() + usize::from(inside(&outer, at));
            assert_eq!(covers, 1, "{at:?}");
        }
    }

    #[test]
    fn a_rectangle_has_no_pocket() {
        let outer = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [0.0, 50.0]];
        assert!(pockets(&outer, &bounds(&outer)).is_empty());
    }
}
