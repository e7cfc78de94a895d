//! Whole numbers as they are typed by people in JSON: what is out of range is refused in plain words, with the range.

use std::fmt;
use std::ops::RangeInclusive;

use serde::Deserializer;
use serde::de::{Error, Visitor};

/// Reads a whole number within `range`; another is refused by the sentence `rule`, with what was typed.
pub fn read<'de, D: Deserializer<'de>>(
    from: D,
    range: RangeInclusive<i64>,
    rule: &'static str,
) -> Result<i64, D::Error> {
    // Keys of maps are texts that are read as what is asked for; i64 asks for any whole number.
    from.deserialize_i64(Whole { range, rule })
}

struct Whole {
    range: RangeInclusive<i64>,
    rule: &'static str,
}

impl Whole {
    fn not<E: Error>(&self, typed: impl fmt::Display) -> E {
        E::custom(format!("{}, not {typed}", self.rule))
    }
}

impl Visitor<'_> for Whole {
    type Value = i64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.rule)
    }

    fn visit_i64<E: Error>(self, typed: i64) -> Result<i64, E> {
        if self.range.contains(&typed) { Ok(typed) } else { Err(self.not(typed)) }
    }

    fn visit_u64<E: Error>(self, typed: u64) -> Result<i64, E> {
        i64::try_from(typed).map_err(|_| self.not(typed)).and_then(|whole| self.visit_i64(whole))
    }

    fn visit_f64<E: Error>(self, typed: f64) -> Result<i64, E> {
        Err(self.not(typed))
    }
}
