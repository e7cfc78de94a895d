//! Where borders meet: each incoming border as a line, and the point nearest to all of them by least squares.
//!
//! A border that ends at the junction gives the end of a parabola through its crack midpoints, over the longest reach at which
//! it stays within half a pixel of them: over less, the last step of the staircase would decide. Weak where a border is only
//! a few cracks long; then the junction hardly moves.

use kurbo::Vec2;

use super::cubics::unit;

/// A border at a junction.
#[derive(Clone, Copy, Debug)]
pub struct Incoming {
    /// A point on it near the junction.
    pub at: Vec2,
    /// Its direction there.
    pub along: Vec2,
    /// How much it counts.
    pub weight: f64,
}

/// A border that runs through keeps its own line; one that ends can be led to it.
pub const THROUGH: f64 = 20.0;
/// How much the node itself counts, so that borders in nearly one line do not send the junction away.
const HOME: f64 = 0.1;
/// The reaches tried, µm.
const REACHES_UM: [f64; 6] = [40_000.0, 24_000.0, 14_000.0, 9000.0, 6000.0, 3500.0];
/// What a midpoint may stray from the parabola beyond half a pixel, µm.
const STRAY_UM: f64 = 25.0;
/// Fewer midpoints than this say nothing of a direction.
const FEWEST: usize = 6;

/// The end of a border at `home`. `points`: its crack midpoints from the junction on, to its next corner at most.
pub fn end(points: &[Vec2], home: Vec2, pixel: f64) -> Option<Incoming> {
    REACHES_UM.iter().find_map(|reach| {
        let count = points.iter().take_while(|p| (**p - home).hypot2() <= reach * reach).count();
        if count < FEWEST {
            return None;
        }
        parabola(&points[..count], home, 0.5 * pixel + STRAY_UM)
    })
}

/// The parabola over the chord through `points`, at `home`, when no point strays further than `stray`.
fn parabola(points: &[Vec2], home: Vec2, stray: f64) -> Option<Incoming> {
    let third = points.len() / 3;
    let mean = |part: &[Vec2]| part.iter().fold(Vec2::ZERO, |a, b| a + *b) / part.len() as f64;
    let base = mean(&points[..third]);
    let along = unit(mean(&points[points.len() - third..]) - base)?;
    let across = Vec2::new(-along.y, along.x);
    let size = (points[points.len() - 1] - base).dot(along).abs().max(1.0);
    let place = |p: Vec2| ((p - base).dot(along) / size, (p - base).dot(across));
    let (mut powers, mut sums) = ([0.0; 5], [0.0; 3]);
    for (s, n) in points.iter().map(|p| place(*p)) {
        let up = [1.0, s, s * s, s * s * s, s * s * s * s];
        for k in 0..5 {
            powers[k] += up[k];
        }
        for k in 0..3 {
            sums[k] += up[k] * n;
        }
    }
    let [a, b, c] = solve3(powers, sums)?;
    let height = |s: f64| a + s * (b + s * c);
    let holds = points.iter().map(|p| place(*p)).all(|(s, n)| (height(s) - n).abs() <= stray);
    let s = place(home).0;
    let slope = (b + 2.0 * c * s) / size;
    holds.then_some(Incoming {
        at: base + along * (s * size) + across * height(s),
        along: unit(along + across * slope)?,
        weight: 1.0,
    })
}

/// Solves the normal equations of a parabola by Cramer's rule.
fn solve3(p: [f64; 5], r: [f64; 3]) -> Option<[f64; 3]> {
    let det = |m: [[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let rows = [[p[0], p[1], p[2]], [p[1], p[2], p[3]], [p[2], p[3], p[4]]];
    let whole = det(rows);
    let with = |column: usize| {
        let mut m = rows;
        for k in 0..3 {
            m[k][column] = r[k];
        }
        det(m) / whole
    };
    (whole.abs() > 1e-9).then(|| [with(0), with(1), with(2)])
}

/// The step from `home` to the point nearest to all incoming lines; along `edge` only when the junction is on the frame.
pub fn step(home: Vec2, incoming: &[Incoming], edge: Option<Vec2>) -> Vec2 {
    let normal = |i: &Incoming| Vec2::new(-i.along.y, i.along.x);
    if let Some(edge) = edge {
        let (mut whole, mut sum) = (HOME * HOME, 0.0);
        for i in incoming {
            let (n, by) = (normal(i), normal(i).dot(i.at - home));
            whole += i.weight * n.dot(edge) * n.dot(edge);
            sum += i.weight * n.dot(edge) * by;
        }
        return edge * (sum / whole);
    }
    let (mut xx, mut xy, mut yy, mut x, mut y) = (HOME, 0.0, HOME, 0.0, 0.0);
    for i in incoming {
        let (n, by) = (normal(i), normal(i).dot(i.at - home));
        xx += i.weight * n.x * n.x;
        xy += i.weight * n.x * n.y;
        yy += i.weight * n.y * n.y;
        x += i.weight * n.x * by;
        y += i.weight * n.y * by;
    }
    let whole = xx * yy - xy * xy;
    Vec2::new((x * yy - y * xy) / whole, (y * xx - x * xy) / whole)
}
