//! The colours of finished test pieces in a photograph, by the grey card or white paper beside them.
//!
//! Each piece is marked by four corners of a plain part of it. The white tells tint and fall of the light, carried as a plane
//! over the box around all that is marked; a piece's colour is the mean of its pixels in linear light. Where it fails: a finish
//! that mirrors a window, and light that falls in a curve.

use measure::colour::{Lab, delta_e_2000};
use serde::{Deserialize, Serialize};

use super::light::{Light, inside};
use super::{BURNT, BURNT_MOST, NO_WOOD, crooked, judge_places, overexposed};
use crate::picture::Raster;
use crate::picture::plane::{Plane, byte, linear};
use crate::wood;
use crate::work::{Refusal, Spot, Way, WoodId, Work};

/// A photograph of finished test pieces. Places are shares of its width and height, from its top left corner.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct TestShot {
    /// Four corners of a patch of the paper or card, clockwise.
    pub white: [(f64, f64); 4],
    /// The share of the light that the paper or card gives back.
    pub reflects: f64,
    /// The pieces.
    pub pieces: Vec<TestPiece>,
}

/// A test piece in a photograph.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
pub struct TestPiece {
    /// Its wood.
    pub wood: WoodId,
    /// Four corners of a plain part of its face, clockwise.
    pub corners: [(f64, f64); 4],
}

/// Fewer pixels than this are no piece.
const PIXELS_LEAST: usize = 400;

/// Lightness that strays by more than this (one standard deviation of L*) is not one plain piece: strong figure strays by 4
/// to 7, from memory.
const STRAY_MOST: f64 = 11.0;

/// The finished colour of each piece, in their order.
pub fn tested(work: &Work, raster: &Raster, shot: &TestShot) -> Result<Vec<(WoodId, Lab)>, Refusal> {
    let size = (f64::from(raster.width), f64::from(raster.height));
    let placed = |four: &[(f64, f64); 4]| four.map(|(x, y)| (x * size.0, y * size.1));
    if shot.pieces.is_empty() {
        return Err(Refusal::new("No test piece is marked in the photograph.")
            .way(Way::advice("Mark a plain part of each piece, and say its wood.")));
    }
    let white = placed(&shot.white);
    judge_places(raster, &white, "white")?;
    let pieces: Vec<_> = shot.pieces.iter().map(|piece| (&piece.wood, placed(&piece.corners))).collect();
    for (wood, corners) in &pieces {
        known(work, wood)?;
        judge_places(raster, corners, "test piece")?;
    }
    let box_of = around(pieces.iter().flat_map(|(_, four)| four).chain(&white));
    let plane = Plane::new(&box_of, (1.0, 1.0)).ok_or_else(crooked)?;
    let light = Light::new(raster, &plane, (&white, shot.reflects))?;
    let colour =
        |(wood, four): &(&WoodId, _)| Ok(((*wood).clone(), of_piece(work, (raster, &plane, &light), wood, four)?));
    pieces.iter().map(colour).collect()
}

fn known(work: &Work, wood: &WoodId) -> Result<(), Refusal> {
    if work.woods.contains_key(wood) {
        return Ok(());
    }
    Err(Refusal::new(format!("“{wood}” is no wood of this job."))
        .at(Spot { woods: vec![wood.clone()], ..Spot::default() })
        .way(Way::advice("Name a wood that the job offers.")))
}

/// The corners of the upright box around places, clockwise.
fn around<'a>(places: impl Iterator<Item = &'a (f64, f64)>) -> [(f64, f64); 4] {
    let whole = (f64::MAX, f64::MAX, f64::MIN, f64::MIN);
    let (left, top, right, bottom) =
        places.fold(whole, |b, (x, y)| (b.0.min(*x), b.1.min(*y), b.2.max(*x), b.3.max(*y)));
    [(left, top), (right, top), (right, bottom), (left, bottom)]
}

fn of_piece(
    work: &Work,
    (raster, plane, light): (&Raster, &Plane, &Light),
    wood: &WoodId,
    four: &[(f64, f64); 4],
) -> Result<Lab, Refusal> {
    let name = wood::name(work, wood);
    let [(left, top), _, (right, bottom), _] = around(four.iter());
    let (mut pixels, mut burnt) = (Vec::new(), 0_usize);
    for y in top as usize..=bottom as usize {
        for x in left as usize..=right as usize {
            let middle = (x as f64 + 0.5, y as f64 + 0.5);
            if let (true, Some(on)) = (inside(four, middle), plane.on_plane(middle)) {
                burnt += usize::from(byte(raster, middle).iter().any(|b| *b >= BURNT));
                pixels.push(light.even(linear(raster, middle), on));
            }
        }
    }
    if pixels.len() < PIXELS_LEAST {
        return Err(Refusal::new(format!("What is marked of {name} is too small to tell its colour."))
            .way(Way::advice("Mark a larger part of its face, or take the photograph from nearer.")));
    }
    if burnt as f64 > BURNT_MOST * pixels.len() as f64 {
        return Err(overexposed(name));
    }
    let count = pixels.len() as f64;
    let mean: [f64; 3] = std::array::from_fn(|c| pixels.iter().map(|p| p[c]).sum::<f64>() / count);
    let colour = Lab::from_linear(mean);
    let stray = pixels.iter().map(|p| Lab::from_linear(*p).l - colour.l).map(|off| off * off).sum::<f64>() / count;
    if stray.sqrt() > STRAY_MOST {
        return Err(Refusal::new(format!(
            "What is marked of {name} is not one plain piece: light and dark lie side by side in it."
        ))
        .way(Way::advice("Set its corners on the piece alone, clear of edges, shadows and mirrored lamps.")));
    }
    judge_wood(work, name, colour)?;
    Ok(colour)
}

/// Whether some wood looks like it under the job's finish, or raw.
fn judge_wood(work: &Work, name: &str, colour: Lab) -> Result<(), Refusal> {
    let off = |seen: Lab| delta_e_2000(seen, colour);
    let nearest = work.woods.values().map(|one| off(wood::look(work, one)).min(off(one.colour.value)));
    let nearest = nearest.fold(f64::MAX, f64::min);
    if nearest <= NO_WOOD {
        return Ok(());
    }
    Err(Refusal::new(format!(
        "Where {name} is marked there is no wood: the colour L* {:.0}, a* {:.0}, b* {:.0} is ΔE {nearest:.0} from the nearest.",
        colour.l, colour.a, colour.b
    ))
    .way(Way::advice("Set the corners on the piece's face, and the white on the paper or card beside it.")))
}

#[cfg(test)]
mod tests;
