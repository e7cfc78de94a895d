//! Which area lies at a place: one place, or every pixel of a raster in one pass.
//!
//! Crossings of a row are put in order by exact fractions, and where two begin in one point by the way they go on, so that
//! no rounding can let one area run on over another.

use std::cmp::Ordering;

use measure::plane::Point;

use super::Outlines;
use crate::picture::Labels;
use crate::work::AreaId;

/// Where a chord crosses a level line.
#[derive(Clone, Copy)]
struct Crossing {
    /// x is `num / den`, µm.
    num: i64,
    /// The chord's fall, µm, positive.
    den: i64,
    /// How far the chord goes east as it falls by `den`.
    run: i64,
    /// What lies to its east.
    east: Option<AreaId>,
}

impl Crossing {
    /// Where the chord crosses the level `y`, which lies between its ends; a corner counts for the chord below it.
    fn at(chord: &Chord, y: i32) -> Crossing {
        let (den, run) =
            (i64::from(chord.low.y) - i64::from(chord.top.y), i64::from(chord.low.x) - i64::from(chord.top.x));
        let num = i64::from(chord.top.x) * den + run * (i64::from(y) - i64::from(chord.top.y));
        Crossing { num, den, run, east: chord.east }
    }

    fn x(&self) -> f64 {
        self.num as f64 / self.den as f64
    }

    /// From west to east, at one x as seen just below.
    fn order(&self, other: &Crossing) -> Ordering {
        let fraction = |a: i64, b: &Crossing| i128::from(a) * i128::from(b.den);
        fraction(self.num, other)
            .cmp(&fraction(other.num, self))
            .then_with(|| fraction(self.run, other).cmp(&fraction(other.run, self)))
            .then_with(|| self.east.cmp(&other.east))
    }
}

/// A chord that is not level, from its upper end to its lower.
struct Chord {
    top: Point,
    low: Point,
    east: Option<AreaId>,
}

impl Outlines {
    /// Which area each pixel of a `width` × `height` raster over the panel lies in, by its centre: the area's id. Where
    /// the pattern has none, 0.
    pub fn labels(&self, width: u32, height: u32) -> Labels {
        let per_pixel = f64::from(self.panel().width.0) / f64::from(width);
        let mut of = Vec::with_capacity(width as usize * height as usize);
        for row in self.crossings(height) {
            let mut crossings = row.iter().peekable();
            let mut here = 0;
            for column in 0..width {
                let centre = (f64::from(column) + 0.5) * per_pixel;
                while let Some(crossing) = crossings.next_if(|crossing| crossing.x() <= centre) {
                    here = crossing.east.map_or(0, |area| area.0);
                }
                of.push(here);
            }
        }
        Labels { width, height, of }
    }

    /// By row, where borders cross the level of its pixels' centres (to the nearest µm), west to east.
    fn crossings(&self, height: u32) -> Vec<Vec<Crossing>> {
        let per_row = f64::from(self.panel().height.0) / f64::from(height);
        let level = |row: u32| ((f64::from(row) + 0.5) * per_row).floor() as i32;
        let levels: Vec<i32> = (0..height).map(level).collect();
        let mut rows = vec![Vec::new(); levels.len()];
        for chord in self.chords() {
            let from = levels.partition_point(|y| *y < chord.top.y);
            let to = levels.partition_point(|y| *y < chord.low.y);
            for (row, y) in rows[from..to].iter_mut().zip(&levels[from..to]) {
                row.push(Crossing::at(&chord, *y));
            }
        }
        for row in &mut rows {
            row.sort_by(Crossing::order);
        }
        rows
    }

    /// The area at a point; on a border the area to its east.
    pub fn at(&self, point: Point) -> Option<AreaId> {
        self.chords()
            .filter(|chord| chord.top.y <= point.y && point.y < chord.low.y)
            .map(|chord| Crossing::at(&chord, point.y))
            .filter(|crossing| i128::from(crossing.num) <= i128::from(point.x) * i128::from(crossing.den))
            .max_by(Crossing::order)
            .and_then(|crossing| crossing.east)
    }

    fn chords(&self) -> impl Iterator<Item = Chord> + '_ {
        self.lines.iter().flat_map(|(id, line)| {
            let (left, right) = self.sides[id];
            // Who walks down the page has the east to the left.
            line.windows(2).filter(|ends| ends[0].y != ends[1].y).map(move |ends| match ends[0].y < ends[1].y {
                true => Chord { top: ends[0], low: ends[1], east: left },
                false => Chord { top: ends[1], low: ends[0], east: right },
            })
        })
    }
}
