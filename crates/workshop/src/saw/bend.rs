//! The tightest bend of an outline.

use measure::plane::Point;

/// A turn this sharp at one point is a corner: the blade is turned on the spot there, or comes at it from both sides.
const CORNER_DEGREES: f64 = 35.0;
/// A bend turns by this much at least: less is followed by any blade.
const BEND_DEGREES: f64 = 60.0;

/// The radius of the tightest bend of a closed ring, µm: the least length in which it turns by 60° to one side, over that
/// angle. Infinite when it never does.
pub fn tightest(ring: &[Point]) -> f64 {
    tightest_at(ring).map_or(f64::INFINITY, |(radius, _)| radius)
}

/// The same, with the place where that bend begins.
pub(super) fn tightest_at(ring: &[Point]) -> Option<(f64, Point)> {
    let n = ring.len();
    let steps: Vec<(f64, f64)> = (0..n).map(|at| step(ring[at], ring[(at + 1) % n])).collect();
    let length: Vec<f64> = steps.iter().map(|(x, y)| libm::hypot(*x, *y)).collect();
    let turn = turns(&steps);
    let (corner, bend) = (CORNER_DEGREES.to_radians(), BEND_DEGREES.to_radians());
    let from = |start: usize| {
        // Half of the chords at either end belong to the bend.
        let (mut turned, mut along) = (0.0_f64, length[start] / 2.0);
        for k in 0..n {
            let at = (start + k) % n;
            if turn[at].abs() > corner || turned * turn[at] < 0.0 {
                return f64::INFINITY;
            }
            turned += turn[at];
            let next = length[(at + 1) % n];
            if turned.abs() >= bend {
                return (along + next / 2.0) / turned.abs();
            }
            along += next;
        }
        f64::INFINITY
    };
    let bends = (0..n).map(|start| (from(start), ring[(start + 1) % n])).filter(|(radius, _)| radius.is_finite());
    bends.min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The sharpest inside corner of a ring that runs with the wood to the right: the angle of the waste in it, radians, and
/// where. Turns of less than 35° are bends.
pub(super) fn sharpest(ring: &[Point]) -> Option<(f64, Point)> {
    let n = ring.len();
    let steps: Vec<(f64, f64)> = (0..n).map(|at| step(ring[at], ring[(at + 1) % n])).collect();
    let corners = turns(&steps).into_iter().enumerate().filter(|(_, turn)| *turn < -CORNER_DEGREES.to_radians());
    let angles = corners.map(|(at, turn)| (std::f64::consts::PI + turn, ring[(at + 1) % n]));
    angles.min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The turn at the end of each step, to the right on the page above 0.
fn turns(steps: &[(f64, f64)]) -> Vec<f64> {
    let turn = |at: usize| {
        let (a, b) = (steps[at], steps[(at + 1) % steps.len()]);
        libm::atan2(a.0 * b.1 - a.1 * b.0, a.0 * b.0 + a.1 * b.1)
    };
    (0..steps.len()).map(turn).collect()
}

fn step(a: Point, b: Point) -> (f64, f64) {
    (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arc of radius 3 mm joined to straight sides: a stadium.
    fn stadium(radius: f64) -> Vec<Point> {
        let half = |from: f64, x: f64| {
            (0..=40).map(move |k| {
                let angle = from + std::f64::consts::PI * f64::from(k) / 40.0;
                Point::new((x + radius * libm::cos(angle)) as i32, (radius * libm::sin(angle)) as i32)
            })
        };
        half(-std::f64::consts::FRAC_PI_2, 40_000.0).chain(half(std::f64::consts::FRAC_PI_2, 0.0)).collect()
    }

    #[test]
    fn a_round_end_has_its_radius() {
        for radius in [600.0, 3000.0, 10_000.0] {
            let found = tightest(&stadium(radius));
            assert!((found / radius - 1.0).abs() < 0.05, "{radius}: {found}");
        }
    }

    #[test]
    fn corners_are_no_bends() {
        let square = [(0, 0), (9000, 0), (9000, 9000), (0, 9000)].map(|(x, y)| Point::new(x, y));
        assert_eq!(tightest(&square), f64::INFINITY);
    }
}
