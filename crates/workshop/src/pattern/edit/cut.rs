//! Places on borders, where a drawn line crosses them, and new junctions there.
//!
//! A border is parted by splitting one of its cubics at a parameter; the halves are snapped to whole µm, so that the
//! neighbours' line moves by less than 2 µm.

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
    /// The junctions of both ends, made where they are not there yet.
    pub(super) fn junctions(&mut self, ends: [End; 2]) -> [JunctionId; 2] {
        match ends {
            [End::New(one), End::New(two)] if one.border == two.border => self.two_on_one(one, two),
            _ => ends.map(|end| match end {
                End::There(id) => id,
                End::New(place) => self.insert(place),
            }),
        }
    }

    /// Two junctions on one border: the second place moves with the part of the border that it comes to lie on.
    fn two_on_one(&mut self, one: Place, two: Place) -> [JunctionId; 2] {
        let swapped = (two.cubic, two.t) < (one.cubic, one.t);
        let (low, high) = if swapped { (two, one) } else { (one, two) };
        let same = low.cubic == high.cubic;
        let [low, high] = if matches!(self.pattern.borders[&low.border].ends, Ends::Ring(_)) {
            let begin = self.insert(low);
            let t = if same { (high.t - low.t) / (1.0 - low.t) } else { high.t };
            [begin, self.insert(Place { cubic: high.cubic - low.cubic, t, ..high })]
        } else {
            let second = self.insert(high);
            let t = if same { low.t / high.t } else { low.t };
            [self.insert(Place { t, ..low }), second]
        };
        if swapped { [high, low] } else { [low, high] }
    }

    /// Parts a border. A ring becomes a border from the new junction to itself; of two parts the first keeps the id.
    fn insert(&mut self, place: Place) -> JunctionId {
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
