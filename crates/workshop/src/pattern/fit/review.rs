//! Corners looked at again on the drawn curve: where a curve bends tighter than a saw line may, the line has a corner that
//! was missed; where a corner hardly turns, it is none.
//!
//! Weak at hooks shorter than a few cracks: there a corner is set, not a shape.

use kurbo::Vec2;
use measure::plane::Cubic;

use super::cubics::unit;

/// A curve bends no tighter than this outside corners, µm.
const LEAST_RADIUS_UM: f64 = 600.0;
/// What turns less than this within twice the least radius is no corner: 30°.
const CORNER_TURN: f64 = 0.524;
/// A corner that turns less than this is none: 25°.
const LEAST_TURN: f64 = 0.436;
/// Less than this is no turn that a joint has: 1°.
const SMOOTH_TURN: f64 = 0.0175;
/// A corner nearer to another than this would be the same one, µm.
const APART_UM: f64 = 300.0;
/// Samples of a cubic.
const STEPS: usize = 24;

/// A chain's corners as they stand after a look at its curve; `None` when they stay. `middles` are its crack midpoints; the
/// last cubic of a `ring` joins its first; corners in `barred` are not set again.
pub fn corners_again(
    (curve, ring): (&[Cubic], bool),
    middles: &[Vec2],
    corners: &[usize],
    barred: &mut Vec<usize>,
) -> Option<Vec<usize>> {
    let nearest = |place: Vec2| {
        let far = |i: &usize| (middles[*i] - place).hypot2();
        (0..middles.len()).min_by(|a, b| far(a).total_cmp(&far(b)))
    };
    let mut found = corners.to_vec();
    let seam = ring.then(|| [curve[curve.len() - 1], curve[0]]);
    for [before, after] in curve.windows(2).map(|w| [w[0], w[1]]).chain(seam) {
        let turn = turn(leaving(&before.reversed()).map(|v| -v), leaving(&after)).abs();
        if (SMOOTH_TURN..LEAST_TURN).contains(&turn) {
            let far = |i: &usize| (middles[*i] - float(&after, 0)).hypot2();
            if let Some(none) = found.iter().copied().min_by(|a, b| far(a).total_cmp(&far(b))) {
                found.retain(|corner| *corner != none);
                barred.push(none);
            }
        }
    }
    let walked = walk(curve);
    for at in tight(&walked) {
        let missed = nearest(walked[at]).filter(|i| !barred.contains(i));
        let apart = |i: &usize| found.iter().all(|c| (middles[*c] - middles[*i]).hypot2() > APART_UM * APART_UM);
        if let Some(missed) = missed.filter(apart)
            && turned(&walked, at).abs() >= CORNER_TURN
        {
            found.push(missed);
        }
    }
    found.sort_unstable();
    (found != corners).then_some(found)
}

/// Points along a curve, evenly in the parameter of each cubic.
fn walk(curve: &[Cubic]) -> Vec<Vec2> {
    let place = |cubic: &Cubic, step: usize| {
        let c: [Vec2; 4] = std::array::from_fn(|i| float(cubic, i));
        super::cubics::point(&c, step as f64 / STEPS as f64)
    };
    let end = curve.last().map(|cubic| float(cubic, 3));
    curve.iter().flat_map(|cubic| (0..STEPS).map(move |step| place(cubic, step))).chain(end).collect()
}

fn float(cubic: &Cubic, at: usize) -> Vec2 {
    Vec2::new(f64::from(cubic.0[at].x), f64::from(cubic.0[at].y))
}

/// The direction in which a cubic leaves its start.
fn leaving(cubic: &Cubic) -> Option<Vec2> {
    (1..4).find_map(|i| unit(float(cubic, i) - float(cubic, 0)))
}

fn turn(before: Option<Vec2>, after: Option<Vec2>) -> f64 {
    before.zip(after).map_or(0.0, |(before, after)| libm::atan2(before.cross(after), before.dot(after)))
}

/// The tightest point of each run of points that bend tighter than the least radius.
fn tight(walked: &[Vec2]) -> Vec<usize> {
    let radius = |i: usize| {
        let (a, b) = (walked[i] - walked[i - 1], walked[i + 1] - walked[i]);
        let length = 0.5 * (a.hypot2().sqrt() + b.hypot2().sqrt());
        length / turn(unit(a), unit(b)).abs().max(1e-9)
    };
    let mut found: Vec<(usize, usize, f64)> = Vec::new();
    for i in 1..walked.len().saturating_sub(1) {
        let here = radius(i);
        match found.last_mut() {
            _ if here >= LEAST_RADIUS_UM => {}
            Some((last, at, least)) if *last + 1 == i => {
                *last = i;
                if here < *least {
                    (*at, *least) = (i, here);
                }
            }
            _ => found.push((i, i, here)),
        }
    }
    found.into_iter().map(|(_, at, _)| at).collect()
}

/// How far the curve turns from the least radius before a point to the least radius after it.
fn turned(walked: &[Vec2], at: usize) -> f64 {
    let reach = |ways: &mut dyn Iterator<Item = usize>| {
        let mut far = 0.0;
        let (mut here, mut way) = (walked[at], None);
        for i in ways {
            let step = walked[i] - here;
            far += step.hypot2().sqrt();
            (here, way) = (walked[i], unit(step).or(way));
            if far >= LEAST_RADIUS_UM {
                break;
            }
        }
        way
    };
    let (after, before) = (reach(&mut (at + 1..walked.len())), reach(&mut (0..at).rev()));
    turn(before.map(|way| -way), after)
}

#[cfg(test)]
mod tests {
    use measure::plane::Point;

    use super::*;

    /// Crack midpoints half a millimetre apart along a line that turns by `degrees` at its middle, the 20th.
    fn fold(degrees: f64) -> Vec<Vec2> {
        let (sin, cos) = libm::sincos(degrees.to_radians());
        let place = |i: i32| {
            let far = f64::from(i - 20) * 500.0;
            let way = if i < 20 { Vec2::new(1.0, 0.0) } else { Vec2::new(cos, sin) };
            Vec2::new(20_000.0, 20_000.0) + way * far
        };
        (0..=40).map(place).collect()
    }

    fn cubic(points: [Vec2; 4]) -> Cubic {
        Cubic(points.map(|p| Point::new(p.x.round() as i32, p.y.round() as i32)))
    }

    /// The fold as one cubic on each side, rounded with handles of `round` µm between.
    fn rounded(middles: &[Vec2], round: f64) -> Vec<Cubic> {
        let (before, after) = (unit(middles[20] - middles[0]).unwrap(), unit(middles[40] - middles[20]).unwrap());
        let (from, to) = (middles[20] - before * round, middles[20] + after * round);
        let straight = |a: Vec2, b: Vec2| cubic([a, a + (b - a) / 3.0, b - (b - a) / 3.0, b]);
        let bend = cubic([from, middles[20] - before * (0.4 * round), middles[20] + after * (0.4 * round), to]);
        vec![straight(middles[0], from), bend, straight(to, middles[40])]
    }

    #[test]
    fn a_bend_that_no_blade_follows_becomes_a_corner() {
        for degrees in [40.0, 70.0, -120.0] {
            let middles = fold(degrees);
            let looked = |round: f64, barred: &mut Vec<usize>| {
                corners_again((&rounded(&middles, round), false), &middles, &[], barred)
            };
            assert_eq!(looked(200.0, &mut Vec::new()), Some(vec![20]), "{degrees}");
            assert_eq!(looked(6000.0, &mut Vec::new()), None, "{degrees}");
            assert_eq!(looked(200.0, &mut vec![20]), None, "{degrees}");
        }
        let middles = fold(12.0);
        assert_eq!(corners_again((&rounded(&middles, 100.0), false), &middles, &[], &mut Vec::new()), None);
    }

    #[test]
    fn a_corner_that_hardly_turns_is_none() {
        for (degrees, stays) in [(10.0, false), (24.0, false), (26.0, true), (80.0, true)] {
            let middles = fold(degrees);
            let [before, _, after] = rounded(&middles, 0.0).try_into().unwrap();
            let mut barred = Vec::new();
            let again = corners_again((&[before, after], false), &middles, &[20], &mut barred);
            assert_eq!(again, (!stays).then(Vec::new), "{degrees}");
            assert_eq!(barred.is_empty(), stays);
            // A ring may begin at its one corner: that is where its last cubic joins its first.
            let home = cubic([middles[40], middles[40], middles[0], middles[0]]);
            let ring = [after, home, before];
            let again = corners_again((&ring, true), &middles, &[0, 20, 40], &mut Vec::new());
            assert_eq!(again, (!stays).then(|| vec![0, 40]), "{degrees}");
        }
    }
}
