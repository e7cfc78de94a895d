//! The cracks between pixels of different labels, gathered into chains between junctions.
//!
//! A node is a corner of pixels; a crack is the side between two pixels of different labels, the frame included. Where
//! three cracks meet, or four different pixels, there is a junction. At a checkerboard, two pixels of one label that
//! face each other over a corner are taken as joined, and two chains pass the node apart; of two such pairs the label
//! with more pixels is joined. Labels are 4-connected, so the choice never parts an area.

use crate::picture::Labels;

/// East, south, west, north: the direction `d` leads to `d`'s step, and `d ^ 2` leads back.
const STEPS: [(i32, i32); 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];

/// One border's cracks.
#[derive(Debug)]
pub struct Chain {
    /// The nodes from start to end; a ring ends where it began.
    pub path: Vec<[u32; 2]>,
    /// The junctions at both ends by index, or none for a ring.
    pub ends: Option<[usize; 2]>,
    /// The label to the left, `None` beyond the frame.
    pub left: Option<u32>,
    /// The label to the right.
    pub right: Option<u32>,
}

impl Chain {
    /// Whether it lies on the frame.
    pub fn is_edge(&self) -> bool {
        self.left.is_none() || self.right.is_none()
    }
}

/// Every chain of a label map.
#[derive(Debug)]
pub struct Cracks {
    /// The junctions in reading order.
    pub nodes: Vec<[u32; 2]>,
    /// The chains in reading order of their uppermost node.
    pub chains: Vec<Chain>,
}

/// Gathers the cracks of a label map of at least one pixel.
pub fn cracks(labels: &Labels) -> Cracks {
    let mut walk = Walk::over(labels);
    let nodes = walk.junctions();
    let mut chains = Vec::new();
    for (index, node) in nodes.iter().enumerate() {
        for way in 0..4 {
            if walk.fresh(*node, way) {
                chains.push(walk.chain(*node, way, Some((index, &nodes))));
            }
        }
    }
    for node in walk.unwalked() {
        for way in 0..4 {
            if walk.fresh(node, way) {
                chains.push(walk.chain(node, way, None));
            }
        }
    }
    chains.sort_by_cached_key(|chain| chain.path.iter().map(|[x, y]| [*y, *x]).min().map(|top| (top, chain.path[1])));
    Cracks { nodes, chains }
}

struct Walk<'a> {
    labels: &'a Labels,
    /// By label, how many pixels it has.
    sizes: Vec<u32>,
    /// By node: the low four bits say which ways have a crack, the high four which of them were walked.
    ways: Vec<u8>,
    columns: usize,
}

impl<'a> Walk<'a> {
    fn over(labels: &'a Labels) -> Walk<'a> {
        let (width, height) = (labels.width as usize, labels.height as usize);
        let columns = width + 1;
        let mut ways = vec![0u8; columns * (height + 1)];
        for y in 0..=height {
            let (above, below) = (y.checked_sub(1).map(|y| row(labels, y)), (y < height).then(|| row(labels, y)));
            let nodes = &mut ways[y * columns..(y + 1) * columns];
            for x in 0..width {
                if above.map(|r| r[x]) != below.map(|r| r[x]) {
                    nodes[x] |= 1;
                    nodes[x + 1] |= 4;
                }
            }
        }
        for y in 0..height {
            let pixels = row(labels, y);
            let (upper, lower) = ways[y * columns..(y + 2) * columns].split_at_mut(columns);
            for x in 0..=width {
                if x == 0 || x == width || pixels[x - 1] != pixels[x] {
                    upper[x] |= 2;
                    lower[x] |= 8;
                }
            }
        }
        Walk { labels, sizes: sizes(labels), ways, columns }
    }

    fn at(&self, [x, y]: [u32; 2]) -> usize {
        y as usize * self.columns + x as usize
    }

    fn node(&self, at: usize) -> [u32; 2] {
        [(at % self.columns) as u32, (at / self.columns) as u32]
    }

    fn fresh(&self, node: [u32; 2], way: usize) -> bool {
        let ways = self.ways[self.at(node)];
        ways & (1 << way) != 0 && ways & (16 << way) == 0
    }

    fn junctions(&self) -> Vec<[u32; 2]> {
        let crowded = |(at, ways): (usize, &u8)| (ways.count_ones() > 2).then_some(at);
        let nodes = self.ways.iter().enumerate().filter_map(crowded).map(|at| self.node(at));
        nodes.filter(|node| self.is_junction(*node)).collect()
    }

    fn unwalked(&self) -> Vec<[u32; 2]> {
        let open = |(at, ways): (usize, &u8)| ((ways & 15) != ways >> 4).then_some(at);
        self.ways.iter().enumerate().filter_map(open).map(|at| self.node(at)).collect()
    }

    fn is_junction(&self, node: [u32; 2]) -> bool {
        match (self.ways[self.at(node)] & 15).count_ones() {
            3 => true,
            4 => {
                let [a, b, c, d] = self.around(node);
                a != c && b != d
            }
            _ => false,
        }
    }

    /// The pixels to the north-west, north-east, south-east and south-west.
    fn around(&self, [x, y]: [u32; 2]) -> [Option<u32>; 4] {
        let pixel = |right: bool, down: bool| {
            let (x, y) = (x.checked_sub(u32::from(!right))?, y.checked_sub(u32::from(!down))?);
            (x < self.labels.width && y < self.labels.height)
                .then(|| self.labels.of[y as usize * self.labels.width as usize + x as usize])
        };
        [pixel(false, false), pixel(true, false), pixel(true, true), pixel(false, true)]
    }

    /// The way on from a node that is no junction, having come by `way`.
    fn onward(&self, node: [u32; 2], way: usize) -> usize {
        let ways = self.ways[self.at(node)] & 15;
        let back = way ^ 2;
        if ways.count_ones() == 2 {
            return (ways & !(1 << back)).trailing_zeros() as usize;
        }
        let [a, b, c, d] = self.around(node);
        let falling = a == c && (b != d || self.size(a) >= self.size(b));
        if falling { [3, 2, 1, 0][back] } else { [1, 0, 3, 2][back] }
    }

    fn size(&self, label: Option<u32>) -> u32 {
        label.map_or(0, |label| self.sizes[label as usize])
    }

    /// Walks from `start` until the next junction, or round to the start.
    fn chain(&mut self, start: [u32; 2], way: usize, from: Option<(usize, &[[u32; 2]])>) -> Chain {
        let (left, right) = self.sides(start, way);
        let (mut node, mut way, mut path) = (start, way, vec![start]);
        loop {
            node = self.step(node, way);
            path.push(node);
            if self.is_junction(node) {
                break;
            }
            way = self.onward(node, way);
            if !self.fresh(node, way) {
                break;
            }
        }
        let ends = from.map(|(index, nodes)| [index, end_index(nodes, node)]);
        Chain { path, ends, left, right }
    }

    /// Marks the crack as walked and gives its other node.
    fn step(&mut self, node: [u32; 2], way: usize) -> [u32; 2] {
        let (dx, dy) = STEPS[way];
        let next = [node[0].wrapping_add_signed(dx), node[1].wrapping_add_signed(dy)];
        let (at, to) = (self.at(node), self.at(next));
        self.ways[at] |= 16 << way;
        self.ways[to] |= 16 << (way ^ 2);
        next
    }

    /// The labels to the left and right of a crack.
    fn sides(&self, node: [u32; 2], way: usize) -> (Option<u32>, Option<u32>) {
        let [a, b, c, d] = self.around(node);
        [(b, c), (c, d), (d, a), (a, b)][way]
    }
}

fn end_index(nodes: &[[u32; 2]], node: [u32; 2]) -> usize {
    nodes.binary_search_by_key(&[node[1], node[0]], |[x, y]| [*y, *x]).expect("a chain ends at a junction")
}

fn row(labels: &Labels, y: usize) -> &[u32] {
    let width = labels.width as usize;
    &labels.of[y * width..(y + 1) * width]
}

fn sizes(labels: &Labels) -> Vec<u32> {
    let count = labels.of.iter().max().map_or(0, |most| *most as usize + 1);
    let mut sizes = vec![0; count];
    for label in &labels.of {
        sizes[*label as usize] += 1;
    }
    sizes
}
