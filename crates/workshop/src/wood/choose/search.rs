//! The search for the set of woods and a wood for each piece.
//!
//! First the set by pieces alone: woods are added greedily, then swapped for others (Teitz and Bart 1968, with the cached
//! first and second choice of Whitaker 1983). Then whole: for each swap that pieces alone allow to win, pieces are settled
//! one after the other until none would change (iterated conditional modes, Besag 1986). What pieces alone cost is never
//! more than the whole, so a swap that costs too much by it can't win and is passed over. Ties go to the lower index.

use std::collections::BTreeSet;

use measure::Watch;

use super::problem::{Other, Problem};

/// Swaps of woods tried whole in a round, those that cost pieces alone least first. Half of this loses under 0.5 %.
const SWAPS_TRIED: usize = 160;

/// Rounds of swaps at the most; each must better the cost.
const ROUNDS: usize = 60;

/// Sweeps over the pieces at the most; four are the most seen to change anything.
const SWEEPS: usize = 12;

/// Costs nearer than this are the same.
const SAME: f64 = 1e-9;

/// A wood for each piece to be decided.
#[derive(Clone, Debug)]
pub struct Found {
    /// By the place of the piece: the wood's index.
    pub wood: Vec<usize>,
    /// What it costs.
    pub cost: f64,
}

/// The best found with at most `most` woods, held ones included.
pub fn search(problem: &Problem, most: usize, watch: Watch) -> Found {
    let mut set = by_pieces_alone(problem, most);
    let mut best = settle(problem, &set, None);
    for round in 0..ROUNDS {
        watch.tell("choosing woods", round as f64 / ROUNDS as f64);
        let Some((better_set, better)) = better_swap(problem, &set, &best, watch) else { break };
        (set, best) = (better_set, better);
    }
    watch.tell("choosing woods", 1.0);
    best
}

fn by_pieces_alone(problem: &Problem, most: usize) -> BTreeSet<usize> {
    let mut set = problem.held.clone();
    while set.len() < most.min(problem.woods) {
        let Some(next) = best_addition(problem, &set) else { break };
        set.insert(next);
    }
    while let Some((_, out, new)) = swaps(problem, &set).into_iter().next() {
        let swapped = swap(&set, out, new);
        if alone(problem, &swapped) >= alone(problem, &set) - SAME {
            break;
        }
        set = swapped;
    }
    set
}

fn best_addition(problem: &Problem, set: &BTreeSet<usize>) -> Option<usize> {
    let with = |wood: usize| alone(problem, &set.iter().copied().chain([wood]).collect());
    let candidates = (0..problem.woods).filter(|wood| !set.contains(wood)).map(|wood| (with(wood), wood));
    candidates.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map(|(_, wood)| wood)
}

/// What the pieces cost with the nearest wood of the set each.
fn alone(problem: &Problem, set: &BTreeSet<usize>) -> f64 {
    let least = |cost: &Vec<f64>| set.iter().map(|wood| cost[*wood]).fold(f64::MAX, f64::min);
    problem.pieces.iter().map(|piece| least(&piece.cost)).sum()
}

/// Every swap (cost of pieces alone, wood out, wood in), the cheapest first. Held woods stay.
fn swaps(problem: &Problem, set: &BTreeSet<usize>) -> Vec<(f64, usize, usize)> {
    let mut found = Vec::new();
    let choices: Vec<Choice> = problem.pieces.iter().map(|piece| Choice::of(&piece.cost, set)).collect();
    for new in (0..problem.woods).filter(|wood| !set.contains(wood)) {
        let mut with_all = 0.0;
        let mut lost = vec![0.0; problem.woods];
        for (piece, choice) in problem.pieces.iter().zip(&choices) {
            let cost = piece.cost[new];
            with_all += choice.first.min(cost);
            lost[choice.wood] += choice.second.min(cost) - choice.first.min(cost);
        }
        found.extend(set.difference(&problem.held).map(|out| (with_all + lost[*out], *out, new)));
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    found
}

/// A piece's first and second choice in a set.
struct Choice {
    wood: usize,
    first: f64,
    second: f64,
}

impl Choice {
    fn of(cost: &[f64], set: &BTreeSet<usize>) -> Choice {
        let mut choice = Choice { wood: 0, first: f64::MAX, second: f64::MAX };
        for wood in set {
            if cost[*wood] < choice.first {
                choice = Choice { wood: *wood, first: cost[*wood], second: choice.first };
            } else {
                choice.second = choice.second.min(cost[*wood]);
            }
        }
        choice
    }
}

fn swap(set: &BTreeSet<usize>, out: usize, new: usize) -> BTreeSet<usize> {
    set.iter().copied().filter(|wood| *wood != out).chain([new]).collect()
}

/// The first swap, by what pieces alone cost, that betters the whole.
fn better_swap(
    problem: &Problem,
    set: &BTreeSet<usize>,
    best: &Found,
    watch: Watch,
) -> Option<(BTreeSet<usize>, Found)> {
    for (alone, out, new) in swaps(problem, set).into_iter().take(SWAPS_TRIED) {
        if alone >= best.cost - SAME || watch.stopped() {
            return None;
        }
        let swapped = swap(set, out, new);
        let found = settle(problem, &swapped, Some(&best.wood));
        if found.cost < best.cost - SAME {
            return Some((swapped, found));
        }
    }
    None
}

/// Settles the pieces with the woods of `set`, once from the nearest wood each and once from `start` where it still
/// holds; the better of the two.
fn settle(problem: &Problem, set: &BTreeSet<usize>, start: Option<&[usize]>) -> Found {
    let nearest: Vec<usize> = problem.pieces.iter().map(|piece| Choice::of(&piece.cost, set).wood).collect();
    let kept = start.map(|start| {
        let keep = |(at, wood): (usize, &usize)| if set.contains(wood) { *wood } else { nearest[at] };
        sweep(problem, set, start.iter().enumerate().map(keep).collect())
    });
    let fresh = sweep(problem, set, nearest);
    kept.into_iter().chain([fresh]).min_by(|a, b| a.cost.total_cmp(&b.cost)).expect("there is always the fresh one")
}

fn sweep(problem: &Problem, set: &BTreeSet<usize>, mut wood: Vec<usize>) -> Found {
    for _ in 0..SWEEPS {
        let mut changed = false;
        for at in 0..wood.len() {
            let now = local(problem, &wood, at, wood[at]);
            let (cost, best) = set
                .iter()
                .map(|w| (local(problem, &wood, at, *w), *w))
                .fold((now - SAME, wood[at]), |least, next| if next.0 < least.0 { next } else { least });
            changed |= cost < now - SAME;
            wood[at] = best;
        }
        if !changed {
            break;
        }
    }
    let cost = whole(problem, &wood);
    Found { wood, cost }
}

/// What the piece costs with wood `mine` while all others stay.
fn local(problem: &Problem, wood: &[usize], at: usize, mine: usize) -> f64 {
    let piece = &problem.pieces[at];
    let lacks = piece.asks.iter().map(|ask| problem.lack(ask, mine, theirs(ask.other, wood)));
    piece.cost[mine] + lacks.sum::<f64>()
}

fn theirs(other: Other, wood: &[usize]) -> usize {
    match other {
        Other::Free(at) => wood[at],
        Other::Fixed(wood) => wood,
    }
}

/// What all pieces and borders cost; a border between two free pieces is asked from both sides and counted once.
pub fn whole(problem: &Problem, wood: &[usize]) -> f64 {
    let mut cost = 0.0;
    for (at, piece) in problem.pieces.iter().enumerate() {
        cost += piece.cost[wood[at]];
        for ask in &piece.asks {
            let share = if matches!(ask.other, Other::Free(_)) { 0.5 } else { 1.0 };
            cost += share * problem.lack(ask, wood[at], theirs(ask.other, wood));
        }
    }
    cost
}
