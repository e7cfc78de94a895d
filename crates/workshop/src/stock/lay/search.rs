//! Laying in earnest: blanks and sheets that have to do with each other are one task; each is begun plainly, given room by
//! separation for what found none, and then shrunk.
//!
//! Tasks run side by side and are merged in their order; each spends what its own blanks allow, so the outcome doesn't
//! depend on the threads.

use measure::plane::Point;
use measure::{Dice, Watch};
use rayon::prelude::*;

use super::form::{Form, Place, sin_cos};
use super::layout::Bed;
use super::poles::bounds;
use super::ring::{Spot, grown, loosened};
use super::separate::{Patience, Separator};
use super::sheet::{ROUNDING, SIMPLER, bed, spots, usable};
use super::shrink::{self, Shrink, Stand};
use super::start::start;
use super::{Blank, Lie, Lot, Rules, Sheet};

/// Places that a worker assesses for each blank and unit of effort.
pub(super) const PLACES: u64 = 2_000;
/// Seed of all chances: there is no other.
const SEED: u64 = 0x1a7e_57ed;
/// For fitting in a blank that the first layout left over.
const FITTING: Patience = Patience { rounds: 60, strikes: 1 };

/// It is fitted in on so many beds at the most.
const FITTING_BEDS: usize = 12;

/// Where each blank of each lot lies; what found no room, not at all.
pub(super) fn search(lots: &[Lot], (effort, watch): (u32, &Watch)) -> Vec<Vec<Option<Lie>>> {
    let beds_of = |lot: &Lot| lot.sheets.par_iter().map(|sheet| bed(sheet, lot.rules)).collect();
    let beds: Vec<Vec<Bed>> = lots.iter().map(beds_of).collect();
    let groups_of =
        |(at, lot): (usize, &Lot)| groups(lot.blanks, lot.sheets.len()).into_iter().map(move |group| (at, group));
    let groups: Vec<(usize, Group)> = lots.iter().enumerate().flat_map(groups_of).collect();
    let task = |(at, (blanks_of, sheets_of)): &(usize, Group)| {
        let lot = &lots[*at];
        let blanks: Vec<&Blank> = blanks_of.iter().map(|&blank| &lot.blanks[blank]).collect();
        Task::new(&blanks, sheets_of, &beds[*at], (lot.sheets, lot.rules))
    };
    let tasks: Vec<Task> = groups.par_iter().map(task).collect();
    let budget = |task: &Task| u64::from(effort) * PLACES * task.forms.len() as u64;
    let begun: Vec<Begun> = tasks.par_iter().map(|task| task.begin(budget(task), *watch)).collect();
    let mut shrinks: Vec<Shrink> = tasks.iter().zip(&begun).map(|(task, begun)| task.shrink(begun, *watch)).collect();
    // Everybody has a spell before anybody has the next: a stop finds all tasks about as far.
    let spell = |(shrink, task): (&mut Shrink, &Task)| shrink.spell(budget(task));
    while shrinks.par_iter_mut().zip(&tasks).map(spell).reduce(|| false, |a, b| a | b) {
        let done = shrinks.iter().map(Shrink::spent).sum::<u64>() as f64;
        watch.tell("Laying the pieces on the boards", (done / tasks.iter().map(budget).sum::<u64>() as f64).min(1.0));
    }
    let mut lies: Vec<Vec<Option<Lie>>> = lots.iter().map(|lot| vec![None; lot.blanks.len()]).collect();
    for (((at, (blanks_of, _)), task), (begun, shrink)) in groups.iter().zip(&tasks).zip(begun.iter().zip(shrinks)) {
        for (&p, place) in begun.index.iter().zip(shrink.best().places) {
            lies[*at][blanks_of[p]] = Some(task.lie(place, task.centres[p]));
        }
    }
    lies
}

/// Blanks and the sheets that they hang together with, by their numbers in their lot.
type Group = (Vec<usize>, Vec<usize>);

/// Blanks and sheets that hang together by what may carry what.
fn groups(blanks: &[Blank], sheets: usize) -> Vec<Group> {
    let mut of: Vec<usize> = (0..sheets).collect();
    for blank in blanks {
        for pair in blank.sheets.windows(2) {
            let (a, b) = (of[pair[0]], of[pair[1]]);
            if a != b {
                of.iter_mut().filter(|task| **task == a.max(b)).for_each(|task| *task = a.min(b));
            }
        }
    }
    let carried = |task: usize| {
        let blanks = (0..blanks.len()).filter(|&at| blanks[at].sheets.first().is_some_and(|&sheet| of[sheet] == task));
        (blanks.collect::<Vec<_>>(), (0..sheets).filter(|&sheet| of[sheet] == task).collect::<Vec<_>>())
    };
    (0..sheets).map(carried).filter(|(blanks, _)| !blanks.is_empty()).collect()
}

/// The sheets of a task, those first that cost least for what they can give up; equals stay as they come, and what costs
/// nothing, a zone of a board, stays behind the one that it follows.
fn by_yield(numbers: &[usize], sheets: &[Sheet], rules: Rules) -> Vec<usize> {
    let mut boards: Vec<&[usize]> = numbers.chunk_by(|_, next| sheets[*next].cost == 0).collect();
    let dear = |board: &&[usize]| {
        let sum = |of: &dyn Fn(&Sheet) -> f64| board.iter().map(|number| of(&sheets[*number])).sum::<f64>();
        sum(&|sheet| sheet.cost as f64) / sum(&|sheet| usable(sheet, rules)).max(1.0)
    };
    boards.sort_by(|a, b| dear(a).total_cmp(&dear(b)));
    boards.concat()
}

/// A task with its first layout.
struct Begun {
    /// The forms that found room,
    forms: Vec<Form>,
    /// their numbers in the task,
    index: Vec<usize>,
    /// and their places.
    places: Vec<Place>,
    /// Places assessed for it.
    spent: u64,
}

struct Task {
    forms: Vec<Form>,
    centres: Vec<Spot>,
    fixed: Vec<Option<Place>>,
    beds: Vec<Bed>,
    sheets: Vec<usize>,
    /// What giving up each bed saves.
    worth: Vec<i64>,
    /// Orders in which beds are begun: as they come, and by what they give for their cost.
    orders: [Vec<usize>; 2],
}

impl Task {
    fn new(blanks: &[&Blank], sheets: &[usize], beds: &[Bed], (all, rules): (&[Sheet], Rules)) -> Task {
        let inner = |sheet: &usize| sheets.binary_search(sheet).expect("a task has all sheets of its blanks");
        let reach = f64::from(rules.apart.0) / 2.0 + ROUNDING;
        let (forms, centres): (Vec<Form>, Vec<Spot>) = blanks
            .par_iter()
            .map(|blank| {
                let on = blank.sheets.iter().map(inner).collect();
                form(&blank.outer, reach, (blank.turns.clone(), on))
            })
            .unzip();
        let beds: Vec<Bed> = sheets.iter().map(|&sheet| beds[sheet].clone()).collect();
        let place = |(blank, centre): (&&Blank, &Spot)| {
            blank.fixed.map(|lie| {
                let bed = inner(&lie.sheet);
                let at = shifted([f64::from(lie.at.x), f64::from(lie.at.y)], *centre, lie.turn, 1.0);
                Place { bed, turn: lie.turn - beds[bed].grain, at }
            })
        };
        let fixed = blanks.iter().zip(&centres).map(place).collect();
        let worth = sheets.iter().map(|&sheet| all[sheet].cost).collect();
        let orders = [(0..sheets.len()).collect(), by_yield(sheets, all, rules).iter().map(inner).collect()];
        Task { forms, centres, fixed, beds, sheets: sheets.to_vec(), worth, orders }
    }

    /// The plain first layout, with the beds begun in the better order, and what it left over pressed in as far as the
    /// budget goes.
    fn begin(&self, budget: u64, watch: Watch) -> Begun {
        let [plain, other] = self
            .orders
            .each_ref()
            .map(|order| start(&self.forms, (&self.beds, order), &self.fixed, &mut Dice::new(SEED)));
        let mut found = if self.cost(&plain) < self.cost(&other) { plain } else { other };
        let mut spent = 0;
        for left in (0..found.len()).filter(|&p| found[p].is_none()).collect::<Vec<_>>() {
            if spent < budget {
                spent += self.fit_in(left, &mut found, budget - spent, watch);
            }
        }
        let (forms, index, places) = self.present(&found);
        Begun { forms, index, places, spent }
    }

    /// How many forms lie nowhere, and what the beds in use cost up to about where the best of them is cut: forms
    /// are taken for circles of their extent.
    fn cost(&self, found: &[Option<Place>]) -> (usize, f64) {
        let end = |bed: usize| {
            let on = self.forms.iter().zip(found).filter_map(|(form, place)| Some((form, (*place)?)));
            let on = on.filter(|(_, place)| place.bed == bed);
            on.map(|(form, place)| place.at[self.beds[bed].axis] + form.across / 2.0).reduce(f64::max)
        };
        let (mut cost, mut most) = (0.0, 0.0_f64);
        for (number, bed) in self.beds.iter().enumerate() {
            let Some(end) = end(number) else { continue };
            let worth = self.worth[number] as f64;
            cost += worth;
            most = most.max(worth * ((bed.bounds[bed.axis + 2] - end) / bed.long()).max(0.0));
        }
        (found.iter().filter(|place| place.is_none()).count(), cost - most)
    }

    /// Presses a form in among the others on any of its beds and separates; what it cost.
    fn fit_in(&self, left: usize, found: &mut [Option<Place>], budget: u64, watch: Watch) -> u64 {
        let mut spent = 0;
        let used = |bed: usize| {
            let on = found.iter().zip(&self.forms).filter(|(place, _)| place.is_some_and(|place| place.bed == bed));
            on.map(|(_, form)| form.area).sum::<f64>()
        };
        let room = |bed: &usize| used(*bed) + self.forms[left].area < self.beds[*bed].area();
        let beds: Vec<usize> = self.forms[left].beds.iter().copied().filter(room).take(FITTING_BEDS).collect();
        for bed in beds {
            let b = self.beds[bed].bounds;
            let at = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
            let turn = self.forms[left].turns.first().map_or(0, |turns| turns.0);
            found[left] = Some(Place { bed, turn, at });
            let (forms, index, mut places) = self.present(found);
            let mut separator = self.separator(&forms, &index, &self.beds, &places);
            let outcome = separator.separate(&self.beds, &places, (FITTING, budget - spent.min(budget)), watch);
            spent += separator.spent;
            found[left] = None;
            if outcome.loss == 0.0 {
                places = outcome.places;
                index.iter().zip(places).for_each(|(&p, place)| found[p] = Some(place));
                break;
            }
        }
        spent
    }

    fn shrink<'w>(&self, begun: &'w Begun, watch: Watch<'w>) -> Shrink<'w, 'w> {
        let Begun { forms, index, places, spent } = begun;
        let mut stand = Stand::new(self.beds.clone(), places.clone());
        let mut separator = self.separator(forms, index, &stand.beds, places);
        separator.spent = *spent;
        for (p, place) in places.iter().enumerate().filter(|(p, _)| self.fixed[index[*p]].is_some()) {
            let bed = &mut stand.beds[place.bed];
            bed.least = bed.least.max(separator.layout().bounds(p)[bed.axis + 2]);
        }
        let ends = self.beds.iter().map(|bed| bed.bounds[bed.axis + 2]).collect();
        Shrink::new(separator, forms, shrink::Task { stand, ends, worth: self.worth.clone(), watch })
    }

    /// The forms that lie somewhere, their numbers and where.
    fn present(&self, found: &[Option<Place>]) -> (Vec<Form>, Vec<usize>, Vec<Place>) {
        let index: Vec<usize> = (0..found.len()).filter(|&p| found[p].is_some()).collect();
        let forms = index.iter().map(|&p| self.forms[p].clone()).collect();
        let places = index.iter().filter_map(|&p| found[p]).collect();
        (forms, index, places)
    }

    fn separator<'f>(&self, forms: &'f [Form], index: &[usize], beds: &[Bed], places: &[Place]) -> Separator<'f> {
        let movable = index.iter().map(|&p| self.fixed[p].is_none()).collect();
        Separator::new(forms, movable, beds, places, SEED)
    }

    fn lie(&self, place: Place, centre: Spot) -> Lie {
        let turn = (place.turn + self.beds[place.bed].grain).rem_euclid(super::turn::FULL);
        let at = shifted(place.at, centre, turn, -1.0);
        Lie { sheet: self.sheets[place.bed], turn, at: Point::new(at[0].round() as i32, at[1].round() as i32) }
    }
}

/// A place moved by a form's centre, turned.
fn shifted(at: Spot, centre: Spot, turn: i32, sign: f64) -> Spot {
    let (sin, cos) = sin_cos(turn);
    [at[0] + sign * (centre[0] * cos + centre[1] * sin), at[1] + sign * (centre[1] * cos - centre[0] * sin)]
}

/// The form of an outline about the middle of its box, and that middle.
fn form(outer: &[Point], reach: f64, (turns, on): (Vec<(i32, i32)>, Vec<usize>)) -> (Form, Spot) {
    let ring = loosened(grown(&spots(outer), reach), SIMPLER.0, SIMPLER.1);
    let [left, top, right, bottom] = bounds(&ring);
    let centre = [((left + right) / 2.0).round(), ((top + bottom) / 2.0).round()];
    let ring = ring.into_iter().map(|p| [p[0] - centre[0], p[1] - centre[1]]).collect();
    (Form::new(ring, turns, on), centre)
}
