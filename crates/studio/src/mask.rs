//! A mask for the picture of the open job, given or taken away.

use axum::Json;
use axum::extract::{Multipart, State};
use axum::response::{IntoResponse, Response};
use workshop::picture::{masked, read};
use workshop::{masked_picture, unmasked_picture};

use crate::begin::kept_as;
use crate::bounds;
use crate::desk::On;
use crate::routes::{House, all_parts, answer};
use crate::wire::{At, Delta, Trouble};

/// Lays the mask that was sent over the picture; without one takes the job's mask away.
pub async fn mask(State(house): State<House>, form: Multipart) -> Result<Json<Delta>, Response> {
    let (At { at }, mut files) = bounds::read(all_parts::<At>(form, "asking")).await?;
    let mask = files.remove("mask");
    let heavy = house.bounds.heavy().await.map_err(IntoResponse::into_response)?;
    answer(move || {
        let _heavy = heavy;
        match mask {
            Some(mask) => laid(&house, at, &mask),
            None => house
                .desk
                .change(On::Only(at), |job| Ok(job.apply(&unmasked_picture(job.work())?, "take the mask away")?.told)),
        }
    })
    .await
    .map_err(IntoResponse::into_response)
}

fn laid(house: &House, at: u64, mask: &[u8]) -> Result<Delta, Trouble> {
    let whole = house.desk.with(|table| table.unmasked_picture())?;
    let picture = whole.map(|whole| kept_as(&masked(&read(&whole)?, mask)?)).transpose()?.unwrap_or_default();
    house.desk.change(On::Only(at), |job| {
        let edits = masked_picture(job.work(), job::picture_hash(&picture))?;
        job.put_picture(&picture)?;
        Ok(job.apply(&edits, "mask the picture")?.told)
    })
}
