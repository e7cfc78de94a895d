//! Copies: the fewest prints of the pattern such that no two touching pieces are cut from one.
//!
//! Paper is cut with room around a piece, so pieces that come within a margin of each other count as touching too; then
//! five pieces can all touch each other and four prints no longer do. The number is the chromatic number of that graph
//! (`measure::solve::colouring`); at that number pieces of one wood and thickness are gathered on as few prints as
//! exchanges find.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::Um;
use measure::plane::Point;
use measure::solve::{Graph, colouring, gather};

use crate::pattern::Outlines;
use crate::work::{AreaId, Becomes, Number, Side, Work};

/// Room around a piece that is cut from paper, common practice, no source. More asks for more prints; less leaves no strip
/// to hold and to peel.
pub const MARGIN: Um = Um(3_000);

/// Nodes looked at for each number of prints tried: it bounds 800 pieces to well under a second, and left the number of
/// none of 100 patterns to 60 pieces open (`tests/reference/test_copies.py`).
const STEPS: u64 = 6_000_000;

/// Which print each piece is cut from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Copies {
    /// Each piece's print, from 1.
    pub of: BTreeMap<Number, usize>,
    /// How many prints there are.
    pub number: usize,
    /// The most pieces found that all touch each other: no fewer prints can do.
    pub clique: usize,
    /// Whether fewer prints are proved impossible.
    pub exact: bool,
}

/// Gives every piece its print; pieces within `margin` touch.
pub fn copies(work: &Work, outlines: &Outlines, margin: Um) -> Copies {
    let pieces: Vec<(Number, AreaId)> = pieces(work);
    let place: BTreeMap<AreaId, usize> = pieces.iter().enumerate().map(|(at, (_, area))| (*area, at)).collect();
    let pairs = touching(work, outlines, margin);
    let edges = pairs.iter().filter_map(|(a, b)| Some((*place.get(a)?, *place.get(b)?)));
    let graph = Graph::new(pieces.len(), edges);
    let found = colouring(&graph, STEPS);
    let gathered = gather(&graph, (found.colours, found.number), &kinds(work, &pieces));
    let of = in_order(&pieces, &gathered);
    Copies { of, number: found.number, clique: found.clique.len(), exact: found.exact }
}

fn pieces(work: &Work) -> Vec<(Number, AreaId)> {
    let areas = work.pattern.areas.iter();
    let mut pieces: Vec<(Number, AreaId)> = areas
        .filter_map(|(id, area)| match area.becomes {
            Becomes::Piece(number) => Some((number, *id)),
            _ => None,
        })
        .collect();
    pieces.sort_unstable();
    pieces
}

/// Prints counted in the order of the first piece on each.
fn in_order(pieces: &[(Number, AreaId)], colours: &[usize]) -> BTreeMap<Number, usize> {
    let mut names: BTreeMap<usize, usize> = BTreeMap::new();
    let mut of = BTreeMap::new();
    for ((number, _), colour) in pieces.iter().zip(colours) {
        let next = names.len() + 1;
        of.insert(*number, *names.entry(*colour).or_insert(next));
    }
    of
}

/// Each piece's wood and thickness as one count; what is undecided is a kind of its own.
fn kinds(work: &Work, pieces: &[(Number, AreaId)]) -> Vec<usize> {
    let kind = |number: &Number| {
        let values = work.pieces.get(number).map(|piece| &piece.values);
        values.map(|values| (values.wood.as_ref().map(|wood| &wood.value), values.thickness.map(|t| t.value)))
    };
    let known: BTreeSet<_> = pieces.iter().map(|(number, _)| kind(number)).collect();
    let known: Vec<_> = known.into_iter().collect();
    pieces.iter().map(|(number, _)| known.binary_search(&kind(number)).expect("every kind is known")).collect()
}

/// Pairs of areas that share a border, or of which borders come within `margin` (inclusive), lower id first. A corner
/// shared counts, for its distance is 0.
pub fn touching(work: &Work, outlines: &Outlines, margin: Um) -> BTreeSet<(AreaId, AreaId)> {
    let mut found: BTreeSet<(AreaId, AreaId)> = outlines.meetings.keys().copied().collect();
    let strokes = strokes(work, outlines);
    let reach = margin.to_mm() * 1000.0;
    for cell in cells(&strokes, margin).values() {
        for (at, &a) in cell.iter().enumerate() {
            for &b in &cell[at + 1..] {
                let (a, b) = (&strokes[a], &strokes[b]);
                let pairs = a.pairs(b);
                if pairs.iter().any(|pair| !found.contains(pair)) && a.within(b, reach) {
                    found.extend(pairs);
                }
            }
        }
    }
    found
}

/// A straight stretch of a border, and the areas on its sides.
struct Stroke {
    from: Point,
    to: Point,
    sides: [Option<AreaId>; 2],
}

fn strokes(work: &Work, outlines: &Outlines) -> Vec<Stroke> {
    let mut strokes = Vec::new();
    for (id, border) in &work.pattern.borders {
        let sides = [border.left, border.right].map(|side| Side::area(side).filter(|area| is_piece(work, *area)));
        if sides != [None, None] {
            let ends = outlines.lines[id].windows(2);
            strokes.extend(ends.map(|ends| Stroke { from: ends[0], to: ends[1], sides }));
        }
    }
    strokes
}

fn is_piece(work: &Work, area: AreaId) -> bool {
    work.pattern.areas.get(&area).is_some_and(|area| matches!(area.becomes, Becomes::Piece(_)))
}

/// Strokes by the square cells within half a margin of them; two strokes within the margin share a cell.
fn cells(strokes: &[Stroke], margin: Um) -> BTreeMap<(i32, i32), Vec<usize>> {
    /// Smaller cells hold a stroke often, larger ones many strokes; a long stretch of a flattened border is a few mm.
    const LEAST_UM: i32 = 4_000;
    let side = margin.0.max(LEAST_UM);
    let half = margin.0 / 2 + 1;
    let mut cells: BTreeMap<(i32, i32), Vec<usize>> = BTreeMap::new();
    for (at, stroke) in strokes.iter().enumerate() {
        let (a, b) = (stroke.from, stroke.to);
        let span = |a: i32, b: i32| (a.min(b) - half).div_euclid(side)..=(a.max(b) + half).div_euclid(side);
        for x in span(a.x, b.x) {
            for y in span(a.y, b.y) {
                cells.entry((x, y)).or_default().push(at);
            }
        }
    }
    cells
}

impl Stroke {
    /// The pairs of different areas of which one lies beside each stroke.
    fn pairs(&self, other: &Stroke) -> Vec<(AreaId, AreaId)> {
        let both = self.sides.iter().flatten().flat_map(|a| other.sides.iter().flatten().map(move |b| (*a, *b)));
        both.filter(|(a, b)| a != b).map(|(a, b)| (a.min(b), a.max(b))).collect()
    }

    /// Whether the strokes come within `reach` µm. Borders do not cross, so the nearest place is an end of one.
    fn within(&self, other: &Stroke, reach: f64) -> bool {
        let square = reach * reach;
        let ends = [(self.from, other), (self.to, other), (other.from, self), (other.to, self)];
        ends.iter().any(|(at, stroke)| stroke.square_to(*at) <= square)
    }

    /// The square of a point's distance, µm².
    fn square_to(&self, at: Point) -> f64 {
        let step = |a: Point, b: Point| (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
        let ((dx, dy), (px, py)) = (step(self.from, self.to), step(self.from, at));
        let long = dx * dx + dy * dy;
        let t = if long > 0.0 { ((px * dx + py * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
        let (x, y) = (px - t * dx, py - t * dy);
        x * x + y * y
    }
}
