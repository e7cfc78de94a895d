//! The ways out of a contradiction, each tried on stock before it is offered.
//!
//! A figure is loosened to the nearest one that the heights in stock can have: for a height these heights, for a step the
//! differences between any two. Since these are all, the first that holds is the smallest loosening. Where no figure helps,
//! it is said of the relation; then come wider limits and more stock, taking back, and letting go of what the hand has fixed.

use std::collections::BTreeSet;

use measure::length::Um;

use super::anchor::stands_at;
use super::choices::{Choices, builds};
use super::conflict::Core;
use super::edit::{check_says, settled as made};
use super::system::{Source, System};
use super::trial::{Said, Trial};
use super::words;
use crate::work::edit::relief::Edit as Relief;
use crate::work::edit::setup;
use crate::work::{By, Edit, Number, Relation, RelationId, Says, Stock, Way, Whom, Work};

/// Taller is no wood picture; the same as for any height that is given.
const TALLEST: i32 = 200_000;

/// Loosenings, the smallest first; then limits, taking back, and letting go.
pub(super) fn ways(work: &Work, every: &Said, core: &Core, fixed: &[Number]) -> Vec<Way> {
    let small = Trial::of(work, &core.said);
    let (loose, stiff) = loosened(work, core, small.clone());
    let mut ways = Vec::new();
    for (id, says) in loose {
        let text = format!("Say instead: {}", words::says(work, &says));
        let strength = every[&id].strength;
        ways.push(Way::by(text, vec![Edit::Relief(Relief::Restate { relation: id, says, strength })]));
    }
    for id in stiff {
        let said = words::says(work, &every[&id].says);
        ways.push(Way::advice(format!(
            "No other figure helps in “{said}”: it must go, or one of the others give way."
        )));
    }
    ways.extend(wider(work, core, &small));
    ways.extend(deeper(work, core, &small));
    for id in core.said.keys() {
        let text = format!("Take back: {}", words::says(work, &every[id].says));
        ways.push(Way::by(text, vec![Edit::Relief(Relief::Unrelate(*id))]));
    }
    for number in fixed.iter().filter(|number| by_hand(work, **number)) {
        if small.holds_without(&core.said, *number) {
            let unpin = Edit::Relief(Relief::Unpin(Whom::Piece(*number)));
            ways.push(Way::by(format!("Leave the height of piece {number} open"), vec![unpin]));
        }
    }
    let whole = Trial::new(work);
    for way in ways.iter_mut().filter(|way| !way.edits.is_empty() && !whole.holds_after(every, &way.edits)) {
        way.says.push_str(" (another contradiction remains)");
    }
    ways
}

fn by_hand(work: &Work, number: Number) -> bool {
    let values = &work.pieces[&number].values;
    let fact = [values.height, values.thickness, values.raiser].iter().flatten().any(|chosen| chosen.by == By::Fact);
    !fact && !made(work, number)
}

/// What may be said instead, the smallest change first, and the relations of which no figure helps.
fn loosened(work: &Work, core: &Core, mut trial: Trial) -> (Vec<(RelationId, Says)>, Vec<RelationId>) {
    let figures = Figures::of(trial.with(core.said.clone()));
    let (mut loose, mut stiff): (Vec<(i32, RelationId, Says)>, Vec<RelationId>) = (Vec::new(), Vec::new());
    for (id, relation) in &core.said {
        let mut holds = |says: &Says| {
            let mut after = core.said.clone();
            after.insert(*id, Relation { says: says.clone(), ..relation.clone() });
            check_says(work, says, relation.strength).is_ok() && trial.holds(after)
        };
        let found =
            figures.sides(&relation.says).into_iter().filter_map(|side| side.into_iter().find(|(_, one)| holds(one)));
        let before = loose.len();
        loose.extend(found.map(|(by, says)| (by, *id, says)));
        if loose.len() == before {
            stiff.push(*id);
        }
    }
    loose.sort_by_key(|(by, id, _)| (*by, *id));
    (loose.into_iter().map(|(_, id, says)| (id, says)).collect(), stiff)
}

/// What a relation may say instead, and by how much that differs, the smallest first.
type Side = Vec<(i32, Says)>;

/// The figures that stock can give.
struct Figures {
    heights: Vec<i32>,
    /// From none on.
    steps: Vec<i32>,
    frame: Option<i32>,
}

impl Figures {
    fn of(work: &Work) -> Figures {
        let system = System::whole(work);
        let lists = Choices::new(work, &system, false).lists(&system);
        let pieces = lists.into_iter().skip(1).flat_map(|list| list.at);
        let heights: BTreeSet<i32> = pieces.filter_map(|at| i32::try_from(at).ok()).collect();
        let steps: BTreeSet<i32> = heights.iter().flat_map(|a| heights.iter().map(move |b| (a - b).abs())).collect();
        let frame = work.choices.frame_depth.map(|depth| depth.0);
        Figures { heights: heights.into_iter().collect(), steps: steps.into_iter().collect(), frame }
    }

    /// The steps that there can be between two, from none on: from an anchor those to the heights.
    fn steps(&self, above: Whom, below: Whom) -> Vec<i32> {
        let from = match (above, below) {
            (Whom::Backer, _) | (_, Whom::Backer) => Some(0),
            (Whom::Frame, _) | (_, Whom::Frame) => self.frame,
            _ => None,
        };
        let Some(from) = from else { return self.steps.clone() };
        let steps: BTreeSet<i32> = self.heights.iter().map(|height| (height - from).abs()).chain([0]).collect();
        steps.into_iter().collect()
    }

    /// The ways in which a relation may give: each of its figures down and up, and saying less than it says.
    fn sides(&self, says: &Says) -> Vec<Side> {
        let less = |says: Says| vec![(0, says)];
        match says {
            Says::AtLeast { above, below, by } => {
                let at_least = |by| Says::AtLeast { above: *above, below: *below, by };
                vec![down(&self.steps(*above, *below), by.0, at_least)]
            }
            Says::About { above, below, by } => {
                let about = |by| Says::About { above: *above, below: *below, by };
                let turned = |of: &i32| (by.0 + of, Says::About { above: *below, below: *above, by: Um(*of) });
                let steps = self.steps(*above, *below);
                let mut lower = down(&steps, by.0, about);
                lower.extend(steps.iter().filter(|of| **of > 0).map(turned));
                vec![lower, up(&steps, by.0, about), at_least_so(says)]
            }
            Says::Level(a, b) => [(*a, *b), (*b, *a)].map(|of| less(no_lower(of))).into(),
            Says::SameAs(a, b) => {
                let order = vec![(0, Says::Level(*a, *b)), (0, no_lower((*a, *b))), (0, no_lower((*b, *a)))];
                vec![order]
            }
            Says::At(whom, at) => both(&self.heights, at.0, |at| Says::At(*whom, at)),
            Says::Within(whom, least, most) => vec![
                down(&self.heights, least.0, |least| Says::Within(*whom, least, *most)),
                up(&self.heights, most.0, |most| Says::Within(*whom, *least, most)),
            ],
            Says::Climbs { row, from, to } => {
                let climbs = |from, to| Says::Climbs { row: row.clone(), from, to };
                let mut sides = both(&self.heights, from.0, |from| climbs(from, *to));
                sides.extend(both(&self.heights, to.0, |to| climbs(*from, to)));
                sides.iter_mut().for_each(|side| side.retain(|(_, says)| rises(says)));
                sides
            }
        }
    }
}

fn rises(says: &Says) -> bool {
    !matches!(says, Says::Climbs { from, to, .. } if from > to)
}

/// Level, loosened: the one no lower than the other.
fn no_lower((above, below): (Whom, Whom)) -> Says {
    Says::AtLeast { above, below, by: Um(0) }
}

/// About so far, loosened: at least so far.
fn at_least_so(says: &Says) -> Side {
    match says {
        Says::About { above, below, by } => vec![(0, Says::AtLeast { above: *above, below: *below, by: *by })],
        _ => Vec::new(),
    }
}

fn both(figures: &[i32], from: i32, say: impl Fn(Um) -> Says + Copy) -> Vec<Side> {
    vec![down(figures, from, say), up(figures, from, say)]
}

fn down(figures: &[i32], from: i32, say: impl Fn(Um) -> Says) -> Side {
    figures.iter().rev().filter(|to| **to < from).map(|to| (from - to, say(Um(*to)))).collect()
}

fn up(figures: &[i32], from: i32, say: impl Fn(Um) -> Says) -> Side {
    figures.iter().filter(|to| **to > from).map(|to| (to - from, say(Um(*to)))).collect()
}

/// A wider range of heights or one more thickness, with which these hold; words where neither does.
fn wider(work: &Work, core: &Core, trial: &Trial) -> Option<Way> {
    let limited = core.chain.iter().any(|source| matches!(source, Source::Lowest | Source::Highest));
    if !limited && core.over.is_some() {
        return None;
    }
    let stock = &work.choices.stock;
    let of = |(stock, says): (Stock, String)| {
        let edit = Edit::Setup(setup::Edit::Stock(stock.clone()));
        trial.holds_on(&core.said, stock).then(|| Way::by(says, vec![edit]))
    };
    let ranges = ranges(work, stock).into_iter();
    let advice = "Widen the range of heights, or add a thickness or a raiser: on the Relief page under Stock and range, or \
                  by an edit of setup.stock.";
    ranges.chain(thicknesses(work, core)).find_map(of).or_else(|| Some(Way::advice(advice)))
}

/// The frame that is nearest to as deep as it is and leaves each piece a height, where its front is spoken of.
fn deeper(work: &Work, core: &Core, trial: &Trial) -> Option<Way> {
    let depth = stands_at(work, Whom::Frame)?.0;
    let spoken: Vec<&Says> =
        core.said.values().map(|one| &one.says).filter(|says| says.speaks_of(Whom::Frame)).collect();
    let below = |says: &&Says| Says::clone(says).distance().map_or(0, |by| by.0);
    let stock = builds(&work.choices.stock, None, None);
    let fronts = spoken.iter().flat_map(|says| stock.iter().map(move |build| build.height + below(says)));
    let mut fronts: Vec<i32> = fronts.filter(|front| (1..=TALLEST).contains(front) && *front != depth).collect();
    fronts.sort_by_key(|front| ((front - depth).abs(), *front));
    fronts.dedup();
    let front = fronts.into_iter().find(|front| trial.holds_in_frame(&core.said, Um(*front)))?;
    let edit = Edit::Setup(setup::Edit::FrameDepth(Some(Um(front))));
    Some(Way::by(format!("Take a frame that is {} deep", words::length(work, Um(front))), vec![edit]))
}

/// The range let out to each height that stock gives beyond it, the nearest first.
fn ranges(work: &Work, stock: &Stock) -> Vec<(Stock, String)> {
    let all = builds(&Stock { lowest: Um(0), highest: Um(TALLEST), ..stock.clone() }, None, None);
    let out = |height: i32| {
        let long = words::length(work, Um(height));
        if height > stock.highest.0 {
            let says = format!("Let heights go up to {long}");
            Some((height - stock.highest.0, Stock { highest: Um(height), ..stock.clone() }, says))
        } else if height < stock.lowest.0 {
            let says = format!("Let heights go down to {long}");
            Some((stock.lowest.0 - height, Stock { lowest: Um(height), ..stock.clone() }, says))
        } else {
            None
        }
    };
    let mut ranges: Vec<(i32, Stock, String)> = all.iter().filter_map(|build| out(build.height)).collect();
    ranges.sort_by_key(|(by, ..)| *by);
    ranges.into_iter().map(|(_, stock, says)| (stock, says)).collect()
}

/// Stock with one more thickness: of a height that is demanded, or as far beyond the range as is needed.
fn thicknesses(work: &Work, core: &Core) -> Vec<(Stock, String)> {
    let stock = &work.choices.stock;
    let over = i32::try_from(core.over.unwrap_or(0)).unwrap_or(TALLEST);
    let mut wanted: BTreeSet<i32> = core.said.values().flat_map(|relation| heights(&relation.says)).collect();
    wanted.extend([stock.highest.0.saturating_add(over), stock.lowest.0 - over]);
    let new = |at: &i32| (1..=TALLEST).contains(at) && !stock.thicknesses.contains(&Um(*at));
    let with = |at: i32| {
        let mut more = stock.clone();
        more.thicknesses.push(Um(at));
        more.thicknesses.sort_unstable();
        (more.lowest, more.highest) = (stock.lowest.min(Um(at)), stock.highest.max(Um(at)));
        (more, format!("Add a thickness of {} to the stock", words::length(work, Um(at))))
    };
    wanted.into_iter().filter(new).map(with).collect()
}

/// Heights that a relation demands.
fn heights(says: &Says) -> Vec<i32> {
    match says {
        Says::At(_, at) => vec![at.0],
        Says::Within(_, least, most) => vec![least.0, most.0],
        Says::Climbs { from, to, .. } => vec![from.0, to.0],
        _ => Vec::new(),
    }
}
