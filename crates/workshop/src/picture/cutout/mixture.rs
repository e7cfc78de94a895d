//! Colours of one side, subject or ground, as a mixture of Gaussians.
//!
//! Rother, Kolmogorov and Blake, *GrabCut* (2004): a few full-covariance Gaussians a side, first parted along the longest
//! axis of the widest (Orchard and Bouman 1991), then refitted to what lies nearest to each. Flat art makes a covariance
//! singular, so each is widened by a least spread. A small even share of all colours stands for what a side has not shown yet.

use super::moments::{Matrix, Moments, inverse, longest_axis};

/// Density of a colour that the ground has not shown, by cubic unit of even colour: a fortieth of all colours evenly.
pub(super) const UNSEEN_GROUND: f64 = 1e-7;

/// The same of the subject: higher, for what the ground does not show is rather subject. Of 1, 2, 3, 5 and 10 millionths the second
/// and third did best on subjects on photographs, alike; more keeps strange patches of the ground.
pub(super) const UNSEEN_SUBJECT: f64 = 2e-6;

/// Gaussians a side; Rother, Kolmogorov and Blake have five, but a whole picture's ground needs more.
const MOST: usize = 8;

/// Added to each variance, squared units of even colour: grain that any picture has.
const LEAST_SPREAD: f64 = 1.0;

/// Refits after the parting.
const REFITS: usize = 3;

/// A Gaussian of a smaller share of the side is not parted further.
const LEAST_SHARE: f64 = 0.01;

/// The logarithm of a density that adds nothing to speak of to that of what has not been seen: a millionth of it.
const NOTHING: f64 = -30.0;

struct Gaussian {
    mean: [f64; 3],
    /// Of the covariance.
    inverse: Matrix,
    /// Logarithm of share and normalisation.
    log: f64,
}

/// The colours of one side.
pub(super) struct Mixture {
    gaussians: Vec<Gaussian>,
    /// Density of a colour that the side has not shown.
    unseen: f64,
}

impl Mixture {
    /// Fits the side's leaves; `unseen` is the density of a colour that none of them shows.
    pub fn fit(leaves: &[Moments], unseen: f64) -> Mixture {
        let mut groups = parted(leaves);
        for _ in 0..REFITS {
            let gaussians = gaussians(&groups);
            let mut next = vec![Moments::default(); gaussians.len()];
            for leaf in leaves {
                next[nearest(&gaussians, leaf.mean())].join(leaf);
            }
            groups = next.into_iter().filter(|group| group.area() > 0.0).collect();
        }
        Mixture { gaussians: gaussians(&groups), unseen }
    }

    /// Minus the logarithm of the density at a colour.
    pub fn cost(&self, colour: [f64; 3]) -> f64 {
        -libm::log(self.density(colour) + self.unseen)
    }

    /// Whether the side shows a colour: it is denser there than what it has not shown.
    pub fn shows(&self, colour: [f64; 3]) -> bool {
        self.density(colour) > self.unseen
    }

    fn density(&self, colour: [f64; 3]) -> f64 {
        let logs = self.gaussians.iter().map(|g| g.log_density(colour));
        logs.filter(|log| *log > NOTHING).map(libm::exp).sum()
    }
}

impl Gaussian {
    fn of(group: &Moments, whole: f64) -> Gaussian {
        let mut spread = group.covariance();
        [0, 3, 5].iter().for_each(|at| spread[*at] += LEAST_SPREAD);
        let (inverse, determinant) = inverse(spread);
        let share = group.area() / whole;
        let log = libm::log(share) - 0.5 * libm::log(determinant) - 1.5 * libm::log(std::f64::consts::TAU);
        Gaussian { mean: group.mean(), inverse, log }
    }

    fn log_density(&self, colour: [f64; 3]) -> f64 {
        let [x, y, z] = std::array::from_fn(|k| colour[k] - self.mean[k]);
        let [xx, xy, xz, yy, yz, zz] = self.inverse;
        self.log - 0.5 * (xx * x * x + yy * y * y + zz * z * z) - (xy * x * y + xz * x * z + yz * y * z)
    }
}

fn gaussians(groups: &[Moments]) -> Vec<Gaussian> {
    let whole: f64 = groups.iter().map(|group| group.area()).sum();
    groups.iter().map(|group| Gaussian::of(group, whole)).collect()
}

fn nearest(gaussians: &[Gaussian], colour: [f64; 3]) -> usize {
    let key = |at: &usize| gaussians[*at].log_density(colour);
    (0..gaussians.len()).max_by(|a, b| key(a).total_cmp(&key(b)).then(b.cmp(a))).unwrap_or(0)
}

/// Parts the leaves into at most `MOST` groups, each time the one that spreads furthest along an axis.
fn parted(leaves: &[Moments]) -> Vec<Moments> {
    let mut groups: Vec<Vec<&Moments>> = vec![leaves.iter().collect()];
    let least = LEAST_SHARE * sum(&groups[0]).area();
    while groups.len() < MOST {
        let spread = |at: usize| {
            let group = sum(&groups[at]);
            let (axis, long) = longest_axis(group.covariance());
            (at, axis, group, long * group.area())
        };
        let open = (0..groups.len()).map(spread).filter(|(_, _, group, spread)| group.area() > least && *spread > 0.0);
        let Some((at, axis, group, _)) = open.max_by(|a, b| a.3.total_cmp(&b.3).then(b.0.cmp(&a.0))) else { break };
        let along = |colour: [f64; 3]| (0..3).map(|k| colour[k] * axis[k]).sum::<f64>();
        let middle = along(group.mean());
        let (far, near): (Vec<_>, Vec<_>) = groups[at].iter().partition(|leaf| along(leaf.mean()) > middle);
        if far.is_empty() || near.is_empty() {
            break;
        }
        groups[at] = near;
        groups.push(far);
    }
    groups.iter().map(|group| sum(group)).collect()
}

fn sum(group: &[&Moments]) -> Moments {
    let mut sum = Moments::default();
    group.iter().for_each(|leaf| sum.join(leaf));
    sum
}
