//! One writer of a document at a time.
//!
//! The lock is on a file of its own in the account's state folder, named by a hash of the document's path: a lock on
//! the document itself would block SQLite on Windows, and closing a second handle on it would drop SQLite's own locks
//! elsewhere. The system frees the lock when the process dies. It does not see other machines and accounts: those are
//! noticed by `PRAGMA data_version` before each write.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::pack::hex;
use crate::place;
use crate::problem::Problem;

/// The right to write a document, until dropped.
#[derive(Debug)]
pub(crate) struct Owner {
    _held: File,
}

impl Owner {
    /// Takes the right to write `document`, a path with its links resolved.
    pub(crate) fn of(document: &Path) -> Result<Owner, Problem> {
        let folder = place::state()?.join("writing");
        std::fs::create_dir_all(&folder).map_err(|e| Problem::io(&folder, e))?;
        let name = hex(&Sha256::digest(document.as_os_str().as_encoded_bytes()));
        let path = folder.join(name);
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
