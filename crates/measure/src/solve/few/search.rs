//! The search: sets bettered by swaps, kicked out of local optima, each settled well before it is judged.

use std::collections::BTreeSet;

use super::anneal::anneal;
use super::forest::settle_forest;
use super::net::{Net, State};
use super::sets::{self, alone, nearest, swap, swaps};
use super::settle::{SAME, exchange, settle};
use super::{Effort, Few, Labelled};
use crate::{Dice, Watch};

/// With no more sets than this, each is settled and the best are searched; more would take longer than kicks.
const SETS_TRIED: usize = 1_500;

/// How the best of them are searched, fewer and longer at each stage. The order of sets is not sure before the last: on 100
/// jobs of 30 nodes half the sets in the middle lost one optimum or two.
const STAGES: [Stage; 2] = [Stage::new(60, 24, (0, 0)), Stage::new(6, 60, (2, 2_000))];

/// The same where rooms are limited: packings that fit are few, and a set shows its worth late.
const STAGES_LIMITED: [Stage; 4] = [
    Stage::new(SETS_TRIED, 24, (0, 0)),
    Stage::new(60, 24, (1, 600)),
    Stage::new(12, 60, (2, 2_000)),
    Stage::new(3, 0, (2, 4_000)),
];

/// Swaps tried whole in a round of the first descent, those that cost nodes alone least first.
const SWAPS_TRIED: usize = 160;

/// Swaps tried whole after a kick: the set is near a good one already.
const SWAPS_AFTER_KICK: usize = 30;

/// Forests in a search of one set, and in the last one.
const FORESTS: (usize, usize) = (24, 240);

/// Forests without gain before a patch of nodes is shaken.
const PATIENCE: usize = 8;

/// Nodes of a patch that is shaken.
const PATCH: usize = 6;

/// Exchanges look at every two nodes: past this many nodes only the last search does.
const EXCHANGED: usize = 120;

/// There every so-manyth forest is followed by exchanges: they grow with the square of the nodes.
const EXCHANGED_EVERY: usize = 8;

/// The best labels found, or `None` when none was found that has the room. When the watch stops it, the best so far.
pub fn few(problem: &Few, effort: Effort, watch: Watch) -> Option<Labelled> {
    if problem.nodes.is_empty() {
        return Some(Labelled { label: Vec::new(), cost: 0.0 });
    }
    let mut search = Search { net: Net::new(problem), dice: Dice::new(effort.seed), watch };
    let first = match sets::all(problem, SETS_TRIED) {
        Some(all) => search.among(&all),
        None => search.by_swaps(effort.rounds),
    };
    let last = search.polish(&first.set, first.state, FORESTS.1);
    watch.tell("choosing", 1.0);
    search.net.labelled(&last)
}

struct Search<'a> {
    net: Net<'a>,
    dice: Dice,
    watch: Watch<'a>,
}

/// One stage of searching sets: the best so many, each by so many forests and then annealed.
struct Stage {
    sets: usize,
    forests: usize,
    annealings: usize,
    /// Of an annealing, for each node.
    steps: usize,
}

impl Stage {
    const fn new(sets: usize, forests: usize, (annealings, steps): (usize, usize)) -> Stage {
        Stage { sets, forests, annealings, steps }
    }
}

/// A set, its nodes settled, and what that costs, passed rooms counted.
#[derive(Clone)]
struct Held {
    set: BTreeSet<usize>,
    state: State,
    cost: f64,
}

impl Search<'_> {
    /// The best of a list of sets.
    fn among(&mut self, all: &[BTreeSet<usize>]) -> Held {
        let mut held: Vec<Held> = Vec::new();
        let mut best = f64::MAX;
        for set in all.iter().filter(|set| !set.is_empty()) {
            if alone(self.net.few, set) < best && (held.is_empty() || !self.watch.stopped()) {
                held.push(self.settled(set.clone(), None));
                best = held.last().map_or(best, |held| held.cost.min(best));
            }
        }
        held.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        let stages = if self.net.limited() { &STAGES_LIMITED[..] } else { &STAGES[..] };
        for stage in stages {
            held.truncate(stage.sets);
            held = held.into_iter().map(|held| self.staged(held, stage)).collect();
            held.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        }
        held.into_iter().next().expect("a problem with nodes has a set that is not empty")
    }

    fn staged(&mut self, held: Held, stage: &Stage) -> Held {
        let mut best = self.searched(held, stage.forests);
        let row: Vec<usize> = best.set.iter().copied().collect();
        for _ in 0..stage.annealings {
            if self.watch.stopped() {
                break;
            }
            let state = anneal(&self.net, &row, best.state.clone(), (stage.steps, &mut self.dice));
            let cost = self.net.penalised(&state);
            if cost < best.cost - SAME {
                best = Held { cost, state, ..best };
            }
        }
        best
    }

    fn searched(&mut self, held: Held, forests: usize) -> Held {
        if self.watch.stopped() {
            return held;
        }
        let state = self.polish(&held.set, held.state, forests);
        Held { cost: self.net.penalised(&state), state, ..held }
    }

    /// The first descent, then kicks.
    fn by_swaps(&mut self, rounds: usize) -> Held {
        let mut best = self.settled(sets::start(self.net.few), None);
        best = self.descend(best, SWAPS_TRIED);
        best = self.searched(best, FORESTS.0);
        for round in 0..rounds {
            self.watch.tell("choosing", round as f64 / rounds as f64);
            if self.watch.stopped() {
                break;
            }
            let kicked = self.kick(&best);
            let found = self.descend(kicked, SWAPS_AFTER_KICK);
            let found = self.searched(found, FORESTS.0);
            if found.cost < best.cost - SAME {
                best = found;
            }
        }
        best
    }

    /// Takes the first swap that betters the whole, again and again.
    fn descend(&mut self, mut best: Held, tries: usize) -> Held {
        while let Some(better) = self.better_swap(&best, tries) {
            best = better;
        }
        best
    }

    fn better_swap(&mut self, best: &Held, tries: usize) -> Option<Held> {
        for (alone, out, new) in swaps(self.net.few, &best.set).into_iter().take(tries) {
            if alone >= best.cost - SAME || self.watch.stopped() {
                return None;
            }
            let found = self.settled(swap(&best.set, out, new), Some(&best.state));
            if found.cost < best.cost - SAME {
                return Some(found);
            }
        }
        None
    }

    /// One or two labels of the set exchanged for others by chance, a label near to what goes more likely.
    fn kick(&mut self, best: &Held) -> Held {
        let mut set = best.set.clone();
        for _ in 0..=self.dice.below(2) {
            let all = swaps(self.net.few, &set);
            if all.is_empty() {
                break;
            }
            let share = self.dice.share();
            let (_, out, new) = all[(share * share * all.len() as f64) as usize];
            set = swap(&set, out, new);
        }
        self.settled(set, Some(&best.state))
    }

    /// Settles from the nearest label each, and from `start` where it still holds; the better of the two.
    fn settled(&mut self, set: BTreeSet<usize>, start: Option<&State>) -> Held {
        let near = nearest(self.net.few, &set);
        let kept = start.map(|start| {
            let keep = |(at, label): (usize, &usize)| if set.contains(label) { *label } else { near[at] };
            start.label.iter().enumerate().map(keep).collect::<Vec<usize>>()
        });
        let row: Vec<usize> = set.iter().copied().collect();
        let ways = kept.into_iter().chain([near.clone()]).map(|label| {
            let mut state = self.net.state(label);
            settle(&self.net, &row, &mut state);
            (self.net.penalised(&state), state)
        });
        let (cost, state) = ways.min_by(|a, b| a.0.total_cmp(&b.0)).expect("there is always the nearest");
        Held { set, state, cost }
    }

    /// Searches one set: forests at rising prices where rooms are passed, exchanges, shaken patches. Then labels that do
    /// not earn what they cost to open are dropped.
    fn polish(&mut self, set: &BTreeSet<usize>, state: State, forests: usize) -> State {
        let row: Vec<usize> = set.iter().copied().collect();
        let mut best = (self.net.penalised(&state), state.clone());
        let (mut now, mut idle) = (state, 0);
        let mut prices = vec![0.0; self.net.few.labels];
        let small = now.label.len() <= EXCHANGED;
        let exchanging = |round: usize| small || (forests == FORESTS.1 && (round + 1).is_multiple_of(EXCHANGED_EVERY));
        for round in 0..forests {
            settle_forest(&self.net, &row, &prices, (&mut now, &mut self.dice));
            let mut tidy = now.clone();
            if self.net.limited() {
                self.raise(&mut prices, &now, round);
                settle(&self.net, &row, &mut tidy);
                while exchanging(round) && exchange(&self.net, &mut tidy) {
                    settle(&self.net, &row, &mut tidy);
                }
            }
            let cost = self.net.penalised(&tidy);
            idle = if cost < best.0 - SAME { 0 } else { idle + 1 };
            if idle == 0 {
                best = (cost, tidy);
            } else if idle % PATIENCE == 0 {
                now = best.1.clone();
                self.shake(&row, &mut now);
            }
        }
        self.close(set, best.1)
    }

    /// Raises the price of labels past their room, lets that of others fall.
    fn raise(&self, prices: &mut [f64], state: &State, round: usize) {
        let few = self.net.few;
        let size: f64 = few.nodes.iter().map(|node| node.size).sum();
        let step = 0.5 * self.net.unlimited(state) / size.max(f64::MIN_POSITIVE);
        for (label, price) in prices.iter_mut().enumerate().filter(|(label, _)| few.room[*label].is_finite()) {
            let passed = (state.filled[label] - few.room[label]) / few.room[label].max(0.01 * size);
            *price = (*price + step * passed.clamp(-1.0, 1.0) / (1.0 + round as f64).sqrt()).max(0.0);
        }
    }

    /// Gives a patch of touching nodes labels by chance.
    fn shake(&mut self, row: &[usize], state: &mut State) {
        let mut patch = vec![self.dice.below(state.label.len())];
        for _ in 1..PATCH {
            let from = patch[self.dice.below(patch.len())];
            let beside = &self.net.beside[from];
            if !beside.is_empty() {
                patch.push(beside[self.dice.below(beside.len())].other);
            }
        }
        for node in patch {
            state.put(node, self.net.few.nodes[node].size, row[self.dice.below(row.len())]);
        }
    }

    /// Drops each label whose opening costs more than it saves.
    fn close(&mut self, set: &BTreeSet<usize>, state: State) -> State {
        let few = self.net.few;
        let mut best = (self.net.penalised(&state), state);
        for out in set.difference(&few.held).filter(|label| few.opening[**label] > 0.0) {
            let used: BTreeSet<usize> = best.1.label.iter().copied().filter(|label| label != out).collect();
            if used.is_empty() {
                continue;
            }
            let found = self.settled(used, Some(&best.1));
            if found.cost < best.0 - SAME {
                best = (found.cost, found.state);
            }
        }
        best.1
    }
}
