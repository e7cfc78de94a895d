//! Places on borders, where a drawn line crosses them, and new junctions there.
//!
//! A border is parted by splitting one of its cubics at a parameter; the halves are snapped to whole µm, so that the
//! neighbours' line moves by less than 2 µm.

use std::collections::BTreeMap;

use measure::plane::{Cubic, Point};

use crate::work::{Border, BorderId, Changes, Counters, Ends, JunctionId, Pattern};

/// A crossing this near to a junction is meant to be in it, µm.
pub(super) const SNAP_UM: f64 = 300.0;

/// A place on a border.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) border: BorderId,
    pub(super) cubic: usize,
    pub(super) t: f64,
}

/// Where a drawn line crosses a border.
#[derive(Clone, Copy, Debug)]
pub(super) struct Crossing {
    /// Index of the drawn chord, and the share of it.
    pub(super) along: f64,
    pub(super) place: Place,
    pub(super) at: (f64, f64),
}

/// Every crossing of the drawn line with a border, unsorted.
pub(super) fn crossings(drawn: &[Point], id: BorderId, border: &Border) -> Vec<Crossing> {
    let mut found = Vec::new();
    for (cubic, curve) in border.curve.iter().enumerate() {
        let mut line = Vec::new();
        curve.flatten(&mut line);
        let chords = line.len() - 1;
        for (i, chord) in line.windows(2).enumerate() {
            for (k, stroke) in drawn.windows(2).enumerate() {
                if let Some((s, f)) = meet((stroke[0], stroke[1]), (chord[0], chord[1])) {
                    let t = (i as f64 + f) / chords as f64;
                    let place = Place { border: id, cubic, t };
                    found.push(Crossing { along: k as f64 + s, place, at: curve.point(t) });
                }
            }
        }
    }
    found
}

/// The shares of both chords at which they meet.
fn meet((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<(f64, f64)> {
    let apart = |p: i32, q: i32, r: i32, s: i32| p.max(q) < r.min(s) || r.max(s) < p.min(q);
    if apart(a.x, b.x, c.x, d.x) || apart(a.y, b.y, c.y, d.y) {
        return None;
    }
    let f = |p: Point, q: Point| (f64::from(q.x) - f64::from(p.x), f64::from(q.y) - f64::from(p.y));
    let cross = |u: (f64, f64), v: (f64, f64)| u.0 * v.1 - u.1 * v.0;
    let (u, v, w) = (f(a, b), f(c, d), f(a, c));
    let by = cross(u, v);
    let (s, t) = (cross(w, v) / by, cross(w, u) / by);
    (by != 0.0 && (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t)).then_some((s, t))
}

/// The end of a drawn border: a junction that is there, or one to be made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum End {
    There(JunctionId),
    New(Place),
}

/// The junction that the crossing is meant to be in, or its place.
pub(super) fn end(pattern: &Pattern, crossing: &Crossing) -> End {
    let near = |id: &JunctionId| {
        let (x, y) =
            (f64::from(pattern.junctions[id].x) - crossing.at.0, f64::from(pattern.junctions[id].y) - crossing.at.1);
        x * x + y * y <= SNAP_UM * SNAP_UM
    };
    let there = match pattern.borders[&crossing.place.border].ends {
        Ends::Between(a, b) => [a, b].into_iter().find(near),
        Ends::Ring(_) => None,
    };
    there.map_or(End::New(crossing.place), End::There)
}

/// What new borders and junctions are made with.
pub(super) struct Bench<'a> {
    pub(super) pattern: &'a mut Pattern,
    pub(super) next: &'a mut Counters,
    pub(super) changes: &'a mut Changes,
}

impl Bench<'_> {
    /// The junction of each end, made where it is not there yet.
    pub(super) fn junctions(&mut self, ends: &[End]) -> Vec<JunctionId> {
        let mut places: BTreeMap<BorderId, Vec<(Place, usize)>> = BTreeMap::new();
        for (index, end) in ends.iter().enumerate() {
            if let End::New(place) = end {
                let place = forward(&self.pattern.borders[&place.border].curve, *place);
                places.entry(place.border).or_default().push((place, index));
            }
        }
        let mut made: BTreeMap<usize, JunctionId> = BTreeMap::new();
        for (border, mut places) in places {
            places.sort_by(|(a, i), (b, j)| a.cubic.cmp(&b.cubic).then(a.t.total_cmp(&b.t)).then(i.cmp(j)));
            if matches!(self.pattern.borders[&border].ends, Ends::Ring(_)) {
                // A ring is opened in the first place; the others then lie behind it.
                let (first, index) = places.remove(0);
                made.insert(index, self.insert(first));
                for (place, _) in &mut places {
                    *place = behind(*place, first);
                }
            }
            // From the last to the first: what lies before a junction stays where it was.
            let mut next: Option<Place> = None;
            for (place, index) in places.into_iter().rev() {
                let place = next.map_or(place, |next| before(place, next));
                made.insert(index, self.insert(place));
                next = Some(place);
            }
        }
        let id = |(index, end): (usize, &End)| match end {
            End::There(id) => *id,
            End::New(_) => made[&index],
        };
        ends.iter().enumerate().map(id).collect()
    }

    /// Parts a border. A ring becomes a border from the new junction to itself; of two parts the first keeps the id.
    pub(super) fn insert(&mut self, place: Place) -> JunctionId {
        let border = self.pattern.borders.remove(&place.border).expect("a crossing lies on a border of the pattern");
        let (before, after) = parted(&border.curve, place);
        let junction = self.next.new_junction();
        self.pattern.junctions.insert(junction, after[0].start());
        self.changes.borders.insert(place.border);
        match border.ends {
            Ends::Ring(_) => {
                let curve = after.into_iter().chain(before).collect();
                let ring = Border { ends: Ends::Between(junction, junction), curve, ..border };
                self.pattern.borders.insert(place.border, ring);
            }
            Ends::Between(start, end) => {
                let second = self.next.new_border();
                let rest = Border { ends: Ends::Between(junction, end), curve: after, ..border.clone() };
                let first = Border { ends: Ends::Between(start, junction), curve: before, ..border };
                self.pattern.borders.insert(place.border, first);
                self.pattern.borders.insert(second, rest);
                self.changes.borders.insert(second);
            }
        }
        junction
    }
}

/// The place itself, or the start of the next cubic where it is as good as there.
fn forward(curve: &[Cubic], place: Place) -> Place {
    let (_, rest) = curve[place.cubic].split(place.t);
    let at_end = rest.start() == rest.end() && place.cubic + 1 < curve.len();
    if at_end { Place { cubic: place.cubic + 1, t: 0.0, ..place } } else { place }
}

/// A place once the curve begins at `first`.
fn behind(place: Place, first: Place) -> Place {
    let same = place.cubic == first.cubic;
    let t = if same { (place.t - first.t) / (1.0 - first.t).max(1e-12) } else { place.t };
    Place { cubic: place.cubic - first.cubic, t: t.min(1.0), ..place }
}

/// A place once the curve ends at `last`.
fn before(place: Place, last: Place) -> Place {
    let t = if place.cubic == last.cubic { (place.t / last.t.max(1e-12)).min(1.0) } else { place.t };
    Place { t, ..place }
}

/// The cubics before and after a place, neither empty. A place at the seam of two cubics splits none.
fn parted(curve: &[Cubic], place: Place) -> (Vec<Cubic>, Vec<Cubic>) {
    let (mut before, mut after) = (curve[..place.cubic].to_vec(), Vec::new());
    let cubic = curve[place.cubic];
    let (first, second) = cubic.split(place.t);
    match (first.start() == first.end(), second.start() == second.end()) {
        (true, _) if !before.is_empty() => after.push(cubic),
        (_, true) if place.cubic + 1 < curve.len() => before.push(cubic),
        _ => {
            before.push(first);
            after.push(second);
        }
    }
    after.extend_from_slice(&curve[place.cubic + 1..]);
    (before, after)
}
