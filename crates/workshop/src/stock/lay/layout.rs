//! Forms on beds, with the overlaps that there are: what a separation works on.
//!
//! A bed is the box of a board, cut off at a limit that may move, and its bars: faults, and what the box holds beyond an
//! irregular outline, as poses that never move. Poses are found by a walk over the boxes of one bed (at most some hundred).

use super::form::{Form, Place, Pose};
use super::overlap::{Chords, boxes_meet, overlap};

/// Forms outside their bed weigh twice what forms over each other do.
const OUTSIDE: f64 = 2.0;
/// The least share of its own box that a form outside is charged, so that the charge never vanishes at the edge.
const LEAST_OUT: f64 = 1e-4;

impl Bed {
    /// How long it is along its axis.
    pub(super) fn long(&self) -> f64 {
        (self.bounds[self.axis + 2] - self.bounds[self.axis]).max(0.0)
    }

    /// How much may still be cut off.
    pub(super) fn spare(&self) -> f64 {
        (self.bounds[self.axis + 2] - self.least.max(self.bounds[self.axis])).max(0.0)
    }

    /// Takes it out of use.
    pub(super) fn close(&mut self) {
        self.bounds[self.axis + 2] = self.bounds[self.axis];
    }

    /// What its box holds, µm².
    pub(super) fn area(&self) -> f64 {
        (self.bounds[2] - self.bounds[0]).max(0.0) * (self.bounds[3] - self.bounds[1]).max(0.0)
    }
}

/// A board as the search sees it.
#[derive(Clone, Debug)]
pub(super) struct Bed {
    /// Left, top, right, bottom, µm; the right side is the limit.
    pub bounds: [f64; 4],
    /// What may not be covered.
    pub bars: Vec<Pose>,
    /// Whether for now nothing more may come to lie on it.
    pub shut: bool,
    /// Hundredths of a degree that are added to every turn on it.
    pub grain: i32,
    /// Along which axis it is shortened: 0 from the right, 1 from below.
    pub axis: usize,
    /// Whether it was cut off already.
    pub begun: bool,
    /// Along its axis, where it may be cut at the least: what is fixed on it reaches so far.
    pub least: f64,
}

/// What stands in a form's way: another form, bar `n` of its bed counted on from the forms, or the bed's edge.
pub(super) type Hit = (u32, f64);

/// All forms in their places.
#[derive(Clone)]
pub(super) struct Layout<'a> {
    /// What is laid.
    pub forms: &'a [Form],
    /// Where each lies.
    pub places: Vec<Place>,
    /// On what.
    pub beds: Vec<Bed>,
    poses: Vec<Pose>,
    on: Vec<Vec<(u32, [f64; 4])>>,
    hits: Vec<Vec<Hit>>,
    scratch: Chords,
    trial: Pose,
}

impl<'a> Layout<'a> {
    /// Beds with nothing on them yet.
    pub(super) fn empty(forms: &'a [Form], beds: Vec<Bed>) -> Layout<'a> {
        let (n, on) = (forms.len(), vec![Vec::new(); beds.len()]);
        let (poses, hits) = (vec![Pose::default(); n], vec![Vec::new(); n]);
        let places = vec![Place { bed: 0, turn: 0, at: [0.0, 0.0] }; n];
        Layout { forms, places, beds, poses, on, hits, scratch: Chords::new(), trial: Pose::default() }
    }

    /// Lays every form in its place.
    pub(super) fn new(forms: &'a [Form], beds: Vec<Bed>, places: &[Place]) -> Layout<'a> {
        let mut layout = Layout::empty(forms, beds);
        layout.places.copy_from_slice(places);
        layout.renew();
        layout
    }

    /// Lays all forms anew in `places` on `beds`.
    pub(super) fn reset(&mut self, beds: &[Bed], places: &[Place]) {
        self.beds.clone_from_slice(beds);
        self.places.clone_from_slice(places);
        self.renew();
    }

    fn renew(&mut self) {
        self.on.iter_mut().for_each(Vec::clear);
        for p in 0..self.forms.len() {
            let place = self.places[p];
            self.poses[p].set(&self.forms[p], place.turn + self.beds[place.bed].grain, place.at);
            self.on[place.bed].push((p as u32, self.poses[p].bounds));
        }
        for p in 0..self.forms.len() {
            self.hits[p] = self.all_hits(p);
        }
    }

    fn all_hits(&mut self, p: usize) -> Vec<Hit> {
        let mut hits = Vec::new();
        let trial = std::mem::take(&mut self.poses[p]);
        let view = View { beds: &self.beds, poses: &self.poses, on: &self.on };
        weigh(view, &mut self.scratch, &trial, (p, self.places[p].bed), &mut |q, loss| {
            hits.push((q, loss));
            true
        });
        self.poses[p] = trial;
        hits
    }

    /// What form `p` would weigh at `place`, by `weights` of its hits; whatever passes `most` comes back as infinite.
    pub(super) fn assess(&mut self, p: usize, place: Place, weights: &[f32], most: f64) -> f64 {
        self.trial.set(&self.forms[p], place.turn + self.beds[place.bed].grain, place.at);
        let mut sum = 0.0;
        let view = View { beds: &self.beds, poses: &self.poses, on: &self.on };
        let whole = weigh(view, &mut self.scratch, &self.trial, (p, place.bed), &mut |q, loss| {
            sum += loss * f64::from(weights[q as usize]);
            sum <= most
        });
        if whole { sum } else { f64::INFINITY }
    }

    /// Moves form `p`.
    pub(super) fn put(&mut self, p: usize, place: Place) {
        let from = self.places[p].bed;
        self.on[from].retain(|entry| entry.0 != p as u32);
        self.forget(p);
        self.places[p] = place;
        self.poses[p].set(&self.forms[p], place.turn + self.beds[place.bed].grain, place.at);
        self.on[place.bed].push((p as u32, self.poses[p].bounds));
        let hits = self.all_hits(p);
        for &(q, loss) in hits.iter().filter(|hit| (hit.0 as usize) < self.forms.len()) {
            self.hits[q as usize].push((p as u32, loss));
        }
        self.hits[p] = hits;
    }

    fn forget(&mut self, p: usize) {
        let old = std::mem::take(&mut self.hits[p]);
        for (q, _) in old.iter().filter(|hit| (hit.0 as usize) < self.forms.len()) {
            self.hits[*q as usize].retain(|hit| hit.0 != p as u32);
        }
    }

    /// What stands in the way of form `p`.
    pub(super) fn hits(&self, p: usize) -> &[Hit] {
        &self.hits[p]
    }

    /// The box of form `p`.
    pub(super) fn bounds(&self, p: usize) -> [f64; 4] {
        self.poses[p].bounds
    }

    /// The box of form `p` about its origin at a turn on a bed.
    pub(super) fn box_at(&mut self, p: usize, bed: usize, turn: i32) -> [f64; 4] {
        self.trial.set(&self.forms[p], turn + self.beds[bed].grain, [0.0, 0.0]);
        self.trial.bounds
    }

    /// The sum of all overlaps; 0 when nothing is in the way of anything.
    pub(super) fn loss(&self) -> f64 {
        let n = self.forms.len() as u32;
        let once = |p: u32, hit: &Hit| if hit.0 < n && hit.0 < p { 0.0 } else { hit.1 };
        (0..n).map(|p| self.hits[p as usize].iter().map(|hit| once(p, hit)).sum::<f64>()).sum()
    }

    /// Weighted overlaps of form `p`.
    pub(super) fn weighed(&self, p: usize, weights: &[f32]) -> f64 {
        self.hits[p].iter().map(|hit| hit.1 * f64::from(weights[hit.0 as usize])).sum()
    }

    /// The number that a form's edge hit bears; forms, bars and edge together are one more.
    pub(super) fn edge_of(forms: usize, beds: &[Bed]) -> usize {
        forms + beds.iter().map(|bed| bed.bars.len()).max().unwrap_or(0)
    }
}

#[derive(Clone, Copy)]
struct View<'v> {
    beds: &'v [Bed],
    poses: &'v [Pose],
    on: &'v [Vec<(u32, [f64; 4])>],
}

/// Tells `each` what the pose meets until it has enough; whether it was told all.
fn weigh(
    view: View,
    scratch: &mut Chords,
    pose: &Pose,
    (p, bed): (usize, usize),
    each: &mut impl FnMut(u32, f64) -> bool,
) -> bool {
    let n = view.poses.len();
    let out = outside(pose, &view.beds[bed].bounds);
    if out > 0.0 && !each(Layout::edge_of(n, view.beds) as u32, out) {
        return false;
    }
    for (number, bar) in view.beds[bed].bars.iter().enumerate() {
        let loss = if boxes_meet(&bar.bounds, &pose.bounds) { overlap(pose, bar, scratch) } else { 0.0 };
        if loss > 0.0 && !each((n + number) as u32, loss) {
            return false;
        }
    }
    for (q, bounds) in &view.on[bed] {
        if *q as usize == p || !boxes_meet(bounds, &pose.bounds) {
            continue;
        }
        let loss = overlap(pose, &view.poses[*q as usize], scratch);
        if loss > 0.0 && !each(*q, loss) {
            return false;
        }
    }
    true
}

/// The charge for the part of a pose's box outside its bed.
fn outside(pose: &Pose, bed: &[f64; 4]) -> f64 {
    let b = &pose.bounds;
    if bed[0] <= b[0] && bed[1] <= b[1] && b[2] <= bed[2] && b[3] <= bed[3] {
        return 0.0;
    }
    let whole = (b[2] - b[0]) * (b[3] - b[1]);
    let (wide, high) = (b[2].min(bed[2]) - b[0].max(bed[0]), b[3].min(bed[3]) - b[1].max(bed[1]));
    let within = wide.max(0.0) * high.max(0.0);
    let away = (-wide).max(0.0) + (-high).max(0.0);
    let charge = whole - within + whole * LEAST_OUT + away * pose.across;
    OUTSIDE * charge.sqrt() * pose.weight * pose.weight
}
