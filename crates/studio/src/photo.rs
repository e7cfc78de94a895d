//! A board by its photograph: looked at first, then put on the rack.

use std::sync::{Mutex, PoisonError};

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Multipart, Path as InPath, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use image::ExtendedColorType;
use measure::colour::{Lab, delta_e_2000};
use workshop::picture::{self, Raster};
use workshop::stock::{Photographed, Shot, TestShot, photographed, tested};
use workshop::wood;
use workshop::work::edit::stock;
use workshop::work::edit::wood::Edit as WoodEdit;
use workshop::work::{Edit, WoodId, Work};

use crate::bounds;
use crate::desk::On;
use crate::routes::{Body, House, answer, aside, encoded, parts, png, shrunk};
use crate::see::hex;
use crate::wire::{BoardLook, BoardPut, Delta, TestColour, TestLook, Trouble};

/// The board that was looked at last, and its face as a PNG.
#[derive(Default)]
pub struct Looked(Mutex<Option<(Photographed, Vec<u8>)>>);

impl Looked {
    fn with<T>(&self, what: impl FnOnce(&mut Option<(Photographed, Vec<u8>)>) -> T) -> T {
        what(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Finds the board and its colours in a photograph; nothing is put anywhere yet.
pub async fn look(State(house): State<House>, form: Multipart) -> Result<Json<BoardLook>, Response> {
    let (shot, bytes) = bounds::read(parts::<Shot>(form, ["shot", "photo"])).await?;
    let heavy = house.bounds.heavy().await.map_err(IntoResponse::into_response)?;
    answer(move || {
        let _heavy = heavy;
        looked(&house, shot, &bytes)
    })
    .await
    .map_err(IntoResponse::into_response)
}

fn looked(house: &House, shot: Shot, bytes: &Bytes) -> Result<BoardLook, Trouble> {
    let table = house.desk.with(|table| Ok(table.work().woods.get(&shot.wood).map(|wood| wood.colour.value)))?;
    let Some(table) = table else { return Err(unknown(&shot.wood)) };
    let shot = Shot { reflects: shot.reflects.clamp(0.01, 1.0), ..shot };
    let found = photographed(&picture::read(bytes)?, &shot)?;
    let face: Vec<u8> = found.face.pixels.iter().flatten().copied().collect();
    let face = encoded(&face, found.face.width, found.face.height, ExtendedColorType::Rgba8)?;
    let far = found.board.outline.iter().fold((0, 0), |far, p| (far.0.max(p.x), far.1.max(p.y)));
    let zones = found.board.zones.iter().zip(&found.zones);
    let told = BoardLook {
        length: measure::length::Um(far.0),
        width: measure::length::Um(far.1),
        colour: hex(found.colour),
        lab: thousandths(found.colour),
        off: delta_e_2000(found.colour, table),
        zones: zones.map(|(zone, colour)| (zone.name.clone(), hex(*colour))).collect(),
    };
    house.looked.with(|kept| *kept = Some((found, face)));
    Ok(told)
}

/// Across a photograph that a page shows, at most.
const SHOWN_PX: u32 = 2400;

/// A photograph as a PNG: browsers show fewer kinds than can be read.
pub async fn shown(State(house): State<House>, form: Multipart) -> Result<Response, Response> {
    let (_, bytes) = bounds::read(parts::<serde::de::IgnoredAny>(form, ["asking", "photo"])).await?;
    let heavy = house.bounds.heavy().await.map_err(IntoResponse::into_response)?;
    aside(move || {
        let _heavy = heavy;
        let raster = picture::read(&bytes)?;
        shrunk(raster.pixels.as_flattened().to_vec(), (raster.width, raster.height), SHOWN_PX)
    })
    .await
    .map(png)
    .map_err(IntoResponse::into_response)
}

/// What a photograph shows of finished test pieces; the job stays as it is.
pub async fn test(State(house): State<House>, form: Multipart) -> Result<Json<TestLook>, Response> {
    let (shot, bytes) = bounds::read(parts::<TestShot>(form, ["shot", "photo"])).await?;
    let heavy = house.bounds.heavy().await.map_err(IntoResponse::into_response)?;
    answer(move || {
        let _heavy = heavy;
        let raster = picture::read(&bytes)?;
        house.desk.with(|table| colours(table.work(), &raster, &shot))
    })
    .await
    .map_err(IntoResponse::into_response)
}

fn colours(work: &Work, raster: &Raster, shot: &TestShot) -> Result<TestLook, Trouble> {
    let found = tested(work, raster, shot)?;
    let piece = |(wood, colour): (WoodId, Lab)| {
        let off = work.woods.get(&wood).map_or(0.0, |one| delta_e_2000(wood::look(work, one), colour));
        TestColour { wood, colour: hex(colour), lab: thousandths(colour), off }
    };
    Ok(TestLook { pieces: found.into_iter().map(piece).collect() })
}

fn unknown(wood: &WoodId) -> Trouble {
    Trouble::of(format!("\u{201c}{wood}\u{201d} is no wood of this job."), "Choose one of the list.")
}

fn thousandths(colour: Lab) -> [i32; 3] {
    [colour.l, colour.a, colour.b].map(|value| (value * 1000.0).round() as i32)
}

/// The face of the board that was looked at last.
pub async fn face(State(house): State<House>) -> Response {
    match house.looked.with(|kept| kept.as_ref().map(|(_, face)| face.clone())) {
        Some(bytes) => png(bytes),
        None => (StatusCode::NOT_FOUND, Json(none_yet())).into_response(),
    }
}

/// A board's photograph as the job keeps it.
pub async fn kept(State(house): State<House>, InPath(hash): InPath<String>) -> Response {
    let found = aside(move || house.desk.with(|table| table.photograph(&hash))).await;
    match found {
        Ok(Some(bytes)) => ([(header::CACHE_CONTROL, "max-age=31536000, immutable")], png(bytes)).into_response(),
        Ok(None) => (StatusCode::NOT_FOUND, "There is no such photograph in this job.").into_response(),
        Err(trouble) => trouble.into_response(),
    }
}

fn none_yet() -> Trouble {
    Trouble::of("No board was looked at yet.", "Choose a photograph, say where the board is, and look.")
}

/// Puts that board on the job's rack, with its photograph.
pub async fn put(State(house): State<House>, Body(asked): Body<BoardPut>) -> Result<Json<Delta>, Trouble> {
    answer(move || {
        let (mut found, face) = house.looked.with(|kept| kept.clone()).ok_or_else(none_yet)?;
        house.desk.change(On::Only(asked.at), |job| {
            found.keep_as(job.put_picture(&face)?);
            let edits = edits(&found, asked.own_colour);
            let label = workshop::label_all(job.work(), &edits);
            job.apply(&edits, &label).map(|changes| changes.told)
        })
    })
    .await
}

fn edits(found: &Photographed, own_colour: bool) -> Vec<Edit> {
    let board = &found.board;
    let (wood, lab, from) = (board.wood.clone(), thousandths(found.colour), board.name.clone());
    let own = own_colour.then_some(Edit::Wood(WoodEdit::Measured { wood, lab, from }));
    std::iter::once(Edit::Stock(stock::Edit::Put(Box::new(board.clone())))).chain(own).collect()
}
