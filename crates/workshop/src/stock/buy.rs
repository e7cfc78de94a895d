//! What is missing, as it is bought: rough boards, board feet, square metres, a price; and what is planed to what.
//!
//! Board feet = T (in) × W (in) × L (ft) ÷ 12, before planing. Rough hardwood is sold by quarters of an inch; what is left when
//! both faces are planed is the trade's table (engineeringtoolbox.com "Hardwood Lumber - Dimensions" and woodbin.com "Lumber
//! Dimensions", which agree). Stock thinner than 1 in is charged as 1 in: from memory. The widths and lengths proposed are
//! what an ordinary rack holds, from memory; a dealer's own sizes go before them. Boards are as many as the area with the
//! allowance asks for, and then longer until the plain first layout lays every piece on them.

use std::collections::BTreeMap;

use measure::length::{Um, inch_text};
use measure::{Stamp, stamp};
use rayon::prelude::*;

use super::cut::cut_rings;
use super::findings::size;
use super::lay;
use super::lay::{Blank, Rules, Sheet};
use super::layout::{blank, groups};
use super::parts::{Part, parts};
use crate::pattern::Outlines;
use crate::work::{Board, BoardId, Number, Unit, WoodId, Work};

/// Rough thickness and what is left when both faces are planed, 16ths of an inch.
const ROUGH: [(i32, i32); 12] =
    [(6, 3), (8, 5), (10, 7), (12, 9), (16, 13), (20, 17), (24, 21), (28, 24), (32, 28), (48, 44), (56, 52), (64, 60)];
/// What a band saw and the planing of the new faces take when a board is resawn, µm: from memory.
pub(super) const RESAWING: i32 = 5000;
/// Shorter boards do not go through a planer safely: about a foot by many manuals, from memory.
const SHORTEST: i32 = 300_000;
/// Boards are made longer so many times at the most until all pieces lie on them; two or three times are usual.
const LONGER_MOST: usize = 12;

/// Board feet of a board: thickness and width in inches, length in feet.
pub fn board_feet(thickness_in: f64, width_in: f64, length_ft: f64) -> f64 {
    thickness_in * width_in * length_ft / 12.0
}

/// The rough thickness that gives a planed one, and its name in the trade; `None` beyond 16/4.
pub fn rough(planed: Um) -> Option<(Um, String)> {
    let sixteenth = |n: i32| Um::inches(f64::from(n) / 16.0);
    let (rough, _) = ROUGH.iter().find(|(_, left)| sixteenth(*left) >= planed)?;
    let name = if *rough >= 16 { format!("{}/4", rough / 4) } else { inch_text(sixteenth(*rough)) };
    Some((sixteenth(*rough), name))
}

/// Wood that lies on no board yet: one wood, one thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// The wood.
    pub wood: WoodId,
    /// The finished thickness.
    pub thickness: Um,
    /// The pieces.
    pub pieces: Vec<Number>,
    /// Their area, mm².
    pub net_mm2: f64,
    /// With the maker's allowance, mm².
    pub buy_mm2: f64,
    /// How many boards, and the length along the grain and the width of each.
    pub boards: (u32, Um, Um),
    /// Rough thickness and its name in the trade.
    pub rough: Option<(Um, String)>,
    /// Board feet of those boards.
    pub board_feet: Option<f64>,
    /// What they cost by the maker's price a dm², hundredths of a coin.
    pub price: Option<i64>,
}

/// Boards that were worked out before, by what they rest on: a memo of the caller's.
pub type Bought = BTreeMap<Stamp, (u32, Um, Um)>;

/// What a rack holds: usual width, the step that widths grow by, the step, the least and the most of lengths.
struct Rack {
    width: i32,
    wider: i32,
    step: i32,
    shortest: i32,
    longest: i32,
}

impl Rack {
    fn of(unit: Unit) -> Rack {
        match unit {
            Unit::Mm => Rack { width: 150_000, wider: 10_000, step: 100_000, shortest: SHORTEST, longest: 2_400_000 },
            // 6 in by whole feet up to 8.
            Unit::Inch => Rack { width: 152_400, wider: 12_700, step: 304_800, shortest: 304_800, longest: 2_438_400 },
        }
    }

    /// Boards for an area, none smaller than the largest piece.
    fn boards(&self, mm2: f64, (long, wide): (i32, i32)) -> (u32, Um, Um) {
        let up = |length: f64, step: i32| (length / f64::from(step)).ceil() as i32 * step;
        let width = self.width.max(up(f64::from(wide), self.wider));
        let length = mm2 * 1e6 / f64::from(width);
        let count = (length / f64::from(self.longest)).ceil().max(1.0);
        let each = up((length / count).max(f64::from(long)), self.step).max(self.shortest);
        (count as u32, Um(each), Um(width))
    }

    /// Boards for an area that also carry all pieces; those for the area alone when longer ones don't help.
    fn holding(&self, mm2: f64, largest: (i32, i32), (pieces, rules): (&[Blank], Rules)) -> (u32, Um, Um) {
        let first = self.boards(mm2, largest);
        let mut boards = first;
        for _ in 0..LONGER_MOST {
            let (count, length, width) = boards;
            let outer = Board::rectangle("", WoodId::default(), (length, width, Um(0))).outline;
            let sheets = vec![Sheet { outer, cost: 1, ..Sheet::default() }; count as usize];
            let blanks: Vec<Blank> =
                pieces.iter().map(|one| Blank { sheets: (0..sheets.len()).collect(), ..one.clone() }).collect();
            let laid = lay::first(&blanks, &sheets, rules);
            let off = blanks.iter().zip(&laid.lies).filter(|(_, lie)| lie.is_none());
            let left: f64 = off.map(|(blank, _)| lay::area2(&blank.outer) as f64 / 2e6).sum();
            if left == 0.0 {
                return boards;
            }
            let more = left.max(f64::from(self.step) / 1e3 * width.to_mm());
            boards = self.boards(f64::from(count) * length.to_mm() * width.to_mm() + more, largest);
        }
        first
    }
}

/// What is missing, by wood and thickness. `known` has what was worked out before, and is brought up to date.
pub fn missing(work: &Work, outlines: &Outlines, known: &mut Bought) -> Vec<Missing> {
    let rings = cut_rings(work, outlines);
    let laying = &work.choices.laying;
    let rules = Rules { apart: laying.apart, edge: laying.edge };
    let of = |((wood, thickness), pieces): (_, Vec<Number>)| {
        let left: Vec<Number> = pieces.into_iter().filter(|number| !work.layout.contains_key(number)).collect();
        let of_rings = || left.iter().filter_map(|number| Some((*number, rings.get(number)?)));
        let net_mm2: f64 = of_rings().map(|(_, ring)| lay::area2(ring) as f64 / 2e6).sum();
        let sizes = || of_rings().map(|(number, ring)| size(work, number, ring));
        // A little play beside the edges, or the largest piece lies in by a hair or not at all.
        let edges = 2 * laying.edge.0 + laying.apart.0;
        let largest = (sizes().map(|s| s.0).max()? + edges, sizes().map(|s| s.1).max()? + edges);
        let buy_mm2 = net_mm2 * (1.0 + f64::from(laying.allowance) / 100.0);
        let blanks: Vec<Blank> = of_rings().map(|(number, ring)| blank(work, number, ring, 0)).collect();
        let all = || blanks.iter().map(|one| (&one.outer, &one.turns)).collect::<Vec<_>>();
        let key = stamp(&(all(), work.choices.unit, (rules.apart, rules.edge), laying.allowance, largest));
        let make = || Rack::of(work.choices.unit).holding(buy_mm2, largest, (&blanks, rules));
        let boards = known.get(&key).copied().unwrap_or_else(make);
        let rough = rough(thickness);
        let bought_mm2 = f64::from(boards.0) * boards.1.to_mm() * boards.2.to_mm();
        let price = work.choices.choosing.prices.get(&wood);
        let feet = |(thick, _): &(Um, String)| {
            let feet = f64::from(boards.0) * boards.1.to_inches() / 12.0;
            board_feet(thick.to_inches().max(1.0), boards.2.to_inches(), feet)
        };
        let missing = Missing {
            board_feet: rough.as_ref().map(feet),
            price: price.map(|per_dm2| (bought_mm2 / 1e4 * f64::from(*per_dm2)).round() as i64),
            wood,
            thickness,
            pieces: left,
            net_mm2,
            buy_mm2,
            boards,
            rough,
        };
        Some((key, missing))
    };
    let all: Vec<(Stamp, Missing)> = groups(work).into_par_iter().filter_map(of).collect();
    *known = all.iter().map(|(key, one)| (*key, one.boards)).collect();
    all.into_iter().map(|(_, one)| one).collect()
}

/// A setting of the planer, and what is planed to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The thickness.
    pub to: Um,
    /// Boards, or parts of them.
    pub boards: Vec<Planed>,
}

/// A board that is planed, or a part of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Planed {
    /// The board.
    pub board: BoardId,
    /// From where to where, from its left end, if it is crosscut first.
    pub part: Option<(Um, Um)>,
    /// How thick it is now.
    pub from: Um,
    /// Whether it gives two when it is resawn first.
    pub resaw: bool,
    /// Whether it is shorter than what goes through a planer safely, also while thinner parts still hang on it.
    pub short: bool,
}

/// What is planed, the thickest setting first so that the planer goes one way only.
pub fn milling(work: &Work) -> Vec<Setting> {
    let mut settings: BTreeMap<Um, Vec<Planed>> = BTreeMap::new();
    for (id, board) in &work.boards {
        let parts = parts(work, *id);
        for (at, part) in parts.iter().enumerate() {
            let Some(to) = part.thickness.filter(|to| *to < board.thickness) else { continue };
            let planed = Planed {
                board: *id,
                part: (parts.len() > 1).then_some((part.from, part.to)),
                from: board.thickness,
                resaw: board.thickness.0 >= 2 * to.0 + RESAWING,
                short: planed_as_one(&parts, at) < SHORTEST,
            };
            settings.entry(to).or_default().push(planed);
        }
    }
    settings.into_iter().rev().map(|(to, boards)| Setting { to, boards }).collect()
}

/// How long a board is when one of its parts is planed to its thickness, µm: thicker parts are sawn off before, thinner ones
/// still hang on it.
fn planed_as_one(parts: &[Part], at: usize) -> i32 {
    let on = |part: &&Part| part.thickness <= parts[at].thickness;
    let first = parts[..at].iter().rev().take_while(on).last().unwrap_or(&parts[at]);
    let last = parts[at..].iter().take_while(on).last().unwrap_or(&parts[at]);
    last.to.0 - first.from.0
}

/// Where boards are crosscut between parts of unlike thickness, from their left ends.
pub fn crosscuts(work: &Work) -> Vec<(BoardId, Vec<Um>)> {
    let cuts = |id: &BoardId| (*id, parts(work, *id).iter().skip(1).map(|part| part.from).collect::<Vec<_>>());
    work.boards.keys().map(cuts).filter(|(_, cuts)| !cuts.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked examples as published: one board foot is 12 × 12 × 1 in (woodworkingadvice.com, "Board Feet"); 2 × 6 in and
    /// 144 in long are 12 (boardfeetcalculator.com, by inch); a 10 ft 2 × 6 is 10 (bobvila.com, post 4345).
    #[test]
    fn board_feet_are_those_of_the_published_examples() {
        for ((t, w, l), feet) in [((1.0, 12.0, 1.0), 1.0), ((2.0, 6.0, 12.0), 12.0), ((2.0, 6.0, 10.0), 10.0)] {
            assert!((board_feet(t, w, l) - feet).abs() < 1e-12);
        }
    }

    /// The table of woodbin.com, "Lumber Dimensions": 3/4 in is had from 4/4, 1 1/16 in just from 5/4.
    #[test]
    fn rough_stock_leaves_what_is_wanted() {
        let named = |inches: f64| rough(Um::inches(inches)).map(|(_, name)| name);
        assert_eq!(named(0.75).as_deref(), Some("4/4"));
        assert_eq!(named(13.0 / 16.0).as_deref(), Some("4/4"));
        assert_eq!(named(17.0 / 16.0).as_deref(), Some("5/4"));
        assert_eq!(named(0.25).as_deref(), Some("1/2 in"));
        assert_eq!(named(1.75).as_deref(), Some("8/4"));
        assert_eq!(named(4.0), None);
    }

    #[test]
    fn a_part_is_planed_while_thinner_ones_hang_on_it() {
        let part = |(from, to, thickness)| Part { from: Um(from), to: Um(to), thickness: Some(Um(thickness)) };
        let parts = [(0, 100, 18), (100, 150, 25), (150, 400, 12), (400, 600, 15)].map(part);
        assert_eq!([0, 1, 2, 3].map(|at| planed_as_one(&parts, at)), [100, 600, 250, 450]);
    }

    #[test]
    fn boards_hold_the_area_and_the_largest_piece() {
        for (mm2, largest) in [(1000.0, (30_000, 20_000)), (2e6, (700_000, 180_000)), (9e5, (90_000, 151_000))] {
            for unit in [Unit::Mm, Unit::Inch] {
                let (count, length, width) = Rack::of(unit).boards(mm2, largest);
                assert!(f64::from(count) * length.to_mm() * width.to_mm() >= mm2);
                assert!(length.0 >= largest.0.max(300_000) && width.0 >= largest.1 && length.0 <= 2_438_400);
            }
        }
    }
}
