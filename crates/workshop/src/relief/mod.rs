//! Heights: relations, marks, the exact solution on stock, and the reason when there is none.
//!
//! `edit` takes what the maker says, of pieces, parts and anchors (`anchor`), and `brief` names it in a few words; `system` turns it into difference rows; `conflict` explains what cannot all
//! hold, tried on stock in `trial`, and `loosen` offers the ways out; `front` guesses from the borders which of two touching pieces lies in front; `depth` spreads depth over the
//! pieces; `heights` solves, and `land` puts the solution on what `choices` gives, by few planer
//! settings where they are wished (`settings`);
//! `mend` moves as little as can be after a change; `findings` checks what is decided, `reading` whether it shows from where the work is looked at, `frame`
//! whether it fits; `keep` tries a mend on the musts before
//! it is offered.

mod anchor;
mod brief;
mod choices;
mod conflict;
mod depth;
mod edit;
mod findings;
mod frame;
mod front;
mod given_up;
mod heights;
mod keep;
mod land;
mod loosen;
mod mend;
#[cfg(test)]
mod planted;
mod profile;
mod reading;
mod settings;
mod system;
#[cfg(test)]
mod tests;
mod trial;
mod words;

pub use brief::{brief, deep};
pub use edit::{apply, follow_step, sound_step};
pub use findings::{broken_musts, findings};
pub use given_up::{GivenUp, Uneven, given_up, missed_by, uneven, uneven_climb};
pub use heights::heights;
pub use mend::mend;
pub use profile::{Stretch, profile};
pub use settings::{Price, price_in_words, price_of_settings, settings};
pub use words::{relation as in_words, whom as named};
