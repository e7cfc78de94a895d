//! What is to be decided, as numbers: what each wood costs each piece, and what each pair of touching pieces asks.

use std::collections::{BTreeMap, BTreeSet};

use measure::colour::{Lab, delta_e_2000};

use super::super::look;
use super::target::targets;
use super::{acts, fixed};
use crate::pattern::Outlines;
use crate::picture::Colours;
use crate::work::{AreaId, Number, State, Wood, Work};

/// A piece weighs its area to this power. At 1 a sky decides every wood; at 0.5 specks do.
const AREA_POWER: f64 = 0.7;

/// From this lightness step in the picture on, the order of two touching pieces is to be kept.
const ORDER_SEEN: f64 = 5.0;

/// The lightness step in wood that is asked then. Two is the least that counts as kept; the rest is for boards that
/// differ from the table.
const ORDER_ASKED: f64 = 3.0;

/// From this difference in the picture on, two touching pieces of like lightness are to stay apart.
const APART_SEEN: f64 = 6.0;

/// The difference in wood that is asked then: the least that shows (Allegretti and others 2009: 3 to 6 is visible).
const APART_ASKED: f64 = 3.0;

/// What a millimetre of common border costs for each unit of step that lacks, against area^0.7 × ΔE00. On three random
/// jobs of 400 pieces and 8 woods, 2.5 kept the order along 94–95 % of the border for 1–2 % more difference than the best
/// woods without it, 4 kept 95–96 % for 1–3 %, 6 kept 96–97 % for 3–5 %.
const BORDER_WEIGHT: f64 = 5.0;

/// A wrong step costs no more than this many units: past that it is just wrong.
const LACK_MOST: f64 = 8.0;

/// A piece to be decided.
pub struct Free {
    /// Its number.
    pub number: Number,
    /// What each wood costs it.
    pub cost: Vec<f64>,
    /// What it asks of its neighbours.
    pub asks: Vec<Ask>,
}

/// What a border asks of a piece and a neighbour.
pub struct Ask {
    /// The neighbour: a piece to be decided by its place, or a wood that is fixed.
    pub other: Other,
    /// 1 when the piece is to be lighter, −1 when darker, 0 when only apart.
    pub order: f64,
    /// What each unit that lacks costs.
    pub weight: f64,
}

/// The other side of a border.
#[derive(Clone, Copy)]
pub enum Other {
    /// To be decided, by its place in the row.
    Free(usize),
    /// A wood that stays.
    Fixed(usize),
}

/// Pieces to be decided and the woods that they can have.
pub struct Problem {
    /// The pieces, by number.
    pub pieces: Vec<Free>,
    /// How many woods there are.
    pub woods: usize,
    /// Woods in use that stay and count.
    pub held: BTreeSet<usize>,
    lightness: Vec<f64>,
    apart: Vec<f64>,
}

impl Problem {
    /// Reads the job. Pieces without a colour in the picture are left out.
    pub fn new(work: &Work, outlines: &Outlines, colours: &Colours, offered: &[&Wood]) -> Problem {
        let looks: Vec<Lab> = offered.iter().map(|wood| look(work, wood)).collect();
        let place = |id| offered.iter().position(|wood| &wood.id == id);
        let held: BTreeMap<Number, usize> =
            fixed(work).filter_map(|(number, chosen)| Some((number, place(&chosen.value)?))).collect();
        let apart = looks.iter().flat_map(|one| looks.iter().map(|two| delta_e_2000(*one, *two))).collect();
        let mut problem = Problem {
            pieces: free(work, outlines, colours, &looks),
            woods: looks.len(),
            held: held.values().copied().collect(),
            lightness: looks.iter().map(|look| look.l).collect(),
            apart,
        };
        problem.join(work, outlines, colours, &held);
        problem
    }

    /// What the border costs when the asking piece gets `mine` and the other has `theirs`.
    pub fn lack(&self, ask: &Ask, mine: usize, theirs: usize) -> f64 {
        let lack = if ask.order == 0.0 {
            APART_ASKED - self.apart[mine * self.woods + theirs]
        } else {
            ORDER_ASKED - ask.order * (self.lightness[mine] - self.lightness[theirs])
        };
        ask.weight * lack.clamp(0.0, LACK_MOST)
    }

    fn join(&mut self, work: &Work, outlines: &Outlines, colours: &Colours, held: &BTreeMap<Number, usize>) {
        let place: BTreeMap<AreaId, Other> = self
            .pieces
            .iter()
            .enumerate()
            .map(|(at, piece)| (work.pieces[&piece.number].area, Other::Free(at)))
            .chain(held.iter().map(|(number, wood)| (work.pieces[number].area, Other::Fixed(*wood))))
            .collect();
        for ((one, two), meeting) in &outlines.meetings {
            let (Some(a), Some(b)) = (place.get(one), place.get(two)) else { continue };
            let Some(order) = asked(colours, *one, *two) else { continue };
            let weight = BORDER_WEIGHT * meeting.length_mm;
            self.ask(*a, Ask { other: *b, order, weight });
            self.ask(*b, Ask { other: *a, order: -order, weight });
        }
    }

    fn ask(&mut self, of: Other, ask: Ask) {
        if let Other::Free(at) = of {
            self.pieces[at].asks.push(ask);
        }
    }
}

/// What the picture asks of two touching areas, if anything: the sign of the lightness step, or 0 for only apart.
fn asked(colours: &Colours, one: AreaId, two: AreaId) -> Option<f64> {
    let (a, b) = (colours.get(&one)?, colours.get(&two)?);
    if (a.l - b.l).abs() >= ORDER_SEEN {
        Some((a.l - b.l).signum())
    } else {
        (delta_e_2000(*a, *b) >= APART_SEEN).then_some(0.0)
    }
}

fn free(work: &Work, outlines: &Outlines, colours: &Colours, looks: &[Lab]) -> Vec<Free> {
    let open: Vec<(Number, Lab, f64)> = work
        .pieces
        .iter()
        .filter(|(_, piece)| piece.state == State::Planned && acts(&piece.values.wood))
        .filter_map(|(number, piece)| {
            let weight = libm::pow(outlines.areas.get(&piece.area)?.area_mm2.max(0.0), AREA_POWER);
            Some((*number, *colours.get(&piece.area)?, weight))
        })
        .collect();
    if open.is_empty() || looks.is_empty() {
        return Vec::new();
    }
    let tones: Vec<(Lab, f64)> = all_tones(work, outlines, colours);
    let map = targets(&open.iter().map(|(_, tone, _)| (*tone, 0.0)).chain(tones).collect::<Vec<_>>(), looks);
    open.iter()
        .zip(map)
        .map(|((number, _, weight), target)| Free {
            number: *number,
            cost: looks.iter().map(|look| weight * delta_e_2000(*look, target)).collect(),
            asks: Vec::new(),
        })
        .collect()
}

/// Every piece's tone with its weight, decided or not, so that the map of tones stays the same as pieces are settled.
fn all_tones(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<(Lab, f64)> {
    let tone = |area: &AreaId| Some((*colours.get(area)?, libm::pow(outlines.areas.get(area)?.area_mm2, AREA_POWER)));
    work.pieces.values().filter_map(|piece| tone(&piece.area)).collect()
}
