//! Asks viewers to print at true size: `/ViewerPreferences << /PrintScaling /None >>` in the catalog (ISO 32000-1,
//! 12.2), which the PDF library cannot say itself.
//!
//! An incremental update (7.5.6) puts a changed catalog after the end. It reads only what the library writes: a classic
//! cross-reference table and a trailer with `/Root` and `/Size`. Where that is not found the book is left as it is, and
//! the line “Print at 100 %” on each page has to do.

/// The same book with the wish added.
pub(super) fn unscaled(pdf: Vec<u8>) -> Vec<u8> {
    match update(&pdf) {
        Some(update) => [pdf, update].concat(),
        None => pdf,
    }
}

fn update(pdf: &[u8]) -> Option<Vec<u8>> {
    let trailer_at = last(pdf, b"trailer")?;
    let trailer = String::from_utf8_lossy(&pdf[trailer_at..]);
    let root = number_after(&trailer, "/Root")?;
    let size = number_after(&trailer, "/Size")?;
    let xref = number_after(&trailer, "startxref")?;
    let catalog = object(pdf, root)?;
    // Absent is false (14.7.1, table 321); some readers take the word itself for an error.
    let catalog = catalog.replace("/Suspects false", "");
    let open = catalog.strip_prefix("<<")?;
    if catalog.contains("/ViewerPreferences") {
        return None;
    }
    let at = pdf.len();
    let object = format!("{root} 0 obj\n<<\n  /ViewerPreferences << /PrintScaling /None >>{open}\nendobj\n");
    let id = trailer.find("/ID").and_then(|from| Some(&trailer[from..=from + trailer[from..].find(']')?]));
    let info = number_after(&trailer, "/Info").map(|info| format!("/Info {info} 0 R ")).unwrap_or_default();
    Some(
        format!(
            "{object}xref\n0 1\n0000000000 65535 f\r\n{root} 1\n{at:010} 00000 n\r\ntrailer\n<< /Size {size} /Root {root} 0 R {info}{} /Prev {xref} >>\n\
             startxref\n{}\n%%EOF\n",
            id.unwrap_or_default(),
            at + object.len()
        )
        .into_bytes(),
    )
}

/// The text of an object between `obj` and `endobj`.
fn object(pdf: &[u8], number: usize) -> Option<String> {
    let head = format!("\n{number} 0 obj\n");
    let from = last(pdf, head.as_bytes())? + head.len();
    let length = pdf[from..].windows(6).position(|window| window == b"endobj")?;
    Some(std::str::from_utf8(&pdf[from..from + length]).ok()?.trim().to_owned())
}

/// The whole number that follows `key`.
fn number_after(text: &str, key: &str) -> Option<usize> {
    let rest = text[text.find(key)? + key.len()..].trim_start();
    rest[..rest.find(|c: char| !c.is_ascii_digit())?].parse().ok()
}

fn last(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).rposition(|window| window == wanted)
}
