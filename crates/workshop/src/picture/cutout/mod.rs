//! The subject by marks: what the maker strokes to keep and to drop, followed out to the edges of the picture.
//!
//! After Rother, Kolmogorov and Blake, *GrabCut* (2004), on leaves of the watershed in place of pixels: the colours of both
//! sides as mixtures of Gaussians, a minimum cut between them that likes edges, both repeated until nothing changes; then
//! pixel by pixel in a band along the border. Two things are added. What marks to drop shut off from every mark to keep is
//! ground, so a ring drops all beyond it. And a leaf leans to the side from which it is reached over the lower step of
//! colour, so what a ring crosses is not kept for being of a new colour. Every round begins anew from all marks, so the same
//! marks give the same subject in whatever order and rounds they came. It fails where subject and ground share their colours and no edge
//! runs between them, and where a subject that reaches the frame has a colour there that no mark shows: further marks are for that.

mod band;
mod leaves;
mod marks;
mod mixture;
mod moments;
mod nearness;

use measure::solve::Cut;

use self::leaves::Leaves;
use self::marks::Said;
pub(crate) use self::marks::under_mark;
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

/// Over a contrast of so many times twice the picture's mean a border costs nothing: under a thousandth, however long.
const HIGHEST: f64 = 24.0;

/// Costs are whole numbers of a thousandth.
const FINE: f64 = 1000.0;

/// Marks to drop that shut off more than this share of the picture are a ring; less lies between a stroke and the frame.
const RINGED: f64 = 0.1;

/// Fits and cuts at most.
const CUTS: usize = 6;

/// A picture made ready for marks.
pub(crate) struct Cutout {
    leaves: Leaves,
    plane: Vec<Even>,
    opaque: Vec<bool>,
}

/// Its leaves, and what marks say of each.
struct Marked<'a> {
    leaves: &'a Leaves,
    said: Said,
    /// Whether marks to drop run round what is kept.
    ringed: bool,
    /// Where subject and ground start.
    starts: [Vec<bool>; 2],
    leaning: Vec<f64>,
}

/// By leaf, whether it is subject.
type Sides = Vec<bool>;

impl Cutout {
    /// Finds the leaves of a picture; what is transparent is ground whatever the marks say.
    pub fn new(raster: &Raster) -> Cutout {
        let plane = even::plane(raster);
        let opaque: Vec<bool> = raster.pixels.iter().map(|pixel| pixel[3] >= OPAQUE).collect();
        Cutout { leaves: Leaves::new(raster, &plane, &opaque), plane, opaque }
    }

    /// By pixel whether it is subject. Where marks lie it is as they say, whatever colours and edges would have.
    pub fn inside(&self, panel: Size, rounds: &[SubjectMarks]) -> Vec<bool> {
        let blocks = self.leaves.blocks;
        let mut marks = marks::painted(blocks.fine, panel, rounds);
        marks.iter_mut().zip(&self.opaque).filter(|(_, opaque)| !**opaque).for_each(|(mark, _)| *mark = None);
        let coarse = marks::of_blocks(blocks, &marks);
        let parted = self.leaves.parted(&coarse);
        let marked = Marked::new(parted.as_ref().unwrap_or(&self.leaves), &coarse);
        let sides = marked.sides();
        let leaves: Vec<bool> = marked.leaves.of.iter().map(|leaf| sides[*leaf as usize]).collect();
        let mixtures = (&marked.mixtures(Some(&sides)), self.leaves.falloff);
        let mut inside = band::cut(blocks.fine, &self.plane, (blocks.spread_marks(&leaves), &marks), mixtures);
        inside.iter_mut().zip(&self.opaque).for_each(|(inside, opaque)| *inside &= opaque);
        without_specks(blocks.fine, &inside, panel, &marks)
    }
}

impl Marked<'_> {
    /// What marks to drop shut off from all that is kept is dropped as well.
    fn new<'a>(leaves: &'a Leaves, marks: &Said) -> Marked<'a> {
        let mut said: Said = vec![None; leaves.all.len()];
        for (leaf, mark) in leaves.of.iter().zip(marks) {
            said[*leaf as usize] = mark.or(said[*leaf as usize]);
        }
        said.iter_mut().zip(&leaves.all).filter(|(_, leaf)| leaf.clear()).for_each(|(said, _)| *said = Some(false));
        let keeps = kept(&said);
        let mut shut = 0.0;
        if !keeps.is_empty() {
            let open = leaves.reached(keeps, |leaf| said[leaf] != Some(false));
            for (leaf, _) in open.into_iter().enumerate().filter(|(_, open)| !open) {
                shut += if said[leaf].is_none() { leaves.all[leaf].colours.area() } else { 0.0 };
                said[leaf] = Some(false);
            }
        }
        let starts = nearness::starts(leaves, &said);
        let leaning = nearness::leaning(leaves, &starts);
        Marked { leaves, said, ringed: shut > RINGED * leaves.of.len() as f64, starts, leaning }
    }

    fn sides(&self) -> Sides {
        let mut sides = self.cut(None);
        for _ in 1..CUTS {
            let next = self.cut(Some(&sides));
            if sides == next {
                break;
            }
            sides = next;
        }
        if self.ringed { sides } else { self.joined(sides) }
    }

    /// Without a ring the subject hangs together with a mark to keep, if there is one: a patch of the ground far away may
    /// have a colour that no mark shows.
    fn joined(&self, sides: Sides) -> Sides {
        let keeps = kept(&self.said);
        if keeps.is_empty() { sides } else { self.leaves.reached(keeps, |leaf| sides[leaf]) }
    }

    fn cut(&self, sides: Option<&Sides>) -> Sides {
        let Marked { leaves, said, .. } = self;
        let [subject, ground] = self.mixtures(sides);
        let mut cut = Cut::new(said.len());
        for (at, leaf) in leaves.all.iter().enumerate() {
            cut.pay(
                at,
                match said[at] {
                    Some(true) => -Cut::UNLIMITED,
                    Some(false) => Cut::UNLIMITED,
                    None => {
                        let colour = leaf.colours.mean();
                        let dearer = subject.cost(colour) - ground.cost(colour) + NEARER * self.leaning[at];
                        (dearer * leaf.colours.area() * FINE) as i64
                    }
                },
            );
        }
        for link in &leaves.links {
            let cost = (f64::from(link.length) * stiffness(leaves.falloff * link.contrast) * FINE) as i64;
            let [a, b] = link.ends.map(|end| end as usize);
            cut.part_both(a, b, cost);
        }
        cut.source_side()
    }

    /// The colours of subject and ground: of the sides found before, or of the marks.
    fn mixtures(&self, sides: Option<&Sides>) -> [Mixture; 2] {
        let of = |keep: bool| {
            let side =
                |leaf: &usize| sides.map_or(self.starts[usize::from(!keep)][*leaf], |sides| sides[*leaf] == keep);
            (0..self.said.len()).filter(side).map(|leaf| self.leaves.all[leaf].colours).collect::<Vec<_>>()
        };
        [Mixture::fit(&of(true), UNSEEN_SUBJECT), Mixture::fit(&of(false), UNSEEN_GROUND)]
    }
}

/// What a pixel of border costs over such a contrast, in twice the mean one of the picture; over the highest nothing, as
/// far as costs are told.
fn stiffness(contrast: f64) -> f64 {
    if contrast > HIGHEST { 0.0 } else { STIFF * libm::exp(-contrast) }
}

fn kept(said: &Said) -> Vec<usize> {
    (0..said.len()).filter(|leaf| said[*leaf] == Some(true)).collect()
}
