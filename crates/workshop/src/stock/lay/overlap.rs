//! Whether two poses overlap, and how much that weighs.
//!
//! The weight is the proxy of Gardeyn, Vanden Berghe and Wauters (arXiv 2509.13329): over all pairs of circles the depth to
//! which one enters the other times the smaller radius, with a hyperbola where they stand clear, so that it never stops
//! falling as the forms move apart; its root times the mean weight of the two. Whether they overlap at all is settled by
//! the outlines. A touch counts as an overlap: two rings that share an edge would otherwise hide one in the other.

use super::form::{LANES, Pose};
use super::ring::{Spot, inside, turn};

/// Where the hyperbola takes over, as a share of the larger form's extent.
const TAIL: f64 = 0.01;

/// Chords near the other form, kept between calls so that nothing is allocated.
pub(super) type Chords = Vec<[f64; 4]>;

/// The weight of the overlap of two poses; 0 when they stand clear.
pub(super) fn overlap(a: &Pose, b: &Pose, scratch: &mut Chords) -> f64 {
    let tail = TAIL * a.across.max(b.across);
    let (proxy, entered) = proxy(a, b, tail as f32);
    if !entered && !meet(a, b, scratch) {
        return 0.0;
    }
    (f64::from(proxy) + tail * tail).sqrt() * a.weight * b.weight
}

/// The sum over pairs of circles, and whether any pair enters.
fn proxy(a: &Pose, b: &Pose, tail: f32) -> (f32, bool) {
    let ([ax, ay, ar], [bx, by, br]) = (&a.poles, &b.poles);
    let (mut sum, mut deepest) = ([0f32; LANES], [f32::NEG_INFINITY; LANES]);
    let (xs, ys, rs) = (bx.chunks_exact(LANES), by.chunks_exact(LANES), br.chunks_exact(LANES));
    for ((xs, ys), rs) in xs.zip(ys).zip(rs) {
        for i in 0..ax.len() {
            for lane in 0..LANES {
                let (dx, dy) = (xs[lane] - ax[i], ys[lane] - ay[i]);
                let least = rs[lane].min(ar[i]);
                let depth = rs[lane] + ar[i] - (dx * dx + dy * dy).sqrt();
                let clear = tail * tail / (2.0 * tail - depth.min(tail));
                sum[lane] += least * if depth >= tail { depth } else { clear };
                deepest[lane] = deepest[lane].max(if least > 0.0 { depth } else { f32::NEG_INFINITY });
            }
        }
    }
    (sum.iter().sum(), deepest.iter().any(|&depth| depth > 0.0))
}

/// Whether two boxes have a place in common.
pub(super) fn boxes_meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3]
}

fn meet(a: &Pose, b: &Pose, near: &mut Chords) -> bool {
    let (p, q) = (&a.bounds, &b.bounds);
    let window = [p[0].max(q[0]), p[1].max(q[1]), p[2].min(q[2]), p[3].min(q[3])];
    near.clear();
    near.extend(chords(&a.ring, &window));
    if !near.is_empty() && chords(&b.ring, &window).any(|chord| near.iter().any(|other| cross(&chord, other))) {
        return true;
    }
    holds(p, q) && inside(&a.ring, b.ring[0]) || holds(q, p) && inside(&b.ring, a.ring[0])
}

fn holds(outer: &[f64; 4], inner: &[f64; 4]) -> bool {
    outer[0] <= inner[0] && outer[1] <= inner[1] && inner[2] <= outer[2] && inner[3] <= outer[3]
}

fn chords<'a>(ring: &'a [Spot], window: &'a [f64; 4]) -> impl Iterator<Item = [f64; 4]> + 'a {
    let chord = |pair: &[Spot]| [pair[0][0], pair[0][1], pair[1][0], pair[1][1]];
    ring.windows(2).map(chord).filter(|c| {
        c[0].min(c[2]) <= window[2]
            && window[0] <= c[0].max(c[2])
            && c[1].min(c[3]) <= window[3]
            && window[1] <= c[1].max(c[3])
    })
}

fn cross(a: &[f64; 4], b: &[f64; 4]) -> bool {
    let ([p, q], [r, s]) = (ends(a), ends(b));
    let apart = |i: usize| a[i].max(a[i + 2]) < b[i].min(b[i + 2]) || b[i].max(b[i + 2]) < a[i].min(a[i + 2]);
    !apart(0) && !apart(1) && turn(p, q, r) * turn(p, q, s) <= 0.0 && turn(r, s, p) * turn(r, s, q) <= 0.0
}

fn ends(c: &[f64; 4]) -> [Spot; 2] {
    [[c[0], c[1]], [c[2], c[3]]]
}
