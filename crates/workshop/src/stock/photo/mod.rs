//! A photograph of a board beside white paper or a grey card becomes a board with its colours.
//!
//! Four corners give the plane (a homography by its eight linear equations; Hartley and Zisserman 2004, chapter 4). Where
//! only the length is stated, the width follows from the vanishing points of a camera whose axis meets the middle of the
//! photograph (Zhang and He 2007). The white tells tint and fall of the light, which is carried over the board as a plane.
//! Where it fails: a cropped photograph when only the length is stated; light that falls in a curve; a board that shines.

mod light;
mod pieces;
mod zones;

use measure::colour::{Lab, delta_e_2000};
use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use self::light::Light;
pub use self::pieces::{TestPiece, TestShot, tested};
use crate::picture::Raster;
use crate::picture::plane::{self, Plane};
use crate::work::{Board, Photograph, Refusal, Way, WoodId};

/// What the maker says of the photograph. Places are shares of its width and height, from its top left corner.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct Shot {
    /// The corners of the board, clockwise as seen; the first two are the ends of a long edge, or of the stated length.
    pub corners: [(f64, f64); 4],
    /// Four corners of a patch of the paper or card, clockwise; it lies in the plane of the board's face.
    pub white: [(f64, f64); 4],
    /// The share of the light that the paper or card gives back.
    pub reflects: f64,
    /// From the first corner to the second.
    pub length: Um,
    /// From the second corner to the third, where it is known.
    pub width: Option<Um>,
    /// As it is now.
    pub thickness: Um,
    /// What the maker calls the board.
    pub name: String,
    /// Its wood.
    pub wood: WoodId,
}

/// A board as the photograph shows it.
#[derive(Clone, Debug)]
pub struct Photographed {
    /// The board, with its zones.
    pub board: Board,
    /// The colour of the most of its face.
    pub colour: Lab,
    /// The colours of its zones, in their order.
    pub zones: Vec<Lab>,
    /// Its face seen straight on under even white light.
    pub face: Raster,
}

impl Photographed {
    /// Names the face, kept as an image file of this SHA-256, as the board's photograph.
    pub fn keep_as(&mut self, hash: String) {
        let far = self.board.outline.iter().fold(Point::new(0, 0), |far, p| Point::new(far.x.max(p.x), far.y.max(p.y)));
        self.board.photograph = Some(Photograph { hash, length: Um(far.x), width: Um(far.y) });
    }
}

/// Pixels along the face's longer side.
const FACE: f64 = 1200.0;

/// Fewer pixels than this are no picture to other rooms.
const LEAST: f64 = 16.0;

/// Farther than this from every wood of the table (ΔE00) is no wood: boards lie within 10 of their wood, from memory.
const NO_WOOD: f64 = 14.0;

/// The share of pixels that may be burnt out.
const BURNT_MOST: f64 = 0.02;

/// A byte from here on may be burnt out.
const BURNT: u8 = 252;

/// The board of a photograph.
pub fn photographed(raster: &Raster, shot: &Shot) -> Result<Photographed, Refusal> {
    let size = (f64::from(raster.width), f64::from(raster.height));
    let [corners, white] = [shot.corners, shot.white].map(|four| four.map(|(x, y)| (x * size.0, y * size.1)));
    judge_places(raster, &corners, "board")?;
    judge_places(raster, &white, "white")?;
    let length = f64::from(shot.length.0);
    let width = match shot.width {
        Some(width) => f64::from(width.0),
        None => length * plane::aspect(&corners, (size.0 / 2.0, size.1 / 2.0)).ok_or_else(crooked)?,
    };
    let plane = Plane::new(&corners, (length, width)).ok_or_else(crooked)?;
    let light = Light::new(raster, &plane, (&white, shot.reflects))?;
    let face = Face::new(raster, &plane, &light)?;
    let found = zones::find(&face);
    judge_wood(&found.colour)?;
    let mut board = Board::rectangle(&shot.name, shot.wood.clone(), (um(length), um(width), shot.thickness));
    board.zones = found.zones.iter().map(|(zone, _)| zone.clone()).collect();
    super::sound(&board)?;
    let zones = found.zones.iter().map(|(_, colour)| *colour).collect();
    Ok(Photographed { board, colour: found.colour, zones, face: face.picture() })
}

/// The face, straightened: linear channels under even white light.
struct Face {
    across: usize,
    down: usize,
    pixels: Vec<[f64; 3]>,
    /// µm.
    size: (f64, f64),
}

impl Face {
    fn new(raster: &Raster, plane: &Plane, light: &Light) -> Result<Face, Refusal> {
        let (length, width) = plane.size;
        let step = length.max(width) / FACE;
        let [across, down] = [length, width].map(|side| (side / step).round().max(LEAST) as usize);
        let (mut pixels, mut burnt) = (Vec::with_capacity(across * down), 0_usize);
        for at in 0..across * down {
            let (x, y) = ((at % across) as f64 + 0.5, (at / across) as f64 + 0.5);
            let on = (x / across as f64, y / down as f64);
            let seen = plane.to_photo((on.0 * length, on.1 * width));
            burnt += usize::from(plane::byte(raster, seen).iter().any(|b| *b >= BURNT));
            pixels.push(light.even(plane::linear(raster, seen), on));
        }
        if burnt as f64 > BURNT_MOST * pixels.len() as f64 {
            return Err(overexposed("board"));
        }
        Ok(Face { across, down, pixels, size: plane.size })
    }

    fn picture(&self) -> Raster {
        let byte = |linear: [f64; 3]| linear.map(measure::colour::to_byte);
        let pixels = self.pixels.iter().map(|p| byte(*p)).map(|[r, g, b]| [r, g, b, u8::MAX]).collect();
        Raster { width: self.across as u32, height: self.down as u32, pixels }
    }
}

fn um(value: f64) -> Um {
    Um(value.round() as i32)
}

fn point(x: f64, y: f64) -> Point {
    Point::new(x.round() as i32, y.round() as i32)
}

fn judge_places(raster: &Raster, four: &[(f64, f64); 4], what: &str) -> Result<(), Refusal> {
    let (wide, high) = (f64::from(raster.width), f64::from(raster.height));
    if four.iter().any(|(x, y)| !(0.0..=wide).contains(x) || !(0.0..=high).contains(y)) {
        return Err(Refusal::new(format!("A corner of the {what} lies outside of the photograph."))
            .way(Way::advice("Give each as percent of the photograph's width and height, 0 to 100.")));
    }
    if plane::is_convex(four) { Ok(()) } else { Err(crooked()) }
}

fn judge_wood(colour: &Lab) -> Result<(), Refusal> {
    let woods = crate::wood::table();
    let nearest = woods.values().map(|wood| delta_e_2000(wood.colour.value, *colour)).fold(f64::MAX, f64::min);
    if nearest <= NO_WOOD {
        return Ok(());
    }
    Err(Refusal::new(format!(
        "Between the corners there is no wood: the colour L* {:.0}, a* {:.0}, b* {:.0} is ΔE {nearest:.0} from the nearest wood of the table.",
        colour.l, colour.a, colour.b
    ))
    .way(Way::advice("Set the corners on the board's face, and the white on the paper or card that lies beside it.")))
}

fn crooked() -> Refusal {
    Refusal::new("The four corners do not go round a face: two coincide, or they are not clockwise.")
        .way(Way::advice("Give them clockwise as seen, from one end of the stated length to its other end first."))
}

pub(super) fn overexposed(what: &str) -> Refusal {
    Refusal::new(format!("The photograph is overexposed on the {what}: its colour is burnt out there."))
        .way(Way::advice("Take it again a stop darker, out of the sun, and with no lamp mirrored in it."))
}

#[cfg(test)]
mod tests;
