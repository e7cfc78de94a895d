//! Edits of the picture.

use measure::length::Um;
use serde::{Deserialize, Serialize};

use crate::work::{Framing, GroundChoice, InkChoice, PictureRef, SubjectMarks};

/// A change of the picture.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[ts(rename = "PictureEdit")]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Starts from this picture, or replaces it under the pattern.
    Place(PictureRef),
    /// Says whose it is.
    Credit {
        /// Who made it.
        author: String,
        /// Where it is from.
        source: String,
        /// By what permission it is used.
        permission: String,
    },
    /// Turns and crops the picture; nothing said is the whole of it, upright. Without a pattern the panel keeps its width and takes the
    /// shape of what is seen; under a pattern only the picture moves, and what is seen keeps the panel's shape.
    Framing(Option<Framing>),
    /// Strokes over what is subject and what is ground: a round that refines those before it. The next trace follows them.
    Mark(SubjectMarks),
    /// Takes all such strokes away.
    Unmark,
    /// What becomes of a plain ground at the next trace.
    Ground(GroundChoice),
    /// What becomes of ink at the next trace.
    Ink(InkChoice),
    /// Breaks in drawn lines up to this wide are bridged at the next trace: 0 for none, at most 20 mm.
    Bridge(Um),
    /// Where the sheet's corners lie in the photograph of a drawing on paper, for the next trace: clockwise from the top left,
    /// millionths of its width and height; nothing said is the whole photograph.
    Corners(Option<[[i32; 2]; 4]>),
}
