//! The pages beyond the plain pattern: which there are, what each is called, who draws it.

use super::copies;
use super::facts::Facts;
use super::kinds::{Kind, Wanted};
use super::map;
use super::paper::Paper;
use super::pen::Pen;
use super::tiles::{Tile, Tiles};

/// A page beyond the plain pattern.
pub(super) enum Extra {
    /// A print's pieces on the whole pattern.
    Copy(usize),
    /// A tile of a print at true scale.
    Print(usize, Tile),
}

/// What these pages are cut from.
pub(super) struct Extras {
    whole: Paper,
    tiles: Tiles,
}

impl Extras {
    /// The pages that are wanted, in order, and what they are cut from.
    pub fn of(facts: &Facts, wanted: &Wanted) -> (Extras, Vec<Extra>) {
        let paper = wanted.paper;
        let extras = Extras { whole: map::turned(facts.panel, paper), tiles: Tiles::over(facts.panel, paper) };
        let mut pages = Vec::new();
        if wanted.has(Kind::Copies) {
            pages.extend((1..=facts.copies.number).map(Extra::Copy));
        }
        if wanted.has(Kind::Prints) {
            let prints = (1..=facts.copies.number).flat_map(|copy| extras.tiles.each().map(move |tile| (copy, tile)));
            let shown = prints.filter(|print| copies::on_tile(facts, &extras.tiles, *print));
            pages.extend(shown.map(|(copy, tile)| Extra::Print(copy, tile)));
        }
        (extras, pages)
    }

    pub fn paper(&self, page: &Extra) -> Paper {
        match page {
            Extra::Copy(_) => self.whole,
            Extra::Print(..) => self.tiles.paper,
        }
    }

    pub fn draw(&self, pen: &mut Pen, facts: &Facts, page: &Extra) {
        match page {
            Extra::Copy(copy) => copies::draw(pen, facts, self.whole, *copy),
            Extra::Print(copy, tile) => copies::tile(pen, facts, &self.tiles, (*copy, *tile)),
        }
    }
}

impl Extra {
    pub fn kind(&self) -> Kind {
        match self {
            Extra::Copy(_) => Kind::Copies,
            Extra::Print(..) => Kind::Prints,
        }
    }

    /// What stands at the head of the page.
    pub fn name(&self) -> String {
        match self {
            Extra::Copy(copy) => format!("Copies: print {copy}"),
            Extra::Print(copy, tile) => format!("Print {copy}, {}", tile.name()),
        }
    }
}
