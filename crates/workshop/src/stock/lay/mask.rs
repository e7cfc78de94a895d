//! Outlines as bits of a grid, always on the safe side: a cell counts as covered if the outline touches it at all.

use measure::plane::Point;

/// A grid of bits over a box.
#[derive(Clone)]
pub(super) struct Mask {
    pub columns: usize,
    pub rows: usize,
    words: usize,
    bits: Vec<u64>,
}

impl Mask {
    pub fn new(columns: usize, rows: usize) -> Mask {
        let words = columns.div_ceil(64);
        Mask { columns, rows, words, bits: vec![0; words * rows] }
    }

    fn set(&mut self, column: i64, row: i64) {
        if (0..self.columns as i64).contains(&column) && (0..self.rows as i64).contains(&row) {
            self.bits[row as usize * self.words + column as usize / 64] |= 1 << (column % 64);
        }
    }

    fn get(&self, column: usize, row: usize) -> bool {
        self.bits[row * self.words + column / 64] >> (column % 64) & 1 == 1
    }

    /// Sets a run of a row, the last column left out.
    fn run(&mut self, row: i64, from: i64, to: i64) {
        (from.max(0)..to.min(self.columns as i64)).for_each(|column| self.set(column, row));
    }

    /// Covers every cell that a ring or its inside touches; cells are `cell` µm wide and begin at `start`.
    pub fn cover(&mut self, ring: &[Point], (start, cell): (Point, i32)) {
        self.cover_edge(ring, (start, cell));
        for row in 0..self.rows as i64 {
            let y = f64::from(start.y) + (row as f64 + 0.5) * f64::from(cell);
            let mut crossings: Vec<f64> = chords(ring).filter_map(|chord| crossing(chord, y)).collect();
            crossings.sort_by(f64::total_cmp);
            let column = |x: f64| ((x - f64::from(start.x)) / f64::from(cell)).floor() as i64;
            crossings.chunks_exact(2).for_each(|pair| self.run(row, column(pair[0]), column(pair[1]) + 1));
        }
    }

    /// Covers every cell that a ring's line touches, a micrometre more on every side against rounding.
    pub fn cover_edge(&mut self, ring: &[Point], (start, cell): (Point, i32)) {
        let (cell, start) = (f64::from(cell), (f64::from(start.x), f64::from(start.y)));
        let at = |v: f64, from: f64| ((v - from) / cell).floor() as i64;
        for (a, b) in chords(ring) {
            let (a, b) = if a.y <= b.y { (a, b) } else { (b, a) };
            let (ax, ay, bx, by) = (f64::from(a.x), f64::from(a.y), f64::from(b.x), f64::from(b.y));
            for row in at(ay - 1.0, start.1)..=at(by + 1.0, start.1) {
                let (low, high) = (start.1 + row as f64 * cell - 1.0, start.1 + (row + 1) as f64 * cell + 1.0);
                let x = |y: f64| if by > ay { ax + (bx - ax) * ((y - ay) / (by - ay)).clamp(0.0, 1.0) } else { ax };
                let (one, other) = if by > ay { (x(low), x(high)) } else { (ax, bx) };
                self.run(row, at(one.min(other) - 1.0, start.0), at(one.max(other) + 1.0, start.0) + 1);
            }
        }
    }

    /// The same with the covered and the bare changed.
    pub fn inverted(&self) -> Mask {
        let mut turned = Mask::new(self.columns, self.rows);
        for row in 0..self.rows {
            (0..self.columns).filter(|column| !self.get(*column, row)).for_each(|c| turned.set(c as i64, row as i64));
        }
        turned
    }

    /// Covers also every cell that holds a point nearer than `reach` µm to a covered cell. The mask grows by
    /// [`margin`] cells on every side.
    pub fn grown(&self, reach: i32, cell: i32) -> Mask {
        let by = margin(reach, cell);
        let mut grown = Mask::new(self.columns + 2 * by, self.rows + 2 * by);
        let halves: Vec<Option<i64>> = (0..=by as i64).map(|down| half_width(down, reach, cell)).collect();
        for row in 0..self.rows as i64 {
            for (from, to) in self.runs(row as usize) {
                for down in -(by as i64)..=by as i64 {
                    let Some(half) = halves[down.unsigned_abs() as usize] else { continue };
                    let (row, by) = (row + down + by as i64, by as i64);
                    grown.run(row, from as i64 + by - half, to as i64 + by + half);
                }
            }
        }
        grown
    }

    /// The covered runs of a row, each with the column after its last.
    fn runs(&self, row: usize) -> Vec<(usize, usize)> {
        let mut runs = Vec::new();
        let mut column = 0;
        while column < self.columns {
            let from = column;
            while column < self.columns && self.get(column, row) {
                column += 1;
            }
            if column > from {
                runs.push((from, column));
            }
            column += 1;
        }
        runs
    }

    /// Covers what `other` covers, its first cell at a column and row of this one, which may be negative.
    pub fn add(&mut self, other: &Mask, (column, row): (i64, i64)) {
        for from in 0..other.rows {
            other
                .runs(from)
                .into_iter()
                .for_each(|(a, b)| self.run(row + from as i64, column + a as i64, column + b as i64));
        }
    }

    /// Whether any cell is covered by both, the other's first cell at a column and row inside this one.
    pub fn meets(&self, other: &Mask, (column, row): (usize, usize)) -> bool {
        let (skip, shift) = (column / 64, column % 64);
        (0..other.rows).any(|from| {
            let mine = &self.bits[(row + from) * self.words..(row + from + 1) * self.words];
            let theirs = &other.bits[from * other.words..(from + 1) * other.words];
            theirs.iter().enumerate().any(|(at, word)| {
                let low = mine.get(skip + at).copied().unwrap_or(0) >> shift;
                let high = if shift == 0 { 0 } else { mine.get(skip + at + 1).copied().unwrap_or(0) << (64 - shift) };
                word & (low | high) != 0
            })
        })
    }
}

fn chords(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

fn crossing((a, b): (Point, Point), y: f64) -> Option<f64> {
    let (ay, by) = (f64::from(a.y), f64::from(b.y));
    ((ay > y) != (by > y)).then(|| f64::from(a.x) + f64::from(b.x - a.x) * (y - ay) / (by - ay))
}

/// How many cells a reach takes at the most.
pub(super) fn margin(reach: i32, cell: i32) -> usize {
    (reach.max(0) / cell) as usize + 1
}

/// How far a covered cell reaches sideways, so many rows up or down: two cells touch where they are next to each other.
fn half_width(down: i64, reach: i32, cell: i32) -> Option<i64> {
    let near = |cells: i64| (cells.abs() - 1).max(0) * i64::from(cell);
    let reach = i64::from(reach.max(1));
    let fits = |side: &i64| near(*side) * near(*side) + near(down) * near(down) < reach * reach;
    (0..=reach / i64::from(cell) + 1).take_while(fits).last()
}
