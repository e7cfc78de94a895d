//! Writing on a drawing: numbers, crosses and arrows that lie loose in its areas are no lines to be sawn.
//!
//! A mark hangs on no other ink and lies in one area; what it closes itself are its loops. Digits are told by their shape, and by
//! one another: bent strokes, and loops with a tail, are writing where they are small, and tell how large the hand writes. An
//! upright straight stroke is writing where the hand writes so large and few such lie in its area. So is a bare loop that something
//! sticks out of, as in a small 4, and two loops above each other, as in 8; any other bare loop only where it is slight or beside
//! what is writing. So feathers, dashes, eyes and windows stay. Weak where a number touches a line, where small bent strokes or
//! stalked loops are meant, and for windows of two panes as large as the digits: strokes that leave their middle are listed as
//! writing, each to be chosen all the same.

use std::collections::{BTreeMap, BTreeSet};

use super::grid::{Grid, touching};
use super::ink::Strokes;

/// So many marks tell how large a hand writes; fewer do not.
const FEW: usize = 3;
/// How long a mark may be, mm: the least where the hand is small or unknown, and the most however large it is.
const LONG_MM: std::ops::RangeInclusive<f64> = 6.0..=12.0;
/// A mark is as long as this many times the middle one at most, since two digits may touch; one with a loop as this many.
const TIMES: f64 = 2.0;
const LOOPED: f64 = 1.5;
/// A stroke is straight whose ends lie this share of its length apart.
const STRAIGHT: f64 = 0.85;
/// Marks of about one size are between these shares of each other.
const ALIKE: std::ops::RangeInclusive<f64> = 0.6..=1.6;
/// A spot covers this share of its box.
const FULL: f64 = 0.65;
/// What is so much higher than wide is no spot, and stands upright.
const SLENDER: f64 = 1.25;
/// A number has no more straight strokes than this; where more lie in one area, and more than other marks, they are dashes.
const ONES: usize = 2;
/// The loops of an 8 lie so near to its middle line, of its breadth, and so far above each other, of its height.
const CENTRED: f64 = 0.2;
const STACKED: f64 = 0.25;
/// What is no higher than this share of it is none.
const BLOT: f64 = 0.15;
/// A loop as high as this share of its mark is all of it.
const WHOLE: f64 = 0.8;
/// Digits of one number lie so near, of the longer one.
const NEAR: f64 = 0.8;

/// What is writing.
pub(super) struct Written {
    /// By pixel, whether it is ink of writing.
    pub ink: Vec<bool>,
    /// Areas that are loops of writing, with the area that each lies in.
    pub loops: BTreeMap<u32, u32>,
    /// How many marks close these.
    pub marks: usize,
}

/// A mark that hangs on no other ink.
struct Mark {
    pixels: Vec<usize>,
    /// The areas that it closes and its blots, and the area that it lies in.
    loops: Vec<u32>,
    around: u32,
    /// Its box: the first column, the first row, columns and rows.
    left: f64,
    top: f64,
    wide: f64,
    high: f64,
    shape: Shape,
    /// Whether it has two loops, one above the other, or one that something sticks out of, if by less than a stroke.
    digit: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Shape {
    Straight,
    Bent,
    /// A loop with an end in the open.
    Tailed,
    /// One loop, or several, and no end.
    Bare,
}

/// `ink` is all that is drawn and `areas` what its lines close, `strokes` tells of its strokes, and `mm` is pixels to a millimetre
/// of the sheet.
pub(super) fn writing(grid: Grid, ink: &[bool], areas: &[u32], strokes: &Strokes, mm: f64) -> Written {
    let marks = marks(grid, ink, areas, strokes, LONG_MM.end() * mm);
    let telling = |mark: &&Mark| matches!(mark.shape, Shape::Bent | Shape::Tailed);
    let mut lengths: Vec<f64> = marks.iter().filter(telling).map(Mark::long).collect();
    lengths.sort_by(f64::total_cmp);
    let hand = (lengths.len() >= FEW).then(|| lengths[lengths.len() / 2]);
    let most = hand.map_or(0.0, |hand| TIMES * hand).clamp(LONG_MM.start() * mm, LONG_MM.end() * mm);
    let looped = hand.map_or(most, |hand| most.min((LOOPED * hand).max(LONG_MM.start() * mm)));
    let in_hand = |mark: &Mark| hand.is_some_and(|hand| ALIKE.contains(&(mark.long() / hand)));
    let small = |mark: &Mark| mark.long() <= if mark.loops.is_empty() { most } else { looped };
    // In marks as slight as this loops run together in many ways, and nobody means them to be pieces.
    let is_slight =
        |mark: &Mark| mark.long() <= LONG_MM.start() * mm && (mark.loops.len() > 1 || mark.high >= SLENDER * mark.wide);
    let dashes = |mark: &Mark| {
        let here = || marks.iter().filter(|other| other.around == mark.around);
        let straight = here().filter(|other| other.shape == Shape::Straight).count();
        straight > ONES.max(here().count() - straight)
    };
    let mut written: Vec<bool> = (marks.iter())
        .map(|mark| {
            small(mark)
                && match mark.shape {
                    Shape::Bent | Shape::Tailed => true,
                    Shape::Straight => in_hand(mark) && mark.high >= SLENDER * mark.wide && !dashes(mark),
                    Shape::Bare => in_hand(mark) && (mark.digit || is_slight(mark)),
                }
        })
        .collect();
    // A number grows by the digits beside what is one: a bare loop also by a straight stroke, as in 10.
    while let Some(next) = (0..marks.len()).find(|at| {
        let beside = |other: usize| {
            let one = written[other] || marks[*at].shape == Shape::Bare && marks[other].shape == Shape::Straight;
            other != *at && one && marks[*at].beside(&marks[other])
        };
        !written[*at] && small(&marks[*at]) && (0..marks.len()).any(beside)
    }) {
        written[next] = true;
    }
    let mut found = Written { ink: vec![false; grid.len()], loops: BTreeMap::new(), marks: 0 };
    for (mark, _) in marks.iter().zip(written).filter(|(_, written)| *written) {
        mark.pixels.iter().for_each(|at| found.ink[*at] = true);
        found.marks += usize::from(!mark.loops.is_empty());
        found.loops.extend(mark.loops.iter().map(|area| (*area, mark.around)));
    }
    found
}

impl Mark {
    fn long(&self) -> f64 {
        self.wide.max(self.high)
    }

    /// Whether another is about as large and stands on its line, a digit's breadth away at most.
    fn beside(&self, other: &Mark) -> bool {
        let far = (self.left.max(other.left) - (self.left + self.wide).min(other.left + other.wide)).max(0.0);
        let level = (self.top + self.high).min(other.top + other.high) - self.top.max(other.top);
        ALIKE.contains(&(self.high / other.high))
            && far <= NEAR * self.high.max(other.high)
            && level >= 0.5 * self.high.min(other.high)
    }
}

/// The marks up to a length that hang on no other ink and lie in one area.
fn marks(grid: Grid, ink: &[bool], areas: &[u32], strokes: &Strokes, longest: f64) -> Vec<Mark> {
    let (parts, open, stroke) = (touching(grid, ink), strokes.open(), strokes.ink().collect::<Vec<bool>>());
    // Which ink each area has at its edge.
    let mut edges: BTreeMap<u32, BTreeSet<usize>> = BTreeMap::new();
    let beside = |at: usize| grid.eight(at).filter(move |n| !ink[*n]).map(|n| areas[n]);
    for (nth, part) in parts.iter().enumerate() {
        for area in part.iter().flat_map(|at| beside(*at)).collect::<BTreeSet<u32>>() {
            edges.entry(area).or_default().insert(nth);
        }
    }
    let framed: BTreeSet<u32> = (0..grid.len()).filter(|at| grid.on_frame(*at)).map(|at| areas[at]).collect();
    let mark = |part: &Vec<usize>| {
        let ((left, right), (top, bottom)) = box_of(grid, part);
        let (wide, high) = ((right - left + 1) as f64, (bottom - top + 1) as f64);
        // Digits run full where the pen is broad; a spot fills its box and is about round.
        let stroked = 2 * part.iter().filter(|at| stroke[**at]).count() > part.len();
        let drawn = stroked || (part.len() as f64) < FULL * wide * high || high >= SLENDER * wide;
        if wide.max(high) > longest || !drawn || part.iter().any(|at| grid.on_frame(*at)) {
            return None;
        }
        let within =
            |at: usize| (left..=right).contains(&(at % grid.width)) && (top..=bottom).contains(&(at / grid.width));
        let next: BTreeSet<u32> = part.iter().flat_map(|at| beside(*at)).collect();
        // What has no other ink at its edge and begins within the box lies in the mark, or the mark in it.
        let shut = |area: &u32| edges[area].len() == 1 && !framed.contains(area);
        let begins =
            |area: &u32| part.iter().flat_map(|at| grid.eight(*at)).all(|n| areas[n] != *area || ink[n] || within(n));
        let (mut loops, around): (Vec<u32>, Vec<u32>) = next.into_iter().partition(|area| shut(area) && begins(area));
        let [around] = around[..] else { return None };
        let white = loops.len();
        // Blots in it, where its strokes run together or a loop has run full.
        let own: BTreeSet<u32> = part.iter().map(|at| areas[*at]).filter(|area| *area != around).collect();
        loops.extend(own.into_iter().filter(|area| !edges.contains_key(area)));
        let ends = part.iter().any(|at| open[*at]);
        let shape = match (loops.is_empty(), ends) {
            (true, true) if straight(grid, part, &open) => Shape::Straight,
            (true, _) => Shape::Bent,
            (false, true) => Shape::Tailed,
            (false, false) => Shape::Bare,
        };
        let digit = {
            let inner = |shut_in: &u32| {
                let cells = (top..=bottom).flat_map(|y| (left..=right).map(move |x| y * grid.width + x));
                let ((from, to), (above, below)) =
                    box_of(grid, &cells.filter(|at| areas[*at] == *shut_in).collect::<Vec<_>>());
                let middle = |from: usize, to: usize| (from + to + 1) as f64 / 2.0;
                (middle(from, to) - left as f64, middle(above, below), (below + 1 - above) as f64)
            };
            let large = |loops: &[u32]| -> Vec<(f64, f64, f64)> {
                loops.iter().map(inner).filter(|one| one.2 >= BLOT * high).collect()
            };
            // One of them may have run full; then also where its strokes cross may be a blot.
            let (white, all) = (large(&loops[..white]), large(&loops));
            let sticks_out = matches!(white[..], [one] if one.2 < WHOLE * high);
            let (inner, most) = if white.len() > 1 { (white, 2) } else { (all, 3) };
            let ends = inner.iter().fold((f64::MIN, f64::MAX), |(low, up), one| (low.max(one.1), up.min(one.1)));
            let stacked = (2..=most).contains(&inner.len())
                && ends.0 - ends.1 >= STACKED * high
                && inner.iter().all(|one| (one.0 - wide / 2.0).abs() <= CENTRED * wide);
            sticks_out || stacked
        };
        let (left, top) = (left as f64, top as f64);
        Some(Mark { pixels: part.clone(), loops, around, left, top, wide, high, shape, digit })
    };
    parts.iter().filter_map(mark).collect()
}

/// Whether the middles of a mark's strokes are about as long as their box is from corner to corner. From each they lead to what it
/// touches by a side, or else by a corner.
fn straight(grid: Grid, part: &[usize], open: &[bool]) -> bool {
    let middles: Vec<usize> = part.iter().copied().filter(|at| open[*at]).collect();
    let by_side = |at: usize| grid.four(at).filter(|n| open[*n]);
    let turns = |at: usize, n: usize| by_side(at).any(|m| m == n || by_side(m).any(|o| o == n));
    let step = |at: &usize| {
        let by_corner = grid.eight(*at).filter(|n| open[*n] && !turns(*at, *n)).count();
        (by_side(*at).count() as f64 + by_corner as f64 * std::f64::consts::SQRT_2) / 2.0
    };
    let length: f64 = middles.iter().map(step).sum();
    let ((left, right), (top, bottom)) = box_of(grid, &middles);
    libm::hypot((right - left) as f64, (bottom - top) as f64) >= STRAIGHT * length
}

/// The first and last column, and the first and last row, of some pixels.
fn box_of(grid: Grid, part: &[usize]) -> ((usize, usize), (usize, usize)) {
    let span = |of: &dyn Fn(usize) -> usize| {
        part.iter().map(|at| of(*at)).fold((usize::MAX, 0), |(least, most), at| (least.min(at), most.max(at)))
    };
    (span(&|at| at % grid.width), span(&|at| at / grid.width))
}

#[cfg(test)]
mod tests {
    use measure::length::Um;

    use crate::picture::{Closed, Raster, Sheet, closed, drawing};
    use crate::work::Stock;

    type Stroke = &'static [(f64, f64)];

    /// Digits and other marks as strokes in a box of 1 by 1.6, its origin at the lower left.
    const STROKES: [(char, Stroke); 15] = [
        ('0', &[(0.5, 1.6), (0.1, 1.2), (0.1, 0.4), (0.5, 0.0), (0.9, 0.4), (0.9, 1.2), (0.5, 1.6)]),
        ('1', &[(0.5, 1.6), (0.5, 0.0)]),
        ('2', &[(0.1, 1.3), (0.5, 1.6), (0.9, 1.2), (0.1, 0.0), (0.9, 0.0)]),
        ('3', &[(0.1, 1.6), (0.9, 1.6), (0.4, 0.9), (0.9, 0.5), (0.5, 0.0), (0.1, 0.2)]),
        ('4', &[(0.6, 0.0), (0.6, 1.6), (0.0, 0.6), (1.0, 0.6)]),
        ('5', &[(0.9, 1.6), (0.2, 1.6), (0.1, 0.9), (0.8, 0.8), (0.8, 0.2), (0.1, 0.0)]),
        ('6', &[(0.7, 1.6), (0.1, 0.7), (0.1, 0.2), (0.5, 0.0), (0.9, 0.3), (0.8, 0.7), (0.1, 0.6)]),
        ('7', &[(0.1, 1.6), (0.9, 1.6), (0.3, 0.0)]),
        ('8', &[(0.5, 0.8), (0.1, 1.2), (0.5, 1.6), (0.9, 1.2), (0.1, 0.4), (0.5, 0.0), (0.9, 0.4), (0.5, 0.8)]),
        ('9', &[(0.9, 1.0), (0.5, 0.8), (0.1, 1.2), (0.5, 1.6), (0.9, 1.2), (0.8, 0.0)]),
        // An upright window, one of four panes, and a leaf.
        ('w', &[(0.0, 0.0), (1.0, 0.0), (1.0, 1.6), (0.0, 1.6), (0.0, 0.0)]),
        (
            'p',
            &[
                (0.0, 0.0),
                (1.0, 0.0),
                (1.0, 1.6),
                (0.0, 1.6),
                (0.0, 0.0),
                (0.0, 0.8),
                (1.0, 0.8),
                (1.0, 1.6),
                (0.5, 1.6),
                (0.5, 0.0),
            ],
        ),
        ('l', &[(0.5, 1.6), (0.95, 1.1), (0.95, 0.5), (0.5, 0.0), (0.05, 0.5), (0.05, 1.1), (0.5, 1.6)]),
        // A feather, bent a little, and an eye.
        ('f', &[(0.0, 0.0), (0.5, 0.7), (0.8, 1.6)]),
        (
            'o',
            &[
                (1.3, 0.8),
                (1.15, 1.23),
                (0.78, 1.48),
                (0.32, 1.48),
                (-0.05, 1.23),
                (-0.2, 0.8),
                (-0.05, 0.37),
                (0.32, 0.12),
                (0.78, 0.12),
                (1.15, 0.37),
                (1.3, 0.8),
            ],
        ),
    ];

    /// A frame of nine fields on A4 at 4 pixels to the millimetre, in each of them a word `high` mm high, 0.7 mm wide lines.
    fn fields(words: [&str; 9], high: f64, width: Um) -> Closed {
        let px = 4.0;
        let grid = (1188_usize, 840_usize);
        let mut lines: Vec<[(f64, f64); 2]> = Vec::new();
        for at in 0..4 {
            let (x, y) = (6.0 + 95.0 * f64::from(at), 6.0 + 66.0 * f64::from(at));
            lines.push([(x, 6.0), (x, 204.0)]);
            lines.push([(6.0, y), (291.0, y)]);
        }
        for (nth, word) in words.iter().enumerate() {
            let (left, foot) = (6.0 + 95.0 * (nth % 3) as f64 + 35.0, 6.0 + 66.0 * (nth / 3) as f64 + 40.0);
            for (place, letter) in word.chars().enumerate() {
                let stroke = STROKES.iter().find(|(known, _)| *known == letter).expect("a known letter").1;
                let scale = high / 1.6;
                let on = |(x, y): (f64, f64)| (left + scale * (x + 1.5 * place as f64), foot - scale * y);
                lines.extend(stroke.windows(2).map(|pair| [on(pair[0]), on(pair[1])]));
            }
        }
        let mut grey = vec![244_u8; grid.0 * grid.1];
        for [a, b] in lines {
            let (ux, uy) = (b.0 - a.0, b.1 - a.1);
            let cell = |least: f64, most: f64, end: usize| {
                ((least - 1.0) * px).max(0.0) as usize..(((most + 1.0) * px) as usize).min(end)
            };
            for y in cell(a.1.min(b.1), a.1.max(b.1), grid.1) {
                for x in cell(a.0.min(b.0), a.0.max(b.0), grid.0) {
                    let at = ((x as f64 + 0.5) / px - a.0, (y as f64 + 0.5) / px - a.1);
                    let t = ((at.0 * ux + at.1 * uy) / (ux * ux + uy * uy)).clamp(0.0, 1.0);
                    if libm::hypot(at.0 - t * ux, at.1 - t * uy) < 0.35 {
                        grey[y * grid.0 + x] = 32;
                    }
                }
            }
        }
        let pixels = grey.into_iter().map(|grey| [grey, grey, grey, 255]).collect();
        let raster = Raster { width: grid.0 as u32, height: grid.1 as u32, pixels };
        let sheet = Sheet { corners: None, width, height: None };
        let (clean, panel) = drawing(&raster, &sheet).expect("a sheet");
        closed(&clean, (panel, Um(0)), &Stock::thick(), None).expect("lines")
    }

    /// How many areas there are, and how many strokes that part nothing are meant.
    fn told(found: &Closed) -> (usize, usize) {
        (found.owners.len(), found.loose.iter().filter(|line| !line.writing).count())
    }

    #[test]
    fn numbers_are_ignored_whatever_their_size_and_that_of_the_work() {
        // Nine fields and what lies round the frame.
        let mut wrong = Vec::new();
        for high in [4.0, 5.0, 6.0, 7.0, 8.0, 10.0] {
            for width in [297, 600, 900] {
                let tens = ["10", "20", "30", "40", "50", "60", "70", "80", "90"];
                let ones = ["1", "2", "3", "4", "5", "6", "7", "8", "9"];
                for words in [tens, ones] {
                    let found = told(&fields(words, high, Um(width * 1000)));
                    if found != (10, 0) {
                        wrong.push((words, high, width, found));
                    }
                }
            }
        }
        assert!(wrong.is_empty(), "{wrong:#?}");
    }

    #[test]
    fn feathers_dashes_and_eyes_are_no_writing() {
        for high in [5.0, 8.0, 10.0] {
            let feathers = fields(["f", "f", "f", "f", "f", "f", "f", "f", "1"], high, Um(297_000));
            assert_eq!(told(&feathers), (10, 9), "{high}");
            let eyes = fields(["o", "o", "o", "2", "3", "5", "7", "4", "9"], high, Um(297_000));
            assert_eq!(told(&eyes), (13, 0), "{high}");
        }
        let dashes = fields(["1111", "1111", "1", "1", "1", "1", "1", "1", "1"], 5.0, Um(297_000));
        assert_eq!(told(&dashes), (10, 15));
        let numbered = fields(["1111", "1111", "2", "3", "4", "5", "6", "7", "1"], 7.0, Um(297_000));
        assert_eq!(told(&numbered), (10, 8));
    }

    /// Small closed shapes among digits of their size are areas that were drawn to be pieces.
    #[test]
    fn windows_and_leaves_among_digits_are_areas() {
        let drawn = fields(["w", "p", "l", "2", "3", "5", "7", "4", "9"], 10.0, Um(297_000));
        assert_eq!(told(&drawn), (16, 0));
        let beside = fields(["12", "8", "20", "w", "l", "5", "7", "14", "9"], 8.0, Um(297_000));
        assert_eq!(told(&beside), (12, 0));
    }
}
