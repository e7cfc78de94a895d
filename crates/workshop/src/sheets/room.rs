//! Finding room for a box inside an outline.
//!
//! A box fits where no side of the outline and of what is already placed enters it, it lies in the window, and its centre
//! is inside by the even-odd rule. Places are tried on a grid, nearest to the widest place first: not the largest box that
//! could be found, but one beside the widest place. Turned boxes are tried by turning the outline.

use super::paper::{Rect, Spot};
use measure::plane::thinned;

/// Grid steps across the longer side of an outline. More find tighter seats and cost time as the square.
const STEPS: f64 = 26.0;
/// The finest step, mm: under it a number's place no longer looks different.
const LEAST_STEP_MM: f64 = 0.7;

/// How far a thinned outline may leave the true one, mm: half a saw line's breadth on the page, a sixth of the least white
/// around a word.
pub(super) const OFF_MM: f64 = 0.06;

/// Four corners in order.
pub(super) type Quad = [Spot; 4];

/// An outline on the page, and what is taken in it.
pub(super) struct Room {
    rings: Vec<Vec<Spot>>,
    window: Quad,
    taken: Vec<Quad>,
    bounds: Rect,
    /// No circle inside is larger, mm.
    widest: f64,
}

impl Room {
    /// `rings` in page mm, thinned, seen through `window`. `None` when nothing of it is seen.
    pub fn new(rings: Vec<Vec<Spot>>, window: Rect) -> Option<Room> {
        let bounds = Rect::bounding(rings.first()?.iter().copied())?;
        bounds.meets(window).then(|| Room {
            rings: rings.iter().map(|ring| thinned(ring, OFF_MM)).collect(),
            window: window.corners(),
            taken: Vec::new(),
            bounds,
            widest: f64::MAX,
        })
    }

    /// The same room, known to hold no circle of more than `radius` mm: boxes that need one are not tried.
    pub fn no_wider(self, radius: f64) -> Room {
        Room { widest: radius, ..self }
    }

    /// Nothing else may be placed over this.
    pub fn take(&mut self, quad: Quad) {
        self.taken.push(quad);
    }

    /// The place farthest from the outline on a grid of `ACROSS` steps a side, and how far.
    pub fn widest(&self) -> (Spot, f64) {
        const ACROSS: i32 = 24;
        let b = self.bounds;
        let share = |i: i32| (f64::from(i) + 0.5) / f64::from(ACROSS);
        let places = (0..ACROSS).flat_map(|i| (0..ACROSS).map(move |j| (b.x + b.w * share(i), b.y + b.h * share(j))));
        let far = places.filter(|&at| self.holds(at)).map(|at| (at, self.clear(at)));
        far.fold((b.centre(), 0.0), |best, next| if next.1 > best.1 { next } else { best })
    }

    /// From a place to the outline.
    fn clear(&self, at: Spot) -> f64 {
        let sides = self.rings.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
        sides.map(|(a, b)| from_segment((*a, *b), at)).fold(f64::MAX, f64::min)
    }

    /// The nearest place to `focus` for an upright box of `w` × `h`: its centre.
    pub fn seat(&self, (w, h): (f64, f64), focus: Spot) -> Option<Spot> {
        // A thousandth more, for the place of the widest circle is found to a micrometre only.
        if w.min(h) / 2.0 > self.widest * 1.001 || w > self.bounds.w || h > self.bounds.h {
            return None;
        }
        if self.fits(Rect::around(focus, w, h)) {
            return Some(focus);
        }
        let mut places = self.grid(focus);
        places.sort_by(|a, b| distance(*a, focus).total_cmp(&distance(*b, focus)));
        places.into_iter().find(|&at| self.fits(Rect::around(at, w, h)))
    }

    /// The same room turned by `turn` (cosine, sine) around the page's corner.
    pub fn turned(&self, turn: Spot) -> Room {
        let spin = |points: &Vec<Spot>| points.iter().map(|&p| rotate(p, turn)).collect::<Vec<_>>();
        let quad = |quad: &Quad| quad.map(|p| rotate(p, turn));
        let rings: Vec<Vec<Spot>> = self.rings.iter().map(spin).collect();
        let bounds = Rect::bounding(rings[0].iter().copied()).expect("a ring has points");
        Room {
            rings,
            window: quad(&self.window),
            taken: self.taken.iter().map(quad).collect(),
            bounds,
            widest: self.widest,
        }
    }

    pub fn fits(&self, rect: Rect) -> bool {
        let sides = |ring: &[Spot]| ring.iter().zip(ring.iter().cycle().skip(1)).any(|(a, b)| enters(rect, *a, *b));
        rect.corners().iter().all(|&corner| inside(&self.window, corner))
            && !self.rings.iter().any(|ring| sides(ring))
            && !self.taken.iter().any(|quad| sides(quad) || inside(quad, rect.centre()))
            && self.holds(rect.centre())
    }

    /// Whether a point is inside, holes excepted.
    pub fn holds(&self, at: Spot) -> bool {
        self.rings.iter().filter(|ring| inside(ring, at)).count() % 2 == 1
    }

    fn grid(&self, focus: Spot) -> Vec<Spot> {
        let step = (self.bounds.w.max(self.bounds.h) / STEPS).max(LEAST_STEP_MM);
        let steps = |from: f64, to: f64, through: f64| {
            let (low, high) = (((from - through) / step).ceil() as i32, ((to - through) / step).floor() as i32);
            (low..=high).map(move |i| through + f64::from(i) * step)
        };
        let b = self.bounds;
        steps(b.y, b.bottom(), focus.1).flat_map(|y| steps(b.x, b.right(), focus.0).map(move |x| (x, y))).collect()
    }
}

/// Turns a point by (cosine, sine).
pub(super) fn rotate((x, y): Spot, (c, s): Spot) -> Spot {
    (x * c - y * s, x * s + y * c)
}

pub(super) fn distance(a: Spot, b: Spot) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

/// Whether a point lies inside a ring, by the even-odd rule.
pub(super) fn inside(ring: &[Spot], (x, y): Spot) -> bool {
    let mut odd = false;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        if (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            odd = !odd;
        }
    }
    odd
}

/// Whether a segment has a point in a rectangle (Liang and Barsky 1984).
pub(super) fn enters(rect: Rect, a: Spot, b: Spot) -> bool {
    // Most segments lie wholly to one side: that is seen without a division.
    let beside = |low: f64, high: f64, a: f64, b: f64| (a < low && b < low) || (a > high && b > high);
    if beside(rect.x, rect.right(), a.0, b.0) || beside(rect.y, rect.bottom(), a.1, b.1) {
        return false;
    }
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let sides = [(-dx, a.0 - rect.x), (dx, rect.right() - a.0), (-dy, a.1 - rect.y), (dy, rect.bottom() - a.1)];
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (p, q) in sides {
        if p == 0.0 {
            if q < 0.0 {
                return false;
            }
        } else if p < 0.0 {
            from = from.max(q / p);
        } else {
            to = to.min(q / p);
        }
    }
    from <= to
}

/// From a place to a segment.
pub(super) fn from_segment((a, b): (Spot, Spot), at: Spot) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((at.0 - a.0) * dx + (at.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-12);
    let t = along.clamp(0.0, 1.0);
    distance((a.0 + t * dx, a.1 + t * dy), at)
}

/// What a window shows of a ring (Sutherland and Hodgman 1974). Parts may stay joined along the window's sides, which
/// the even-odd rule does not see.
pub(super) fn clipped(ring: &[Spot], window: Rect) -> Vec<Spot> {
    let sides: [(f64, f64, f64); 4] =
        [(1.0, 0.0, -window.x), (-1.0, 0.0, window.right()), (0.0, 1.0, -window.y), (0.0, -1.0, window.bottom())];
    let mut kept = ring.to_vec();
    for (nx, ny, off) in sides {
        let depth = |p: Spot| nx * p.0 + ny * p.1 + off;
        let mut next = Vec::with_capacity(kept.len());
        for (a, b) in kept.iter().zip(kept.iter().cycle().skip(1)) {
            let (da, db) = (depth(*a), depth(*b));
            if da >= 0.0 {
                next.push(*a);
            }
            if (da >= 0.0) != (db >= 0.0) {
                let t = da / (da - db);
                next.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
            }
        }
        kept = next;
    }
    kept
}

/// Whether two segments cross.
pub(super) fn cross(a: (Spot, Spot), b: (Spot, Spot)) -> bool {
    let side = |(p, q): (Spot, Spot), r: Spot| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b.0) * side(a, b.1) < 0.0 && side(b, a.0) * side(b, a.1) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ell() -> Room {
        let ring = vec![(0.0, 0.0), (30.0, 0.0), (30.0, 6.0), (6.0, 6.0), (6.0, 30.0), (0.0, 30.0)];
        Room::new(vec![ring], Rect::new(0.0, 0.0, 100.0, 100.0)).unwrap()
    }

    #[test]
    fn a_box_is_seated_wholly_inside() {
        let room = ell();
        let at = room.seat((12.0, 4.0), (3.0, 20.0)).unwrap();
        assert!(at.1 < 6.0, "only the arm has room: {at:?}");
        assert!(room.fits(Rect::around(at, 12.0, 4.0)));
        assert!(room.seat((12.0, 7.0), (3.0, 3.0)).is_none());
    }

    #[test]
    fn what_is_taken_and_what_is_not_seen_stay_free() {
        let mut room = ell();
        room.take(Rect::new(5.0, 0.0, 25.0, 6.0).corners());
        assert!(room.seat((12.0, 4.0), (15.0, 3.0)).is_none());
        let ring = vec![(0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0)];
        let room = Room::new(vec![ring], Rect::new(0.0, 0.0, 10.0, 100.0)).unwrap();
        let at = room.seat((6.0, 3.0), (15.0, 15.0)).unwrap();
        assert!(at.0 + 3.0 <= 10.0);
    }

    #[test]
    fn a_hole_is_not_inside() {
        let outer = vec![(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)];
        let hole = vec![(5.0, 5.0), (15.0, 5.0), (15.0, 15.0), (5.0, 15.0)];
        let room = Room::new(vec![outer, hole], Rect::new(0.0, 0.0, 50.0, 50.0)).unwrap();
        assert!(room.seat((6.0, 6.0), (10.0, 10.0)).is_none());
        assert!(room.seat((3.0, 3.0), (10.0, 10.0)).is_some());
    }
}
