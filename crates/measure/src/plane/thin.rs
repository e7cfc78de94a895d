//! Fewer points for a line that was sampled finer than is needed.

/// A place, in any unit.
type Spot = (f64, f64);

/// The most points passed over at a time, which bounds the time.
const RUN: usize = 64;

/// Some of the points, the ends among them, such that no point left out lies farther than `off` from the line between its
/// kept neighbours. Greedy from the first point on: not the fewest possible.
pub fn thinned(points: &[Spot], off: f64) -> Vec<Spot> {
    let mut kept = Vec::with_capacity(points.len() / 2 + 2);
    kept.extend(points.first());
    let mut from = 0;
    for at in 2..points.len() {
        let line = (points[from], points[at]);
        let far = |&point: &Spot| from_segment(line, point) > off;
        if at - from > RUN || points[from + 1..at].iter().any(far) {
            from = at - 1;
            kept.push(points[from]);
        }
    }
    kept.extend(points.last().filter(|_| points.len() > 1));
    kept
}

fn from_segment((a, b): (Spot, Spot), at: Spot) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((at.0 - a.0) * dx + (at.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-12);
    let t = along.clamp(0.0, 1.0);
    let (x, y) = (a.0 + t * dx - at.0, a.1 + t * dy - at.1);
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thinned_circle_stays_near() {
        let circle: Vec<Spot> = (0..2000)
            .map(|i| libm::sincos(f64::from(i) * std::f64::consts::TAU / 2000.0))
            .map(|(s, c)| (40.0 * c, 40.0 * s))
            .collect();
        let thin = thinned(&circle, 0.06);
        assert!(thin.len() < 70 && thin.len() > 20, "{}", thin.len());
        for point in &circle {
            let near = thin.windows(2).map(|pair| from_segment((pair[0], pair[1]), *point)).fold(f64::MAX, f64::min);
            assert!(near <= 0.06 + 1e-9, "{near}");
        }
    }

    #[test]
    fn corners_stay() {
        let square = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        assert_eq!(thinned(&square, 0.06), [square[0], square[2], square[3], square[4]]);
        assert_eq!(thinned(&square[..1], 0.06), [square[0]]);
    }
}
