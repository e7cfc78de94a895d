//! What the decided heights give up: the wishes that they miss.

use measure::length::Um;

use super::findings::broken;
use super::words;
use crate::work::{Number, Relation, RelationId, Strength, Work};

/// A wish that is missed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GivenUp {
    /// The wish.
    pub relation: RelationId,
    /// In the maker's words.
    pub said: String,
    /// By how much its worst pair misses it.
    pub by: Um,
    /// These.
    pub pieces: Vec<Number>,
}

/// The wishes that the decided heights miss, the farthest first. Nothing is said of what is undecided.
pub fn given_up(work: &Work) -> Vec<GivenUp> {
    let missed = |(id, relation): (&RelationId, &Relation)| {
        let by = missed_by(work, relation)?;
        let (_, pieces) = broken(work, &relation.says)?;
        Some(GivenUp { relation: *id, said: words::relation(work, &relation.says, relation.strength), by, pieces })
    };
    let mut all: Vec<GivenUp> = work.relations.iter().filter_map(missed).collect();
    all.sort_by_key(|wish| (std::cmp::Reverse(wish.by), wish.relation));
    all
}

/// By how much the decided heights miss a wish at its worst pair; `None` where it is met, or is no wish.
pub fn missed_by(work: &Work, relation: &Relation) -> Option<Um> {
    let wish = matches!(relation.strength, Strength::Wish(_));
    broken(work, &relation.says).filter(|_| wish).map(|(by, _)| Um(by))
}
