//! Connections to a document's file: safe settings, asserted on each, and a first look that changes nothing.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use rusqlite::config::DbConfig;
use rusqlite::types::Value;
use rusqlite::{Connection, OpenFlags};

use crate::keep::called;
use crate::problem::Problem;
use crate::schema::FORMAT;

/// What must hold on every connection: the setting, what it is set to, what it then answers.
///
/// DELETE and EXTRA: the journal is removed and its folder synced before a commit returns, so that a power cut cannot
/// bring the journal back and with it the state before (about 14 ms an edit on a busy disk; WAL would take 4, but keep
/// the newest edits in a second file that is lost when the document is copied). `fullfsync` matters on macOS alone,
/// where plain fsync stops at the drive's cache.
const SETTINGS: [(&str, &str, &str); 7] = [
    ("busy_timeout", "2000", "2000"),
    ("trusted_schema", "OFF", "0"),
    ("cell_size_check", "ON", "1"),
    ("foreign_keys", "ON", "1"),
    ("synchronous", "EXTRA", "3"),
    ("fullfsync", "ON", "1"),
    ("journal_mode", "DELETE", "delete"),
];

/// To read only, or to write as well.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mode {
    Read,
    Write,
}

/// Opens the file at `path`, its links resolved, with every setting in force.
pub(crate) fn connect(path: &Path, mode: Mode) -> Result<Connection, Problem> {
    let access = match mode {
        Mode::Read => OpenFlags::SQLITE_OPEN_READ_ONLY,
        Mode::Write => OpenFlags::SQLITE_OPEN_READ_WRITE,
    };
    let flags = access | OpenFlags::SQLITE_OPEN_NOFOLLOW | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|e| Problem::sqlite(path, e))?;
    let defend = connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true);
    defend.map_err(|e| Problem::sqlite(path, e))?;
    for (setting, value, wanted) in SETTINGS {
        // A reader does not choose how the file is journalled, but will not trust a file that is journalled otherwise.
        if !(mode == Mode::Read && setting == "journal_mode") {
            set(&connection, setting, value).map_err(|e| Problem::sqlite(path, e))?;
        }
        let found = ask(&connection, setting).map_err(|e| Problem::sqlite(path, e))?;
        if found != wanted {
            return Err(Problem::Unsafe { path: path.to_path_buf(), setting, wanted: wanted.into(), found });
        }
    }
    Ok(connection)
}

fn set(connection: &Connection, setting: &str, value: &str) -> rusqlite::Result<()> {
    connection.pragma_update_and_check(None, setting, value, |_| Ok(())).or_else(|e| match e {
        // Some settings answer, some do not.
        rusqlite::Error::QueryReturnedNoRows => Ok(()),
        other => Err(other),
    })
}

fn ask(connection: &Connection, setting: &str) -> rusqlite::Result<String> {
    connection.pragma_query_value(None, setting, |row| {
        Ok(match row.get(0)? {
            Value::Integer(n) => n.to_string(),
            Value::Text(text) => text,
            other => format!("{other:?}"),
        })
    })
}

/// Resolves the path of a file that must be there.
pub(crate) fn present(path: &Path) -> Result<PathBuf, Problem> {
    let facts = fs::metadata(path).map_err(|e| Problem::io(path, e))?;
    if facts.is_dir() {
        return Err(Problem::Folder { path: path.to_path_buf() });
    }
    path.canonicalize().map_err(|e| Problem::io(path, e))
}

/// The documents that this process has open. Closing any other handle on such a file would drop SQLite's locks on it
/// (<https://www.sqlite.org/howtocorrupt.html>, 2.2), so its header is not looked at again: it is known to be ours.
static HERE: Mutex<BTreeMap<(PathBuf, i32), usize>> = Mutex::new(BTreeMap::new());

fn here() -> MutexGuard<'static, BTreeMap<(PathBuf, i32), usize>> {
    HERE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A document is open in this process, until dropped.
pub(crate) struct Here((PathBuf, i32));

impl Drop for Here {
    fn drop(&mut self) {
        let mut here = here();
        if let Some(count) = here.get_mut(&self.0) {
            *count -= 1;
        }
        here.retain(|_, count| *count > 0);
    }
}

/// Says whose file it is before SQLite touches it: the mark must be ours, the format known. SQLite itself may write to
/// a file that it only reads, to play back another program's journal.
pub(crate) fn whose(path: &Path, mark: i32) -> Result<Here, Problem> {
    let mut here = here();
    let document = (path.to_path_buf(), mark);
    if !here.contains_key(&document) {
        known(path, mark)?;
    }
    *here.entry(document.clone()).or_default() += 1;
    Ok(Here(document))
}

/// The fields of SQLite's header that tell: where they stand is from <https://www.sqlite.org/fileformat.html>, 1.3.
fn known(path: &Path, mark: i32) -> Result<(), Problem> {
    let not_ours = |found: &str| Problem::NotOurs {
        path: path.to_path_buf(),
        wanted: called(mark).expect("a document's mark is in the list of marks"),
        found: found.into(),
    };
    let head = head(path).map_err(|e| Problem::io(path, e))?;
    let word = |at: usize| head.get(at..at + 4).map(|b| i32::from_be_bytes(b.try_into().expect("four bytes")));
    if !head.starts_with(b"SQLite format 3\0") {
        return Err(not_ours(if head.is_empty() { "an empty file" } else { "some other kind of file" }));
    }
    let (Some(format), Some(found)) = (word(60), word(68)) else {
        return Err(Problem::damaged(path, "only its beginning is there"));
    };
    match (called(found), i64::from(format)) {
        (None, _) => Err(not_ours("a file of another program")),
        (Some(other), _) if found != mark => Err(not_ours(&format!("a {other}"))),
        (_, ..1) => Err(Problem::damaged(path, "it was never finished")),
        (_, later) if later > FORMAT => Err(Problem::Later { path: path.to_path_buf(), found: later, known: FORMAT }),
        _ if head[18..20] != [1, 1] => Err(Problem::Unsafe {
            path: path.to_path_buf(),
            setting: "journal_mode",
            wanted: "delete".into(),
            found: "wal".into(),
        }),
        _ => Ok(()),
    }
}

fn head(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut head = Vec::new();
    File::open(path)?.take(100).read_to_end(&mut head)?;
    Ok(head)
}

/// Plays back the journal that a killed process left, if there is one. The file is known to be ours.
pub(crate) fn play_back(path: &Path) -> Result<(), Problem> {
    let mut journal = path.as_os_str().to_os_string();
    journal.push("-journal");
    if fs::metadata(journal).is_ok_and(|facts| facts.len() > 0) {
        // Reading anything through a connection that may write plays it back, unless a living process is at it.
        let connection = connect(path, Mode::Write)?;
        ask(&connection, "user_version").map_err(|e| Problem::sqlite(path, e))?;
    }
    Ok(())
}

/// Every page of the file is in order.
pub(crate) fn sound(connection: &Connection, path: &Path) -> Result<(), Problem> {
    let said = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get::<_, String>(0));
    match said.map_err(|e| Problem::sqlite(path, e))?.as_str() {
        "ok" => Ok(()),
        _ => Err(Problem::damaged(path, "part of it is missing or garbled")),
    }
}

/// A new file beside `path` to be filled, with the rights that a new file has.
pub(crate) fn beside(path: &Path, folder: &Path) -> Result<tempfile::TempPath, Problem> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".spelk-").suffix(".part");
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let made = builder.tempfile_in(folder).map_err(|e| Problem::io(path, e))?;
    // Closed here, since closing it later would drop SQLite's locks on it.
    Ok(made.into_temp_path())
}

/// Gives a whole file its name, never over another, and makes both durable.
pub(crate) fn put_in_place(made: tempfile::TempPath, path: &Path, folder: &Path) -> Result<(), Problem> {
    let file = File::options().write(true).open(&made).map_err(|e| Problem::io(path, e))?;
    file.sync_all().map_err(|e| Problem::io(path, e))?;
    drop(file);
    made.persist_noclobber(path).map_err(|e| Problem::io(path, e.error))?;
    sync_folder(folder).map_err(|e| Problem::io(path, e))
}

#[cfg(unix)]
fn sync_folder(folder: &Path) -> std::io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Windows has no such call; its file system journals names itself.
#[cfg(not(unix))]
fn sync_folder(_: &Path) -> std::io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made() -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().canonicalize().unwrap().join("a.spelk");
        fs::write(&path, "").unwrap();
        (folder, path)
    }

    /// What each setting answers is SQLite's documentation of its pragmas (<https://www.sqlite.org/pragma.html>).
    #[test]
    fn every_setting_is_in_force_on_either_kind_of_connection() {
        let (_folder, path) = made();
        connect(&path, Mode::Write).unwrap().execute_batch("CREATE TABLE t(x)").unwrap();
        for mode in [Mode::Write, Mode::Read] {
            let connection = connect(&path, mode).unwrap();
            let answer = |setting| ask(&connection, setting).unwrap();
            assert_eq!(answer("journal_mode"), "delete");
            assert_eq!(answer("synchronous"), "3");
            for on in ["foreign_keys", "cell_size_check", "fullfsync"] {
                assert_eq!(answer(on), "1", "{on}");
            }
            assert_eq!(answer("trusted_schema"), "0");
            assert_eq!(answer("busy_timeout"), "2000");
        }
    }

    #[test]
    fn no_connection_is_opened_elsewhere() {
        let sources = fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/src")).unwrap();
        let opened = |text: &str| text.matches(concat!("Connection::", "open")).count();
        let counts = sources.map(|file| opened(&fs::read_to_string(file.unwrap().path()).unwrap()));
        assert_eq!(counts.sum::<usize>(), 1);
    }

    #[test]
    fn a_reader_refuses_a_file_that_is_journalled_otherwise() {
        let (_folder, path) = made();
        let connection = connect(&path, Mode::Write).unwrap();
        connection.execute_batch("PRAGMA journal_mode = WAL; CREATE TABLE t(x)").unwrap();
        let problem = connect(&path, Mode::Read).err().unwrap();
        assert!(matches!(problem, Problem::Unsafe { setting: "journal_mode", .. }), "{problem}");
    }
}
