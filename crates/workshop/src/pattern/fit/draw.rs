//! From chains to curves: junctions moved to where the smoothed borders meet, strands smoothed and fitted, each as tight as
//! its level asks.
//!
//! Level 0 has the whole tube; each level halves it. At the last level a border is the line through its crack midpoints, and
//! its junctions stand on their nodes: these lines never touch, since around a node they stay in the cell of that node, and
//! a cell holds one junction, one chain, or two chains half a pixel's diagonal apart.

use std::collections::BTreeMap;

use kurbo::Vec2;
use measure::plane::{Cubic, Point};
use rayon::prelude::*;

use super::corner::corners;
use super::cracks::{Chain, Cracks};
use super::cubics::{Curve, Limits, Stretch, unit};
use super::meet::{self, Incoming, THROUGH};
use super::review::corners_again;
use super::round::circle;
use super::smooth::{Line, Reach, smooth};
use super::strand::{Of, Partners, Rail, Scale, Strand, partners, strands};
use crate::work::Size;

/// The level at which a border is the line through its crack midpoints.
pub const LAST_LEVEL: u8 = 3;
/// A smoothed line may pass this far from its crack midpoints at most, µm: the bar is 250, less the way between two midpoints.
const TUBE_UM: f64 = 215.0;
/// And a cubic this far from the line through them, which cuts the corners of the cracks.
const CUBIC_TUBE_UM: f64 = 238.0;
/// The tube for fine pixels: half a pixel for the staircase and this much for the picture's noise, µm. Wider loses
/// small shapes, narrower spends cubics on noise.
const NOISE_UM: f64 = 125.0;
/// How far a cubic may pass from the smoothed line of a clean edge: this much, and a share of a pixel for what is left of the
/// staircase. Wider, and a circle is no longer round.
const SHAPE_UM: f64 = 20.0;
const SHAPE_PIXELS: f64 = 0.1;
/// The same where the edge is ragged or sharply bent: there the smoothed line is no better known. Against 110: 5 % fewer cubics.
const RAGGED_UM: f64 = 180.0;
/// What a curve may pass beyond half a pixel from the midpoints of a clean edge, for an end that is slightly off.
const STAIRCASE_UM: f64 = 20.0;
/// Waves shorter than this are smoothed away within the tube, µm. Against 9,000 there are 8 % more cubics at 5,000; at 12,000 the tube brings
/// some back.
const CUTOFF_UM: f64 = 8000.0;
/// The same along clean edges, in pixels: their staircase has long waves where it is nearly level or nearly diagonal.
const CLEAN_CUTOFF_PIXELS: [f64; 2] = [85.0, 45.0];
/// The same when looking for corners, which a longer one would round.
const CORNER_CUTOFF_UM: f64 = 2500.0;
/// A junction moves by at most this share of a pixel for each crack of its shortest border, so that no two change places.
const JUNCTION_SHARE: f64 = 0.4;
/// And at most this many pixels.
const MOST_PIXELS: f64 = 1.2;
/// A junction moves no further than this from the crack midpoints beside it, µm.
const NEAR_UM: f64 = 235.0;
/// Or, where pixels are coarse, this many of them: a node itself is half a pixel away, and below that no junction would move.
const NEAR_PIXELS: f64 = 0.75;
/// Half the length over which the direction of a strand is taken where it runs through a junction, µm.
const THROUGH_UM: f64 = 1500.0;

/// How often corners are looked at again at most.
const REVIEWS: usize = 3;

/// All that is known while fitting.
pub struct Drawing<'a> {
    /// What is drawn.
    pub cracks: &'a Cracks,
    scale: Scale,
    panel: Size,
    partners: Partners,
    /// By chain, the midpoints that are corners.
    corners: Vec<Vec<usize>>,
    /// By chain whose corners were changed by a look at its curve, those that it had at first.
    first_corners: BTreeMap<usize, Vec<usize>>,
    /// By junction, where the smoothed borders meet.
    meetings: Vec<Point>,
    /// By chain.
    pub levels: Vec<u8>,
    /// By chain.
    pub curves: Vec<Vec<Cubic>>,
    drawn: BTreeMap<Strand, Vec<(u8, Option<Point>)>>,
}

impl<'a> Drawing<'a> {
    /// Finds corners and junctions; nothing is drawn yet.
    pub fn new(cracks: &'a Cracks, scale: Scale, panel: Size) -> Drawing<'a> {
        let count = cracks.chains.len();
        let mut drawing = Drawing {
            cracks,
            scale,
            panel,
            partners: partners(cracks, scale),
            corners: vec![Vec::new(); count],
            first_corners: BTreeMap::new(),
            meetings: cracks.nodes.iter().map(|node| snap(scale.node(*node))).collect(),
            levels: vec![0; count],
            curves: vec![Vec::new(); count],
            drawn: BTreeMap::new(),
        };
        drawing.look();
        drawing.review();
        drawing
    }

    /// Draws what changed since the last time; which chains were drawn.
    pub fn draw(&mut self) -> Vec<bool> {
        let mut changed = vec![false; self.levels.len()];
        let all = strands(self.cracks, &self.partners, |chain| self.levels[chain] < LAST_LEVEL);
        let fresh: Vec<Strand> =
            all.into_iter().filter(|strand| self.drawn.get(strand) != Some(&self.key(strand))).collect();
        let drawn: Vec<_> = fresh.par_iter().map(|strand| self.curves_of(strand)).collect();
        for (strand, curves) in fresh.into_iter().zip(drawn) {
            self.drawn.insert(strand.clone(), self.key(&strand));
            for (chain, curve) in curves {
                changed[chain] = true;
                self.curves[chain] = curve;
            }
        }
        for (index, chain) in self.cracks.chains.iter().enumerate().filter(|(_, chain)| chain.is_edge()) {
            let curve = self.edge(chain);
            changed[index] = curve != self.curves[index];
            self.curves[index] = curve;
        }
        changed
    }

    /// Draws, and draws again where a look at the curves changes corners.
    fn review(&mut self) {
        let mut barred = vec![Vec::new(); self.curves.len()];
        for _ in 0..REVIEWS {
            let changed = self.draw();
            let looked: Vec<_> = (changed.par_iter().zip(barred.par_iter_mut()).enumerate())
                .map(|(index, (changed, barred))| {
                    let chain = &self.cracks.chains[index];
                    if !changed || chain.is_edge() {
                        return None;
                    }
                    let middles: Vec<Vec2> = chain.path.windows(2).map(|w| self.scale.middle(w[0], w[1])).collect();
                    corners_again((&self.curves[index], chain.ends.is_none()), &middles, &self.corners[index], barred)
                })
                .collect();
            let mut again = false;
            for (index, corners) in looked.into_iter().enumerate() {
                let Some(corners) = corners else { continue };
                let before = self.turn_at(index, corners);
                self.first_corners.entry(index).or_insert(before);
                again = true;
            }
            if !again {
                return;
            }
        }
    }

    /// Gives a chain other corners, so that it is drawn again; the ones it had.
    fn turn_at(&mut self, chain: usize, corners: Vec<usize>) -> Vec<usize> {
        self.drawn.retain(|strand, _| strand.parts.iter().all(|(part, _)| *part != chain));
        std::mem::replace(&mut self.corners[chain], corners)
    }

    /// Where a junction stands: on its node as soon as a border there is drawn at the last level.
    pub fn junction(&self, node: usize) -> Point {
        self.meetings[node]
    }

    /// Draws a chain tighter the next time: by its first corners where it has others, else a level up; whether that was
    /// possible.
    pub fn raise(&mut self, chain: usize) -> bool {
        if self.cracks.chains[chain].is_edge() || self.levels[chain] == LAST_LEVEL {
            return false;
        }
        if let Some(first) = self.first_corners.remove(&chain) {
            self.turn_at(chain, first);
            return true;
        }
        self.levels[chain] += 1;
        if self.levels[chain] == LAST_LEVEL {
            for node in self.cracks.chains[chain].ends.into_iter().flatten() {
                self.meetings[node] = snap(self.scale.node(self.cracks.nodes[node]));
            }
        }
        true
    }

    /// What a strand's curves rest on.
    fn key(&self, strand: &Strand) -> Vec<(u8, Option<Point>)> {
        let place = |chain: usize, end: usize| self.cracks.chains[chain].ends.map(|ends| self.junction(ends[end]));
        strand
            .parts
            .iter()
            .flat_map(|(c, _)| [(self.levels[*c], place(*c, 0)), (self.levels[*c], place(*c, 1))])
            .collect()
    }

    /// Never under half a pixel at first: the cracks place a border no better, and a narrower tube would saw their staircase.
    /// So where a pixel is over 0.43 mm, borders may pass further than the bar from the midpoints.
    fn tube(&self, level: u8) -> f64 {
        let half = 0.5 * self.scale.pixel();
        TUBE_UM.min(half + NOISE_UM).max(half) / f64::from(1 << level)
    }

    /// Corners first, then where the smoothed strands pass or end at each junction.
    fn look(&mut self) {
        let all = strands(self.cracks, &self.partners, |_| true);
        let looked: Vec<_> = all
            .par_iter()
            .map(|strand| {
                let rail = strand.rail(self.cracks, self.scale);
                let rough = smooth(&self.line(strand, &rail, false), self.reach([CORNER_CUTOFF_UM; 3])).0;
                let mut line = self.line(strand, &rail, false);
                for corner in corners(&rough, strand.closed) {
                    line.kink[corner] = matches!(rail.of[corner], Of::Mid(..));
                }
                let points = smooth(&line, self.reach(self.cutoffs())).0;
                (rail, line.kink, points, strand.closed)
            })
            .collect();
        let mut seen: Vec<Vec<Incoming>> = vec![Vec::new(); self.cracks.nodes.len()];
        for (rail, kink, points, closed) in looked {
            for (i, of) in rail.of.iter().enumerate() {
                match of {
                    Of::Mid(chain, middle) if kink[i] => self.corners[*chain].push(*middle),
                    Of::Node(node) if closed || (i > 0 && i + 1 < points.len()) => {
                        seen[*node].extend(through(&points, i))
                    }
                    Of::Node(node) => seen[*node].extend(self.ending(&rail, &kink, &points, i)),
                    Of::Mid(..) => (),
                }
            }
        }
        self.meet(&seen);
    }

    /// An open strand's end, looked at from its junction.
    fn ending(&self, rail: &Rail, kink: &[bool], smoothed: &[Vec2], at: usize) -> Option<Incoming> {
        let count = rail.points.len();
        let from_end = |k: usize| if at == 0 { k } else { count - 1 - k };
        let free = (1..count - 1).take_while(|k| !kink[from_end(*k)] && matches!(rail.of[from_end(*k)], Of::Mid(..)));
        let middles: Vec<Vec2> = free.map(|k| rail.points[from_end(k)]).collect();
        meet::end(&middles, rail.points[at], self.scale.pixel()).or_else(|| {
            let way = smoothed[from_end(middles.len().clamp(1, 6))] - smoothed[at];
            Some(Incoming { at: smoothed[at], along: unit(way)?, weight: 1.0 })
        })
    }

    /// Moves each junction to where its borders meet, a bounded way.
    fn meet(&mut self, seen: &[Vec<Incoming>]) {
        let mut arriving: Vec<Vec<(usize, bool)>> = vec![Vec::new(); seen.len()];
        for (index, chain) in self.cracks.chains.iter().enumerate() {
            for (end, node) in chain.ends.into_iter().flatten().enumerate() {
                arriving[node].push((index, end == 1));
            }
        }
        for (node, seen) in seen.iter().enumerate() {
            let home = self.scale.node(self.cracks.nodes[node]);
            let shortest = arriving[node].iter().map(|a| self.cracks.chains[a.0].path.len() - 1).min().unwrap_or(0);
            let most = (JUNCTION_SHARE * self.scale.pixel() * shortest as f64).min(MOST_PIXELS * self.scale.pixel());
            let step = meet::step(home, seen, self.edge_at(node));
            let step = step * (most / step.hypot2().sqrt().max(most));
            let holds = |share: &f64| arriving[node].iter().all(|a| self.is_near(*a, home + step * *share));
            self.meetings[node] = snap(
                home + step * [1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1].into_iter().find(holds).unwrap_or(0.0),
            );
        }
    }

    /// Whether a place is near one of the first crack midpoints of a chain.
    fn is_near(&self, (chain, end): (usize, bool), place: Vec2) -> bool {
        let chain = &self.cracks.chains[chain];
        let count = chain.path.len() - 1;
        let middles = (0..count.min(3)).map(|i| if end { count - 1 - i } else { i });
        let far = |i: usize| (self.scale.middle(chain.path[i], chain.path[i + 1]) - place).hypot2();
        let near = NEAR_UM.max(NEAR_PIXELS * self.scale.x.max(self.scale.y));
        chain.is_edge() || middles.map(far).any(|far| far <= near * near)
    }

    /// The direction of the frame at a junction on it.
    fn edge_at(&self, node: usize) -> Option<Vec2> {
        let at = snap(self.scale.node(self.cracks.nodes[node]));
        if at.y == 0 || at.y == self.panel.height.0 {
            Some(Vec2::new(1.0, 0.0))
        } else if at.x == 0 || at.x == self.panel.width.0 {
            Some(Vec2::new(0.0, 1.0))
        } else {
            None
        }
    }

    /// The line to smooth. `pinned`: junctions stand where they stand and corners are known.
    fn line(&self, strand: &Strand, rail: &Rail, pinned: bool) -> Line {
        let mut line = Line {
            points: rail.points.clone(),
            radius: Vec::new(),
            kink: vec![false; rail.of.len()],
            closed: strand.closed,
        };
        for (i, of) in rail.of.iter().enumerate() {
            match of {
                Of::Node(_) if !pinned => line.radius.push(f64::INFINITY),
                Of::Node(node) => {
                    line.points[i] = float(self.junction(*node));
                    line.radius.push(0.0);
                }
                Of::Mid(chain, middle) => {
                    line.radius.push(self.tube(self.levels[*chain]));
                    line.kink[i] = pinned && self.corners[*chain].contains(middle);
                }
            }
        }
        line
    }

    /// The curves of a strand's chains, each from its own start to its own end.
    fn curves_of(&self, strand: &Strand) -> Vec<(usize, Vec<Cubic>)> {
        if let [(chain, _)] = strand.parts[..]
            && self.levels[chain] == LAST_LEVEL
        {
            return vec![(chain, self.through_middles(&self.cracks.chains[chain]))];
        }
        let rail = strand.rail(self.cracks, self.scale);
        let line = self.line(strand, &rail, true);
        let (points, clean) = smooth(&line, self.reach(self.cutoffs()));
        let points = held(&line, points);
        let far_corner = float(Point::new(self.panel.width.0, self.panel.height.0));
        let limits = Limits { near_corner: Vec2::ZERO, far_corner, staircase: self.staircase() };
        let shape = SHAPE_UM + SHAPE_PIXELS * self.scale.pixel();
        let shape = clean.iter().map(|clean| if *clean { shape } else { RAGGED_UM }).collect();
        let path = Path::new(&rail, &line, points, (shape, limits));
        if path.is_round() {
            let ring = circle(&path.line.points, limits.staircase).unwrap_or_else(|| path.round());
            return vec![(strand.parts[0].0, ring.into_iter().map(|c| snapped(&c)).collect())];
        }
        let mut curves: BTreeMap<usize, Vec<Cubic>> = BTreeMap::new();
        for (chain, cubics) in path.stretches() {
            curves.entry(chain).or_default().extend(cubics.iter().map(snapped));
        }
        for (chain, backwards) in &strand.parts {
            if *backwards {
                let curve = curves.get_mut(chain).expect("every part was fitted");
                *curve = curve.iter().rev().map(Cubic::reversed).collect();
            }
        }
        curves.into_iter().collect()
    }

    fn cutoffs(&self) -> [f64; 3] {
        let [long, middle] = CLEAN_CUTOFF_PIXELS.map(|pixels| (pixels * self.scale.pixel()).max(CUTOFF_UM));
        [long, middle, CUTOFF_UM]
    }

    fn reach(&self, cutoffs: [f64; 3]) -> Reach {
        Reach { cutoffs, staircase: self.staircase() }
    }

    /// How far the midpoints of a clean edge lie from it at most.
    fn staircase(&self) -> f64 {
        0.5 * self.scale.x.max(self.scale.y) + STAIRCASE_UM
    }

    /// The line through the crack midpoints, from node to node.
    fn through_middles(&self, chain: &Chain) -> Vec<Cubic> {
        let mut points: Vec<Point> = chain.path.windows(2).map(|w| snap(self.scale.middle(w[0], w[1]))).collect();
        match chain.ends {
            Some(ends) => {
                points.insert(0, self.junction(ends[0]));
                points.push(self.junction(ends[1]));
            }
            None => points.push(points[0]),
        }
        points.windows(2).map(|w| Cubic::straight(w[0], w[1])).collect()
    }

    /// A border on the frame: straight from corner to corner of the panel.
    fn edge(&self, chain: &Chain) -> Vec<Cubic> {
        let last = chain.path.len() - 1;
        let bends = (1..last).filter(|i| {
            let [a, b, c] = [chain.path[i - 1], chain.path[*i], chain.path[i + 1]];
            a[0] != c[0] && a[1] != c[1] && b != a
        });
        let mut points: Vec<Point> = bends.map(|i| snap(self.scale.node(chain.path[i]))).collect();
        let ends = chain.ends.map(|ends| ends.map(|node| self.junction(node)));
        let [start, end] = ends.unwrap_or([snap(self.scale.node(chain.path[0])); 2]);
        points.insert(0, start);
        points.push(end);
        points.windows(2).map(|w| Cubic::straight(w[0], w[1])).collect()
    }
}

/// A strand where it runs through a junction.
fn through(points: &[Vec2], at: usize) -> Option<Incoming> {
    let around = |by: usize| points[(at + by) % points.len()];
    let reach = 4.min(points.len() / 2);
    Some(Incoming { at: points[at], along: unit(around(reach) - around(points.len() - reach))?, weight: THROUGH })
}

/// A cubic on whole µm. A handle so short that the nearest whole µm would turn it is drawn on by a few µm, to where whole µm tell its
/// direction: the cubic beside it has the same one.
pub fn snapped(curve: &Curve) -> Cubic {
    let [start, first, second, end] = *curve;
    let [from, to] = [start, end].map(snap);
    Cubic([from, handle(from, start, first), handle(to, end, second), to])
}

/// Longer handles are turned by less than `TURNED` in any case, µm.
const SHORT_UM: f64 = 60.0;
/// As far may a handle be turned by whole µm (sine of the angle: 0.85 degrees).
const TURNED: f64 = 0.0148;

/// The end of the handle from `start` to `end` when it begins on a whole µm.
fn handle(from: Point, start: Vec2, end: Vec2) -> Point {
    let length = (end - start).hypot2().sqrt();
    if !(1.0..SHORT_UM).contains(&length) {
        return snap(end);
    }
    let way = (end - start) / length;
    let turned = |drawn: &Vec2| (drawn.cross(way) / drawn.hypot2().sqrt()).abs() <= TURNED;
    let longer = (0..=(SHORT_UM - length) as i32).map(|more| way * (length + f64::from(more)));
    let mut whole = longer.map(|drawn| Vec2::new(drawn.x.round(), drawn.y.round()));
    let told = whole.find(turned).unwrap_or(way * SHORT_UM);
    snap(float(from) + told)
}

/// The nearest whole µm.
pub fn snap(p: Vec2) -> Point {
    Point::new(p.x.round() as i32, p.y.round() as i32)
}

fn float(p: Point) -> Vec2 {
    Vec2::new(f64::from(p.x), f64::from(p.y))
}

/// Brings what the rounds of smoothing left outside back to the tube; pinned points exactly.
fn held(line: &Line, mut points: Vec<Vec2>) -> Vec<Vec2> {
    for (i, point) in points.iter_mut().enumerate() {
        let off = *point - line.points[i];
        let far = off.hypot2().sqrt();
        if far > line.radius[i] {
            *point = line.points[i] + off * (line.radius[i] / far);
        }
    }
    points
}

/// How far cubics may pass where the smoothed line may pass so far.
fn cubic_tube(tube: f64) -> f64 {
    if tube.is_finite() { (tube * CUBIC_TUBE_UM / TUBE_UM).min(CUBIC_TUBE_UM).max(tube) } else { tube }
}

/// A smoothed strand from knot to knot.
struct Path<'a> {
    rail: &'a Rail,
    line: &'a Line,
    points: Vec<Vec2>,
    /// Indices in order of the walk; a closed strand repeats its first.
    order: Vec<usize>,
    /// By point, how far a cubic may pass from the smoothed line.
    shape: Vec<f64>,
    limits: Limits,
}

impl<'a> Path<'a> {
    /// A closed strand begins at a junction, else at a corner, else at its first point.
    fn new(rail: &'a Rail, line: &'a Line, points: Vec<Vec2>, (shape, limits): (Vec<f64>, Limits)) -> Path<'a> {
        let count = points.len();
        let node = (0..count).find(|i| matches!(rail.of[*i], Of::Node(_)));
        let first = node.or_else(|| (0..count).find(|i| line.kink[*i])).unwrap_or(0);
        let order =
            if line.closed { (first..=first + count).map(|i| i % count).collect() } else { (0..count).collect() };
        Path { rail, line, points, order, shape, limits }
    }

    /// The chain and the cubics of each stretch between knots.
    fn stretches(&self) -> Vec<(usize, Vec<Curve>)> {
        let last = self.order.len() - 1;
        let is_knot = |k: &usize| {
            let i = self.order[*k];
            *k == 0 || *k == last || self.line.kink[i] || matches!(self.rail.of[i], Of::Node(_))
        };
        let knots: Vec<usize> = (0..=last).filter(is_knot).collect();
        knots.windows(2).map(|w| self.stretch(w[0], w[1])).collect()
    }

    fn stretch(&self, from: usize, to: usize) -> (usize, Vec<Curve>) {
        let tangents = [self.tangent(from), self.tangent(to)];
        let chain = self.order[from..=to].iter().find_map(|i| match self.rail.of[*i] {
            Of::Mid(chain, _) => Some(chain),
            Of::Node(_) => None,
        });
        (chain.expect("a crack lies between two knots"), self.cut(from, to, tangents).cubics())
    }

    fn cut(&self, from: usize, to: usize, tangents: [Option<Vec2>; 2]) -> Stretch {
        let order = &self.order[from..=to];
        let pick = |of: &[Vec2]| order.iter().map(|i| of[*i]).collect();
        let size = |of: &[f64]| order.iter().map(|i| of[*i]).collect();
        Stretch {
            points: pick(&self.points),
            given: pick(&self.line.points),
            radius: order.iter().map(|i| cubic_tube(self.line.radius[*i])).collect(),
            shape: size(&self.shape),
            limits: self.limits,
            tangents,
        }
    }

    /// The cubics of a ring without a corner. It begins in the middle of a first cubic, since there place and direction rest
    /// on the whole cubic and not on a few cracks.
    fn round(mut self) -> Vec<Curve> {
        let last = self.order.len() - 1;
        let tangent = match self.cut(0, last, [None; 2]).close().first_joint() {
            Some((index, at, tangent)) => {
                self.points[self.order[index]] = at;
                self.order = (index..=index + last).map(|i| self.order[i % last]).collect();
                tangent
            }
            None => self.tangent(0),
        };
        self.cut(0, last, [tangent; 2]).ring()
    }

    /// Whether it is a ring without junction or corner.
    fn is_round(&self) -> bool {
        self.line.closed && !self.line.kink.contains(&true) && !self.rail.of.iter().any(|of| matches!(of, Of::Node(_)))
    }

    /// The direction at a knot where the strand runs on smoothly.
    fn tangent(&self, at: usize) -> Option<Vec2> {
        let last = self.order.len() - 1;
        let is_end = at == 0 || at == last;
        if self.line.kink[self.order[at]] || (is_end && !self.line.closed) {
            return None;
        }
        unit(self.reach(at, 1) - self.reach(at, -1))
    }

    /// The point about [`THROUGH_UM`] before or after a knot, no further than the next corner or end.
    fn reach(&self, at: usize, step: isize) -> Vec2 {
        let last = self.order.len() - 1;
        let (mut k, mut far, mut here) = (at, 0.0, self.points[self.order[at]]);
        while far < THROUGH_UM {
            k = match (k, step) {
                (0, -1) if self.line.closed => last - 1,
                (0, -1) => break,
                (k, 1) if k == last => {
                    if self.line.closed {
                        1
                    } else {
                        break;
                    }
                }
                (k, step) => k.wrapping_add_signed(step),
            };
            let next = self.points[self.order[k]];
            far += (next - here).hypot2().sqrt();
            here = next;
            if self.line.kink[self.order[k]] || k == at {
                break;
            }
        }
        here
    }
}
