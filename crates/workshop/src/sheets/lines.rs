//! Border segments in square cells, so that a box asks only those near it.

use super::paper::{Rect, Spot};
use super::room::enters;

/// The segments and their cells.
pub(super) struct Lines<'a> {
    segments: &'a [(Spot, Spot)],
    pub bounds: Rect,
    across: usize,
    cells: Vec<Vec<u32>>,
}

const CELL_MM: f64 = 8.0;

impl<'a> Lines<'a> {
    pub fn new(segments: &'a [(Spot, Spot)], bounds: Rect) -> Lines<'a> {
        let across = (bounds.w / CELL_MM) as usize + 1;
        let down = (bounds.h / CELL_MM) as usize + 1;
        let mut lines = Lines { segments, bounds, across, cells: vec![Vec::new(); across * down] };
        for (at, &(a, b)) in segments.iter().enumerate() {
            let Some(around) = Rect::bounding([a, b]) else { continue };
            for cell in lines.over(around) {
                lines.cells[cell].push(at as u32);
            }
        }
        lines
    }

    fn over(&self, rect: Rect) -> impl Iterator<Item = usize> + use<'a> {
        let clamp = |v: f64, most: usize| (v.max(0.0) as usize).min(most);
        let down = self.cells.len() / self.across;
        let column = |x: f64| clamp((x - self.bounds.x) / CELL_MM, self.across - 1);
        let row = |y: f64| clamp((y - self.bounds.y) / CELL_MM, down - 1);
        let (rows, columns) = (row(rect.y)..=row(rect.bottom()), column(rect.x)..=column(rect.right()));
        let across = self.across;
        rows.flat_map(move |r| columns.clone().map(move |c| r * across + c))
    }

    /// Whether any segment has a point in a box.
    pub fn strike(&self, rect: Rect) -> bool {
        let struck = |&at: &u32| enters(rect, self.segments[at as usize].0, self.segments[at as usize].1);
        self.over(rect).any(|cell| self.cells[cell].iter().any(struck))
    }
}
