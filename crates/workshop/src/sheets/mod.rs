//! Sheets for the bench: PDF, SVG, CSV as bytes.
//!
//! `facts` gathers what is shown, `book` lays out and draws the pages, `svg` and `cut_list` write the other two. Lengths
//! are true: 100 mm of the pattern is 100 mm of the page. What is undecided shows as a dash.

mod backer;
mod backs;
mod blades;
mod boards;
mod book;
mod copies;
mod cover;
mod cut_list;
mod dims;
mod draw;
mod extra;
mod facts;
mod finder;
mod flags;
mod flow;
mod frame;
mod hatch;
mod impose;
mod inset_page;
mod insets;
mod inside;
mod kinds;
mod labels;
mod letters;
mod lines;
mod list;
mod map;
mod notes;
mod paper;
mod pattern;
mod pen;
mod picture;
mod room;
mod section;
mod shelves;
mod singles;
mod svg;
mod table;
#[cfg(test)]
mod tests;
mod tiles;
mod unscaled;
mod words;

use measure::Watch;

pub use book::{MOST_PAGES, pages_at_least};
pub use kinds::{Kind, Wanted};
pub use paper::{PAPERS, Paper, paper};

use crate::derived::Derived;
use crate::work::{Refusal, Way, Work};

/// A finished sheet.
pub struct Sheet {
    /// Its file name.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// The pattern book (PDF); beside a whole book the pattern (SVG) and the cut list (CSV). A stop comes back as a refusal that
/// says so.
pub fn book(work: &Work, derived: &mut Derived, wanted: &Wanted, watch: Watch) -> Result<Vec<Sheet>, Refusal> {
    if work.pattern.areas.is_empty() {
        return Err(Refusal::new("There is no pattern to draw yet.")
            .way(Way::advice("Trace the picture, or draw a pattern, and take it.")));
    }
    stopped(watch)?;
    let raster = derived.picture().cloned();
    let facts = facts::Facts::of(work, derived.outlines(work)).kept(wanted)?;
    let view =
        || wanted.has(Kind::Cover).then(|| cover::view(work, derived, impose::field(wanted.paper), watch)).flatten();
    let (plan, lit) = rayon::join(|| book::Plan::of(&facts, wanted, raster.is_some()), view);
    let plan = plan?;
    stopped(watch)?;
    let pictures = book::Pictures { lit, picture: raster.as_deref().map(picture::image) };
    let pdf = book::pdf(&facts, &plan, &pictures, watch)?;
    watch.tell("drawing sheets", 1.0);
    let mut sheets = vec![sheet(&wanted.file(), pdf)];
    if wanted.whole() {
        sheets.push(sheet("pattern.svg", svg::pattern(&facts).into_bytes()));
        sheets.push(sheet("cut-list.csv", cut_list::csv(&facts)));
    }
    Ok(sheets)
}

fn sheet(name: &str, bytes: Vec<u8>) -> Sheet {
    Sheet { name: name.to_owned(), bytes }
}

fn stopped(watch: Watch) -> Result<(), Refusal> {
    if watch.stopped() { Err(Refusal::new("Stopped; no sheet was written.")) } else { Ok(()) }
}
