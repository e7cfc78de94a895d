//! What a straight cut across a begun sheet leaves.

use super::fill::bounds;
use super::{Blank, Laid, Rules, Sheet, laid_ring};

/// The uncut end of a sheet beyond its last blank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Remnant {
    /// The index of the sheet.
    pub sheet: usize,
    /// Whether the cut runs along x, across a sheet that is longer in y.
    pub along_x: bool,
    /// Where the cut runs, µm: y when it runs along x, else x.
    pub cut: i32,
    /// What lies beyond it within the sheet's box, µm²; faults are not taken off.
    pub area: i64,
}

/// The largest remnant of all begun sheets: each is cut across its longer side, a blank's distance behind its last blank.
pub fn remnant(laid: &Laid, blanks: &[Blank], sheets: &[Sheet], rules: Rules) -> Option<Remnant> {
    let all = remnants(laid, blanks, sheets, rules);
    all.into_iter().max_by(|a, b| a.area.cmp(&b.area).then(b.sheet.cmp(&a.sheet)))
}

/// The remnant of every begun sheet.
pub fn remnants(laid: &Laid, blanks: &[Blank], sheets: &[Sheet], rules: Rules) -> Vec<Remnant> {
    let mut ends: Vec<Option<i32>> = vec![None; sheets.len()];
    for (blank, lie) in blanks.iter().zip(&laid.lies).filter_map(|(blank, lie)| Some((blank, (*lie)?))) {
        let (_, high) = bounds(&laid_ring(&blank.outer, &lie));
        let end = if upright(&sheets[lie.sheet]) { high.y } else { high.x };
        ends[lie.sheet] = ends[lie.sheet].max(Some(end));
    }
    let of =
        |(sheet, end): (usize, Option<i32>)| Some(beyond(sheet, &sheets[sheet], end?.saturating_add(rules.apart.0)));
    ends.into_iter().enumerate().filter_map(of).collect()
}

fn upright(sheet: &Sheet) -> bool {
    let (low, high) = bounds(&sheet.outer);
    i64::from(high.y) - i64::from(low.y) > i64::from(high.x) - i64::from(low.x)
}

fn beyond(number: usize, sheet: &Sheet, cut: i32) -> Remnant {
    let (low, high) = bounds(&sheet.outer);
    let (from, to, wide) = match upright(sheet) {
        true => (low.y, high.y, i64::from(high.x) - i64::from(low.x)),
        false => (low.x, high.x, i64::from(high.y) - i64::from(low.y)),
    };
    let cut = cut.clamp(from, to);
    Remnant { sheet: number, along_x: upright(sheet), cut, area: (i64::from(to) - i64::from(cut)) * wide }
}
