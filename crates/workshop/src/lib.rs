//! The trade: from a picture to sheets for the bench.
//!
//! Pure: no file is opened, no clock asked, no network used, no dice rolled. Bytes, dates, seeds and progress come in by
//! argument; pictures and sheets go out as bytes. Modules stand in an order, and each uses only those before it:
//! `work`, `picture`, `pattern`, `wood`, `relief`, `saw`, `stock`, `mount`, `bench`, `derived`, `caution`, `letters`, `check`, `tell`, `view`, `sheets`, `door`.

pub mod work;

pub mod picture;

pub mod pattern;

pub mod wood;

pub mod relief;

pub mod saw;

pub mod stock;

pub mod mount;

pub mod bench;
mod derived;

mod caution;

pub mod letters;

mod check;

mod tell;

pub mod view;

pub mod sheets;

mod door;

pub use check::check;
pub use derived::Derived;
pub use door::{
    Beginning, Sketch, Subject, apply, apply_all, apply_to_shop, begin, label, label_all, masked_picture, on_backers,
    plan, plan_drawn, propose, sketch, stock, subject, unmasked_picture, with_variants,
};
pub use tell::{Gathered, tell, tones};
