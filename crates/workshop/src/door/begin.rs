//! How a job begins: from a picture's size, or a drawing's, and a few wishes to the first edits.

use measure::length::{Um, parse};

use super::framing;
use crate::picture::fitted;
use crate::work::edit::{Edit, picture, setup};
use crate::work::{Framing, PictureRef, Refusal, Size, Stock, StockKind, Unit, Way, WoodId};

/// What a maker says at the beginning.
#[derive(Clone, Debug)]
pub struct Beginning {
    /// The work's title.
    pub title: String,
    /// The finished size.
    pub panel: Size,
    /// The unit shown.
    pub unit: Unit,
    /// What the pieces are sawn from.
    pub stock: Stock,
    /// At most this many woods.
    pub woods_most: u32,
    /// The wood of the backer's face.
    pub backer: WoodId,
    /// The picture and its papers; an own drawing has none.
    pub picture: Option<PictureRef>,
}

impl Beginning {
    /// The panel that a picture fills at a width, by what is seen of it.
    pub fn panel(width: Um, picture: &PictureRef) -> Result<Size, Refusal> {
        let (across, down) = framing::sound_inside(picture)?;
        Ok(Size { width, height: Um::mm(width.to_mm() * down / across) })
    }

    /// A turn with as much of the picture as lies upright in it.
    pub fn turned(turn: i32, picture: &PictureRef) -> Framing {
        let whole = Framing { turn, ..Framing::default() };
        fitted(&whole, picture).unwrap_or(whole)
    }
}

/// The edits that begin a job.
pub fn begin(said: Beginning) -> Vec<Edit> {
    let mut edits = vec![
        Edit::Setup(setup::Edit::Title(said.title)),
        Edit::Setup(setup::Edit::Unit(said.unit)),
        Edit::Setup(setup::Edit::Panel(said.panel)),
        Edit::Setup(setup::Edit::Stock(said.stock)),
        Edit::Setup(setup::Edit::WoodsMost(said.woods_most)),
        Edit::Setup(setup::Edit::Backer(said.backer)),
    ];
    edits.extend(said.picture.map(|picture| Edit::Picture(picture::Edit::Place(picture))));
    edits
}

/// Stock as a maker says it: `thin`, `thick`, or thicknesses parted by commas, as in `3mm, 6mm, 1/4in`. The usual
/// sizes are those of the job's unit. The limits of own thicknesses are those of thin plates or thick stock, whichever the
/// middle one is nearer.
pub fn stock(said: &str, unit: Unit) -> Result<Stock, Refusal> {
    match (said.trim(), unit) {
        ("thin", Unit::Mm) => return Ok(Stock::thin()),
        ("thick", Unit::Mm) => return Ok(Stock::thick()),
        ("thin", Unit::Inch) => return Ok(Stock::thin_in_inches()),
        ("thick", Unit::Inch) => return Ok(Stock::thick_in_inches()),
        _ => {}
    }
    let mut thicknesses = Vec::new();
    for one in said.split(',') {
        let advice = "Say thin, thick, or your thicknesses, as in 3mm, 6mm, 1/4in.";
        thicknesses.push(parse(one.trim()).map_err(|error| Refusal::new(error.to_string()).way(Way::advice(advice)))?);
    }
    thicknesses.sort();
    thicknesses.dedup();
    let (first, last) = (thicknesses[0], thicknesses[thicknesses.len() - 1]);
    let base = match (thicknesses[thicknesses.len() / 2] < Um(9000), unit) {
        (true, Unit::Mm) => Stock::thin(),
        (false, Unit::Mm) => Stock::thick(),
        (true, Unit::Inch) => Stock::thin_in_inches(),
        (false, Unit::Inch) => Stock::thick_in_inches(),
    };
    let highest = Um(last.0 + base.raisers.last().map_or(0, |raiser| raiser.0));
    Ok(Stock { kind: StockKind::List, thicknesses, lowest: first, highest, ..base })
}
