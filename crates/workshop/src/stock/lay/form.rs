//! What the search moves about: a form (grown, loosened, centred outline with its circles) and its pose on a bed.

use std::sync::OnceLock;

use super::poles::{Pole, bounds, poles};
use super::ring::{Spot, area, hull};
use super::turn::{self, FULL};

/// Circles are compared four at a time.
pub(super) const LANES: usize = 4;

/// An outline as the search sees it, about its own origin, and where it may go.
#[derive(Clone, Debug)]
pub(super) struct Form {
    /// The corners, µm.
    pub ring: Vec<Spot>,
    /// Circles that fill it.
    pub poles: Vec<Pole>,
    /// The fourth root of the hull's area: two of them multiplied weigh an overlap of the two.
    pub weight: f64,
    /// Its own area, µm².
    pub area: f64,
    /// Its greatest extent, µm.
    pub across: f64,
    /// The lesser side of its box, µm.
    pub slim: f64,
    /// Allowed turns, from and to, hundredths of a degree.
    pub turns: Vec<(i32, i32)>,
    /// The beds that may carry it.
    pub beds: Vec<usize>,
}

impl Form {
    /// The form of a ring.
    pub(super) fn new(ring: Vec<Spot>, turns: Vec<(i32, i32)>, beds: Vec<usize>) -> Form {
        let hull = hull(&ring);
        let [left, top, right, bottom] = bounds(&ring);
        let square = |a: &Spot, b: &Spot| (a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]);
        let far = |a: &Spot| hull.iter().map(|b| square(a, b)).fold(0.0, f64::max);
        let across = hull.iter().map(far).fold(0.0, f64::max).sqrt();
        let weight = area(&hull).sqrt().sqrt();
        let slim = (right - left).min(bottom - top);
        Form { poles: poles(&ring), weight, area: area(&ring), across, slim, turns, beds, ring }
    }

    /// How far its turn may be varied at most.
    pub(super) fn swings(&self) -> bool {
        self.turns.iter().any(|turns| turns.1 > turns.0)
    }
}

/// Where a form lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    /// The bed's number.
    pub bed: usize,
    /// Hundredths of a degree, as on a bed of grain 0.
    pub turn: i32,
    /// Of the form's origin, µm.
    pub at: Spot,
}

/// A form in its place.
#[derive(Clone, Debug, Default)]
pub(super) struct Pose {
    /// The corners; the first is repeated at the end.
    pub ring: Vec<Spot>,
    /// The circles: x, y and radius apart, filled up to whole lanes with circles of no size.
    pub poles: [Vec<f32>; 3],
    /// Left, top, right, bottom.
    pub bounds: [f64; 4],
    /// The form's weight.
    pub weight: f64,
    /// The form's greatest extent.
    pub across: f64,
}

impl Pose {
    /// Lays `form` with `turn` and its origin on `at`.
    pub(super) fn set(&mut self, form: &Form, turn: i32, at: Spot) {
        let (sin, cos) = sin_cos(turn);
        let put = |p: Spot| [at[0] + p[0] * cos + p[1] * sin, at[1] + p[1] * cos - p[0] * sin];
        (self.weight, self.across) = (form.weight, form.across);
        self.ring.clear();
        self.ring.extend(form.ring.iter().map(|&p| put(p)));
        self.ring.push(self.ring[0]);
        self.bounds = bounds(&self.ring);
        self.poles.iter_mut().for_each(Vec::clear);
        for pole in &form.poles {
            let [x, y] = put([pole[0], pole[1]]);
            self.add(x, y, pole[2]);
        }
        while !self.poles[0].len().is_multiple_of(LANES) {
            self.add(at[0], at[1], 0.0);
        }
    }

    fn add(&mut self, x: f64, y: f64, r: f64) {
        for (list, value) in self.poles.iter_mut().zip([x, y, r]) {
            list.push(value as f32);
        }
    }
}

/// The sine and cosine of a turn, looked up.
pub(super) fn sin_cos(turn: i32) -> (f64, f64) {
    static TABLE: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    TABLE.get_or_init(|| (0..FULL).map(turn::sin_cos).collect())[turn.rem_euclid(FULL) as usize]
}
