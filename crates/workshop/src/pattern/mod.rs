//! The planar map: fitted from regions, derived into outlines, changed by edits, proved whole.

mod edit;
mod findings;
mod fit;
mod outline;
mod prove;

pub use edit::{accept, apply};
pub use findings::findings;
pub use fit::fit;
pub use outline::{Meeting, Outline, Outlines, outlines};
pub use prove::{Fault, prove};
