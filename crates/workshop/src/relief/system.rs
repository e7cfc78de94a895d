//! What the maker said, as difference rows, each with the name of where it comes from.
//!
//! An anchor is the ground itself, so many µm higher. A part is spoken of through one node below or above all of its pieces, so that a relation of two parts of n and m
//! pieces takes n + m + 1 rows, not n × m. A wish of parts is so missed once, by its worst pair.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::solve::{GROUND, Price, Row};

use super::anchor::stands_at;
use super::choices::{Build, builds, stock_of};
use crate::wood::whose;
use crate::work::{By, Number, Relation, RelationId, Says, State, Strength, Whom, Work};

/// Where a row comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Source {
    /// The maker's relation.
    Relation(RelationId),
    /// The height of a piece is settled by hand or by fact.
    Pinned(Number),
    /// The thickness or raiser of a piece is settled, so only some heights are left to it.
    Built(Number),
    /// No piece stands lower than the job's lowest height.
    Lowest,
    /// No piece stands higher than the job's highest.
    Highest,
}

/// How far the evenly spread heights of a climb pull: less than the maker's wishes of usual weight, which may bend a climb,
/// and more than what is guessed.
const EVENLY: i64 = 5;

/// Rows over the pieces of a job.
#[derive(Clone, Debug)]
pub(super) struct System {
    /// The pieces: node 1 is the first.
    pub(super) numbers: Vec<Number>,
    /// How many nodes there are: the ground, the pieces, and those that stand for parts.
    pub(super) nodes: usize,
    /// The rows.
    pub(super) rows: Vec<Row>,
    /// Where each row comes from.
    pub(super) sources: Vec<Source>,
    /// Heights of nodes within a climb, if it rises evenly.
    pub(super) even: BTreeMap<usize, i64>,
}

impl System {
    /// What holds without a word of the maker: settled heights, and the limits for all others.
    pub(super) fn limits(work: &Work) -> System {
        let numbers: Vec<Number> = work.pieces.keys().copied().collect();
        let nodes = numbers.len() + 1;
        let mut system = System { numbers, nodes, rows: Vec::new(), sources: Vec::new(), even: BTreeMap::new() };
        for at in 0..system.numbers.len() {
            let number = system.numbers[at];
            let (least, most, low, high) = match (pinned(work, number), own_builds(work, number)) {
                (Some(height), _) => (height, height, Source::Pinned(number), Source::Pinned(number)),
                (None, Some(own)) => (
                    Um(own.iter().map(|build| build.height).min().unwrap_or(0)),
                    Um(own.iter().map(|build| build.height).max().unwrap_or(0)),
                    Source::Built(number),
                    Source::Built(number),
                ),
                (None, None) => {
                    (work.choices.stock.lowest, work.choices.stock.highest, Source::Lowest, Source::Highest)
                }
            };
            system.add(low, Row::must(GROUND, at + 1, i64::from(least.0)));
            system.add(high, Row::must(at + 1, GROUND, -i64::from(most.0)));
        }
        system
    }

    /// The limits with all that was said.
    pub(super) fn whole(work: &Work) -> System {
        let mut system = System::limits(work);
        for (id, relation) in &work.relations {
            system.say(work, *id, relation);
        }
        system
    }

    /// The node of a piece.
    pub(super) fn node(&self, number: Number) -> Option<usize> {
        self.numbers.binary_search(&number).ok().map(|at| at + 1)
    }

    /// Adds the rows of a relation. One that names nobody who is there says nothing.
    pub(super) fn say(&mut self, work: &Work, id: RelationId, relation: &Relation) {
        let price = match relation.strength {
            Strength::Must => Price::Must,
            Strength::Wish(weight) => Price::Wish(i64::from(weight)),
        };
        let mut saying = Saying { system: self, work, source: Source::Relation(id), price };
        match &relation.says {
            Says::AtLeast { above, below, by } => saying.at_least(*above, *below, *by),
            Says::About { above, below, by } => saying.about(*above, *below, i64::from(by.0)),
            Says::Level(a, b) | Says::SameAs(a, b) => saying.about(*a, *b, 0),
            Says::At(whom, at) => saying.within(*whom, *at, *at),
            Says::Within(whom, least, most) => saying.within(*whom, *least, *most),
            Says::Climbs { row, from, to } => saying.climbs(row, (from, to)),
        }
    }

    fn add(&mut self, source: Source, row: Row) {
        self.rows.push(row);
        self.sources.push(source);
    }
}

/// The height of a piece that no act may move.
pub(super) fn pinned(work: &Work, number: Number) -> Option<Um> {
    let piece = &work.pieces[&number];
    let settled = |by: By| by != By::Act || piece.state != State::Planned;
    piece.values.height.filter(|height| settled(height.by)).map(|height| height.value)
}

/// The ways to build a piece whose thickness or raiser is settled; `None` when neither is.
pub(super) fn own_builds(work: &Work, number: Number) -> Option<Vec<Build>> {
    let values = &work.pieces[&number].values;
    let hand = |chosen: Option<crate::work::Chosen<Um>>| chosen.filter(|c| c.by != By::Act).map(|c| c.value);
    let (thickness, raiser) = (hand(values.thickness), hand(values.raiser));
    (thickness.is_some() || raiser.is_some()).then(|| builds(&stock_of(work, number), thickness, raiser))
}

/// A relation on its way into rows.
struct Saying<'a> {
    system: &'a mut System,
    work: &'a Work,
    source: Source,
    price: Price,
}

impl Saying<'_> {
    fn nodes(&self, whom: Whom) -> Vec<usize> {
        if stands_at(self.work, whom).is_some() {
            return vec![GROUND];
        }
        whose(self.work, whom).into_iter().filter_map(|number| self.system.node(number)).collect()
    }

    /// The same step between the nodes of the two.
    fn between(&self, above: Whom, below: Whom, by: i64) -> i64 {
        let at = |whom| stands_at(self.work, whom).map_or(0, |um| i64::from(um.0));
        by + at(below) - at(above)
    }

    fn row(&mut self, low: usize, high: usize, by: i64, price: Price) {
        self.system.add(self.source, Row { low, high, by, price });
    }

    fn fresh(&mut self) -> usize {
        self.system.nodes += 1;
        self.system.nodes - 1
    }

    /// A node no higher than any of these.
    fn least(&mut self, nodes: &[usize]) -> usize {
        if let [one] = nodes {
            return *one;
        }
        let least = self.fresh();
        nodes.iter().for_each(|node| self.row(least, *node, 0, Price::Must));
        least
    }

    /// A node no lower than any of these.
    fn most(&mut self, nodes: &[usize]) -> usize {
        if let [one] = nodes {
            return *one;
        }
        let most = self.fresh();
        nodes.iter().for_each(|node| self.row(*node, most, 0, Price::Must));
        most
    }

    /// A node level with all of these, at the relation's price.
    fn level(&mut self, nodes: &[usize]) -> usize {
        if let [one] = nodes {
            return *one;
        }
        let level = self.fresh();
        nodes.iter().for_each(|node| self.exactly(level, *node, 0));
        level
    }

    fn exactly(&mut self, low: usize, high: usize, by: i64) {
        Row::exactly(low, high, by, self.price).into_iter().for_each(|row| self.system.add(self.source, row));
    }

    fn at_least(&mut self, above: Whom, below: Whom, by: Um) {
        let by = self.between(above, below, i64::from(by.0));
        let (above, below) = (self.nodes(above), self.nodes(below));
        if !above.is_empty() && !below.is_empty() {
            let (high, low) = (self.least(&above), self.most(&below));
            self.row(low, high, by, self.price);
        }
    }

    fn about(&mut self, above: Whom, below: Whom, by: i64) {
        let by = self.between(above, below, by);
        let (above, below) = (self.nodes(above), self.nodes(below));
        if !above.is_empty() && !below.is_empty() {
            let (high, low) = (self.level(&above), self.level(&below));
            self.exactly(low, high, by);
        }
    }

    fn within(&mut self, whom: Whom, least: Um, most: Um) {
        for node in self.nodes(whom) {
            self.row(GROUND, node, i64::from(least.0), self.price);
            self.row(node, GROUND, -i64::from(most.0), self.price);
        }
    }

    fn climbs(&mut self, row: &[Whom], (from, to): (&Um, &Um)) {
        let row: Vec<Vec<usize>> = row.iter().map(|whom| self.nodes(*whom)).filter(|nodes| !nodes.is_empty()).collect();
        let [first, .., last] = row.as_slice() else { return };
        for (nodes, at) in [(first, from), (last, to)] {
            nodes.iter().for_each(|node| self.exactly(GROUND, *node, i64::from(at.0)));
        }
        for pair in row.windows(2) {
            let (low, high) = (self.most(&pair[0]), self.least(&pair[1]));
            self.row(low, high, 0, self.price);
        }
        let evenly = match self.price {
            Price::Must => EVENLY,
            Price::Wish(weight) => EVENLY.min(weight),
        };
        let inner = row.len() - 1;
        for (at, nodes) in row.iter().enumerate().take(inner).skip(1) {
            let even = evenly_at((*from, *to), (at, inner));
            for node in nodes {
                let wish = Row::exactly(GROUND, *node, even, Price::Wish(evenly));
                wish.into_iter().for_each(|row| self.system.add(self.source, row));
                self.system.even.entry(*node).or_insert(even);
            }
        }
    }
}

/// The height of a place of a climb that rises evenly, of so many places after the first.
pub(super) fn evenly_at((from, to): (Um, Um), (at, last): (usize, usize)) -> i64 {
    i64::from(from.0) + i64::from(to.0 - from.0) * at as i64 / last.max(1) as i64
}
