//! What the decided heights give up: the wishes that they miss, and climbs that do not rise evenly.

use measure::length::Um;

use super::findings::{broken, height};
use super::system::evenly_at;
use super::words;
use crate::wood::whose;
use crate::work::{Number, Relation, RelationId, Says, Strength, Whom, Work};

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

/// A place of a climb that stands off the height that it would have if the climb rose evenly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Uneven {
    /// The climb.
    pub relation: RelationId,
    /// In the maker's words.
    pub said: String,
    /// The piece that is farthest off.
    pub piece: Number,
    /// Where it stands.
    pub at: Um,
    /// Where it would stand in even steps.
    pub even: Um,
}

impl Uneven {
    /// How far off it is.
    pub fn by(&self) -> Um {
        Um((self.at.0 - self.even.0).abs())
    }
}

/// Climbs of which a place stands off its even height by more than a readable step, each at its worst place.
pub fn uneven(work: &Work) -> Vec<Uneven> {
    work.relations.iter().filter_map(|(id, relation)| uneven_climb(work, *id, relation)).collect()
}

/// The worst place of a climb, if it is off by more than a readable step. Ends are no matter of evenness.
pub fn uneven_climb(work: &Work, id: RelationId, relation: &Relation) -> Option<Uneven> {
    let Says::Climbs { row, from, to } = &relation.says else { return None };
    let row: Vec<Vec<Number>> = row.iter().map(|one: &Whom| whose(work, *one)).filter(|one| !one.is_empty()).collect();
    let last = row.len().checked_sub(1)?;
    let inner = row.iter().enumerate().take(last).skip(1);
    let places = inner.flat_map(|(at, pieces)| pieces.iter().map(move |piece| (at, *piece)));
    let off = |(at, piece): (usize, Number)| {
        let (stands, even) = (height(work, piece)?, evenly_at((*from, *to), (at, last)) as i32);
        Some(((stands - even).abs(), std::cmp::Reverse(piece), stands, even))
    };
    let (by, piece, at, even) = places.filter_map(off).max()?;
    let said = words::relation(work, &relation.says, relation.strength);
    let worst = Uneven { relation: id, said, piece: piece.0, at: Um(at), even: Um(even) };
    (by > work.choices.stock.readable_step.0).then_some(worst)
}
