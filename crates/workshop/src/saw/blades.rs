//! A blade for every piece, with as few changes of blade as can be.
//!
//! A blade suits a piece when its stock range holds the thickness and when it turns in the tightest bend. Of all sets of
//! blades that serve every piece the smallest is taken (by trying all: there are a dozen blades), and of those the one
//! nearest to what each piece would want for itself: in hard or oily wood the heaviest that suits, else the middle one.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use csv::{ReaderBuilder, Trim};
use measure::length::Um;

use crate::work::{Blade, Number};

/// Side hardness (Janka, N) from which a wood wants the heavier blade: oak and hard maple lie above. From memory.
const HARD_N: f64 = 5500.0;

static BLADES: LazyLock<Vec<Blade>> = LazyLock::new(|| read(include_str!("../../../../data/blades.csv")));

/// The table of blades that comes with spelk (`data/blades.csv`), the finest first.
pub fn blades() -> &'static [Blade] {
    &BLADES
}

fn read(text: &str) -> Vec<Blade> {
    let mut reader = ReaderBuilder::new().comment(Some(b'#')).trim(Trim::All).from_reader(text.as_bytes());
    let row = |record: csv::StringRecord| {
        let number = |at: usize| record[at].parse::<f64>().ok();
        Some(Blade {
            number: record[0].into(),
            width: Um::mm(number(1)?),
            thickness: Um::mm(number(2)?),
            teeth: (number(3)? * 10.0).round() as u32,
            from: Um::mm(number(4)?),
            to: Um::mm(number(5)?),
            source: record[6].into(),
        })
    };
    reader
        .records()
        .map(|record| record.ok().and_then(row).expect("the table of blades is whole: a test reads it"))
        .collect()
}

/// What a piece asks of its blade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asks {
    /// Its thickness.
    pub thickness: Um,
    /// Whether its wood is oily: its dust cakes between fine teeth, which then burn. Common practice, no source.
    pub oily: bool,
    /// Side hardness, N, if the table knows it.
    pub hardness: Option<f64>,
    /// The radius of its tightest bend, µm; sharp corners are turned on the spot and do not count.
    pub bend: f64,
}

/// The blade of a piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Its place in the list of blades.
    pub blade: usize,
    /// Why this one.
    pub why: String,
}

/// A blade of `blades` (finest first, at most 16) for each piece. Pieces that no blade suits get the nearest, and are told so.
pub fn fit(blades: &[Blade], pieces: &BTreeMap<Number, Asks>) -> BTreeMap<Number, Fitted> {
    let wants: Vec<(Number, Wants)> =
        pieces.iter().filter_map(|(number, asks)| Some((*number, wants(blades, asks)?))).collect();
    let set = fewest(blades.len(), &wants.iter().map(|(_, wants)| wants).collect::<Vec<_>>());
    let choose = |wants: &Wants| {
        (0..blades.len()).filter(|at| set & wants.suits & 1 << at != 0).min_by_key(|at| at.abs_diff(wants.best))
    };
    wants
        .iter()
        .filter_map(|(number, wants)| {
            let blade = choose(wants)?;
            Some((*number, Fitted { blade, why: wants.why.clone() }))
        })
        .collect()
}

/// The blades that suit a piece as bits, and the one it would have for itself.
struct Wants {
    suits: u32,
    best: usize,
    why: String,
}

fn wants(blades: &[Blade], asks: &Asks) -> Option<Wants> {
    let in_range = |blade: &Blade| (blade.from..=blade.to).contains(&asks.thickness);
    let turns = |blade: &Blade| blade.turns_in() / 2.0 <= asks.bend;
    let those =
        |suits: &dyn Fn(&Blade) -> bool| -> Vec<usize> { (0..blades.len()).filter(|at| suits(&blades[*at])).collect() };
    let both = those(&|blade| in_range(blade) && turns(blade));
    if let Some(last) = both.last() {
        let hard = asks.hardness.is_some_and(|hardness| hardness >= HARD_N);
        let (best, why) = if hard {
            (*last, "hard wood: the heaviest blade that turns in its bends")
        } else if asks.oily {
            (*last, "oily wood cakes fine teeth: the heaviest blade that turns in its bends")
        } else {
            (both[both.len() / 2], "suits its thickness and turns in its bends")
        };
        return Some(Wants { suits: bits(&both), best, why: why.into() });
    }
    let thick = those(&in_range);
    if let Some(finest) = thick.first() {
        let why = "the finest for its thickness; its tightest bend must be sawn in small bites".into();
        return Some(Wants { suits: 1 << finest, best: *finest, why });
    }
    let away = |at: &usize| {
        let blade = &blades[*at];
        (blade.from.0 - asks.thickness.0).max(asks.thickness.0 - blade.to.0)
    };
    let nearest = (0..blades.len()).min_by_key(away)?;
    Some(Wants {
        suits: 1 << nearest,
        best: nearest,
        why: "no blade of the list suits its thickness; the nearest".into(),
    })
}

fn bits(places: &[usize]) -> u32 {
    places.iter().fold(0, |bits, at| bits | 1 << at)
}

/// The smallest set of blades that holds one for every piece; of equals the one nearest to what the pieces want.
fn fewest(blades: usize, wants: &[&Wants]) -> u32 {
    let away = |set: u32, wants: &&Wants| {
        (0..blades).filter(|at| set & wants.suits & 1 << at != 0).map(|at| at.abs_diff(wants.best)).min()
    };
    let cost = |set: u32| wants.iter().map(|wants| away(set, wants)).sum::<Option<usize>>();
    let sets = (0..1_u32 << blades).filter_map(|set| Some((set.count_ones(), cost(set)?, set)));
    sets.min().map_or(0, |(_, _, set)| set)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asks(thickness: f64, hardness: f64, bend: f64) -> Asks {
        Asks { oily: false, thickness: Um::mm(thickness), hardness: Some(hardness), bend: bend * 1000.0 }
    }

    fn numbers(pieces: &[Asks]) -> Vec<&'static str> {
        let pieces = pieces.iter().enumerate().map(|(at, asks)| (Number(at as u32 + 1), *asks)).collect();
        fit(blades(), &pieces).values().map(|fitted| blades()[fitted.blade].number.as_str()).collect()
    }

    /// Published: a #57 bit (1.09 mm) takes a No. 3 (Scrollsaw Workshop, 28 April 2017); a #58 bit (1.07 mm) a No. 2
    /// (Creative Woodworks, March 2002, p. 51).
    #[test]
    fn holes_fit_the_published_bits() {
        let hole = |number: &str| blades().iter().find(|blade| blade.number == number).expect("a blade").hole();
        assert!(hole("3") <= Um::mm(1.09) && hole("2") <= Um::mm(1.07));
        assert!(hole("3") >= Um::mm(0.9), "a hole is not far under its bit either");
    }

    #[test]
    fn blades_grow_down_the_table() {
        assert!(blades().windows(2).all(|two| two[0].width <= two[1].width && two[0].to <= two[1].to));
    }

    #[test]
    fn one_blade_serves_where_one_can() {
        assert_eq!(
            numbers(&[asks(18.0, 3000.0, 5.0), asks(18.0, 7000.0, 5.0), asks(15.0, 4000.0, 0.9)]),
            ["5", "5", "5"]
        );
    }

    #[test]
    fn oily_wood_wants_the_heaviest_that_turns() {
        let dry = asks(18.0, 3000.0, 5.0);
        assert_eq!((numbers(&[dry]), numbers(&[Asks { oily: true, ..dry }])), (vec!["5"], vec!["7"]));
    }

    #[test]
    fn tight_bends_want_a_finer_blade_and_thin_stock_too() {
        assert_eq!(numbers(&[asks(18.0, 3000.0, 0.46)]), ["3"]);
        assert_eq!(numbers(&[asks(2.0, 3000.0, 5.0)]), ["2/0"]);
        assert_eq!(numbers(&[asks(45.0, 3000.0, 0.3)]), ["12"], "no finer blade saws 45 mm");
    }
}
