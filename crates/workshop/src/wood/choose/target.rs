//! The picture's tones brought into the range of the woods.
//!
//! Lightness goes along a straight line: the picture's range is pressed into that of the woods where it is wider and left
//! alone where it fits, so two tones that differ never fall together, as they would if each were clamped. No wood is blue or
//! green: a* and b* move to the nearest colour that woods of about that lightness span.

use measure::colour::Lab;

/// Share of the area, at either end, that may fall outside the range without stretching it: specks of glare and ink.
const TAIL: f64 = 0.01;

/// Woods within this much lightness say which a* and b* can be had. Narrower and single woods decide; wider and a pale
/// blue is asked of pale woods though only dark ones come near it.
const BAND: f64 = 12.0;

/// The straight line from the picture's lightness to the woods'; level beyond their range.
#[derive(Clone, Debug)]
pub struct Line {
    /// The low end in the picture and in wood.
    low: (f64, f64),
    slope: f64,
    /// The lightness of the darkest and of the palest wood.
    pub range: (f64, f64),
}

impl Line {
    /// The line for `tones` (colour, weight) among woods that look like `woods`. Neither is empty.
    pub fn new(tones: &[(Lab, f64)], woods: &[Lab]) -> Line {
        let picture = range(tones);
        let (darkest, palest) = woods.iter().fold((f64::MAX, f64::MIN), |(lo, hi), w| (lo.min(w.l), hi.max(w.l)));
        let (from, to) = (picture.0.clamp(darkest, palest), picture.1.clamp(darkest, palest));
        let slope = if picture.1 - picture.0 > 1e-9 { (to - from) / (picture.1 - picture.0) } else { 0.0 };
        Line { low: (picture.0, from), slope, range: (darkest, palest) }
    }

    /// What becomes of the lightness `l`.
    pub fn at(&self, l: f64) -> f64 {
        (self.low.1 + (l - self.low.0) * self.slope).clamp(self.range.0, self.range.1)
    }

    /// What is asked of wood for a tone.
    pub fn target(&self, tone: Lab, woods: &[Lab]) -> Lab {
        reachable(Lab { l: self.at(tone.l), ..tone }, woods)
    }
}

/// The lightness range of the tones by weight, its tails cut.
fn range(tones: &[(Lab, f64)]) -> (f64, f64) {
    let mut sorted: Vec<(f64, f64)> = tones.iter().map(|(tone, weight)| (tone.l, *weight)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let tail = TAIL * sorted.iter().map(|(_, weight)| weight).sum::<f64>();
    let reach = |tones: &mut dyn Iterator<Item = &(f64, f64)>| {
        let mut sum = 0.0;
        let mut last = 0.0;
        for (l, weight) in tones {
            (sum, last) = (sum + weight, *l);
            if sum > tail {
                break;
            }
        }
        last
    };
    (reach(&mut sorted.iter()), reach(&mut sorted.iter().rev()))
}

/// The same lightness with a* and b* in the hull of the woods near it.
pub fn reachable(tone: Lab, woods: &[Lab]) -> Lab {
    let far = |wood: &Lab| (wood.l - tone.l).abs();
    let nearest = woods.iter().map(far).fold(f64::MAX, f64::min);
    let near: Vec<[f64; 2]> = woods.iter().filter(|w| far(w) <= nearest + BAND).map(|w| [w.a, w.b]).collect();
    let [a, b] = nearest_in_hull([tone.a, tone.b], &hull(near));
    Lab { l: tone.l, a, b }
}

/// The convex hull, counterclockwise (A. M. Andrew's monotone chain, 1979); one or two points stay as they are.
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|p, q| p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let mut ring = chain(points.iter());
    ring.extend(chain(points.iter().rev()));
    ring
}

fn chain<'a>(points: impl Iterator<Item = &'a [f64; 2]>) -> Vec<[f64; 2]> {
    let mut chain: Vec<[f64; 2]> = Vec::new();
    for point in points {
        while chain.len() > 1 && turn(chain[chain.len() - 2], chain[chain.len() - 1], *point) <= 0.0 {
            chain.pop();
        }
        chain.push(*point);
    }
    chain.pop();
    chain
}

fn turn(p: [f64; 2], q: [f64; 2], r: [f64; 2]) -> f64 {
    (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
}

fn nearest_in_hull(point: [f64; 2], hull: &[[f64; 2]]) -> [f64; 2] {
    let edges: Vec<_> = (0..hull.len()).map(|i| (hull[i], hull[(i + 1) % hull.len()])).collect();
    if hull.len() > 2 && edges.iter().all(|(p, q)| turn(*p, *q, point) >= 0.0) {
        return point;
    }
    edges
        .iter()
        .map(|(p, q)| nearest_on_edge(point, *p, *q))
        .min_by(|p, q| square(*p, point).total_cmp(&square(*q, point)))
        .unwrap_or(point)
}

fn nearest_on_edge(point: [f64; 2], p: [f64; 2], q: [f64; 2]) -> [f64; 2] {
    let (x, y) = (q[0] - p[0], q[1] - p[1]);
    let length = x * x + y * y;
    if length == 0.0 {
        return p;
    }
    let share = (((point[0] - p[0]) * x + (point[1] - p[1]) * y) / length).clamp(0.0, 1.0);
    [p[0] + share * x, p[1] + share * y]
}

fn square(p: [f64; 2], q: [f64; 2]) -> f64 {
    (p[0] - q[0]) * (p[0] - q[0]) + (p[1] - q[1]) * (p[1] - q[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    const WOODS: [Lab; 4] =
        [Lab::new(20.0, 2.0, 3.0), Lab::new(45.0, 30.0, 30.0), Lab::new(50.0, 5.0, 8.0), Lab::new(80.0, 3.0, 18.0)];

    fn lightness(tones: &[f64]) -> Vec<f64> {
        let tones: Vec<(Lab, f64)> = tones.iter().map(|l| (Lab::new(*l, 5.0, 10.0), 1.0)).collect();
        let line = Line::new(&tones, &WOODS);
        tones.iter().map(|(tone, _)| line.target(*tone, &WOODS).l).collect()
    }

    #[test]
    fn a_wide_picture_is_pressed_in_and_keeps_its_order() {
        let mapped = lightness(&[2.0, 5.0, 40.0, 95.0, 99.0]);
        assert!(mapped.windows(2).all(|pair| pair[0] < pair[1]), "{mapped:?}");
        assert!((mapped[0] - 20.0).abs() < 1e-9 && (mapped[4] - 80.0).abs() < 1e-9);
    }

    #[test]
    fn a_picture_that_fits_is_left_alone() {
        let mapped = lightness(&[30.0, 50.0, 70.0]);
        assert!(mapped.iter().zip([30.0, 50.0, 70.0]).all(|(ours, tone)| (ours - tone).abs() < 1e-9), "{mapped:?}");
    }

    #[test]
    fn blue_moves_to_the_greyest_wood_near_it() {
        let of = |tone: Lab| Line::new(&[(tone, 1.0)], &WOODS).target(tone, &WOODS);
        let target = of(Lab::new(48.0, 0.0, -40.0));
        assert_eq!((target.a, target.b), (5.0, 8.0));
        let within = of(Lab::new(48.0, 15.0, 17.0));
        assert!((within.b - 16.8).abs() < 0.5, "{within:?}");
    }
}
