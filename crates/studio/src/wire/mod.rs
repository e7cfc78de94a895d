//! What goes over the wire: plain values, each with a TypeScript twin in `ui/state/wire.ts`.
//!
//! Lengths are whole µm unless the name ends in `_mm`; drawn lines are SVG path data in mm. Edits, relations and findings
//! are the workshop's own values as their text form writes them.

mod asks;
mod desk;
mod events;
mod offers;
mod saw;
mod seen;
#[cfg(test)]
mod twin;

pub use asks::{
    Accept, AskFor, Asking, At, BoardLook, BoardPut, Chosen, Draft, DraftArea, DraftFor, EditBody, Open, Paper,
    Section, SectionFor, SectionStretch, SheetsFor, Started, Stop, Within,
};
pub use desk::{Desk, Recent, Trouble};
pub use events::{ActEnded, ActTold, Found, Hello};
pub use offers::{BehindSeen, Judged, Offer, Offers, OffersFor, TestColour, TestLook, TestPair, Tone, Tones};
pub use saw::{BladeSeen, Sawn, SawnPiece};
pub use seen::{
    Area, BoardPart, BoardSeen, Border, Delta, Finding, FitSeen, Label, LineSeen, Logged, Lying, Mark, MissingSeen,
    Part, Piece, PieceLength, Relation, Seen, Setup, Swallowed, Wood, WoodOf, ZoneSeen,
};
