//! Slots: lines sawn into a piece from its border, open to the shadow behind.
//!
//! A slot takes its width out of the outline, with a round end. Where its line begins at the border both sides of the slot are let into the
//! ring there; a slot that touches no border is a hole of its own, sawn from a drilled one. A slot that crosses the outline more
//! than once on a side is taken for a hole as well: what stands between is then told as a neck.

use measure::length::Um;
use measure::plane::Point;

use crate::pattern::{Outlines, lies_in};
use crate::work::{AreaId, LineBecomes, LooseLine, Work};

type Ring = Vec<Point>;
type Spot = (f64, f64);

/// Chords that round the end of a slot.
const ROUND: usize = 8;
/// How far a slot's line is led on over the border, in widths of the slot and µm: the line ends on the border as it was drawn,
/// and the border has been smoothed since.
const LED_ON: (f64, f64) = (0.5, 1500.0);

/// The slots of a pattern by the area that they end in.
pub fn slots<'a>(work: &'a Work, outlines: &Outlines) -> Vec<(AreaId, &'a LooseLine)> {
    let sawn =
        work.loose_lines.iter().filter(|line| line.becomes == LineBecomes::Slot && !line.hangs && line.along.len() > 1);
    sawn.filter_map(|line| Some((lies_in(outlines, line.along[0])?, line))).collect()
}

/// An outline with its slots sawn out.
pub fn slotted<'a>(rings: &[Ring], slots: impl Iterator<Item = &'a LooseLine>) -> Vec<Ring> {
    let mut rings = rings.to_vec();
    for slot in slots {
        let (left, right) = sides(slot, LED_ON.0 * f64::from(slot.width.0) + LED_ON.1);
        if let Some((at, ring)) = let_in(&rings, &left, &right) {
            rings[at] = ring;
        } else {
            let (left, right) = sides(slot, 0.0);
            rings.push(left.into_iter().rev().chain(right).collect());
        }
    }
    rings
}

/// How long a slot is.
pub fn length(slot: &LooseLine) -> Um {
    let far = |w: &[Point]| libm::hypot(f64::from(w[1].x - w[0].x), f64::from(w[1].y - w[0].y));
    Um(slot.along.windows(2).map(far).sum::<f64>() as i32)
}

/// Both sides of a slot in to the open end, which the left side ends with a half circle; `on` µm beyond where its line begins.
fn sides(slot: &LooseLine, on: f64) -> (Ring, Ring) {
    let half = f64::from(slot.width.0) / 2.0;
    let mut line: Vec<Spot> = slot.along.iter().rev().map(|p| (f64::from(p.x), f64::from(p.y))).collect();
    line.dedup();
    let way = |a: Spot, b: Spot| {
        let (x, y) = (b.0 - a.0, b.1 - a.1);
        let length = libm::hypot(x, y).max(1e-9);
        (x / length, y / length)
    };
    if line.len() > 1 {
        let back = way(line[1], line[0]);
        line[0] = (line[0].0 + on * back.0, line[0].1 + on * back.1);
    }
    let beside = |k: usize, by: f64| {
        let (before, after) = (line[k.saturating_sub(1)], line[(k + 1).min(line.len() - 1)]);
        let (x, y) = way(before, after);
        place((line[k].0 - by * y, line[k].1 + by * x))
    };
    let mut left: Ring = (0..line.len()).map(|k| beside(k, -half)).collect();
    let right = (0..line.len()).map(|k| beside(k, half)).collect();
    let (end, last) = (line[line.len() - 1], line.len() - 1);
    let (x, y) = way(line[last.saturating_sub(1)], end);
    left.extend((1..ROUND).map(|k| {
        let angle = std::f64::consts::PI * (k as f64 / ROUND as f64 - 0.5);
        let (out, across) = (half * libm::cos(angle), half * libm::sin(angle));
        place((end.0 + out * x - across * y, end.1 + out * y + across * x))
    }));
    (left, right)
}

fn place((x, y): Spot) -> Point {
    Point::new(x.round() as i32, y.round() as i32)
}

/// Where a line crosses a ring: the chord of the line, that of the ring, the place, and the share of the ring's chord.
type Crossing = (usize, usize, Point, f64);

/// The ring that a slot opens, with the slot let in; `None` when both sides do not cross one and the same ring once each.
fn let_in(rings: &[Ring], left: &[Point], right: &[Point]) -> Option<(usize, Ring)> {
    let of = |side: &[Point]| -> Vec<(usize, Crossing)> {
        rings
            .iter()
            .enumerate()
            .flat_map(|(at, ring)| crossings(side, ring).into_iter().map(move |c| (at, c)))
            .collect()
    };
    let (on_left, on_right) = (of(left), of(right));
    let ([(at, l)], [(other, r)]) = (&on_left[..], &on_right[..]) else { return None };
    if at != other {
        return None;
    }
    let ring = &rings[*at];
    let into: Ring = std::iter::once(l.2).chain(left[l.0 + 1..].iter().copied()).collect();
    let out: Ring = right[r.0 + 1..].iter().rev().copied().chain([r.2]).collect();
    // Round from one side of the mouth to the other: the way that leaves the mouth's own bit of border out is the longer.
    let (forth, back) = (between(ring, r, l), between(ring, l, r));
    let slot: Ring = into.into_iter().chain(out).collect();
    let ring = if long(&forth) >= long(&back) {
        forth.into_iter().chain(slot).collect()
    } else {
        back.into_iter().chain(slot.into_iter().rev()).collect()
    };
    Some((*at, ring))
}

fn long(line: &[Point]) -> f64 {
    line.windows(2).map(|w| libm::hypot(f64::from(w[1].x - w[0].x), f64::from(w[1].y - w[0].y))).sum()
}

/// The ring's points after one crossing and before another, with both places at the ends.
fn between(ring: &[Point], from: &Crossing, to: &Crossing) -> Ring {
    let count = ring.len();
    let ahead = from.1 == to.1 && to.3 > from.3;
    let steps = if ahead { 0 } else { (to.1 + count - from.1 - 1) % count + 1 };
    let corners = (1..=steps).map(|k| ring[(from.1 + k) % count]);
    std::iter::once(from.2).chain(corners).chain([to.2]).collect()
}

fn crossings(line: &[Point], ring: &[Point]) -> Vec<Crossing> {
    let chords = |k: usize| (ring[k], ring[(k + 1) % ring.len()]);
    let of_chord = |(i, w): (usize, &[Point])| {
        let (a, b) = (w[0], w[1]);
        (0..ring.len())
            .filter_map(move |k| {
                let (c, d) = chords(k);
                let f = |p: Point, q: Point| (f64::from(q.x) - f64::from(p.x), f64::from(q.y) - f64::from(p.y));
                let cross = |u: Spot, v: Spot| u.0 * v.1 - u.1 * v.0;
                let (u, v, w) = (f(a, b), f(c, d), f(a, c));
                let by = cross(u, v);
                let (s, t) = (cross(w, v) / by, cross(w, u) / by);
                let met = by != 0.0 && (0.0..1.0).contains(&s) && (0.0..1.0).contains(&t);
                met.then(|| (i, k, place((f64::from(a.x) + s * u.0, f64::from(a.y) + s * u.1)), t))
            })
            .collect::<Vec<_>>()
    };
    line.windows(2).enumerate().flat_map(of_chord).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::saw::necks;

    fn p(x: i32, y: i32) -> Point {
        Point::new(x * 1000, y * 1000)
    }

    fn area(rings: &[Ring]) -> f64 {
        let of = |ring: &Ring| {
            let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
            pairs.map(|(a, b)| (f64::from(a.x) * f64::from(b.y) - f64::from(b.x) * f64::from(a.y)) / 2e6).sum::<f64>()
        };
        let all: Vec<f64> = rings.iter().map(of).collect();
        all[0].abs() - all[1..].iter().map(|hole| hole.abs()).sum::<f64>()
    }

    fn slot(along: &[Point]) -> LooseLine {
        LooseLine {
            along: along.to_vec(),
            both: false,
            hangs: false,
            writing: false,
            width: Um(1000),
            becomes: LineBecomes::Slot,
        }
    }

    fn square() -> Vec<Ring> {
        vec![vec![p(0, 0), p(40, 0), p(40, 40), p(0, 40)]]
    }

    /// A slot of 1 mm, 20 mm in from the edge: 20 mm² and half a circle of 1 mm go.
    #[test]
    fn a_slot_takes_its_width_out_and_the_outline_stays_one_ring() {
        let gone = 20.0 + std::f64::consts::PI / 8.0;
        for along in [[p(20, 20), p(20, 0)], [p(20, 20), p(0, 20)], [p(20, 20), p(20, 40)], [p(20, 20), p(40, 20)]] {
            for turned in [false, true] {
                let mut rings = square();
                if turned {
                    rings[0].reverse();
                }
                let sawn = slotted(&rings, [slot(&along)].iter());
                assert_eq!(sawn.len(), 1);
                assert!((1600.0 - area(&sawn) - gone).abs() < 0.02, "{along:?}: {}", 1600.0 - area(&sawn));
            }
        }
    }

    #[test]
    fn a_slot_that_touches_no_border_is_a_hole() {
        let sawn = slotted(&square(), [slot(&[p(20, 30), p(20, 10)])].iter());
        assert_eq!(sawn.len(), 2);
    }

    /// 3 mm of wood are left between the slot's end and the far edge: half a millimetre of it goes with the round end.
    #[test]
    fn what_a_slot_leaves_to_the_far_border_is_a_neck() {
        let narrow = |end: i32| {
            let sawn = slotted(&square(), [slot(&[p(20, end), p(20, 0)])].iter());
            necks(&sawn, 8_000.0).iter().map(|neck| neck.width).fold(f64::INFINITY, f64::min)
        };
        assert!((narrow(37) - 2_500.0).abs() < 20.0, "{}", narrow(37));
        assert_eq!(narrow(20), f64::INFINITY);
    }
}
