//! Several pages on one sheet of large paper.
//!
//! Paper of at least twice A3 is cut into equal fields, and pages that need no more are laid out for a field. What needs
//! the whole sheet has one of its own. Fields are filled in the order of the pages; a page that lies the other way is
//! turned.

use super::paper::{Paper, Rect};
use super::tiles::{Spans, Tiles};

/// The least sides of a field, mm: about A3 and Tabloid, on which maps read at arm's length.
const SHORT_MM: f64 = 270.0;
const LONG_MM: f64 = 400.0;
/// More fields in a row than the largest paper can have.
const MOST: usize = 6;

/// A page's field on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Field {
    /// The page, from 0 in the order of the book.
    pub page: usize,
    /// Its place on the sheet.
    pub place: Rect,
    /// Turned a quarter, its head to the right.
    pub turned: bool,
}

/// A sheet of paper with its pages.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Imposed {
    pub paper: Paper,
    pub fields: Vec<Field>,
}

/// Fields across and down.
fn grid(paper: Paper) -> (usize, usize) {
    let fits = |(across, down): &(usize, usize)| {
        let (w, h) = (paper.width_mm / *across as f64, paper.height_mm / *down as f64);
        w.min(h) >= SHORT_MM && w.max(h) >= LONG_MM
    };
    let grids = (1..=MOST).flat_map(|across| (1..=MOST).map(move |down| (across, down)));
    grids.filter(fits).max_by_key(|(across, down)| across * down).unwrap_or((1, 1))
}

/// Width and height of a sheet's fields.
fn field_size(sheet: Paper) -> (f64, f64) {
    let (across, down) = grid(sheet);
    (sheet.width_mm / across as f64, sheet.height_mm / down as f64)
}

/// The paper that pages are laid out for which need no whole sheet: a field, upright, or the sheet itself.
pub(super) fn field(sheet: Paper) -> Paper {
    if grid(sheet) == (1, 1) {
        return sheet;
    }
    let (w, h) = field_size(sheet);
    Paper { width_mm: w.min(h), height_mm: w.max(h), roll: false, ..sheet }
}

/// The paper for pages that show the whole panel: a field where the panel fits on it at true scale.
pub(super) fn whole(panel: (f64, f64), sheet: Paper) -> Paper {
    let field = field(sheet);
    if field.roll || Tiles::over(panel, field, &Spans::default()).count() == 1 { field } else { sheet }
}

/// Pages by sheet, each page by its paper.
pub(super) fn sheets(pages: &[Paper], sheet: Paper) -> Vec<Imposed> {
    let ((w, h), (across, down)) = (field_size(sheet), grid(sheet));
    let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let level = |page: &Paper| same(page.width_mm, w) && same(page.height_mm, h);
    let turned = |page: &Paper| same(page.width_mm, h) && same(page.height_mm, w);
    let mut sheets: Vec<Imposed> = Vec::new();
    let mut open: Option<usize> = None;
    for (page, paper) in pages.iter().enumerate() {
        if across * down == 1 || !(level(paper) || turned(paper)) {
            let place = Rect::new(0.0, 0.0, paper.width_mm, paper.height_mm);
            sheets.push(Imposed { paper: *paper, fields: vec![Field { page, place, turned: false }] });
            continue;
        }
        let at = *open.get_or_insert_with(|| {
            sheets.push(Imposed { paper: Paper { roll: false, ..sheet }, fields: Vec::new() });
            sheets.len() - 1
        });
        let used = sheets[at].fields.len();
        let (column, row) = ((used % across) as f64, (used / across) as f64);
        let place = Rect::new(column * w, row * h, w, h);
        sheets[at].fields.push(Field { page, place, turned: !level(paper) });
        if used + 1 == across * down {
            open = None;
        }
    }
    sheets
}

#[cfg(test)]
mod tests {
    use super::super::paper::{PAPERS, paper};
    use super::*;

    #[test]
    fn fields_are_as_large_as_a3_and_small_paper_has_none() {
        let count = |name: &str| grid(paper(name).unwrap());
        assert_eq!(["a4", "letter", "a3", "tabloid", "legal"].map(count), [(1, 1); 5]);
        assert_eq!(["a2", "a1", "a0"].map(count), [(1, 2), (2, 2), (2, 4)]);
        for &paper in PAPERS {
            let field = field(paper);
            assert!(field == paper || field.width_mm.min(field.height_mm) >= SHORT_MM, "{}", paper.name);
        }
    }

    #[test]
    fn every_page_has_one_field_and_fields_keep_apart() {
        let sheet = paper("a1").unwrap();
        let small = field(sheet);
        let pages = [small, small.turned(), sheet, small, small, small];
        let sheets = sheets(&pages, sheet);
        let counts: Vec<usize> = sheets.iter().map(|sheet| sheet.fields.len()).collect();
        assert_eq!(counts, [4, 1, 1]);
        let mut all: Vec<usize> = sheets.iter().flat_map(|sheet| &sheet.fields).map(|field| field.page).collect();
        all.sort_unstable();
        assert_eq!(all, [0, 1, 2, 3, 4, 5]);
        assert!(sheets[0].fields[1].turned && !sheets[0].fields[0].turned);
        for sheet in &sheets {
            let page = Rect::new(0.0, 0.0, sheet.paper.width_mm, sheet.paper.height_mm).inset(-1e-6);
            for (at, field) in sheet.fields.iter().enumerate() {
                assert!(page.holds(field.place));
                assert!(sheet.fields[..at].iter().all(|other| !other.place.inset(1e-6).meets(field.place)));
            }
        }
    }
}
