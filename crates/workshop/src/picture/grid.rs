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
        let (x, y) = ((at % self.width) as isize, (at / self.width) as isize);
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
    let mut parts = vec![NOBODY; labels.len()];
    let mut count = 0;
    let mut stack = Vec::new();
    for first in 0..labels.len() {
        if parts[first] != NOBODY || labels[first] == NOBODY {
            continue;
        }
        parts[first] = count;
        stack.push(first);
        while let Some(at) = stack.pop() {
            for next in grid.four(at) {
                if parts[next] == NOBODY && labels[next] == labels[at] {
                    parts[next] = count;
                    stack.push(next);
                }
            }
        }
        count += 1;
    }
    (parts, count)
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
