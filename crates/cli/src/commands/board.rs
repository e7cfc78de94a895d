//! `spelk board`: a photograph of a board beside white paper or a grey card puts the board on the rack.

use job::ShopFile;
use measure::length::mm_text;
use serde_json::json;
use workshop::picture;
use workshop::stock::{Photographed, Shot, photographed};
use workshop::wood;
use workshop::work::{Shop, ShopEdit, Sourced, Wood, WoodId};

use crate::args::{Board, length};
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;

/// What white copy paper and a photographer's grey card give back: from memory.
const PAPER: f64 = 0.9;
const GREY_CARD: f64 = 0.18;

/// The source of an own colour; how it begins says that it is the maker's own.
const OWN: &str = "own photograph of ";

pub fn run(typed: &Board) -> Result<Outcome, Failure> {
    if let Some(out) = &typed.face {
        files::is_png(out, "a board's face")?;
    }
    let path = typed.file.clone().map_or_else(ShopFile::usual_path, Ok)?;
    let raster = files::within(&typed.photo, picture::read(&files::read_picture(&typed.photo)?))?;
    let named = known(&ShopFile::look(&path)?, &WoodId(typed.wood.clone()))?;
    let mut found = photographed(&raster, &shot(typed)?)?;
    let face = files::png_of(&found.face);
    if let Some(out) = &typed.face {
        files::write(out, &face)?;
    }
    if !typed.look {
        let mut shop = ShopFile::open(&path)?;
        found.keep_as(shop.put_photograph(&face)?);
        shop.apply(&edits(typed, named, &found), "bring in a board by its photograph")?;
    }
    tell(typed, &found);
    Ok(Outcome::Done)
}

fn known(shop: &Shop, id: &WoodId) -> Result<Wood, Failure> {
    let found = shop.woods.get(id).cloned().or_else(|| wood::table().remove(id));
    found.ok_or_else(|| {
        Failure::Typed(format!(
            "There is no wood {}: name one by its key, as in walnut-black; spelk woods with --piece offers some.",
            id.0
        ))
    })
}

fn shot(typed: &Board) -> Result<Shot, Failure> {
    Ok(Shot {
        corners: four(&typed.corners, "--corners")?,
        white: four(&typed.white, "--white")?,
        reflects: reflects(typed.grey_card, typed.reflects),
        length: length(&typed.length)?,
        width: typed.width.as_deref().map(length).transpose()?,
        thickness: length(&typed.thickness)?,
        name: typed.name.clone(),
        wood: WoodId(typed.wood.clone()),
    })
}

/// The share that the white gives back, as typed in percent.
pub(super) fn reflects(grey_card: bool, percent: Option<f64>) -> f64 {
    if grey_card { GREY_CARD } else { percent.map_or(PAPER, |share| share / 100.0) }
}

/// Four places as typed, percent of the photograph's width and height.
pub(super) fn four(text: &str, flag: &str) -> Result<[(f64, f64); 4], Failure> {
    let place = |pair: &str| {
        let (x, y) = pair.split_once(',')?;
        let share = |text: &str| text.trim().parse::<f64>().ok().filter(|v| v.is_finite()).map(|v| v / 100.0);
        Some((share(x)?, share(y)?))
    };
    let places: Option<Vec<(f64, f64)>> = text.split_whitespace().map(place).collect();
    places.and_then(|places| places.try_into().ok()).ok_or_else(|| {
        Failure::Typed(format!(
            "{flag} takes four places in percent of the photograph, as in \"10,20 90,22 91,60 9,58\"."
        ))
    })
}

fn edits(typed: &Board, named: Wood, found: &Photographed) -> Vec<ShopEdit> {
    let board = ShopEdit::PutBoard { id: None, board: Box::new(found.board.clone()) };
    let own = typed.own_colour.then(|| {
        let colour = Sourced { value: found.colour, source: format!("{OWN}{}", typed.name) };
        ShopEdit::PutWood(Box::new(Wood { colour, measured: true, ..named }))
    });
    own.into_iter().chain([board]).collect()
}

fn tell(typed: &Board, found: &Photographed) {
    if typed.json {
        say!("{}", json!({"board": found.board, "colour": found.colour, "zones": found.zones}));
        return;
    }
    let corner = found.board.outline[2];
    let [long, wide] = [corner.x, corner.y].map(|um| mm_text(measure::length::Um(um)));
    let colour = found.colour;
    say!("{}: {long} by {wide}, L* {:.1}, a* {:.1}, b* {:.1}", found.board.name, colour.l, colour.a, colour.b);
    for zone in &found.board.zones {
        say!("  {}", zone.name);
    }
}
