//! The planar map: fitted from regions, derived into outlines, changed by edits, proved whole.

mod edit;
mod findings;
mod fit;
mod gathered;
mod loose;
mod made;
mod outline;
mod own;
mod prove;
#[cfg(test)]
pub(crate) mod sample;
mod swallowed;

pub use edit::{Around, accept, apply, held, of_parts, settled, splice, with_ink};
pub use findings::findings;
pub(crate) use findings::longest_neighbour;
pub use fit::fit;
pub(crate) use gathered::Fine;
pub use loose::{still_loose, with_choices};
pub(crate) use made::refuse_if_made;
pub use made::state_word;
pub(crate) use outline::outlines_after;
pub use outline::widest::circle as widest_circle;
pub use outline::{Meeting, Outer, Outline, Outlines, outer_rings, outlines};
pub(crate) use own::fitted;
pub use own::{Own, is_drawing, left_out, own_from_paper, own_from_svg};
pub use prove::{Fault, prove};
pub use swallowed::lies_in;
