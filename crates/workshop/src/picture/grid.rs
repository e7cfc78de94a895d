//! Neighbours on the pixel grid.

/// The label of a pixel that belongs to no region: ground, or not yet reached.
pub(super) const NOBODY: u32 = u32::MAX;

/// The size of a picture in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Grid {
    pub width: usize,
    pub height: usize,
}

impl Grid {
    pub fn new(width: u32, height: u32) -> Grid {
        Grid { width: width as usize, height: height as usize }
    }

    pub fn len(self) -> usize {
        self.width * self.height
    }

    /// The pixels above, left, right and below `at`, as far as they exist.
    #[inline]
    pub fn four(self, at: usize) -> impl Iterator<Item = usize> {
        let x = at % self.width;
        let up = at >= self.width;
        let down = at + self.width < self.len();
        let [a, b, c, d] = [
            (up, at.wrapping_sub(self.width)),
            (x > 0, at.wrapping_sub(1)),
            (x + 1 < self.width, at + 1),
            (down, at + self.width),
        ];
        [a, b, c, d].into_iter().filter(|n| n.0).map(|n| n.1)
    }

    /// The pixels around `at`, as far as they exist.
    pub fn eight(self, at: usize) -> impl Iterator<Item = usize> {
        let (x, y) = ((at % self.width) as isize, (at / self.width) as isize);
        let exists = move |(dx, dy): &(isize, isize)| {
            x + dx >= 0 && y + dy >= 0 && x + dx < self.width as isize && y + dy < self.height as isize
        };
        RING.into_iter().filter(exists).map(move |(dx, dy)| ((y + dy) * self.width as isize + x + dx) as usize)
    }

    /// Whether `at` lies on the frame.
    pub fn on_frame(self, at: usize) -> bool {
        self.to_edge(at) == 0
    }

    /// How many pixels lie between `at` and the nearest edge.
    pub fn to_edge(self, at: usize) -> usize {
        let (x, y) = (at % self.width, at / self.width);
        x.min(y).min(self.width - 1 - x).min(self.height - 1 - y)
    }

    /// The eight labels around `at`, clockwise from the one above; `NOBODY` beyond the frame.
    pub fn around(self, labels: &[u32], at: usize) -> [u32; 8] {
        let (x, y) = ((at as u32 % self.width as u32) as isize, (at as u32 / self.width as u32) as isize);
        if x > 0 && y > 0 && x + 1 < self.width as isize && y + 1 < self.height as isize {
            let [above, row, below] = [at - self.width, at, at + self.width].map(|i| &labels[i - 1..i + 2]);
            return [above[1], above[2], row[2], below[2], below[1], below[0], row[0], above[0]];
        }
        RING.map(|(dx, dy)| {
            let (x, y) = (x + dx, y + dy);
            let inside = x >= 0 && y >= 0 && x < self.width as isize && y < self.height as isize;
            if inside { labels[y as usize * self.width + x as usize] } else { NOBODY }
        })
    }
}

const RING: [(isize, isize); 8] = [(0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1)];

/// The 4-connected parts of pixels with equal labels, numbered in reading order of their first pixel, and how many.
/// Pixels of `NOBODY` stay so.
pub(super) fn components(grid: Grid, labels: &[u32]) -> (Vec<u32>, u32) {
    // Runs along the rows, each joined to those of its label that it touches in the row above (Rosenfeld and Pfaltz 1966).
    let mut runs: Vec<(usize, u32)> = Vec::new();
    let (mut above, mut start) = (0, 0);
    let mut first: Vec<u32> = Vec::new();
    for (y, row) in labels.chunks_exact(grid.width.max(1)).enumerate() {
        let (mut over, here) = (above, runs.len());
        let mut x = 0;
        for run in row.chunk_by(|a, b| a == b) {
            let (from, to, label) = (start + x, start + x + run.len(), run[0]);
            let own = runs.len() as u32;
            runs.push((to, label));
            first.push(own);
            x += run.len();
            if y == 0 || label == NOBODY {
                continue;
            }
            // Runs above that end after this one begins, up to the first that reaches as far as this one's end.
            while runs[over].0 + grid.width <= from {
                over += 1;
            }
            let mut beside = over;
            loop {
                if runs[beside].1 == label {
                    join(&mut first, beside as u32, own);
                }
                if runs[beside].0 + grid.width >= to {
                    break;
                }
                beside += 1;
            }
        }
        (above, start) = (here, start + row.len());
    }
    let (mut parts, mut count) = (vec![NOBODY; labels.len()], 0);
    let mut names = vec![NOBODY; runs.len()];
    let mut from = 0;
    for (run, &(to, label)) in runs.iter().enumerate() {
        if label != NOBODY {
            let root = root(&mut first, run as u32) as usize;
            if names[root] == NOBODY {
                names[root] = count;
                count += 1;
            }
            parts[from..to].fill(names[root]);
        }
        from = to;
    }
    (parts, count)
}

/// The first run of the part that `run` is known to belong to.
fn root(first: &mut [u32], mut run: u32) -> u32 {
    while first[run as usize] != run {
        first[run as usize] = first[first[run as usize] as usize];
        run = first[run as usize];
    }
    run
}

fn join(first: &mut [u32], one: u32, other: u32) {
    let (one, other) = (root(first, one), root(first, other));
    first[one.max(other) as usize] = one.min(other);
}

/// The parts of marked pixels that touch, also by corners, in reading order of their first pixel.
pub(super) fn touching(grid: Grid, marked: &[bool]) -> Vec<Vec<usize>> {
    let mut seen = vec![false; grid.len()];
    let mut parts = Vec::new();
    for first in (0..grid.len()).filter(|at| marked[*at]) {
        if std::mem::replace(&mut seen[first], true) {
            continue;
        }
        let mut part = vec![first];
        let mut next = 0;
        while next < part.len() {
            for near in grid.eight(part[next]).filter(|n| marked[*n]) {
                if !std::mem::replace(&mut seen[near], true) {
                    part.push(near);
                }
            }
            next += 1;
        }
        parts.push(part);
    }
    parts
}

/// The longer side of the box about some pixels.
pub(super) fn extent(grid: Grid, part: &[usize]) -> f64 {
    let side = |of: &dyn Fn(usize) -> usize| {
        let (least, most) = part.iter().map(|at| of(*at)).fold((usize::MAX, 0), |(l, m), v| (l.min(v), m.max(v)));
        most - least
    };
    side(&|at| at % grid.width).max(side(&|at| at / grid.width)) as f64
}

/// The label and the part of each pixel as one number, without a hole; pixels of `NOBODY` stay so.
pub(super) fn parted(labels: &[u32], by: &[u32]) -> Vec<u32> {
    let pair = |(label, by): (&u32, &u32)| u64::from(*label) << 32 | u64::from(*by);
    let mut pairs: Vec<u64> = labels.iter().zip(by).filter(|(l, _)| **l != NOBODY).map(pair).collect();
    pairs.sort_unstable();
    pairs.dedup();
    let name = |of: (&u32, &u32)| pairs.binary_search(&pair(of)).map_or(NOBODY, |name| name as u32);
    labels.iter().zip(by).map(name).collect()
}

/// Labels sent through `into`, numbered in reading order without a hole.
pub(super) fn number(labels: &[u32], into: &[u32]) -> (Vec<u32>, u32) {
    let mut names = vec![NOBODY; into.len()];
    let mut count = 0;
    let mut out = vec![NOBODY; labels.len()];
    for (out, label) in out.iter_mut().zip(labels).filter(|(_, l)| **l != NOBODY) {
        let name = &mut names[into[*label as usize] as usize];
        if *name == NOBODY {
            *name = count;
            count += 1;
        }
        *out = *name;
    }
    (out, count)
}
