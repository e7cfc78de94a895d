//! Lengths and areas in the job's unit, as sheets print them.

use measure::length::{MM_PER_INCH, Um, fine_inch_text, inch_text, mm_text};

use crate::work::{Unit, Work};

/// Lengths in inches show as these parts of one.
const INCH_PARTS: f64 = 64.0;

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

    /// A height as the sum of its parts as they are printed, so that the figures beside each other add up; what is no such
    /// sum stands as it is.
    pub fn height(self, [thickness, raiser, height]: [Option<Um>; 3]) -> Option<Um> {
        let step = |length: Um| match self.unit {
            Unit::Mm => (f64::from(length.0) / 100.0).round() * 100.0,
            Unit::Inch => (length.to_inches() * INCH_PARTS).round() / INCH_PARTS * MM_PER_INCH * 1000.0,
        };
        match (thickness, raiser, height) {
            (Some(thick), Some(raiser), Some(height)) if thick.0 + raiser.0 == height.0 => {
                Some(Um((step(thick) + step(raiser)).round() as i32))
            }
            _ => height,
        }
    }

    /// A small length with its unit: inches that 64ths miss by over a fiftieth stand as thousandths.
    pub fn fine(self, length: Um) -> String {
        match self.unit {
            Unit::Inch => parted(&fine_inch_text(length)),
            Unit::Mm => self.length(length),
        }
    }

    /// What a blade or a bit measures, with its unit: mm to a hundredth, small parts of inches as thousandths.
    pub fn hair(self, length: Um) -> String {
        match self.unit {
            Unit::Mm => mm_text(Um((length.0 + 5).div_euclid(10) * 10)),
            Unit::Inch => self.fine(length),
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

    /// An area with its unit, the larger unit where the figure would be long.
    pub fn wide_area(self, mm2: f64) -> String {
        match self.unit {
            Unit::Mm if mm2 >= 1e5 => format!("{:.2} m²", mm2 / 1e6),
            Unit::Inch if mm2 >= 144.0 * SQUARE_INCH_MM2 => format!("{:.2} sq ft", mm2 / SQUARE_INCH_MM2 / 144.0),
            _ => format!("{} {}", self.area(mm2), self.area_unit()),
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

    /// 30.16 and 3.3 mm are 1 3/16 and 1/8 in to a 64th; their sum to a 64th would be 1 5/16 + 1/64 off.
    #[test]
    fn parts_add_up_to_the_height_that_is_printed() {
        let inch = Words { unit: Unit::Inch };
        let parts = |text: &str| -> f64 {
            let one = |part: &str| match part.split_once('/') {
                Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
                None => part.parse().unwrap(),
            };
            text.split('\u{2002}').map(one).sum()
        };
        let mut mended = 0;
        for thick in (3_000..40_000).step_by(70) {
            let (thick, raiser) = (Um(thick), Um(3_300));
            let height = Um(thick.0 + raiser.0);
            let shown = inch.height([Some(thick), Some(raiser), Some(height)]).unwrap();
            assert_eq!(parts(&inch.bare(thick)) + parts(&inch.bare(raiser)), parts(&inch.bare(shown)), "{thick:?}");
            mended += usize::from(inch.bare(height) != inch.bare(shown));
        }
        assert!(mended > 20, "of the plain roundings {mended} did not add up");
        assert_eq!(inch.height([None, Some(Um(5)), Some(Um(9))]), Some(Um(9)));
    }

    #[test]
    fn small_and_wide_measures_take_the_unit_that_tells_them() {
        let (mm, inch) = (Words { unit: Unit::Mm }, Words { unit: Unit::Inch });
        assert_eq!([inch.fine(Um(500)), inch.fine(Um(794)), mm.fine(Um(500))], ["0.020 in", "1/32 in", "0.5 mm"]);
        assert_eq!([mm.wide_area(4_200.0), mm.wide_area(250_000.0)], ["42.0 cm²", "0.25 m²"]);
        assert_eq!(
            [inch.wide_area(SQUARE_INCH_MM2), inch.wide_area(288.0 * SQUARE_INCH_MM2)],
            ["1.00 sq in", "2.00 sq ft"]
        );
    }

    #[test]
    fn millimetres_drop_noughts() {
        assert_eq!([trimmed(12.0, 1), trimmed(1.5, 1), trimmed(100.0, 0)], ["12", "1.5", "100"]);
    }
}
