//! The subject by marks: what the maker strokes to keep and to drop, followed out to the edges of the picture.
//!
//! After Rother, Kolmogorov and Blake, *GrabCut* (2004), on leaves of the watershed in place of pixels: the colours of both
//! sides as mixtures of Gaussians, a minimum cut between them that likes edges, both repeated until nothing changes; then
//! pixel by pixel in a band along the border. Two things are added. What marks to drop shut off from every mark to keep is
//! ground, so a ring drops all beyond it. And a leaf leans to the side from which it is reached over the lower step of
//! colour, so what a ring crosses is not kept for being of a new colour. A round of marks refines what the rounds before it
//! gave. It fails where subject and ground share their colours and no edge runs between them: further marks are for that.

mod band;
mod leaves;
mod mixture;
mod moments;
mod nearness;

use measure::plane::Point;
use measure::solve::Cut;

use self::leaves::Leaves;
use self::mixture::{Mixture, UNSEEN_GROUND, UNSEEN_SUBJECT};
use super::even::{self, Even};
use super::subject::without_specks;
use super::{Raster, read::OPAQUE};
use crate::work::{Size, SubjectMarks};

/// Weight of the border against colours (Rother, Kolmogorov and Blake: 50 between neighbouring pixels).
const STIFF: f64 = 50.0;

/// What a leaf that is near to one side alone saves there, a pixel, in the logarithms of the colours' densities. Of 1, 2, 4, 8 and
/// 16 the last two did best on subjects on photographs, alike.
const NEARER: f64 = 8.0;

/// Costs are whole numbers of a thousandth.
const FINE: f64 = 1000.0;

/// Marks to drop that shut off more than this share of the picture are a ring; less lies between a stroke and the frame.
const RINGED: f64 = 0.1;

/// Fits and cuts at the first marks, and at further ones.
const FIRST: usize = 6;
const FURTHER: usize = 2;

/// What is said of a leaf: kept or dropped; `None` where nothing is.
type Said = Vec<Option<bool>>;

/// By leaf, whether it is subject.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Sides(Vec<bool>);

/// A picture made ready for marks.
pub(crate) struct Cutout {
    leaves: Leaves,
    plane: Vec<Even>,
    opaque: Vec<bool>,
}

impl Cutout {
    /// Finds the leaves of a picture; what is transparent is ground whatever the marks say.
    pub fn new(raster: &Raster) -> Cutout {
        let plane = even::plane(raster);
        let opaque: Vec<bool> = raster.pixels.iter().map(|pixel| pixel[3] >= OPAQUE).collect();
        Cutout { leaves: Leaves::new(raster, &plane, &opaque), plane, opaque }
    }

    /// The sides after the last of `rounds`, given those after the rounds before it.
    pub fn refined(&self, panel: Size, rounds: &[SubjectMarks], before: Option<&Sides>) -> Sides {
        let (said, ringed) = self.said(panel, rounds);
        let mut sides = before.cloned();
        for _ in 0..if before.is_some() { FURTHER } else { FIRST } {
            let next = self.cut(&said, sides.as_ref());
            if sides.as_ref() == Some(&next) {
                break;
            }
            sides = Some(next);
        }
        let sides = sides.expect("there is at least one cut");
        if ringed { sides } else { self.joined(&said, sides) }
    }

    /// By pixel whether it is subject.
    pub fn inside(&self, panel: Size, rounds: &[SubjectMarks], sides: &Sides) -> Vec<bool> {
        let blocks: Vec<bool> = self.leaves.of.iter().map(|leaf| sides.0[*leaf as usize]).collect();
        let coarse = self.leaves.blocks.spread_marks(&blocks);
        let mixtures = self.mixtures(&self.said(panel, rounds).0, Some(sides));
        let mut inside = band::cut(self.leaves.blocks.fine, &self.plane, &coarse, (&mixtures, self.leaves.falloff));
        inside.iter_mut().zip(&self.opaque).for_each(|(inside, opaque)| *inside &= opaque);
        without_specks(self.leaves.blocks.fine, &inside, panel)
    }

    /// What is said of each leaf; the last mark counts, and what marks to drop shut off is dropped. And whether they do.
    fn said(&self, panel: Size, rounds: &[SubjectMarks]) -> (Said, bool) {
        let leaves = &self.leaves;
        let mut said: Said = leaves.all.iter().map(|leaf| leaf.clear().then_some(false)).collect();
        for round in rounds {
            for (strokes, keep) in [(&round.drop, false), (&round.keep, true)] {
                for stroke in strokes {
                    leaves.under(panel, stroke, |leaf| said[leaf] = Some(keep && !leaves.all[leaf].clear()));
                }
            }
        }
        let keeps = kept(&said);
        let mut shut = 0.0;
        if !keeps.is_empty() {
            let open = leaves.reached(keeps, |leaf| said[leaf] != Some(false));
            for (leaf, _) in open.into_iter().enumerate().filter(|(_, open)| !open) {
                shut += if said[leaf].is_none() { leaves.all[leaf].colours.area() } else { 0.0 };
                said[leaf] = Some(false);
            }
        }
        (said, shut > RINGED * leaves.of.len() as f64)
    }

    /// Without a ring the subject hangs together with a mark to keep, if there is one: a patch of the ground far away may
    /// have a colour that no mark shows.
    fn joined(&self, said: &Said, sides: Sides) -> Sides {
        let keeps = kept(said);
        if keeps.is_empty() { sides } else { Sides(self.leaves.reached(keeps, |leaf| sides.0[leaf])) }
    }

    fn cut(&self, said: &Said, sides: Option<&Sides>) -> Sides {
        let leaves = &self.leaves;
        let [subject, ground] = self.mixtures(said, sides);
        let leaning = nearness::leaning(leaves, said);
        let mut cut = Cut::new(said.len());
        for (at, leaf) in leaves.all.iter().enumerate() {
            cut.pay(
                at,
                match said[at] {
                    Some(true) => -Cut::UNLIMITED,
                    Some(false) => Cut::UNLIMITED,
                    None => {
                        let colour = leaf.colours.mean();
                        let dearer = subject.cost(colour) - ground.cost(colour) + NEARER * leaning[at];
                        (dearer * leaf.colours.area() * FINE) as i64
                    }
                },
            );
        }
        for link in &leaves.links {
            let cost = (STIFF * f64::from(link.length) * libm::exp(-leaves.falloff * link.contrast) * FINE) as i64;
            let [a, b] = link.ends.map(|end| end as usize);
            cut.part(a, b, cost);
            cut.part(b, a, cost);
        }
        Sides(cut.source_side())
    }

    /// The colours of subject and ground: of the sides found before, or of the marks.
    fn mixtures(&self, said: &Said, sides: Option<&Sides>) -> [Mixture; 2] {
        let starts = nearness::starts(&self.leaves, said);
        let of = |keep: bool| {
            let side = |leaf: &usize| sides.map_or(starts[usize::from(!keep)][*leaf], |sides| sides.0[*leaf] == keep);
            (0..said.len()).filter(side).map(|leaf| self.leaves.all[leaf].colours).collect::<Vec<_>>()
        };
        [Mixture::fit(&of(true), UNSEEN_SUBJECT), Mixture::fit(&of(false), UNSEEN_GROUND)]
    }
}

fn kept(said: &Said) -> Vec<usize> {
    (0..said.len()).filter(|leaf| said[*leaf] == Some(true)).collect()
}

/// By pixel whether it is subject by all rounds of marks, from the beginning.
pub(super) fn by_marks(raster: &Raster, panel: Size, rounds: &[SubjectMarks]) -> Vec<bool> {
    let cutout = Cutout::new(raster);
    let after = |before: Option<Sides>, count: usize| Some(cutout.refined(panel, &rounds[..count], before.as_ref()));
    let sides = (1..=rounds.len()).fold(None, after).expect("there are marks");
    cutout.inside(panel, rounds, &sides)
}

/// The points of a stroke in blocks of the picture, one in each that it goes through.
fn along(stroke: &[Point], to_block: impl Fn(Point) -> (f64, f64), mut found: impl FnMut(f64, f64)) {
    let ends: Vec<(f64, f64)> = stroke.iter().map(|point| to_block(*point)).collect();
    ends.first().into_iter().for_each(|(x, y)| found(*x, *y));
    for pair in ends.windows(2) {
        let [(ax, ay), (bx, by)] = [pair[0], pair[1]];
        let steps = (bx - ax).abs().max((by - ay).abs()).ceil().max(1.0);
        for step in 1..=steps as usize {
            let share = step as f64 / steps;
            found(ax + (bx - ax) * share, ay + (by - ay) * share);
        }
    }
}
