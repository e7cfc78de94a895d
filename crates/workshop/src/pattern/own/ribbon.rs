//! The outline of a stroke becomes its centre line: drawing programs save thick strokes as closed thin ribbons.
//!
//! A closed path is a ribbon when it is narrow, twice its area over its length, and its two sides face each other all along. Its
//! tips are where the two ways round stay nearest to each other; two rings, one in the other, are the ribbon of a closed line.
//! Strokes that a program has joined into one outline with forks are no ribbon, and stay both sides of the pen.

use kurbo::Vec2;
use measure::plane::{Cubic, line};

use crate::pattern::fit::hand::{corners, even, float, ring, through};

/// What is wider than a broad pen is a piece, µm.
const WIDEST_UM: f64 = 1500.0;
/// A ribbon is so many times as long as it is wide.
const LONG: f64 = 8.0;
/// Its sides are nowhere farther apart than so many times the mean.
const FACING: f64 = 2.0;
/// Places to a width at which a ribbon is looked at, so that its tips are found, and the most and least of them in all: they
/// cost time by the square.
const TO_A_WIDTH: f64 = 4.0;
const PLACES: std::ops::RangeInclusive<usize> = 256..=1024;
/// Samples of a centre line, and how far its cubics may lie from them, µm.
const STEP_UM: f64 = 200.0;
const OFF_UM: f64 = 15.0;

/// A part of a path: what is drawn without lifting the pen.
#[derive(Default)]
pub(super) struct Part {
    pub curves: Vec<Cubic>,
    pub closed: bool,
}

/// The curves of each part of a path, ribbons as their centre lines.
pub(super) fn curves(parts: Vec<Part>) -> Vec<Vec<Cubic>> {
    if let [a, b] = &parts[..]
        && let Some(centre) = double_ring(a, b)
    {
        return vec![centre];
    }
    parts.into_iter().map(|part| ribbon(&part).unwrap_or(part.curves)).collect()
}

/// Evenly spaced places round a closed part, its area and its length.
struct Round {
    places: Vec<Vec2>,
    area: f64,
    length: f64,
}

impl Round {
    fn of(part: &Part) -> Option<Round> {
        if !part.closed || part.curves.is_empty() {
            return None;
        }
        let mut points: Vec<Vec2> = line(&part.curves).into_iter().map(float).collect();
        points.push(points[0]);
        let length: f64 = points.windows(2).map(|w| far(w[0], w[1])).sum();
        let area = part.curves.iter().map(Cubic::green20).sum::<i128>().unsigned_abs() as f64 / 20.0;
        if length < 1.0 || points.len() < 4 {
            return None;
        }
        let wanted = (TO_A_WIDTH * length * length / (2.0 * area).max(1.0)) as usize;
        let mut places = even(&points, length / wanted.clamp(*PLACES.start(), *PLACES.end()) as f64);
        places.pop();
        Some(Round { places, area, length })
    }

    fn at(&self, index: usize) -> Vec2 {
        self.places[index % self.places.len()]
    }
}

fn ribbon(part: &Part) -> Option<Vec<Cubic>> {
    let round = Round::of(part)?;
    let width = 2.0 * round.area / round.length;
    if width > WIDEST_UM || round.length < 2.0 * LONG * width {
        return None;
    }
    let half = round.places.len() / 2;
    let (back, forth) = (|tip: usize, u: usize| round.at(tip + 2 * half - u), |tip: usize, u: usize| round.at(tip + u));
    let apart = |tip: &usize| (1..half).map(|u| (back(*tip, u) - forth(*tip, u)).hypot2()).sum::<f64>();
    let tip = (0..half).min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
    let other: Vec<Vec2> = (0..=half).map(|u| back(tip, u)).collect();
    let mut centre = vec![round.at(tip)];
    for u in 1..half {
        let here = forth(tip, u);
        // Round a bend the inner side is shorter: the place across is sought a little before and after.
        let reach = half / 6 + 2;
        let across = nearest(&other[u.saturating_sub(reach)..(u + reach).min(half + 1)], here);
        if far(here, across) > FACING * width {
            return None;
        }
        if far(here, round.at(tip)).min(far(here, round.at(tip + half))) > width {
            centre.push((here + across) * 0.5);
        }
    }
    centre.push(round.at(tip + half));
    let samples = even(&centre, STEP_UM);
    Some(through(&samples, &corners(&samples, false), [None; 2], (OFF_UM, None)))
}

fn double_ring(a: &Part, b: &Part) -> Option<Vec<Cubic>> {
    let (a, b) = (Round::of(a)?, Round::of(b)?);
    let width = 2.0 * (a.area - b.area).abs() / (a.length + b.length);
    if width > WIDEST_UM || a.length + b.length < 2.0 * LONG * width {
        return None;
    }
    let (outer, inner) = if a.area > b.area { (a, b) } else { (b, a) };
    let centre = outer.places.iter().map(|here| {
        let across = nearest(&inner.places, *here);
        (far(*here, across) <= FACING * width).then_some((*here + across) * 0.5)
    });
    let mut centre: Vec<Vec2> = centre.collect::<Option<_>>()?;
    centre.push(centre[0]);
    let mut samples = even(&centre, STEP_UM.min((outer.length + inner.length) / 32.0));
    samples.pop();
    let turns = corners(&samples, true);
    let begin = turns.first().copied().unwrap_or(0);
    samples.rotate_left(begin);
    samples.push(samples[0]);
    let turns: Vec<usize> = turns.iter().map(|i| i - begin).collect();
    Some(if turns.is_empty() {
        ring(&samples, OFF_UM, None)
    } else {
        through(&samples, &turns, [None; 2], (OFF_UM, None))
    })
}

/// The place of a line nearest to `p`, between its points too.
fn nearest(line: &[Vec2], p: Vec2) -> Vec2 {
    let on = |w: &[Vec2]| {
        let u = w[1] - w[0];
        w[0] + u * ((p - w[0]).dot(u) / u.hypot2().max(1e-9)).clamp(0.0, 1.0)
    };
    line.windows(2).map(on).min_by(|a, b| far(*a, p).total_cmp(&far(*b, p))).unwrap_or(p)
}

fn far(a: Vec2, b: Vec2) -> f64 {
    (b - a).hypot2().sqrt()
}
