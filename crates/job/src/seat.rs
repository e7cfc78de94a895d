//! Where a job was last served, so that a page that was open comes back by itself when its server is started again.
//!
//! A page cannot move to another port, and its browser shows the cookie that it was given. Both are therefore kept here, for
//! each job and for each folder of new jobs, in a file that the account alone may read: who can read it can read the job.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::owner::lock_of;
use crate::place;
use crate::problem::Problem;
use crate::recent;

/// A server's port, and what a browser must show it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seat {
    /// The port on this machine.
    pub port: u16,
    /// The value of the cookie.
    pub session: String,
}

impl Seat {
    /// Where a job, or the new jobs of a folder, were last served; `None` when that is not known.
    pub fn of(document: &Path) -> Option<Seat> {
        serde_json::from_slice(&std::fs::read(file(document).ok()?).ok()?).ok()
    }

    /// Keeps it for the next start.
    pub fn keep(&self, document: &Path) -> Result<(), Problem> {
        recent::put(&file(document)?, &serde_json::to_vec(self).expect("a seat has a text form"))
    }
}

fn file(document: &Path) -> Result<PathBuf, Problem> {
    Ok(lock_of(&place::true_path(document)?)?.with_extension("seat"))
}
