//! Writing on a drawing: numbers, crosses and arrows that lie loose in its areas are no lines to be sawn.
//!
//! A mark is writing when it hangs on no other ink, parts nothing, and is about as long as the marks of its kind are high: the
//! digits tell how large a hand writes. A loose stroke that is clearly longer is meant. Weak where a number touches a line, and
//! where a single word is written in one stroke.

use super::grid::{Grid, extent, touching};

/// A mark is as long as this many times the middle one of them all at most: two digits may touch.
const TIMES: f64 = 2.0;
/// So many marks tell how large a hand writes; fewer do not.
const FEW: usize = 4;
/// How long a mark may be, mm: the least where the hand is small or unknown, and the most however large it is.
const LONG_MM: std::ops::RangeInclusive<f64> = 6.0..=12.0;

/// By pixel whether it is writing, and of how many marks. `labels` are the areas, and `mm` is pixels to a millimetre.
pub(super) fn writing(grid: Grid, ink: &[bool], labels: &[u32], mm: f64) -> (Vec<bool>, usize) {
    let in_one = |part: &Vec<usize>| {
        let area = labels[part[0]];
        part.iter().all(|at| !grid.on_frame(*at) && grid.eight(*at).all(|n| labels[n] == area))
    };
    let long = |part: &Vec<usize>| extent(grid, part) / mm;
    let marks: Vec<Vec<usize>> =
        touching(grid, ink).into_iter().filter(|part| long(part) <= *LONG_MM.end() && in_one(part)).collect();
    let mut lengths: Vec<f64> = marks.iter().map(long).collect();
    lengths.sort_by(f64::total_cmp);
    let middle = if lengths.len() < FEW { 0.0 } else { lengths[lengths.len() / 2] };
    let most = (TIMES * middle).clamp(*LONG_MM.start(), *LONG_MM.end());
    let (mut written, mut count) = (vec![false; grid.len()], 0);
    for mark in marks.iter().filter(|mark| long(mark) <= most) {
        mark.iter().for_each(|at| written[*at] = true);
        count += 1;
    }
    (written, count)
}
