//! What `GET /api/events` tells, each event's name in its words.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{Finding, Trouble};

/// `hello`: the first event of a stream. A page that shows another revision fetches `/api/seen`; so it does on `resync`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Hello {
    /// The job's revision, `None` when none is open.
    pub revision: Option<u64>,
}

/// `act`: how far a long act is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct ActTold {
    /// Its id.
    pub id: u32,
    /// What it does: `trace`, `choose_woods`, `work_out_heights`, `mend_heights`, `view`, `sheets`.
    pub name: String,
    /// The share done, 0 to 1.
    pub done: f64,
    /// Its stage in the maker's words.
    pub text: String,
}

/// `act_ended`: a long act is over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct ActEnded {
    /// Its id.
    pub id: u32,
    /// What it did.
    pub name: String,
    /// Its outcome was taken, or is there to fetch.
    pub ok: bool,
    /// Somebody stopped it.
    pub stopped: bool,
    /// Why not, or what the maker should know.
    pub refusal: Option<Trouble>,
}

/// `findings`: what a check of this revision found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Found {
    /// The revision that was checked.
    pub revision: u64,
    /// The findings, gravest first.
    pub findings: Vec<Finding>,
}
