//! The objective, stated as numbers.
//!
//! A wood w for each group g of pieces (a piece by itself, or a band of a tone), at most `woods_most` woods, so that the
//! sum of these is least:
//!
//! - fidelity: area^0.7 × ΔE00(w under the finish, the picture's colour brought into the woods' range and its steps of light
//!   onto their rungs), for each piece;
//! - order: for each border whose sides differ by ΔL* ≥ 5 in the picture, a weight for each mm and each unit that the step in
//!   wood lacks to 3 in the same sense, 8 units at the most; likewise for sides of like lightness that differ by ΔE00 ≥ 6;
//! - a tone's own woods: what their difference lacks to the least, or passes the greatest, by the tone's weight;
//! - price: each coin for a dm² as much as ΔE 0.05 on the area it buys; a wood not on hand, when others are, as much as
//!   ΔE 0.25 over the whole work: boards on hand come first, and give way only where they look worse.
//!
//! Pieces of a wood on hand take no more than the share of its boards that can become pieces. What hand or fact chose is
//! fixed: it counts among the woods, takes its room, and its neighbours look at it. `order` finds the weight of order and
//! how much steps of light ask.

use std::collections::{BTreeMap, BTreeSet};

use measure::colour::{Lab, delta_e_2000};
use measure::solve::{Few, Node, Pair};

use super::super::look;
use super::nodes::{Group, groups};
use super::steps::{Step, stepped};
use super::target::{Line, reachable};
use super::{acts, fixed};
use crate::pattern::{Meeting, Outlines};
use crate::picture::Colours;
use crate::work::{AreaId, Number, Piece, State, Wood, WoodId, Work};

/// A piece weighs its area to this power. At 1 a sky decides every wood; at 0.5 specks do.
const AREA_POWER: f64 = 0.7;

/// From this lightness step in the picture on, the order of two touching pieces is to be kept.
const ORDER_SEEN: f64 = 5.0;

/// The lightness step in wood that counts as order kept: two boards of one wood can differ by as much.
const ORDER_KEPT: f64 = 2.0;

/// The lightness step in wood that is asked then, more than counts as kept: boards differ from the table.
const ORDER_ASKED: f64 = 3.0;

/// From this difference in the picture on, two touching pieces of like lightness are to stay apart.
const APART_SEEN: f64 = 6.0;

/// The difference in wood that is asked then: the least that shows (Allegretti and others 2009: 3 to 6 is visible).
const APART_ASKED: f64 = 3.0;

/// A wrong step costs no more than this many units: past that it is just wrong.
const LACK_MOST: f64 = 8.0;

/// What a unit of lacking or excessive contrast within a tone costs against its weight: so much that it is a rule and gives
/// way only where no woods keep it.
const TONE_WEIGHT: f64 = 60.0;

/// What a coin for a dm² costs against ΔE.
const PRICE_WEIGHT: f64 = 0.05;

/// What opening a wood that must be bought costs, as ΔE over the whole work.
const BUY_WEIGHT: f64 = 0.25;

/// The share of a board's face that becomes pieces; kerf, faults and margins take the rest. Common practice, no source.
pub const BECOMES_PIECES: f64 = 0.6;

/// A piece to be decided.
pub struct Open {
    /// Its number.
    pub number: Number,
    /// Its colour in the picture.
    pub tone: Lab,
    /// What its fidelity weighs.
    pub weight: f64,
    /// mm².
    pub area: f64,
}

/// The colour asked of wood for each piece.
pub type Aims = BTreeMap<Number, Lab>;

/// What is to be decided.
pub struct Problem<'a> {
    job: (&'a Work, &'a Outlines, &'a Colours),
    offered: &'a [&'a Wood],
    /// What the offered woods look like under the finish.
    looks: Vec<Lab>,
    open: BTreeMap<Number, Open>,
    /// What each node stands for.
    groups: Vec<Group>,
    /// Woods that stay, by their place among the offered.
    held: BTreeMap<Number, usize>,
    sides: BTreeMap<AreaId, Side>,
}

/// A side of a border: a node to be decided, or a wood that stays.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Node(usize),
    Wood(usize),
}

impl<'a> Problem<'a> {
    /// Reads the job. Pieces without a colour in the picture are left out.
    pub fn new(work: &'a Work, outlines: &'a Outlines, colours: &'a Colours, offered: &'a [&'a Wood]) -> Problem<'a> {
        let looks: Vec<Lab> = offered.iter().map(|wood| look(work, wood)).collect();
        let open = open(work, outlines, colours);
        let groups = groups(&open, work.choices.choosing.per_tone as usize);
        let place = |id: &WoodId| offered.iter().position(|wood| &wood.id == id);
        let held: BTreeMap<Number, usize> =
            fixed(work).filter_map(|(number, chosen)| Some((number, place(&chosen.value)?))).collect();
        let nodes =
            groups.iter().enumerate().flat_map(|(at, group)| group.pieces.iter().map(move |n| (*n, Side::Node(at))));
        let sides = nodes
            .chain(held.iter().map(|(number, wood)| (*number, Side::Wood(*wood))))
            .map(|(number, side)| (work.pieces[&number].area, side))
            .collect();
        let open = open.into_iter().map(|open| (open.number, open)).collect();
        Problem { job: (work, outlines, colours), offered, looks, open, groups, held, sides }
    }

    /// Whether no piece is to be decided.
    pub fn is_empty(&self) -> bool {
        self.groups.is_empty()
    }

    /// The pieces of each node.
    pub fn pieces(&self) -> impl Iterator<Item = &[Number]> {
        self.groups.iter().map(|group| group.pieces.as_slice())
    }

    /// The colour asked of wood for each piece to be decided, where steps of light have so much `pull`. All pieces count, decided
    /// or not, so that it stays the same as pieces are settled.
    pub fn aims(&self, pull: f64) -> Aims {
        let (work, outlines, _) = self.job;
        let known = |(number, piece): (&Number, &Piece)| Some((*number, piece.area, self.tone(&piece.area)?));
        let pieces: Vec<(Number, AreaId, (Lab, f64))> = work.pieces.iter().filter_map(known).collect();
        let tones: Vec<(Lab, f64)> = pieces.iter().map(|(_, _, tone)| *tone).collect();
        let line = Line::new(&tones, &self.looks);
        let place: BTreeMap<AreaId, usize> = pieces.iter().enumerate().map(|(at, (_, area, _))| (*area, at)).collect();
        let seen = |((one, two), meeting): (&(AreaId, AreaId), &Meeting)| {
            let (one, two) = (*place.get(one)?, *place.get(two)?);
            let step = tones[one].0.l - tones[two].0.l;
            let (paler, darker) = if step > 0.0 { (one, two) } else { (two, one) };
            (step.abs() >= ORDER_SEEN).then_some((paler, darker, meeting.length_mm))
        };
        let steps: Vec<Step> = outlines.meetings.iter().filter_map(seen).collect();
        let light: Vec<(f64, f64)> = tones.iter().map(|(tone, weight)| (line.at(tone.l), *weight)).collect();
        let rung = (line.range.1 - line.range.0) / f64::from(work.choices.woods_most.max(2) - 1);
        let light = stepped(&light, &steps, (rung + ORDER_SEEN, pull), line.range);
        let aim = |((number, _, (tone, _)), l): (&(Number, AreaId, (Lab, f64)), f64)| {
            (*number, reachable(Lab { l, ..*tone }, &self.looks))
        };
        pieces.iter().zip(light).map(aim).collect()
    }

    /// The objective with these aims and this weight of a mm of order, as numbers.
    pub fn stated(&self, aims: &Aims, order: f64) -> Few {
        let (work, outlines, _) = self.job;
        let node =
            |group: &Group| node(&self.looks, group.pieces.iter().map(|number| (&self.open[number], aims[number])));
        let mut few = Few {
            labels: self.looks.len(),
            nodes: self.groups.iter().map(node).collect(),
            kinds: kinds(&self.looks),
            pairs: Vec::new(),
            most: (work.choices.woods_most as usize).max(self.held.values().collect::<BTreeSet<_>>().len()),
            held: self.held.values().copied().collect(),
            opening: vec![0.0; self.looks.len()],
            room: vec![f64::INFINITY; self.looks.len()],
        };
        self.join(&mut few, order);
        within_tones(&mut few, work, &self.groups, &self.looks);
        stock(&mut few, (work, outlines), self.offered, &self.held);
        few
    }

    /// The share of the border length with something to decide, of that which asks for order, along which it is kept.
    /// `None` when none asks.
    pub fn kept(&self, label: &[usize]) -> Option<f64> {
        let lightness = |side: Side| match side {
            Side::Node(node) => self.looks[label[node]].l,
            Side::Wood(wood) => self.looks[wood].l,
        };
        let (mut kept, mut all) = (0.0, 0.0);
        for (one, two, kind, length) in self.borders() {
            let step = match kind {
                1 => lightness(one) - lightness(two),
                2 => lightness(two) - lightness(one),
                _ => continue,
            };
            all += length;
            kept += if step >= ORDER_KEPT { length } else { 0.0 };
        }
        (all > 0.0).then(|| kept / all)
    }

    /// Borders of which at least one side is to be decided and of which the picture asks something: the sides, the place in
    /// `kinds`, mm.
    fn borders(&self) -> impl Iterator<Item = (Side, Side, usize, f64)> {
        let (_, outlines, colours) = self.job;
        outlines.meetings.iter().filter_map(move |((one, two), meeting)| {
            let (a, b) = (*self.sides.get(one)?, *self.sides.get(two)?);
            let open = matches!((a, b), (Side::Node(_), _) | (_, Side::Node(_)));
            open.then_some((a, b, asked(colours, *one, *two)?, meeting.length_mm))
        })
    }

    fn join(&self, few: &mut Few, order: f64) {
        let mut lengths: BTreeMap<(usize, usize, usize), f64> = BTreeMap::new();
        for (one, two, kind, length) in self.borders() {
            let weight = order * length;
            match (one, two) {
                (Side::Node(a), Side::Node(b)) if a != b => *lengths.entry((a, b, kind)).or_default() += weight,
                (Side::Node(node), Side::Wood(wood)) => beside(few, (node, wood), kind, weight),
                (Side::Wood(wood), Side::Node(node)) => beside(few, (node, wood), [0, 2, 1][kind], weight),
                _ => {}
            }
        }
        few.pairs = lengths.into_iter().map(|((one, two, kind), weight)| Pair { one, two, kind, weight }).collect();
    }

    /// An area's tone and what it weighs.
    fn tone(&self, area: &AreaId) -> Option<(Lab, f64)> {
        let (_, outlines, colours) = self.job;
        Some((*colours.get(area)?, libm::pow(outlines.areas.get(area)?.area_mm2.max(0.0), AREA_POWER)))
    }
}

fn open(work: &Work, outlines: &Outlines, colours: &Colours) -> Vec<Open> {
    work.pieces
        .iter()
        .filter(|(_, piece)| piece.state == State::Planned && acts(&piece.values.wood))
        .filter_map(|(number, piece)| {
            let area = outlines.areas.get(&piece.area)?.area_mm2.max(0.0);
            let weight = libm::pow(area, AREA_POWER);
            Some(Open { number: *number, tone: *colours.get(&piece.area)?, weight, area })
        })
        .collect()
}

fn node<'a>(looks: &[Lab], pieces: impl Iterator<Item = (&'a Open, Lab)>) -> Node {
    let mut node = Node { cost: vec![0.0; looks.len()], size: 0.0 };
    for (piece, aim) in pieces {
        node.size += piece.area;
        node.cost.iter_mut().zip(looks).for_each(|(cost, look)| *cost += piece.weight * delta_e_2000(*look, aim));
    }
    node
}

/// What a border costs for each woods of its sides: apart, the first lighter, the first darker.
fn kinds(looks: &[Lab]) -> Vec<Vec<f64>> {
    let table = |lack: &dyn Fn(&Lab, &Lab) -> f64| {
        looks.iter().flat_map(|one| looks.iter().map(|two| lack(one, two).clamp(0.0, LACK_MOST))).collect()
    };
    vec![
        table(&|one, two| APART_ASKED - delta_e_2000(*one, *two)),
        table(&|one, two| ORDER_ASKED - (one.l - two.l)),
        table(&|one, two| ORDER_ASKED + (one.l - two.l)),
    ]
}

/// What the picture asks of two touching areas, if anything, as the place in `kinds`.
fn asked(colours: &Colours, one: AreaId, two: AreaId) -> Option<usize> {
    let (a, b) = (colours.get(&one)?, colours.get(&two)?);
    if (a.l - b.l).abs() >= ORDER_SEEN {
        Some(if a.l > b.l { 1 } else { 2 })
    } else {
        (delta_e_2000(*a, *b) >= APART_SEEN).then_some(0)
    }
}

/// A border on a wood that stays bears on the node alone.
fn beside(few: &mut Few, (node, wood): (usize, usize), kind: usize, weight: f64) {
    for mine in 0..few.labels {
        few.nodes[node].cost[mine] += weight * few.kinds[kind][mine * few.labels + wood];
    }
}

/// The woods of one tone keep a least and a greatest difference, and the order of their bands.
fn within_tones(few: &mut Few, work: &Work, groups: &[Group], looks: &[Lab]) {
    let choosing = &work.choices.choosing;
    if choosing.per_tone < 2 {
        return;
    }
    let (least, greatest) = (f64::from(choosing.least) / 100.0, f64::from(choosing.greatest) / 100.0);
    let off = |dark: &Lab, pale: &Lab| {
        let apart = if pale.l >= dark.l { delta_e_2000(*dark, *pale) } else { -delta_e_2000(*dark, *pale) };
        (least - apart).max(apart - greatest).max(0.0)
    };
    few.kinds.push(looks.iter().flat_map(|dark| looks.iter().map(|pale| off(dark, pale))).collect());
    let kind = few.kinds.len() - 1;
    for (one, dark) in groups.iter().enumerate() {
        for (two, pale) in groups.iter().enumerate().filter(|(_, pale)| pale.tone.0 == dark.tone.0) {
            if dark.tone.1 < pale.tone.1 {
                let weight = TONE_WEIGHT * libm::pow(few.nodes[one].size.min(few.nodes[two].size), AREA_POWER);
                few.pairs.push(Pair { one, two, kind, weight });
            }
        }
    }
}

/// Room on hand, prices, and the woods that must be bought.
fn stock(few: &mut Few, (work, outlines): (&Work, &Outlines), offered: &[&Wood], held: &BTreeMap<Number, usize>) {
    let choosing = &work.choices.choosing;
    let weight: f64 = few.nodes.iter().map(|node| libm::pow(node.size, AREA_POWER)).sum();
    for (at, wood) in offered.iter().enumerate() {
        if let Some(price) = choosing.prices.get(&wood.id) {
            let coin = PRICE_WEIGHT * f64::from(*price) / 100.0;
            few.nodes.iter_mut().for_each(|node| node.cost[at] += coin * libm::pow(node.size, AREA_POWER));
        }
        match choosing.on_hand.get(&wood.id) {
            Some(mm2) => few.room[at] = f64::from(*mm2) * BECOMES_PIECES,
            None if !choosing.on_hand.is_empty() => few.opening[at] = BUY_WEIGHT * weight,
            None => {}
        }
    }
    for (number, wood) in held {
        let area = outlines.areas.get(&work.pieces[number].area).map_or(0.0, |outline| outline.area_mm2);
        few.room[*wood] = (few.room[*wood] - area).max(0.0);
    }
}
