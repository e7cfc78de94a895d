//! Woods: the table, how they look under finish, and which piece gets which.

mod choose;
mod code;
mod edit;
mod findings;
mod finish;
mod grain;
mod spelling;
mod table;
mod whom;

pub use choose::choose;
pub use code::give_codes;
pub use edit::apply;
pub use findings::findings;
pub(crate) use findings::{in_use, name};
pub use finish::finished;
pub use finish::look;
pub use spelling::near;
pub use table::{finishes, read_finishes, read_woods, table};
pub use whom::whose;
