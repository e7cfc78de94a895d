//! What the saw can and cannot do: narrow places, bends, blades, minutes.
//!
//! All of it looks at the outline as it is sawn, the area's own moved in by half of a border's gap. Where both neighbours
//! are sawn on their shared line the blade takes half a kerf more from each; what is otherwise fitted says `fit`.

mod bend;
mod blades;
mod findings;
mod fit;
mod hollow;
mod hours;
mod mends;
mod necks;
mod plan;
mod slot;
mod small;
mod tongue;
mod turns;

pub use bend::tightest;
pub use blades::{Asks, Fitted, Rack, blades, fit};
pub use findings::{Narrow, findings};
pub use fit::{Joint, TOLERATED, apply, joints, spare};
pub use hours::{Hours, blades_used, hours};
pub use necks::{Neck, necks};
pub use plan::{Sawing, plan};
pub use slot::{length as slot_length, slots, slotted};
pub use small::out_of_square;
pub use tongue::{Tongue, tongues};
