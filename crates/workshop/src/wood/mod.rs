//! Woods: the table, how they look under finish, and which piece gets which.

mod whom;

use std::collections::BTreeMap;

use measure::Watch;
use measure::colour::Lab;

use crate::pattern::Outlines;
use crate::picture::Colours;
use crate::work::edit::wood::Edit;
use crate::work::{Changes, Finding, Finish, Number, Refusal, Wood, WoodGrain, WoodId, Work};

pub use whom::whose;

/// The table of woods that comes with spelk (`data/woods.csv`).
pub fn table() -> BTreeMap<WoodId, Wood> {
    unimplemented!()
}

/// The table of finishes that comes with spelk (`data/finishes.csv`).
pub fn finishes() -> BTreeMap<String, Finish> {
    unimplemented!()
}

/// The colour of a wood under a finish.
pub fn finished(_raw: Lab, _finish: &Finish) -> Lab {
    unimplemented!()
}

/// Applies an edit.
pub fn apply(_work: &mut Work, _edit: &Edit) -> Result<Changes, Refusal> {
    unimplemented!()
}

/// A wood and a grain for each piece that acts may decide, and the cost (hundredths of ΔE00 × mm²).
pub fn choose(
    _work: &Work,
    _outlines: &Outlines,
    _colours: &Colours,
    _watch: Watch,
) -> Result<(BTreeMap<Number, WoodGrain>, i64), Refusal> {
    unimplemented!()
}

/// What a check finds of woods.
pub fn findings(_work: &Work, _outlines: &Outlines, _colours: &Colours) -> Vec<Finding> {
    unimplemented!()
}
