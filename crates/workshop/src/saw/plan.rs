//! A blade and the minutes at the saw for every piece.
//!
//! No published feed rate was found. The rates are from memory, for curved lines in 19 mm stock by side hardness with a
//! No. 5, fall in proportion to thickness and grow with coarser teeth: they are for comparing one plan with another, not for promising a day. A maker who has timed a line gives rates of his own, which go before these.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::Point;
use rayon::prelude::*;

use super::{Asks, Rack, fit, slot_length, slots, slotted, tightest};
use crate::pattern::{Outline, Outlines};
use crate::work::{Blade, Number, Piece, Work};

/// Side hardness up to which a rate holds (Janka, N) and the rate in 19 mm stock, mm a minute. From memory: cedar, basswood
/// and poplar 4 to 6 in a minute; cherry and walnut 2.5 to 4; hard maple and oak 1.5 to 3; the densest 0.75 to 1.5.
const RATES: [(u32, f64); 4] = [(2500, 127.0), (5500, 82.0), (9000, 57.0), (u32::MAX, 28.0)];
/// The thickness of those rates, µm.
const RATED: f64 = 19_000.0;
/// The teeth of the blade of those rates, tenths an inch: the table's No. 5.
const RATED_TEETH: f64 = 125.0;
/// Side hardness above which a wood wears blades as the densest do (Janka, N). From memory.
const DENSE_N: f64 = 9000.0;

/// How a piece is sawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Sawing {
    /// The blade.
    pub blade: Blade,
    /// Why this one.
    pub why: String,
    /// Radius of its tightest bend, if it has any.
    pub bend: Option<Um>,
    /// Length of its outline, holes and both sides of slots included.
    pub line: Um,
    /// Holes to drill and thread.
    pub holes: u32,
    /// Minutes along its line, by the maker's rates or from memory. `None` while its thickness is undecided.
    pub minutes: Option<f64>,
    /// Whether its wood is so dense that blades wear out soon.
    pub dense: bool,
}

impl Sawing {
    /// Minutes along so much of its line.
    pub fn along(&self, length: Um) -> Option<f64> {
        self.minutes.map(|minutes| minutes * length.to_mm() / self.line.to_mm().max(1e-3))
    }
}

/// How each piece is sawn. Pieces of undecided thickness ask for the stock's first.
pub fn plan(work: &Work, outlines: &Outlines) -> BTreeMap<Number, Sawing> {
    let rack = Rack::of(work);
    let pieces: Vec<(Number, &Piece, &Outline)> = work
        .pieces
        .iter()
        .filter_map(|(number, piece)| Some((*number, piece, outlines.areas.get(&piece.area)?)))
        .collect();
    let asks: BTreeMap<Number, Asks> =
        pieces.par_iter().map(|(number, piece, outline)| (*number, asked(work, piece, outline))).collect();
    let fitted = fit(&rack, &asks);
    let slots = slots(work, outlines);
    let sawing = |(number, piece, outline): &(Number, &Piece, &Outline)| {
        let fitted = fitted.get(number)?;
        let own = || slots.iter().filter(|(area, _)| *area == piece.area).map(|(_, slot)| *slot);
        let line = Um(line(outline).0 + 2 * own().map(|slot| slot_length(slot).0).sum::<i32>());
        let holes = slotted(&outline.rings, own()).len() as u32 - 1;
        let asks = &asks[number];
        let blade = rack.blade(fitted.blade).clone();
        let rate = rate(work, asks.hardness) * bite(&blade);
        let minutes = piece.values.thickness.map(|thickness| minutes(line, thickness.value, rate));
        let dense = asks.hardness.is_some_and(|hardness| hardness > DENSE_N);
        let bend = asks.bend.is_finite().then_some(Um(asks.bend as i32));
        Some((*number, Sawing { blade, why: fitted.why.clone(), bend, line, holes, minutes, dense }))
    };
    pieces.iter().filter_map(sawing).collect()
}

fn asked(work: &Work, piece: &Piece, outline: &Outline) -> Asks {
    let thickness = piece.values.thickness.map(|chosen| chosen.value);
    let wood = piece.values.wood.as_ref().and_then(|chosen| work.woods.get(&chosen.value));
    Asks {
        oily: wood.and_then(|wood| wood.oiliness.as_ref()).is_some_and(|oiliness| oiliness.value == "oily"),
        thickness: thickness.or(work.choices.stock.thicknesses.first().copied()).unwrap_or_default(),
        hardness: wood.and_then(|wood| wood.hardness.as_ref()).map(|hardness| f64::from(hardness.value)),
        bend: outline.rings.iter().map(|ring| tightest(ring)).fold(f64::INFINITY, f64::min),
    }
}

fn line(outline: &Outline) -> Um {
    let chord = |a: &Point, b: &Point| libm::hypot(f64::from(b.x - a.x), f64::from(b.y - a.y));
    let round = |ring: &Vec<Point>| ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| chord(a, b)).sum::<f64>();
    Um(outline.rings.iter().map(round).sum::<f64>() as i32)
}

/// The rate in 19 mm stock, mm a minute: the maker's own, else from memory. An unknown hardness counts as cherry's.
fn rate(work: &Work, hardness: Option<f64>) -> f64 {
    let hardness = hardness.unwrap_or(f64::from(RATES[1].0));
    let class = RATES.iter().position(|(most, _)| hardness <= f64::from(*most)).unwrap_or(RATES.len() - 1);
    work.choices.saw.rates.get(class).map_or(RATES[class].1, |own| f64::from(*own))
}

/// What a blade bites beside a No. 5 of the table, by the root of the pitch of its teeth: coarse teeth clear more. From memory.
fn bite(blade: &Blade) -> f64 {
    (RATED_TEETH / f64::from(blade.teeth.max(1))).sqrt()
}

/// Minutes for a line, in stock of a thickness.
fn minutes(line: Um, thickness: Um, rate: f64) -> f64 {
    line.to_mm() / (rate * RATED / f64::from(thickness.0.max(1)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::saw::{Narrow, blades, findings};
    use crate::work::{Chosen, Kind, Saw};

    fn job(thickness: i32) -> Work {
        let mut work = accepted(3, 2);
        for piece in work.pieces.values_mut() {
            piece.values.thickness = Some(Chosen::hand(Um(thickness)));
        }
        work
    }

    #[test]
    fn thick_or_hard_stock_takes_longer() {
        let work = job(18_000);
        let sawn = |thickness, hardness| minutes(Um::mm(100.0), Um(thickness), rate(&work, Some(hardness)));
        assert!((sawn(38_000, 3000.0) / sawn(19_000, 3000.0) - 2.0).abs() < 1e-9);
        assert!(sawn(19_000, 7000.0) > sawn(19_000, 2000.0));
    }

    #[test]
    fn the_makers_own_rates_go_before_those_from_memory() {
        let mut work = job(18_000);
        assert_eq!([2500.0, 2501.0, 9001.0].map(|hardness| rate(&work, Some(hardness))), [127.0, 82.0, 28.0]);
        work.choices.saw.rates = vec![100, 50, 40, 10];
        assert_eq!([2500.0, 2501.0, 9001.0].map(|hardness| rate(&work, Some(hardness))), [100.0, 50.0, 10.0]);
        assert_eq!(rate(&work, None), 50.0);
    }

    #[test]
    fn every_piece_has_a_blade_of_the_rack() {
        let work = job(18_000);
        let plan = plan(&work, &outlines(&work.pattern, work.panel));
        assert_eq!(plan.keys().collect::<Vec<_>>(), work.pieces.keys().collect::<Vec<_>>());
        assert!(plan.values().all(|sawing| sawing.minutes.is_some_and(|minutes| minutes > 0.0)));
    }

    /// A blade of their own goes before the table where it suits; the table stays for the rest.
    #[test]
    fn a_measured_blade_goes_before_the_table_where_it_suits() {
        let plans = |blades: Vec<Blade>| {
            let mut work = job(18_000);
            work.pieces.values_mut().next().expect("a piece").values.thickness = Some(Chosen::hand(Um(45_000)));
            work.choices.saw = Saw { blades, ..Saw::default() };
            let plan = super::plan(&work, &outlines(&work.pattern, work.panel));
            plan.into_values().map(|sawing| sawing.blade).collect::<Vec<_>>()
        };
        let own = Blade { number: "own 4".into(), ..blades()[5].clone() };
        let numbers: Vec<String> = plans(vec![own]).into_iter().map(|blade| blade.number).collect();
        assert_eq!(numbers[0], "12");
        assert!(numbers[1..].iter().all(|number| number == "own 4"));
        let wide = Blade { number: "12".into(), width: Um(1_700), ..blades()[8].clone() };
        assert_eq!(plans(vec![wide])[0].width, Um(1_700), "a measured No. 12 is the No. 12");
    }

    #[test]
    fn coarser_teeth_saw_faster() {
        let of = |number: &str| bite(blades().iter().find(|blade| blade.number == number).expect("a blade"));
        assert_eq!(of("5"), 1.0);
        assert!(of("12") > of("7") && of("7") > 1.0 && of("3") < 1.0);
    }

    #[test]
    fn what_the_saw_cannot_take_is_found() {
        let kinds = |work: &Work| -> Vec<Kind> {
            let outlines = outlines(&work.pattern, work.panel);
            findings(work, &outlines, &mut Narrow::default()).into_iter().map(|finding| finding.kind).collect()
        };
        let mut work = job(3000);
        assert_eq!(kinds(&work).iter().filter(|kind| **kind == Kind::BeyondSaw).count(), 0);
        work.choices.saw.thickest = Um(2000);
        assert_eq!(kinds(&work).iter().filter(|kind| **kind == Kind::BeyondSaw).count(), work.pieces.len());
        work.choices.saw = Saw { throat: Um(5000), ..Saw::default() };
        assert!(kinds(&work).contains(&Kind::BeyondSaw));
        assert!(kinds(&job(60_000)).contains(&Kind::Tall));
    }
}
