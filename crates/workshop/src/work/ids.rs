//! Names of things: small integers that are given once.

use serde::{Deserialize, Deserializer, Serialize};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, ts_rs::TS)]
        #[serde(transparent)]
        pub struct $name(pub u32);

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<$name, D::Error> {
                let rule = "what is named by a number counts up from 1";
                measure::whole::read(from, 0..=i64::from(u32::MAX), rule).map(|whole| $name(whole as u32))
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }
    )*};
}

ids! {
    /// The number of a piece: it never changes and is never given again.
    Number,
    /// An area of the pattern; not a number, since shadow and ground are areas too.
    AreaId,
    /// A border of the pattern.
    BorderId,
    /// A junction of the pattern.
    JunctionId,
    /// A relation between pieces or parts.
    RelationId,
    /// A part.
    PartId,
    /// A variant of a part.
    VariantId,
    /// A board.
    BoardId,
}

/// Numbers in order as runs: 1–4, 7, 9, 10.
pub fn runs(numbers: impl IntoIterator<Item = Number>) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for Number(number) in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let one = |&(from, to): &(u32, u32)| match to - from {
        0 => from.to_string(),
        1 => format!("{from}, {to}"),
        _ => format!("{from}–{to}"),
    };
    runs.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// A wood by its key in the table, such as `walnut-black`.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(transparent)]
pub struct WoodId(pub String);

impl std::fmt::Display for WoodId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

/// The next id of each kind. Undo never lowers them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Counters {
    /// Next piece number.
    pub number: u32,
    /// Next area.
    pub area: u32,
    /// Next border.
    pub border: u32,
    /// Next junction.
    pub junction: u32,
    /// Next relation.
    pub relation: u32,
    /// Next part.
    pub part: u32,
    /// Next variant.
    pub variant: u32,
    /// Next board.
    #[serde(default = "first")]
    pub board: u32,
}

fn first() -> u32 {
    1
}

impl Default for Counters {
    fn default() -> Counters {
        Counters { number: 1, area: 1, border: 1, junction: 1, relation: 1, part: 1, variant: 1, board: 1 }
    }
}

impl Counters {
    /// The higher of the two, kind by kind.
    pub fn highest(self, other: Counters) -> Counters {
        Counters {
            number: self.number.max(other.number),
            area: self.area.max(other.area),
            border: self.border.max(other.border),
            junction: self.junction.max(other.junction),
            relation: self.relation.max(other.relation),
            part: self.part.max(other.part),
            variant: self.variant.max(other.variant),
            board: self.board.max(other.board),
        }
    }

    /// A new piece number.
    pub fn new_number(&mut self) -> Number {
        Number(take(&mut self.number))
    }

    /// A new area.
    pub fn new_area(&mut self) -> AreaId {
        AreaId(take(&mut self.area))
    }

    /// A new border.
    pub fn new_border(&mut self) -> BorderId {
        BorderId(take(&mut self.border))
    }

    /// A new junction.
    pub fn new_junction(&mut self) -> JunctionId {
        JunctionId(take(&mut self.junction))
    }

    /// A new relation.
    pub fn new_relation(&mut self) -> RelationId {
        RelationId(take(&mut self.relation))
    }

    /// A new part.
    pub fn new_part(&mut self) -> PartId {
        PartId(take(&mut self.part))
    }

    /// A new board.
    pub fn new_board(&mut self) -> BoardId {
        BoardId(take(&mut self.board))
    }

    /// A new variant.
    pub fn new_variant(&mut self) -> VariantId {
        VariantId(take(&mut self.variant))
    }
}

fn take(next: &mut u32) -> u32 {
    *next += 1;
    *next - 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_follow_each_other_are_a_run() {
        assert_eq!(runs([1, 2, 3, 4, 7, 9, 10].map(Number)), "1–4, 7, 9, 10");
    }
}
