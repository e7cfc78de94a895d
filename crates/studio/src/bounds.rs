//! Memory that requests may take together, beside what each may take alone.
//!
//! A body waits, unread, until there is room for all of it; the sender meanwhile is held up by the network. What is decoded or
//! drawn takes many times its bytes and goes one at a time.

use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use tokio::sync::{Semaphore, SemaphorePermit};
use tokio::time::timeout;

use crate::wire::Trouble;

/// The largest body of a request with edits, bytes: a lasso of ten thousand corners is under one of them.
pub const BODY_MOST: usize = 8 * 1024 * 1024;
/// The largest picture, bytes.
pub const PICTURE_MOST: usize = 128 * 1024 * 1024;

/// Pictures on their way together, bytes: one of the largest, or many as cameras make them.
const PICTURES_TOGETHER: usize = PICTURE_MOST + 32 * 1024 * 1024;
/// Other bodies on their way together, bytes.
const BODIES_TOGETHER: usize = 4 * BODY_MOST;
/// Room is given in pieces of so many bytes.
const GRAIN: usize = 1024;
/// Who waits longer than this for room is told so.
const WAIT_MOST: Duration = Duration::from_secs(60);
/// A body that is not there whole after this is given up: it keeps room from others. A picture goes over loopback in one second.
const BODY_WITHIN: Duration = Duration::from_secs(60);

/// What is shared by all requests.
pub struct Bounds {
    pictures: Semaphore,
    bodies: Semaphore,
    heavy: Arc<Semaphore>,
}

impl Bounds {
    /// All room free.
    pub fn new() -> Bounds {
        let room = |bytes: usize| Semaphore::new(bytes / GRAIN);
        Bounds { pictures: room(PICTURES_TOGETHER), bodies: room(BODIES_TOGETHER), heavy: Arc::new(Semaphore::new(1)) }
    }

    /// The right to decode or draw a whole picture, until dropped.
    pub async fn heavy(&self) -> Result<tokio::sync::OwnedSemaphorePermit, Trouble> {
        timeout(WAIT_MOST, self.heavy.clone().acquire_owned()).await.ok().and_then(Result::ok).ok_or_else(busy)
    }

    async fn room(&self, picture: bool, headers: &HeaderMap) -> Option<SemaphorePermit<'_>> {
        let (of, most) = if picture { (&self.pictures, PICTURE_MOST) } else { (&self.bodies, BODY_MOST) };
        let said = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
        // What says no length may be of any, and what says too much is refused before it is read.
        let wanted = said.unwrap_or(most).min(most).div_ceil(GRAIN) as u32;
        timeout(WAIT_MOST, of.acquire_many(wanted)).await.ok()?.ok()
    }
}

fn busy() -> Trouble {
    Trouble::of("spelk is busy with other pictures.", "Wait until they are done, then try again.")
}

/// Waits until there is room for a body, reads and answers it, and gives the room back.
pub async fn weigh(State(bounds): State<Arc<Bounds>>, request: Request, next: Next) -> Response {
    if request.method().is_safe() {
        return next.run(request).await;
    }
    let pictures = ["/api/start", "/api/mask", "/api/board/look", "/api/woods/test", "/api/shown"];
    let picture = pictures.contains(&request.uri().path());
    let Some(_room) = bounds.room(picture, request.headers()).await else {
        return (StatusCode::SERVICE_UNAVAILABLE, Json(busy())).into_response();
    };
    next.run(request).await
}

/// What comes of reading a body, or that it did not come.
pub async fn read<T>(reading: impl Future<Output = Result<T, Response>>) -> Result<T, Response> {
    let late = || {
        let trouble = Trouble::of("What was sent did not come whole.", "Try again.");
        (StatusCode::REQUEST_TIMEOUT, Json(trouble)).into_response()
    };
    timeout(BODY_WITHIN, reading).await.unwrap_or_else(|_| Err(late()))
}
