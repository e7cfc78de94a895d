//! A line of points made as smooth as a tube around it allows.
//!
//! Whittaker's smoother (1923; Eilers 2003): least Σ wᵢ|pᵢ − mᵢ|² + λ Σ|Δ²pᵢ|², with divided differences over
//! the given spacing (a staircase has more steps where it is steep), one pentadiagonal system per pass. Points
//! that left the tube get more weight and the system is solved again, so that the line bends only where the tube
//! makes it. At a kink the second difference is left out. What the smoothing took away is smoothed and given back once
//! (Tukey's twicing, 1977): an arc of radius R, which would shrink by R·q with q = (cut-off / 2πR)⁴, shrinks by R·q². A long
//! cut-off is used wherever it keeps to the staircase of a clean edge, a short one elsewhere, where detail would be lost.

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
/// Points nearer than this share of the mean spacing count as that far apart.
const LEAST_GAP: f64 = 0.25;
/// A kink follows its two sides rather than its own crack.
const KINK: f64 = 0.05;

/// How far a stretch may lean to one side of its points, as a part of the staircase: the steps of an edge that was not drawn in
/// even out.
const LEAN: f64 = 0.05;

/// How far smoothing goes.
#[derive(Clone, Copy)]
pub struct Reach {
    /// The wavelengths that are halved, longest first, in the unit of the points: each is used where the one before left the
    /// staircase, the last wherever all others did.
    pub cutoffs: [f64; 3],
    /// How far a clean edge's points lie from its curve at most: half a pixel, and a little.
    pub staircase: f64,
}

/// The smoothed points, and whether each lies on a clean edge.
pub fn smooth(line: &Line, reach: Reach) -> (Vec<Vec2>, Vec<bool>) {
    let count = line.points.len();
    if count < 3 {
        return (line.points.clone(), vec![true; count]);
    }
    let spacing = mean_spacing(line).max(1e-9);
    let margin = if line.closed { ((2.0 * reach.cutoffs[0] / spacing).ceil() as usize).max(4) } else { 0 };
    let system = System::new(line, margin);
    let mut weight: Vec<f64> = (0..count).map(|i| first_weight(line, i)).collect();
    let mut stiff = vec![stiffness(reach.cutoffs[0] / spacing); count];
    for softer in reach.cutoffs.windows(2).filter(|w| w[1] < w[0]).map(|w| w[1]) {
        let bands = system.factored(&stiff, &weight);
        let moved = system.twice(&bands, &weight, system.solved(&bands, &weight, &line.points));
        soften(line, &moved, &mut stiff, (reach.staircase, softer / spacing));
    }
    let softest = stiffness(reach.cutoffs[2] / spacing);
    for round in 1.. {
        let bands = system.factored(&stiff, &weight);
        let moved = system.solved(&bands, &weight, &line.points);
        if round == ROUNDS || !tighten(line, &moved, &mut weight) {
            let clean = stiff.iter().map(|stiff| *stiff > softest).collect();
            return (system.twice(&bands, &weight, moved), clean);
        }
    }
    unreachable!("the rounds end")
}

/// The λ that halves a wave of so many points.
fn stiffness(points: f64) -> f64 {
    let turn = points / std::f64::consts::TAU;
    turn * turn * turn * turn
}

/// How far a smoothed point lies aside from its given one, to the left or the right; along the line it may slide.
fn aside(line: &Line, moved: &[Vec2], i: usize) -> f64 {
    let count = moved.len();
    let (before, after) =
        if line.closed { ((i + count - 1) % count, (i + 1) % count) } else { (i.max(1) - 1, (i + 1).min(count - 1)) };
    let way = moved[after] - moved[before];
    way.cross(moved[i] - line.points[i]) / way.hypot2().sqrt().max(1e-9)
}

/// Gives the stiffness of a shorter cut-off (in points) to all points as near to one that was taken off the staircase, or to a
/// stretch that leans to one side of it: a bend that was drawn in.
fn soften(line: &Line, far: &[Vec2], stiff: &mut [f64], (staircase, cutoff): (f64, f64)) {
    let (count, around, soft) = (far.len(), (cutoff as usize).min(far.len()), stiffness(cutoff));
    // A closed line is gone through three times, so that every stretch is within.
    let (first, rounds) = if line.closed { (count, 3) } else { (0, 1) };
    let asides: Vec<f64> = (0..count).map(|i| aside(line, far, i)).collect();
    let mut sums = vec![0.0];
    sums.extend((0..rounds * count).scan(0.0, |sum, i| {
        *sum += asides[i % count];
        Some(*sum)
    }));
    let stretch = |i: usize, half: usize| ((first + i).saturating_sub(half), (first + i + half).min(rounds * count));
    let lean = |i: usize| {
        let (from, to) = stretch(i, around / 4);
        (sums[to] - sums[from]) / (to - from).max(1) as f64
    };
    // Up to which point of the rounds everything is soft.
    let mut soft_to = 0;
    for i in 0..count {
        let counts = line.radius[i].is_finite() && !line.kink[i];
        if counts && (asides[i].abs() > staircase || lean(i).abs() > LEAN * staircase) {
            let (from, to) = stretch(i, around);
            for j in from.max(soft_to)..to {
                stiff[j % count] = soft;
            }
            soft_to = to;
        }
    }
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

/// The system of a line but for weights and stiffness.
struct System<'a> {
    line: &'a Line,
    /// The points in a row; a closed line goes on past both its ends by `margin` points, so that they don't tell.
    order: Vec<usize>,
    margin: usize,
    /// By place in the row, the second difference over the given spacing: what the point before, the point and the one after
    /// weigh in it, and the length it stands for. None at ends and kinks.
    difference: Vec<Option<[f64; 4]>>,
}

/// A factored system: by place D and two rows of Lᵀ.
type Bands = Vec<[f64; 3]>;

impl<'a> System<'a> {
    fn new(line: &'a Line, margin: usize) -> System<'a> {
        let count = line.points.len();
        let order: Vec<usize> = (0..count + 2 * margin).map(|i| (i + count * margin - margin) % count).collect();
        let mean = mean_spacing(line);
        let apart = |pair: &[usize]| {
            let far = (line.points[pair[1]] - line.points[pair[0]]).hypot2().sqrt();
            far.max(LEAST_GAP * mean) / mean
        };
        let gaps: Vec<f64> = order.windows(2).map(apart).collect();
        let difference = |i: usize| {
            let inner = i > 0 && i + 1 < order.len() && !line.kink[order[i]];
            inner.then(|| {
                let half = 0.5 * (gaps[i - 1] + gaps[i]);
                let (a, c) = (1.0 / (gaps[i - 1] * half), 1.0 / (gaps[i] * half));
                [a, -a - c, c, half]
            })
        };
        let difference = (0..order.len()).map(difference).collect();
        System { line, order, margin, difference }
    }

    /// Factored by Cholesky's method on five bands (LDLᵀ).
    fn factored(&self, stiff: &[f64], weight: &[f64]) -> Bands {
        let mut bands: Bands = self.order.iter().map(|o| [weight[*o] + LEAST, 0.0, 0.0]).collect();
        for (i, difference) in self.difference.iter().enumerate() {
            let Some([a, b, c, half]) = *difference else { continue };
            let by = stiff[self.order[i]] * half;
            bands[i - 1][0] += a * a * by;
            bands[i][0] += b * b * by;
            bands[i + 1][0] += c * c * by;
            bands[i - 1][1] += a * b * by;
            bands[i][1] += b * c * by;
            bands[i - 1][2] += a * c * by;
        }
        factor(&mut bands);
        bands
    }

    /// The weighted solution for `points`.
    fn solved(&self, bands: &Bands, weight: &[f64], points: &[Vec2]) -> Vec<Vec2> {
        let count = bands.len();
        let mut x: Vec<Vec2> = self.order.iter().map(|o| points[*o] * (weight[*o] + LEAST)).collect();
        for i in 0..count {
            let [_, e, f] = bands[i];
            let here = x[i];
            if i + 1 < count {
                x[i + 1] -= here * e;
            }
            if i + 2 < count {
                x[i + 2] -= here * f;
            }
        }
        for i in (0..count).rev() {
            let [d, e, f] = bands[i];
            let mut here = x[i] * (1.0 / d);
            if i + 1 < count {
                here -= x[i + 1] * e;
            }
            if i + 2 < count {
                here -= x[i + 2] * f;
            }
            x[i] = here;
        }
        x[self.margin..count - self.margin].to_vec()
    }

    /// A solution with what it took away smoothed and given back.
    fn twice(&self, bands: &Bands, weight: &[f64], once: Vec<Vec2>) -> Vec<Vec2> {
        let left: Vec<Vec2> = self.line.points.iter().zip(&once).map(|(given, p)| *given - *p).collect();
        once.iter().zip(self.solved(bands, weight, &left)).map(|(p, back)| *p + back).collect()
    }
}

/// Turns the bands into D and the rows of Lᵀ.
fn factor(bands: &mut [[f64; 3]]) {
    for i in 0..bands.len() {
        let [d, e, f] = bands[i];
        bands[i] = [d, e / d, f / d];
        if let Some(next) = bands.get_mut(i + 1) {
            next[0] -= e * e / d;
            next[1] -= e * f / d;
        }
        if let Some(next) = bands.get_mut(i + 2) {
            next[0] -= f * f / d;
        }
    }
}
