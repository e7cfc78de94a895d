//! What can go wrong with a file, said to the maker with a way out.

use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;
use thiserror::Error;
use workshop::work::Refusal;

/// Why a file could not be read or written. The file is as it was.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum Problem {
    /// Nothing is there.
    #[error("There is no file {}. Check its name and folder.", path.display())]
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// A folder was named.
    #[error("{} is a folder. Name the file in it.", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// The folder to write in is not there.
    #[error("There is no folder {}. Make it first, or name another.", path.display())]
    NoFolder {
        /// The folder.
        path: PathBuf,
    },
    /// A new file would overwrite another.
    #[error("{} exists already and is left as it is. Give another name, or move it away first.", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Some other program's file, or our other kind.
    #[error("{} is not a {wanted} but {found}. It is left as it is; name a {wanted}.", path.display())]
    NotOurs {
        /// The file.
        path: PathBuf,
        /// What was wanted: `job file` or `shop file`.
        wanted: &'static str,
        /// What it is instead.
        found: String,
    },
    /// Written by a later spelk.
    #[error(
        "{} was written by a later spelk (format {found}; this one reads up to {known}). It is left as it is; open it \
         with a newer spelk.",
        path.display()
    )]
    Later {
        /// The file.
        path: PathBuf,
        /// Its format.
        found: i64,
        /// The latest format that we read.
        known: i64,
    },
    /// It cannot be read whole.
    #[error("{} is damaged: {what}. It is left as it is; go back to a copy of it.", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        what: String,
    },
    /// The picture is not inside.
    #[error("The picture of {} is not in the file, or not the one that the job names. Place the picture again.", path.display())]
    NoPicture {
        /// The file.
        path: PathBuf,
    },
    /// Another spelk of this account writes it.
    #[error("{} is open for writing in another spelk. Close it there first; it can be looked at meanwhile.", path.display())]
    Owned {
        /// The file.
        path: PathBuf,
    },
    /// Opened to be looked at only.
    #[error("{} was opened to be looked at only. Open it for writing to change it.", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// Some program holds it.
    #[error("{} is held by another program. Nothing was written; try again when that has finished.", path.display())]
    Busy {
        /// The file.
        path: PathBuf,
    },
    /// Somebody wrote it while we had it open.
    #[error("{} was changed by another program since it was opened. Nothing was written; open it again.", path.display())]
    Changed {
        /// The file.
        path: PathBuf,
    },
    /// It was moved or put aside while we had it open.
    #[error("{} was moved or replaced since it was opened. Nothing was written; open it again where it is now.", path.display())]
    Moved {
        /// The file.
        path: PathBuf,
    },
    /// No right to read or write.
    #[error(
        "There is no right to read or write {} in its folder. Nothing was changed; change its rights, or use another \
         folder.",
        path.display()
    )]
    NoRight {
        /// The file.
        path: PathBuf,
    },
    /// The disk is full.
    #[error("The disk of {} is full. Nothing was changed; make room and try again.", path.display())]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// A value has no text form that can be read again, such as a length of no size.
    #[error("The change gives {} a value that cannot be stored. Nothing was changed; check the numbers in it.", path.display())]
    Unwritable {
        /// The file.
        path: PathBuf,
    },
    /// A safeguard did not take.
    #[error(
        "{} cannot be used safely: {setting} is {found} where it must be {wanted}. Nothing was written; go back to a \
         copy that no other program has changed.",
        path.display()
    )]
    Unsafe {
        /// The file.
        path: PathBuf,
        /// The SQLite setting.
        setting: &'static str,
        /// What it must be.
        wanted: String,
        /// What it is.
        found: String,
    },
    /// No folder of the account could be found.
    #[error("The account has no home folder to keep the {what} in. Set {setting} to where it may lie.")]
    NoHome {
        /// What would lie there.
        what: &'static str,
        /// The environment variable that says where.
        setting: &'static str,
    },
    /// The system refused in some other way.
    #[error("{} could not be read or written: {source}. Nothing was changed; try again, or use another folder.", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// SQLite refused in some other way.
    #[error("{} could not be read or written: {source}. Nothing was changed; try again, or use another folder.", path.display())]
    Sqlite {
        /// The file.
        path: PathBuf,
        /// What SQLite said.
        source: rusqlite::Error,
    },
}

impl Problem {
    pub(crate) fn io(path: &Path, source: io::Error) -> Problem {
        let path = path.to_path_buf();
        match source.kind() {
            ErrorKind::NotFound => Problem::Missing { path },
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => Problem::NoRight { path },
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Problem::Full { path },
            ErrorKind::AlreadyExists => Problem::Exists { path },
            ErrorKind::IsADirectory => Problem::Folder { path },
            _ => Problem::Io { path, source },
        }
    }

    pub(crate) fn sqlite(path: &Path, source: rusqlite::Error) -> Problem {
        let path = path.to_path_buf();
        let Some(code) = source.sqlite_error() else { return Problem::Sqlite { path, source } };
        if code.extended_code == rusqlite::ffi::SQLITE_READONLY_DBMOVED {
            return Problem::Moved { path };
        }
        match code.code {
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => Problem::Busy { path },
            ErrorCode::DatabaseCorrupt => Problem::Damaged { path, what: "part of it is missing or garbled".into() },
            ErrorCode::NotADatabase => Problem::Damaged { path, what: "it is no database any more".into() },
            ErrorCode::DiskFull => Problem::Full { path },
            ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied => Problem::NoRight { path },
            _ => Problem::Sqlite { path, source },
        }
    }

    /// The same trouble, told of the file that the maker named instead of the one being filled beside it.
    pub(crate) fn about(self, path: &Path) -> Problem {
        let path = path.to_path_buf();
        match self {
            Problem::Full { .. } => Problem::Full { path },
            Problem::NoRight { .. } => Problem::NoRight { path },
            Problem::Unwritable { .. } => Problem::Unwritable { path },
            Problem::Io { source, .. } => Problem::Io { path, source },
            Problem::Sqlite { source, .. } => Problem::Sqlite { path, source },
            other => other,
        }
    }

    pub(crate) fn damaged(path: &Path, what: impl Into<String>) -> Problem {
        Problem::Damaged { path: path.to_path_buf(), what: what.into() }
    }
}

/// Why an edit was not made: the trade says no, or the file cannot take it. Either way nothing was changed.
#[derive(Debug, Error)]
pub enum Refused {
    /// The edit cannot be.
    #[error(transparent)]
    Refusal(#[from] Refusal),
    /// The file could not be read or written.
    #[error(transparent)]
    Problem(#[from] Problem),
}
