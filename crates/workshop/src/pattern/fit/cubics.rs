//! The fewest cubics along a smoothed line that stay near its cracks.
//!
//! One cubic: least squares over its two inner control points with its ends given, the parameters of the points bettered by
//! Newton steps (Plass and Stone 1983; Schneider 1990). At a smooth joint the inner point keeps to the tangent, elsewhere it
//! is free. Several: the longest cubic that holds, again and again; then the same number at even lengths, when those hold
//! too, since even joints look calmer.

use kurbo::Vec2;

/// A cubic in floating µm.
pub type Curve = [Vec2; 4];

/// A stretch of a line between two fixed ends.
pub struct Stretch<'a> {
    /// The smoothed points; the ends are taken as they are.
    pub points: &'a [Vec2],
    /// The points that the curve must pass within `radius` of; those of infinite radius are not asked.
    pub given: &'a [Vec2],
    /// How far from each given point the curve may pass, µm.
    pub radius: &'a [f64],
    /// The direction at the start and the end, where a neighbour shares it; both point along the line.
    pub tangents: [Option<Vec2>; 2],
    /// What holds for every cubic.
    pub limits: Limits,
}

/// What every cubic keeps to.
#[derive(Clone, Copy)]
pub struct Limits {
    /// Control points lie between 0 and here, µm.
    pub far_corner: Vec2,
    /// How far a cubic may pass from the smoothed line, µm.
    pub shape: f64,
}

impl Limits {
    fn hold(self, c: &Curve) -> bool {
        c.iter().all(|p| p.x >= 0.0 && p.y >= 0.0 && p.x <= self.far_corner.x && p.y <= self.far_corner.y)
    }
}

/// Half the length over which a tangent inside a stretch is taken, µm.
const TANGENT_UM: f64 = 1200.0;
/// Points that one least-squares fit looks at; more cost time and change nothing that can be seen.
const SAMPLES: usize = 32;
/// Rounds of bettering the parameters.
const ROUNDS: usize = 4;

impl Stretch<'_> {
    /// Fits the whole stretch.
    pub fn cubics(&self) -> Vec<Curve> {
        let along = lengths(self.points);
        let cuts = self.cuts(&along);
        let even = self.even(&along, cuts.len());
        even.unwrap_or_else(|| cuts.into_iter().map(|(_, curve)| curve).collect())
    }

    /// The longest cubics from the start on: where each ends, and its curve.
    fn cuts(&self, along: &[f64]) -> Vec<(usize, Curve)> {
        let (mut cuts, mut from, last) = (Vec::new(), 0, self.points.len() - 1);
        while from < last {
            let mut best = None;
            let (mut good, mut bad) = (from, last + 1);
            let mut guess = last.min(from + 24);
            while good + 1 < bad {
                match self.fit(along, from, guess) {
                    Some(curve) => {
                        (good, best) = (guess, Some((guess, curve)));
                        guess = if bad > last { (from + (guess - from) * 2).min(last) } else { (good + bad) / 2 };
                    }
                    None => {
                        bad = guess;
                        guess = (good + bad) / 2;
                    }
                }
                if good == last {
                    break;
                }
            }
            let cut = best.unwrap_or_else(|| (from + 1, straight(self.points[from], self.points[from + 1])));
            from = cut.0;
            cuts.push(cut);
        }
        cuts
    }

    /// `count` cubics of even length, when all hold.
    fn even(&self, along: &[f64], count: usize) -> Option<Vec<Curve>> {
        let whole = along[along.len() - 1];
        let cut = |i: usize| match i {
            0 => 0,
            i if i == count => along.len() - 1,
            i => along.partition_point(|s| *s < whole * i as f64 / count as f64),
        };
        (0..count).map(|i| (cut(i) < cut(i + 1)).then(|| self.fit(along, cut(i), cut(i + 1))).flatten()).collect()
    }

    /// One cubic from point `from` to point `to`, when it holds.
    fn fit(&self, along: &[f64], from: usize, to: usize) -> Option<Curve> {
        let tangents = [self.tangent(along, from), self.tangent(along, to)];
        let (points, given) = (&self.points[from..=to], &self.given[from..=to]);
        let length = along[to] - along[from];
        if points.len() == 2 || length <= 0.0 {
            return Some(straight(points[0], points[1]));
        }
        let stride = (points.len() - 2).div_ceil(SAMPLES);
        let picked: Vec<usize> = (1..points.len() - 1).step_by(stride).collect();
        let mut at: Vec<f64> = picked.iter().map(|i| (along[from + i] - along[from]) / length).collect();
        let ends = (points[0], points[points.len() - 1]);
        let mut curve = straight(ends.0, ends.1);
        for _ in 0..ROUNDS {
            let seen: Vec<(f64, Vec2)> = at.iter().copied().zip(picked.iter().map(|i| points[*i])).collect();
            curve = least_squares(ends, tangents, length, &seen);
            for (t, i) in at.iter_mut().zip(&picked) {
                *t = nearer(&curve, *t, points[*i]);
            }
        }
        let share = |i: usize| (along[from + i] - along[from]) / length;
        let times = Times { picked: &picked, at: &at };
        let holds = (1..points.len() - 1).all(|i| {
            let t = nearer(&curve, nearer(&curve, times.guess(i, share(i)), given[i]), given[i]);
            (point(&curve, t) - given[i]).hypot2() <= self.radius[from + i] * self.radius[from + i]
        });
        let shape = self.limits.shape * self.limits.shape;
        let alike = picked.iter().zip(&at).all(|(i, t)| (point(&curve, *t) - points[*i]).hypot2() <= shape);
        (alike && holds && calm(&curve, length) && self.limits.hold(&curve)).then_some(curve)
    }

    /// The tangent at a joint: given at the ends, the chord around it inside.
    fn tangent(&self, along: &[f64], at: usize) -> Option<Vec2> {
        let last = self.points.len() - 1;
        if at == 0 || at == last {
            return self.tangents[usize::from(at == last)];
        }
        let reach = TANGENT_UM.min(along[at] - along[0]).min(along[last] - along[at]);
        let before = along.partition_point(|s| *s < along[at] - reach).min(at - 1);
        let after = along.partition_point(|s| *s <= along[at] + reach).saturating_sub(1).max(at + 1);
        unit(self.points[after] - self.points[before])
    }
}

/// The parameters found for some points, to guess those between.
struct Times<'a> {
    picked: &'a [usize],
    at: &'a [f64],
}

impl Times<'_> {
    fn guess(&self, i: usize, share: f64) -> f64 {
        match self.picked.binary_search(&i) {
            Ok(k) => self.at[k],
            Err(0) => share,
            Err(k) if k == self.picked.len() => share.max(self.at[k - 1]),
            Err(k) => {
                let (i0, i1) = (self.picked[k - 1], self.picked[k]);
                let part = (i - i0) as f64 / (i1 - i0) as f64;
                self.at[k - 1] + (self.at[k] - self.at[k - 1]) * part
            }
        }
    }
}

/// The unit vector along `v`, unless it is nothing.
pub fn unit(v: Vec2) -> Option<Vec2> {
    let length = v.hypot2().sqrt();
    (length > 1e-6).then(|| v / length)
}

fn lengths(points: &[Vec2]) -> Vec<f64> {
    let mut sum = 0.0;
    std::iter::once(0.0)
        .chain(points.windows(2).map(|w| {
            sum += (w[1] - w[0]).hypot2().sqrt();
            sum
        }))
        .collect()
}

fn straight(a: Vec2, b: Vec2) -> Curve {
    [a, a + (b - a) / 3.0, a + (b - a) * (2.0 / 3.0), b]
}

/// The point of a curve at `t`.
pub fn point(c: &Curve, t: f64) -> Vec2 {
    let s = 1.0 - t;
    c[0] * (s * s * s) + c[1] * (3.0 * s * s * t) + c[2] * (3.0 * s * t * t) + c[3] * (t * t * t)
}

fn speed(c: &Curve, t: f64) -> Vec2 {
    let s = 1.0 - t;
    (c[1] - c[0]) * (3.0 * s * s) + (c[2] - c[1]) * (6.0 * s * t) + (c[3] - c[2]) * (3.0 * t * t)
}

fn turn(c: &Curve, t: f64) -> Vec2 {
    (c[2] - c[1] * 2.0 + c[0]) * (6.0 * (1.0 - t)) + (c[3] - c[2] * 2.0 + c[1]) * (6.0 * t)
}

/// One Newton step towards the parameter of the curve's nearest point.
fn nearer(c: &Curve, t: f64, to: Vec2) -> f64 {
    let (off, d, dd) = (point(c, t) - to, speed(c, t), turn(c, t));
    let slope = d.hypot2() + off.dot(dd);
    let slope = if slope > 0.0 { slope } else { d.hypot2().max(1e-9) };
    (t - off.dot(d) / slope).clamp(0.0, 1.0)
}

/// Keeps a handle from vanishing or overshooting: as parts of the stretch's length.
const HANDLE: (f64, f64) = (0.08, 0.75);

/// The inner control points with the least squares over `seen`.
fn least_squares(ends: (Vec2, Vec2), tangents: [Option<Vec2>; 2], length: f64, seen: &[(f64, Vec2)]) -> Curve {
    let (ex, ey) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
    let mut ways: Vec<(usize, Vec2)> = Vec::new();
    for (end, tangent) in tangents.iter().enumerate() {
        match tangent {
            Some(t) => ways.push((end, if end == 0 { *t } else { -*t })),
            None => ways.extend([(end, ex), (end, ey)]),
        }
    }
    let rest = [(ends.1 - ends.0) / 3.0, (ends.0 - ends.1) / 3.0];
    let mut rows = [[0.0; 5]; 4];
    // A slight pull towards even handles keeps short stretches solvable.
    let pull = 1e-4 * (seen.len() as f64 + 1.0);
    for (i, (end, way)) in ways.iter().enumerate() {
        rows[i][i] += pull;
        rows[i][4] += pull * way.dot(rest[*end]).max(if tangents[*end].is_some() { length / 6.0 } else { f64::MIN });
    }
    for (t, to) in seen {
        let s = 1.0 - t;
        let b = [3.0 * s * s * t, 3.0 * s * t * t];
        let fixed = ends.0 * (s * s * s + b[0]) + ends.1 * (t * t * t + b[1]);
        for (i, (end, way)) in ways.iter().enumerate() {
            for (j, (other, along)) in ways.iter().enumerate() {
                rows[i][j] += b[*end] * b[*other] * way.dot(*along);
            }
            rows[i][4] += b[*end] * way.dot(*to - fixed);
        }
    }
    let found = eliminate(&mut rows, ways.len());
    let mut handles = [Vec2::ZERO; 2];
    for ((end, way), by) in ways.iter().zip(found) {
        let by = if tangents[*end].is_some() { by.clamp(HANDLE.0 * length, HANDLE.1 * length) } else { by };
        handles[*end] += *way * by;
    }
    [ends.0, ends.0 + handles[0], ends.1 + handles[1], ends.1]
}

/// Solves the first `count` rows of a positive definite system by elimination.
fn eliminate(rows: &mut [[f64; 5]; 4], count: usize) -> [f64; 4] {
    for i in 0..count {
        for j in i + 1..count {
            let by = rows[j][i] / rows[i][i];
            for k in i..5 {
                rows[j][k] -= by * rows[i][k];
            }
        }
    }
    let mut found = [0.0; 4];
    for i in (0..count).rev() {
        let known: f64 = (i + 1..count).map(|j| rows[i][j] * found[j]).sum();
        found[i] = (rows[i][4] - known) / rows[i][i];
    }
    found
}

/// Whether a curve neither loops back nor runs far longer than its stretch.
fn calm(c: &Curve, length: f64) -> bool {
    let (a, b, d) = (c[1] - c[0], c[2] - c[1], c[3] - c[2]);
    let size = |v: Vec2| v.hypot2().sqrt();
    size(a) <= length && size(d) <= length && size(a) + size(b) + size(d) <= 2.0 * length
}
