//! The fewest cubics along a smoothed line that stay near its cracks.
//!
//! One cubic: least squares over its two inner control points with its ends given, the parameters of the points bettered by
//! Newton steps (Plass and Stone 1983; Schneider 1990). At a smooth joint the inner point keeps to the tangent, elsewhere it
//! is free. Several: the longest cubic that holds, cut a little before its end, again and again; the last two share their
//! length when they can.

use kurbo::Vec2;

/// A cubic in floating µm.
pub type Curve = [Vec2; 4];

/// A stretch of a line between two fixed ends.
pub struct Stretch {
    /// The smoothed points; the ends are taken as they are.
    pub points: Vec<Vec2>,
    /// The points that the curve must pass within `radius` of; those of infinite radius are not asked.
    pub given: Vec<Vec2>,
    /// How far from each given point the curve may pass, µm.
    pub radius: Vec<f64>,
    /// How far from each smoothed point the curve may pass, µm.
    pub shape: Vec<f64>,
    /// The direction at the start and the end, where a neighbour shares it; both point along the line.
    pub tangents: [Option<Vec2>; 2],
    /// What holds for every cubic.
    pub limits: Limits,
}

/// What every cubic keeps to.
#[derive(Clone, Copy)]
pub struct Limits {
    /// Control points lie between here, µm,
    pub near_corner: Vec2,
    /// and here.
    pub far_corner: Vec2,
    /// A curve within this of every given point is as good as the smoothed line, µm: the cracks cannot tell them apart.
    pub staircase: f64,
}

impl Limits {
    pub(super) fn hold(self, c: &Curve) -> bool {
        let near = self.near_corner;
        c.iter().all(|p| p.x >= near.x && p.y >= near.y && p.x <= self.far_corner.x && p.y <= self.far_corner.y)
    }
}

/// Points that one least-squares fit looks at; more cost time and change nothing that can be seen.
const SAMPLES: usize = 32;
/// Rounds of bettering the parameters.
const ROUNDS: usize = 4;
/// Where the longest cubic is cut: its end is steered by no point beyond, so its last part makes a poor tangent.
const CUT: f64 = 0.94;
/// The same where there is room to spare.
const CUT_EVEN: f64 = 0.85;
/// How close cubics keep to a round ring's smoothed line, µm.
const ROUND_UM: f64 = 45.0;
/// Passes of bettering what the longest cubics have left.
const PASSES: usize = 2;
/// Where two cubics that share a length are joined.
const SHARES: [f64; 3] = [0.5, 0.38, 0.62];
/// A fit this many times too far off after two rounds is given up.
const HOPELESS: f64 = 4.0;
/// How many points ahead the search begins.
const FIRST_GUESS: usize = 24;

/// Where cubics join.
#[derive(Clone, Copy)]
pub(super) struct Knot {
    /// The point of the stretch that it lies nearest to.
    pub index: usize,
    pub at: Vec2,
    /// The direction there; free where there is none.
    pub tangent: Option<Vec2>,
}

impl Stretch {
    /// Fits the whole stretch.
    pub fn cubics(&self) -> Vec<Curve> {
        let along = lengths(&self.points);
        let (mut knots, mut curves) = self.greedy(&along);
        for _ in 0..PASSES {
            let before = curves.len();
            self.merge(&along, &mut knots, &mut curves);
            self.share(&along, &mut knots, &mut curves);
            if curves.len() == before {
                break;
            }
        }
        if curves.len() > 2
            && let Some(even) = self.even(&along, curves.len() - 1)
        {
            (knots, curves) = even;
        }
        self.ease(&along, &mut knots, &mut curves);
        curves
    }

    /// Fits a ring: with three or four close cubics of even length when they hold, since round things look roundest so.
    pub fn ring(self) -> Vec<Curve> {
        let along = lengths(&self.points);
        let loose = self.shape.clone();
        let close = self.close();
        let even = [3, 4].into_iter().find_map(|count| close.even(&along, count));
        even.map(|(_, curves)| curves).unwrap_or_else(|| Stretch { shape: loose, ..close }.cubics())
    }

    /// The same, kept closer to its smoothed points.
    pub fn close(mut self) -> Stretch {
        for shape in &mut self.shape {
            *shape = shape.min(ROUND_UM);
        }
        self
    }

    /// The middle of the first of several cubics: the point that it lies nearest to, place and direction.
    pub fn first_joint(&self) -> Option<(usize, Vec2, Option<Vec2>)> {
        let along = lengths(&self.points);
        let from = Knot { index: 0, at: self.points[0], tangent: self.tangents[0] };
        let (to, curve) = self.longest(&along, from);
        let (_, knot) = (to + 1 < self.points.len()).then(|| self.cut(&along, from, (to, curve, 0.5)))?;
        Some((knot.index, knot.at, knot.tangent))
    }

    /// So many cubics of even length, when they hold.
    fn even(&self, along: &[f64], count: usize) -> Option<(Vec<Knot>, Vec<Curve>)> {
        let whole = along[along.len() - 1];
        let mut from = Knot { index: 0, at: self.points[0], tangent: self.tangents[0] };
        let (mut knots, mut curves) = (vec![from], Vec::new());
        for i in 1..count {
            if from.index + 2 > along.len() - 1 {
                return None;
            }
            let start = along[from.index];
            let end = start + (whole * i as f64 / count as f64 - start) / CUT_EVEN;
            let reach = along.partition_point(|s| *s < end).clamp(from.index + 1, along.len() - 2);
            let curve = self.fit(along, from, self.free(reach))?;
            let (curve, knot) = self.cut(along, from, (reach, curve, CUT_EVEN));
            curves.push(curve);
            knots.push(knot);
            from = knot;
        }
        curves.push(self.fit(along, from, self.last())?);
        knots.push(self.last());
        Some((knots, curves))
    }

    fn last(&self) -> Knot {
        let index = self.points.len() - 1;
        Knot { index, at: self.points[index], tangent: self.tangents[1] }
    }

    /// A knot on the smoothed line.
    fn free(&self, index: usize) -> Knot {
        if index + 1 == self.points.len() { self.last() } else { Knot { index, at: self.points[index], tangent: None } }
    }

    /// The longest cubics from the start on.
    fn greedy(&self, along: &[f64]) -> (Vec<Knot>, Vec<Curve>) {
        let last = self.points.len() - 1;
        let mut knots = vec![Knot { index: 0, at: self.points[0], tangent: self.tangents[0] }];
        let mut curves = Vec::new();
        while let Some(from) = knots.last().copied().filter(|knot| knot.index < last) {
            let (to, curve) = self.longest(along, from);
            let (curve, knot) = if to == last { (curve, self.last()) } else { self.cut(along, from, (to, curve, CUT)) };
            curves.push(curve);
            knots.push(knot);
        }
        (knots, curves)
    }

    /// The longest cubic from here that holds, and the point that it reaches.
    fn longest(&self, along: &[f64], from: Knot) -> (usize, Curve) {
        let last = self.points.len() - 1;
        // Asked first, since what holds over the whole need not hold over a part of it: a few cracks of a level staircase
        // say less of where it runs than all of them.
        if let Some(whole) = self.fit(along, from, self.last()) {
            return (last, whole);
        }
        let (mut good, mut bad, mut best) = (from.index, last, None);
        let mut guess = (from.index + FIRST_GUESS).min((from.index + last) / 2).max(from.index + 1);
        while good + 1 < bad {
            match self.fit(along, from, self.free(guess)) {
                Some(found) => {
                    (good, best) = (guess, Some(found));
                    guess =
                        if bad > last { (from.index + (guess - from.index) * 2).min(last) } else { (good + bad) / 2 };
                }
                None => {
                    bad = guess;
                    guess = (good + bad) / 2;
                }
            }
        }
        let next = self.free(from.index + 1);
        best.map_or_else(|| (next.index, handled(from, next)), |curve| (good, curve))
    }

    /// Cuts a cubic a little before its end.
    fn cut(&self, along: &[f64], from: Knot, (to, curve, part): (usize, Curve, f64)) -> (Curve, Knot) {
        let wanted = along[from.index] + part * (along[to] - along[from.index]);
        let index = along.partition_point(|s| *s < wanted).clamp(from.index + 1, to);
        let share = (along[index] - along[from.index]) / (along[to] - along[from.index]).max(1e-9);
        let t = if index == to { 1.0 } else { (0..3).fold(share, |t, _| nearer(&curve, t, self.points[index])) };
        let curve = first_part(&curve, t);
        (curve, Knot { index, at: curve[3], tangent: unit(curve[3] - curve[2]) })
    }

    /// One cubic for two, wherever it holds.
    fn merge(&self, along: &[f64], knots: &mut Vec<Knot>, curves: &mut Vec<Curve>) {
        let mut i = 1;
        while i + 1 < knots.len() {
            match self.fit(along, knots[i - 1], knots[i + 1]) {
                Some(curve) => {
                    knots.remove(i);
                    curves.splice(i - 1..=i, [curve]);
                }
                None => i += 1,
            }
        }
    }

    /// Two cubics for three, wherever they hold; the last two of a stretch share their length when they can.
    fn share(&self, along: &[f64], knots: &mut Vec<Knot>, curves: &mut Vec<Curve>) {
        let mut i = 1;
        while i + 1 < knots.len() {
            let to = (i + 2).min(knots.len() - 1);
            match self.pair(along, knots[i - 1], knots[to]) {
                Some((pair, knot)) => {
                    knots.splice(i..to, [knot]);
                    curves.splice(i - 1..to, pair);
                    i += 1;
                }
                None => i += 1,
            }
        }
    }

    /// Two cubics between two knots, joined about halfway.
    fn pair(&self, along: &[f64], from: Knot, to: Knot) -> Option<([Curve; 2], Knot)> {
        SHARES.iter().find_map(|share| {
            let wanted = along[from.index] + (along[to.index] - along[from.index]) * share / CUT;
            let reach = along.partition_point(|s| *s < wanted).min(to.index.checked_sub(1)?);
            if reach <= from.index {
                return None;
            }
            let first = self.fit(along, from, self.free(reach))?;
            let (first, knot) = self.cut(along, from, (reach, first, CUT));
            Some(([first, self.fit(along, knot, to)?], knot))
        })
    }

    /// One cubic from knot to knot, when it holds.
    pub(super) fn fit(&self, along: &[f64], start: Knot, end: Knot) -> Option<Curve> {
        let (from, to) = (start.index, end.index);
        let length = along[to] - along[from];
        if to < from + 2 || length <= 0.0 {
            return Some(handled(start, end)).filter(|curve| self.limits.hold(curve));
        }
        let stride = (to - from - 1).div_ceil(SAMPLES);
        let picked: Vec<usize> = (from + 1..to).step_by(stride).collect();
        let mut at: Vec<f64> = picked.iter().map(|i| (along[*i] - along[from]) / length).collect();
        let mut curve = handled(start, end);
        for round in 0..ROUNDS {
            let seen: Vec<(f64, Vec2)> = at.iter().copied().zip(picked.iter().map(|i| self.points[*i])).collect();
            curve = least_squares((start.at, end.at), [start.tangent, end.tangent], length, &seen);
            let mut worst = 0.0f64;
            for (t, i) in at.iter_mut().zip(&picked) {
                *t = nearer(&curve, *t, self.points[*i]);
                worst = worst.max((point(&curve, *t) - self.points[*i]).hypot2() / (self.shape[*i] * self.shape[*i]));
            }
            if worst > HOPELESS * HOPELESS && round > 0 {
                return None;
            }
            if worst < 1.0 && round > 0 {
                break;
            }
        }
        (calm(&curve, length) && self.limits.hold(&curve) && self.holds(&curve, (from, to), (&picked, &at)))
            .then_some(curve)
    }

    /// Whether a curve passes near enough to every point between two.
    fn holds(&self, curve: &Curve, (from, to): (usize, usize), (picked, at): (&[usize], &[f64])) -> bool {
        let near = |t: f64, p: Vec2, most: f64| (point(curve, t) - p).hypot2() <= most * most;
        let alike = picked.iter().zip(at).all(|(i, t)| near(*t, self.points[*i], self.shape[*i]));
        let most = |i: usize| if alike { self.radius[i] } else { self.radius[i].min(self.limits.staircase) };
        let passes = (from + 1..to).all(|i| {
            let t = guess(picked, at, i, (from, to));
            let t = nearer(curve, nearer(curve, t, self.given[i]), self.given[i]);
            near(t, self.given[i], most(i))
        });
        // Where points lie far apart a curve that passes them all may still swing out between two.
        let swings = (from..to).any(|i| {
            let t = [i, i + 1].map(|i| guess(picked, at, i, (from, to)));
            let most = self.radius[i].max(self.radius[i + 1]);
            most < away(point(curve, 0.5 * (t[0] + t[1])), (self.given[i], self.given[i + 1]))
        });
        passes && !swings
    }
}

/// How far a place lies from a segment.
pub(super) fn away(place: Vec2, (from, to): (Vec2, Vec2)) -> f64 {
    let (along, off) = (to - from, place - from);
    let share = (off.dot(along) / along.hypot2().max(1e-9)).clamp(0.0, 1.0);
    (off - along * share).hypot2().sqrt()
}

/// The parameter of point `i`, from those found for the picked ones.
fn guess(picked: &[usize], at: &[f64], i: usize, (from, to): (usize, usize)) -> f64 {
    let (before, after) = match picked.binary_search(&i) {
        Ok(k) => return at[k],
        Err(k) => (
            if k == 0 { (from, 0.0) } else { (picked[k - 1], at[k - 1]) },
            if k == picked.len() { (to, 1.0) } else { (picked[k], at[k]) },
        ),
    };
    before.1 + (after.1 - before.1) * (i - before.0) as f64 / (after.0 - before.0) as f64
}

/// The cubic between two knots without a look at anything between: handles of a third.
fn handled(from: Knot, to: Knot) -> Curve {
    let way = (to.at - from.at) / 3.0;
    let handle = |tangent: Option<Vec2>| tangent.map_or(way, |t| t * way.hypot2().sqrt());
    [from.at, from.at + handle(from.tangent), to.at - handle(to.tangent), to.at]
}

/// A curve up to parameter `t`.
fn first_part(c: &Curve, t: f64) -> Curve {
    let mix = |a: Vec2, b: Vec2| a + (b - a) * t;
    let (ab, bc, cd) = (mix(c[0], c[1]), mix(c[1], c[2]), mix(c[2], c[3]));
    let (abc, bcd) = (mix(ab, bc), mix(bc, cd));
    [c[0], ab, abc, mix(abc, bcd)]
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

/// The point of a curve at `t`.
pub fn point(c: &Curve, t: f64) -> Vec2 {
    let s = 1.0 - t;
    c[0] * (s * s * s) + c[1] * (3.0 * s * s * t) + c[2] * (3.0 * s * t * t) + c[3] * (t * t * t)
}

pub(super) fn speed(c: &Curve, t: f64) -> Vec2 {
    let s = 1.0 - t;
    (c[1] - c[0]) * (3.0 * s * s) + (c[2] - c[1]) * (6.0 * s * t) + (c[3] - c[2]) * (3.0 * t * t)
}

pub(super) fn turn(c: &Curve, t: f64) -> Vec2 {
    (c[2] - c[1] * 2.0 + c[0]) * (6.0 * (1.0 - t)) + (c[3] - c[2] * 2.0 + c[1]) * (6.0 * t)
}

/// One Newton step towards the parameter of the curve's nearest point.
pub(super) fn nearer(c: &Curve, t: f64, to: Vec2) -> f64 {
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
            let row = rows[i];
            for (below, above) in rows[j].iter_mut().zip(row).skip(i) {
                *below -= by * above;
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
