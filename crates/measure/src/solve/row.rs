//! The one kind of row that the solvers know.

/// The node that stands at 0 for ever: a row against it is a bound.
pub const GROUND: usize = 0;

/// x[high] − x[low] ≥ by. A distance |x[j] − x[i] − d| is two rows, one each way; a fixed value is two against `GROUND`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// The node that stands lower.
    pub low: usize,
    /// The node that stands higher.
    pub high: usize,
    /// By how much at the least; may be negative.
    pub by: i64,
    /// What it costs to miss it.
    pub price: Price,
}

/// What it costs to miss a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Price {
    /// It holds.
    Must,
    /// Each unit that it is missed by costs this much; not negative.
    Wish(i64),
}

impl Row {
    /// A row that holds.
    pub fn must(low: usize, high: usize, by: i64) -> Row {
        Row { low, high, by, price: Price::Must }
    }

    /// A row that is wished.
    pub fn wish(low: usize, high: usize, by: i64, weight: i64) -> Row {
        Row { low, high, by, price: Price::Wish(weight) }
    }

    /// The two rows that say x[high] − x[low] = by.
    pub fn exactly(low: usize, high: usize, by: i64, price: Price) -> [Row; 2] {
        [Row { low, high, by, price }, Row { low: high, high: low, by: -by, price }]
    }

    /// How far `x` misses it; 0 when it holds.
    pub fn missed(&self, x: &[i64]) -> i64 {
        (self.by - (x[self.high] - x[self.low])).max(0)
    }
}
