//! Fewer points for an outline that is filled, hatched or kept clear of: borders themselves are drawn from their own curves.

use super::paper::Spot;
use super::room::from_segment;

/// How far a thinned outline may leave the true one, mm: half a saw line's breadth on the page, a sixth of the least white
/// around a word.
pub(super) const OFF_MM: f64 = 0.06;

/// The most points passed over at a time, which bounds the time.
const RUN: usize = 64;

/// Some of the points, such that no point left out lies farther than `OFF_MM` from the line between its kept neighbours.
/// Greedy from the first point on: not the fewest possible.
pub(super) fn thinned(points: &[Spot]) -> Vec<Spot> {
    let mut kept = Vec::with_capacity(points.len() / 2 + 2);
    kept.extend(points.first());
    let mut from = 0;
    for at in 2..points.len() {
        let line = (points[from], points[at]);
        let off = |&point: &Spot| from_segment(line, point) > OFF_MM;
        if at - from > RUN || points[from + 1..at].iter().any(off) {
            from = at - 1;
            kept.push(points[from]);
        }
    }
    kept.extend(points.last().filter(|_| points.len() > 1));
    kept
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
        let thin = thinned(&circle);
        assert!(thin.len() < 70 && thin.len() > 20, "{}", thin.len());
        for point in &circle {
            let near = thin.windows(2).map(|pair| from_segment((pair[0], pair[1]), *point)).fold(f64::MAX, f64::min);
            assert!(near <= OFF_MM + 1e-9, "{near}");
        }
    }

    #[test]
    fn corners_stay() {
        let square = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        assert_eq!(thinned(&square), [square[0], square[2], square[3], square[4]]);
        assert_eq!(thinned(&square[..1]), [square[0]]);
    }
}
