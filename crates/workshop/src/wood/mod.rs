//! Woods: the table, how they look under finish, and which piece gets which.

mod alternatives;
mod choose;
mod code;
mod contrast;
mod edit;
mod findings;
mod finish;
mod fit;
mod grain;
mod spelling;
mod strokes;
mod sure;
mod table;
mod whom;
mod years;

pub use alternatives::{Alternative, Behind, First, Neighbour, alternatives, backers};
pub use choose::{USUAL, choose, found, stated, turn_grain};
pub use code::give_codes;
pub use contrast::{Offcuts, judged, offcuts};
pub use edit::apply;
pub use findings::findings;
pub(crate) use findings::{in_use, name};
pub use finish::aged_look;
pub use finish::finished;
pub use finish::look;
pub use fit::{fit_finish, unfinished};
pub use grain::Necks;
pub use spelling::near;
pub use sure::{Seeing, VISIBLE, Verdict, judge, spread};
pub use table::{finishes, read_finishes, read_woods, table};
pub use whom::whose;
pub use years::{HOLDS_YEARS, aged};
