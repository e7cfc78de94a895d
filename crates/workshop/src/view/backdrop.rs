//! What each area shows: colour, wood and height.

use std::collections::BTreeMap;

use measure::colour::Lab;

use super::grain::Solid;
use super::noise::hash;
use crate::wood;
use crate::work::{Area, AreaId, Axis, Becomes, Figure, Number, Piece, Wood, WoodId, Work};

/// An undecided piece: the grey of plain board, so that nobody takes it for a wood.
const PLAIN: Lab = Lab::new(72.0, 1.0, 5.0);
/// The board behind the ground.
const GROUND: Lab = Lab::new(78.0, 0.5, 6.0);
/// The seed of the backer's sheet: one sheet, whatever shows of it.
const BACKER_SEED: u32 = 0x5bac_4e12;
/// How far the mean of one piece may stand from the wood's, as a share of its light: boards differ, but a large face
/// stays within ΔE 1 of the table.
const BOARD_SHIFT: f32 = 0.02;

/// What shows in one area.
#[derive(Clone, Debug)]
pub(super) struct Face {
    /// Linear red, green and blue of the flat, lit face.
    pub colour: [f32; 3],
    /// The wood under it; plain without.
    pub solid: Option<Solid>,
    /// Top above the backer, mm.
    pub height: f32,
    /// Whether it is a piece, with sawn and eased edges.
    pub piece: bool,
}

/// The faces by area id, and the backer.
pub(super) struct Faces {
    faces: Vec<Face>,
    pub backer: Face,
}

impl Faces {
    pub(super) fn of(work: &Work) -> Faces {
        let backer = backer(work);
        let last = work.pattern.areas.keys().next_back().map_or(0, |id| id.0 as usize);
        let mut faces = vec![backer.clone(); last + 1];
        for (id, area) in &work.pattern.areas {
            faces[id.0 as usize] = face(work, (*id, area), &backer);
        }
        Faces { faces, backer }
    }

    /// The face of an area; the backer where there is none.
    pub(super) fn at(&self, area: u32) -> &Face {
        self.faces.get(area as usize).unwrap_or(&self.backer)
    }
}

fn face(work: &Work, (id, area): (AreaId, &Area), backer: &Face) -> Face {
    match area.becomes {
        Becomes::Shadow => backer.clone(),
        Becomes::Ground => plain(GROUND, 0.0, false),
        Becomes::Unnumbered => plain(PLAIN, middle_mm(work), true),
        Becomes::Piece(number) => match work.pieces.get(&number) {
            Some(piece) => piece_face(work, number, piece),
            None => plain(PLAIN, middle_mm(work), id.0 > 0),
        },
    }
}

fn piece_face(work: &Work, number: Number, piece: &Piece) -> Face {
    let height = piece.values.height.as_ref().map_or(middle_mm(work), |chosen| chosen.value.to_mm() as f32);
    let wood = piece.values.wood.as_ref().and_then(|chosen| work.woods.get(&chosen.value));
    let Some(wood) = wood else { return plain(PLAIN, height, true) };
    let axis = piece.values.grain.as_ref().map_or(Axis::default(), |chosen| chosen.value);
    let seed = hash(number.0 as i32, 1, 0x57ee_d001);
    let shift = 1.0 + BOARD_SHIFT * ((seed >> 8) as f32 / 8_388_608.0 - 1.0);
    let colour = linear(wood::look(work, wood)).map(|channel| channel * shift);
    Face { colour, solid: Some(Solid::new(wood.figure, axis, seed)), height, piece: true }
}

fn backer(work: &Work) -> Face {
    let id = &work.choices.backer;
    let table: BTreeMap<WoodId, Wood>;
    let wood = match work.woods.get(id) {
        Some(wood) => Some(wood),
        None => {
            table = wood::table();
            table.get(id)
        }
    };
    let Some(wood) = wood else { return plain(Lab::new(25.0, 3.0, 5.0), 0.0, false) };
    // Its grain runs along the longer side, as a sheet is bought.
    let upright = work.panel.height > work.panel.width;
    let axis = Axis::degrees(if upright { 90.0 } else { 0.0 });
    let Figure { ring, contrast, pores } = wood.figure;
    let solid = Solid::new(Figure { ring, contrast, pores }, axis, BACKER_SEED);
    Face { colour: linear(wood::look(work, wood)), solid: Some(solid), height: 0.0, piece: false }
}

fn plain(colour: Lab, height: f32, piece: bool) -> Face {
    Face { colour: linear(colour), solid: None, height, piece }
}

fn linear(colour: Lab) -> [f32; 3] {
    colour.to_linear().map(|channel| channel.clamp(0.0, 1.0) as f32)
}

/// Where undecided heights lie: between the lowest and the highest top.
fn middle_mm(work: &Work) -> f32 {
    let stock = &work.choices.stock;
    ((stock.lowest.to_mm() + stock.highest.to_mm()) / 2.0) as f32
}
