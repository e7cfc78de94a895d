//! Musts that cannot all hold, in words, with the smallest loosenings.
//!
//! A positive cycle of rows (Bellman–Ford) names relations and limits. Since a relation may bring many rows, what is
//! named is thinned until it is irreducible over relations, all limits standing: without any one of them the rest can
//! hold. The smallest loosening of a relation is found by Newton's method on the cycles that it closes (each cycle says
//! how far at the least), which ends at the exact whole micrometre.
//!
//! Conflicts are looked for until none is left beside those found; no relation is named by two of them.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::solve::positive_cycle;

use super::system::{Source, System};
use super::words;
use crate::work::edit::relief::Edit as Relief;
use crate::work::{By, Edit, Number, Refusal, Relation, RelationId, Says, Spot, Strength, Way, Whom, Work};

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

type Said = BTreeMap<RelationId, Relation>;

/// Every contradiction among the job's musts; empty when they can all hold.
pub(super) fn contradictions(work: &Work) -> Vec<Contradiction> {
    let mut said: Said = work.relations.clone();
    said.retain(|_, relation| relation.strength == Strength::Must);
    let (every, mut found) = (said.clone(), Vec::new());
    while let Some(core) = core(work, &said) {
        said.retain(|id, _| !core.relations.contains(id));
        let alone = core.relations.is_empty();
        found.push(explain(work, &every, core));
        if alone {
            break;
        }
    }
    found
}

/// The refusal of heights: the first contradiction, and how many more there are.
pub(super) fn refusal(mut found: Vec<Contradiction>) -> Refusal {
    let more = found.len() - 1;
    let first = found.swap_remove(0);
    let mut what = first.what.clone();
    if more > 0 {
        what += &format!(" There are {more} more contradictions beside it; `spelk check` lists them all.");
    }
    Refusal { what, spot: first.spot(), ways: first.ways }
}

/// The system of some relations under all limits.
fn system<'a>(work: &Work, said: impl IntoIterator<Item = (&'a RelationId, &'a Relation)>) -> System {
    let mut system = System::limits(work);
    said.into_iter().for_each(|(id, relation)| system.say(work, *id, relation));
    system
}

fn cycle(system: &System) -> Option<Vec<usize>> {
    positive_cycle(system.nodes, &system.rows)
}

fn only<'a>(said: &'a Said, of: &'a [RelationId]) -> impl Iterator<Item = (&'a RelationId, &'a Relation)> {
    of.iter().map(|id| (id, &said[id]))
}

/// An irreducible set of relations, and the limits of the last cycle among them.
struct Core {
    relations: Vec<RelationId>,
    chain: Vec<Source>,
    over: i64,
}

fn core(work: &Work, said: &Said) -> Option<Core> {
    let mut system = system(work, said);
    let mut cycle = cycle(&system)?;
    let mut relations = relations_of(&system, &cycle);
    // Each relation is left out once; what cannot hold without it is thinned further.
    for id in relations.clone() {
        let rest: Vec<RelationId> = relations.iter().copied().filter(|other| *other != id).collect();
        let smaller = self::system(work, only(said, &rest));
        if let Some(smaller_cycle) = self::cycle(&smaller) {
            relations = relations_of(&smaller, &smaller_cycle);
            (system, cycle) = (smaller, smaller_cycle);
        }
    }
    let mut chain: Vec<Source> = Vec::new();
    for source in cycle.iter().map(|row| system.sources[*row]) {
        if !chain.contains(&source) {
            chain.push(source);
        }
    }
    let over = cycle.iter().map(|row| system.rows[*row].by).sum();
    Some(Core { relations, chain, over })
}

fn relations_of(system: &System, cycle: &[usize]) -> Vec<RelationId> {
    let ids: BTreeSet<RelationId> = cycle
        .iter()
        .filter_map(|row| match system.sources[*row] {
            Source::Relation(id) => Some(id),
            _ => None,
        })
        .collect();
    ids.into_iter().collect()
}

fn explain(work: &Work, every: &Said, core: Core) -> Contradiction {
    let named: Vec<String> = core.chain.iter().map(|source| name(work, *source)).collect();
    let over = words::length(work, Um(i32::try_from(core.over).unwrap_or(i32::MAX)));
    let what = match named.as_slice() {
        [one] => format!("This cannot hold in itself: {one}; over by {over}."),
        all => format!("These cannot all hold: {}; over by {over}.", all.join("; ")),
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
    let ways = ways(work, every, &core, &settled);
    Contradiction { relations: core.relations, settled, what, ways }
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

/// Loosenings, the smallest first; then taking back; then letting go of what the hand has fixed.
fn ways(work: &Work, every: &Said, core: &Core, settled: &[Number]) -> Vec<Way> {
    let said: Said = only(every, &core.relations).map(|(id, relation)| (*id, relation.clone())).collect();
    let mut loose: Vec<(i64, RelationId, Says)> =
        core.relations.iter().filter_map(|id| loosening(work, &said, *id).map(|(by, says)| (by, *id, says))).collect();
    loose.sort_by_key(|(by, id, _)| (*by, *id));
    let mut ways = Vec::new();
    for (_, id, says) in loose {
        let mut after = every.clone();
        after.insert(id, Relation { says: says.clone(), ..every[&id].clone() });
        let text = format!("Say instead: {}{}", words::says(work, &says), remains(work, &after));
        let strength = every[&id].strength;
        ways.push(Way::by(text, vec![Edit::Relief(Relief::Restate { relation: id, says, strength })]));
    }
    for id in &core.relations {
        let mut after = every.clone();
        after.remove(id);
        let text = format!("Take back: {}{}", words::says(work, &every[id].says), remains(work, &after));
        ways.push(Way::by(text, vec![Edit::Relief(Relief::Unrelate(*id))]));
    }
    for number in settled.iter().filter(|number| by_hand(work, **number)) {
        let unpin = Edit::Relief(Relief::Unpin(Whom::Piece(*number)));
        ways.push(Way::by(format!("Leave the height of piece {number} open"), vec![unpin]));
    }
    if core.chain.iter().any(|source| matches!(source, Source::Lowest | Source::Highest)) {
        ways.push(Way::advice("Widen the range of heights that the job allows."));
    }
    ways
}

fn by_hand(work: &Work, number: Number) -> bool {
    let values = &work.pieces[&number].values;
    let fact = [values.height, values.thickness, values.raiser].iter().flatten().any(|chosen| chosen.by == By::Fact);
    !fact && !super::edit::settled(work, number)
}

fn remains(work: &Work, after: &Said) -> &'static str {
    if cycle(&system(work, after)).is_some() { " (another contradiction remains)" } else { "" }
}

/// The smallest change of a relation's figures with which these can hold, and by how much it changes.
fn loosening(work: &Work, said: &Said, id: RelationId) -> Option<(i64, Says)> {
    let options = loosenings(&said[&id].says);
    let tried = options.into_iter().filter_map(|loosen| Some((least_step(work, said, id, &loosen)?, loosen)));
    let (by, loosen) = tried.min_by_key(|(by, _)| *by)?;
    Some((by, loosen(i32::try_from(by).ok()?)?))
}

type Loosen = Box<dyn Fn(i32) -> Option<Says>>;

/// Each way to loosen a relation by a step in µm; `None` where the step is too long for it.
fn loosenings(says: &Says) -> Vec<Loosen> {
    let shift = |sign: i32, put: fn(&mut Says) -> Option<&mut Um>| -> Loosen {
        let says = says.clone();
        Box::new(move |step| {
            let mut says = says.clone();
            let figure = put(&mut says)?;
            figure.0 = figure.0.checked_add(sign.checked_mul(step)?).filter(|um| *um >= 0)?;
            in_order(&says).then_some(says)
        })
    };
    match says {
        Says::AtLeast { .. } => vec![shift(-1, first)],
        Says::About { .. } | Says::At(..) => vec![shift(-1, first), shift(1, first)],
        Says::Within(..) => vec![shift(-1, first), shift(1, second)],
        Says::Climbs { .. } => vec![shift(-1, first), shift(1, first), shift(-1, second), shift(1, second)],
        Says::Level(a, b) | Says::SameAs(a, b) => [(*a, *b), (*b, *a)].map(no_lower).into(),
    }
}

/// Level, loosened: the one no lower than the other.
fn no_lower((above, below): (Whom, Whom)) -> Loosen {
    Box::new(move |step| (step == 0).then_some(Says::AtLeast { above, below, by: Um(0) }))
}

fn first(says: &mut Says) -> Option<&mut Um> {
    match says {
        Says::AtLeast { by, .. } | Says::About { by, .. } => Some(by),
        Says::At(_, at) => Some(at),
        Says::Within(_, least, _) => Some(least),
        Says::Climbs { from, .. } => Some(from),
        Says::Level(..) | Says::SameAs(..) => None,
    }
}

fn second(says: &mut Says) -> Option<&mut Um> {
    match says {
        Says::Within(_, _, most) => Some(most),
        Says::Climbs { to, .. } => Some(to),
        _ => None,
    }
}

fn in_order(says: &Says) -> bool {
    match says {
        Says::Within(_, least, most) => least <= most,
        Says::Climbs { from, to, .. } => from <= to,
        _ => true,
    }
}

/// The least step in µm of one loosening with which these can hold, if any step does.
fn least_step(work: &Work, said: &Said, id: RelationId, loosen: &Loosen) -> Option<i64> {
    let at = |step: i64| {
        let says = loosen(i32::try_from(step).ok()?)?;
        let mut said = said.clone();
        said.get_mut(&id)?.says = says;
        Some(system(work, &said))
    };
    let mut step = 0;
    loop {
        let now = at(step)?;
        let Some(rows) = cycle(&now) else { return Some(step) };
        // Rows change by a fixed amount with each micrometre, so one step further shows the slope of the cycle.
        let next = at(step + 1)?;
        let over: i64 = rows.iter().map(|row| now.rows[*row].by).sum();
        let slope: i64 = rows.iter().map(|row| next.rows[*row].by - now.rows[*row].by).sum();
        if slope >= 0 {
            return None;
        }
        step += (over + -slope - 1) / -slope;
    }
}
