//! How the panel is cut into tiles at true scale.
//!
//! Every tile shows a window of the panel; neighbours share a strip of `OVERLAP_MM`. The join runs in the middle of
//! the strip, and the marks on it lie at the same place of the panel on both sheets, so that mark is laid on mark.

use super::frame::{FOOT_MM, HEAD_MM, MARGIN_MM};
use super::impose;
use super::paper::{Paper, Rect};

/// The strip that neighbouring tiles share. Less leaves too little to glue, more costs paper.
pub(super) const OVERLAP_MM: f64 = 10.0;

/// How far marks stay inside the outermost tiles.
const MARK_INSET_MM: f64 = 5.0;

/// White shown beside the panel where the paper has it, mm: room for numbers beside the work.
const RIM_MM: f64 = 14.0;

/// A join that lies this far from an even share costs as much as cutting one more piece, mm.
const EVEN_MM: f64 = 60.0;

/// A grid of tiles over the panel. Joins lie where straight cuts part the fewest pieces, counted by their extents.
#[derive(Clone, Debug)]
pub(super) struct Tiles {
    /// The paper, turned the way that needs the fewest tiles.
    pub paper: Paper,
    pub across: usize,
    pub down: usize,
    /// The part of the page that can show the pattern.
    space: Rect,
    columns: Row,
    rows: Row,
}

/// Extents of the pieces, mm; joins lie even where there are none.
#[derive(Default)]
pub(super) struct Spans {
    pub across: Vec<(f64, f64)>,
    pub down: Vec<(f64, f64)>,
}

impl Spans {
    /// As seen from behind a panel of this width.
    pub fn mirrored(self, width: f64) -> Spans {
        Spans { across: self.across.into_iter().map(|(a, b)| (width - b, width - a)).collect(), ..self }
    }
}

/// Tiles in one direction.
#[derive(Clone, Debug)]
struct Row {
    /// Where each tile begins and ends on the panel.
    shows: Vec<(f64, f64)>,
    joins: Vec<f64>,
    cuts: usize,
}

impl Tiles {
    /// The fewest tiles over a panel of this size (mm), then the fewest pieces cut; upright paper where both ways are even.
    /// On large paper a field of it where one holds the whole.
    pub fn over(panel: (f64, f64), paper: Paper, spans: &Spans) -> Tiles {
        let field = impose::field(paper);
        if field != paper {
            let tiles = Tiles::over(panel, field, spans);
            if tiles.count() == 1 {
                return tiles;
            }
        }
        let (upright, lying) = match paper.roll {
            true => (paper.unrolled(panel.1), paper.unrolled(panel.0).turned()),
            false => (paper, paper.turned()),
        };
        let (upright, lying) = (Tiles::on(panel, upright, spans), Tiles::on(panel, lying, spans));
        let cost = |tiles: &Tiles| (tiles.count(), tiles.columns.cuts + tiles.rows.cuts);
        if cost(&lying) < cost(&upright) { lying } else { upright }
    }

    fn on(panel: (f64, f64), paper: Paper, spans: &Spans) -> Tiles {
        let space = Rect::new(
            MARGIN_MM,
            MARGIN_MM + HEAD_MM,
            paper.width_mm - 2.0 * MARGIN_MM,
            paper.height_mm - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM,
        );
        let columns = Row::over(panel.0, space.w, &spans.across);
        let rows = Row::over(panel.1, space.h, &spans.down);
        Tiles { paper, across: columns.shows.len(), down: rows.shows.len(), space, columns, rows }
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
        let ((left, right), (top, bottom)) = (self.columns.shows[tile.column], self.rows.shows[tile.row]);
        Rect::new(left, top, right - left, bottom - top)
    }

    /// The part of the page that shows it.
    pub fn window(&self, tile: Tile) -> Rect {
        let shows = self.shows(tile);
        Rect::around(self.space.centre(), shows.w, shows.h)
    }

    /// The part of the page that is this tile's own: up to the joins.
    pub fn own(&self, tile: Tile) -> Rect {
        let half = |way| if self.beside(tile, way).is_some() { OVERLAP_MM / 2.0 } else { 0.0 };
        let (left, top) = (half((-1, 0)), half((0, -1)));
        let w = self.window(tile);
        Rect::new(w.x + left, w.y + top, w.w - left - half((1, 0)), w.h - top - half((0, 1)))
    }

    /// Places of the joins across and down, between the first and the last tile, with the outermost marks' places
    /// at both ends.
    pub fn joins(&self) -> (Vec<f64>, Vec<f64>) {
        (self.columns.marks(), self.rows.marks())
    }

    /// The tile beside, `across` to the right and `down` below, if there is one.
    pub fn beside(&self, tile: Tile, (across, down): (isize, isize)) -> Option<Tile> {
        let column = tile.column.checked_add_signed(across).filter(|c| *c < self.across)?;
        let row = tile.row.checked_add_signed(down).filter(|r| *r < self.down)?;
        Some(Tile { column, row })
    }
}

impl Row {
    /// The fewest windows over `length`, joined where they cut the fewest of `spans`.
    fn over(length: f64, window: f64, spans: &[(f64, f64)]) -> Row {
        let half = OVERLAP_MM / 2.0;
        let count = ((length - OVERLAP_MM) / (window - OVERLAP_MM)).ceil().max(1.0) as usize;
        let joins = best_joins(length, (window, count), spans);
        let cuts = joins.iter().map(|&at| cut(spans, at)).sum();
        let (first, last) = match joins[..] {
            [] => ((window - length) / 2.0, (window - length) / 2.0),
            [first, .., last] => (window - half - first, window - half - (length - last)),
            [only] => (window - half - only, window - half - (length - only)),
        };
        let begins = std::iter::once(-first.min(RIM_MM)).chain(joins.iter().map(|join| join - half));
        let ends = joins.iter().map(|join| join + half).chain([length + last.min(RIM_MM)]);
        Row { shows: begins.zip(ends).collect(), cuts, joins }
    }

    fn marks(&self) -> Vec<f64> {
        let first = self.shows[0].0 + MARK_INSET_MM;
        let last = self.shows[self.shows.len() - 1].1 - MARK_INSET_MM;
        std::iter::once(first).chain(self.joins.iter().copied()).chain([last]).collect()
    }
}

/// How many spans a cut parts.
fn cut(spans: &[(f64, f64)], at: f64) -> usize {
    spans.iter().filter(|span| span.0 < at && at < span.1).count()
}

/// Joins of `count` windows by dynamic programming over whole millimetres and the tightest packing, which always fits.
fn best_joins(length: f64, (window, count): (f64, usize), spans: &[(f64, f64)]) -> Vec<f64> {
    let (pitch, half) = (window - OVERLAP_MM, OVERLAP_MM / 2.0);
    let packed = (1..count).map(|at| at as f64 * pitch + half);
    let mut places: Vec<f64> = (1..length as u32).map(f64::from).chain(packed).collect();
    places.sort_by(f64::total_cmp);
    let cuts: Vec<f64> = places.iter().map(|&at| cut(spans, at) as f64).collect();
    // A little over the pitch, for sums of halves.
    let near = |gap: f64, most: f64| gap > 0.0 && gap <= most + 1e-9;
    let mut best: Vec<Vec<(f64, usize)>> = Vec::new();
    for join in 1..count {
        let even = length * join as f64 / count as f64;
        let far = |at: usize| (places[at] - even) / EVEN_MM;
        let price = |at: usize| cuts[at] + far(at) * far(at);
        let row = (0..places.len()).map(|at| match best.last() {
            None if near(places[at], window - half) => (price(at), at),
            None => (f64::MAX, at),
            Some(last) => (0..at)
                .rev()
                .take_while(|&from| near(places[at] - places[from], pitch) || places[at] == places[from])
                .filter(|&from| places[at] > places[from])
                .map(|from| (last[from].0 + price(at), from))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .unwrap_or((f64::MAX, at)),
        });
        let row = row.collect();
        best.push(row);
    }
    walked_back(length, window - half, &places, &best)
}

fn walked_back(length: f64, reach: f64, places: &[f64], best: &[Vec<(f64, usize)>]) -> Vec<f64> {
    let Some(last) = best.last() else { return Vec::new() };
    let ends = (0..places.len()).filter(|&at| length - places[at] <= reach + 1e-9);
    let mut at = ends.min_by(|&a, &b| last[a].0.total_cmp(&last[b].0)).expect("the tightest packing fits");
    let mut joins = Vec::new();
    for row in best.iter().rev() {
        joins.push(places[at]);
        at = row[at].1;
    }
    joins.reverse();
    joins
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

    /// Pieces of 30 mm side by side: a join parts none of them where it lies between two.
    fn spans(panel: (f64, f64)) -> Spans {
        let row = |length: f64| (0..(length / 30.0) as u32).map(|i| (f64::from(i) * 30.0, f64::from(i) * 30.0 + 30.0));
        Spans { across: row(panel.0).collect(), down: row(panel.1).collect() }
    }

    #[test]
    fn joins_pass_between_pieces_and_tiles_fit_their_paper() {
        for &paper in PAPERS {
            for panel in PANELS {
                let tiles = Tiles::over(panel, paper, &spans(panel));
                for tile in tiles.each() {
                    let shows = tiles.shows(tile);
                    assert!(
                        shows.w <= tiles.space.w + 1e-6 && shows.h <= tiles.space.h + 1e-6,
                        "{panel:?} {}",
                        paper.name
                    );
                }
                if tiles.space.w > 120.0 && panel.0 < 500.0 {
                    assert_eq!(tiles.columns.cuts, 0, "{panel:?} {}: {:?}", paper.name, tiles.columns.joins);
                }
            }
        }
    }

    #[test]
    fn tiles_cover_the_panel_and_overlap_by_the_strip() {
        for &paper in PAPERS {
            for panel in PANELS {
                let tiles = Tiles::over(panel, paper, &spans(panel));
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
                let tiles = Tiles::over(panel, paper, &spans(panel));
                let fewer = (tiles.across - 1) as f64 * (tiles.space.w - OVERLAP_MM) + OVERLAP_MM;
                assert!(paper.roll || tiles.across == 1 || fewer < panel.0);
            }
        }
    }

    #[test]
    fn names_run_on_after_z() {
        let name = |column, row| Tile { column, row }.name();
        assert_eq!([name(0, 0), name(25, 1), name(26, 9), name(51, 0)], ["A1", "Z2", "AA10", "AZ1"]);
    }
}
