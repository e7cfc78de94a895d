//! Seeded random height problems: up to 800 nodes and 4,000 relations, one in four planted with contradictions.

use measure::solve::{GROUND, Price, Row};

/// A problem.
pub struct Job {
    /// Its nodes, the ground among them.
    pub nodes: usize,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// SplitMix64 (Steele, Lea, Flood 2014).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From `least` to `most`, both possible.
    fn within(&mut self, least: i64, most: i64) -> i64 {
        least + (self.roll() % (most - least + 1) as u64) as i64
    }

    fn one_in(&mut self, of: i64) -> bool {
        self.within(1, of) == 1
    }
}

/// The lowest and highest top, µm.
const RANGE: (i64, i64) = (1_500, 45_000);

/// The job of a seed. `pieces` and `relations` as asked, or at random when `None`.
pub fn job(seed: u64, size: Option<(i64, i64)>) -> Job {
    let mut dice = Dice(seed);
    let (pieces, relations) = size.unwrap_or_else(|| {
        let pieces = dice.within(5, 800);
        (pieces, dice.within(pieces, 5 * pieces))
    });
    // Heights that keep every must, so that only what is planted can contradict.
    let hidden: Vec<i64> = (0..=pieces).map(|_| dice.within(RANGE.0, RANGE.1)).collect();
    let mut rows = Vec::new();
    for (node, &height) in hidden.iter().enumerate().skip(1) {
        rows.push(Row::must(GROUND, node, RANGE.0));
        rows.push(Row::must(node, GROUND, -RANGE.1));
        let (near, weight) = (dice.within(RANGE.0, RANGE.1), dice.within(1, 20));
        if !dice.one_in(10) {
            rows.extend(Row::exactly(GROUND, node, near, Price::Wish(weight)));
        }
        if dice.one_in(40) {
            rows.extend(Row::exactly(GROUND, node, height, Price::Must));
        }
    }
    let near = dice.one_in(2);
    for _ in 0..relations {
        rows.extend(relation(&mut dice, &hidden, near));
    }
    if dice.one_in(4) {
        (0..dice.within(1, 3)).for_each(|_| rows.extend(contradiction(&mut dice, pieces)));
    }
    Job { nodes: pieces as usize + 1, rows }
}

/// Two different nodes, neighbours in number when `near`.
fn pair(dice: &mut Dice, pieces: i64, near: bool) -> (usize, usize) {
    let low = dice.within(1, pieces);
    let high = if near { (low - 1 + dice.within(1, 4)) % pieces + 1 } else { dice.within(1, pieces) };
    if low == high { (low as usize, (high % pieces + 1) as usize) } else { (low as usize, high as usize) }
}

fn relation(dice: &mut Dice, hidden: &[i64], near: bool) -> Vec<Row> {
    let (low, high) = pair(dice, hidden.len() as i64 - 1, near);
    let step = hidden[high] - hidden[low];
    // Weights reach over the whole range that the maker may give.
    let weight = if dice.one_in(20) { dice.within(1, 1_000_000) } else { dice.within(1, 50) };
    match dice.within(1, 6) {
        1 | 2 => vec![Row::must(low, high, step - dice.within(0, 4_000))],
        3 => vec![Row::wish(low, high, dice.within(0, 9_000), weight)],
        4 | 5 => Row::exactly(low, high, dice.within(-9_000, 9_000), Price::Wish(weight)).to_vec(),
        _ if dice.one_in(8) => Row::exactly(low, high, step, Price::Must).to_vec(),
        _ => Row::exactly(low, high, 0, Price::Wish(weight)).to_vec(),
    }
}

/// A ring of musts that climbs above its own start.
fn contradiction(dice: &mut Dice, pieces: i64) -> Vec<Row> {
    let ring: Vec<usize> = (0..dice.within(2, 5)).map(|_| dice.within(1, pieces) as usize).collect();
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(low, high)| Row::must(*low, *high, dice.within(1, 300))).collect()
}
