//! Reading what the maker names, and writing so that nothing is ever half there.

use std::fs::{self, File};
use std::io::{Cursor, Read, Write};
use std::path::Path;

use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder};
use tempfile::NamedTempFile;
use workshop::picture::Raster;
use workshop::work::Refusal;

use crate::failure::Failure;

/// The largest file read as a picture: far above any photograph, far below what a memory holds.
const PICTURE_MOST_BYTES: u64 = 512 << 20;
/// The largest list of edits read.
const EDITS_MOST_BYTES: u64 = 64 << 20;

/// The bytes of a picture file.
pub fn read_picture(path: &Path) -> Result<Vec<u8>, Failure> {
    let bytes = read_up_to(path, PICTURE_MOST_BYTES)?;
    if bytes.is_empty() {
        let text = format!("{} is empty, so it holds no picture; copy or save it again", path.display());
        return Err(Failure::Typed(text));
    }
    Ok(bytes)
}

/// What was found in a file; a refusal names it.
pub fn within<T>(path: &Path, found: Result<T, Refusal>) -> Result<T, Refusal> {
    found.map_err(|refusal| Refusal { what: format!("{}: {}", path.display(), refusal.what), ..refusal })
}

/// The text of a list of edits; `-` is standard input.
pub fn read_edits(path: &Path) -> Result<String, Failure> {
    let bytes = if path == Path::new("-") {
        let mut bytes = Vec::new();
        std::io::stdin().take(EDITS_MOST_BYTES).read_to_end(&mut bytes).map_err(Failure::file(path, "read"))?;
        bytes
    } else {
        read_up_to(path, EDITS_MOST_BYTES)?
    };
    String::from_utf8(bytes)
        .map_err(|_| Failure::Typed(format!("{} is not text; edits are a JSON list in UTF-8", path.display())))
}

fn read_up_to(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    let failed = Failure::file(path, "read");
    let about = fs::metadata(path).map_err(&failed)?;
    if about.is_dir() {
        return Err(failed(std::io::ErrorKind::IsADirectory.into()));
    }
    if about.len() > most {
        let (has, may) = (about.len() >> 20, most >> 20);
        return Err(Failure::Typed(format!("{} is {has} MB; at most {may} MB are read", path.display())));
    }
    fs::read(path).map_err(failed)
}

/// A raster as the bytes of a PNG with transparency.
pub fn png_of(raster: &Raster) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    PngEncoder::new(&mut bytes)
        .write_image(raster.pixels.as_flattened(), raster.width, raster.height, ExtendedColorType::Rgba8)
        .expect("a raster has four bytes a pixel, and memory takes every write");
    bytes.into_inner()
}

/// Makes a folder, or finds it there.
pub fn folder(path: &Path) -> Result<(), Failure> {
    fs::create_dir_all(path).map_err(Failure::file(path, "make the folder"))
}

/// Refuses a name that is none of a picture: nothing else is overwritten by one.
pub fn is_png(path: &Path, what: &str) -> Result<(), Failure> {
    let is = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("png"));
    if is { Ok(()) } else { Err(Failure::Typed(format!("{}: {what} is a .png", path.display()))) }
}

/// Writes a file whole or not at all: beside its place, flushed, then renamed over it.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let failed = Failure::file(path, "write");
    let beside = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if path.is_dir() {
        return Err(failed(std::io::ErrorKind::IsADirectory.into()));
    }
    let mut file = NamedTempFile::new_in(beside).map_err(&failed)?;
    file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(&failed)?;
    file.persist(path).map_err(|error| failed(error.error))?;
    readable(path).map_err(&failed)
}

/// A temporary file is private; a sheet is as readable as any other file the maker writes.
fn readable(path: &Path) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        File::open(path)?.set_permissions(fs::Permissions::from_mode(0o644))?;
    }
    #[cfg(not(unix))]
    let _ = File::open(path)?;
    Ok(())
}
