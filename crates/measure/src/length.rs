//! Lengths: whole micrometres, how people type them, and how sheets print them.
//!
//! An inch is 25.4 mm exactly (international yard and pound agreement, 1959). A typed length is rounded to the nearest
//! micrometre; inches are printed to the nearest 1/64, which moves a length by up to 0.2 mm, so figures that are read
//! back into the job are printed in millimetres.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize};

/// A length in whole micrometres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, ts_rs::TS)]
#[serde(transparent)]
pub struct Um(pub i32);

impl<'de> Deserialize<'de> for Um {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Um, D::Error> {
        let rule = "a length is whole µm, of 2147483647 (2.1 km) at the most";
        let whole = crate::whole::read(from, i64::from(i32::MIN)..=i64::from(i32::MAX), rule)?;
        Ok(Um(whole as i32))
    }
}

/// Millimetres in an inch.
pub const MM_PER_INCH: f64 = 25.4;

/// The finest fraction of an inch that is printed, as rules are divided.
const PARTS_OF_INCH: i64 = 64;
/// Lengths under this are clearances and kerfs, which 64ths may miss.
const FINE_INCHES: f64 = 1.0 / 16.0;

impl Um {
    /// The nearest whole micrometre to `mm` millimetres; saturates at the ends of `i32` (2.1 km).
    pub fn mm(mm: f64) -> Um {
        Um((mm * 1000.0).round() as i32)
    }

    /// The nearest whole micrometre to `inches`.
    pub fn inches(inches: f64) -> Um {
        Um::mm(inches * MM_PER_INCH)
    }

    /// In millimetres, exact.
    pub fn to_mm(self) -> f64 {
        f64::from(self.0) / 1000.0
    }

    /// In inches.
    pub fn to_inches(self) -> f64 {
        self.to_mm() / MM_PER_INCH
    }
}

/// Why a text is no length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotALength {
    /// A number without a unit.
    NoUnit(String),
    /// A unit that is not known.
    UnknownUnit(String),
    /// No number, or one that cannot be read.
    NoNumber(String),
    /// Not above zero, or beyond two kilometres.
    OutOfRange(String),
}

impl fmt::Display for NotALength {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotALength::NoUnit(text) => write!(f, "“{text}” has no unit")?,
            NotALength::UnknownUnit(unit) => write!(f, "“{unit}” is no unit known here")?,
            NotALength::NoNumber(text) => write!(f, "“{text}” holds no number that can be read as a length")?,
            NotALength::OutOfRange(text) => write!(f, "“{text}” is no length between 0.001 mm and 2 km")?,
        }
        f.write_str(": give millimetres, centimetres or inches, as in 420mm, 42 cm, 16.5 in, 16 1/2in or 5/8\"")
    }
}

impl std::error::Error for NotALength {}

/// Reads a length: a decimal number, a fraction or a whole number with a fraction, then `mm`, `cm`, `in` or `"`.
///
/// ```
/// use measure::length::{Um, parse};
/// assert_eq!(parse("16 1/2in"), Ok(Um(419_100)));
/// assert!(parse("420").is_err());
/// ```
pub fn parse(text: &str) -> Result<Um, NotALength> {
    parse_or_zero(text).and_then(|length| match length {
        Um(0) => Err(NotALength::OutOfRange(text.trim().into())),
        length => Ok(length),
    })
}

/// The same, and nothing: `0mm`.
pub fn parse_or_zero(text: &str) -> Result<Um, NotALength> {
    let text = text.trim();
    let unit_at = text.find(|c: char| !(c.is_ascii_digit() || "+-.,/ ".contains(c)));
    let (number, unit) = text.split_at(unit_at.unwrap_or(text.len()));
    let value = number_of(number).ok_or_else(|| NotALength::NoNumber(text.into()))?;
    if unit.is_empty() {
        return Err(NotALength::NoUnit(text.into()));
    }
    let mm = value * unit_mm(unit).ok_or_else(|| NotALength::UnknownUnit(unit.into()))?;
    if (0.0..=2e6).contains(&mm) { Ok(Um::mm(mm)) } else { Err(NotALength::OutOfRange(text.into())) }
}

/// Whether a length that [`parse`] reads is said in inches.
pub fn in_inches(text: &str) -> bool {
    let unit = text.trim().trim_start_matches(|c: char| c.is_ascii_digit() || "+-.,/ ".contains(c));
    unit_mm(unit) == Some(MM_PER_INCH)
}

fn unit_mm(unit: &str) -> Option<f64> {
    match unit.trim().to_ascii_lowercase().as_str() {
        "mm" | "millimetre" | "millimetres" => Some(1.0),
        "cm" | "centimetre" | "centimetres" => Some(10.0),
        "in" | "inch" | "inches" | "\"" | "″" | "”" => Some(MM_PER_INCH),
        _ => None,
    }
}

/// `16.5`, `16,5`, `5/8`, `16 1/2` or `16-1/2`.
fn number_of(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    let Some((before, below)) = text.split_once('/') else { return decimal(&text) };
    let (whole, above) = match before.trim_end().rsplit_once([' ', '-']) {
        Some((whole, above)) => (natural(whole)?, above),
        None => (0.0, before),
    };
    let (above, below) = (natural(above)?, natural(below)?);
    (below > 0.0).then(|| whole + above / below)
}

fn natural(text: &str) -> Option<f64> {
    text.trim().parse::<u32>().ok().map(f64::from)
}

fn decimal(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|value| value.is_finite())
}

/// In millimetres with no needless zeros: `12.5 mm`.
pub fn mm_text(length: Um) -> String {
    format!("{} mm", length.to_mm())
}

/// In inches to the nearest 1/64, the fraction in lowest terms: `16 1/2 in`.
pub fn inch_text(length: Um) -> String {
    let parts = (length.to_inches() * PARTS_OF_INCH as f64).round() as i64;
    let sign = if parts < 0 { "-" } else { "" };
    let (whole, rest) = (parts.abs() / PARTS_OF_INCH, parts.abs() % PARTS_OF_INCH);
    let shared = 1 << rest.trailing_zeros().min(PARTS_OF_INCH.trailing_zeros());
    match (whole, rest) {
        (whole, 0) => format!("{sign}{whole} in"),
        (0, rest) => format!("{sign}{}/{} in", rest / shared, PARTS_OF_INCH / shared),
        (whole, rest) => format!("{sign}{whole} {}/{} in", rest / shared, PARTS_OF_INCH / shared),
    }
}

/// A small length in inches: where 64ths miss it by over a fiftieth, in thousandths, `0.024 in`.
pub fn fine_inch_text(length: Um) -> String {
    let inches = length.to_inches();
    let parts = inches * PARTS_OF_INCH as f64;
    let off = (parts - parts.round()).abs() / PARTS_OF_INCH as f64;
    if inches.abs() < FINE_INCHES && off > inches.abs() / 50.0 { format!("{inches:.3} in") } else { inch_text(length) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check(text: &str, expected_um: i32) {
        assert_eq!(parse(text), Ok(Um(expected_um)), "{text}");
    }

    #[test]
    fn reads_what_people_type() {
        check("420mm", 420_000);
        check(" 42 cm ", 420_000);
        check("42,5 cm", 425_000);
        check("16 1/2in", 419_100);
        check("16-1/2 in", 419_100);
        check("16.5 in", 419_100);
        check("5/8\"", 15_875);
        check("1/64 inch", 397);
        check("0.3 MM", 300);
    }

    #[test]
    fn says_what_is_accepted() {
        for text in
            ["", "12 parsecs", "420", "mm", "1/0 in", "1 2 mm", "-3 mm", "0mm", "1e3mm", "9999999 cm", "1/2/3in"]
        {
            let error = parse(text).expect_err(text);
            assert!(error.to_string().contains("420mm, 42 cm"), "{error}");
        }
        assert_eq!(parse("420"), Err(NotALength::NoUnit("420".into())));
        assert_eq!((parse_or_zero("0mm"), parse_or_zero("3/4in")), (Ok(Um(0)), Ok(Um(19_050))));
        assert!(parse_or_zero("-1mm").is_err());
        for text in ["16 1/2in", "16.5 inches", "5/8\"", "12″"] {
            assert!(in_inches(text), "{text}");
        }
        for text in ["420 mm", "42cm", "420", "6 min"] {
            assert!(!in_inches(text), "{text}");
        }
        assert_eq!(parse("12 parsecs"), Err(NotALength::UnknownUnit("parsecs".into())));
    }

    #[test]
    fn prints_plainly() {
        assert_eq!(mm_text(Um(12_500)), "12.5 mm");
        assert_eq!(mm_text(Um(420_000)), "420 mm");
        assert_eq!(mm_text(Um(1)), "0.001 mm");
        assert_eq!(inch_text(Um(419_100)), "16 1/2 in");
        assert_eq!(inch_text(Um(15_875)), "5/8 in");
        assert_eq!(inch_text(Um(25_400)), "1 in");
        assert_eq!(inch_text(Um(0)), "0 in");
        assert_eq!(inch_text(Um(-15_875)), "-5/8 in");
        // 0.024 in is a kerf of 0.61 mm, 1/32 in 0.79 mm.
        assert_eq!([610, 794, 0, 3175].map(|um| fine_inch_text(Um(um))), ["0.024 in", "1/32 in", "0 in", "1/8 in"]);
    }

    proptest! {
        #[test]
        fn millimetres_come_back_exactly(um in 1..2_000_000_000i32) {
            prop_assert_eq!(parse(&mm_text(Um(um))), Ok(Um(um)));
        }

        #[test]
        fn inches_come_back_within_half_a_64th(um in 200..1_000_000_000i32) {
            let back = parse(&inch_text(Um(um))).expect("a printed length can be read");
            prop_assert!((f64::from(back.0) - f64::from(um)).abs() <= 25_400.0 / 128.0 + 1.0);
        }
    }
}
