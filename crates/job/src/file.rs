//! Connections to a document's file: safe settings, asserted on each, and a first look that changes nothing.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use rusqlite::config::DbConfig;
use rusqlite::types::Value;
use rusqlite::{Connection, ErrorCode, OpenFlags};

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

/// Says whose file it is before anything may write to it: the mark must be ours, the format known. Returns the format.
pub(crate) fn whose(path: &Path, mark: i32) -> Result<i64, Problem> {
    let not_ours = |found: &str| Problem::NotOurs {
        path: path.to_path_buf(),
        wanted: called(mark).expect("a document's mark is in the list of marks"),
        found: found.into(),
    };
    let (found, format) = match marks(path) {
        Ok(marks) => marks,
        Err(e) if e.sqlite_error_code() == Some(ErrorCode::NotADatabase) => {
            return Err(not_ours("some other kind of file"));
        }
        // Left by a process that was killed: the journal must be played back first, and only if the file is ours.
        Err(e) if needs_playback(&e) => head_bytes(path).map_err(|e| Problem::io(path, e))?,
        Err(e) => return Err(Problem::sqlite(path, e)),
    };
    if found != mark {
        return Err(not_ours(called(found).unwrap_or("another program's file")));
    }
    match format {
        ..1 => Err(Problem::damaged(path, "it was never finished")),
        1..=FORMAT => Ok(format),
        _ => Err(Problem::Later { path: path.to_path_buf(), found: format, known: FORMAT }),
    }
}

/// Application mark and format, through SQLite: opening and closing the file behind its back would drop its locks.
fn marks(path: &Path) -> rusqlite::Result<(i32, i64)> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NOFOLLOW | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)?;
    connection.pragma_update(None, "busy_timeout", 2000)?;
    let mark = connection.pragma_query_value(None, "application_id", |row| row.get(0))?;
    Ok((mark, connection.pragma_query_value(None, "user_version", |row| row.get(0))?))
}

/// The same from the bytes of SQLite's header (<https://www.sqlite.org/fileformat.html>, 1.3: offsets 68 and 60). A
/// journal waits to be played back, so no process holds a lock that this could drop.
fn head_bytes(path: &Path) -> std::io::Result<(i32, i64)> {
    let mut head = [0; 72];
    File::open(path)?.read_exact(&mut head)?;
    let word = |at: usize| i32::from_be_bytes(head[at..at + 4].try_into().expect("four bytes of a longer head"));
    Ok((word(68), i64::from(word(60))))
}

fn needs_playback(e: &rusqlite::Error) -> bool {
    e.sqlite_error().is_some_and(|e| e.extended_code == rusqlite::ffi::SQLITE_READONLY_ROLLBACK)
}

/// Plays back the journal that a killed process left, if there is one. The file is known to be ours.
pub(crate) fn play_back(path: &Path) -> Result<(), Problem> {
    match marks(path) {
        Err(e) if needs_playback(&e) => {
            // Reading anything through a connection that may write plays the journal back.
            let connection = connect(path, Mode::Write)?;
            ask(&connection, "user_version").map_err(|e| Problem::sqlite(path, e))?;
            Ok(())
        }
        _ => Ok(()),
    }
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
