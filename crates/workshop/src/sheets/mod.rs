//! Sheets for the bench: PDF, SVG, CSV as bytes.

use measure::Watch;

use crate::derived::Derived;
use crate::view::Lit;
use crate::work::{Refusal, Work};

/// A paper by its name (`a5` to `a0`, `letter`, `legal`, `tabloid`), with its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Its name, as typed.
    pub name: &'static str,
    /// Across, mm.
    pub width_mm: f64,
    /// Down, mm.
    pub height_mm: f64,
}

/// Every paper known.
pub const PAPERS: &[Paper] = &[];

/// A finished sheet.
pub struct Sheet {
    /// Its file name.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// The pattern book (PDF), the pattern (SVG) and the cut list (CSV). `lit` is the view for the cover. `None` in the
/// result never happens: a stop comes back as a refusal that says so.
pub fn book(
    _work: &Work,
    _derived: &mut Derived,
    _paper: Paper,
    _lit: Option<&Lit>,
    _watch: Watch,
) -> Result<Vec<Sheet>, Refusal> {
    unimplemented!()
}
