//! Which pixels are ink, how wide the pen is, and what of it is a dark area, no stroke.

use super::super::even::{Even, STEPS, apart};
use super::super::grid::{Grid, NOBODY, components};
use super::super::widest::{Beyond, distances};
use super::thin;

/// Ink is no lighter than this, of the even lightness (0 to about 80).
const DARK: i16 = 26 * STEPS as i16;
/// The share of the picture that a colour of ink covers at least.
const LEAST_SHARE: f64 = 0.002;
/// How far from the ink's colour a pixel of ink may be (ΔE00, about): past the middle of a soft edge, before a dark brown.
const REACH: f64 = 12.0;
/// A line finer than two pixels is mixed with what lies beside it: where it joins ink with ink, colours up to so far are ink too, if
/// what lies to either side is farther by so much (ΔE00, about).
const FAINT: f32 = 26.0;
const CREST: f32 = 10.0;
/// An area wider than so many pens is no stroke; where strokes cross they are up to half as wide again.
const WIDER: f64 = 1.6;
/// And it has so many squares of the pen's width: where strokes run together at a flat angle they have fewer.
const SQUARES: f64 = 8.0;
/// Unless it is so much of a spot of ink by itself.
const SPOT: f64 = 0.85;
/// A stroke that swells covers so many squares of its greatest width: a crescent about four times as long as it is wide.
const SLIM: f64 = 2.7;
/// Two strokes that touch side by side are so many pens wide at the most, and cover so many squares of that.
const PAIR: f64 = 2.2;
const PAIR_LONG: f64 = 2.0;

/// The pixels of ink: those of the darkest colour that much of what is opaque has.
pub(super) fn ink(grid: Grid, plane: &[Even], opaque: &[bool]) -> Option<Vec<bool>> {
    let seen = || plane.iter().zip(opaque).filter(|(_, opaque)| **opaque).map(|(colour, _)| colour);
    let bin = STEPS as i16;
    let mut counts = vec![0usize; (DARK / bin) as usize + 2];
    for colour in seen().filter(|c| c[0] < DARK) {
        counts[(colour[0].max(0) / bin) as usize] += 1;
    }
    let least = LEAST_SHARE * plane.len() as f64;
    let mass = |i: usize| counts[i.saturating_sub(1)..(i + 2).min(counts.len())].iter().sum::<usize>();
    let peak = |i: &usize| {
        let around = (i.saturating_sub(2)..(i + 3).min(counts.len())).map(mass).max();
        mass(*i) as f64 >= least && around == Some(mass(*i))
    };
    let mode = (0..counts.len()).find(peak)? as i16;
    let near: Vec<Even> = seen().copied().filter(|c| (c[0] / bin - mode).abs() <= 1).collect();
    let mean = |k: usize| (near.iter().map(|c| i64::from(c[k])).sum::<i64>() / near.len() as i64) as i16;
    let colour = [mean(0), mean(1), mean(2)];
    let far: Vec<f32> = plane.iter().map(|c| ((apart(*c, colour) as f64).sqrt() / STEPS) as f32).collect();
    let sure: Vec<bool> = far.iter().zip(opaque).map(|(far, opaque)| *opaque && *far <= REACH as f32).collect();
    let faint = |at: usize| opaque[at] && !sure[at] && far[at] <= FAINT && is_crest(grid, &far, at);
    let faint: Vec<bool> = (0..grid.len()).map(faint).collect();
    let strength: Vec<u32> = far.iter().map(|far| (100.0 * (FAINT - far).max(0.0)) as u32).collect();
    Some(thin::joined(grid, &sure, &faint, &strength))
}

/// Whether a pixel is darker than what lies two pixels to either side of it, some way or other.
fn is_crest(grid: Grid, far: &[f32], at: usize) -> bool {
    let (x, y) = ((at % grid.width) as isize, (at / grid.width) as isize);
    let lighter = |dx: isize, dy: isize| {
        let (x, y) = (x + dx, y + dy);
        let inside = x >= 0 && y >= 0 && x < grid.width as isize && y < grid.height as isize;
        inside && far[y as usize * grid.width + x as usize] >= far[at] + CREST
    };
    [(2, 0), (0, 2), (2, 2), (2, -2)].into_iter().any(|(dx, dy)| lighter(dx, dy) && lighter(-dx, -dy))
}

/// Squared distances of marked pixels from the others.
pub(super) fn squares(grid: Grid, set: &[bool]) -> Vec<u32> {
    let labels: Vec<u32> = set.iter().map(|set| u32::from(*set)).collect();
    distances(grid, &labels, Beyond::Same)
}

/// Half the width of most of the skeleton. What is drawn along the very edge of the picture, or a pixel from it, shows a part of
/// itself, and counts only where there is nothing else.
pub(super) fn half_pen(grid: Grid, bones: &[bool], squares: &[u32]) -> Option<f64> {
    let whole = |at: usize| grid.to_edge(at) as f64 > f64::from(squares[at]).sqrt() + 1.0;
    common_half(squares, (0..grid.len()).filter(|at| bones[*at] && whole(*at)))
        .or_else(|| common_half(squares, (0..grid.len()).filter(|at| bones[*at])))
}

/// The commonest of the distances at some places.
fn common_half(squares: &[u32], places: impl Iterator<Item = usize>) -> Option<f64> {
    let mut counts: Vec<usize> = Vec::new();
    for at in places {
        let bin = (f64::from(squares[at]).sqrt() * 2.0) as usize;
        counts.resize(counts.len().max(bin + 2), 0);
        counts[bin] += 1;
    }
    let mass = |i: usize| counts[i.saturating_sub(1)..(i + 2).min(counts.len())].iter().sum::<usize>();
    let mode = (0..counts.len()).max_by_key(|i| (mass(*i), std::cmp::Reverse(*i)))?;
    Some((mode as f64 + 0.5) / 2.0)
}

/// Ink wider than the pen, by pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Broad {
    /// As wide as the pen, or no ink.
    No,
    /// A stroke of a pen that was pressed.
    Swell,
    /// An area, no stroke.
    Dark,
}

/// By pixel of ink, whether it lies where the ink is too wide for the pen, and wider than `least` pixels: an area, or a stroke that
/// swells to less than `swell` pixels.
pub(super) fn broad(grid: Grid, ink: &[bool], from_edge: &[u32], (half, least, swell): (f64, f64, f64)) -> Vec<Broad> {
    let reach = (WIDER * half).max(least / 2.0);
    let square = (reach * reach) as u32;
    let core: Vec<bool> = ink.iter().zip(from_edge).map(|(ink, s)| *ink && *s > square).collect();
    if !core.contains(&true) {
        return vec![Broad::No; grid.len()];
    }
    let to_core = squares(grid, &core);
    let wide = |at: usize| ink[at] && (core[at] || to_core[at] <= square);
    let keys: Vec<u32> = (0..grid.len()).map(|at| if wide(at) { 0 } else { NOBODY }).collect();
    let (parts, count) = components(grid, &keys);
    let mut sizes = vec![(0usize, 0u32); count as usize];
    for (part, square) in parts.iter().zip(from_edge).filter(|(part, _)| **part != NOBODY) {
        let (area, most) = &mut sizes[*part as usize];
        (*area, *most) = (*area + 1, (*most).max(*square));
    }
    let area = SQUARES * 4.0 * half * half;
    let spots = spots(grid, ink, (&parts, count));
    let broad = |(part, (size, most)): (usize, &(usize, u32))| {
        let (size, square) = (*size as f64, 4.0 * f64::from(*most));
        let pair = square < 4.0 * PAIR * PAIR * half * half && size > PAIR_LONG * square && !spots[part];
        match (size > area || spots[part], pair || (square < swell * swell && size > SLIM * square)) {
            (false, _) => Broad::No,
            (true, true) => Broad::Swell,
            (true, false) => Broad::Dark,
        }
    };
    let kinds: Vec<Broad> = sizes.iter().enumerate().map(broad).collect();
    parts.iter().map(|p| if *p == NOBODY { Broad::No } else { kinds[*p as usize] }).collect()
}

/// By part whether it is all of the ink that hangs together, but for what was lost off its corners: no strokes meet there.
fn spots(grid: Grid, ink: &[bool], (parts, count): (&[u32], u32)) -> Vec<bool> {
    let keys: Vec<u32> = ink.iter().map(|ink| if *ink { 0 } else { NOBODY }).collect();
    let (blots, blots_count) = components(grid, &keys);
    let mut sizes = vec![0usize; blots_count as usize];
    let mut own = vec![(0usize, 0usize); count as usize];
    for (part, blot) in parts.iter().zip(&blots).filter(|(_, blot)| **blot != NOBODY) {
        sizes[*blot as usize] += 1;
        if *part != NOBODY {
            own[*part as usize] = (own[*part as usize].0 + 1, *blot as usize);
        }
    }
    own.into_iter().map(|(size, blot)| size as f64 > SPOT * sizes[blot] as f64).collect()
}
