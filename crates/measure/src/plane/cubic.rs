//! Cubic Bézier curves on whole micrometres: evaluation, splitting, flattening and exact area.
//!
//! Flattening divides the parameter evenly, as often as the bound on the second differences asks (Wang's formula, 1984), and
//! rounds exact integer sums, so that a curve and its reverse give the same points on every machine. It spends more points
//! than an adaptive division where a curve is bent in one place only.

use serde::{Deserialize, Serialize};

use super::Point;

/// A cubic Bézier curve by its four control points, µm. The first and last lie on the curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Cubic(pub [Point; 4]);

/// How far a flattened border may lie from its curve: 10 µm. One constant, so that both areas of a border, the
/// sheets, the JSON and every check see the same points.
pub const FLATNESS_UM: f64 = 10.0;

impl Cubic {
    /// The straight way from `a` to `b`, at even speed.
    pub fn straight(a: Point, b: Point) -> Cubic {
        let third = |i: i64| {
            let mix = |p: i32, q: i32| round_div(i128::from((3 - i) * i64::from(p) + i * i64::from(q)), 3);
            Point::new(mix(a.x, b.x), mix(a.y, b.y))
        };
        Cubic([a, third(1), third(2), b])
    }

    /// Where it begins.
    pub fn start(&self) -> Point {
        self.0[0]
    }

    /// Where it ends.
    pub fn end(&self) -> Point {
        self.0[3]
    }

    /// The same curve walked the other way.
    pub fn reversed(&self) -> Cubic {
        let [a, b, c, d] = self.0;
        Cubic([d, c, b, a])
    }

    /// The point at parameter `t` (0 to 1), µm.
    pub fn point(&self, t: f64) -> (f64, f64) {
        let s = 1.0 - t;
        let w = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
        let sum = |of: fn(&Point) -> i32| self.0.iter().zip(w).map(|(p, w)| f64::from(of(p)) * w).sum();
        (sum(|p| p.x), sum(|p| p.y))
    }

    /// The two halves before and after parameter `t`, snapped to whole µm.
    pub fn split(&self, t: f64) -> (Cubic, Cubic) {
        let p = self.0.map(|p| (f64::from(p.x), f64::from(p.y)));
        let mix = |a: (f64, f64), b: (f64, f64)| (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
        let (ab, bc, cd) = (mix(p[0], p[1]), mix(p[1], p[2]), mix(p[2], p[3]));
        let (abc, bcd) = (mix(ab, bc), mix(bc, cd));
        let at = snap(mix(abc, bcd));
        (Cubic([self.0[0], snap(ab), snap(abc), at]), Cubic([at, snap(bcd), snap(cd), self.0[3]]))
    }

    /// Twenty times its share of the area by Green's theorem, ½∫(x dy − y dx), µm²: a whole number, so that the two
    /// sides of a shared border cancel to nothing. A ring that runs clockwise on the page counts positive.
    pub fn green20(&self) -> i128 {
        let p = &self.0;
        let cross =
            |i: usize, j: usize| i128::from(p[i].x) * i128::from(p[j].y) - i128::from(p[i].y) * i128::from(p[j].x);
        6 * (cross(0, 1) + cross(2, 3)) + 3 * (cross(0, 2) + cross(1, 2) + cross(1, 3)) + cross(0, 3)
    }

    /// Appends its points within [`FLATNESS_UM`], both ends included, leaving out a point equal to the one before.
    pub fn flatten(&self, line: &mut Vec<Point>) {
        let steps = self.steps();
        for i in 0..=steps {
            let point = self.at_step(i, steps);
            if line.last() != Some(&point) {
                line.push(point);
            }
        }
    }

    /// How many even steps keep the chords within the flatness: the error is at most max|B″| / (8 n²).
    fn steps(&self) -> i64 {
        let p = self.0.map(|p| (f64::from(p.x), f64::from(p.y)));
        let bend = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
            let (x, y) = (a.0 - 2.0 * b.0 + c.0, a.1 - 2.0 * b.1 + c.1);
            (x * x + y * y).sqrt()
        };
        let most = 6.0 * bend(p[0], p[1], p[2]).max(bend(p[3], p[2], p[1]));
        ((most / (8.0 * (FLATNESS_UM - SNAP_UM))).sqrt().ceil() as i64).max(1)
    }

    /// The point at parameter `i / n`, rounded from the exact fraction.
    fn at_step(&self, i: i64, n: i64) -> Point {
        let (s, t, whole) = (i128::from(n - i), i128::from(i), i128::from(n));
        let w = [s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t];
        let sum = |of: fn(&Point) -> i32| {
            round_div(self.0.iter().zip(w).map(|(p, w)| i128::from(of(p)) * w).sum(), whole * whole * whole)
        };
        Point::new(sum(|p| p.x), sum(|p| p.y))
    }
}

/// What snapping a point to whole µm can add to the distance: half a diagonal, rounded up.
const SNAP_UM: f64 = 1.0;

/// The curve flattened, from its start to its end.
pub fn line(curve: &[Cubic]) -> Vec<Point> {
    let mut line = Vec::new();
    for cubic in curve {
        cubic.flatten(&mut line);
    }
    line
}

fn snap(p: (f64, f64)) -> Point {
    Point::new(p.0.round() as i32, p.1.round() as i32)
}

/// The nearest whole number to `sum / by`, a half upwards.
fn round_div(sum: i128, by: i128) -> i32 {
    (2 * sum + by).div_euclid(2 * by) as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::ParamCurveArea;
    use proptest::prelude::*;

    fn any_cubic() -> impl Strategy<Value = Cubic> {
        prop::array::uniform4((-400_000..400_000, -400_000..400_000))
            .prop_map(|p| Cubic(p.map(|(x, y)| Point::new(x, y))))
    }

    fn to_kurbo(c: &Cubic) -> kurbo::CubicBez {
        let [a, b, c, d] = c.0.map(|p| kurbo::Point::new(f64::from(p.x), f64::from(p.y)));
        kurbo::CubicBez::new(a, b, c, d)
    }

    proptest! {
        #[test]
        fn the_reverse_has_the_same_points(cubic in any_cubic()) {
            let mut back = line(&[cubic.reversed()]);
            back.reverse();
            prop_assert_eq!(line(&[cubic]), back);
            prop_assert_eq!(cubic.green20(), -cubic.reversed().green20());
        }

        // kurbo is the outside judge of area and distance.
        #[test]
        fn area_agrees_with_kurbo(cubic in any_cubic()) {
            let theirs = to_kurbo(&cubic).signed_area();
            let ours = cubic.green20() as f64 / 20.0;
            prop_assert!((ours - theirs).abs() <= 1e-9 * 1e12, "{} {}", ours, theirs);
        }

        #[test]
        fn chords_stay_within_the_flatness(cubic in any_cubic()) {
            let points = line(&[cubic]);
            let path: Vec<_> = points.windows(2).map(|w| kurbo::Line::new(
                (f64::from(w[0].x), f64::from(w[0].y)), (f64::from(w[1].x), f64::from(w[1].y)))).collect();
            for i in 0..=200 {
                let (x, y) = cubic.point(f64::from(i) / 200.0);
                let far = path.iter().map(|l| {
                    kurbo::ParamCurveNearest::nearest(l, kurbo::Point::new(x, y), 1e-6).distance_sq
                }).fold(f64::MAX, f64::min);
                prop_assert!(far.sqrt() <= FLATNESS_UM, "{}", far.sqrt());
            }
        }

        #[test]
        fn halves_make_the_whole(cubic in any_cubic(), t in 0.05..0.95) {
            let (a, b) = cubic.split(t);
            let (x, y) = cubic.point(t * 0.5);
            let (hx, hy) = a.point(0.5);
            prop_assert!((x - hx).abs() < 2.0 && (y - hy).abs() < 2.0);
            prop_assert_eq!(a.end(), b.start());
        }
    }

    #[test]
    fn a_straight_cubic_is_one_chord() {
        let (a, b) = (Point::new(3, 5), Point::new(100_001, -77));
        assert_eq!(line(&[Cubic::straight(a, b)]), vec![a, b]);
    }

    #[test]
    fn a_ring_clockwise_on_the_page_has_positive_area() {
        let corners = [(0, 0), (30, 0), (30, 20), (0, 20), (0, 0)].map(|(x, y)| Point::new(x, y));
        let area: i128 = corners.windows(2).map(|w| Cubic::straight(w[0], w[1]).green20()).sum();
        assert_eq!(area, 20 * 600);
    }
}
