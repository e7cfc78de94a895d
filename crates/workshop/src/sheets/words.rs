//! Lengths and areas in the job's unit, as sheets print them.

use measure::length::{MM_PER_INCH, Um, inch_text, mm_text};

use crate::work::{Unit, Work};

/// mm² in a square inch.
const SQUARE_INCH_MM2: f64 = MM_PER_INCH * MM_PER_INCH;

/// Words in the job's unit.
#[derive(Clone, Copy)]
pub(super) struct Words {
    unit: Unit,
}

impl Words {
    pub fn of(work: &Work) -> Words {
        Words { unit: work.choices.unit }
    }

    /// The unit's sign, for the heads of columns.
    pub fn unit(self) -> &'static str {
        match self.unit {
            Unit::Mm => "mm",
            Unit::Inch => "in",
        }
    }

    /// A length without its unit: mm to a tenth, inches as a fraction to 1/64.
    pub fn bare(self, length: Um) -> String {
        let text = self.length(length);
        text.rsplit_once(' ').map_or(text.clone(), |(bare, _)| bare.to_owned())
    }

    /// A length with its unit.
    pub fn length(self, length: Um) -> String {
        match self.unit {
            // A tenth is finer than any saw follows.
            Unit::Mm => mm_text(Um((length.0 + 50).div_euclid(100) * 100)),
            Unit::Inch => parted(&inch_text(length)),
        }
    }

    /// A length without unit, a dash while undecided.
    pub fn or_dash(self, length: Option<Um>) -> String {
        length.map_or_else(|| "–".into(), |length| self.bare(length))
    }

    /// Unit of areas.
    pub fn area_unit(self) -> &'static str {
        match self.unit {
            Unit::Mm => "cm²",
            Unit::Inch => "sq in",
        }
    }

    /// An area without its unit.
    pub fn area(self, mm2: f64) -> String {
        match self.unit {
            Unit::Mm => format!("{:.1}", mm2 / 100.0),
            Unit::Inch => format!("{:.2}", mm2 / SQUARE_INCH_MM2),
        }
    }
}

/// A wide space between whole inches and fraction: at arm's length `1 1/16` must not read as `11/16`.
fn parted(text: &str) -> String {
    match text.split_once(' ') {
        Some((whole, fraction)) if fraction.contains('/') => format!("{whole}\u{2002}{fraction}"),
        _ => text.to_owned(),
    }
}

/// Decimal with at most `places`, without trailing noughts.
pub(super) fn trimmed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_comes_with_and_without_its_unit() {
        let (mm, inch) = (Words { unit: Unit::Mm }, Words { unit: Unit::Inch });
        assert_eq!([mm.length(Um::mm(12.34)), mm.bare(Um::mm(420.0))], ["12.3 mm", "420"]);
        assert_eq!([inch.length(Um::mm(419.1)), inch.bare(Um::mm(19.05))], ["16\u{2002}1/2 in", "3/4"]);
        assert_eq!([mm.or_dash(None), inch.area(SQUARE_INCH_MM2)], ["–", "1.00"]);
    }

    #[test]
    fn millimetres_drop_noughts() {
        assert_eq!([trimmed(12.0, 1), trimmed(1.5, 1), trimmed(100.0, 0)], ["12", "1.5", "100"]);
    }
}
