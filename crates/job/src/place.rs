//! Where things of the account lie: the shop file, and the locks that say who writes a document.
//!
//! The folders are those that each system documents: the XDG Base Directory Specification, Known Folders on Windows,
//! the Library folder on macOS.

use std::env;
use std::path::{Path, PathBuf};

use crate::problem::Problem;

/// The folder of locks. `SPELK_STATE` overrides it.
pub(crate) fn state() -> Result<PathBuf, Problem> {
    named("SPELK_STATE")
        .or_else(|| of_account("XDG_STATE_HOME", ".local/state"))
        .ok_or(Problem::NoHome { what: "record of open files", setting: "SPELK_STATE" })
}

/// The shop file. `SPELK_SHOP` overrides it.
pub(crate) fn shop() -> Result<PathBuf, Problem> {
    named("SPELK_SHOP")
        .or_else(|| Some(of_account("XDG_DATA_HOME", ".local/share")?.join("shop.spelk")))
        .ok_or(Problem::NoHome { what: "shop file", setting: "SPELK_SHOP" })
}

fn of_account(variable: &str, under_home: &str) -> Option<PathBuf> {
    let base = if cfg!(windows) {
        named("LOCALAPPDATA")?
    } else if cfg!(target_os = "macos") {
        named("HOME")?.join("Library/Application Support")
    } else {
        // The specification says that a relative path is to be ignored.
        named(variable).filter(|path| path.is_absolute()).or_else(|| Some(named("HOME")?.join(under_home)))?
    };
    Some(base.join("spelk"))
}

fn named(variable: &str) -> Option<PathBuf> {
    env::var_os(variable).filter(|value| !value.is_empty()).map(PathBuf::from)
}

/// The one true path of a file that may not exist yet: links resolved, so that a document has one lock and one journal.
pub(crate) fn true_path(path: &Path) -> Result<PathBuf, Problem> {
    if let Ok(found) = path.canonicalize() {
        return Ok(found);
    }
    let name = path.file_name().ok_or_else(|| Problem::Folder { path: path.to_path_buf() })?;
    Ok(folder_of(path)?.join(name))
}

/// The folder that a file lies in, links resolved.
pub(crate) fn folder_of(path: &Path) -> Result<PathBuf, Problem> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    match folder.canonicalize() {
        Ok(found) if found.is_dir() => Ok(found),
        _ => Err(Problem::NoFolder { path: folder.to_path_buf() }),
    }
}
