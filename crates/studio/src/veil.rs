//! The ground of the picture as a veil to lay over it, by the marks as they stand: drawn again after every mark, so it is to cost
//! next to nothing beside finding the edges.

use std::io::Cursor;

use axum::extract::{Query, State};
use axum::response::Response;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use workshop::Subject;

use crate::routes::{House, Pixels, aside, png};
use crate::wire::Trouble;

/// What lies over the ground: dark grey, and how much of the picture it takes.
const GREY: u8 = 28;
const TAKEN: u8 = 190;

/// The veil as a PNG.
pub async fn veil(State(house): State<House>, Query(asked): Query<Pixels>) -> Result<Response, Trouble> {
    let heavy = house.bounds.heavy().await?;
    aside(move || {
        let _heavy = heavy;
        let made = house.desk.acts.draft(|derived, _| {
            let work = house.desk.with(|table| Ok(table.for_act(derived)))?;
            Ok(workshop::subject(&work, derived)?)
        });
        // A newer one was asked for: the page will not show this.
        let found = made.unwrap_or_else(|| Err(Trouble::stale()))?;
        drawn(&found, asked.or(1200))
    })
    .await
    .map(png)
}

/// The ground veiled, at most so many pixels across.
fn drawn(found: &Subject, across: u32) -> Result<Vec<u8>, Trouble> {
    let across = across.min(found.width);
    let down = (u64::from(across) * u64::from(found.height) / u64::from(found.width)).max(1) as u32;
    let pixels = shrunk(found, across, down);
    let mut bytes = Cursor::new(Vec::new());
    // Rows are mostly like the ones above them, so what is left of each is mostly nothing.
    PngEncoder::new_with_quality(&mut bytes, CompressionType::Fast, FilterType::Up)
        .write_image(&pixels, across, down, ExtendedColorType::La8)
        .map_err(|_| Trouble::broken())?;
    Ok(bytes.into_inner())
}

/// So many pixels across and down, each its grey and how much it takes: the mean over those of the picture that it touches.
fn shrunk(Subject { width, height, inside }: &Subject, across: u32, down: u32) -> Vec<u8> {
    let spans = |of: u32, whole: u32| {
        let edge = move |at: u32| u64::from(at) * u64::from(whole);
        (0..of).map(move |at| ((edge(at) / u64::from(of)) as usize, edge(at + 1).div_ceil(u64::from(of)) as usize))
    };
    let columns: Vec<(usize, usize)> = spans(across, *width).collect();
    let mut pixels = Vec::with_capacity(2 * across as usize * down as usize);
    for (top, low) in spans(down, *height) {
        let rows = &inside[top * *width as usize..low * *width as usize];
        for &(left, right) in &columns {
            let mut ground = 0;
            for row in rows.chunks_exact(*width as usize) {
                ground += row[left..right].iter().filter(|inside| !**inside).count();
            }
            pixels.extend([GREY, (usize::from(TAKEN) * ground / ((low - top) * (right - left))) as u8]);
        }
    }
    pixels
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ground_is_veiled_and_the_subject_is_seen() {
        let (width, height) = (300, 200);
        let inside = (0..width * height).map(|at| at % width < 150 && at / width >= 100).collect();
        let found = Subject { width, height, inside };
        for across in [4000, 300, 100] {
            let veil = image::load_from_memory(&drawn(&found, across).expect("a veil")).expect("a PNG").to_rgba8();
            assert_eq!(veil.dimensions(), (across.min(300), across.min(300) * 2 / 3));
            let at = |x: u32, y: u32| veil[(veil.width() * x / 100, veil.height() * y / 100)];
            assert_eq!([at(20, 80).0[3], at(48, 52).0[3]], [0, 0]);
            assert_eq!([at(20, 20), at(80, 80), at(52, 98)], [image::Rgba([GREY, GREY, GREY, TAKEN]); 3]);
        }
    }
}
