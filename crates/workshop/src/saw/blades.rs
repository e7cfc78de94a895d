//! A blade for every piece, with as few changes of blade as can be.
//!
//! A blade suits a piece when its stock range holds the thickness and when it turns in the tightest bend. Of all sets of
//! blades that serve every piece the smallest is taken (by trying all, few before many), and of those the one nearest to
//! what each piece would want for itself: in hard or oily wood the heaviest that suits, else the middle one. Where a blade
//! that the maker measured suits, only such blades are asked.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use csv::{ReaderBuilder, Trim};
use measure::length::Um;

use crate::work::{Blade, Number, Work};

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

/// The blades of a job.
#[derive(Clone, Debug)]
pub struct Rack {
    /// The finest first, at most 32.
    blades: Vec<Blade>,
    /// Those that the maker measured, as bits.
    measured: u32,
}

impl Rack {
    /// The maker's own blades, and those of the table whose numbers he has not measured.
    pub fn of(work: &Work) -> Rack {
        let own = &work.choices.saw.blades;
        let table = blades().iter().filter(|blade| own.iter().all(|own| own.number != blade.number));
        let mut both: Vec<(&Blade, bool)> = own.iter().map(|blade| (blade, true)).collect();
        both.extend(table.map(|blade| (blade, false)));
        both.sort_by_key(|(blade, _)| (blade.width, blade.to));
        let measured = both.iter().enumerate().fold(0, |bits, (at, (_, own))| bits | u32::from(*own) << at);
        Rack { blades: both.into_iter().map(|(blade, _)| blade.clone()).collect(), measured }
    }

    /// The blade at a place.
    pub fn blade(&self, at: usize) -> &Blade {
        &self.blades[at]
    }

    /// The finest for a thickness, and whether any is for it: else it is the nearest.
    pub fn finest(&self, thickness: Um) -> Option<(&Blade, bool)> {
        let fit = self.blades.iter().find(|blade| (blade.from..=blade.to).contains(&thickness));
        fit.map(|blade| (blade, true)).or_else(|| Some((&self.blades[self.nearest(thickness)?], false)))
    }

    /// The blade whose stock range lies nearest to a thickness.
    fn nearest(&self, thickness: Um) -> Option<usize> {
        let away = |at: &usize| {
            let blade = &self.blades[*at];
            (blade.from.0 - thickness.0).max(thickness.0 - blade.to.0)
        };
        (0..self.blades.len()).min_by_key(away)
    }
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

/// A blade of the rack for each piece. Pieces that no blade suits get the nearest, and are told so.
pub fn fit(rack: &Rack, pieces: &BTreeMap<Number, Asks>) -> BTreeMap<Number, Fitted> {
    let wants: Vec<(Number, Wants)> =
        pieces.iter().filter_map(|(number, asks)| Some((*number, rack.wants(asks)?))).collect();
    let set = fewest(rack.blades.len(), wants.iter().map(|(_, wants)| (wants.suits, wants.best)));
    let of = |(number, wants): &(Number, Wants)| {
        let blade = nearest(set & wants.suits, wants.best)?;
        let why = match blade == wants.best {
            true => wants.why.into(),
            false => format!(
                "suits its thickness and turns in its bends; No. {} would do a little better, but this one saves a change \
                 of blade",
                rack.blades[wants.best].number
            ),
        };
        Some((*number, Fitted { blade, why }))
    };
    wants.iter().filter_map(of).collect()
}

/// The blades that suit a piece as bits, and the one it would have for itself.
struct Wants {
    suits: u32,
    best: usize,
    why: &'static str,
}

impl Rack {
    fn wants(&self, asks: &Asks) -> Option<Wants> {
        let in_range = |blade: &Blade| (blade.from..=blade.to).contains(&asks.thickness);
        let turns = |blade: &Blade| blade.turns_in() / 2.0 <= asks.bend;
        let both = self.those(&|blade| in_range(blade) && turns(blade));
        if let (Some(first), Some(last)) = (both.first(), both.last()) {
            let hard = asks.hardness.is_some_and(|hardness| hardness >= HARD_N);
            let (best, why) = if first == last {
                (*last, "the one that suits its thickness and turns in its bends")
            } else if hard {
                (*last, "hard wood: the heaviest blade that turns in its bends")
            } else if asks.oily {
                (*last, "oily wood cakes fine teeth: the heaviest blade that turns in its bends")
            } else {
                (both[both.len() / 2], "suits its thickness and turns in its bends")
            };
            return Some(Wants { suits: bits(both.into_iter()), best, why });
        }
        let (best, why) = match self.blades.iter().position(in_range) {
            Some(finest) => (finest, "the finest for its thickness; its tightest bend must be sawn in small bites"),
            None => (self.nearest(asks.thickness)?, "no blade of the list is for its thickness; the nearest"),
        };
        Some(Wants { suits: 1 << best, best, why })
    }

    /// The places of the blades that suit: where a measured one does, of measured ones alone.
    fn those(&self, suits: &dyn Fn(&Blade) -> bool) -> Vec<usize> {
        let all: Vec<usize> = (0..self.blades.len()).filter(|at| suits(&self.blades[*at])).collect();
        let own: Vec<usize> = all.iter().copied().filter(|at| self.measured & 1 << at != 0).collect();
        if own.is_empty() { all } else { own }
    }
}

fn bits(places: impl Iterator<Item = usize>) -> u32 {
    places.fold(0, |bits, at| bits | 1 << at)
}

/// The place among `set` that lies nearest to `best`; of two the finer.
fn nearest(set: u32, best: usize) -> Option<usize> {
    (0..32_usize).filter(|at| set & 1 << at != 0).min_by_key(|at| (at.abs_diff(best), *at))
}

/// So many blades beside those that some piece has no other than are chosen by trying all sets; a rack that wants more is
/// served by the blade that suits the most pieces, again and again (Chvátal 1979).
const TRIED: usize = 4;

/// The smallest set of blades that holds one for every piece; of equals the one nearest to what the pieces want.
fn fewest(blades: usize, wants: impl Iterator<Item = (u32, usize)>) -> u32 {
    let mut alike: BTreeMap<(u32, usize), usize> = BTreeMap::new();
    wants.for_each(|wants| *alike.entry(wants).or_default() += 1);
    let forced = alike.keys().filter(|(suits, _)| suits.count_ones() == 1).fold(0, |set, (suits, _)| set | suits);
    let more: Vec<usize> =
        (0..blades).filter(|at| forced & 1 << at == 0 && alike.keys().any(|(suits, _)| suits & 1 << at != 0)).collect();
    let set =
        |chosen: u32| forced | bits(more.iter().enumerate().filter(|(k, _)| chosen & 1 << k != 0).map(|(_, at)| *at));
    let cost = |set: u32| {
        let each =
            alike.iter().map(|((suits, best), count)| Some(nearest(set & suits, *best)?.abs_diff(*best) * count));
        each.sum::<Option<usize>>()
    };
    let best = |count: usize| {
        let sets = choices(more.len(), count).map(set);
        sets.filter_map(|set| Some((cost(set)?, set))).min()
    };
    let tried = (0..=more.len().min(TRIED)).find_map(best).map(|(_, set)| set);
    tried.unwrap_or_else(|| {
        let mut set = forced;
        let left = |set: u32| alike.iter().filter(move |((suits, _), _)| set & suits == 0);
        while left(set).next().is_some() {
            let serves = |at: &usize| -> usize {
                left(set).filter(|((suits, _), _)| suits & 1 << at != 0).map(|(_, count)| count).sum()
            };
            let Some(at) = more.iter().copied().max_by_key(serves) else { break };
            set |= 1 << at;
        }
        set
    })
}

/// All numbers of `of` bits, at most 32, with `count` of them set: each is the next larger (Gosper, HAKMEM 175).
fn choices(of: usize, count: usize) -> impl Iterator<Item = u32> {
    let next = |chosen: &u32| {
        let low = chosen & chosen.wrapping_neg();
        let carried = chosen.checked_add(low)?;
        Some(carried | ((carried ^ chosen) >> 2).checked_div(low)?)
    };
    std::iter::successors(Some((1_u32 << count) - 1), next)
        .take_while(move |chosen| chosen.checked_shr(of as u32).unwrap_or(0) == 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asks(thickness: f64, hardness: f64, bend: f64) -> Asks {
        Asks { oily: false, thickness: Um::mm(thickness), hardness: Some(hardness), bend: bend * 1000.0 }
    }

    fn numbers(pieces: &[Asks]) -> Vec<String> {
        let pieces = pieces.iter().enumerate().map(|(at, asks)| (Number(at as u32 + 1), *asks)).collect();
        let rack = Rack::of(&Work::default());
        fit(&rack, &pieces).values().map(|fitted| rack.blade(fitted.blade).number.clone()).collect()
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
        assert_eq!(numbers(&[dry]), ["5"]);
        assert_eq!(numbers(&[Asks { oily: true, ..dry }]), ["7"]);
    }

    #[test]
    fn tight_bends_want_a_finer_blade_and_thin_stock_too() {
        assert_eq!(numbers(&[asks(18.0, 3000.0, 0.46)]), ["3"]);
        assert_eq!(numbers(&[asks(2.0, 3000.0, 5.0)]), ["2/0"]);
        assert_eq!(numbers(&[asks(45.0, 3000.0, 0.3)]), ["12"], "no finer blade saws 45 mm");
    }

    /// Sixteen blades of the maker's own, each for a range of its own, and pieces of every thickness, is the worst there is.
    #[test]
    fn many_blades_are_chosen_from_in_no_time() {
        let single: Vec<(u32, usize)> = (0..16).map(|at| (1 << at, at)).collect();
        assert_eq!(fewest(32, single.into_iter()), 0xffff);
        let pairs = (0..16).map(|at| (0b11 << (2 * at), 2 * at));
        let set = fewest(32, pairs);
        assert!(set.count_ones() == 16 && (0..16).all(|at| set >> (2 * at) & 0b11 != 0), "{set:b}");
        assert_eq!(fewest(5, [(0b00111, 0), (0b11100, 4), (0b00010, 1)].into_iter()).count_ones(), 2);
    }
}
