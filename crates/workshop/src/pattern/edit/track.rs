//! A border as a hand follows it: how far along its places lie, which is nearest to a point, and a stretch of it drawn anew.
//!
//! Only the stretch that moves is fitted again: before and behind it the cubics keep their control points, and where the
//! stretch begins inside the border it leaves in the old direction. Corners inside the stretch stay corners.

use kurbo::Vec2;
use measure::plane::{Cubic, Point};

use crate::pattern::fit::hand::{even, float, through};
use crate::work::{Border, Ends, Size};

/// Samples of a border lie about so far apart, µm.
const STEP_UM: f64 = 100.0;
/// And there are at most so many on a cubic.
const STEPS_MOST: f64 = 400.0;
/// How far the new cubics may pass from where the hand put the border, µm.
const OFF_UM: f64 = 15.0;
/// A joint that turns farther than this (cosine of 20°) is a corner.
const CORNER_COSINE: f64 = 0.94;
/// A place so near to a joint is meant to be in it, µm.
const JOINT_UM: f64 = 2.0;

/// A border's curve, measured.
pub(super) struct Track {
    curve: Vec<Cubic>,
    closed: bool,
    points: Vec<Vec2>,
    /// How far along each point lies, µm.
    along: Vec<f64>,
    /// The cubic of each point and the parameter on it.
    places: Vec<(usize, f64)>,
}

impl Track {
    pub(super) fn new(border: &Border) -> Track {
        measured(border.curve.clone(), matches!(border.ends, Ends::Ring(_)))
    }

    pub(super) fn length(&self) -> f64 {
        self.along[self.along.len() - 1]
    }

    pub(super) fn is_closed(&self) -> bool {
        self.closed
    }

    /// How far along the nearest place lies.
    pub(super) fn nearest(&self, to: Point) -> f64 {
        let to = float(to);
        let off = |i: usize| (self.points[i] - to).hypot2();
        let i = (0..self.points.len()).min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(0);
        self.along[i]
    }

    /// The same ring begun at a place; at a joint where one is near. An open border stays.
    pub(super) fn begun_at(self, place: f64) -> Track {
        if !self.closed {
            return self;
        }
        let (mut before, after) = self.cut(place.rem_euclid(self.length()));
        let mut curve = after;
        curve.append(&mut before);
        measured(curve, true)
    }

    /// The curve with the stretch between two places moved: `moves` takes a point and how far along it lies.
    pub(super) fn moved(&self, [from, to]: [f64; 2], panel: Size, moves: impl Fn(Vec2, f64) -> Vec2) -> Vec<Cubic> {
        let (mut curve, _) = self.cut(from);
        let (_, mut after) = self.cut(to);
        let (points, corners) =
            self.stretch([from, to], [curve.last().map(Cubic::end), after.first().map(Cubic::start)]);
        let ways = [curve.last().and_then(arrives), after.first().and_then(leaves)];
        let moved: Vec<Vec2> = points.iter().map(|(p, along)| moves(*p, *along)).collect();
        curve.extend(through(&moved, &corners, ways, (OFF_UM, Some(panel))));
        curve.append(&mut after);
        curve
    }

    /// The curve with the stretch between two places put along `points`, whose ends are the stretch's own.
    pub(super) fn put(&self, [from, to]: [f64; 2], points: &[Vec2], panel: Size) -> Vec<Cubic> {
        let (mut curve, _) = self.cut(from);
        let (_, mut after) = self.cut(to);
        let mut points = points.to_vec();
        let last = points.len() - 1;
        points[0] = curve.last().map_or(points[0], |cubic| float(cubic.end()));
        points[last] = after.first().map_or(points[last], |cubic| float(cubic.start()));
        let ways = [curve.last().and_then(arrives), after.first().and_then(leaves)];
        curve.extend(through(&points, &[], ways, (OFF_UM, Some(panel))));
        curve.append(&mut after);
        curve
    }

    /// The points of a stretch, its ends among them.
    pub(super) fn points_between(&self, [from, to]: [f64; 2]) -> Vec<Vec2> {
        let inner = self.along.iter().zip(&self.points).filter(|(along, _)| **along > from && **along < to);
        [self.at(from)].into_iter().chain(inner.map(|(_, p)| *p)).chain([self.at(to)]).collect()
    }

    /// Even points of a stretch with how far along they lie, and which of them are corners. Its ends are those of the parts
    /// before and behind, which were snapped.
    fn stretch(&self, [from, to]: [f64; 2], ends: [Option<Point>; 2]) -> (Vec<(Vec2, f64)>, Vec<usize>) {
        let mut knots = vec![from];
        knots.extend(self.corners().filter(|along| *along > from + JOINT_UM && *along < to - JOINT_UM));
        knots.push(to);
        let (mut found, mut corners): (Vec<(Vec2, f64)>, Vec<usize>) = (Vec::new(), Vec::new());
        for w in knots.windows(2) {
            if found.pop().is_some() {
                corners.push(found.len());
            }
            let step = ((to - from) / STEPS_MOST).max(STEP_UM).min((w[1] - w[0]) / 4.0).max(1.0);
            let points = even(&self.points_between([w[0], w[1]]), step);
            let share = (w[1] - w[0]) / (points.len() - 1) as f64;
            found.extend(points.iter().enumerate().map(|(i, p)| (*p, w[0] + share * i as f64)));
        }
        let last = found.len() - 1;
        for (i, end) in [(0, ends[0]), (last, ends[1])] {
            found[i].0 = end.map_or(found[i].0, float);
        }
        (found, corners)
    }

    fn at(&self, along: f64) -> Vec2 {
        let i = self.along.partition_point(|a| *a < along).clamp(1, self.along.len() - 1);
        let share = (along - self.along[i - 1]) / (self.along[i] - self.along[i - 1]).max(1e-9);
        self.points[i - 1] + (self.points[i] - self.points[i - 1]) * share.clamp(0.0, 1.0)
    }

    /// How far along the joints lie at which the border truly turns.
    pub(super) fn corners(&self) -> impl Iterator<Item = f64> {
        let turns = |i: &usize| match (arrives(&self.curve[i - 1]), leaves(&self.curve[*i])) {
            (Some(a), Some(b)) => a.dot(b) < CORNER_COSINE,
            _ => false,
        };
        (1..self.curve.len()).filter(turns).map(|i| self.along[self.places.partition_point(|place| place.0 < i)])
    }

    /// The cubics before and behind a place; either may be none.
    pub(super) fn cut(&self, along: f64) -> (Vec<Cubic>, Vec<Cubic>) {
        let i = self.along.partition_point(|a| *a < along).min(self.along.len() - 1);
        let (cubic, to) = self.places[i];
        let from = if i > 0 && self.places[i - 1].0 == cubic { self.places[i - 1].1 } else { 0.0 };
        let (start, end) = (if i > 0 { self.along[i - 1] } else { 0.0 }, self.along[i]);
        let t = from + (to - from) * ((along - start) / (end - start).max(1e-9)).clamp(0.0, 1.0);
        let (first, second) = self.curve[cubic].split(t);
        let short = |c: &Cubic| c.0.iter().all(|p| (float(*p) - float(c.start())).hypot2() <= JOINT_UM * JOINT_UM);
        let (mut before, mut after) = (self.curve[..cubic].to_vec(), Vec::new());
        match (short(&first), short(&second)) {
            (true, _) => after.push(self.curve[cubic]),
            (_, true) => before.push(self.curve[cubic]),
            _ => {
                before.push(first);
                after.push(second);
            }
        }
        after.extend_from_slice(&self.curve[cubic + 1..]);
        (before, after)
    }
}

fn measured(curve: Vec<Cubic>, closed: bool) -> Track {
    let (mut points, mut along, mut places) = (vec![float(curve[0].start())], vec![0.0], vec![(0, 0.0)]);
    for (index, cubic) in curve.iter().enumerate() {
        let p = cubic.0.map(float);
        let around: f64 = p.windows(2).map(|w| (w[1] - w[0]).hypot2().sqrt()).sum();
        let steps = (around / STEP_UM).clamp(8.0, STEPS_MOST) as usize;
        for k in 1..=steps {
            let t = k as f64 / steps as f64;
            let (x, y) = cubic.point(t);
            let (point, last) = (Vec2::new(x, y), points.len() - 1);
            along.push(along[last] + (point - points[last]).hypot2().sqrt());
            points.push(point);
            places.push((index, t));
        }
    }
    Track { curve, closed, points, along, places }
}

/// The direction in which a cubic leaves.
fn leaves(cubic: &Cubic) -> Option<Vec2> {
    let p = cubic.0.map(float);
    p[1..].iter().map(|q| *q - p[0]).find(|v| v.hypot2() > 0.0).map(|v| v / v.hypot2().sqrt())
}

/// The direction in which a cubic arrives.
fn arrives(cubic: &Cubic) -> Option<Vec2> {
    leaves(&cubic.reversed()).map(|v| -v)
}
