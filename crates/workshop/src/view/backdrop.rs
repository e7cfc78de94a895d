//! What each area shows: colour, wood and height.

use std::collections::BTreeMap;

use measure::colour::Lab;

use super::frame::{self, Rim};
use super::noise::{hash, share, swell};
use super::photo::Photo;
use super::pose::{Pose, Surface};
use super::solid::{Kind, Solid};
use crate::derived::Derived;
use crate::wood;
use crate::work::{Area, Axis, Becomes, Number, Piece, State, Whom, Wood, WoodId, Work};

/// An undecided piece: the grey of plain board, so that nobody takes it for a wood.
const PLAIN: Lab = Lab::new(72.0, 1.0, 5.0);
/// The board behind the ground.
const GROUND: Lab = Lab::new(78.0, 0.5, 6.0);
/// The seed of the backer's sheet: one sheet, whatever shows of it.
const BACKER_SEED: u32 = 0x5bac_4e12;
/// The seeds of the sheet behind the ground and of the frame's board: that one is quartered, for straight grain, and near the mean of its wood.
const GROUND_SEED: u32 = 0x64d1_77a9;
const FRAME_SEED: u32 = 0x98a6_a2a1;
/// How far a piece glued by hand may lie out of true, as a sine; common practice, no source.
const TILT: f32 = 0.018;
/// A face is sanded round as a ball of this radius is, mm, at most so far, as a sine: a pad does so; common practice, no source.
const ROUND_MM: f32 = 1600.0;
const ROUNDEST: f32 = 0.035;
/// How uneven a hand-sanded and oiled face is, as a sine, and over what lengths, mm; common practice, no source.
const UNEVEN: f32 = 0.014;
const UNEVEN_MM: f32 = 24.0;

/// What shows in one area.
#[derive(Clone, Debug)]
pub(super) struct Face {
    /// Linear red, green and blue of the flat, lit face.
    pub colour: [f32; 3],
    /// The wood under it; plain without.
    pub solid: Option<Solid>,
    /// The board that it is sawn from, where that was photographed.
    pub photo: Option<Photo>,
    /// Top above the backer, mm.
    pub height: f32,
    /// Whether it is a piece, with sawn and eased edges.
    pub piece: bool,
    /// Whether it has the job's finish; the wall has none.
    pub finished: bool,
    /// How a piece lies, glued and sanded by hand; `None` where a face is true.
    pub lies: Option<Lies>,
}

/// How a piece lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lies {
    /// Its middle on the page, mm.
    middle: [f32; 2],
    /// How far it leans there to the right and down, as sines.
    tilt: [f32; 2],
    seed: u32,
}

impl Lies {
    fn new((seed, middle): (u32, [f32; 2])) -> Lies {
        Lies { middle, tilt: [20, 21].map(|which| TILT * (2.0 * share(which, 0, seed) - 1.0)), seed }
    }

    /// As a solid has it: its middle from that of the panel, m, and how far it leans to the right and up.
    pub(super) fn in_solid(&self, panel: [f32; 2]) -> [f32; 4] {
        let [x, y] = std::array::from_fn(|axis| (self.middle[axis] - 0.5 * panel[axis]) / 1000.0);
        [x, -y, self.tilt[0], -self.tilt[1]]
    }
}

impl Face {
    /// How far it leans out of true at a place of the page, as a gloss shows it.
    pub(super) fn lean(&self, place: [f32; 2]) -> [f32; 2] {
        let Some(lies) = self.lies else { return [0.0; 2] };
        let [x, y] = place.map(|at| at / UNEVEN_MM);
        std::array::from_fn(|axis| {
            let round = ((place[axis] - lies.middle[axis]) / ROUND_MM).clamp(-ROUNDEST, ROUNDEST);
            lies.tilt[axis] + round + UNEVEN * swell([x, y, 7.3 * axis as f32 + 0.5], lies.seed)
        })
    }

    /// Its colour, unlit, at a place of the solid: x, y of the page and z above the face, mm.
    pub(super) fn bare(&self, at: [f32; 3], sample: f32) -> [f32; 3] {
        if let Some(photo) = &self.photo {
            return photo.at([at[0], at[1]]);
        }
        let Some(solid) = &self.solid else { return self.colour };
        let shown = solid.shown(at, sample).colour;
        std::array::from_fn(|c| self.colour[c] * shown[c])
    }
}

/// The faces by area id, and the backer.
pub(super) struct Faces {
    faces: Vec<Face>,
    pub backer: Face,
    /// The label of the frame's first member, if it is shown.
    pub frame: Option<u32>,
}

impl Faces {
    /// What every area shows, sampled every `sample` mm.
    pub(super) fn of((work, derived): (&Work, &mut Derived), pose: &Pose, sample: f32) -> Faces {
        let alone = pose.part.map(|part| wood::whose(work, Whom::Part(part)));
        let mut kinds = Kinds { work, derived, pose, alone, sample, kinds: BTreeMap::new() };
        let backer = backer(&mut kinds);
        let last = work.pattern.areas.keys().next_back().map_or(0, |id| id.0 as usize);
        let mut faces = vec![backer.clone(); last + 1];
        for (id, area) in &work.pattern.areas {
            faces[id.0 as usize] = face(&mut kinds, area, &backer);
        }
        let rim = Rim::of(work, pose);
        let frame = rim.map(|_| faces.len() as u32);
        if let Some(rim) = rim {
            let highest = faces.iter().map(|face| face.height).fold(0.0, f32::max);
            faces.extend(members(&mut kinds, rim, highest));
            faces.push(Face { finished: false, ..plain(GROUND, -frame::BEHIND_MM, false) });
        }
        Faces { faces, backer, frame }
    }

    /// The wall that the relief hangs on.
    pub(super) fn beyond(&self) -> [f32; 3] {
        linear(GROUND)
    }

    /// The face of an area; the backer where there is none.
    pub(super) fn at(&self, area: u32) -> &Face {
        self.faces.get(area as usize).unwrap_or(&self.backer)
    }
}

/// The woods of a job as solids, each measured once.
struct Kinds<'a> {
    work: &'a Work,
    derived: &'a mut Derived,
    pose: &'a Pose,
    alone: Option<Vec<Number>>,
    sample: f32,
    kinds: BTreeMap<WoodId, (Lab, Kind)>,
}

impl Kinds<'_> {
    /// Whether a piece is in the view: all are, unless one part is shown alone, or only what is set.
    fn shows(&self, (number, piece): (Number, &Piece)) -> bool {
        let there = !self.pose.only_set || piece.state == State::Set;
        there && self.alone.as_ref().is_none_or(|alone| alone.contains(&number))
    }

    fn of(&mut self, wood: &Wood) -> &(Lab, Kind) {
        self.kinds.entry(wood.id.clone()).or_insert_with(|| {
            let colour = look((self.work, wood), self.pose.surface, self.pose.years);
            (colour, Kind::new(wood, colour.l, self.sample))
        })
    }
}

/// The colour of a wood, raw or under the job's finish, after years on the wall.
pub(super) fn look((work, wood): (&Work, &Wood), surface: Surface, years: u32) -> Lab {
    match surface {
        Surface::Raw => wood::aged(wood.colour.value, wood, f64::from(years)),
        Surface::Finished => wood::aged_look((work, wood), wood.colour.value, f64::from(years)),
    }
}

fn face(kinds: &mut Kinds, area: &Area, backer: &Face) -> Face {
    let undecided = plain(PLAIN, middle_mm(kinds.work), true);
    match area.becomes {
        Becomes::Shadow => backer.clone(),
        Becomes::Ground => ground(kinds),
        Becomes::Unnumbered => undecided,
        Becomes::Piece(number) => match kinds.work.pieces.get(&number) {
            Some(piece) if !kinds.shows((number, piece)) => backer.clone(),
            Some(piece) => piece_face(kinds, (number, piece), area),
            None => undecided,
        },
    }
}

fn piece_face(kinds: &mut Kinds, (number, piece): (Number, &Piece), area: &Area) -> Face {
    let work = kinds.work;
    let height = piece.values.height.as_ref().map_or(middle_mm(work), |chosen| chosen.value.to_mm() as f32);
    let wood = piece.values.wood.as_ref().and_then(|chosen| work.woods.get(&chosen.value));
    let Some(wood) = wood else { return plain(PLAIN, height, true) };
    let axis = piece.values.grain.as_ref().map_or(Axis::default(), |chosen| chosen.value);
    let (x, y) = area.at.to_mm();
    let cut = (hash(number.0 as i32, 1, 0x57ee_d001), [x as f32, y as f32]);
    let photo = Photo::of((work, &mut *kinds.derived), number, (wood, kinds.pose));
    let (colour, kind) = kinds.of(wood);
    let colour = photo.as_ref().map_or(linear(*colour), Photo::mean);
    let solid = Some(Solid::new(kind.clone(), axis, cut));
    Face { colour, solid, photo, height, piece: true, finished: true, lies: Some(Lies::new(cut)) }
}

fn backer(kinds: &mut Kinds) -> Face {
    let id = &kinds.work.choices.backer;
    sheet(kinds, (id, BACKER_SEED)).unwrap_or(plain(Lab::new(25.0, 3.0, 5.0), 0.0, false))
}

/// The board behind the ground, under its veneer.
fn ground(kinds: &mut Kinds) -> Face {
    let veneer = kinds.work.choices.ground.as_ref().and_then(|id| sheet(kinds, (id, GROUND_SEED)));
    veneer.unwrap_or(plain(GROUND, 0.0, false))
}

/// A sheet over the panel, its grain along the longer side, as one is bought.
fn sheet(kinds: &mut Kinds, (id, seed): (&WoodId, u32)) -> Option<Face> {
    let panel = kinds.work.panel;
    let axis = Axis::degrees(if panel.height > panel.width { 90.0 } else { 0.0 });
    let middle = [panel.width, panel.height].map(|side| side.to_mm() as f32 / 2.0);
    Some(Face { piece: false, ..of_wood(kinds, id, (axis, (seed, middle), 0.0))? })
}

/// The four members of the frame about a relief of this height.
fn members(kinds: &mut Kinds, rim: Rim, highest: f32) -> Vec<Face> {
    let work = kinds.work;
    let height = frame::depth(work, highest);
    let wood = work.choices.frame.as_ref().map(|frame| &frame.wood);
    // One long board makes all four, one after the other, the last one first.
    let long = work.panel.width.max(work.panel.height).to_mm() as f32;
    let member = |(at, (axis, middle))| {
        let cut = (FRAME_SEED, middle);
        let face = wood.and_then(|id| of_wood(kinds, id, (axis, cut, height))).unwrap_or(plain(PLAIN, height, true));
        let solid = face.solid.map(|solid: Solid| solid.further((3 - at) as f32 * 1.2 * long));
        Face { solid, ..face }
    };
    frame::grains().into_iter().zip(rim.middles()).enumerate().map(member).collect()
}

/// A face of a wood as the solid is cut there, at a height.
fn of_wood(kinds: &mut Kinds, id: &WoodId, (axis, cut, height): (Axis, (u32, [f32; 2]), f32)) -> Option<Face> {
    let wood = kinds.work.woods.get(id).cloned().or_else(|| wood::table().remove(id))?;
    let (colour, kind) = kinds.of(&wood);
    let solid = Solid::new(kind.clone(), axis, cut);
    Some(Face {
        colour: linear(*colour),
        solid: Some(solid),
        photo: None,
        height,
        piece: true,
        finished: true,
        lies: None,
    })
}

fn plain(colour: Lab, height: f32, piece: bool) -> Face {
    Face { colour: linear(colour), solid: None, photo: None, height, piece, finished: true, lies: None }
}

pub(super) fn linear(colour: Lab) -> [f32; 3] {
    colour.to_linear().map(|channel| channel.clamp(0.0, 1.0) as f32)
}

/// Where undecided heights lie: between the lowest and the highest top.
fn middle_mm(work: &Work) -> f32 {
    let stock = &work.choices.stock;
    ((stock.lowest.to_mm() + stock.highest.to_mm()) / 2.0) as f32
}

#[cfg(test)]
impl Faces {
    pub(super) fn whiten(&mut self) {
        for face in self.faces.iter_mut().chain([&mut self.backer]) {
            *face = Face { colour: [1.0; 3], solid: None, photo: None, ..face.clone() };
        }
    }
}
