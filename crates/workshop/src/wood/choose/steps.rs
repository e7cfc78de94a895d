//! Steps of light between touching pieces, kept in what is asked of wood.
//!
//! A few woods make a ladder of few rungs, and two tones that fall on one rung lose the step between them. So where the eye
//! sees a step in the picture, the lightness asked of wood is moved until the step passes a rung: the least squares of
//! moving and of what steps still lack (tone mapping in the gradient domain; Fattal, Lischinski and Werman 2002), by
//! relaxation piece for piece. Where it fails: a long row of steps the same way soon comes to the end of the ladder.

/// A step that is seen: the paler and the darker piece by their places, and the border's length.
pub type Step = (usize, usize, f64);

/// Passes over all pieces; the lightness no longer moves by 0.01 after them in the pictures of the bench.
const PASSES: usize = 200;

/// `light`, each with its weight, moved within `range` so that each step comes near to `asked`. `pull` is what a step weighs
/// against staying, both at their mean.
pub fn stepped(
    light: &[(f64, f64)],
    steps: &[Step],
    (asked, pull): (f64, f64),
    (darkest, palest): (f64, f64),
) -> Vec<f64> {
    let mut moved: Vec<f64> = light.iter().map(|(l, _)| *l).collect();
    if steps.is_empty() {
        return moved;
    }
    let mean = |sum: f64, count: usize| (sum / count as f64).max(f64::MIN_POSITIVE);
    let stay = mean(light.iter().map(|(_, weight)| weight).sum(), light.len());
    let pull = pull * stay / mean(steps.iter().map(|step| step.2).sum(), steps.len());
    // By piece: the other one, the sense of the step, its weight.
    let mut beside: Vec<Vec<(usize, f64, f64)>> = vec![Vec::new(); light.len()];
    for (paler, darker, length) in steps {
        beside[*paler].push((*darker, 1.0, pull * length));
        beside[*darker].push((*paler, -1.0, pull * length));
    }
    for _ in 0..PASSES {
        for (at, (home, weight)) in light.iter().enumerate() {
            let (mut sum, mut all) = (weight * home, *weight);
            for (other, sense, weight) in &beside[at] {
                if sense * (moved[at] - moved[*other]) < asked {
                    (sum, all) = (sum + weight * (moved[*other] + sense * asked), all + weight);
                }
            }
            if all > 0.0 {
                moved[at] = (sum / all).clamp(darkest, palest);
            }
        }
    }
    moved
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_that_suffices_moves_nothing() {
        let light = [(70.0, 1.0), (40.0, 2.0)];
        assert_eq!(stepped(&light, &[(0, 1, 9.0)], (14.0, 3.0), (20.0, 80.0)), [70.0, 40.0]);
        assert_eq!(stepped(&light, &[], (14.0, 3.0), (20.0, 80.0)), [70.0, 40.0]);
    }

    #[test]
    fn a_pair_gives_way_by_its_weights() {
        let moved = stepped(&[(56.0, 1.0), (50.0, 2.0)], &[(0, 1, 9.0)], (14.0, 3.0), (20.0, 80.0));
        // Least of u² + 2 v² + 4.5 (8 − u − v)²: u = 2 v = 4.5 (8 − u − v).
        let u = 4.5 * 8.0 / (1.0 + 4.5 * 1.5);
        assert!((moved[0] - 56.0 - u).abs() < 1e-6 && (50.0 - moved[1] - u / 2.0).abs() < 1e-6, "{moved:?}");
    }

    #[test]
    fn nothing_leaves_the_range_and_stairs_keep_their_order() {
        let light: Vec<(f64, f64)> = (0..12).map(|at| (30.0 + 5.0 * f64::from(at), 1.0)).collect();
        let steps: Vec<Step> = (1..12).map(|at| (at, at - 1, 5.0)).collect();
        let moved = stepped(&light, &steps, (14.0, 5.0), (25.0, 85.0));
        assert!(moved.iter().all(|l| (25.0..=85.0).contains(l)));
        assert!(moved.windows(2).all(|pair| pair[0] < pair[1] + 1e-9), "{moved:?}");
    }
}
