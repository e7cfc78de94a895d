//! The grid of samples, and the relief on it: whose face, how high, turned which way.

use rayon::prelude::*;

use super::backdrop::{Face, Faces};
use super::edges::{EASE_MM, Edge};
use super::horizon::Heights;
use crate::picture::Labels;
use crate::work::Size;

/// Samples across and down each pixel, straight on and from aside: walls stand in whole samples.
const FINE: u32 = 2;
const FINE_ASIDE: u32 = 3;
/// Above this many samples a pixel has one sample only: memory before smoothness.
const MOST_SAMPLES: u64 = 20_000_000;
/// The steepest that an eased edge turns, as a sine: it gives back as much light as a quarter round of small flats.
const STEEPEST: f32 = 0.97;

/// A sample in a gap looks so many samples away for its piece.
const FURTHEST_BESIDE: i32 = 3;

/// The grid of samples over the panel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Samples across and down a pixel.
    pub fine: u32,
    /// Samples across.
    pub across: u32,
    /// Samples down.
    pub down: u32,
    /// Between samples, mm.
    pub step: f32,
    /// Samples about the panel, on each side.
    pub rim: u32,
}

impl Grid {
    /// A grid over the panel and what lies `beyond` it (mm) on each side, to the nearest pixel; finer where walls are to be seen.
    pub(super) fn new(panel: Size, width: u32, (beyond, walls): (f32, bool)) -> Grid {
        let (wide, tall) = (panel.width.0.max(1), panel.height.0.max(1));
        let whole = f64::from(wide) + 2000.0 * f64::from(beyond);
        let rim =
            ((1000.0 * f64::from(beyond) / whole * f64::from(width)).round() as u32).min(width.saturating_sub(1) / 2);
        let inner = width - 2 * rim;
        let height = ((f64::from(tall) * f64::from(inner) / f64::from(wide)).round() as u32).max(1) + 2 * rim;
        let many = |fine: u32| u64::from(width) * u64::from(height) * u64::from(fine * fine);
        let wished = if walls { FINE_ASIDE } else { FINE };
        let fine = [wished, FINE].into_iter().find(|fine| many(*fine) <= MOST_SAMPLES).unwrap_or(1);
        let (across, down) = (width * fine, height * fine);
        Grid { width, height, fine, across, down, step: wide as f32 / 1000.0 / (inner * fine) as f32, rim: rim * fine }
    }

    /// Samples across and down the panel alone.
    pub(super) fn panel(&self) -> [u32; 2] {
        [self.across - 2 * self.rim, self.down - 2 * self.rim]
    }

    /// The centre of a sample on the panel, mm.
    pub(super) fn place(&self, column: usize, row: usize) -> [f32; 2] {
        [column, row].map(|at| (at as f32 + 0.5) * self.step - self.beyond())
    }

    /// The sample at a place of the page, mm, if it is on the grid.
    pub(super) fn at(&self, place: [f32; 2]) -> Option<usize> {
        let [x, y] = place.map(|mm| ((mm + self.beyond()) / self.step).floor());
        let inside = x >= 0.0 && y >= 0.0 && x < self.across as f32 && y < self.down as f32;
        inside.then_some(y as usize * self.across as usize + x as usize)
    }

    /// How far it reaches beyond the panel on each side, mm.
    pub(super) fn beyond(&self) -> f32 {
        self.rim as f32 * self.step
    }

    /// The samples within a span (mm) along one axis, as first and one past the last.
    pub(super) fn samples(&self, (from, to): (f32, f32), count: u32) -> (usize, usize) {
        let [from, to] = [from, to].map(|at| at + self.beyond());
        let first = ((from / self.step - 0.5).ceil().max(0.0) as usize).min(count as usize);
        let past = ((to / self.step + 0.5).floor().max(0.0) as usize).min(count as usize);
        (first, past.max(first))
    }
}

/// The relief on the grid.
pub(super) struct Field {
    /// Tops, mm.
    pub heights: Heights,
    labels: Labels,
    edges: Vec<Edge>,
}

impl Field {
    pub(super) fn new(faces: &Faces, labels: Labels, edges: Vec<Edge>, grid: Grid) -> Field {
        let top = |(area, edge): (&u32, &Edge)| top(faces.at(*area), edge);
        let mm = labels.of.par_iter().zip(&edges).with_min_len(4096).map(top).collect();
        let heights = Heights { across: grid.across as usize, down: grid.down as usize, step: grid.step, mm };
        Field { heights, labels, edges }
    }

    /// The face that shows at a sample.
    pub(super) fn face<'a>(&self, faces: &'a Faces, at: usize) -> &'a Face {
        let face = faces.at(self.labels.of[at]);
        if face.piece && self.edges[at].mm < 0.0 { &faces.backer } else { face }
    }

    /// The share of a sample that a gap between pieces takes, reckoned over the width of the sample.
    pub(super) fn gap(&self, faces: &Faces, at: usize) -> f32 {
        let edge = &self.edges[at];
        if edge.half == 0 || !faces.at(self.labels.of[at]).piece {
            return 0.0;
        }
        let (half, reach, step) = (f32::from(edge.half) / 100.0, 0.5 * self.heights.step, self.heights.step);
        let middle = edge.mm + half;
        (((middle + reach).min(half) - (middle - reach).max(-half)) / step).clamp(0.0, 1.0)
    }

    /// How high a sample stands in the mean, mm: its gap at the backer, the rest as its edge is.
    pub(super) fn level(&self, faces: &Faces, at: usize) -> f32 {
        let gap = self.gap(faces, at);
        if gap == 0.0 {
            return self.heights.mm[at];
        }
        let edge = Edge { mm: self.edges[at].mm.max(0.0), ..self.edges[at] };
        (1.0 - gap) * top(faces.at(self.labels.of[at]), &edge)
    }

    /// The heights as an eye aside can tell them: a gap between pieces is too narrow to see down, and is as high as the eased edge of
    /// the lower of the two.
    pub(super) fn stands(&self, faces: &Faces, grid: &Grid) -> Heights {
        let across = self.heights.across;
        let high = |at: usize| {
            let edge = &self.edges[at];
            let own = faces.at(self.labels.of[at]);
            if edge.mm >= 0.0 || !own.piece {
                return self.heights.mm[at];
            }
            let (place, half) = (grid.place(at % across, at / across), f32::from(edge.half) / 100.0);
            let height = |far: f32| {
                let there = std::array::from_fn(|axis| place[axis] + far * f32::from(edge.toward[axis]) / 127.0);
                grid.at(there).map_or(0.0, |other| faces.at(self.labels.of[other]).height)
            };
            // Past both sides: at the border itself a label may be of either.
            let (ahead, behind) = (height(2.0 * half + edge.mm + EASE_MM), height(edge.mm - EASE_MM));
            (own.height.min(ahead).min(behind) - EASE_MM).max(0.0)
        };
        let mm = (0..self.heights.mm.len()).into_par_iter().with_min_len(4096).map(high).collect();
        Heights { mm, ..self.heights }
    }

    /// Whether the middle of a sample lies on what its label says, not in a gap.
    pub(super) fn on_piece(&self, at: usize) -> bool {
        self.edges[at].mm >= 0.0
    }

    /// The sample nearest to one in a gap, away from the border, that is on its piece.
    pub(super) fn beside(&self, at: usize) -> Option<usize> {
        let [x, y] = self.edges[at].toward.map(|part| f32::from(part) / -127.0);
        let across = self.heights.across;
        let step = |steps: i32| {
            let column = (at % across) as i32 + (x * steps as f32).round() as i32;
            let row = (at / across) as i32 + (y * steps as f32).round() as i32;
            let inside = (0..across as i32).contains(&column) && (0..self.heights.down as i32).contains(&row);
            inside.then_some(row as usize * across + column as usize)
        };
        let on = |other: &usize| self.labels.of[*other] == self.labels.of[at] && self.edges[*other].mm >= 0.0;
        (1..=FURTHEST_BESIDE).filter_map(step).find(on)
    }

    /// The unit normal of a face at a sample: x right, y down, z towards the eye.
    pub(super) fn normal(&self, face: &Face, at: usize) -> [f32; 3] {
        let edge = &self.edges[at];
        let turned = rounded(edge) * STEEPEST;
        if !face.piece || turned <= 0.0 {
            return [0.0, 0.0, 1.0];
        }
        let [x, y] = edge.toward.map(|part| f32::from(part) / 127.0 * turned);
        [x, y, (1.0 - x * x - y * y).max(0.0).sqrt()]
    }
}

impl Field {
    /// The way out of a wall at a sample, level, and how far that way its border lies, mm: as the border runs, or to `side` where
    /// none is near.
    pub(super) fn out(&self, at: usize, side: f32) -> ([f32; 3], f32) {
        let edge = &self.edges[at];
        let [x, y] = edge.toward.map(f32::from);
        let long = (x * x + y * y).sqrt();
        if x * side <= 0.0 { ([side, 0.0, 0.0], 0.0) } else { ([x / long, y / long, 0.0], edge.mm.max(0.0)) }
    }
}

/// 0 on the flat, 1 at the sawn edge.
fn rounded(edge: &Edge) -> f32 {
    (1.0 - edge.mm / EASE_MM).clamp(0.0, 1.0)
}

fn top(face: &Face, edge: &Edge) -> f32 {
    if !face.piece {
        return face.height;
    }
    if edge.mm < 0.0 {
        return 0.0;
    }
    let round = rounded(edge);
    face.height - EASE_MM * (1.0 - (1.0 - round * round).sqrt())
}
