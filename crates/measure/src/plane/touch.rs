//! Where flattened lines touch: exact predicates on whole micrometres, a grid to find the neighbours.
//!
//! Every chord is entered into the square cells that it may cross; chords that share a cell are tested with exact
//! orientations. Good while chords are of like length; many long chords across a fine grid would cost time, never truth.

use super::Point;

/// On which side of the line `a`→`b` the point `c` lies: positive when the turn is clockwise on the page, 0 on the line.
pub fn orientation(a: Point, b: Point, c: Point) -> i32 {
    let by = |p: i32, q: i32| i128::from(p) - i128::from(q);
    (by(b.x, a.x) * by(c.y, a.y) - by(b.y, a.y) * by(c.x, a.x)).signum() as i32
}

/// Whether `point` lies inside what the lines close by the even-odd rule. Each chord of every line counts once, in any
/// order; a point on a chord has no side and is reported outside.
pub fn inside<'a>(lines: impl IntoIterator<Item = &'a [Point]>, point: Point) -> bool {
    amid(lines.into_iter().flat_map(|line| line.windows(2).map(|chord| (chord[0], chord[1]))), point)
}

/// As [`inside`], for rings: from its last point each runs on to its first.
pub fn inside_rings<'a>(rings: impl IntoIterator<Item = &'a [Point]>, point: Point) -> bool {
    let round = |ring: &'a [Point]| ring.iter().copied().zip(ring.iter().copied().cycle().skip(1));
    amid(rings.into_iter().flat_map(round), point)
}

fn amid(chords: impl Iterator<Item = (Point, Point)>, point: Point) -> bool {
    let mut odd = false;
    for (a, b) in chords {
        if on(a, b, point) {
            return false;
        }
        if (a.y > point.y) != (b.y > point.y) {
            let (low, high) = if a.y < b.y { (a, b) } else { (b, a) };
            odd ^= orientation(low, high, point) > 0;
        }
    }
    odd
}

/// Every place where two lines, or a line and itself, touch. Two lines may share an end; consecutive chords share their
/// corner; a line that ends where it began is a ring. Everything else is reported: the lower index first, sorted.
/// A line of a single point touches itself.
pub fn touches<L: AsRef<[Point]>>(lines: &[L]) -> Vec<(usize, usize, Point)> {
    touches_of(lines, |_| true)
}

/// As [`touches`], but only places where at least one of the two lines is `asked`.
pub fn touches_of<L: AsRef<[Point]>>(lines: &[L], asked: impl Fn(usize) -> bool) -> Vec<(usize, usize, Point)> {
    let chords = chords(lines);
    let mut found: Vec<_> = (lines.iter().enumerate())
        .filter(|(i, line)| asked(*i) && line.as_ref().len() == 1)
        .map(|(i, line)| (i, i, line.as_ref()[0]))
        .collect();
    let grid = Grid::over(&chords);
    for cell in grid.cells(&chords) {
        for (i, a) in cell.iter().enumerate() {
            for b in &cell[i + 1..] {
                let (a, b) = (&chords[*a as usize], &chords[*b as usize]);
                if a.near(b) && (asked(a.line) || asked(b.line)) {
                    found.extend(a.touch(b).map(|p| (a.line.min(b.line), a.line.max(b.line), p)));
                }
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// How many pairs of chords [`touches`] would compare.
pub(super) fn crowding<L: AsRef<[Point]>>(lines: &[L]) -> u64 {
    let chords = chords(lines);
    let grid = Grid::over(&chords);
    let mut counts = vec![0u64; (grid.columns * grid.rows) as usize];
    for chord in &chords {
        grid.visit(chord, |cell| counts[cell] += 1);
    }
    counts.iter().map(|count| count * count.saturating_sub(1) / 2).sum()
}

/// One chord of a line.
struct Chord {
    line: usize,
    index: usize,
    /// Chords in its line.
    of: usize,
    a: Point,
    b: Point,
}

fn chords<L: AsRef<[Point]>>(lines: &[L]) -> Vec<Chord> {
    let of_line = |(line, points): (usize, &L)| {
        let points = points.as_ref();
        let of = points.len().saturating_sub(1);
        (0..of).map(move |index| (line, index, of)).collect::<Vec<_>>()
    };
    (lines.iter().enumerate().flat_map(of_line))
        .map(|(line, index, of)| {
            let points = lines[line].as_ref();
            Chord { line, index, of, a: points[index], b: points[index + 1] }
        })
        .collect()
}

impl Chord {
    /// Whether the boxes around both meet.
    fn near(&self, other: &Chord) -> bool {
        let apart = |a: i32, b: i32, c: i32, d: i32| a.max(b) < c.min(d) || c.max(d) < a.min(b);
        !apart(self.a.x, self.b.x, other.a.x, other.b.x) && !apart(self.a.y, self.b.y, other.a.y, other.b.y)
    }

    /// A place where both touch beyond what they may share.
    fn touch(&self, other: &Chord) -> Option<Point> {
        match self.shared(other) {
            Some((v, p, q)) => folded(v, p, q).then_some(v),
            None => meet(self, other),
        }
    }

    /// The corner or end that both may share, and the far ends of both.
    fn shared(&self, other: &Chord) -> Option<(Point, Point, Point)> {
        let ends = [(true, self.a, self.b), (false, self.b, self.a)];
        let others = [(true, other.a, other.b), (false, other.b, other.a)];
        ends.iter()
            .flat_map(|e| others.iter().map(move |o| (e, o)))
            .find_map(|(e, o)| (e.1 == o.1 && self.may_share(e.0, other, o.0)).then_some((e.1, e.2, o.2)))
    }

    /// Whether this chord's start (or end) may lie on the other's start (or end).
    fn may_share(&self, start: bool, other: &Chord, other_start: bool) -> bool {
        let next = |p: &Chord, q: &Chord| p.line == q.line && p.index + 1 == q.index;
        (self.ends_line(start) && other.ends_line(other_start))
            || (!start && other_start && next(self, other))
            || (start && !other_start && next(other, self))
    }

    fn ends_line(&self, start: bool) -> bool {
        if start { self.index == 0 } else { self.index + 1 == self.of }
    }
}

/// Whether the chords `v`→`p` and `v`→`q` lie on one another.
fn folded(v: Point, p: Point, q: Point) -> bool {
    let by = |p: i32, q: i32| i128::from(p) - i128::from(q);
    orientation(v, p, q) == 0 && by(p.x, v.x) * by(q.x, v.x) + by(p.y, v.y) * by(q.y, v.y) > 0
}

/// Whether `p` lies on the chord `a`→`b`.
fn on(a: Point, b: Point, p: Point) -> bool {
    let between = |a: i32, b: i32, p: i32| a.min(b) <= p && p <= a.max(b);
    between(a.x, b.x, p.x) && between(a.y, b.y, p.y) && orientation(a, b, p) == 0
}

fn meet(a: &Chord, b: &Chord) -> Option<Point> {
    let (c, d) = (orientation(a.a, a.b, b.a), orientation(a.a, a.b, b.b));
    let (e, f) = (orientation(b.a, b.b, a.a), orientation(b.a, b.b, a.b));
    if c * d < 0 && e * f < 0 {
        return Some(crossing(a, b));
    }
    let on_a = [b.a, b.b].into_iter().find(|p| on(a.a, a.b, *p));
    on_a.or_else(|| [a.a, a.b].into_iter().find(|p| on(b.a, b.b, *p)))
}

/// The nearest whole point to a proper crossing.
fn crossing(a: &Chord, b: &Chord) -> Point {
    let f = |p: Point| (f64::from(p.x), f64::from(p.y));
    let ((ax, ay), (bx, by), (cx, cy), (dx, dy)) = (f(a.a), f(a.b), f(b.a), f(b.b));
    let (ux, uy, vx, vy) = (bx - ax, by - ay, dx - cx, dy - cy);
    let t = ((cx - ax) * vy - (cy - ay) * vx) / (ux * vy - uy * vx);
    Point::new((ax + t * ux).round() as i32, (ay + t * uy).round() as i32)
}

/// Square cells over all chords.
struct Grid {
    left: i64,
    top: i64,
    cell: i64,
    columns: i64,
    rows: i64,
}

/// More cells than this a chord would cost more to clear than they save.
const CELLS_PER_CHORD: i64 = 4;

impl Grid {
    /// Cells about as wide as the mean chord is long.
    fn over(chords: &[Chord]) -> Grid {
        let xs = || chords.iter().flat_map(|c| [c.a.x, c.b.x]).map(i64::from);
        let ys = || chords.iter().flat_map(|c| [c.a.y, c.b.y]).map(i64::from);
        let (left, top) = (xs().min().unwrap_or(0), ys().min().unwrap_or(0));
        let (width, height) = (xs().max().unwrap_or(0) - left, ys().max().unwrap_or(0) - top);
        let count = (chords.len() as i64).max(1);
        let reach: i64 = chords.iter().map(|c| i64::from(c.a.x.abs_diff(c.b.x).max(c.a.y.abs_diff(c.b.y)))).sum();
        let mut cell = (reach / count).max(1);
        while (width / cell + 1) * (height / cell + 1) > CELLS_PER_CHORD * count + 16 {
            cell = cell * 3 / 2 + 1;
        }
        Grid { left, top, cell, columns: width / cell + 1, rows: height / cell + 1 }
    }

    /// The chords of each cell that holds two or more, by index.
    fn cells(&self, chords: &[Chord]) -> Vec<Vec<u32>> {
        let mut cells = vec![Vec::new(); (self.columns * self.rows) as usize];
        for (i, chord) in chords.iter().enumerate() {
            self.visit(chord, |cell| cells[cell].push(i as u32));
        }
        cells.retain(|cell| cell.len() > 1);
        cells
    }

    /// Calls with every cell that the chord may cross: column by column, the rows between its heights at the column's
    /// two sides, a micrometre wider against rounding.
    fn visit(&self, chord: &Chord, mut call: impl FnMut(usize)) {
        let (a, b) = if chord.a.x <= chord.b.x { (chord.a, chord.b) } else { (chord.b, chord.a) };
        let (ax, ay, bx, by) = (i64::from(a.x), i64::from(a.y), i64::from(b.x), i64::from(b.y));
        let height =
            |x: i64| if bx == ax { by } else { ay + ((by - ay) as i128 * (x - ax) as i128 / (bx - ax) as i128) as i64 };
        for column in (ax - self.left) / self.cell..=(bx - self.left) / self.cell {
            let from = self.left + column * self.cell;
            let (x0, x1) = (from.max(ax), (from + self.cell).min(bx));
            let (y0, y1) = if ax == bx { (ay, by) } else { (height(x0), height(x1)) };
            let row = |y: i64| ((y - self.top) / self.cell).clamp(0, self.rows - 1);
            for row in row(y0.min(y1) - 1)..=row(y0.max(y1) + 1) {
                call((row * self.columns + column) as usize);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p(x: i32, y: i32) -> Point {
        Point::new(x, y)
    }

    #[test]
    fn a_ring_is_closed_by_its_last_chord() {
        let ring = [p(0, 0), p(10, 0), p(10, 10), p(0, 10)];
        assert!(inside_rings([&ring[..]], p(5, 5)));
        assert!(!inside_rings([&ring[..]], p(-5, 5)) && !inside_rings([&ring[..]], p(0, 5)));
    }

    #[test]
    fn lines_may_share_ends_only() {
        assert_eq!(touches(&[vec![p(0, 0), p(10, 0)], vec![p(10, 0), p(10, 10)]]), vec![]);
        assert_eq!(touches(&[vec![p(0, 0), p(20, 0)], vec![p(10, 0), p(10, 10)]]), vec![(0, 1, p(10, 0))]);
        assert_eq!(touches(&[vec![p(0, 0), p(10, 10)], vec![p(0, 10), p(10, 0)]]), vec![(0, 1, p(5, 5))]);
    }

    #[test]
    fn a_fold_touches() {
        assert!(!touches(&[vec![p(0, 0), p(10, 0), p(4, 0)]]).is_empty());
        assert!(!touches(&[vec![p(0, 0), p(10, 0)], vec![p(0, 0), p(5, 0), p(5, 5)]]).is_empty());
        assert_eq!(touches(&[vec![p(0, 0), p(10, 0), p(10, 10), p(0, 0)]]), vec![]);
        assert_eq!(touches(&[vec![p(0, 0), p(9, 9), p(0, 9), p(9, 0)]]).len(), 1);
    }

    #[test]
    fn a_ring_may_be_touched_nowhere() {
        let ring = vec![p(0, 0), p(10, 0), p(10, 10), p(0, 0)];
        assert_eq!(touches(&[ring.clone(), vec![p(10, 0), p(20, 0)]]), vec![(0, 1, p(10, 0))]);
        assert!(inside([&ring[..]], p(8, 4)) && !inside([&ring[..]], p(4, 8)) && !inside([&ring[..]], p(10, 5)));
    }

    proptest! {
        // Every pair of chords by the plain rule, without a grid.
        #[test]
        fn the_grid_misses_nothing(lines in prop::collection::vec(
            prop::collection::vec((0..60i32, 0..60i32).prop_map(|(x, y)| p(x * x, y * y)), 2..6), 2..12)) {
            let chords = chords(&lines);
            let mut plain = Vec::new();
            for (i, a) in chords.iter().enumerate() {
                for b in &chords[i + 1..] {
                    plain.extend(a.touch(b).map(|at| (a.line.min(b.line), a.line.max(b.line), at)));
                }
            }
            plain.sort_unstable();
            plain.dedup();
            prop_assert_eq!(touches(&lines), plain);
        }
    }
}
