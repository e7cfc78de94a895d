//! A line of points made as smooth as a tube around it allows.
//!
//! Whittaker's smoother (1923; Eilers 2003): least Σ wᵢ|pᵢ − mᵢ|² + λ Σ|Δ²pᵢ|², one pentadiagonal system per pass. Points
//! that left the tube get more weight and the system is solved again, so that the line bends only where the tube
//! makes it. At a kink the second difference is left out. What the smoothing took away is smoothed and given back once
//! (Tukey's twicing, 1977): an arc of radius R, which would shrink by R·q with q = (cut-off / 2πR)⁴, shrinks by R·q².

use kurbo::Vec2;

/// What to smooth.
pub struct Line {
    /// The points; the crack midpoints of a border and its junctions.
    pub points: Vec<Vec2>,
    /// How far each may move. A point with radius 0 is pinned; an infinite radius leaves it to its neighbours.
    pub radius: Vec<f64>,
    /// Points at which the line may turn sharply.
    pub kink: Vec<bool>,
    /// Whether the last point is followed by the first.
    pub closed: bool,
}

/// Rounds of weighting: most lines settle in four; the rest is left to the fit, which measures by itself.
const ROUNDS: usize = 8;
/// The weight of a pinned point against 1.
const PIN: f64 = 1e7;
/// Keeps the system solvable where a kink leaves a point without neighbours.
const LEAST: f64 = 1e-5;
/// A kink follows its two sides rather than its own crack.
const KINK: f64 = 0.05;

/// The smoothed points. `cutoff` is the wavelength that is halved, in the unit of the points.
pub fn smooth(line: &Line, cutoff: f64) -> Vec<Vec2> {
    let count = line.points.len();
    if count < 3 {
        return line.points.clone();
    }
    let spacing = mean_spacing(line).max(1e-9);
    let stiff = cutoff / (std::f64::consts::TAU * spacing);
    let stiff = stiff * stiff * stiff * stiff;
    let margin = if line.closed { ((2.0 * cutoff / spacing).ceil() as usize).max(4) } else { 0 };
    let order: Vec<usize> = (0..count + 2 * margin).map(|i| (i + count * margin - margin) % count).collect();
    let mut weight: Vec<f64> = (0..count).map(|i| first_weight(line, i)).collect();
    for round in 1.. {
        let solved = solve(&line.points, line, (&order, &weight), stiff);
        let moved = &solved[margin..margin + count];
        if round == ROUNDS || !tighten(line, moved, &mut weight) {
            let left: Vec<Vec2> = line.points.iter().zip(moved).map(|(given, p)| *given - *p).collect();
            let back = solve(&left, line, (&order, &weight), stiff);
            return (0..count).map(|i| moved[i] + back[margin + i]).collect();
        }
    }
    unreachable!("the rounds end")
}

fn mean_spacing(line: &Line) -> f64 {
    let sum: f64 = line.points.windows(2).map(|w| (w[1] - w[0]).hypot2().sqrt()).sum();
    sum / (line.points.len() - 1) as f64
}

fn first_weight(line: &Line, i: usize) -> f64 {
    match line.radius[i] {
        0.0 => PIN,
        r if r.is_infinite() => LEAST,
        _ if line.kink[i] => KINK,
        _ => 1.0,
    }
}

/// Gives weight to the points outside their tube; whether there were any.
fn tighten(line: &Line, moved: &[Vec2], weight: &mut [f64]) -> bool {
    let mut outside = false;
    for i in 0..moved.len() {
        let (far, radius) = ((moved[i] - line.points[i]).hypot2().sqrt(), line.radius[i]);
        if radius > 0.0 && far > radius {
            weight[i] = (weight[i] * (2.0 * far / radius) * (far / radius)).min(PIN);
            outside = true;
        }
    }
    outside
}

/// One weighted solution along `order`, by Cholesky's method on five bands (LDLᵀ).
fn solve(points: &[Vec2], line: &Line, (order, weight): (&[usize], &[f64]), stiff: f64) -> Vec<Vec2> {
    let count = order.len();
    let mut bands = vec![[0.0f64; 3]; count];
    for i in 0..count {
        bands[i][0] += weight[order[i]] + LEAST;
        if i > 0 && i + 1 < count && !line.kink[order[i]] {
            for (row, band, times) in
                [(i - 1, 0, 1.0), (i, 0, 4.0), (i + 1, 0, 1.0), (i - 1, 1, -2.0), (i, 1, -2.0), (i - 1, 2, 1.0)]
            {
                bands[row][band] += times * stiff;
            }
        }
    }
    let mut x: Vec<Vec2> = order.iter().map(|o| points[*o] * (weight[*o] + LEAST)).collect();
    eliminate(&mut bands, &mut x);
    for i in (0..count).rev() {
        x[i] *= 1.0 / bands[i][0];
        for k in 1..=2.min(count - 1 - i) {
            let step = x[i + k] * bands[i][k];
            x[i] -= step;
        }
    }
    x
}

/// Turns the bands into D and the rows of Lᵀ, and `x` into L⁻¹x.
fn eliminate(bands: &mut [[f64; 3]], x: &mut [Vec2]) {
    for i in 0..bands.len() {
        let [d, e, f] = bands[i];
        bands[i] = [d, e / d, f / d];
        if let Some(next) = bands.get_mut(i + 1) {
            next[0] -= e * e / d;
            next[1] -= e * f / d;
            let step = x[i] * (e / d);
            x[i + 1] -= step;
        }
        if let Some(next) = bands.get_mut(i + 2) {
            next[0] -= f * f / d;
            let step = x[i] * (f / d);
            x[i + 2] -= step;
        }
    }
}
