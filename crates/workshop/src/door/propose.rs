//! Long acts in two steps: a pure proposal, and the taking of its values.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use measure::length::Um;
use measure::{Stamp, Watch, stamp};

use super::paper;
use crate::derived::Derived;
use crate::pattern::{Outlines, Own};
use crate::picture::{Labels, Raster, Tree};
use crate::work::{
    AreaId, Ask, Axis, By, Changes, Chosen, Cost, InkChoice, Lie, Number, Pattern, Piece, Proposal, Refusal,
    TraceChoices, Values, Way, WoodId, Work,
};
use crate::{pattern, picture, relief, saw, stock, wood};

/// Necks up to this wide are kept free of short grain, µm: three times the least neck of thick stock, as the check of the saw
/// looks for it.
const NECK_UM: f64 = 9_000.0;

/// Works out an answer to `ask`. Pure: nothing changes until `Edit::Take`. A stop gives the best so far where there is
/// one (`done` is false), a refusal where there is none.
pub fn propose(work: &Work, derived: &mut Derived, ask: &Ask, watch: Watch) -> Result<Proposal, Refusal> {
    let (values, cost) = match ask {
        Ask::Trace(choices) => (trace(work, derived, choices, watch)?, 0),
        Ask::ChooseWoods => {
            let (outlines, colours) = (derived.outlines(work), derived.colours(work));
            let (woods, cost) = wood::choose(work, (&outlines, &colours), &across_necks(work, &outlines), watch)?;
            (Values::Woods(woods), cost)
        }
        Ask::TurnGrain => {
            let outlines = derived.outlines(work);
            (Values::Grain(wood::turn_grain(work, &outlines, &across_necks(work, &outlines))), 0)
        }
        Ask::WorkOutHeights => {
            let (heights, cost) = relief::heights(work, &derived.outlines(work), watch)?;
            (Values::Heights(heights), cost)
        }
        Ask::MendHeights => {
            let (heights, moved) = relief::mend(work, watch)?;
            (Values::Heights(heights), moved)
        }
        Ask::LayOut { effort } => {
            let (lies, cost) = stock::lay_out(work, &derived.outlines(work), *effort, watch);
            (Values::Layout(lies), cost)
        }
    };
    Ok(Proposal { ask: ask.clone(), rests_on: rests_on(work, ask), values, cost: Cost(cost), done: !watch.stopped() })
}

/// A drawing of the maker's own, to be taken as the pattern.
pub(super) fn drawn(work: &Work, own: &Own) -> Proposal {
    let values = Values::Pattern { draft: own.draft.clone(), swallowed: Vec::new(), loose: own.loose.clone() };
    let ask = Ask::Trace(work.choices.trace.clone());
    let rests_on = rests_on(work, &ask);
    Proposal { ask, rests_on, values, cost: Cost(0), done: true }
}

/// The directions straight across the necks of each piece, for its grain to keep off.
fn across_necks(work: &Work, outlines: &Outlines) -> wood::Necks {
    let of = |piece: &Piece| {
        let rings = outlines.areas.get(&piece.area).map_or(&[][..], |outline| &outline.rings);
        let across = |neck: &saw::Neck| {
            let (x, y) = (neck.ends.1.x - neck.ends.0.x, neck.ends.1.y - neck.ends.0.y);
            Axis::degrees(libm::atan2(-f64::from(y), f64::from(x)).to_degrees())
        };
        saw::necks(rings, NECK_UM).iter().map(across).collect()
    };
    work.pieces.iter().map(|(number, piece)| (*number, of(piece))).collect()
}

fn trace(work: &Work, derived: &mut Derived, choices: &TraceChoices, watch: Watch) -> Result<Values, Refusal> {
    if let Some(drawing) = &choices.paper {
        return paper::trace(work, derived, (choices, drawing), watch);
    }
    let grown = grown(work, derived, choices, watch)?;
    let held = pattern::held(work);
    if !held.is_empty() {
        return trace_around(work, &derived.outlines(work), (choices, &grown), &held, watch);
    }
    let regions = picture::regions(&grown.tree, work.panel, choices, &work.choices.stock, watch).ok_or_else(stopped)?;
    let mut draft = pattern::fit(&regions, work.panel, watch);
    stop_here(watch)?;
    with_ink(&mut draft, work, choices, &grown.tree);
    let loose = pattern::still_loose(grown.tree.loose(work.panel), &draft);
    Ok(Values::Pattern { draft, swallowed: regions.swallowed, loose })
}

/// The lines of a drawing that its borders follow, open where that is chosen.
fn with_ink(draft: &mut Pattern, work: &Work, choices: &TraceChoices, tree: &Tree) {
    if choices.ink != InkChoice::Leave {
        let (width, is_shadow) = (|at| tree.line_width(work.panel, at), |at| tree.is_shadow(work.panel, at));
        pattern::with_ink(draft, choices.ink == InkChoice::Open, width, is_shadow);
    }
}

/// A picture and its merge tree.
pub(super) struct Grown {
    /// What they rest on.
    pub key: Stamp,
    pub raster: Arc<Raster>,
    pub tree: Arc<Tree>,
}

/// The merge tree of the job's picture, grown unless it is at hand.
pub(super) fn grown(
    work: &Work,
    derived: &mut Derived,
    choices: &TraceChoices,
    watch: Watch,
) -> Result<Grown, Refusal> {
    let raster = derived.picture().cloned().ok_or_else(|| {
        Refusal::new("There is no picture to trace.").way(Way::advice("Start the job from a picture."))
    })?;
    let drawn = (choices.ground, choices.ink, choices.bridge, &choices.subject);
    let key = stamp(&(&work.picture, work.panel, drawn, &work.choices.stock));
    let tree = match &derived.tree {
        Some((known, tree)) if *known == key => tree.clone(),
        _ => {
            let tree = Arc::new(picture::tree(&raster, work.panel, choices, &work.choices.stock, watch)?);
            derived.keep(work, choices, (key, tree.clone()));
            tree
        }
    };
    let raster = tree.without_ink.clone().unwrap_or(raster);
    Ok(Grown { key, raster, tree })
}

/// Traces what is not held, and sets it between the borders of what is.
fn trace_around(
    work: &Work,
    outlines: &Outlines,
    (choices, grown): (&TraceChoices, &Grown),
    held: &BTreeSet<AreaId>,
    watch: Watch,
) -> Result<Values, Refusal> {
    let labels = around(outlines, &grown.raster, held);
    let (regions, owners) =
        picture::regions_around(&grown.tree, work.panel, choices, &work.choices.stock, &labels, watch);
    stop_here(watch)?;
    let mut draft = pattern::fit(&regions, work.panel, watch);
    stop_here(watch)?;
    with_ink(&mut draft, work, choices, &grown.tree);
    let around = pattern::Around { draft: &draft, labels: &regions.labels, owners: &owners };
    let draft = pattern::splice(work, &around)?;
    let loose = pattern::still_loose(grown.tree.loose(work.panel), &draft);
    Ok(Values::Pattern { draft, swallowed: regions.swallowed, loose })
}

/// By pixel of a raster the id of the held area, 0 for none.
pub(super) fn around(outlines: &Outlines, raster: &Raster, held: &BTreeSet<AreaId>) -> Labels {
    picture::held_of(outlines.labels(raster.width, raster.height), held)
}

pub(super) fn stop_here(watch: Watch) -> Result<(), Refusal> {
    if watch.stopped() { Err(stopped()) } else { Ok(()) }
}

fn stopped() -> Refusal {
    Refusal::new("Stopped; nothing was changed.")
}

/// The woods and thicknesses of the boards.
fn on_hand(work: &Work) -> BTreeSet<(&WoodId, Um)> {
    work.boards.values().map(|board| (&board.wood, board.thickness)).collect()
}

/// The fingerprint of all that an act reads.
fn rests_on(work: &Work, ask: &Ask) -> Stamp {
    match ask {
        Ask::Trace(choices) => {
            stamp(&(&work.picture, work.panel, choices, &work.choices.stock, (&work.pattern, pattern::held(work))))
        }
        Ask::ChooseWoods => {
            stamp(&(&work.picture, &work.pattern, &work.pieces, &work.woods, (&work.choices, &work.strokes)))
        }
        Ask::TurnGrain => stamp(&(&work.pattern, &work.pieces, &work.strokes)),
        Ask::WorkOutHeights | Ask::MendHeights => stamp(&(
            &work.pattern,
            &work.pieces,
            (&work.relations, &work.marks, &work.parts),
            (&work.choices.stock, work.choices.planer_settings, on_hand(work)),
        )),
        Ask::LayOut { .. } => stamp(&(
            &work.pattern,
            &work.pieces,
            &work.boards,
            &work.layout,
            (&work.choices.laying, &work.choices.choosing),
        )),
    }
}

/// Stores the values of a proposal, if what it rests on is unchanged. Hand and fact stay.
pub(super) fn take(work: &mut Work, proposal: &Proposal) -> Result<Changes, Refusal> {
    if rests_on(work, &proposal.ask) != proposal.rests_on {
        return Err(
            Refusal::new("The job has changed since this was worked out.").way(Way::advice("Work it out again."))
        );
    }
    let mut changes = Changes::default();
    match &proposal.values {
        Values::Pattern { draft, swallowed, loose } => {
            changes = pattern::accept(work, draft)?;
            work.swallowed = swallowed.clone();
            work.loose.clear();
            work.loose_lines = pattern::with_choices(loose, &work.loose_lines);
            if let Ask::Trace(choices) = &proposal.ask {
                work.choices.trace = choices.clone();
                pattern::of_parts(work);
            }
            changes.settings = true;
        }
        Values::Woods(woods) => {
            for (number, chosen) in woods {
                let Some(piece) = work.pieces.get_mut(number) else { continue };
                let wood = put(&mut piece.values.wood, chosen.wood.clone());
                let grain = put(&mut piece.values.grain, chosen.grain);
                if wood || grain {
                    changes.pieces.insert(*number);
                }
            }
        }
        Values::Grain(axes) => {
            for (number, axis) in axes {
                let Some(piece) = work.pieces.get_mut(number) else { continue };
                if put(&mut piece.values.grain, *axis) {
                    changes.pieces.insert(*number);
                }
            }
        }
        Values::Layout(lies) => changes = lay(work, lies),
        Values::Heights(heights) => {
            for (number, landed) in heights {
                let Some(piece) = work.pieces.get_mut(number) else { continue };
                let height = put(&mut piece.values.height, landed.height);
                let thickness = put(&mut piece.values.thickness, landed.thickness);
                let raiser = put(&mut piece.values.raiser, landed.raiser);
                if height || thickness || raiser {
                    changes.pieces.insert(*number);
                }
            }
        }
    }
    Ok(changes)
}

/// Lays pieces where the act says, and takes up what acts laid before.
fn lay(work: &mut Work, lies: &BTreeMap<Number, Lie>) -> Changes {
    let before = std::mem::take(&mut work.layout);
    work.layout = before.iter().filter(|(_, old)| old.by != By::Act).map(|(number, old)| (*number, *old)).collect();
    for (number, lie) in lies {
        work.layout.entry(*number).or_insert(Chosen::act(*lie));
    }
    let differs = |number: &&Number| before.get(*number) != work.layout.get(*number);
    let pieces: BTreeSet<Number> = before.keys().chain(lies.keys()).filter(differs).copied().collect();
    let lies = pieces.iter().flat_map(|number| [before.get(number), work.layout.get(number)]).flatten();
    Changes { boards: lies.map(|chosen| chosen.value.board).collect(), pieces, ..Changes::default() }
}

/// Puts an act's value where only acts have chosen; whether that changed anything.
fn put<T: PartialEq>(place: &mut Option<Chosen<T>>, value: T) -> bool {
    let free = place.as_ref().is_none_or(|old| old.by == By::Act && old.value != value);
    if free {
        *place = Some(Chosen::act(value));
    }
    free
}
