//! Sheets for the bench: PDF, SVG, CSV as bytes.
//!
//! `facts` gathers what is shown, `book` lays out and draws the pages, `svg` and `cut_list` write the other two. Lengths
//! are true: 100 mm of the pattern is 100 mm of the page. What is undecided shows as a dash.

mod book;
mod cover;
mod cut_list;
mod draw;
mod facts;
mod flow;
mod frame;
mod labels;
mod letters;
mod list;
mod map;
mod notes;
mod paper;
mod pattern;
mod pen;
mod room;
mod svg;
#[cfg(test)]
mod tests;
mod tiles;
mod unscaled;
mod words;

use measure::Watch;

pub use paper::{PAPERS, Paper, paper};

use crate::derived::Derived;
use crate::view::Lit;
use crate::work::{Refusal, Way, Work};

/// A finished sheet.
pub struct Sheet {
    /// Its file name.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// The pattern book (PDF), the pattern (SVG) and the cut list (CSV). `lit` is the view for the cover. A stop comes back as
/// a refusal that says so.
pub fn book(
    work: &Work,
    derived: &mut Derived,
    paper: Paper,
    lit: Option<&Lit>,
    watch: Watch,
) -> Result<Vec<Sheet>, Refusal> {
    if work.pattern.areas.is_empty() {
        return Err(Refusal::new("There is no pattern to draw yet.")
            .way(Way::advice("Trace the picture, or draw a pattern, and take it.")));
    }
    stopped(watch)?;
    let picture = derived.picture().cloned();
    let facts = facts::Facts::of(work, derived.outlines(work));
    let pictures = book::Pictures { lit, picture: picture.as_deref() };
    let pdf = book::pdf(&facts, paper, &pictures, watch)?;
    watch.tell("drawing sheets", 1.0);
    Ok(vec![
        sheet(&format!("pattern-book-{}.pdf", paper.name), pdf),
        sheet("pattern.svg", svg::pattern(&facts).into_bytes()),
        sheet("cut-list.csv", cut_list::csv(&facts)),
    ])
}

fn sheet(name: &str, bytes: Vec<u8>) -> Sheet {
    Sheet { name: name.to_owned(), bytes }
}

fn stopped(watch: Watch) -> Result<(), Refusal> {
    if watch.stopped() { Err(Refusal::new("Stopped; no sheet was written.")) } else { Ok(()) }
}
