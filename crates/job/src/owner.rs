//! One writer of a document at a time.
//!
//! The lock is on a file of its own in the account's state folder, named by a hash of the document's path: a lock on
//! the document itself would block SQLite on Windows, and closing a second handle on it would drop SQLite's own locks
//! elsewhere. The system frees the lock when the process dies. It does not see other machines and accounts: those are
//! noticed by `PRAGMA data_version` before each write.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::pack::hex;
use crate::place;
use crate::problem::Problem;
use crate::recent;

/// The right to write a document, until dropped.
#[derive(Debug)]
pub(crate) struct Owner {
    _held: File,
}

impl Owner {
    /// Takes the right to write `document`, a path with its links resolved.
    pub(crate) fn of(document: &Path) -> Result<Owner, Problem> {
        let path = lock_of(document)?;
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(|e| Problem::io(folder, e))?;
        }
        // The lock file stays when the lock is given back: removing it would let two own one document.
        let options = OpenOptions::new().create(true).truncate(false).write(true).open(&path);
        let held = options.map_err(|e| Problem::io(&path, e))?;
        match held.try_lock() {
            Ok(()) => Ok(Owner { _held: held }),
            Err(TryLockError::WouldBlock) => Err(Problem::Owned { path: document.to_path_buf() }),
            Err(TryLockError::Error(e)) => Err(Problem::io(&path, e)),
        }
    }
}

/// The file whose lock is the right to write a document; what else is kept of it for the account lies beside.
pub(crate) fn lock_of(document: &Path) -> Result<PathBuf, Problem> {
    let name = hex(&Sha256::digest(document.as_os_str().as_encoded_bytes()));
    Ok(place::state()?.join("writing").join(name))
}

/// The word lies beside the lock: on some systems a locked file cannot be read by others.
fn word_file(document: &Path) -> Result<PathBuf, Problem> {
    Ok(lock_of(document)?.with_extension("word"))
}

/// Leaves a word for others of this account who want to write the document: where it is open.
pub(crate) fn leave_word(document: &Path, word: &str) -> Result<(), Problem> {
    recent::put(&word_file(document)?, word.as_bytes())
}

/// The word that the present writer of a document left, if one has it open and left one.
pub fn word_of(document: &Path) -> Option<String> {
    let document = place::true_path(document).ok()?;
    match Owner::of(&document) {
        // Nobody has it open: a word that lies there is of one who is gone.
        Ok(_) => None,
        Err(_) => std::fs::read_to_string(word_file(&document).ok()?).ok(),
    }
}
