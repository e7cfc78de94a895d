//! The desk before a job is open, and refusals.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use workshop::work::{Spot, Way};

/// `GET /api/desk`: what lies on the desk.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Desk {
    /// The open job's file; `None` on the start page.
    pub job: Option<String>,
    /// Jobs that were open before, the latest first.
    pub recent: Vec<Recent>,
    /// Where new jobs are put unless the maker names a folder.
    pub folder: String,
    /// spelk's version.
    pub version: String,
}

/// A job that was open before.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Recent {
    /// Its file.
    pub path: String,
    /// Its title.
    pub title: String,
    /// When it was last opened: seconds since 1970.
    pub when: i64,
}

/// The body of every answer that is no success: 409 when `stale`, 422 when the workshop or the file refused.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, TS)]
pub struct Trouble {
    /// What cannot be and why, in the maker's words.
    pub what: String,
    /// Where.
    #[serde(rename = "where")]
    pub spot: Spot,
    /// What to do instead.
    pub ways: Vec<Way>,
    /// The page showed an older state: fetch `/api/seen` and try again.
    pub stale: bool,
}
