//! How far each sample lies from the nearest border, and in which direction.

use measure::Watch;
use measure::plane::Point;
use rayon::prelude::*;

use super::field::Grid;
use crate::pattern::Outlines;
use crate::work::{Border, LineBecomes, Origin, Work};

/// How far an edge is rounded over, mm: sanded by hand, common practice, no source.
pub(super) const EASE_MM: f32 = 1.1;
/// What a scroll-saw blade takes away where pieces are said to touch, mm; common practice, no source.
pub(super) const KERF_MM: f32 = 0.4;
/// Rows that are worked on together.
const BAND: usize = 32;

/// The nearest border seen from a sample.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    /// From the sawn edge, mm: below 0 in the kerf or gap, `FAR` away from every border.
    pub mm: f32,
    /// Towards the border, a unit vector in 127ths.
    pub toward: [i8; 2],
    /// Half the width of the kerf or gap there, in hundredths of a mm; 0 where nothing is sawn away.
    pub half: u16,
}

/// A sample that no border is near to.
pub(super) const FAR: Edge = Edge { mm: f32::INFINITY, toward: [0, 0], half: 0 };

/// A straight bit of a border in mm, and half the gap there.
struct Bit {
    from: [f32; 2],
    to: [f32; 2],
    half: f32,
}

impl Bit {
    fn reach(&self) -> f32 {
        self.half + EASE_MM
    }

    fn span(&self, axis: usize) -> (f32, f32) {
        let (a, b) = (self.from[axis], self.to[axis]);
        (a.min(b) - self.reach(), a.max(b) + self.reach())
    }
}

/// The nearest border of every sample, as far as edges are rounded. `None` when stopped.
pub(super) fn near_borders(work: &Work, outlines: &Outlines, grid: &Grid, watch: Watch) -> Option<Vec<Edge>> {
    let across = grid.across as usize;
    let bits = bits(work, outlines);
    let bands = bands(&bits, grid);
    let mut edges = vec![FAR; across * grid.down as usize];
    edges.par_chunks_mut(across * BAND).zip(&bands).enumerate().for_each(|(band, (edges, near))| {
        if !watch.stopped() {
            near.iter().for_each(|bit| draw(&bits[*bit as usize], grid, band * BAND, edges));
        }
    });
    (!watch.stopped()).then_some(edges)
}

fn bits(work: &Work, outlines: &Outlines) -> Vec<Bit> {
    let mut bits = Vec::new();
    for (id, line) in &outlines.lines {
        let half = work.pattern.borders.get(id).map_or(0.0, half_gap);
        bits.extend(bits_of(line, half));
    }
    let slots = work.loose_lines.iter().filter(|line| line.becomes == LineBecomes::Slot);
    bits.extend(slots.flat_map(|slot| bits_of(&slot.along, 0.5 * slot.width.to_mm() as f32)));
    bits
}

fn bits_of(line: &[Point], half: f32) -> impl Iterator<Item = Bit> + '_ {
    line.windows(2).map(move |ends| Bit { from: mm(ends[0]), to: mm(ends[1]), half })
}

/// How much of each sample a burnt line covers, 0 to 255; empty where none is burnt.
pub(super) fn burnt(work: &Work, grid: &Grid) -> Vec<u8> {
    let lines = work.loose_lines.iter().filter(|line| line.becomes == LineBecomes::Burnt);
    let bits: Vec<Bit> = lines.flat_map(|line| bits_of(&line.along, 0.5 * line.width.to_mm() as f32)).collect();
    if bits.is_empty() {
        return Vec::new();
    }
    let mut edges = vec![FAR; grid.across as usize * grid.down as usize];
    bits.iter().for_each(|bit| draw(bit, grid, 0, &mut edges));
    let share = |edge: &Edge| ((0.5 - edge.mm / grid.step).clamp(0.0, 1.0) * 255.0) as u8;
    edges.iter().map(share).collect()
}

fn half_gap(border: &Border) -> f32 {
    match border.from {
        Origin::Edge => 0.0,
        _ => 0.5 * KERF_MM.max(border.gap.to_mm() as f32),
    }
}

fn mm(point: Point) -> [f32; 2] {
    let (x, y) = point.to_mm();
    [x as f32, y as f32]
}

/// Which bits reach into each band of rows, in their order.
fn bands(bits: &[Bit], grid: &Grid) -> Vec<Vec<u32>> {
    let mut bands = vec![Vec::new(); (grid.down as usize).div_ceil(BAND)];
    for (at, bit) in bits.iter().enumerate() {
        let (top, low) = grid.samples(bit.span(1), grid.down);
        for band in &mut bands[top / BAND..low.div_ceil(BAND)] {
            band.push(at as u32);
        }
    }
    bands
}

fn draw(bit: &Bit, grid: &Grid, first: usize, edges: &mut [Edge]) {
    let across = grid.across as usize;
    let (left, right) = grid.samples(bit.span(0), grid.across);
    let (top, low) = grid.samples(bit.span(1), grid.down);
    for row in top.max(first)..low.min(first + edges.len() / across) {
        for column in left..right {
            nearer(&mut edges[(row - first) * across + column], bit, grid.place(column, row));
        }
    }
}

fn nearer(edge: &mut Edge, bit: &Bit, at: [f32; 2]) {
    let along = [bit.to[0] - bit.from[0], bit.to[1] - bit.from[1]];
    let off = [at[0] - bit.from[0], at[1] - bit.from[1]];
    let length = along[0] * along[0] + along[1] * along[1];
    let share = ((off[0] * along[0] + off[1] * along[1]) / length.max(1e-12)).clamp(0.0, 1.0);
    let to = [along[0] * share - off[0], along[1] * share - off[1]];
    let distance = (to[0] * to[0] + to[1] * to[1]).sqrt();
    if distance - bit.half < edge.mm && distance < bit.reach() {
        let scale = 127.0 / distance.max(1e-6);
        let toward = [(to[0] * scale) as i8, (to[1] * scale) as i8];
        *edge = Edge { mm: distance - bit.half, toward, half: (bit.half * 100.0).round() as u16 };
    }
}
