//! A better place for one form among the others: places at random near it and over all its beds, then the best few walked
//! downhill along random axes and turns with shrinking steps (Gardeyn, Vanden Berghe and Wauters, arXiv 2509.13329).

use measure::Dice;

use super::form::{Form, Place};
use super::layout::Layout;
use super::turn::FULL;

/// How many places are tried: the shares decide between seeing far and settling near.
#[derive(Clone, Copy)]
pub(super) struct Tries {
    /// Over all beds.
    pub far: usize,
    /// Within the form's own box.
    pub near: usize,
    /// How many are walked downhill.
    pub walks: usize,
}

/// Steps of the first walk, from and to, as shares of the form's lesser side; and for turns in hundredths of a degree.
const COARSE: Steps = Steps { from: 0.25, to: 0.02, turn_from: 250.0, turn_to: 50.0 };
/// Steps of the walk from the best.
const FINE: Steps = Steps { from: 0.01, to: 0.001, turn_from: 50.0, turn_to: 5.0 };
/// A step grows by this after a gain.
const GROW: f64 = 1.1;
/// A step shrinks by this after none.
const SHRINK: f64 = 0.5;
/// Walks start at least this share of the lesser side apart.
const APART: f64 = 0.05;

struct Steps {
    from: f64,
    to: f64,
    turn_from: f64,
    turn_to: f64,
}

/// Seeks for one form; counts what it assesses.
pub(super) struct Seek<'s, 'a> {
    /// Where the others lie.
    pub layout: &'s mut Layout<'a>,
    /// The form.
    pub form: usize,
    /// What each hit weighs for it.
    pub weights: &'s [f32],
    /// Its chances.
    pub dice: &'s mut Dice,
    /// How many places were assessed.
    pub count: u64,
}

type Found = (f64, Place);

impl Seek<'_, '_> {
    /// The best place found and what it weighs; its present one takes part when `stay` is its weight.
    pub(super) fn best(&mut self, tries: Tries, stay: Option<f64>) -> Option<Found> {
        let mut kept: Vec<Found> = Vec::new();
        let here = self.layout.places[self.form];
        kept.extend(stay.map(|loss| (loss, here)));
        for _ in 0..tries.near {
            let place = self.near(here);
            self.keep(&mut kept, place, tries.walks);
        }
        for _ in 0..tries.far {
            let place = self.far();
            self.keep(&mut kept, place, tries.walks);
        }
        let mut walked: Vec<Found> = kept.into_iter().map(|start| self.walk(start, &COARSE)).collect();
        walked.sort_by(|a, b| a.0.total_cmp(&b.0));
        let best = walked.first().copied()?;
        Some(if best.0 > 0.0 { self.walk(best, &FINE) } else { best })
    }

    fn assess(&mut self, place: Place, most: f64) -> f64 {
        self.count += 1;
        self.layout.assess(self.form, place, self.weights, most)
    }

    fn keep(&mut self, kept: &mut Vec<Found>, place: Option<Place>, most: usize) {
        let Some(place) = place else { return };
        let bound = if kept.len() < most { f64::INFINITY } else { kept[kept.len() - 1].0 };
        let loss = self.assess(place, bound);
        if !loss.is_finite() || loss >= bound {
            return;
        }
        let like = APART * self.form().slim;
        match kept.iter().position(|other| alike(&other.1, &place, like)) {
            Some(i) if kept[i].0 <= loss => return,
            Some(i) => kept[i] = (loss, place),
            None => kept.push((loss, place)),
        }
        kept.sort_by(|a, b| a.0.total_cmp(&b.0));
        kept.truncate(most);
    }

    fn form(&self) -> &Form {
        &self.layout.forms[self.form]
    }

    /// A place whose origin lies in the form's present box.
    fn near(&mut self, here: Place) -> Option<Place> {
        let b = self.layout.bounds(self.form);
        let turn = self.any_turn();
        let at = [self.dice.between(b[0], b[2]), self.dice.between(b[1], b[3])];
        self.within(here.bed, turn, |_, k| at[k])
    }

    fn far(&mut self) -> Option<Place> {
        let (bed, turn) = (self.any_bed(), self.any_turn());
        let shares = [self.dice.share(), self.dice.share()];
        self.within(bed, turn, |(least, most), k| least + shares[k] * (most - least))
    }

    /// The place with each coordinate as `pick` has it, held within the bed; none when the form is larger than the bed.
    fn within(&mut self, bed: usize, turn: i32, pick: impl Fn((f64, f64), usize) -> f64) -> Option<Place> {
        let b = self.layout.box_at(self.form, bed, turn);
        let bed_box = self.layout.beds[bed].bounds;
        let range = |k: usize| (bed_box[k] - b[k], bed_box[k + 2] - b[k + 2]);
        let hold = |k: usize| (range(k).0 <= range(k).1).then(|| pick(range(k), k).clamp(range(k).0, range(k).1));
        Some(Place { bed, turn, at: [hold(0)?, hold(1)?] })
    }

    /// A bed that may carry the form, in proportion to area.
    fn any_bed(&mut self) -> usize {
        let beds = &self.layout.beds;
        let allowed = &self.layout.forms[self.form].beds;
        let room = |bed: &usize| if beds[*bed].shut { 0.0 } else { beds[*bed].area() };
        let mut left = self.dice.share() * allowed.iter().map(room).sum::<f64>();
        for &bed in allowed {
            left -= room(&bed);
            if left < 0.0 {
                return bed;
            }
        }
        allowed[allowed.len() - 1]
    }

    /// A turn that is allowed; every range alike.
    fn any_turn(&mut self) -> i32 {
        any_turn(&self.layout.forms[self.form], self.dice)
    }

    fn walk(&mut self, start: Found, steps: &Steps) -> Found {
        let (mut best, slim) = (start, self.form().slim);
        let mut step = [steps.from * slim; 2];
        let (mut swing, swings) = (steps.turn_from, self.form().swings());
        while best.0 > 0.0 && (step[0] > steps.to * slim || step[1] > steps.to * slim) {
            if swings && swing > steps.turn_to && self.dice.below(3) == 0 {
                let better = self.swing(&mut best, swing);
                swing *= if better { GROW } else { SHRINK };
                continue;
            }
            let axis = self.dice.below(4);
            let better = self.step(&mut best, &step, axis);
            for k in 0..2 {
                if axis != 1 - k {
                    step[k] *= if better { GROW } else { scaled(axis) };
                }
            }
        }
        best
    }

    fn step(&mut self, best: &mut Found, step: &[f64; 2], axis: usize) -> bool {
        let way = match axis {
            0 => [step[0], 0.0],
            1 => [0.0, step[1]],
            2 => [step[0], step[1]],
            _ => [step[0], -step[1]],
        };
        let from = *best;
        for sign in [1.0, -1.0] {
            let at = [from.1.at[0] + sign * way[0], from.1.at[1] + sign * way[1]];
            self.take_better(best, Place { at, ..from.1 });
        }
        best.0 < from.0
    }

    fn swing(&mut self, best: &mut Found, swing: f64) -> bool {
        let from = *best;
        for sign in [1.0, -1.0] {
            let turn = held(self.form(), from.1.turn, (sign * swing).round() as i32);
            self.take_better(best, Place { turn, ..from.1 });
        }
        best.0 < from.0
    }

    fn take_better(&mut self, best: &mut Found, place: Place) {
        let loss = self.assess(place, best.0);
        if loss < best.0 {
            *best = (loss, place);
        }
    }
}

/// A diagonal step shrinks both ways at once, so it shrinks less.
fn scaled(axis: usize) -> f64 {
    if axis < 2 { SHRINK } else { SHRINK.sqrt() }
}

fn alike(a: &Place, b: &Place, like: f64) -> bool {
    let turned = (a.turn - b.turn).rem_euclid(FULL);
    a.bed == b.bed
        && turned.min(FULL - turned) < 100
        && (a.at[0] - b.at[0]).abs() < like
        && (a.at[1] - b.at[1]).abs() < like
}

/// A turn that the form allows, every range alike.
pub(super) fn any_turn(form: &Form, dice: &mut Dice) -> i32 {
    let (from, to) = form.turns[dice.below(form.turns.len())];
    (from + dice.below((to - from) as usize + 1) as i32).rem_euclid(FULL)
}

/// The turn changed by `by`, held within the range that it lies in.
fn held(form: &Form, turn: i32, by: i32) -> i32 {
    let range = form.turns.iter().find_map(|&(from, to)| {
        let along = (turn - from).rem_euclid(FULL);
        (along <= to - from).then_some((from, along, to - from))
    });
    range.map_or(turn, |(from, along, long)| (from + (along + by).clamp(0, long)).rem_euclid(FULL))
}
