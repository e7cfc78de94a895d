//! Cubics that a saw can follow, in the place of some that bend too tightly or are all but a point.
//!
//! One or two cubics for one to four, of handles and directions out of a few: the one that keeps nearest to its points. Tried most
//! are no good, so the point that the last one passed too far from is looked at first.

use std::cell::{Cell, OnceCell};
use std::ops::Range;

use kurbo::Vec2;

use super::cubics::{Curve, Knot, Stretch, away, nearer, point, speed, turn, unit};

/// So many cubics at most are drawn anew as one or two.
const EASED: usize = 4;
/// Where two are joined, parts of their length.
const SHARES: [f64; 9] = [0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88, 0.06, 0.94];
/// The last of these where none of the first so many holds: a short end beside a long neighbour.
const USUAL: usize = 5;
/// Handles, parts of the length.
const HANDLES: [f64; 8] = [0.06, 0.1, 0.15, 0.21, 0.29, 0.38, 0.48, 0.6];
/// Directions are taken so far ahead where they are free, µm.
const AHEAD_UM: [f64; 3] = [300.0, 600.0, 1000.0];
/// A handle shorter than this has no direction that whole µm can tell.
const HANDLE_UM: f64 = 60.0;
/// A curve bends no tighter than this outside corners, µm, but over less than a trifle, µm.
const LEAST_RADIUS_UM: f64 = 600.0;
const TIGHT_UM: f64 = 45.0;
/// Places looked at along a cubic.
const TIGHT_STEPS: usize = 49;

/// What is drawn anew: between two knots, and how far from each given point from one to the other.
struct Between<'a> {
    along: &'a [f64],
    from: Knot,
    to: Knot,
    radius: Vec<f64>,
    /// What is there.
    drawn: &'a [Curve],
    /// The point that the last curve passed too far from.
    missed: Cell<usize>,
}

impl<'a> Between<'a> {
    fn new(along: &'a [f64], [from, to]: [Knot; 2], radius: Vec<f64>, drawn: &'a [Curve]) -> Between<'a> {
        Between { along, from, to, radius, drawn, missed: Cell::new((from.index + to.index) / 2) }
    }
}

/// How calm a curve is to be.
#[derive(Clone, Copy)]
enum Calm {
    /// It bends nowhere tighter than a saw line may, and its handles are long enough to tell a direction.
    Whole,
    /// It bends nowhere tighter.
    Loose,
}

/// By how calm it is to be, the best curve, if there is one.
type Best = [Option<Curve>; 2];

/// Two cubics, joined between.
struct Halves<'a> {
    knot: Knot,
    first: Best,
    rest: Between<'a>,
    second: OnceCell<Best>,
}

/// Knots from one to another, the curves in their place, and the knot between those.
type Drawn = ((usize, usize), Vec<Curve>, Option<Knot>);

impl Stretch {
    /// Draws what bends tighter than a saw line may, or is all but a point, anew with the cubics beside it, where that holds without.
    pub(super) fn ease(&self, along: &[f64], knots: &mut Vec<Knot>, curves: &mut Vec<Curve>) {
        let mut i = 0;
        while i < curves.len() {
            let c = &curves[i];
            // Where it joins no other it needs no direction.
            let vague = (i > 0 && is_short(c[1] - c[0])) || (i + 1 < curves.len() && is_short(c[3] - c[2]));
            if !vague && !tight(c) {
                i += 1;
                continue;
            }
            match self.eased(along, (knots, curves), i) {
                Some(((a, b), drawn, knot)) => {
                    i = a + drawn.len();
                    curves.splice(a..b, drawn);
                    knots.splice(a + 1..b, knot);
                }
                None => i += 1,
            }
        }
    }

    /// What takes the place of a curve and of some beside it.
    fn eased(&self, along: &[f64], (knots, curves): (&[Knot], &[Curve]), i: usize) -> Option<Drawn> {
        let windows = (1..=EASED).flat_map(|size| (0..size).map(move |before| (before, size)));
        let within = windows.filter(|(before, size)| i >= *before && i - before + size <= curves.len());
        let ways: Vec<(usize, usize)> = within.map(|(before, size)| (i - before, i - before + size)).collect();
        let seen: Vec<OnceCell<Between>> = ways.iter().map(|_| OnceCell::new()).collect();
        let between = |way: usize| {
            let (a, b) = ways[way];
            let (ends, drawn) = ([knots[a], knots[b]], &curves[a..b]);
            let radius = || self.allowed((ends[0].index, ends[1].index), drawn);
            seen[way].get_or_init(|| Between::new(along, ends, radius(), drawn))
        };
        // What was found for the calm is at hand for the loose.
        let wholes: Vec<OnceCell<Best>> = ways.iter().map(|_| OnceCell::new()).collect();
        let one = |calm: Calm| {
            (0..ways.len()).find_map(|way| {
                let whole = wholes[way].get_or_init(|| self.calmest(between(way)));
                Some((ways[way], vec![whole[calm as usize]?], None))
            })
        };
        let tried = SHARES.len() * AHEAD_UM.len();
        let halves: Vec<OnceCell<Option<Halves>>> = (0..ways.len() * tried).map(|_| OnceCell::new()).collect();
        let two_by = |shares: Range<usize>, calm: Calm| {
            let joints = (0..ways.len()).flat_map(|way| shares.clone().map(move |share| (way, share)));
            let mut each = joints.flat_map(|(way, share)| (0..AHEAD_UM.len()).map(move |by| (way, share, by)));
            each.find_map(|(way, share, by)| {
                let cell = &halves[way * tried + share * AHEAD_UM.len() + by];
                let made = || self.halves(between(way), SHARES[share], AHEAD_UM[by]);
                let halves = cell.get_or_init(made).as_ref()?;
                let first = halves.first[calm as usize]?;
                let second = halves.second.get_or_init(|| self.calmest(&halves.rest))[calm as usize]?;
                Some((ways[way], vec![first, second], Some(halves.knot)))
            })
        };
        let two = |calm: Calm| two_by(0..USUAL, calm).or_else(|| two_by(USUAL..SHARES.len(), calm));
        let found = one(Calm::Whole).or_else(|| two(Calm::Whole));
        if tight(&curves[i]) { found.or_else(|| one(Calm::Loose)).or_else(|| two(Calm::Loose)) } else { found }
    }

    /// How far from each given point between two curves may pass: no farther than what is drawn there, where that is farther.
    fn allowed(&self, (from, to): (usize, usize), drawn: &[Curve]) -> Vec<f64> {
        let places: Vec<Vec2> =
            drawn.iter().flat_map(|curve| (0..=24).map(|k| point(curve, f64::from(k) / 24.0))).collect();
        // A chord within the radius is as good as the nearest, and it mostly is the one of the point before or the next.
        let (chords, mut last) = (places.len().saturating_sub(1), 0);
        let mut off = |i: usize| {
            let mut nearest = f64::MAX;
            for chord in (last..chords).chain(0..last) {
                let far = away(self.given[i], (places[chord], places[chord + 1]));
                if far <= self.radius[i] {
                    last = chord;
                    return self.radius[i];
                }
                nearest = nearest.min(far);
            }
            nearest
        };
        (from..=to).map(|i| self.radius[i].max(off(i))).collect()
    }

    /// Of the cubics between two knots that pass near enough to every point, the calm one and the loose one that keep nearest to their
    /// points.
    fn calmest(&self, between: &Between) -> Best {
        let Between { along, from, to, .. } = *between;
        let way = to.at - from.at;
        let length = (along[to.index] - along[from.index]).max(way.hypot2().sqrt());
        let towards = |knot: Knot, by: f64| unit(self.points[self.at(along, knot.index, by)] - knot.at);
        let free = |knot: Knot, (sign, at): (f64, usize)| -> Vec<Vec2> {
            let near = AHEAD_UM.iter().filter_map(|by| towards(knot, sign * by)).map(|v| v * sign);
            let known = between.drawn.iter().filter_map(|c| unit(c[at + 1] - c[at]));
            knot.tangent.map_or_else(|| near.chain(unit(way)).chain(known).collect(), |tangent| vec![tangent])
        };
        let (starts, ends) = (free(from, (1.0, 0)), free(to, (-1.0, 2)));
        let known = between.drawn.iter().map(|c| [c[1] - c[0], c[3] - c[2]].map(|handle| handle.hypot2().sqrt()));
        let even = HANDLES.iter().flat_map(|h| HANDLES.iter().map(move |k| [h * length, k * length]));
        let handles: Vec<[f64; 2]> = known.chain(even).collect();
        let ways = starts.iter().flat_map(|start| ends.iter().map(move |end| (*start, *end)));
        let fitted = self.fit(along, from, to).map(|curve| (curve, calm(&curve)));
        let fitted = [0, 1].map(|kind| fitted.filter(|(_, calm)| calm[kind]).map(|(curve, _)| curve));
        if fitted[0].is_some() {
            return fitted;
        }
        let curves = ways.flat_map(|(start, end)| {
            handles.iter().map(move |[h, k]| [from.at, from.at + start * *h, to.at - end * *k, to.at])
        });
        let mut best: [Option<(f64, Curve)>; 2] = [None; 2];
        for curve in curves.filter(|curve| self.limits.hold(curve)) {
            // A calm one is loose too, so the best loose one is no farther than the best calm one.
            let most = best[0].map_or(f64::INFINITY, |best| best.0);
            let Some(far) = self.strays(&curve, between, most) else { continue };
            for (best, calm) in best.iter_mut().zip(calm(&curve)) {
                if calm && best.is_none_or(|best| far < best.0) {
                    *best = Some((far, curve));
                }
            }
        }
        let [whole, loose] = best.map(|best| best.map(|(_, curve)| curve));
        [whole, fitted[1].or(loose)]
    }

    /// The two cubics that are joined at such a share of the length, with the direction there taken so far to either side; `None` where
    /// there is no joint. The second is found when it is asked for.
    fn halves<'a>(&self, between: &Between<'a>, share: f64, by: f64) -> Option<Halves<'a>> {
        let Between { along, from, to, .. } = *between;
        let wanted = along[from.index] + (along[to.index] - along[from.index]) * share;
        let index = along.partition_point(|s| *s < wanted);
        if index <= from.index || index >= to.index {
            return None;
        }
        let (before, after) = (self.at(along, index, -by), self.at(along, index, by));
        let tangent = unit(self.points[after.min(to.index)] - self.points[before.max(from.index)])?;
        let knot = Knot { index, at: self.points[index], tangent: Some(tangent) };
        let (first, second) = between.radius.split_at(index - from.index);
        let radius = first.iter().chain(&second[..1]).copied().collect();
        let first = self.calmest(&Between::new(along, [from, knot], radius, &[]));
        let rest = Between::new(along, [knot, to], second.to_vec(), &[]);
        Some(Halves { knot, first, rest, second: OnceCell::new() })
    }

    /// The point about so far along from another.
    fn at(&self, along: &[f64], from: usize, by: f64) -> usize {
        let found = along.partition_point(|s| *s < along[from] + by);
        if by > 0.0 { found.max(from + 1).min(along.len() - 1) } else { found.min(from.saturating_sub(1)) }
    }

    /// How far a curve passes from its points at most, when that is less than `best` and it passes near enough to every given one.
    fn strays(&self, curve: &Curve, between: &Between, best: f64) -> Option<f64> {
        let (along, from, to) = (between.along, between.from.index, between.to.index);
        let length = (along[to] - along[from]).max(1e-9);
        let off = |i: usize| {
            let share = (along[i] - along[from]) / length;
            let t = (0..4).fold(share, |t, _| nearer(curve, t, self.points[i]));
            let far = (point(curve, t) - self.points[i]).hypot2().sqrt();
            let t = (0..2).fold(t, |t, _| nearer(curve, t, self.given[i]));
            let most = between.radius[i - from];
            (far < best && (point(curve, t) - self.given[i]).hypot2() <= most * most).then_some(far)
        };
        let mut far = 0.0f64;
        let missed = Some(between.missed.get()).filter(|missed| *missed > from);
        for i in missed.into_iter().chain(from + 1..to) {
            let Some(off) = off(i) else {
                between.missed.set(i);
                return None;
            };
            far = far.max(off);
        }
        let near = |p: Vec2| {
            (from..to).any(|i| {
                let most = between.radius[i - from].max(between.radius[i + 1 - from]);
                away(p, (self.given[i], self.given[i + 1])) <= most
            })
        };
        (far < best && (0..=16).all(|k| near(point(curve, f64::from(k) / 16.0)))).then_some(far)
    }
}

/// Whether a curve is wholly and whether it is loosely calm.
fn calm(c: &Curve) -> [bool; 2] {
    let loose = !tight(c);
    [loose && !is_short(c[1] - c[0]) && !is_short(c[3] - c[2]), loose]
}

/// Whether a handle is too short to tell a direction.
fn is_short(handle: Vec2) -> bool {
    handle.hypot2() < HANDLE_UM * HANDLE_UM
}

/// Whether a curve somewhere bends tighter than a saw line may, over more than a trifle; its ends may be corners.
fn tight(c: &Curve) -> bool {
    let over: f64 = (0..TIGHT_STEPS)
        .map(|k| 0.02 + 0.96 * k as f64 / (TIGHT_STEPS - 1) as f64)
        .map(|t| (speed(c, t), turn(c, t)))
        .map(|(d, dd)| (d.hypot2(), d.cross(dd) * LEAST_RADIUS_UM))
        .filter(|(square, curl)| curl * curl > square * square * square)
        .map(|(square, _)| square.sqrt())
        .sum();
    over / TIGHT_STEPS as f64 > TIGHT_UM
}
