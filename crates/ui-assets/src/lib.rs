//! The pages in the browser as they were built, by name.
//!
//! Without Node at build time there is one page, which says how to get the others.

include!(concat!(env!("OUT_DIR"), "/files.rs"));

/// The one page of a spelk that was built without the others.
const WITHOUT: &str = include_str!("without.html");

/// A file of the pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asset {
    /// Its bytes.
    pub bytes: &'static [u8],
    /// Its media type, as a `Content-Type` says it.
    pub kind: &'static str,
    /// Whether its name changes whenever its bytes do, so that a browser may keep it for good.
    pub lasting: bool,
}

/// The file called `name`, such as `index.html` or `assets/index-BxZ1.js`.
pub fn asset(name: &str) -> Option<Asset> {
    let found = FILES.iter().find(|(known, _)| *known == name).map(|(_, bytes)| *bytes);
    let bytes = found.or_else(|| (name == "index.html").then_some(WITHOUT.as_bytes()))?;
    Some(Asset { bytes, kind: kind(name), lasting: name.starts_with("assets/") })
}

/// Whether the pages were built in.
pub fn whole() -> bool {
    !FILES.is_empty()
}

fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("woff2") => "font/woff2",
        Some("json" | "webmanifest") => "application/json",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_is_always_a_first_page_and_never_a_stranger() {
        assert_eq!(asset("index.html").unwrap().kind, "text/html; charset=utf-8");
        for name in ["../Cargo.toml", "/etc/passwd", "", "nothing.js"] {
            assert_eq!(asset(name), None, "{name}");
        }
    }
}
