//! Edits sent from a page that shows an older state: made all the same when what they name stands as the page shows it.
//!
//! An act ends, or another window changes something, just as the maker presses a button. Asking to press again would be no help
//! unless that very thing has changed. What a step touched is kept for the last ones; an edit of a kind not known here, or
//! one that names things by their place in a list, counts as naming everything.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use workshop::work::edit::{bench, part, pattern, picture, relief, wood};
use workshop::work::{AreaId, BorderId, Edit, Fact, Number, RelationId, Says, Whom};

use crate::wire::{Area, Delta, Piece, Relation, Seen, Setup, Trouble};

/// Steps that are remembered. A page that is further behind fetches everything anyway.
const STEPS_KEPT: usize = 64;

/// What a step changed, or what an edit names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Things {
    shapes: BTreeSet<AreaId>,
    borders: BTreeSet<BorderId>,
    /// Pieces by their wood and grain, by their height, and by all else.
    woods: BTreeSet<Number>,
    heights: BTreeSet<Number>,
    pieces: BTreeSet<Number>,
    relations: BTreeSet<RelationId>,
    parts: bool,
    marks: bool,
    setup: bool,
}

impl Things {
    fn meet(&self, named: &Things) -> bool {
        let part_of = |touched: &BTreeSet<Number>, named: &BTreeSet<Number>| !touched.is_disjoint(named);
        !self.shapes.is_disjoint(&named.shapes)
            || !self.borders.is_disjoint(&named.borders)
            || part_of(&self.woods, &named.woods)
            || part_of(&self.heights, &named.heights)
            || part_of(&self.pieces, &named.pieces)
            || !self.relations.is_disjoint(&named.relations)
            || (self.parts && named.parts)
            || (self.marks && named.marks)
            || (self.setup && named.setup)
    }
}

struct Step {
    /// The revision that it was made on.
    from: u64,
    what: String,
    touched: Things,
}

/// The last steps.
#[derive(Default)]
pub struct Meanwhile(VecDeque<Step>);

impl Meanwhile {
    /// Remembers a step that led from what was seen before.
    pub fn add(&mut self, before: &Seen, delta: &Delta) {
        let label = |label: &Option<String>| label.clone().unwrap_or_default();
        let undone = delta.step < before.step;
        let what = if undone { format!("undo: {}", label(&delta.redo)) } else { label(&delta.undo) };
        self.0.push_back(Step { from: delta.from, what, touched: touched(before, delta) });
        if self.0.len() > STEPS_KEPT {
            self.0.pop_front();
        }
    }

    /// Whether what these edits name stands as the page showed it at a revision.
    pub fn admits(&self, at: u64, edits: &[Edit]) -> Result<(), Trouble> {
        let since = self.0.iter().position(|step| step.from == at).ok_or_else(|| self.stale(at))?;
        let named = named(edits).ok_or_else(|| self.stale(at))?;
        match self.0.range(since..).find(|step| step.touched.meet(&named)) {
            Some(step) => Err(changed(&step.what)),
            None => Ok(()),
        }
    }

    /// The refusal of a step that can't be made on another state than the page showed.
    pub fn stale(&self, at: u64) -> Trouble {
        self.0.iter().find(|step| step.from >= at).map_or_else(Trouble::stale, |step| changed(&step.what))
    }
}

fn changed(what: &str) -> Trouble {
    let what = format!("Not done: meanwhile \u{201c}{what}\u{201d} has changed what this step is about.");
    Trouble { stale: true, ..Trouble::of(what, "The job is shown as it is now: look again, then try once more.") }
}

fn touched(before: &Seen, delta: &Delta) -> Things {
    Things {
        shapes: shapes(before, delta),
        borders: delta.borders.iter().map(|border| border.id).chain(delta.gone_borders.iter().copied()).collect(),
        woods: pieces(before, delta, |old, new| {
            (&old.wood, old.grain_deg, old.grain_by) == (&new.wood, new.grain_deg, new.grain_by)
        }),
        heights: pieces(before, delta, |old, new| {
            (old.height, old.thickness, old.raiser) == (new.height, new.thickness, new.raiser)
        }),
        pieces: pieces(before, delta, |old, new| (old.area, old.part, &old.state) == (new.area, new.part, &new.state)),
        relations: relations(before, delta),
        parts: delta.parts.is_some(),
        marks: delta.marks.is_some(),
        setup: delta.setup.as_ref().is_some_and(|new| !as_before(&before.setup, new)),
    }
}

fn shapes(before: &Seen, delta: &Delta) -> BTreeSet<AreaId> {
    let old: BTreeMap<AreaId, &Area> = before.areas.iter().map(|area| (area.id, area)).collect();
    let shape = |area: &Area| (area.d.clone(), area.becomes.clone(), area.number);
    let kept = |area: &&Area| old.get(&area.id).is_some_and(|old| shape(old) == shape(area));
    let changed = delta.areas.iter().filter(|area| !kept(area)).map(|area| area.id);
    changed.chain(delta.gone_areas.iter().copied()).collect()
}

fn pieces(before: &Seen, delta: &Delta, same: impl Fn(&Piece, &Piece) -> bool) -> BTreeSet<Number> {
    let old: BTreeMap<Number, &Piece> = before.pieces.iter().map(|piece| (piece.number, piece)).collect();
    let kept = |new: &&Piece| old.get(&new.number).is_some_and(|old| same(old, new));
    let changed = delta.pieces.iter().filter(|new| !kept(new)).map(|piece| piece.number);
    changed.chain(delta.gone_pieces.iter().copied()).collect()
}

fn relations(before: &Seen, delta: &Delta) -> BTreeSet<RelationId> {
    let Some(now) = &delta.relations else { return BTreeSet::new() };
    let differ = |one: &[Relation], other: &[Relation]| -> Vec<RelationId> {
        one.iter().filter(|relation| !other.contains(relation)).map(|relation| relation.id).collect()
    };
    [differ(&before.relations, now), differ(now, &before.relations)].concat().into_iter().collect()
}

/// What a trace settles is the pattern, and that is seen by its areas.
fn as_before(old: &Setup, new: &Setup) -> bool {
    *old == Setup { trace: old.trace.clone(), accepted: old.accepted, ..new.clone() }
}

/// What edits name; `None` when that may be everything.
fn named(edits: &[Edit]) -> Option<Things> {
    let mut things = Things::default();
    for edit in edits {
        match edit {
            Edit::Setup(_) | Edit::Picture(picture::Edit::Credit { .. }) => things.setup = true,
            Edit::Pattern(edit) => in_pattern(&mut things, edit)?,
            Edit::Part(edit) => in_parts(&mut things, edit)?,
            Edit::Wood(edit) => in_woods(&mut things, edit)?,
            Edit::Relief(edit) => in_relief(&mut things, edit)?,
            Edit::Bench(bench::Edit::Log(Fact::Became { piece, .. })) => {
                things.pieces.insert(*piece);
                things.heights.insert(*piece);
                things.woods.insert(*piece);
            }
            _ => return None,
        }
    }
    Some(things)
}

fn in_pattern(things: &mut Things, edit: &pattern::Edit) -> Option<()> {
    match edit {
        pattern::Edit::Merge(areas) => things.shapes.extend(areas),
        pattern::Edit::Split { area, .. }
        | pattern::Edit::Open(area)
        | pattern::Edit::Drop(area)
        | pattern::Edit::Close(area) => {
            things.shapes.insert(*area);
        }
        pattern::Edit::Gap { border, .. } => {
            things.borders.insert(*border);
        }
        #[allow(unreachable_patterns)]
        _ => return None,
    }
    Some(())
}

fn in_parts(things: &mut Things, edit: &part::Edit) -> Option<()> {
    things.parts = true;
    match edit {
        part::Edit::Name { pieces, .. } | part::Edit::Bring { pieces, .. } | part::Edit::Release { pieces, .. } => {
            things.pieces.extend(pieces);
        }
        part::Edit::Rename { .. } | part::Edit::Nest { .. } | part::Edit::Disband(_) => {}
        // A variant holds the plan of a whole part.
        _ => return None,
    }
    Some(())
}

fn in_woods(things: &mut Things, edit: &wood::Edit) -> Option<()> {
    match edit {
        wood::Edit::Choose { whom: Whom::Piece(piece), .. }
        | wood::Edit::Unchoose(Whom::Piece(piece))
        | wood::Edit::Grain { whom: Whom::Piece(piece), .. }
        | wood::Edit::Ungrain(Whom::Piece(piece)) => {
            things.woods.insert(*piece);
        }
        wood::Edit::Stroke(_) => {}
        _ => return None,
    }
    Some(())
}

fn in_relief(things: &mut Things, edit: &relief::Edit) -> Option<()> {
    match edit {
        relief::Edit::Relate { says, .. } => of_relation(things, says),
        relief::Edit::Restate { relation, says, .. } => {
            things.relations.insert(*relation);
            of_relation(things, says);
        }
        relief::Edit::Unrelate(relation) => {
            things.relations.insert(*relation);
        }
        relief::Edit::Mark { .. } | relief::Edit::Unmark(_) => (things.marks, things.parts) = (true, true),
        relief::Edit::Height { whom: Whom::Piece(piece), .. }
        | relief::Edit::Build { whom: Whom::Piece(piece), .. }
        | relief::Edit::Unpin(Whom::Piece(piece)) => {
            things.heights.insert(*piece);
        }
        _ => return None,
    }
    Some(())
}

/// A relation is about what stays whatever heights an act gives: that its pieces and parts are there.
fn of_relation(things: &mut Things, says: &Says) {
    for whom in says.whom() {
        match whom {
            Whom::Piece(piece) => drop(things.pieces.insert(piece)),
            Whom::Part(_) => things.parts = true,
            Whom::Backer | Whom::Frame => {}
        }
    }
}
