//! The first layout: forms by falling hull × extent, each as far left and then as far up as a search at random finds room,
//! on the first bed that has any. Wasteful (8 to 12 points of density below what separation reaches), but always valid.

use measure::Dice;

use super::form::{Form, Place};
use super::layout::{Bed, Layout};
use super::ring::Spot;
use super::seek::any_turn;

/// Places tried for a form on a bed.
const TRIES: usize = 1_000;
/// How many of the best are slid home.
const SLIDES: usize = 4;
/// The last step of a slide as a share of the form's lesser side.
const LAST_STEP: f64 = 0.002;
/// What a µm to the right weighs in µm down.
const LEFT_FIRST: f64 = 10.0;

/// Where each form lies, none when no bed had room; beds are begun in their `turn`. `fixed` places come first.
pub(super) fn start(
    forms: &[Form],
    (beds, turn): (&[Bed], &[usize]),
    fixed: &[Option<Place>],
    dice: &mut Dice,
) -> Vec<Option<Place>> {
    let mut layout = Layout::empty(forms, beds.to_vec());
    let mut found = fixed.to_vec();
    for (p, place) in found.iter().enumerate() {
        if let Some(place) = place {
            layout.put(p, *place);
        }
    }
    let weights = vec![1.0; Layout::edge_of(forms.len(), beds) + 1];
    for p in order(forms) {
        if found[p].is_none() {
            let mut filler = Filler { layout: &mut layout, form: p, weights: &weights, dice };
            found[p] = turn.iter().filter(|bed| forms[p].beds.contains(bed)).find_map(|&bed| filler.home(bed));
            if let Some(place) = found[p] {
                layout.put(p, place);
            }
        }
    }
    found
}

/// The numbers of the forms, largest first.
pub(super) fn order(forms: &[Form]) -> Vec<usize> {
    let size = |p: &usize| forms[*p].weight * forms[*p].weight * forms[*p].weight * forms[*p].weight * forms[*p].across;
    let mut order: Vec<usize> = (0..forms.len()).collect();
    order.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.cmp(b)));
    order
}

struct Filler<'s, 'a> {
    layout: &'s mut Layout<'a>,
    form: usize,
    weights: &'s [f32],
    dice: &'s mut Dice,
}

impl Filler<'_, '_> {
    fn home(&mut self, bed: usize) -> Option<Place> {
        let mut kept: Vec<(f64, Place)> = Vec::new();
        for _ in 0..TRIES {
            let bound = if kept.len() < SLIDES { f64::INFINITY } else { kept[kept.len() - 1].0 };
            if let Some(place) = self.any(bed).filter(|place| score(place) < bound && self.is_free(*place)) {
                kept.push((score(&place), place));
                kept.sort_by(|a, b| a.0.total_cmp(&b.0));
                kept.truncate(SLIDES);
            }
        }
        let slid = kept.into_iter().map(|start| self.slide(start));
        slid.min_by(|a, b| a.0.total_cmp(&b.0)).map(|best| best.1)
    }

    fn any(&mut self, bed: usize) -> Option<Place> {
        let turn = any_turn(&self.layout.forms[self.form], self.dice);
        let b = self.layout.box_at(self.form, bed, turn);
        let room = self.layout.beds[bed].bounds;
        let range = |k: usize| (room[k] - b[k], room[k + 2] - b[k + 2]);
        let mut pick = |k: usize| (range(k).0 <= range(k).1).then(|| self.dice.between(range(k).0, range(k).1));
        Some(Place { bed, turn, at: [pick(0)?, pick(1)?] })
    }

    fn is_free(&mut self, place: Place) -> bool {
        self.layout.assess(self.form, place, self.weights, 0.0) == 0.0
    }

    fn slide(&mut self, start: (f64, Place)) -> (f64, Place) {
        let slim = self.layout.forms[self.form].slim;
        let (mut best, mut step) = (start, slim);
        while step > LAST_STEP * slim {
            let ways: [Spot; 4] = [[-step, 0.0], [0.0, -step], [-step, step], [-step, -step]];
            let better = ways.into_iter().find_map(|way| {
                let at = [best.1.at[0] + way[0], best.1.at[1] + way[1]];
                let place = Place { at, ..best.1 };
                (score(&place) < best.0 && self.is_free(place)).then(|| (score(&place), place))
            });
            match better {
                Some(better) => best = better,
                None => step /= 2.0,
            }
        }
        best
    }
}

fn score(place: &Place) -> f64 {
    LEFT_FIRST * place.at[0] + place.at[1]
}
