//! Numbers beside the work, or in open shadow or ground: a boxed label with a leader that ends in a dot in its piece.
//!
//! A leader crosses no label, no other leader and no other dot, and a flag covers no border: those are walls, not prices.
//! Flags are placed greedily, pieces near the panel's edge first; one that finds no place within `REACH_MM` is left for an
//! inset. A better order could seat a few more.

use super::labels::{Block, Labels, Shown, Written};
use super::letters::Faces;
use super::lines::Lines;
use super::paper::{Rect, Spot};
use super::room::{Quad, cross, distance, enters, from_segment, inside};

/// The longest leader, mm. A longer one is lost among the borders before the eye is at its end.
const REACH_MM: f64 = 40.0;
/// White between a flag and whatever is around it, mm.
const APART_MM: f64 = 0.4;
/// What crossing a grain arrow costs, in mm of leader.
const ARROW_PRICE: f64 = 30.0;

/// What the words of a sheet stand on.
pub(super) struct Ground {
    /// Borders, flattened, on the page.
    pub borders: Vec<(Spot, Spot)>,
    /// Rings of each shadow and ground.
    pub open: Vec<Vec<Vec<Spot>>>,
    /// The panel on the page.
    pub panel: Rect,
    /// Where words may stand at all.
    pub bounds: Rect,
    /// Marks that words keep off.
    pub keep: Vec<Rect>,
}

/// A label beside its piece.
#[derive(Clone, Debug)]
pub(super) struct Flag {
    pub frame: Rect,
    pub words: Vec<Written>,
    /// From the flag's edge to the dot.
    pub leader: (Spot, Spot),
}

/// Places flags over a ground.
pub(super) struct Flags<'a> {
    ground: &'a Ground,
    lines: Lines<'a>,
}

impl<'a> Flags<'a> {
    pub fn new(ground: &'a Ground) -> Flags<'a> {
        Flags { ground, lines: Lines::new(&ground.borders, ground.bounds) }
    }

    /// Flags for the homeless; those that find no place are noted as unseated.
    pub fn place(&self, faces: &Faces, shown: &[Shown], mut homeless: Vec<usize>, labels: &mut Labels) {
        homeless.sort_by(|&a, &b| self.depth(shown[a].widest).total_cmp(&self.depth(shown[b].widest)).then(a.cmp(&b)));
        for at in homeless {
            match self.flag(faces, &shown[at], labels) {
                Some(flag) => {
                    labels.taken.push(flag.frame);
                    labels.flags.push(flag);
                }
                None => labels.unseated.push(at),
            }
        }
        labels.unseated.sort_unstable();
    }

    /// How far a place lies inside the panel.
    fn depth(&self, (x, y): Spot) -> f64 {
        let p = self.ground.panel;
        (x - p.x).min(p.right() - x).min(y - p.y).min(p.bottom() - y)
    }

    fn flag(&self, faces: &Faces, piece: &Shown, labels: &Labels) -> Option<Flag> {
        let block = Block::flag(faces, piece);
        let size = (block.w + 1.6, block.h + 1.4);
        let places = fan(piece.widest, size).into_iter().chain(beside(self.ground.panel, piece.widest, size));
        let priced = places.filter(|frame| self.free(*frame)).filter_map(|frame| {
            let leader = (nearest_on(frame, piece.widest), piece.widest);
            Some((price(labels, frame, leader)?, frame))
        });
        let (_, frame) = priced.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let words = block.written(frame.inset(0.8)).collect();
        Some(Flag { frame, words, leader: (nearest_on(frame, piece.widest), piece.widest) })
    }

    /// Whether a box stands on nothing that is sawn: beside the panel, or within shadow or ground.
    fn free(&self, frame: Rect) -> bool {
        let near = frame.inset(-APART_MM);
        if !self.ground.bounds.holds(frame) {
            return false;
        }
        !self.ground.panel.meets(near) || (!self.lines.strike(near) && self.is_open(frame.centre()))
    }

    fn is_open(&self, at: Spot) -> bool {
        self.ground.open.iter().any(|rings| rings.iter().filter(|ring| inside(ring, at)).count() % 2 == 1)
    }
}

/// mm of leader and what it crosses; `None` where it may not stand.
fn price(labels: &Labels, frame: Rect, leader: (Spot, Spot)) -> Option<f64> {
    let near = frame.inset(-APART_MM);
    let long = distance(leader.0, leader.1);
    let barred = long > REACH_MM
        || near.contains(leader.1)
        || labels.taken.iter().any(|taken| near.meets(*taken) || enters(taken.inset(-0.2), leader.0, leader.1))
        || labels.flags.iter().any(|flag| {
            cross(flag.leader, leader)
                || enters(near, flag.leader.0, flag.leader.1)
                || beside_line(flag.leader, leader.1)
                || beside_line(leader, flag.leader.1)
        });
    let arrows = labels.arrow_quads.iter().filter(|quad| hits(near, quad) || strikes(leader, quad)).count();
    (!barred).then_some(long + ARROW_PRICE * arrows as f64)
}

/// Whether a dot would touch a leader.
fn beside_line(leader: (Spot, Spot), dot: Spot) -> bool {
    from_segment(leader, dot) < 0.8
}

/// Whether a box meets a turned one.
pub(super) fn hits(rect: Rect, quad: &Quad) -> bool {
    inside(quad, rect.centre()) || (0..4).any(|i| enters(rect, quad[i], quad[(i + 1) % 4]))
}

fn strikes(leader: (Spot, Spot), quad: &Quad) -> bool {
    (0..4).any(|i| cross(leader, (quad[i], quad[(i + 1) % 4])))
}

/// Places around a dot, near ones first.
fn fan(dot: Spot, (w, h): (f64, f64)) -> Vec<Rect> {
    let mut places = Vec::new();
    for reach in [3.0, 4.5, 6.0, 8.5, 11.0, 14.0, 18.0, 23.0, 29.0, 36.0] {
        for step in 0..24 {
            let (s, c) = libm::sincos(f64::from(step) * std::f64::consts::PI / 12.0);
            places.push(Rect::around((dot.0 + c * (reach + w / 2.0), dot.1 + s * (reach + h / 2.0)), w, h));
        }
    }
    places
}

/// Places in two rows along each side of the panel, near the dot.
fn beside(panel: Rect, dot: Spot, (w, h): (f64, f64)) -> Vec<Rect> {
    let mut places = Vec::new();
    for row in 0..2 {
        let away = |size: f64| 1.4 + f64::from(row) * (size + 1.4) + size / 2.0;
        for step in -16..=16 {
            let (x, y) = (dot.0 + f64::from(step) * 1.5, dot.1 + f64::from(step) * 1.5);
            let around = [(x, panel.y - away(h)), (x, panel.bottom() + away(h))];
            let aside = [(panel.x - away(w), y), (panel.right() + away(w), y)];
            places.extend(around.into_iter().chain(aside).map(|at| Rect::around(at, w, h)));
        }
    }
    places
}

fn nearest_on(rect: Rect, to: Spot) -> Spot {
    (to.0.clamp(rect.x, rect.right()), to.1.clamp(rect.y, rect.bottom()))
}
