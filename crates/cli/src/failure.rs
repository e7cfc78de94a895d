//! What can go wrong, said to the maker, and the exit codes.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use workshop::work::Refusal;

/// Exit code when something was refused or failed.
pub const EXIT_REFUSED: u8 = 2;
/// Exit code when a check found something grave.
pub const EXIT_GRAVE: u8 = 1;

/// How a command ended when nothing failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Done.
    Done,
    /// A check found something grave.
    Grave,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> ExitCode {
        match outcome {
            Outcome::Done => ExitCode::SUCCESS,
            Outcome::Grave => ExitCode::from(EXIT_GRAVE),
        }
    }
}

/// Why a command failed.
#[derive(Debug)]
pub enum Failure {
    /// The workshop refused, with a reason and ways out.
    Refused(Refusal),
    /// The job file or the shop file could not be used.
    Job(job::Problem),
    /// A file or folder could not be read or written.
    File(PathBuf, &'static str, io::Error),
    /// What was typed cannot be.
    Typed(String),
}

impl Failure {
    /// A failure to do `what` ("read", "write") with `path`.
    pub fn file<'a>(path: &'a Path, what: &'static str) -> impl Fn(io::Error) -> Failure + 'a {
        move |error| Failure::File(path.to_owned(), what, error)
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Refused(refusal) => refusal.fmt(f),
            Failure::Job(problem) => problem.fmt(f),
            Failure::File(path, what, error) => write!(f, "cannot {what} {}: {}", path.display(), plainly(error)),
            Failure::Typed(text) => f.write_str(text),
        }
    }
}

/// An input or output error in words, with a way out.
fn plainly(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "it is not there; check the name and the folder".into(),
        io::ErrorKind::PermissionDenied => "no right to; choose another place or change its rights".into(),
        io::ErrorKind::IsADirectory => "it is a folder; name a file in it".into(),
        io::ErrorKind::NotADirectory => "a file stands where a folder should be; choose another name".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only; choose another place".into(),
        io::ErrorKind::StorageFull => "the disk is full; make room and run it again".into(),
        io::ErrorKind::AlreadyExists => "it exists already; choose another name".into(),
        _ => error.to_string(),
    }
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Failure {
        Failure::Refused(refusal)
    }
}

impl From<job::Problem> for Failure {
    fn from(problem: job::Problem) -> Failure {
        Failure::Job(problem)
    }
}

impl From<job::Refused> for Failure {
    fn from(refused: job::Refused) -> Failure {
        match refused {
            job::Refused::Refusal(refusal) => Failure::Refused(refusal),
            job::Refused::Problem(problem) => Failure::Job(problem),
        }
    }
}
