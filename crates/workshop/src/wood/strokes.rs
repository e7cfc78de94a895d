//! Strokes of grain over the subject, spread as a smooth field of axes.
//!
//! Each cell of a raster carries (cos 2θ, sin 2θ), so that an axis has no sense and 10° and 170° meet at 0°. Cells under a
//! stroke are drawn to its direction, touching cells of pieces are tied, and the least sum of squares is found by conjugate
//! gradients (a Laplacian in the double angle, as for line fields: Knöppel and others 2013 without their singularities).
//! A piece gets the axis of the mean over its cells. Where they disagree the mean is short: then the strokes say nothing and
//! the piece lies along its length. Cells of ground are left out, so a stroke reaches around a hole and not through it; pieces
//! that no chain of pieces joins to a stroke are not spoken of.

use std::collections::BTreeMap;

use measure::plane::Point;
use measure::solve::{Laplacian, conjugate_gradient};

use crate::pattern::Outlines;
use crate::work::{AreaId, Axis, Becomes, Work};

/// Cells across the panel. Finer follows tight bends better and costs the square.
const ACROSS: u32 = 120;

/// How hard a stroke draws a cell against a tie of 1.
const HARD: f64 = 1000.0;

/// Means shorter than this say nothing: the cells lie all ways.
const COHERENT: f64 = 0.3;

/// The mean double angle of each area that strokes speak of.
pub struct Field(BTreeMap<AreaId, [f64; 2]>);

impl Field {
    /// The axis of an area, or none where the strokes say nothing.
    pub fn axis(&self, area: AreaId) -> Option<Axis> {
        let [c, s] = *self.0.get(&area)?;
        ((c * c + s * s).sqrt() >= COHERENT).then(|| Axis::degrees(0.5 * libm::atan2(s, c).to_degrees()))
    }
}

/// The field of a job's strokes; none without strokes.
pub fn field(work: &Work, outlines: &Outlines) -> Option<Field> {
    let panel = work.panel;
    if work.strokes.is_empty() || panel.width.0 <= 0 || panel.height.0 <= 0 {
        return None;
    }
    let cell = f64::from(panel.width.0) / f64::from(ACROSS);
    let down = ((f64::from(panel.height.0) / cell).ceil() as u32).max(1);
    let labels = outlines.labels(ACROSS, down);
    let wood = |label: u32| {
        let area = work.pattern.areas.get(&AreaId(label))?;
        matches!(area.becomes, Becomes::Piece(_)).then_some(AreaId(label))
    };
    let areas: Vec<Option<AreaId>> = labels.of.iter().map(|label| wood(*label)).collect();
    Some(over(&areas, &under(&work.strokes, cell, down)))
}

/// The field over cells of areas, with the double angles that are drawn.
fn over(areas: &[Option<AreaId>], drawn: &BTreeMap<usize, [f64; 2]>) -> Field {
    let parts = [0, 1].map(|part| spread(areas, drawn, part));
    let mut sums: BTreeMap<AreaId, [f64; 3]> = BTreeMap::new();
    for (at, area) in areas.iter().enumerate() {
        let Some(area) = area else { continue };
        let sum = sums.entry(*area).or_default();
        *sum = [sum[0] + parts[0][at], sum[1] + parts[1][at], sum[2] + 1.0];
    }
    Field(sums.into_iter().map(|(area, [c, s, n])| (area, [c / n, s / n])).collect())
}

/// The double angle of the strokes in each cell that one crosses.
fn under(strokes: &[Vec<Point>], cell: f64, down: u32) -> BTreeMap<usize, [f64; 2]> {
    let mut sums: BTreeMap<usize, [f64; 2]> = BTreeMap::new();
    for step in strokes.iter().flat_map(|stroke| stroke.windows(2)) {
        let (from, to) = (step[0], step[1]);
        let (x, y) = (f64::from(to.x - from.x), f64::from(to.y - from.y));
        let square = x * x + y * y;
        if square == 0.0 {
            continue;
        }
        // y points down and the axis counts counterclockwise: sin 2θ = −2xy.
        let double = [(x * x - y * y) / square, -2.0 * x * y / square];
        let count = (2.0 * square.sqrt() / cell).ceil() as usize;
        for at in (0..=count).filter_map(|i| place(from, (x, y), i as f64 / count as f64, (cell, down))) {
            let sum = sums.entry(at).or_default();
            *sum = [sum[0] + double[0], sum[1] + double[1]];
        }
    }
    sums.retain(|_, [c, s]| *c * *c + *s * *s > 1e-12);
    sums.values_mut().for_each(|[c, s]| {
        let length = (*c * *c + *s * *s).sqrt();
        (*c, *s) = (*c / length, *s / length);
    });
    sums
}

fn place(from: Point, (x, y): (f64, f64), share: f64, (cell, down): (f64, u32)) -> Option<usize> {
    let column = ((f64::from(from.x) + share * x) / cell).floor();
    let row = ((f64::from(from.y) + share * y) / cell).floor();
    let within = column >= 0.0 && row >= 0.0 && column < f64::from(ACROSS) && row < f64::from(down);
    within.then(|| row as usize * ACROSS as usize + column as usize)
}

fn spread(areas: &[Option<AreaId>], drawn: &BTreeMap<usize, [f64; 2]>, part: usize) -> Vec<f64> {
    let across = ACROSS as usize;
    let mut system = Laplacian::new(areas.len());
    for at in (0..areas.len()).filter(|at| areas[*at].is_some()) {
        let right = (at % across + 1 < across).then_some(at + 1);
        let below = Some(at + across).filter(|below| *below < areas.len());
        for other in [right, below].into_iter().flatten().filter(|other| areas[*other].is_some()) {
            system.tie(at, other, 1.0, 0.0);
        }
        if let Some(double) = drawn.get(&at) {
            system.anchor(at, HARD, double[part]);
        }
    }
    conjugate_gradient(&system, &vec![0.0; areas.len()], 1e-6)
}

#[cfg(test)]
mod tests;
