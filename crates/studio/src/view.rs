//! The relief for pages: lit as a picture, and as a solid to turn. A newer wish for one of them stops the older.

use std::sync::atomic::{AtomicU32, Ordering};

use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use image::ExtendedColorType;
use measure::Watch;
use serde::Deserialize;
use workshop::Derived;
use workshop::view::{Light, Pose, Surface};
use workshop::work::Work;

use crate::routes::{House, PIXELS_MOST, encoded, png};
use crate::wire::Trouble;

/// How a page wants to see it; what it leaves out is as `Pose` has it.
#[derive(Deserialize)]
pub struct Wish {
    px: Option<u32>,
    raw: Option<bool>,
    years: Option<u32>,
    gloss: Option<u32>,
    aside: Option<i32>,
    from: Option<u32>,
    height: Option<u32>,
}

impl Wish {
    fn pose(&self, usual: u32) -> Pose {
        let plain = Pose::default();
        let light = Light {
            from: self.from.unwrap_or(plain.light.from),
            height: self.height.unwrap_or(plain.light.height),
            ..plain.light
        };
        Pose {
            width: self.px.unwrap_or(usual).clamp(16, PIXELS_MOST),
            light,
            surface: if self.raw == Some(true) { Surface::Raw } else { Surface::Finished },
            years: self.years.unwrap_or(0),
            gloss: self.gloss.unwrap_or(plain.gloss),
            aside: self.aside.unwrap_or(0),
            ..plain
        }
    }
}

/// The act that makes the newest picture or solid; 0 before the first.
#[derive(Default)]
pub struct Newest(AtomicU32);

/// A PNG.
pub async fn lit(State(house): State<House>, Query(wish): Query<Wish>) -> Result<Response, Trouble> {
    let pose = wish.pose(1200);
    let made = made(&house, (&house.desk.lit, "view"), move |work, derived, watch| {
        let lit = workshop::view::render(work, derived, pose, watch)?;
        Some(encoded(&lit.pixels, lit.width, lit.height, ExtendedColorType::Rgb8))
    });
    made.await?.map(png)
}

/// A binary glTF.
pub async fn solid(State(house): State<House>, Query(wish): Query<Wish>) -> Result<Response, Trouble> {
    let pose = wish.pose(1600);
    let make = move |work: &Work, derived: &mut Derived, watch: Watch| workshop::view::glb(work, derived, pose, watch);
    let bytes = made(&house, (&house.desk.solid, "solid"), make).await?;
    Ok(([(header::CONTENT_TYPE, "model/gltf-binary")], bytes).into_response())
}

async fn made<T: Send + 'static>(
    house: &House,
    (newest, name): (&Newest, &'static str),
    make: impl FnOnce(&Work, &mut Derived, Watch) -> Option<T> + Send + 'static,
) -> Result<T, Trouble> {
    let (send, receive) = tokio::sync::oneshot::channel();
    house.desk.acts.stop(newest.0.load(Ordering::Relaxed));
    let act = house.desk.acts.begin(&house.desk, name, move |desk, derived, watch| {
        let (work, photographs) = desk.with(|table| Ok((table.work().clone(), table.photographs()?)))?;
        derived.set_photographs(photographs);
        // A page that stopped it, or has gone on to something else, wants no answer.
        if let Some(made) = make(&work, derived, watch) {
            let _ = send.send(made);
        }
        Ok(None)
    });
    newest.0.store(act, Ordering::Relaxed);
    receive.await.map_err(|_| Trouble::of("Stopped; no view was made.", "Ask for it again when you are ready."))
}
