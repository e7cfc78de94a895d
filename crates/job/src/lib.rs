//! The job file and the shop file: every edit a durable revision in one SQLite file.
//!
//! A document is one file that can be copied, mailed and put on a stick: SQLite with a rollback journal, never a
//! write-ahead log, since that leaves part of the document in a second file. Each call that returns `Ok` has been
//! written through to the disk. A file that cannot be read whole is never written to.
//!
//! Where it can fail: a disk or a network drive that says it has stored what it has not.

mod chain;
mod file;
mod job;
mod keep;
mod owner;
mod pack;
mod place;
mod problem;
mod rack;
pub mod recent;
mod schema;
mod seat;
mod shelf;
mod shop;
pub mod stored;

pub use job::{Job, picture_hash};
pub use owner::word_of;
pub use problem::{Problem, Refused};
pub use rack::{bring, give_back};
pub use seat::Seat;
pub use shelf::Revision;
pub use shop::ShopFile;
