//! Musts tried on what stock gives, without the pattern: whether they leave each piece a height, and which do not.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::solve;

use super::choices::Choices;
use super::system::{Source, System};
use crate::wood::whose;
use crate::work::edit::setup;
use crate::work::{Edit, Number, Relation, RelationId, Stock, Strength, Work};

/// Relations by their ids.
pub(super) type Said = BTreeMap<RelationId, Relation>;

/// A job with nothing in it but what heights rest on.
#[derive(Clone)]
pub(super) struct Trial {
    work: Work,
}

impl Trial {
    /// Of all pieces.
    pub(super) fn new(work: &Work) -> Trial {
        let work = Work {
            pieces: work.pieces.clone(),
            parts: work.parts.clone(),
            boards: work.boards.clone(),
            choices: work.choices.clone(),
            ..Work::default()
        };
        Trial { work }
    }

    /// Of the pieces alone that these relations speak of: the others are free.
    pub(super) fn of(work: &Work, said: &Said) -> Trial {
        let mut trial = Trial::new(work);
        let named = said.values().flat_map(|relation| relation.says.whom());
        let kept: BTreeSet<Number> = named.flat_map(|whom| whose(work, whom)).collect();
        trial.work.pieces.retain(|number, _| kept.contains(number));
        trial
    }

    /// Where nothing is said but this.
    pub(super) fn with(&mut self, said: Said) -> &Work {
        self.work.relations = said;
        &self.work
    }

    /// Whether these leave each piece a height in stock.
    pub(super) fn holds(&mut self, said: Said) -> bool {
        stuck(self.with(said)).is_none()
    }

    /// The same with other stock.
    pub(super) fn holds_on(&self, said: &Said, stock: Stock) -> bool {
        let mut other = self.clone();
        other.work.choices.stock = stock;
        other.holds(said.clone())
    }

    /// Whether these leave each piece a height once a way out is taken.
    pub(super) fn holds_after(&self, said: &Said, edits: &[Edit]) -> bool {
        let mut other = self.clone();
        other.work.relations = said.clone();
        let taken = edits.iter().all(|edit| match edit {
            Edit::Relief(edit) => super::edit::apply(&mut other.work, edit).is_ok(),
            Edit::Setup(setup::Edit::Stock(stock)) => {
                other.work.choices.stock = stock.clone();
                true
            }
            Edit::Setup(setup::Edit::FrameDepth(depth)) => {
                other.work.choices.frame_depth = *depth;
                true
            }
            _ => false,
        });
        taken && stuck(&other.work).is_none()
    }

    /// The same in a frame of another depth.
    pub(super) fn holds_in_frame(&self, said: &Said, depth: Um) -> bool {
        let mut other = self.clone();
        other.work.choices.frame_depth = Some(depth);
        other.holds(said.clone())
    }

    /// The same with what is fixed of a piece left open.
    pub(super) fn holds_without(&self, said: &Said, number: Number) -> bool {
        let mut other = self.clone();
        if let Some(piece) = other.work.pieces.get_mut(&number) {
            (piece.values.height, piece.values.thickness, piece.values.raiser) = (None, None, None);
        }
        other.holds(said.clone())
    }
}

/// Musts that leave a piece no height in stock, more than needed for it; `None` when all of them can hold, or when stock
/// gives a piece no height whatever is said.
pub(super) fn stuck(work: &Work) -> Option<Vec<RelationId>> {
    let system = System::whole(work);
    let choices = Choices::new(work, &system, false);
    if choices.without_level(&system).is_some() {
        return None;
    }
    let rows = solve::stuck(&choices.lists(&system), &system.rows)?;
    let must = |id: &RelationId| work.relations[id].strength == Strength::Must;
    let ids: BTreeSet<RelationId> = rows
        .into_iter()
        .filter_map(|row| match system.sources[row] {
            Source::Relation(id) => Some(id),
            _ => None,
        })
        .filter(must)
        .collect();
    Some(ids.into_iter().collect())
}

/// The musts of a job.
pub(super) fn musts(work: &Work) -> Said {
    let must = |(_, relation): &(&RelationId, &Relation)| relation.strength == Strength::Must;
    work.relations.iter().filter(must).map(|(id, relation)| (*id, relation.clone())).collect()
}
