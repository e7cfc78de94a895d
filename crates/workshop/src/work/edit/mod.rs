//! Every change that can be made to a job, nested by the module that owns it.

pub mod bench;
pub mod part;
pub mod pattern;
pub mod picture;
pub mod relief;
pub mod saw;
pub mod setup;
pub mod stock;
pub mod wood;

use serde::{Deserialize, Serialize};

use super::Proposal;

/// A change. All go through `workshop::apply`.
#[derive(Clone, Debug, PartialEq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Edit {
    /// Settings of the job.
    Setup(setup::Edit),
    /// The picture and its papers.
    Picture(picture::Edit),
    /// Areas and borders.
    Pattern(pattern::Edit),
    /// Parts and their variants.
    Part(part::Edit),
    /// Woods and grain.
    Wood(wood::Edit),
    /// Heights, relations, marks.
    Relief(relief::Edit),
    /// How pieces are fitted to each other.
    Saw(saw::Edit),
    /// Boards and what lies on them.
    Stock(stock::Edit),
    /// What was done.
    Bench(bench::Edit),
    /// The values of a proposal.
    #[ts(skip)]
    Take(Box<Proposal>),
}
