//! Jobs that were open before, the latest first: a comfort for the start page. Losing it loses nothing of a job.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use crate::place;
use crate::problem::Problem;

/// As many as a page shows without scrolling.
const KEPT: usize = 12;

/// A job that was open before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Recent {
    /// Its file.
    pub path: PathBuf,
    /// Its title.
    pub title: String,
    /// When it was last opened: seconds since 1970.
    pub when: i64,
}

/// The jobs that were open before and are still there.
pub fn list() -> Vec<Recent> {
    let read = || serde_json::from_slice::<Vec<Recent>>(&std::fs::read(file().ok()?).ok()?).ok();
    read().unwrap_or_default().into_iter().filter(|one| one.path.is_file()).collect()
}

/// Puts a job first.
pub fn remember(path: &Path, title: &str) -> Result<(), Problem> {
    let when = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs() as i64);
    let mut all = list();
    all.retain(|one| one.path != path);
    all.insert(0, Recent { path: path.to_path_buf(), title: title.into(), when });
    all.truncate(KEPT);
    let text = serde_json::to_vec(&all).expect("paths and titles have a text form");
    put(&file()?, &text)
}

fn file() -> Result<PathBuf, Problem> {
    Ok(place::state()?.join("recent.json"))
}

/// Writes a small file of the account whole or not at all; only the account may read it.
pub(crate) fn put(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let folder = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(|e| Problem::io(folder, e))?;
    // A temporary file is made readable by its owner alone, where the system knows owners.
    let mut made = tempfile::NamedTempFile::new_in(folder).map_err(|e| Problem::io(folder, e))?;
    made.write_all(bytes).map_err(|e| Problem::io(path, e))?;
    made.persist(path).map_err(|e| Problem::io(path, e.error))?;
    Ok(())
}
