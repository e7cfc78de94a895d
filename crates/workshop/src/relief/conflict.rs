//! Musts that cannot all hold on what stock gives, in words, with the ways out of it.
//!
//! Levels are lifted until a must finds none (`measure::solve::stuck`); the relations that had a part in it are thinned
//! until what is named is irreducible, all limits standing: without any one of them the rest can hold. Where even heights of
//! any length could not hold, a positive cycle of rows (Bellman–Ford) gives the chain and by how much it is over.
//!
//! Conflicts are looked for until none is left beside those found; no relation is named by two of them.

use std::collections::BTreeSet;

use measure::length::Um;
use measure::solve::positive_cycle;

use super::loosen::ways;
use super::system::{Source, System, own_builds, pinned};
use super::trial::{Said, Trial, musts};
use super::words;
use crate::work::{Number, Refusal, RelationId, Spot, Way, Work};

/// Relations that cannot hold together, with the limits that they meet.
#[derive(Clone, Debug)]
pub(super) struct Contradiction {
    /// Irreducible: without any one of them the others can hold.
    pub(super) relations: Vec<RelationId>,
    /// Pieces whose height or thickness is settled and stands in the way.
    pub(super) settled: Vec<Number>,
    /// One sentence for the maker.
    pub(super) what: String,
    /// The ways out, the smallest loosening first.
    pub(super) ways: Vec<Way>,
}

impl Contradiction {
    pub(super) fn spot(&self) -> Spot {
        Spot { relations: self.relations.clone(), ..Spot::pieces(self.settled.clone()) }
    }
}

/// An irreducible set of relations, and what stands in its way.
pub(super) struct Core {
    /// The relations.
    pub(super) said: Said,
    /// Relations and limits, in the order of the chain.
    pub(super) chain: Vec<Source>,
    /// By how much heights of any length would be over; `None` where only stock stands in the way.
    pub(super) over: Option<i64>,
}

/// Every contradiction among the job's musts; empty when they can all hold.
pub(super) fn contradictions(work: &Work) -> Vec<Contradiction> {
    let every = musts(work);
    let (mut said, mut trial, mut found) = (every.clone(), Trial::new(work), Vec::new());
    while let Some(core) = core(work, &mut trial, &said) {
        said.retain(|id, _| !core.said.contains_key(id));
        found.push(explain(work, &every, &core));
    }
    found
}

/// The refusal of heights: the first contradiction, and how many more there are. `None` where there is none.
pub(super) fn refusal(work: &Work) -> Option<Refusal> {
    let found = contradictions(work);
    let more = match found.len().saturating_sub(1) {
        0 => "",
        1 => " There is one more contradiction beside it; the check lists both.",
        _ => " There are more contradictions beside it; the check lists them all.",
    };
    let first = found.into_iter().next()?;
    let spot = first.spot();
    Some(Refusal { what: first.what + more, spot, ways: first.ways })
}

fn core(work: &Work, trial: &mut Trial, said: &Said) -> Option<Core> {
    let stuck = super::trial::stuck(trial.with(said.clone()))?;
    let mut left = said.clone();
    left.retain(|id, _| stuck.contains(id));
    let mut small = Trial::of(work, &left);
    // Each relation is left out once; what cannot hold without it is thinned further.
    for id in stuck {
        let mut rest = left.clone();
        if rest.remove(&id).is_none() {
            continue;
        }
        if let Some(fewer) = super::trial::stuck(small.with(rest)) {
            left.retain(|id, _| fewer.contains(id));
        }
    }
    let (chain, over) = chain(small.with(left.clone()), &left);
    Some(Core { said: left, chain, over })
}

/// The chain of relations and limits, and by how much it is over; the relations and what is settled of their pieces where
/// only stock stands in the way.
fn chain(work: &Work, said: &Said) -> (Vec<Source>, Option<i64>) {
    let system = System::whole(work);
    let Some(cycle) = positive_cycle(system.nodes, &system.rows) else {
        let relations = said.keys().map(|id| Source::Relation(*id));
        let heights = work.pieces.keys().filter(|one| pinned(work, **one).is_some()).map(|one| Source::Pinned(*one));
        let built = work.pieces.keys().filter(|one| pinned(work, **one).is_none() && own_builds(work, **one).is_some());
        return (relations.chain(heights).chain(built.map(|one| Source::Built(*one))).collect(), None);
    };
    let mut chain: Vec<Source> = Vec::new();
    for source in cycle.iter().map(|row| system.sources[*row]) {
        if !chain.contains(&source) {
            chain.push(source);
        }
    }
    (chain, Some(cycle.iter().map(|row| system.rows[*row].by).sum()))
}

fn explain(work: &Work, every: &Said, core: &Core) -> Contradiction {
    let named: Vec<String> = core.chain.iter().map(|source| name(work, *source)).collect();
    let over = core.over.map(|over| words::length(work, Um(i32::try_from(over).unwrap_or(i32::MAX))));
    let what = match (named.as_slice(), over) {
        ([one], Some(over)) => format!("This cannot hold in itself: {one}; over by {over}."),
        (all, Some(over)) => format!("These cannot all hold: {}; over by {over}.", all.join("; ")),
        ([one], None) => format!("No thickness and raiser in stock gives this: {one}."),
        (all, None) => format!("No thickness and raiser in stock keeps all of these: {}.", all.join("; ")),
    };
    let settled: BTreeSet<Number> = core
        .chain
        .iter()
        .filter_map(|source| match source {
            Source::Pinned(number) | Source::Built(number) => Some(*number),
            _ => None,
        })
        .collect();
    let settled: Vec<Number> = settled.into_iter().collect();
    let ways = ways(work, every, core, &settled);
    Contradiction { relations: core.said.keys().copied().collect(), settled, what, ways }
}

fn name(work: &Work, source: Source) -> String {
    let long = |length| words::length(work, length);
    match source {
        Source::Relation(id) => words::says(work, &work.relations[&id].says),
        Source::Pinned(number) => {
            let piece = &work.pieces[&number];
            let height = piece.values.height.map_or(Um(0), |height| height.value);
            let fact = super::edit::settled(work, number);
            format!("piece {number} is {} at {}", if fact { "made" } else { "fixed" }, long(height))
        }
        Source::Built(number) => format!("the thickness or raiser of piece {number} is fixed"),
        Source::Lowest => format!("no piece stands lower than {}", long(work.choices.stock.lowest)),
        Source::Highest => format!("no piece stands higher than {}", long(work.choices.stock.highest)),
    }
}
