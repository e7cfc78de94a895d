//! One more cut, insisted on from ever new starts.
//!
//! Most starts let forms move on two beds alone, the one that is cut and another, and leave the rest as it lies (a large
//! neighbourhood, after Shaw 1998): an attempt costs about a seventh of one over nine beds, so more of them come off in
//! the same time. The others are over all beds, after Gardeyn, Vanden Berghe and Wauters (arXiv 2509.13329): the states
//! that failed are kept, a good one is drawn, two large forms change places in it and it is separated again.

use super::form::Place;
use super::layout::Bed;
use super::separate::{Outcome, Patience};
use super::shrink::{Shrink, Stand};

const EXPLORING: Patience = Patience { rounds: 200, strikes: 3 };
/// For two beds.
const PAIRING: Patience = Patience { rounds: 80, strikes: 1 };
/// Of so many attempts one is over all beds.
const ALL_BEDS: usize = 4;
/// How far down the kept states the draw reaches: the width of a half bell over their number.
const DRAW: f64 = 0.25;
/// The forms that together make up this share of all area are large.
const LARGE: f64 = 0.75;

impl Shrink<'_, '_> {
    /// Separates a stand whose `bed` was cut, from ever new starts, until it succeeds.
    pub(super) fn insist(&mut self, start: Stand, bed: usize, until: u64) -> Option<Stand> {
        let Stand { beds, places } = start;
        let others: Vec<usize> = (0..beds.len()).filter(|&other| other != bed && carries(&places, other)).collect();
        let (mut kept, mut attempt, mut next) = (Vec::new(), 0, places.clone());
        while !self.over(until) {
            attempt += 1;
            let all = others.is_empty() || attempt % ALL_BEDS == 0;
            let outcome = if all {
                self.separator.separate(&beds, &next, (EXPLORING, until), self.watch)
            } else {
                let other = others[self.separator.dice.below(others.len())];
                self.pair(&beds, &places, [bed, other], until)
            };
            if outcome.loss == 0.0 {
                return Some(Stand { beds, places: outcome.places });
            }
            if all {
                next = self.drawn(&mut kept, outcome);
            }
        }
        None
    }

    /// Separates on two beds, after two of their large forms changed places.
    fn pair(&mut self, beds: &[Bed], places: &[Place], open: [usize; 2], until: u64) -> Outcome {
        let mut beds = beds.to_vec();
        beds.iter_mut().enumerate().for_each(|(number, bed)| bed.shut = !open.contains(&number));
        let mut places = places.to_vec();
        self.swap_two(&mut places, |bed| open.contains(&bed));
        self.separator.separate(&beds, &places, (PAIRING, until), self.watch)
    }

    /// Keeps a state and draws one of those kept, with two large forms changed about.
    fn drawn(&mut self, kept: &mut Vec<Outcome>, outcome: Outcome) -> Vec<Place> {
        let at = kept.partition_point(|other| other.loss <= outcome.loss);
        kept.insert(at, outcome);
        let drawn = (self.separator.dice.normal().abs() * DRAW * kept.len() as f64) as usize;
        let mut places = kept[drawn.min(kept.len() - 1)].places.clone();
        self.swap_two(&mut places, |_| true);
        places
    }

    /// Two large forms of unlike size on open beds change places.
    fn swap_two(&mut self, places: &mut [Place], open: impl Fn(usize) -> bool) {
        let mut large = self.large();
        large.retain(|&p| open(places[p].bed));
        if large.len() < 2 {
            return;
        }
        let one = large[self.separator.dice.below(large.len())];
        let unlike = |q: &&usize| {
            let (a, b) = (self.forms[one].area, self.forms[**q].area);
            let may =
                self.forms[one].beds.contains(&places[**q].bed) && self.forms[**q].beds.contains(&places[one].bed);
            **q != one && may && (a - b).abs() > 0.01 * a.max(b)
        };
        let others: Vec<usize> = large.iter().filter(unlike).copied().collect();
        if others.is_empty() {
            return;
        }
        let other = others[self.separator.dice.below(others.len())];
        let (a, b) = (places[one], places[other]);
        places[one] = Place { turn: a.turn, ..b };
        places[other] = Place { turn: b.turn, ..a };
    }

    /// The movable forms that make up most of the area.
    fn large(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.forms.len()).filter(|&p| self.separator.moves(p)).collect();
        order.sort_by(|&a, &b| self.forms[b].area.total_cmp(&self.forms[a].area).then(a.cmp(&b)));
        let mut left = LARGE * order.iter().map(|&p| self.forms[p].area).sum::<f64>();
        order.retain(|&p| {
            let large = left > 0.0;
            left -= self.forms[p].area;
            large
        });
        order
    }
}

fn carries(places: &[Place], bed: usize) -> bool {
    places.iter().any(|place| place.bed == bed)
}
