//! The relief for pages: lit as a picture, and as a solid to turn. A newer wish for one of them stops the older.

use std::sync::atomic::{AtomicU32, Ordering};

use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use image::ExtendedColorType;
use measure::Watch;
use serde::Deserialize;
use workshop::Derived;
use workshop::view::{Light, Pose, Show, Surface};
use workshop::work::{PartId, Refusal, VariantId, WoodId, Work};

use crate::desk::Desk;
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
    greys: Option<bool>,
    /// Seen from so far, mm.
    away: Option<u32>,
    part: Option<u32>,
    set: Option<bool>,
    frame: Option<bool>,
    /// What stands beside it.
    beside: Option<Beside>,
    /// Of that the keys of backers or the numbers of variants, with commas between.
    of: Option<String>,
}

/// What a view is compared with.
#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Beside {
    Picture,
    Backers,
    Variants,
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
            show: if self.greys == Some(true) { Show::Greys } else { Show::Picture },
            away_mm: self.away,
            part: self.part.map(PartId),
            only_set: self.set == Some(true),
            frame: self.frame != Some(false),
            wall: true,
        }
    }

    /// The states of the job that are wished for.
    fn states(&self, work: &Work) -> Result<Vec<Work>, Refusal> {
        let words = || self.of.iter().flat_map(|of| of.split(',')).filter(|word| !word.is_empty()).take(BESIDE_MOST);
        match self.beside {
            Some(Beside::Backers) => {
                workshop::on_backers(work, &words().map(|word| WoodId(word.into())).collect::<Vec<_>>())
            }
            Some(Beside::Variants) => {
                let ids = words().filter_map(|word| word.parse().ok()).map(VariantId).collect::<Vec<_>>();
                workshop::with_variants(work, &ids)
            }
            _ => Ok(vec![work.clone()]),
        }
    }
}

/// More states side by side are too small to judge.
const BESIDE_MOST: usize = 3;

/// The act that makes the newest picture or solid; 0 before the first.
#[derive(Default)]
pub struct Newest(AtomicU32);

/// A PNG.
pub async fn lit(State(house): State<House>, Query(wish): Query<Wish>) -> Result<Response, Trouble> {
    let pose = wish.pose(1200);
    let states = house.desk.with(|table| Ok(wish.states(table.work())?))?;
    let pictured = wish.beside == Some(Beside::Picture);
    let made = made(&house, (&house.desk.lit, "view"), move |_, derived, watch| {
        let picture = derived.picture().cloned().filter(|_| pictured);
        let several = states.len() + usize::from(picture.is_some()) > 1;
        let pose = Pose { width: if several { pose.width / 2 } else { pose.width }, ..pose };
        let lit = workshop::view::compared((&states, picture.as_deref()), derived, pose, watch)?;
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
        let (work, photographs) = desk.with(|table| Ok((table.for_act(derived), table.photographs()?)))?;
        derived.set_photographs(photographs);
        // A page that stopped it, or has gone on to something else, wants no answer.
        if let Some(made) = make(&work, derived, watch) {
            let _ = send.send(made);
        }
        Ok(None)
    });
    newest.0.store(act, Ordering::Relaxed);
    let _unless_answered = Stopped { desk: &house.desk, act };
    receive.await.map_err(|_| Trouble::of("Stopped; no view was made.", "Ask for it again when you are ready."))
}

/// Stops an act when nobody waits for it any more: the page has hung up. One that has ended does not mind.
struct Stopped<'a> {
    desk: &'a Desk,
    act: u32,
}

impl Drop for Stopped<'_> {
    fn drop(&mut self) {
        self.desk.acts.stop(self.act);
    }
}
