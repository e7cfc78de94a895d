//! A plain first layout: blanks one by one, each as far left and then as high as it goes, on the first sheet with room.
//!
//! Room is looked for on a grid of bits (`mask`), so positions are whole cells and up to a cell is wasted around each
//! blank. Method: bottom-left fill by falling area (Baker, Coffman, Rivest 1980, for rectangles; here any outline). It never
//! moves what it has laid.

use std::cmp::Reverse;

use measure::Dice;
use measure::plane::Point;

use super::mask::{Mask, margin};
use super::turn::{tried, turned};
use super::{Blank, Laid, Lie, Rules, Sheet, cost, gate, laid_ring};

/// The finest cell, µm. Finer wastes less and takes longer.
const CELL: i32 = 1000;
/// More cells than this a sheet are never made: the cell grows instead.
const CELLS_MOST: i64 = 4_000_000;

/// A sheet on its grid.
struct Room {
    mask: Mask,
    start: Point,
    cell: i32,
}

pub(super) fn fill(blanks: &[Blank], sheets: &[Sheet], rules: Rules, round: u32) -> Laid {
    let mut rooms: Vec<Option<Room>> = sheets.iter().map(|_| None).collect();
    let mut lies: Vec<Option<Lie>> = blanks.iter().map(|blank| blank.fixed).collect();
    for (blank, lie) in blanks.iter().zip(&lies).filter_map(|(blank, lie)| Some((blank, (*lie)?))) {
        let room = rooms[lie.sheet].get_or_insert_with(|| Room::of(&sheets[lie.sheet], rules));
        room.take(&laid_ring(&blank.outer, &lie), rules);
    }
    for index in order(blanks, round) {
        let blank = &blanks[index];
        lies[index] = lies[index].or_else(|| {
            blank.sheets.iter().find_map(|sheet| {
                if !roomy(blank, &sheets[*sheet]) {
                    return None;
                }
                let room = rooms[*sheet].get_or_insert_with(|| Room::of(&sheets[*sheet], rules));
                let (turn, at) = room.first(blank, sheets[*sheet].grain)?;
                let lie = Lie { sheet: *sheet, turn, at };
                room.take(&laid_ring(&blank.outer, &lie), rules);
                Some(lie)
            })
        });
    }
    Laid { cost: cost(&lies, sheets), lies }
}

/// Falling area first; then by falling length; then areas shuffled a little, the same for the same round.
fn order(blanks: &[Blank], round: u32) -> Vec<usize> {
    let mut dice = Dice::new(u64::from(round));
    let mut weighed: Vec<(i128, u32, usize)> = (blanks.iter().enumerate())
        .map(|(at, blank)| {
            let weight = match round {
                0 => gate::area2(&blank.outer),
                1 => i128::from(longest(&blank.outer)),
                _ => gate::area2(&blank.outer) * (70 + dice.below(60) as i128),
            };
            (weight, blank.key, at)
        })
        .collect();
    weighed.sort_by_key(|(weight, key, at)| (Reverse(*weight), *key, *at));
    weighed.into_iter().map(|(_, _, at)| at).collect()
}

fn longest(ring: &[Point]) -> i64 {
    let (low, high) = bounds(ring);
    i64::from(high.x - low.x).max(i64::from(high.y - low.y))
}

fn roomy(blank: &Blank, sheet: &Sheet) -> bool {
    gate::area2(&blank.outer) < gate::area2(&sheet.outer)
}

/// The corners of the box around a ring.
pub fn bounds(ring: &[Point]) -> (Point, Point) {
    let xs = || ring.iter().map(|p| p.x);
    let ys = || ring.iter().map(|p| p.y);
    let (low, high) = (xs().min().zip(ys().min()), xs().max().zip(ys().max()));
    let point = |xy: Option<(i32, i32)>| xy.map_or(Point::default(), |(x, y)| Point::new(x, y));
    (point(low), point(high))
}

impl Room {
    fn of(sheet: &Sheet, rules: Rules) -> Room {
        let (low, high) = bounds(&sheet.outer);
        let (width, height) = (i64::from(high.x) - i64::from(low.x), i64::from(high.y) - i64::from(low.y));
        let mut cell = CELL;
        while (width / i64::from(cell) + 3) * (height / i64::from(cell) + 3) > CELLS_MOST {
            cell *= 2;
        }
        let start = Point::new(low.x - cell, low.y - cell);
        let size = |across: i64| (across / i64::from(cell) + 3) as usize;
        let bare = || Mask::new(size(width), size(height));
        let mut inside = bare();
        inside.cover(&sheet.outer, (start, cell));
        let mut off = inside.inverted();
        off.cover_edge(&sheet.outer, (start, cell));
        sheet.faults.iter().for_each(|fault| off.cover(fault, (start, cell)));
        let mut mask = bare();
        let by = margin(rules.edge.0, cell) as i64;
        mask.add(&off.grown(rules.edge.0, cell), (-by, -by));
        let mut room = Room { mask, start, cell };
        sheet.used.iter().for_each(|used| room.take(used, rules));
        room
    }

    /// Covers a ring and what is to stay free around it.
    fn take(&mut self, ring: &[Point], rules: Rules) {
        let (mut taken, by) = (Mask::new(self.mask.columns, self.mask.rows), margin(rules.apart.0, self.cell) as i64);
        taken.cover(ring, (self.start, self.cell));
        self.mask.add(&taken.grown(rules.apart.0, self.cell), (-by, -by));
    }

    /// The first place with room, columns from the left, each from the top; of all turns the one that comes first.
    fn first(&self, blank: &Blank, grain: i32) -> Option<(i32, Point)> {
        let mut turns: Vec<i32> = blank.turns.iter().flat_map(|range| tried(*range, grain)).collect();
        turns.dedup();
        let mut best: Option<((usize, usize), i32, Point)> = None;
        for turn in turns {
            let ring = turned(&blank.outer, turn);
            let (low, high) = bounds(&ring);
            let size = |from: i32, to: i32| ((to - from) / self.cell + 1) as usize;
            let mut mask = Mask::new(size(low.x, high.x), size(low.y, high.y));
            mask.cover(&ring, (low, self.cell));
            if let Some((column, row)) = self.hole(&mask, best.as_ref().map(|(at, ..)| *at)) {
                let corner = |start: i32, at: usize, low: i32| start + at as i32 * self.cell - low;
                let at = Point::new(corner(self.start.x, column, low.x), corner(self.start.y, row, low.y));
                best = Some(((column, row), turn, at));
            }
        }
        best.map(|(_, turn, at)| (turn, at))
    }

    /// The first place with room for a mask, before `known`.
    fn hole(&self, mask: &Mask, known: Option<(usize, usize)>) -> Option<(usize, usize)> {
        let columns = (self.mask.columns + 1).checked_sub(mask.columns)?;
        let rows = (self.mask.rows + 1).checked_sub(mask.rows)?;
        let places = (0..columns).flat_map(|column| (0..rows).map(move |row| (column, row)));
        places.take_while(|at| known.is_none_or(|known| *at < known)).find(|at| !self.mask.meets(mask, *at))
    }
}
