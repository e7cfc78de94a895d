//! The smoother and the fitter of traced borders, for lines that a hand drew or moved: dense points in, few cubics out.

use kurbo::Vec2;
use measure::plane::{Cubic, Point};

use super::corner;
use super::cubics::{Curve, Limits, Stretch, unit};
use super::draw::{self, snap};
use super::smooth::{Line, Reach, smooth};
use crate::work::Size;

/// Points so near to each other are one, µm.
const SAME_UM: f64 = 0.5;

/// Points at even steps of about `step` along a line; both ends are kept.
pub fn even(points: &[Vec2], step: f64) -> Vec<Vec2> {
    let length: f64 = points.windows(2).map(|w| (w[1] - w[0]).hypot2().sqrt()).sum();
    let count = (length / step).ceil().max(1.0) as usize;
    let mut found = vec![points[0]];
    let (mut gone, mut next) = (0.0, 1);
    for w in points.windows(2) {
        let chord = (w[1] - w[0]).hypot2().sqrt();
        while next < count && length * next as f64 / count as f64 <= gone + chord {
            let share = (length * next as f64 / count as f64 - gone) / chord.max(1e-9);
            found.push(w[0] + (w[1] - w[0]) * share.min(1.0));
            next += 1;
        }
        gone += chord;
    }
    found.push(points[points.len() - 1]);
    found
}

/// Evenly spaced points without waves shorter than `cutoff` µm, none farther than `tube` µm from where it was; the ends of an
/// open line stay, and so do the corners.
pub fn calmed(points: &[Vec2], closed: bool, (cutoff, tube): (f64, f64), corners: &[usize]) -> Vec<Vec2> {
    let last = points.len() - 1;
    let pinned = |i: usize| !closed && (i == 0 || i == last);
    let line = Line {
        points: points.to_vec(),
        radius: (0..=last).map(|i| if pinned(i) { 0.0 } else { tube }).collect(),
        kink: (0..=last).map(|i| corners.contains(&i)).collect(),
        closed,
    };
    let (mut moved, _) = smooth(&line, Reach { cutoffs: [cutoff; 3], staircase: tube });
    for (i, point) in moved.iter_mut().enumerate().filter(|(i, _)| pinned(*i)) {
        *point = points[i];
    }
    moved
}

/// The indices of true corners of evenly spaced points.
pub fn corners(points: &[Vec2], closed: bool) -> Vec<usize> {
    corner::corners(points, closed)
}

/// The fewest cubics that pass within `off` µm of every point, from the first to the last, with a corner at each of
/// `corners`, and with all control points on the panel when one is given; the tangents are those of the ends, both along the line, where a neighbour shares them.
pub fn through(
    points: &[Vec2],
    corners: &[usize],
    tangents: [Option<Vec2>; 2],
    (off, panel): (f64, Option<Size>),
) -> Vec<Cubic> {
    let last = points.len() - 1;
    let mut knots = vec![0];
    knots.extend(corners.iter().copied().filter(|i| (1..last).contains(i)));
    knots.push(last);
    let tangent = |end: usize, i: usize| if i == [0, last][end] { tangents[end] } else { None };
    let curves = knots
        .windows(2)
        .flat_map(|w| stretch(&points[w[0]..=w[1]], [tangent(0, w[0]), tangent(1, w[1])], (off, panel)).cubics());
    snapped(curves)
}

/// The same for a closed line without a corner, its first point repeated at the end.
pub fn ring(points: &[Vec2], off: f64, panel: Option<Size>) -> Vec<Cubic> {
    let last = points.len() - 1;
    let tangent = unit(points[1] - points[last - 1]);
    snapped(stretch(points, [tangent; 2], (off, panel)).ring())
}

fn stretch(points: &[Vec2], tangents: [Option<Vec2>; 2], (off, panel): (f64, Option<Size>)) -> Stretch {
    let everywhere = (Vec2::new(f64::MIN, f64::MIN), Vec2::new(f64::MAX, f64::MAX));
    let on = |panel: Size| (Vec2::ZERO, Vec2::new(f64::from(panel.width.0), f64::from(panel.height.0)));
    let (near_corner, far_corner) = panel.map_or(everywhere, on);
    Stretch {
        points: points.to_vec(),
        given: points.to_vec(),
        radius: vec![off; points.len()],
        shape: vec![off; points.len()],
        tangents,
        limits: Limits { near_corner, far_corner, staircase: off },
    }
}

/// On whole µm, without cubics that lead nowhere.
fn snapped(curves: impl IntoIterator<Item = Curve>) -> Vec<Cubic> {
    let long = |c: &Curve| c.windows(2).any(|w| (w[1] - w[0]).hypot2().sqrt() > SAME_UM);
    let mut cubics: Vec<Cubic> = curves.into_iter().filter(long).map(|c| draw::snapped(&c)).collect();
    cubics.retain(|cubic| cubic.0.iter().any(|p| *p != cubic.start()));
    cubics
}

/// The nearest whole µm.
pub fn snapped_point(p: Vec2) -> Point {
    snap(p)
}

/// A point as floating µm.
pub fn float(p: Point) -> Vec2 {
    Vec2::new(f64::from(p.x), f64::from(p.y))
}
