//! How the panel is cut into tiles at true scale.
//!
//! Every tile shows a window of the panel; neighbours share a strip of `OVERLAP_MM`. The join runs in the middle of
//! the strip, and the marks on it lie at the same place of the panel on both sheets, so that mark is laid on mark.

use super::frame::{FOOT_MM, HEAD_MM, MARGIN_MM};
use super::paper::{Paper, Rect, Spot};

/// The strip that neighbouring tiles share. Less leaves too little to glue, more costs paper.
pub(super) const OVERLAP_MM: f64 = 10.0;

/// How far marks stay inside the outermost tiles.
const MARK_INSET_MM: f64 = 5.0;

/// A grid of tiles over the panel.
#[derive(Clone, Debug)]
pub(super) struct Tiles {
    /// The paper, turned the way that needs the fewest tiles.
    pub paper: Paper,
    pub across: usize,
    pub down: usize,
    /// The part of the page that shows the pattern.
    pub window: Rect,
    origin: Spot,
}

impl Tiles {
    /// The fewest tiles over a panel of this size (mm); upright paper where both ways need the same.
    pub fn over(panel: (f64, f64), paper: Paper) -> Tiles {
        let (upright, lying) = (Tiles::on(panel, paper), Tiles::on(panel, paper.turned()));
        if lying.count() < upright.count() { lying } else { upright }
    }

    fn on(panel: (f64, f64), paper: Paper) -> Tiles {
        let window = Rect::new(
            MARGIN_MM,
            MARGIN_MM + HEAD_MM,
            paper.width_mm - 2.0 * MARGIN_MM,
            paper.height_mm - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM,
        );
        let (across, left) = row(panel.0, window.w);
        let (down, top) = row(panel.1, window.h);
        Tiles { paper, across, down, window, origin: (left, top) }
    }

    pub fn count(&self) -> usize {
        self.across * self.down
    }

    /// Every tile, row by row.
    pub fn each(&self) -> impl Iterator<Item = Tile> + '_ {
        (0..self.down).flat_map(move |row| (0..self.across).map(move |column| Tile { column, row }))
    }

    /// What a tile shows of the panel, mm.
    pub fn shows(&self, tile: Tile) -> Rect {
        let x = self.origin.0 + tile.column as f64 * (self.window.w - OVERLAP_MM);
        let y = self.origin.1 + tile.row as f64 * (self.window.h - OVERLAP_MM);
        Rect::new(x, y, self.window.w, self.window.h)
    }

    /// The part of the page that is this tile's own: up to the joins.
    pub fn own(&self, tile: Tile) -> Rect {
        let half = |way| if self.beside(tile, way).is_some() { OVERLAP_MM / 2.0 } else { 0.0 };
        let (left, top) = (half((-1, 0)), half((0, -1)));
        let w = self.window;
        Rect::new(w.x + left, w.y + top, w.w - left - half((1, 0)), w.h - top - half((0, 1)))
    }

    /// Places of the joins across and down, between the first and the last tile, with the outermost marks' places
    /// at both ends.
    pub fn joins(&self) -> (Vec<f64>, Vec<f64>) {
        (joins(self.origin.0, self.window.w, self.across), joins(self.origin.1, self.window.h, self.down))
    }

    /// The tile beside, `across` to the right and `down` below, if there is one.
    pub fn beside(&self, tile: Tile, (across, down): (isize, isize)) -> Option<Tile> {
        let column = tile.column.checked_add_signed(across).filter(|c| *c < self.across)?;
        let row = tile.row.checked_add_signed(down).filter(|r| *r < self.down)?;
        Some(Tile { column, row })
    }
}

/// How many windows cover `length`, and where the first begins so that the panel lies in the middle of them.
fn row(length: f64, window: f64) -> (usize, f64) {
    let pitch = window - OVERLAP_MM;
    let count = ((length - OVERLAP_MM) / pitch).ceil().max(1.0);
    let covered = count * pitch + OVERLAP_MM;
    (count as usize, (length - covered) / 2.0)
}

fn joins(origin: f64, window: f64, count: usize) -> Vec<f64> {
    let pitch = window - OVERLAP_MM;
    let inner = (1..count).map(|i| origin + i as f64 * pitch + OVERLAP_MM / 2.0);
    let last = origin + count as f64 * pitch + OVERLAP_MM - MARK_INSET_MM;
    std::iter::once(origin + MARK_INSET_MM).chain(inner).chain([last]).collect()
}

/// One tile of the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tile {
    pub column: usize,
    pub row: usize,
}

impl Tile {
    /// Letters across, numbers down: A1 is the upper left, B1 to its right; after Z comes AA.
    pub fn name(self) -> String {
        let mut letters = Vec::new();
        let mut left = self.column + 1;
        while left > 0 {
            letters.push(b'A' + ((left - 1) % 26) as u8);
            left = (left - 1) / 26;
        }
        letters.reverse();
        format!("{}{}", String::from_utf8(letters).expect("letters are ASCII"), self.row + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::super::paper::PAPERS;
    use super::*;

    const PANELS: [(f64, f64); 5] = [(30.0, 20.0), (190.0, 240.0), (420.0, 300.0), (1200.0, 800.0), (777.7, 1999.9)];

    #[test]
    fn tiles_cover_the_panel_and_overlap_by_the_strip() {
        for &paper in PAPERS {
            for panel in PANELS {
                let tiles = Tiles::over(panel, paper);
                let first = tiles.shows(Tile { column: 0, row: 0 });
                let last = tiles.shows(Tile { column: tiles.across - 1, row: tiles.down - 1 });
                assert!(first.x <= 1e-9 && first.y <= 1e-9, "{panel:?} on {}", paper.name);
                assert!(last.right() >= panel.0 - 1e-9 && last.bottom() >= panel.1 - 1e-9);
                for tile in tiles.each() {
                    if let Some(next) = tiles.beside(tile, (1, 0)) {
                        let shared = tiles.shows(tile).right() - tiles.shows(next).x;
                        assert!((shared - OVERLAP_MM).abs() < 1e-9);
                    }
                }
            }
        }
    }

    #[test]
    fn no_tile_is_spare() {
        for &paper in PAPERS {
            for panel in PANELS {
                let tiles = Tiles::over(panel, paper);
                let fewer = (tiles.across - 1) as f64 * (tiles.window.w - OVERLAP_MM) + OVERLAP_MM;
                assert!(tiles.across == 1 || fewer < panel.0);
            }
        }
    }

    #[test]
    fn names_run_on_after_z() {
        let name = |column, row| Tile { column, row }.name();
        assert_eq!([name(0, 0), name(25, 1), name(26, 9), name(51, 0)], ["A1", "Z2", "AA10", "AZ1"]);
    }
}
