//! The pages beyond the plain pattern: which there are, what each is called, who draws it.

use std::ops::Range;

use rayon::prelude::*;

use super::backer::{self, Backer};
use super::backs::Grid;
use super::copies::{self, CutUp, Print};
use super::facts::Facts;
use super::kinds::{Kind, Wanted};
use super::paper::Paper;
use super::pen::Pen;
use super::section::Cut;
use super::singles::Singles;
use super::tiles::{Tile, Tiles};
use super::{blades, boards};
use super::{impose, section, singles};
use crate::work::Refusal;

/// A page beyond the plain pattern.
pub(super) enum Extra {
    /// A print's pieces on the whole pattern, by its place among the prints.
    Copy(usize),
    /// A tile of a print at true scale, by its place among those.
    Print(usize),
    /// Single pieces.
    Singles(Singles),
    /// Sections from this one on.
    Heights(usize),
    /// The backer or the alignment frame.
    Backer(backer::Page),
    /// These rows of the boards.
    Boards(Range<usize>),
    /// These rows of the blades.
    Blades(Range<usize>),
    /// Labels of these pieces.
    Labels(Range<usize>),
}

/// What these pages are cut from.
pub(super) struct Extras {
    paper: Paper,
    /// Of single pieces on shelves.
    shelves: Paper,
    tiles: Tiles,
    grid: Grid,
    backer: Option<Backer>,
    cuts: Vec<Cut>,
    boards: Vec<boards::Item>,
    blades: Vec<boards::Item>,
    pub prints: Vec<Print>,
    pub cut_ups: Vec<CutUp>,
}

impl Extras {
    /// The pages that are wanted, in order, and what they are cut from.
    pub fn of(facts: &Facts, wanted: &Wanted) -> Result<(Extras, Vec<Extra>), Refusal> {
        let (sheet, paper) = (wanted.paper, impose::field(wanted.paper));
        let tiles = Tiles::over(facts.panel, sheet, &facts.spans());
        let whole = impose::whole(facts.panel, sheet);
        // A part has no backer of its own.
        let backed = wanted.names(Kind::Backer) || (wanted.has(Kind::Backer) && wanted.part.is_none());
        let cuts = section::cuts(facts.panel, facts.words, &wanted.sections)?;
        let backer = if backed { Backer::of(facts, sheet) } else { None };
        // A part is cut from the same boards as the rest; they are printed with the whole.
        let boarded = wanted.names(Kind::Boards) || (wanted.has(Kind::Boards) && wanted.part.is_none());
        let boards = if boarded { boards::items(facts, paper) } else { Vec::new() };
        let blades = if wanted.has(Kind::Blades) { blades::items(facts, paper) } else { Vec::new() };
        let copies = if wanted.has(Kind::Copies) { facts.copies.number } else { 0 };
        let prints = (1..=copies).into_par_iter().map(|copy| Print::of(facts, whole, copy)).collect();
        let (singles, shelves) = match wanted.has(Kind::Singles) {
            true => singles::pages_on(facts, sheet),
            false => (Vec::new(), paper),
        };
        let grid = Grid::for_paper(sheet);
        let cut_ups = if wanted.has(Kind::Prints) { cut_ups(facts, &tiles) } else { Vec::new() };
        let extras = Extras { paper, shelves, tiles, grid, backer, cuts, boards, blades, prints, cut_ups };
        let mut pages = Vec::new();
        if wanted.has(Kind::Copies) {
            pages.extend((0..extras.prints.len()).map(Extra::Copy));
        }
        pages.extend((0..extras.cut_ups.len()).map(Extra::Print));
        pages.extend(singles.into_iter().map(Extra::Singles));
        if wanted.has(Kind::Heights) && facts.pieces.iter().any(|piece| piece.height.is_some()) {
            pages.extend((0..extras.cuts.len()).step_by(section::A_PAGE).map(Extra::Heights));
        }
        pages.extend(extras.backer.iter().flat_map(Backer::pages).map(Extra::Backer));
        pages.extend(boards::pages(&extras.boards, paper).into_iter().map(Extra::Boards));
        pages.extend(boards::pages(&extras.blades, paper).into_iter().map(Extra::Blades));
        if wanted.has(Kind::Labels) {
            pages.extend(extras.grid.pages(facts.pieces.len()).into_iter().map(Extra::Labels));
        }
        Ok((extras, pages))
    }

    pub fn paper(&self, page: &Extra) -> Paper {
        match page {
            Extra::Copy(at) => self.prints[*at].paper,
            Extra::Print(..) => self.tiles.paper,
            Extra::Singles(page) => singles::paper_of(page, self.shelves),
            Extra::Heights(_) => self.paper.lying(),
            Extra::Backer(page) => self.backer.as_ref().map_or(self.paper, |backer| backer.paper(*page)),
            Extra::Boards(_) | Extra::Blades(_) => self.paper,
            Extra::Labels(_) => self.grid.paper,
        }
    }

    pub fn draw(&self, pen: &mut Pen, facts: &Facts, page: &Extra) {
        match page {
            Extra::Copy(at) => self.prints[*at].draw(pen, facts),
            Extra::Print(at) => self.cut_ups[*at].draw(pen, facts, &self.tiles),
            Extra::Singles(page) => singles::draw(pen, facts, page),
            Extra::Heights(from) => section::draw(pen, facts, self.paper.lying(), (&self.cuts, *from)),
            Extra::Backer(page) => self.backer.iter().for_each(|backer| backer.draw(pen, facts, *page)),
            Extra::Boards(rows) => boards::draw(pen, facts, self.paper, &self.boards[rows.clone()]),
            Extra::Blades(rows) => boards::draw(pen, facts, self.paper, &self.blades[rows.clone()]),
            Extra::Labels(pieces) => self.grid.draw(pen, facts, pieces.clone()),
        }
    }
}

/// Every tile of every print that shows a piece of it.
fn cut_ups(facts: &Facts, tiles: &Tiles) -> Vec<CutUp> {
    let prints = (1..=facts.copies.number).flat_map(|copy| tiles.each().map(move |tile| (copy, tile)));
    let shown: Vec<(usize, Tile)> = prints.filter(|print| copies::on_tile(facts, tiles, *print)).collect();
    shown.into_par_iter().map(|print| CutUp::of(facts, tiles, print)).collect()
}

impl Extra {
    pub fn kind(&self) -> Kind {
        match self {
            Extra::Copy(_) => Kind::Copies,
            Extra::Print(..) => Kind::Prints,
            Extra::Singles(_) => Kind::Singles,
            Extra::Heights(_) => Kind::Heights,
            Extra::Backer(_) => Kind::Backer,
            Extra::Boards(_) => Kind::Boards,
            Extra::Blades(_) => Kind::Blades,
            Extra::Labels(_) => Kind::Labels,
        }
    }

    /// Whether the page has neither head nor foot.
    pub fn bare(&self) -> bool {
        matches!(self, Extra::Labels(_))
    }

    /// Whether its words tell what it shows: they are then read aloud in place of a name for the whole drawing.
    pub fn worded(&self) -> bool {
        [Kind::Copies, Kind::Singles, Kind::Labels].contains(&self.kind())
    }

    /// Whether it tags what it draws itself.
    pub fn tags(&self) -> bool {
        [Kind::Boards, Kind::Blades].contains(&self.kind())
    }

    /// What stands at the head of the page.
    pub fn name(&self) -> String {
        match self {
            Extra::Copy(at) => format!("Copies: print {}", at + 1),
            Extra::Backer(page) => page.name(),
            Extra::Singles(Singles::Large(one)) => {
                format!("Single piece, tile {}", one.tile.name())
            }
            other => other.kind().title().to_owned(),
        }
    }
}
