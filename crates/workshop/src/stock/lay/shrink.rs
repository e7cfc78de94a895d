//! Taking material away: cut a little off one bed, push what lay beyond back over the rest, separate; a bed that no form
//! fits any more is given up and the next one shrinks.
//!
//! Two gaits after Gardeyn, Vanden Berghe and Wauters (arXiv 2509.13329). *Explore* takes larger cuts; where a separation
//! fails the cut is halved, and the smallest is insisted on (`insist`). *Press* takes finer and finer cuts at random places
//! from the best state. The gaits take turns in spells that grow, by a plan that doesn't know the effort allowed, so more
//! effort continues the same search and is never worse.

use measure::Watch;

use super::form::{Form, Place};
use super::layout::Bed;
use super::separate::{Patience, Separator};

/// For a cut that may still be made smaller.
const HASTY: Patience = Patience { rounds: 40, strikes: 1 };
const PRESSING: Patience = Patience { rounds: 100, strikes: 5 };
/// The first and the last cut while exploring, as shares of the length of all beds in use.
const CUT: (f64, f64) = (0.016, 0.001);
/// The first and the last cut while pressing.
const PRESS: (f64, f64) = (0.0005, 0.00001);
/// Places assessed in the first spell, a form.
const SPELL: u64 = 20_000;
/// Each spell is this much longer than the one before,
const LONGER: f64 = 1.5;
/// and this share of it presses.
const PRESS_SHARE: f64 = 0.25;
/// No layout of many forms is denser: what is left of the beds must hold all forms at this share to try without one.
const DENSEST: f64 = 0.97;

/// A remnant larger by less than this, µm², is no gain: whole µm on the sheet could undo it.
const TELLING: f64 = 2e7;

/// What is to be shrunk.
pub(super) struct Task<'w> {
    /// The state to begin with.
    pub stand: Stand,
    /// Where each bed ends, along its axis.
    pub ends: Vec<f64>,
    /// What giving up each bed saves.
    pub worth: Vec<i64>,
    /// Who may stop it.
    pub watch: Watch<'w>,
}

/// A valid state: nothing overlaps.
#[derive(Clone)]
pub(super) struct Stand {
    /// The beds with their limits.
    pub beds: Vec<Bed>,
    /// Where everything lies.
    pub places: Vec<Place>,
}

impl Stand {
    /// A state; beds that carry nothing are closed.
    pub(super) fn new(mut beds: Vec<Bed>, places: Vec<Place>) -> Stand {
        for (number, bed) in beds.iter_mut().enumerate() {
            if places.iter().all(|place| place.bed != number) {
                bed.close();
            }
        }
        Stand { beds, places }
    }
}

/// Takes material from a stand.
pub(super) struct Shrink<'s, 'a> {
    /// Who separates.
    pub(super) separator: Separator<'a>,
    /// What is laid.
    pub(super) forms: &'a [Form],
    /// What giving up each bed saves.
    worth: Vec<i64>,
    /// The cut to explore with next, a share of the length in use.
    cut: f64,
    /// The best by cost and remnant.
    record: (Worth, Stand),
    /// Where the search is.
    now: Stand,
    /// The length of the next spell.
    spell: u64,
    /// Where each bed ended at first.
    ends: Vec<f64>,
    /// Who may stop it.
    pub(super) watch: Watch<'s>,
}

/// What the beds in use cost, and the largest remnant, µm².
type Worth = (i64, f64);

impl<'s, 'a> Shrink<'s, 'a> {
    /// A search from a stand over what `separator` separates; `ends` are where the beds end, `worth` what each saves.
    pub(super) fn new(separator: Separator<'a>, forms: &'a [Form], task: Task<'s>) -> Self {
        let Task { stand, ends, worth, watch } = task;
        let (record, now, spell) = (((i64::MAX, 0.0), stand.clone()), stand, SPELL * forms.len() as u64);
        let mut shrink = Shrink { separator, forms, worth, cut: CUT.0, record, now, spell, ends, watch };
        shrink.record.0 = shrink.value(&shrink.record.1.clone());
        shrink
    }

    /// The next spell; whether there is anything left to do after it.
    pub(super) fn spell(&mut self, budget: u64) -> bool {
        if self.over(budget) || self.next_bed(&self.now).is_none() {
            return false;
        }
        let mut now = self.now.clone();
        let until = self.separator.spent + (self.spell as f64 * (1.0 - PRESS_SHARE)) as u64;
        self.explore(&mut now, until.min(budget));
        let until = self.separator.spent + (self.spell as f64 * PRESS_SHARE) as u64;
        self.press(&mut now, until, budget);
        self.spell = (self.spell as f64 * LONGER) as u64;
        self.now = now;
        true
    }

    /// Places assessed so far.
    pub(super) fn spent(&self) -> u64 {
        self.separator.spent
    }

    /// The best so far.
    pub(super) fn best(self) -> Stand {
        self.record.1
    }

    /// Goes on from a new stand, and keeps it if it is the best by cost and then remnant.
    fn gain(&mut self, now: &mut Stand, beds: Vec<Bed>, places: Vec<Place>) {
        *now = Stand::new(beds, places);
        let (cost, remnant) = self.value(now);
        let best = self.record.0;
        if cost < best.0 || cost == best.0 && remnant > best.1 + TELLING {
            self.record = ((cost, remnant), now.clone());
        }
    }

    fn value(&mut self, stand: &Stand) -> Worth {
        let mut reach = vec![f64::NEG_INFINITY; stand.beds.len()];
        for (p, place) in stand.places.iter().enumerate() {
            let axis = stand.beds[place.bed].axis;
            let end = place.at[axis] + self.separator.layout().box_at(p, place.bed, place.turn)[axis + 2];
            reach[place.bed] = reach[place.bed].max(end);
        }
        let used = || (0..reach.len()).filter(|&bed| reach[bed].is_finite());
        let across = |bed: usize| {
            stand.beds[bed].bounds[3 - stand.beds[bed].axis] - stand.beds[bed].bounds[1 - stand.beds[bed].axis]
        };
        let remnant = used().map(|bed| (self.ends[bed] - reach[bed]) * across(bed)).fold(0.0, f64::max);
        (used().map(|bed| self.worth[bed]).sum(), remnant)
    }

    /// Whether so many places are assessed, or somebody stops it.
    pub(super) fn over(&self, until: u64) -> bool {
        self.separator.spent >= until || self.watch.stopped()
    }

    /// The bed to shrink: the one begun, else one that the others might do without, else any; of several the one that saves
    /// the most for the area laid on it.
    fn next_bed(&self, stand: &Stand) -> Option<usize> {
        let mut used = vec![0.0; stand.beds.len()];
        stand.places.iter().zip(self.forms).for_each(|(place, form)| used[place.bed] += form.area);
        let area = |bed: usize| stand.beds[bed].area();
        let room: f64 = (0..used.len()).filter(|&bed| used[bed] > 0.0).map(area).sum();
        let whole: f64 = used.iter().sum();
        let fixed = |bed: usize| stand.beds[bed].spare() < stand.beds[bed].long();
        // What is saved for each bit of area that must find another place.
        let gain = |bed: usize| self.worth[bed].max(1) as f64 / used[bed];
        let spare = |bed: usize| !fixed(bed) && whole <= DENSEST * (room - area(bed));
        let rank = |bed: usize| (stand.beds[bed].begun, spare(bed), gain(bed));
        let candidates = (0..used.len()).filter(|&bed| used[bed] > 0.0 && stand.beds[bed].spare() > 0.0);
        candidates.max_by(|&a, &b| {
            let (p, q) = (rank(a), rank(b));
            p.0.cmp(&q.0).then(p.1.cmp(&q.1)).then(p.2.total_cmp(&q.2)).then(b.cmp(&a))
        })
    }

    fn explore(&mut self, now: &mut Stand, until: u64) {
        while !self.over(until) {
            let Some(bed) = self.next_bed(now) else { return };
            if self.cut > CUT.1 {
                let next = self.cut(now, bed, (self.cut * length(now), 0.5));
                let outcome = self.separator.separate(&next.beds, &next.places, (HASTY, until), self.watch);
                match outcome.loss == 0.0 {
                    true => self.gain(now, next.beds, outcome.places),
                    false => self.cut = (self.cut / 2.0).max(CUT.1),
                }
            } else {
                match self.insist(now, (bed, CUT.1), until) {
                    Some(found) => self.gain(now, found.beds, found.places),
                    None => return,
                }
            }
        }
    }

    /// Presses for `until` − now places; the plan of cuts runs on that, the budget only ends it.
    fn press(&mut self, now: &mut Stand, until: u64, budget: u64) {
        let from = self.separator.spent;
        while !self.over(until.min(budget)) {
            let Some(bed) = self.next_bed(now) else { return };
            let done = (self.separator.spent - from) as f64 / (until - from) as f64;
            let share = PRESS.0 * libm::pow(PRESS.1 / PRESS.0, done);
            let split = self.separator.dice.share();
            let next = self.cut(now, bed, (share * length(now), split));
            let limit = (PRESSING, until.min(budget));
            let outcome = self.separator.separate(&next.beds, &next.places, limit, self.watch);
            if outcome.loss == 0.0 {
                self.gain(now, next.beds, outcome.places);
            }
        }
    }

    /// The stand with `by` cut off the bed, and what lies beyond the share `split` of it pushed back by as much.
    pub(super) fn cut(&self, stand: &Stand, bed: usize, (by, split): (f64, f64)) -> Stand {
        let mut next = stand.clone();
        let (axis, long) = (stand.beds[bed].axis, stand.beds[bed].long());
        let by = by.min(stand.beds[bed].spare());
        let split = stand.beds[bed].bounds[axis] + split * long;
        next.beds[bed].bounds[axis + 2] -= by;
        next.beds[bed].begun = true;
        for (p, place) in next.places.iter_mut().enumerate() {
            if place.bed == bed && place.at[axis] > split && self.separator.moves(p) {
                place.at[axis] -= by;
            }
        }
        next
    }
}

/// The length of all beds in use.
pub(super) fn length(stand: &Stand) -> f64 {
    let carries = |bed: usize| stand.places.iter().any(|place| place.bed == bed);
    (0..stand.beds.len()).filter(|&bed| carries(bed)).map(|bed| stand.beds[bed].long()).sum()
}
