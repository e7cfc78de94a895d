//! Necks: where a piece is narrower than on both sides of the place.
//!
//! A neck is a saddle of the distance to the outline. Such a place is the middle of two points of the outline that stand
//! opposite each other with nothing of the outline in the circle over them: an edge of the Gabriel graph (Gabriel and
//! Sokal 1969), a critical point of the distance function (Giesen and John 2008, "The flow complex"). On a polygon one of
//! the two is a corner, so looking at every corner against every chord nearby finds them all, without a raster and without
//! pruning a skeleton. Wobbles of the line make many such pairs; the narrowest comes first, and a pair is a neck when what
//! lies on either side of it, up to the necks found before, holds a circle clearly wider than it.
//!
//! Where it says little: along a strip of even width every place is as narrow as the next, and none is named.

use measure::plane::{Point, inside_rings};

use crate::pattern::widest_circle;

/// A side counts when it holds a circle this many times as wide as the neck: less is a wobble of the line.
const WIDER: f64 = 1.25;
/// Outline within this of the circle's rim is on the rim: points lie on whole µm.
const RIM_UM: f64 = 1.5;

type Ring = Vec<Point>;
type Vector = (f64, f64);

/// A narrow place of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neck {
    /// The two points of the outline that stand opposite each other.
    pub ends: (Point, Point),
    /// How far apart they are, µm.
    pub width: f64,
}

impl Neck {
    /// The middle.
    pub fn middle(&self) -> Point {
        let (a, b) = self.ends;
        Point::new((a.x + b.x) / 2, (a.y + b.y) / 2)
    }
}

/// The necks of an outline (outer ring first, then holes) up to `most` µm wide, the narrowest first.
pub fn necks(rings: &[Ring], most: f64) -> Vec<Neck> {
    let mut parts = vec![rings.to_vec()];
    let mut found = Vec::new();
    for neck in opposite(rings, most) {
        let middle = neck.middle();
        let Some(at) = parts.iter().position(|part| holds(part, middle)) else { continue };
        let Some(cut) = cut(&parts[at], neck) else { continue };
        if cut.iter().all(|side| 2.0 * widest_circle(side).radius >= WIDER * neck.width) {
            parts.splice(at..=at, cut);
            found.push(neck);
        }
    }
    found
}

/// Every pair of opposite points up to `most` apart, the nearest pair first.
fn opposite(rings: &[Ring], most: f64) -> Vec<Neck> {
    let near = Near::new(rings, most);
    let mut pairs: Vec<Neck> = rings.iter().flat_map(|ring| near.across_all(ring, most)).collect();
    pairs.retain(|pair| near.is_clear(pair) && holds(rings, pair.middle()));
    let order = |pair: &Neck| (pair.ends.0.min(pair.ends.1), pair.ends.0.max(pair.ends.1));
    pairs.sort_by(|a, b| a.width.total_cmp(&b.width).then_with(|| order(a).cmp(&order(b))));
    pairs.dedup_by_key(|pair| order(pair));
    pairs
}

fn holds(rings: &[Ring], point: Point) -> bool {
    inside_rings(rings.iter().map(Vec::as_slice), point)
}

/// The chords of an outline by where they lie.
pub(super) struct Near {
    chords: Vec<(Point, Point)>,
    cells: Vec<Vec<u32>>,
    from: Point,
    side: i64,
    across: i64,
}

impl Near {
    /// To find chords up to `most` away.
    pub(super) fn new(rings: &[Ring], most: f64) -> Near {
        let chords: Vec<(Point, Point)> = rings
            .iter()
            .flat_map(|ring| ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)))
            .filter(|(a, b)| a != b)
            .collect();
        let least = |of: fn(&Point) -> i32| chords.iter().map(|(a, _)| of(a)).min().unwrap_or(0);
        let most_of = |of: fn(&Point) -> i32| chords.iter().map(|(a, _)| of(a)).max().unwrap_or(0);
        let from = Point::new(least(|p| p.x), least(|p| p.y));
        let to = Point::new(most_of(|p| p.x), most_of(|p| p.y));
        let side = (most as i64).max(500);
        let steps = |from: i32, to: i32| (i64::from(to) - i64::from(from)) / side + 1;
        let (across, down) = (steps(from.x, to.x), steps(from.y, to.y));
        let mut near = Near { cells: vec![Vec::new(); (across * down) as usize], chords, from, side, across };
        for at in 0..near.chords.len() {
            let (a, b) = near.chords[at];
            let low = Point::new(a.x.min(b.x), a.y.min(b.y));
            let high = Point::new(a.x.max(b.x), a.y.max(b.y));
            for cell in near.cells_between(low, high) {
                near.cells[cell].push(at as u32);
            }
        }
        near
    }

    /// Cells of the box, kept within the outline's own.
    fn cells_between(&self, low: Point, high: Point) -> Vec<usize> {
        let down = self.cells.len() as i64 / self.across;
        let column = |x: i32| ((i64::from(x) - i64::from(self.from.x)).div_euclid(self.side)).clamp(0, self.across - 1);
        let row = |y: i32| ((i64::from(y) - i64::from(self.from.y)).div_euclid(self.side)).clamp(0, down - 1);
        let columns = column(low.x)..=column(high.x);
        (row(low.y)..=row(high.y)).flat_map(|r| columns.clone().map(move |c| (r * self.across + c) as usize)).collect()
    }

    /// Chords with a cell within `reach` of `at`, as they are counted along the rings; one that lies in several comes as often.
    pub(super) fn around_at(&self, at: Point, reach: f64) -> impl Iterator<Item = usize> + '_ {
        let reach = reach.ceil() as i32;
        let (low, high) = (Point::new(at.x - reach, at.y - reach), Point::new(at.x + reach, at.y + reach));
        let cells = self.cells_between(low, high).into_iter();
        cells.flat_map(|cell| self.cells[cell].iter().map(|i| *i as usize))
    }

    fn around(&self, at: Point, reach: f64) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.around_at(at, reach).map(|at| self.chords[at])
    }

    /// The ends of a chord.
    pub(super) fn chord(&self, at: usize) -> (Vector, Vector) {
        let (a, b) = self.chords[at];
        (floating(a), floating(b))
    }

    /// Every corner of a ring against the chords nearby. A pair whose circle holds a corner's own neighbour is left out
    /// at once: most of them.
    fn across_all(&self, ring: &Ring, most: f64) -> Vec<Neck> {
        let n = ring.len();
        let of = |at: usize| {
            let beside = [ring[(at + n - 1) % n], ring[(at + 1) % n]].map(floating);
            self.across(ring[at], most)
                .into_iter()
                .filter(move |pair| beside.iter().all(|point| !holds_inside(pair, *point)))
        };
        (0..n).flat_map(of).collect()
    }

    /// The corner against the nearest point of each chord nearby.
    fn across(&self, corner: Point, most: f64) -> Vec<Neck> {
        let pairs = self.around(corner, most).filter(|(a, b)| *a != corner && *b != corner);
        let to_foot = pairs.map(|chord| {
            let foot = foot(chord, floating(corner));
            Neck { ends: (corner, rounded(foot)), width: length(minus(foot, floating(corner))) }
        });
        to_foot.filter(|pair| pair.width > 2.0 * RIM_UM && pair.width <= most).collect()
    }

    /// Whether nothing of the outline lies in the circle over the pair.
    fn is_clear(&self, pair: &Neck) -> bool {
        let (a, b) = (floating(pair.ends.0), floating(pair.ends.1));
        let (middle, radius) = (((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0), length(minus(a, b)) / 2.0);
        let clear = |chord: (Point, Point)| length(minus(foot(chord, middle), middle)) >= radius - RIM_UM;
        self.around(pair.middle(), radius).all(clear)
    }
}

/// Whether a point lies in the circle over a pair, and not on its rim.
fn holds_inside(pair: &Neck, point: Vector) -> bool {
    let (a, b) = (floating(pair.ends.0), floating(pair.ends.1));
    let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
    length(minus(point, middle)) < length(minus(a, b)) / 2.0 - RIM_UM
}

/// The outline sawn through at the neck: two outlines, or one where the neck joins a hole to another ring.
fn cut(rings: &[Ring], neck: Neck) -> Option<Vec<Vec<Ring>>> {
    let mut rings = rings.to_vec();
    let (one, _) = put_on(&mut rings, neck.ends.0)?;
    let (other, to) = put_on(&mut rings, neck.ends.1)?;
    let from = rings[one].iter().position(|point| *point == neck.ends.0)?;
    if one != other {
        let hole = rings[other].clone();
        let (ring, hole_from) = (&mut rings[one], to);
        let way_round = hole[hole_from..].iter().chain(&hole[..=hole_from]).copied();
        let joined: Ring = ring[..=from].iter().copied().chain(way_round).chain(ring[from..].iter().copied()).collect();
        *ring = joined;
        rings.remove(other);
        // The outer ring stays first: of two holes joined, either place will do.
        let outer = if one.min(other) == 0 { one - usize::from(other < one) } else { 0 };
        rings.swap(0, outer);
        return Some(vec![rings]);
    }
    let (low, high) = (from.min(to), from.max(to));
    let ring = &rings[one];
    let first: Ring = ring[low..=high].to_vec();
    let second: Ring = ring[high..].iter().chain(&ring[..=low]).copied().collect();
    if first.len() < 3 || second.len() < 3 {
        return None;
    }
    let rest: Vec<&Ring> = rings.iter().enumerate().filter(|(at, _)| *at != one).map(|(_, ring)| ring).collect();
    Some(if one == 0 { shared_out([first, second], &rest) } else { nested([first, second], &rest) })
}

/// The outer ring was cut in two; each hole lies in one half.
fn shared_out(halves: [Ring; 2], holes: &[&Ring]) -> Vec<Vec<Ring>> {
    let lies_in = |hole: &Ring, half: &Ring| inside_rings([half.as_slice()], hole[0]);
    let with_holes = |half: Ring, other: &Ring| {
        let own = holes.iter().filter(|hole| lies_in(hole, &half) && !lies_in(hole, other));
        std::iter::once(half.clone()).chain(own.map(|hole| (*hole).clone())).collect()
    };
    let [first, second] = halves;
    vec![with_holes(first.clone(), &second), with_holes(second, &first)]
}

/// A hole was cut in two by a neck across it from outside: one half becomes an outline of its own inside the other.
fn nested(halves: [Ring; 2], rest: &[&Ring]) -> Vec<Vec<Ring>> {
    let [first, second] = halves;
    let (outer, inner) = if inside_rings([first.as_slice()], second[1]) { (first, second) } else { (second, first) };
    let whole = rest.iter().map(|ring| (*ring).clone()).chain([outer]).collect();
    vec![whole, vec![inner]]
}

/// Makes `point` a corner of the ring that it lies on; the ring and its place there.
fn put_on(rings: &mut [Ring], point: Point) -> Option<(usize, usize)> {
    for (at, ring) in rings.iter_mut().enumerate() {
        if let Some(place) = ring.iter().position(|corner| *corner == point) {
            return Some((at, place));
        }
        let lies_on = |i: usize| {
            let chord = (ring[i], ring[(i + 1) % ring.len()]);
            length(minus(foot(chord, floating(point)), floating(point))) <= RIM_UM
        };
        if let Some(before) = (0..ring.len()).find(|i| lies_on(*i)) {
            ring.insert(before + 1, point);
            return Some((at, before + 1));
        }
    }
    None
}

fn floating(point: Point) -> Vector {
    (f64::from(point.x), f64::from(point.y))
}

fn rounded((x, y): Vector) -> Point {
    Point::new(x.round() as i32, y.round() as i32)
}

fn minus(a: Vector, b: Vector) -> Vector {
    (a.0 - b.0, a.1 - b.1)
}

fn length((x, y): Vector) -> f64 {
    (x * x + y * y).sqrt()
}

/// The point of the chord nearest to `from`.
fn foot((a, b): (Point, Point), from: Vector) -> Vector {
    let (a, b) = (floating(a), floating(b));
    let along = minus(b, a);
    let square = along.0 * along.0 + along.1 * along.1;
    let towards = minus(from, a);
    let t = ((towards.0 * along.0 + towards.1 * along.1) / square).clamp(0.0, 1.0);
    (a.0 + t * along.0, a.1 + t * along.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(i32, i32)]) -> Ring {
        points.iter().map(|&(x, y)| Point::new(x * 1000, y * 1000)).collect()
    }

    /// Two squares of 20 mm joined by a bridge.
    fn dumb_bell(bridge: (i32, i32)) -> Ring {
        let (top, low) = bridge;
        let points = [
            (0, 0),
            (20, 0),
            (20, top),
            (30, top),
            (30, 0),
            (50, 0),
            (50, 20),
            (30, 20),
            (30, low),
            (20, low),
            (20, 20),
            (0, 20),
        ];
        ring(&points)
    }

    #[test]
    fn a_bridge_is_one_neck_of_its_width() {
        let found = necks(&[dumb_bell((8, 11))], 8000.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].width - 3000.0).abs() < 2.0);
        assert!((20_000..=30_000).contains(&found[0].middle().x));
    }

    #[test]
    fn strips_squares_and_tips_have_none() {
        for shape in [
            ring(&[(0, 0), (80, 0), (80, 4), (0, 4)]),
            ring(&[(0, 0), (20, 0), (20, 20), (0, 20)]),
            ring(&[(0, 0), (60, 6), (0, 12)]),
        ] {
            assert_eq!(necks(std::slice::from_ref(&shape), 20_000.0), [], "{shape:?}");
        }
    }

    #[test]
    fn a_hole_near_the_rim_leaves_a_thin_wall() {
        let outer = ring(&[(0, 0), (40, 0), (40, 40), (0, 40)]);
        let mut hole = ring(&[(2, 15), (12, 15), (12, 25), (2, 25)]);
        hole.reverse();
        let found = necks(&[outer, hole], 5000.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].width - 2000.0).abs() < 2.0, "{found:?}");
    }

    #[test]
    fn three_beads_have_two_necks() {
        let upper = [(0, 4), (4, 0), (12, 0), (16, 6), (20, 0), (28, 0), (32, 5), (36, 0), (44, 0), (48, 4)];
        let mirrored = upper.iter().rev().map(|&(x, y)| (x, 16 - y));
        let found = necks(&[ring(&upper.iter().copied().chain(mirrored).collect::<Vec<_>>())], 8000.0);
        let widths: Vec<i32> = found.iter().map(|neck| neck.width.round() as i32).collect();
        assert_eq!(widths, [4000, 6000], "{found:?}");
    }

    #[test]
    fn two_necks_of_one_outline_are_both_told() {
        let half = [
            (10_000, 20_000),
            (30_000, 20_000),
            (30_000, 29_250),
            (33_000, 29_250),
            (33_000, 20_000),
            (53_000, 20_000),
        ];
        let rest = [(53_000, 29_500), (56_000, 29_500), (56_000, 20_000), (76_000, 20_000)];
        let upper: Vec<(i32, i32)> = half.into_iter().chain(rest).collect();
        let mirrored = upper.iter().rev().map(|&(x, y)| (x, 60_000 - y));
        let outline: Ring = upper.iter().copied().chain(mirrored).map(|(x, y)| Point::new(x, y)).collect();
        let widths: Vec<i32> = necks(&[outline], 4000.0).iter().map(|neck| neck.width.round() as i32).collect();
        assert_eq!(widths, [1000, 1500]);
    }
}
