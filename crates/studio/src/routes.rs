//! Paths and what they answer. What takes long runs on threads of its own; nothing here knows a rule of the trade.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::body::Bytes;
use axum::extract::multipart::MultipartError;
use axum::extract::rejection::JsonRejection;
use axum::extract::{DefaultBodyLimit, FromRequest, Multipart, Path as InPath, Query, Request, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router, middleware};
use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder, imageops};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::wrappers::errors::BroadcastStreamRecvError;
use tokio_stream::{Stream, StreamExt};
use workshop::sheets::{Kind, Sheet, Wanted};
use workshop::work::{Ask, Edit, Refusal, Spot};

use crate::bounds::{self, BODY_MOST, Bounds, PICTURE_MOST, weigh};
use crate::desk::{Desk, On, Told};
use crate::guard::{Guard, watch};
use crate::serve::Demo;
use crate::wire::{
    Accept, AskFor, Asking, At, Chosen, Desk as DeskSeen, DraftFor, EditBody, Hello, Judged, Offers, OffersFor, Open,
    Recent, Sawn, Section, SectionFor, SheetsFor, Started, Stop, Tones, Trouble, Within,
};
use crate::{begin, draft, mask, offers, photo, saw, veil, view};

/// The most pixels across of a picture or view for a page.
pub(crate) const PIXELS_MOST: u32 = 4000;

/// What every request can reach.
#[derive(Clone)]
pub struct House {
    /// The desk.
    pub desk: Arc<Desk>,
    /// Who may ask.
    pub guard: Arc<Guard>,
    /// Makes the demo's job.
    pub demo: Arc<Demo>,
    /// The sheets that were last made.
    pub made: Arc<Mutex<Vec<Sheet>>>,
    /// What requests may take together.
    pub bounds: Arc<Bounds>,
    /// The board that was last looked at in a photograph.
    pub looked: Arc<photo::Looked>,
}

/// All paths.
pub fn all(house: House) -> Router {
    let (guard, bounds) = (house.guard.clone(), house.bounds.clone());
    Router::new()
        .route("/open", get(let_in))
        .route("/knock", post(knock))
        .route("/api/desk", get(desk))
        .route("/api/seen", get(seen))
        .route("/api/events", get(events))
        .route("/api/start", post(start).layer(DefaultBodyLimit::max(PICTURE_MOST)))
        .route("/api/mask", post(mask::mask).layer(DefaultBodyLimit::max(PICTURE_MOST)))
        .route("/api/board/look", post(photo::look).layer(DefaultBodyLimit::max(PICTURE_MOST)))
        .route("/api/board/face.png", get(photo::face))
        .route("/api/board/put", post(photo::put))
        .route("/api/photograph/{hash}", get(photo::kept))
        .route("/api/shown", post(photo::shown).layer(DefaultBodyLimit::max(PICTURE_MOST)))
        .route("/api/demo", post(demo))
        .route("/api/open", post(open))
        .route("/api/edit", post(edit))
        .route("/api/undo", post(undo))
        .route("/api/redo", post(redo))
        .route("/api/draft", post(drafted))
        .route("/api/accept", post(accept))
        .route("/api/ask", post(ask))
        .route("/api/act/stop", post(stop))
        .route("/api/within", post(within))
        .route("/api/section", post(section))
        .route("/api/woods", post(woods))
        .route("/api/tones", get(tones))
        .route("/api/woods/judged", get(judged))
        .route("/api/saw", get(sawn))
        .route("/api/woods/test", post(photo::test).layer(DefaultBodyLimit::max(PICTURE_MOST)))
        .route("/api/picture.png", get(picture))
        .route("/api/subject.png", get(veil::veil))
        .route("/api/view.png", get(view::lit))
        .route("/api/view.glb", get(view::solid))
        .route("/api/sheets", get(sheets_made).post(sheets))
        .route("/api/sheets/{name}", get(sheet))
        .fallback(page)
        .layer(DefaultBodyLimit::max(BODY_MOST))
        .layer(middleware::from_fn_with_state(bounds, weigh))
        // Outermost, so that a stranger takes no room.
        .layer(middleware::from_fn_with_state(guard, watch))
        .with_state(house)
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let status = if self.stale { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
        (status, Json(self)).into_response()
    }
}

/// JSON that says what is wrong with it in the form of every other refusal.
pub(crate) struct Body<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Body<T> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Body<T>, Response> {
        let unread = |rejected: JsonRejection| {
            let trouble = Trouble::of(
                rejected.body_text(),
                "This is a fault of the page: load it again, and report it if it stays.",
            );
            (rejected.status(), Json(trouble)).into_response()
        };
        bounds::read(async { Json::from_request(request, state).await.map(|Json(value)| Body(value)).map_err(unread) })
            .await
    }
}

/// Runs what may block away from the threads that answer.
pub(crate) async fn aside<T: Send + 'static>(
    what: impl FnOnce() -> Result<T, Trouble> + Send + 'static,
) -> Result<T, Trouble> {
    tokio::task::spawn_blocking(what).await.map_err(|_| Trouble::broken())?
}

pub(crate) async fn answer<T: Serialize + Send + 'static>(
    what: impl FnOnce() -> Result<T, Trouble> + Send + 'static,
) -> Result<Json<T>, Trouble> {
    aside(what).await.map(Json)
}

#[derive(Deserialize)]
struct Token {
    token: String,
}

async fn let_in(State(house): State<House>, Query(asked): Query<Token>) -> Response {
    house.guard.let_in(&asked.token)
}

async fn knock(State(house): State<House>, headers: HeaderMap) -> Response {
    if house.guard.knows(&headers) {
        house.guard.invitation().into_response()
    } else {
        (StatusCode::FORBIDDEN, "This is no key of this spelk.").into_response()
    }
}

/// A file of the pages; every address that is no file is one of the pages' own places.
async fn page(uri: Uri) -> Response {
    let name = uri.path().trim_start_matches('/');
    if name.starts_with("api") {
        return (StatusCode::NOT_FOUND, "There is nothing at this address.").into_response();
    }
    let found =
        ui_assets::asset(name).or_else(|| (!name.contains('.')).then(|| ui_assets::asset("index.html")).flatten());
    match found {
        Some(asset) => {
            let keep = if asset.lasting { "max-age=31536000, immutable" } else { "no-cache" };
            ([(header::CONTENT_TYPE, asset.kind), (header::CACHE_CONTROL, keep)], asset.bytes).into_response()
        }
        None => (StatusCode::NOT_FOUND, "There is nothing at this address.").into_response(),
    }
}

async fn desk(State(house): State<House>) -> Result<Json<DeskSeen>, Trouble> {
    answer(move || {
        let recent = job::recent::list().into_iter();
        Ok(DeskSeen {
            job: house.desk.path().map(|path| path.display().to_string()),
            recent: recent
                .map(|one| Recent { path: one.path.display().to_string(), title: one.title, when: one.when })
                .collect(),
            folder: house.desk.folder.display().to_string(),
            version: env!("CARGO_PKG_VERSION").into(),
        })
    })
    .await
}

async fn seen(State(house): State<House>) -> Result<impl IntoResponse, Trouble> {
    answer(move || house.desk.seen()).await
}

async fn events(State(house): State<House>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    // Listening begins before the revision is read, so that no change falls between.
    let later = BroadcastStream::new(house.desk.listen());
    let revision = house.desk.revision();
    let hello = serde_json::to_string(&Hello { revision }).expect("a number has a text form");
    let first = tokio_stream::once(Event::default().event("hello").data(hello));
    let later = later.map(move |told| match told {
        Ok(told) => event(&told),
        Err(BroadcastStreamRecvError::Lagged(_)) => Event::default().event("resync").data("null"),
    });
    Sse::new(first.chain(later).map(Ok)).keep_alive(KeepAlive::new().interval(Duration::from_secs(10)))
}

fn event(told: &Told) -> Event {
    let event = Event::default().event(told.name).data(&told.data);
    match told.id {
        Some(id) => event.id(id.to_string()),
        None => event,
    }
}

async fn start(State(house): State<House>, form: Multipart) -> Result<impl IntoResponse, Response> {
    let (asking, mut files) = bounds::read(all_parts::<Asking>(form, "asking")).await?;
    let bytes = files.remove("picture").ok_or_else(|| missing().into_response())?;
    let mask = files.remove("mask");
    let heavy = house.bounds.heavy().await.map_err(IntoResponse::into_response)?;
    answer(move || {
        let _heavy = heavy;
        house.desk.put(begin::begin(&asking, (&bytes, mask.as_deref()), &house.desk.folder)?)
    })
    .await
    .map_err(IntoResponse::into_response)
}

/// What is asked, and the picture's bytes: a form of two parts of these names.
pub(crate) async fn parts<T: DeserializeOwned>(
    form: Multipart,
    [words, picture]: [&str; 2],
) -> Result<(T, Bytes), Response> {
    let (asking, mut files) = all_parts(form, words).await?;
    Ok((asking, files.remove(picture).ok_or_else(|| missing().into_response())?))
}

fn missing() -> Trouble {
    Trouble::of("A picture and the words beside it are needed.", "Choose a picture, fill the fields, and try again.")
}

/// What is asked, and every file beside it by the name of its part.
pub(crate) async fn all_parts<T: DeserializeOwned>(
    mut form: Multipart,
    words: &str,
) -> Result<(T, BTreeMap<String, Bytes>), Response> {
    let (mut asking, mut files) = (None, BTreeMap::new());
    let broken = |error: MultipartError| {
        let way = "Choose a picture of 128 MB at the most, and try again.";
        (error.status(), Json(Trouble::of(format!("The picture did not come whole: {}.", error.body_text()), way)))
            .into_response()
    };
    while let Some(field) = form.next_field().await.map_err(broken)? {
        match field.name().map(str::to_owned) {
            Some(name) if name == words => asking = Some(field.text().await.map_err(broken)?),
            Some(name) if files.len() < FILES_MOST => {
                files.insert(name, field.bytes().await.map_err(broken)?);
            }
            _ => {}
        }
    }
    let asking = asking.ok_or_else(|| missing().into_response())?;
    let asking = serde_json::from_str(&asking).map_err(|error| {
        Trouble::of(format!("What was asked cannot be read: {error}."), "Load the page again.").into_response()
    })?;
    Ok((asking, files))
}

/// A picture and its mask.
const FILES_MOST: usize = 2;

async fn demo(State(house): State<House>) -> Result<impl IntoResponse, Trouble> {
    answer(move || {
        let path = (house.demo)(&house.desk.folder)?;
        house.desk.open(&path)
    })
    .await
}

async fn open(State(house): State<House>, Body(asked): Body<Open>) -> Result<impl IntoResponse, Trouble> {
    answer(move || house.desk.open(Path::new(&asked.path))).await
}

async fn edit(State(house): State<House>, Body(asked): Body<EditBody>) -> Result<impl IntoResponse, Trouble> {
    answer(move || house.desk.edit(Some(asked.at), &asked.edits)).await
}

async fn undo(State(house): State<House>, Body(At { at }): Body<At>) -> Result<impl IntoResponse, Trouble> {
    answer(move || house.desk.change(On::Only(at), |job| job.undo().map(|_| Vec::new()))).await
}

async fn redo(State(house): State<House>, Body(At { at }): Body<At>) -> Result<impl IntoResponse, Trouble> {
    answer(move || house.desk.change(On::Only(at), |job| job.redo().map(|_| Vec::new()))).await
}

async fn drafted(State(house): State<House>, Body(asked): Body<DraftFor>) -> Result<Response, Trouble> {
    let made = aside(move || draft::draft(&house.desk, asked)).await?;
    // A newer draft was asked for: nothing to show, and no fault.
    Ok(made.map_or_else(|| StatusCode::NO_CONTENT.into_response(), |draft| Json(draft).into_response()))
}

async fn accept(State(house): State<House>, Body(asked): Body<Accept>) -> Result<Json<Started>, Trouble> {
    answer(move || {
        let trace = house.desk.with(|table| Ok(table.work().choices.trace.clone()))?;
        let choices = workshop::work::TraceChoices { pieces: draft::in_bounds(asked.pieces)?, ..trace };
        Ok(Started { act: ask_for(&house.desk, Ask::Trace(choices)) })
    })
    .await
}

async fn ask(State(house): State<House>, Body(asked): Body<AskFor>) -> Result<Json<Started>, Trouble> {
    answer(move || Ok(Started { act: ask_for(&house.desk, asked.ask) })).await
}

/// Works out an answer beside the door and takes it, if what it rests on still stands.
fn ask_for(desk: &Arc<Desk>, ask: Ask) -> u32 {
    let name = match &ask {
        Ask::Trace(_) => "trace",
        Ask::TurnGrain => "turn_grain",
        Ask::ChooseWoods => "choose_woods",
        Ask::WorkOutHeights => "work_out_heights",
        Ask::MendHeights => "mend_heights",
        Ask::LayOut { .. } => "lay_out",
    };
    desk.acts.begin(desk, name, move |desk, derived, watch| {
        let work = desk.with(|table| Ok(table.for_act(derived)))?;
        let traced = matches!(ask, Ask::Trace(_));
        let paper = if traced { desk.with(|table| table.paper())? } else { None };
        derived.set_paper(paper.map(|bytes| workshop::picture::read(&bytes)).transpose()?.map(Arc::new));
        let proposal = workshop::propose(&work, derived, &ask, watch)?;
        // Of a layout the best so far is as sound as the last; of other acts a half is none.
        if !proposal.done && !matches!(ask, Ask::LayOut { .. }) {
            return Err(Trouble::of("Stopped; nothing was changed.", "Ask again when you are ready."));
        }
        let outcome = workshop::stock::outcome(&work, &proposal);
        desk.edit(None, &[Edit::Take(Box::new(proposal))])?;
        if let Some(told) = outcome {
            return Ok(Some(said(told.to_owned())));
        }
        if ask != Ask::WorkOutHeights {
            return Ok(None);
        }
        let price = workshop::relief::price_of_settings(&work, &derived.outlines(&work), watch).ok().flatten();
        let told = price.map(|price| workshop::relief::price_in_words(&work, &price));
        Ok(told.map(said))
    })
}

/// What an act says of itself though nothing went wrong.
fn said(what: String) -> Trouble {
    Trouble { what, spot: Spot::default(), ways: Vec::new(), stale: false }
}

async fn stop(State(house): State<House>, Body(Stop { act }): Body<Stop>) -> StatusCode {
    // An act that has just ended needs no stopping.
    house.desk.acts.stop(act);
    StatusCode::NO_CONTENT
}

async fn section(State(house): State<House>, Body(asked): Body<SectionFor>) -> Result<Json<Section>, Trouble> {
    answer(move || house.desk.with(|table| draft::section(table, &asked))).await
}

async fn within(State(house): State<House>, Body(asked): Body<Within>) -> Result<Json<Chosen>, Trouble> {
    answer(move || house.desk.with(|table| draft::within(table, &asked))).await
}

async fn woods(State(house): State<House>, Body(asked): Body<OffersFor>) -> Result<Json<Offers>, Trouble> {
    answer(move || house.desk.with(|table| offers::woods(table, &asked))).await
}

async fn judged(State(house): State<House>) -> Result<Json<Judged>, Trouble> {
    answer(move || house.desk.with(offers::judged)).await
}

async fn sawn(State(house): State<House>) -> Result<Json<Sawn>, Trouble> {
    answer(move || house.desk.with(saw::sawn)).await
}

async fn tones(State(house): State<House>) -> Result<Json<Tones>, Trouble> {
    answer(move || house.desk.with(offers::tones)).await
}

#[derive(Deserialize)]
pub(crate) struct Pixels {
    px: Option<u32>,
    /// With what the framing leaves out.
    #[serde(default)]
    whole: bool,
}

impl Pixels {
    /// So many pixels across, as asked or as usual.
    pub(crate) fn or(&self, usual: u32) -> u32 {
        self.px.unwrap_or(usual).clamp(16, PIXELS_MOST)
    }
}

pub(crate) fn png(bytes: Vec<u8>) -> Response {
    ([(header::CONTENT_TYPE, "image/png")], bytes).into_response()
}

async fn picture(State(house): State<House>, Query(asked): Query<Pixels>) -> Result<Response, Trouble> {
    let heavy = house.bounds.heavy().await?;
    aside(move || {
        let _heavy = heavy;
        let (framed, sheet) = house.desk.with(|table| {
            let picture = if asked.whole { table.whole_picture()? } else { table.picture() };
            Ok(if picture.is_some() { (picture, None) } else { (None, table.sheet()?) })
        })?;
        let straightened = |(bytes, sheet): (Vec<u8>, _)| -> Result<_, Refusal> {
            let photograph = workshop::picture::read(&bytes)?;
            let seen = if asked.whole { photograph } else { workshop::picture::sheet(&photograph, &sheet)? };
            Ok(Arc::new(seen))
        };
        let raster = framed.or(sheet.map(straightened).transpose()?);
        let raster = raster.ok_or_else(|| Trouble::of("This job has no picture.", "Draw on the pattern itself."))?;
        shrunk(raster.pixels.as_flattened().to_vec(), (raster.width, raster.height), asked.or(1200))
    })
    .await
    .map(png)
}

/// Pixels of four bytes as a PNG at most so many across.
pub(crate) fn shrunk(pixels: Vec<u8>, (width, height): (u32, u32), across: u32) -> Result<Vec<u8>, Trouble> {
    let whole = image::RgbaImage::from_raw(width, height, pixels).ok_or_else(Trouble::broken)?;
    let across = across.min(width);
    let down = (u64::from(across) * u64::from(height) / u64::from(width)).max(1) as u32;
    let small = imageops::resize(&whole, across, down, imageops::FilterType::Triangle);
    encoded(&small, across, down, ExtendedColorType::Rgba8)
}

pub(crate) fn encoded(pixels: &[u8], width: u32, height: u32, kind: ExtendedColorType) -> Result<Vec<u8>, Trouble> {
    let mut bytes = Cursor::new(Vec::new());
    PngEncoder::new(&mut bytes).write_image(pixels, width, height, kind).map_err(|_| Trouble::broken())?;
    Ok(bytes.into_inner())
}

async fn sheets(State(house): State<House>, Body(asked): Body<SheetsFor>) -> Result<Json<Started>, Trouble> {
    let kinds = asked.only.iter().map(|name| Kind::named(name)).collect::<Result<_, Refusal>>()?;
    let wanted = Wanted {
        only: kinds,
        part: asked.part,
        piece: asked.piece,
        many: asked.many,
        ..Wanted::book(workshop::sheets::paper(&asked.paper)?)
    };
    let act = house.desk.acts.begin(&house.desk.clone(), "sheets", move |desk, derived, watch| {
        let work = desk.with(|table| Ok(table.for_act(derived)))?;
        let made = workshop::sheets::book(&work, derived, &wanted, watch)?;
        *house.made.lock().unwrap_or_else(PoisonError::into_inner) = made;
        Ok(None)
    });
    Ok(Json(Started { act }))
}

async fn sheets_made(State(house): State<House>) -> Json<Vec<String>> {
    Json(house.made.lock().unwrap_or_else(PoisonError::into_inner).iter().map(|sheet| sheet.name.clone()).collect())
}

async fn sheet(State(house): State<House>, InPath(name): InPath<String>) -> Response {
    let made = house.made.lock().unwrap_or_else(PoisonError::into_inner);
    let Some(sheet) = made.iter().find(|sheet| sheet.name == name) else {
        let trouble = Trouble::of("This sheet is not made.", "Make the sheets first.");
        return (StatusCode::NOT_FOUND, Json(trouble)).into_response();
    };
    let kind = match PathBuf::from(&sheet.name).extension().and_then(|ending| ending.to_str()) {
        Some("pdf") => "application/pdf",
        Some("svg") => "image/svg+xml",
        Some("csv") => "text/csv; charset=utf-8",
        _ => "application/octet-stream",
    };
    // Names of sheets are our own: letters, digits, dots and hyphens.
    let saved = format!("attachment; filename=\"{}\"", sheet.name);
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, saved)], sheet.bytes.clone())
        .into_response()
}
