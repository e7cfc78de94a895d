//! A line drawn by hand: the tremble smoothed away, then as few cubics as hold to it.
//!
//! Few points far apart, as keys and clicks set them, are first joined by a Catmull–Rom spline for uneven points (tangents
//! from three neighbours weighted by chord length). The line is then sampled evenly, sharp turns are told from tremble, and
//! between them it is smoothed (Whittaker) and fitted by least squares, as traced borders are. A stroke that trembles in
//! waves longer than the cut-off keeps them.

use kurbo::Vec2;
use measure::plane::{Cubic, Point};

use crate::pattern::fit::hand::{calmed, corners, even, float, ring, through};
use crate::work::Size;

/// Waves shorter than this are tremble, µm. Longer ones round fine work, shorter ones keep the steps of a mouse.
const TREMBLE_UM: f64 = 2500.0;
/// No point is moved farther than this, µm.
const TUBE_UM: f64 = 250.0;
/// How far the cubics may pass from the smoothed line, µm.
const OFF_UM: f64 = 40.0;
/// Samples along the line, µm; a twelfth of the tremble shows it well.
const STEP_UM: f64 = 200.0;
/// At most so many samples: more cost time, and a line so long is drawn no finer.
const SAMPLES_MOST: f64 = 4000.0;
/// Points so far apart in the mean were set one by one, µm.
const SPARSE_UM: f64 = 1200.0;
/// A turn whose cosine is under this (about 66°) is meant as a corner where points are set one by one.
const CORNER_COSINE: f64 = 0.4;
/// More points than this are no line drawn by hand.
pub(super) const POINTS_MOST: usize = 20_000;

/// The points without repeats.
pub(super) fn distinct(points: &[Point]) -> Vec<Point> {
    let mut kept = points.to_vec();
    kept.dedup();
    kept
}

/// Cubics along distinct points. A closed line repeats its first point at the end; an open one keeps its two ends.
/// All control points lie on the panel when one is given.
pub(super) fn fitted(points: &[Point], closed: bool, panel: Option<Size>) -> Vec<Cubic> {
    let (line, set) = joined(points, closed);
    let length: f64 = line.windows(2).map(|w| far(w[0], w[1])).sum();
    let samples = even(&line, (length / SAMPLES_MOST).max(STEP_UM).min(length / 8.0).max(1.0));
    let open = &samples[..samples.len() - usize::from(closed)];
    let turns = if set.is_empty() { corners(open, closed) } else { nearest(open, &set) };
    let mut calm = calmed(open, closed, (TREMBLE_UM, TUBE_UM), &turns);
    if !closed {
        return through(&calm, &turns, [None; 2], (OFF_UM, panel));
    }
    // A ring with a corner begins there.
    let begin = turns.first().copied().unwrap_or(0);
    calm.rotate_left(begin);
    calm.push(calm[0]);
    match turns.len() {
        0 => ring(&calm, OFF_UM, panel),
        _ => through(&calm, &turns.iter().map(|i| i - begin).collect::<Vec<_>>(), [None; 2], (OFF_UM, panel)),
    }
}

/// The line to sample; with sparse points a spline through them, and the corners that were set.
fn joined(points: &[Point], closed: bool) -> (Vec<Vec2>, Vec<Vec2>) {
    let line: Vec<Vec2> = points.iter().map(|p| float(*p)).collect();
    let length: f64 = line.windows(2).map(|w| far(w[0], w[1])).sum();
    if length / ((line.len() - 1) as f64) < SPARSE_UM || line.len() < 3 {
        return (line, Vec::new());
    }
    let last = line.len() - 1;
    let around = |i: usize| match (closed, i) {
        (true, 0) | (true, _) if i == 0 || i == last => Some((line[last - 1], line[0], line[1])),
        (_, i) if i == 0 || i == last => None,
        _ => Some((line[i - 1], line[i], line[i + 1])),
    };
    let tangents: Vec<Option<Vec2>> = (0..=last).map(|i| around(i).and_then(|(a, b, c)| tangent(a, b, c))).collect();
    let set = (0..last).filter(|i| around(*i).is_some() && tangents[*i].is_none()).map(|i| line[i]).collect();
    let spline = (0..last).flat_map(|i| spanned(line[i], line[i + 1], [tangents[i], tangents[i + 1]]));
    (spline.chain([line[last]]).collect(), set)
}

/// Points of a cubic from `a` up to `b`, which is left out.
fn spanned(a: Vec2, b: Vec2, tangents: [Option<Vec2>; 2]) -> impl Iterator<Item = Vec2> {
    let (third, straight) = ((b - a).hypot2().sqrt() / 3.0, (b - a) / (b - a).hypot2().sqrt());
    let (u, v) = (tangents[0].unwrap_or(straight) * third, tangents[1].unwrap_or(straight) * third);
    let steps = ((3.0 * third / STEP_UM).ceil() as usize).clamp(1, 1000);
    (0..steps).map(move |k| {
        let t = k as f64 / steps as f64;
        let s = 1.0 - t;
        a * (s * s * s) + (a + u) * (3.0 * s * s * t) + (b - v) * (3.0 * s * t * t) + b * (t * t * t)
    })
}

/// The direction of the line in `b`, at unit speed or less; none in a corner.
fn tangent(a: Vec2, b: Vec2, c: Vec2) -> Option<Vec2> {
    let (d, e) = (far(a, b), far(b, c));
    let (u, v) = ((b - a) / d, (c - b) / e);
    (u.dot(v) >= CORNER_COSINE).then_some((u * e + v * d) / (d + e))
}

/// The index of the sample nearest to each place, in order.
fn nearest(samples: &[Vec2], places: &[Vec2]) -> Vec<usize> {
    let of = |place: &Vec2| {
        (0..samples.len()).min_by(|a, b| far(samples[*a], *place).total_cmp(&far(samples[*b], *place))).unwrap_or(0)
    };
    let mut found: Vec<usize> = places.iter().map(of).collect();
    found.sort_unstable();
    found.dedup();
    found
}

fn far(a: Vec2, b: Vec2) -> f64 {
    (b - a).hypot2().sqrt()
}
