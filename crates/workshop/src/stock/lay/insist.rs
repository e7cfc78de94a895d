//! One more cut, insisted on from ever new starts.
//!
//! Most starts let forms move on two beds alone, the one that is cut and another, and leave the rest as it lies (a large
//! neighbourhood, after Shaw 1998): an attempt costs about a seventh of one over nine beds, so more of them come off in
//! the same time. They cut less, in proportion to the two beds, and a form of the bed that is cut first changes places with
//! a somewhat smaller one of the other, so that what comes off fills the other bed better. The others are over all beds, after Gardeyn, Vanden Berghe and Wauters (arXiv 2509.13329): the states
//! that failed are kept, a good one is drawn, two large forms change places in it and it is separated again.

use super::form::Place;
use super::separate::{Outcome, Patience};
use super::shrink::{Shrink, Stand, length};

const EXPLORING: Patience = Patience { rounds: 200, strikes: 3 };
/// For two beds.
const PAIRING: Patience = Patience { rounds: 80, strikes: 1 };
/// Of so many attempts one is over all beds.
const ALL_BEDS: usize = 4;
/// How far down the kept states the draw reaches: the width of a half bell over their number.
const DRAW: f64 = 0.25;
/// A form is traded for one that is smaller, but no smaller than this share of it.
const TRADED: f64 = 0.6;
/// The forms that together make up this share of all area are large.
const LARGE: f64 = 0.75;

impl Shrink<'_, '_> {
    /// Cuts `bed` of a stand by a share of the length in use, or of two beds, and separates from ever new starts until it
    /// succeeds.
    pub(super) fn insist(&mut self, now: &Stand, (bed, share): (usize, f64), until: u64) -> Option<Stand> {
        let Stand { beds, places } = self.cut(now, bed, (share * length(now), 0.5));
        let others: Vec<usize> = (0..beds.len()).filter(|&other| other != bed && carries(&places, other)).collect();
        let (mut kept, mut attempt, mut next) = (Vec::new(), 0, places.clone());
        while !self.over(until) {
            attempt += 1;
            let all = others.is_empty() || attempt % ALL_BEDS == 0;
            if all {
                let outcome = self.separator.separate(&beds, &next, (EXPLORING, until), self.watch);
                if outcome.loss == 0.0 {
                    return Some(Stand { beds, places: outcome.places });
                }
                next = self.drawn(&mut kept, outcome);
            } else {
                let other = others[self.separator.dice.below(others.len())];
                let found = self.pair(now, (bed, other, share), until);
                if found.is_some() {
                    return found;
                }
            }
        }
        None
    }

    /// Cuts one of two beds by a share of their length and separates on them, after a form of it was traded.
    fn pair(&mut self, now: &Stand, (bed, other, share): (usize, usize, f64), until: u64) -> Option<Stand> {
        let by = share * (now.beds[bed].long() + now.beds[other].long());
        let split = self.separator.dice.share();
        let Stand { beds, mut places } = self.cut(now, bed, (by, split));
        let mut open = beds.clone();
        open.iter_mut().enumerate().for_each(|(number, one)| one.shut = number != bed && number != other);
        self.trade(&mut places, (bed, other));
        let outcome = self.separator.separate(&open, &places, (PAIRING, until), self.watch);
        (outcome.loss == 0.0).then_some(Stand { beds, places: outcome.places })
    }

    /// A form on the first bed changes places with a somewhat smaller one on the second.
    fn trade(&mut self, places: &mut [Place], (from, to): (usize, usize)) {
        let on = |bed: usize| -> Vec<usize> {
            (0..places.len()).filter(|&p| places[p].bed == bed && self.separator.moves(p)).collect()
        };
        let (own, mut like) = (on(from), on(to));
        if own.is_empty() {
            return;
        }
        let one = own[self.separator.dice.below(own.len())];
        let smaller = |q: &usize| {
            let may = self.forms[*q].beds.contains(&from) && self.forms[one].beds.contains(&to);
            may && (TRADED..1.0).contains(&(self.forms[*q].area / self.forms[one].area))
        };
        like.retain(smaller);
        if like.is_empty() {
            return;
        }
        let other = like[self.separator.dice.below(like.len())];
        change_about(places, one, other);
    }

    /// Keeps a state and draws one of those kept, with two large forms changed about.
    fn drawn(&mut self, kept: &mut Vec<Outcome>, outcome: Outcome) -> Vec<Place> {
        let at = kept.partition_point(|other| other.loss <= outcome.loss);
        kept.insert(at, outcome);
        let drawn = (self.separator.dice.normal().abs() * DRAW * kept.len() as f64) as usize;
        let mut places = kept[drawn.min(kept.len() - 1)].places.clone();
        self.swap_two(&mut places);
        places
    }

    /// Two large forms of unlike size change places.
    fn swap_two(&mut self, places: &mut [Place]) {
        let large = self.large();
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
        change_about(places, one, other);
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

/// Two forms change places and keep their turns.
fn change_about(places: &mut [Place], one: usize, other: usize) {
    let (a, b) = (places[one], places[other]);
    places[one] = Place { turn: a.turn, ..b };
    places[other] = Place { turn: b.turn, ..a };
}

fn carries(places: &[Place], bed: usize) -> bool {
    places.iter().any(|place| place.bed == bed)
}
