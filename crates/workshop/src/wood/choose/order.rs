//! As much order of light as a maker can read, for the least difference in colour.
//!
//! Woods are asked to keep the order along 95 % of the border length that asks for it. That is a constraint: its price, the
//! weight of order, is sought by halving (a Lagrange multiplier of one constraint; Fisher 1981), the least that suffices.
//! What is asked of wood is not given either. Where the picture's own lightness, pressed into the woods' range, makes order
//! dear, steps of light that the eye sees are asked for more and more strongly until order is cheap; the mildest asking that
//! does it stands. Where it fails: the share kept leaps with the weight, as one wood gives way to another, so a little more
//! than asked is kept.

use measure::Watch;
use measure::solve::{Effort, Few, Labelled, few};

use super::USUAL;
use super::problem::{Aims, Problem};

/// The share of border length along which order is to be kept.
const ASKED: f64 = 0.95;

/// The weight of a mm of order to begin with, against area^0.7 × ΔE00, and how far the first search goes from it, as a factor.
pub const ORDER: f64 = 5.0;
const FAR: f64 = 5.0;

/// Halvings of the range of weights.
const HALVINGS: usize = 6;

/// How strongly steps of light are asked for, turn by turn.
const PULLS: [f64; 4] = [0.0, 1.0, 3.0, 5.0];

/// Order that costs no more than this share of the difference in colour is cheap: nothing more is asked.
const CHEAP: f64 = 0.04;

/// For every weight but the last.
const HASTY: Effort = Effort { rounds: 8, ..USUAL };

/// A choice with what it is the best of.
pub struct Settled {
    /// The objective.
    pub few: Few,
    /// A label for each node.
    pub found: Labelled,
}

/// What one turn came to.
struct Turn {
    settled: Settled,
    kept: f64,
    /// By how much the difference in colour passes that of woods chosen for it alone, a share.
    dearer: f64,
}

/// Woods for every node, or `None` when there is not the room. Stopped, it gives the best so far.
pub fn settle(problem: &Problem, watch: Watch) -> Option<Settled> {
    let mut best: Option<Turn> = None;
    for (at, pull) in PULLS.into_iter().enumerate() {
        watch.tell("Choosing the woods", at as f64 / PULLS.len() as f64);
        let next = turn(problem, &problem.aims(pull), watch)?;
        let kept = |turn: &Turn| turn.kept.min(ASKED);
        let better = |best: &Turn| kept(&next) > kept(best) || kept(&next) == kept(best) && next.dearer < best.dearer;
        if best.as_ref().is_none_or(better) {
            best = Some(next);
        }
        if watch.stopped() || best.as_ref().is_some_and(|best| best.kept >= ASKED && best.dearer <= CHEAP) {
            break;
        }
    }
    Some(thorough(problem, best?, watch))
}

/// The least weight of order, by halving within a factor of `far` about `from`, that keeps as much as asked; else what kept
/// the most.
fn turn(problem: &Problem, aims: &Aims, watch: Watch) -> Option<Turn> {
    let (mut low, mut high) = (libm::log(ORDER / FAR), libm::log(ORDER * FAR));
    let mut best: Option<Turn> = None;
    for _ in 0..HALVINGS {
        let weight = libm::exp((low + high) / 2.0);
        let found = tried(problem, aims, weight, watch)?;
        let enough = found.kept >= ASKED;
        let better = |best: &Turn| match (enough, best.kept >= ASKED) {
            (true, true) => found.dearer < best.dearer,
            (false, false) => found.kept > best.kept,
            (enough, _) => enough,
        };
        if best.as_ref().is_none_or(better) {
            best = Some(found);
        }
        if enough {
            high = libm::log(weight)
        } else {
            low = libm::log(weight)
        }
        if watch.stopped() {
            break;
        }
    }
    let mut best = best?;
    let mut alone = best.settled.few.clone();
    alone.pairs.clear();
    let alone = few(&alone, HASTY, watch)?;
    best.dearer = best.dearer / fidelity(&best.settled.few, &alone).max(f64::MIN_POSITIVE) - 1.0;
    Some(best)
}

/// Woods for one weight; `dearer` is what the nodes alone cost.
fn tried(problem: &Problem, aims: &Aims, weight: f64, watch: Watch) -> Option<Turn> {
    let stated = problem.stated(aims, weight);
    let found = few(&stated, HASTY, watch)?;
    let (kept, dearer) = (problem.kept(&found.label).unwrap_or(1.0), fidelity(&stated, &found));
    Some(Turn { settled: Settled { few: stated, found }, kept, dearer })
}

/// The same objective searched to the usual effort, unless that gave up order for colour.
fn thorough(problem: &Problem, turn: Turn, watch: Watch) -> Settled {
    let Turn { settled, kept, .. } = turn;
    match few(&settled.few, USUAL, watch) {
        Some(found)
            if problem.kept(&found.label).unwrap_or(1.0) >= kept.min(ASKED) && found.cost <= settled.found.cost =>
        {
            Settled { found, ..settled }
        }
        _ => settled,
    }
}

/// What the nodes alone cost.
fn fidelity(few: &Few, found: &Labelled) -> f64 {
    few.nodes.iter().zip(&found.label).map(|(node, label)| node.cost[*label]).sum()
}
