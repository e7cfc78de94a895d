//! Where a smoothed line truly turns: corners are kept, round bends are not taken for corners.
//!
//! The line's turning over a short length is set against its turning over a longer one: a corner has turned all at once,
//! an arc evenly. Below the staircase's own noise a corner cannot be told from a bend.

use kurbo::Vec2;

use super::cubics::unit;

/// A corner turns at least this far: 50°.
const LEAST_TURN: f64 = 0.87;
/// Half the short and the long length, µm.
const SHORT_UM: f64 = 1200.0;
const LONG_UM: f64 = 3200.0;
/// Share of the longer turning that a corner has turned in the short length; an arc has 0.38.
const SHARE: f64 = 0.62;

/// The indices of corners. The ends of an open line are none.
pub fn corners(points: &[Vec2], closed: bool) -> Vec<usize> {
    let count = points.len();
    let spacing = points.windows(2).map(|w| (w[1] - w[0]).hypot2().sqrt()).sum::<f64>() / (count.max(2) - 1) as f64;
    let steps = |um: f64| ((um / spacing.max(1.0)).round() as usize).max(1);
    let (short, long) = (steps(SHORT_UM), steps(LONG_UM));
    if count < 2 * short + 1 {
        return Vec::new();
    }
    let turns: Vec<f64> = (0..count).map(|i| sharpness(points, closed, i, (short, long))).collect();
    let is_peak = |i: usize| {
        let near = i as isize - long as isize..=i as isize + long as isize;
        near.filter_map(|j| index(j, count, closed))
            .all(|j| (turns[j], std::cmp::Reverse(j)) <= (turns[i], std::cmp::Reverse(i)))
    };
    (0..count).filter(|i| turns[*i] > 0.0 && is_peak(*i)).collect()
}

/// How far the line turns at `i`, when it turns like a corner; 0 otherwise.
fn sharpness(points: &[Vec2], closed: bool, i: usize, (short, long): (usize, usize)) -> f64 {
    let turn = |half: usize, reach: usize| -> Option<f64> {
        let at = |by: isize| index(i as isize + by, points.len(), closed).map(|j| points[j]);
        let (h, r) = (half as isize, reach as isize);
        let before = unit(at(-h)? - at(-h - r)?)?;
        let after = unit(at(h + r)? - at(h)?)?;
        Some(libm::atan2(before.cross(after), before.dot(after)))
    };
    let reach = (short / 2).max(1);
    let Some(near) = turn(short.div_ceil(2), reach) else { return 0.0 };
    let far = turn(long - reach, reach).unwrap_or(near);
    if near.abs() >= LEAST_TURN && near.abs() >= SHARE * far.abs() { near.abs() } else { 0.0 }
}

fn index(i: isize, count: usize, closed: bool) -> Option<usize> {
    if closed { Some(i.rem_euclid(count as isize) as usize) } else { usize::try_from(i).ok().filter(|i| *i < count) }
}
