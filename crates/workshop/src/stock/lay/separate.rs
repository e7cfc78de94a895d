//! Separation: forms that overlap are moved, one after the other, to where the weighted overlap is least, until none is
//! left; the weight of an overlap grows while it lasts (guided local search). After Gardeyn, Vanden Berghe and Wauters,
//! arXiv 2509.13329.
//!
//! A round: every worker moves all overlapping forms in an order of its own from the same state; the best outcome, lower
//! worker first, is everybody's next state. The number of workers is fixed and each has dice of its own, so the outcome
//! doesn't know how many threads there were. It fails where a way out needs several forms to move at once.

use measure::{Dice, Watch};
use rayon::prelude::*;

use super::form::{Form, Place};
use super::layout::{Bed, Layout};
use super::seek::{Seek, Tries};

/// Orders tried in a round. More find better ones and cost as many threads.
pub(super) const WORKERS: u64 = 2;
/// An overlap's weight grows by up to this much a round, by its share of the worst,
const GROW_MOST: f64 = 2.0;
/// and at least by this;
const GROW_LEAST: f64 = 1.2;
/// the weight of a pair that stands clear falls back by this.
const DECAY: f32 = 0.95;
/// A gain that counts as progress.
const GAIN: f64 = 0.98;
const TRIES: Tries = Tries { far: 50, near: 25, walks: 3 };
/// More places are tried over all beds for each bed in use beyond the first, and so many at the most.
const FAR: (usize, usize) = (12, 150);

/// When a separation gives up.
#[derive(Clone, Copy)]
pub(super) struct Patience {
    /// Rounds without progress in a strike.
    pub rounds: usize,
    /// Strikes without progress.
    pub strikes: usize,
}

/// The least overlapping state that a separation came to.
pub(super) struct Outcome {
    /// 0 when everything stands clear.
    pub loss: f64,
    /// Where everything lies.
    pub places: Vec<Place>,
}

struct Worker<'a> {
    layout: Layout<'a>,
    dice: Dice,
    count: u64,
    moved: Vec<usize>,
}

/// Separates forms on beds; keeps its workers between calls.
pub(super) struct Separator<'a> {
    forms: &'a [Form],
    movable: Vec<bool>,
    workers: Vec<Worker<'a>>,
    weights: Vec<f32>,
    row: usize,
    /// Chances of whoever drives the search.
    pub dice: Dice,
    /// Places assessed so far, of the busier worker.
    pub spent: u64,
}

impl<'a> Separator<'a> {
    /// Workers over `forms` on `beds`; forms that are not `movable` stay.
    pub(super) fn new(forms: &'a [Form], movable: Vec<bool>, beds: &[Bed], places: &[Place], seed: u64) -> Self {
        let layout = Layout::new(forms, beds.to_vec(), places);
        let worker = |number: u64| Worker {
            layout: layout.clone(),
            dice: Dice::new(seed ^ (number + 1).wrapping_mul(0xd134_2543_de82_ef95)),
            count: 0,
            moved: Vec::new(),
        };
        let row = Layout::edge_of(forms.len(), beds) + 1;
        let workers = (0..WORKERS).map(worker).collect();
        let weights = vec![1.0; forms.len() * row];
        Separator { forms, movable, workers, weights, row, dice: Dice::new(seed), spent: 0 }
    }

    /// The first worker's layout, to look at.
    pub(super) fn layout(&mut self) -> &mut Layout<'a> {
        &mut self.workers[0].layout
    }

    /// Whether form `p` may be moved.
    pub(super) fn moves(&self, p: usize) -> bool {
        self.movable[p]
    }

    /// Moves forms until nothing overlaps, patience ends, `budget` places are assessed or the watch stops it.
    pub(super) fn separate(
        &mut self,
        beds: &[Bed],
        places: &[Place],
        (patience, budget): (Patience, u64),
        watch: Watch,
    ) -> Outcome {
        self.workers.par_iter_mut().for_each(|worker| worker.layout.reset(beds, places));
        self.weights.fill(1.0);
        let mut best = Outcome { loss: self.workers[0].layout.loss(), places: places.to_vec() };
        let mut strikes = 0;
        while strikes < patience.strikes && best.loss > 0.0 && self.spent < budget && !watch.stopped() {
            let before = best.loss;
            self.strike(&mut best, patience.rounds, budget, watch);
            strikes = if best.loss < GAIN * before { 0 } else { strikes + 1 };
            if best.loss > 0.0 {
                self.workers.par_iter_mut().for_each(|worker| worker.layout.reset(beds, &best.places));
            }
        }
        best
    }

    fn strike(&mut self, best: &mut Outcome, rounds: usize, budget: u64, watch: Watch) {
        let mut idle = 0;
        while idle < rounds && best.loss > 0.0 && self.spent < budget && !watch.stopped() {
            let loss = self.round();
            idle = if loss < GAIN * best.loss { 0 } else { idle + 1 };
            if loss < best.loss {
                *best = Outcome { loss, places: self.workers[0].layout.places.clone() };
            }
        }
    }

    /// One round; the loss after it.
    fn round(&mut self) -> f64 {
        let (weights, row, movable) = (&self.weights, self.row, &self.movable);
        let turns: Vec<(f64, f64)> =
            self.workers.par_iter_mut().map(|worker| worker.turn(weights, row, movable)).collect();
        self.spent += self.workers.iter_mut().map(|worker| std::mem::take(&mut worker.count)).max().unwrap_or(0);
        let winner = (0..turns.len()).min_by(|&a, &b| turns[a].0.total_cmp(&turns[b].0)).unwrap_or(0);
        self.follow(winner);
        self.reweigh();
        turns[winner].1
    }

    /// Everybody takes the winner's places.
    fn follow(&mut self, winner: usize) {
        let mut moved: Vec<usize> =
            self.workers.iter_mut().flat_map(|worker| std::mem::take(&mut worker.moved)).collect();
        moved.sort_unstable();
        moved.dedup();
        let to: Vec<Place> = moved.iter().map(|&p| self.workers[winner].layout.places[p]).collect();
        for worker in &mut self.workers {
            for (&p, &place) in moved.iter().zip(&to) {
                if worker.layout.places[p] != place {
                    worker.layout.put(p, place);
                }
            }
        }
    }

    fn reweigh(&mut self) {
        let layout = &self.workers[0].layout;
        let hits = || (0..self.forms.len()).flat_map(|p| layout.hits(p).iter().map(move |hit| (p, hit)));
        let worst = hits().map(|(_, hit)| hit.1).fold(0.0, f64::max);
        let grown: Vec<(usize, f32)> = hits()
            .map(|(p, hit)| {
                let by = GROW_LEAST + (GROW_MOST - GROW_LEAST) * hit.1 / worst;
                let at = p * self.row + hit.0 as usize;
                (at, self.weights[at] * by as f32)
            })
            .collect();
        self.weights.iter_mut().for_each(|weight| *weight = (*weight * DECAY).max(1.0));
        for (at, weight) in grown {
            self.weights[at] = weight;
        }
    }
}

impl Worker<'_> {
    /// Moves every form that overlaps; the weighted loss and the plain one after it.
    fn turn(&mut self, weights: &[f32], row: usize, movable: &[bool]) -> (f64, f64) {
        let mut order: Vec<usize> =
            (0..movable.len()).filter(|&p| movable[p] && !self.layout.hits(p).is_empty()).collect();
        self.dice.shuffle(&mut order);
        for p in order {
            if !self.layout.hits(p).is_empty() {
                self.shift(p, &weights[p * row..(p + 1) * row]);
            }
        }
        let weighed = |p: usize| self.layout.weighed(p, &weights[p * row..(p + 1) * row]);
        ((0..movable.len()).map(weighed).sum(), self.layout.loss())
    }

    fn shift(&mut self, p: usize, weights: &[f32]) {
        let now = self.layout.weighed(p, weights);
        let open = |bed: &&usize| self.layout.beds[**bed].long() > 0.0 && !self.layout.beds[**bed].shut;
        let more = FAR.0 * self.layout.forms[p].beds.iter().filter(open).count().saturating_sub(1);
        let tries = Tries { far: (TRIES.far + more).min(FAR.1), ..TRIES };
        let (layout, dice) = (&mut self.layout, &mut self.dice);
        let mut seek = Seek { layout, form: p, weights, dice, count: 0 };
        let found = seek.best(tries, Some(now));
        self.count += seek.count;
        if let Some((_, place)) = found.filter(|found| found.0 < now) {
            self.layout.put(p, place);
            self.moved.push(p);
        }
    }
}
