//! Who may ask: this machine's browser that was let in by the start's one-time token, and nobody else.
//!
//! The exact `Host` stops a foreign page whose name was bent to this machine; the exact `Origin` stops foreign pages and
//! other ports; the cookie stops other programs and accounts of this machine. Each is needed: none sees what the others do.
//!
//! The cookie's value outlives the server, in a file that the account alone may read, so that an open page comes back after a
//! new start on the same port. It belongs to that port: on another one a new value is made. Where this fails: another account
//! that takes the port between two starts is shown the cookie by the waiting page. It can then ask as the page does until
//! the job is served at another port.

use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use job::Seat;

/// The header by which a second start of spelk proves that it is of the same account.
pub const KEY_HEADER: &str = "x-spelk-key";

/// What lets a request in.
pub struct Guard {
    port: u16,
    /// The value of the cookie.
    session: String,
    /// The secret that a second start reads from the account's own files.
    key: String,
    /// Tokens that were given out and not yet used.
    tokens: Mutex<Vec<String>>,
}

/// 128 random bits in hexadecimal.
fn secret() -> String {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).expect("the system gives random bytes");
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Compares without telling by the time taken how much was right.
fn same(one: &str, other: &str) -> bool {
    one.len() == other.len() && one.bytes().zip(other.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

impl Guard {
    /// A guard for a server at `port`; it knows the browsers that `last` let in, if that was the same port.
    pub fn new(port: u16, last: Option<Seat>) -> Guard {
        let known = last.filter(|seat| seat.port == port && seat.session.len() == secret().len());
        let session = known.map_or_else(secret, |seat| seat.session);
        Guard { port, session, key: secret(), tokens: Mutex::default() }
    }

    /// What the next start on the same job needs to know the browsers that were let in.
    pub fn seat(&self) -> Seat {
        Seat { port: self.port, session: self.session.clone() }
    }

    /// The word for a second start: where the server is and the key to knock with.
    pub fn word(&self) -> String {
        format!("{} {}", self.port, self.key)
    }

    /// The address of the server with a fresh token.
    pub fn invitation(&self) -> String {
        let token = secret();
        self.tokens.lock().unwrap_or_else(PoisonError::into_inner).push(token.clone());
        format!("http://127.0.0.1:{}/open?token={token}", self.port)
    }

    /// Takes a token, once.
    fn takes(&self, token: &str) -> bool {
        let mut tokens = self.tokens.lock().unwrap_or_else(PoisonError::into_inner);
        let at = tokens.iter().position(|known| same(known, token));
        at.map(|at| tokens.swap_remove(at)).is_some()
    }

    fn cookie(&self) -> String {
        // Cookies do not know ports: the name does.
        format!("spelk-{}", self.port)
    }

    /// Answers `GET /open?token=…`: the cookie for the token, and on to the pages.
    pub fn let_in(&self, token: &str) -> Response {
        if !self.takes(token) {
            let words =
                "This address was used already or is not whole. Run spelk studio once more: it opens a fresh one.";
            return (StatusCode::FORBIDDEN, words).into_response();
        }
        let cookie = format!("{}={}; HttpOnly; SameSite=Strict; Path=/", self.cookie(), self.session);
        (StatusCode::SEE_OTHER, [(header::SET_COOKIE, cookie), (header::LOCATION, "/".into())]).into_response()
    }

    /// Whether a second start knocks.
    pub fn knows(&self, headers: &HeaderMap) -> bool {
        headers.get(KEY_HEADER).and_then(|value| value.to_str().ok()).is_some_and(|key| same(key, &self.key))
    }

    fn has_cookie(&self, headers: &HeaderMap) -> bool {
        let name = self.cookie();
        let cookies = headers.get_all(header::COOKIE).into_iter().filter_map(|value| value.to_str().ok());
        cookies.flat_map(|value| value.split(';')).any(|pair| {
            pair.trim().split_once('=').is_some_and(|(known, value)| known == name && same(value, &self.session))
        })
    }

    fn refuses(&self, request: &Request) -> Option<(StatusCode, &'static str)> {
        let headers = request.headers();
        let text = |name: HeaderName| headers.get(name).map(HeaderValue::to_str);
        let hosts = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        match text(header::HOST) {
            Some(Ok(host)) if hosts.iter().any(|known| known == host) => {}
            _ => return Some((StatusCode::MISDIRECTED_REQUEST, "This server answers to its own address only.")),
        }
        if let Some(origin) = text(header::ORIGIN) {
            let ours = |origin: &str| {
                origin.strip_prefix("http://").is_some_and(|host| hosts.iter().any(|known| known == host))
            };
            if !origin.is_ok_and(ours) {
                return Some((StatusCode::FORBIDDEN, "This server answers its own pages only."));
            }
        }
        let site = HeaderName::from_static("sec-fetch-site");
        if text(site).is_some_and(|site| matches!(site, Ok("cross-site" | "same-site")))
            && request.method() != Method::GET
        {
            return Some((StatusCode::FORBIDDEN, "This server answers its own pages only."));
        }
        let guarded = request.uri().path().starts_with("/api");
        if guarded && !self.has_cookie(headers) {
            let words =
                "This window was not opened by the spelk that runs now. Run spelk studio again: it opens a fresh one.";
            return Some((StatusCode::UNAUTHORIZED, words));
        }
        None
    }
}

/// Lets a request through or answers it, and dresses every answer.
pub async fn watch(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let api = request.uri().path().starts_with("/api");
    let mut answer = match guard.refuses(&request) {
        Some(refusal) => refusal.into_response(),
        None => next.run(request).await,
    };
    let headers = answer.headers_mut();
    let mut put = |name: &'static str, value: &'static str| {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    };
    put(
        "content-security-policy",
        "default-src 'self'; img-src 'self' blob:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
    );
    put("cross-origin-resource-policy", "same-origin");
    put("x-content-type-options", "nosniff");
    put("referrer-policy", "no-referrer");
    if api {
        put("cache-control", "no-store");
    }
    answer
}
