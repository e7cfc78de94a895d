//! The pattern book: which pages there are, and the PDF that holds them.
//!
//! No date and no random id goes in, so the same job gives the same bytes.

use std::ops::Range;

use krilla::destination::XyzDestination;
use krilla::geom::{Point, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::tagging::{Tag, TagGroup, TagTree};
use krilla::{Document, SerializeSettings};
use measure::Watch;
use rayon::prelude::*;

use super::cover::{self, Entry};
use super::draw::{Drawing, Placed};
use super::extra::{Extra, Extras};
use super::facts::Facts;
use super::frame::Frame;
use super::impose::{Field, Imposed};
use super::inset_page::{One, Which};
use super::insets::Inset;
use super::kinds::{Kind, Wanted};
use super::letters::PT_MM;
use super::map::{Map, Theme};
use super::paper::Paper;
use super::pen::{Pen, weight};
use super::tiles::{Spans, Tile, Tiles};
use super::{impose, inset_page, list, notes, pattern, picture, stopped, unscaled};
use crate::work::{Refusal, Way, Work};

/// Of the words on the sheets.
const LANGUAGE: &str = "en-GB";

/// More pages than this are a slip of the size or the paper, not a wish.
pub const MOST_PAGES: usize = 500;

/// At least how many pages the book has: its tiles alone, which is quickly known.
pub fn pages_at_least(work: &Work, wanted: &Wanted) -> usize {
    let panel = (work.panel.width.to_mm(), work.panel.height.to_mm());
    let pictured = work.picture.is_some() && wanted.has(Kind::Picture);
    let tiled = [wanted.has(Kind::Pattern), pictured, pictured, wanted.has(Kind::Behind), wanted.has(Kind::Prints)];
    let times = tiled.into_iter().filter(|tiled| *tiled).count();
    if times == 0 { 0 } else { times * Tiles::over(panel, wanted.paper, &Spans::default()).count() }
}

/// Pictures that the book shows.
#[derive(Default)]
pub(super) struct Pictures {
    /// The view for the cover.
    pub lit: Option<Image>,
    pub picture: Option<Image>,
}

/// A page before it is drawn.
enum Page {
    Cover,
    /// The picture on one page; with borders and numbers.
    Picture(bool),
    /// The picture at true scale on a tile; with borders and numbers.
    PictureTile(usize, bool),
    Map(usize),
    Tile(usize),
    /// A tile from behind.
    BehindTile(usize),
    /// Insets, among the pages of a kind.
    Insets(Kind, Sheets, Vec<Which>),
    List(Range<usize>),
    Notes(Range<usize>),
    Extra(Extra),
}

/// Sheets whose insets are gathered.
#[derive(Clone, Copy)]
enum Sheets {
    /// The maps share theirs.
    Maps,
    Tiles,
    Prints,
    CutUps,
    Behind,
}

/// All pages, and what they are cut from.
pub(super) struct Plan {
    /// The paper that was asked for.
    sheet: Paper,
    /// The paper of pages that need no whole sheet.
    paper: Paper,
    /// Of the picture alone.
    picture: Paper,
    maps: Vec<Map>,
    tiles: Tiles,
    /// Each tile with its words.
    sheets: Vec<(Tile, Placed)>,
    /// The same from behind.
    tiles_behind: Tiles,
    behind: Vec<(Tile, Placed)>,
    items: Vec<list::Item>,
    notes: Vec<notes::Note>,
    pages: Vec<Page>,
    extras: Extras,
}

impl Plan {
    /// Lays every page out. `pictured`: the job has a picture to show.
    pub fn of(facts: &Facts, wanted: &Wanted, pictured: bool) -> Result<Plan, Refusal> {
        let (sheet, paper) = (wanted.paper, impose::field(wanted.paper));
        let whole = impose::whole(facts.panel, sheet);
        let (extras, extra) = Extras::of(facts, wanted)?;
        let tiles = Tiles::over(facts.panel, sheet, &facts.spans());
        let (items, notes) = (list::items(facts), notes::notes(facts, paper));
        let lists = list::pages(&items, paper);
        let noted = notes::pages(&notes, paper);
        let pictured = pictured && wanted.has(Kind::Picture);
        // Before the words are placed: a book too long to be meant should not be laid out first.
        within_reason(if pictured { 2 + 2 * tiles.count() } else { 0 } + tiles.count() + extra.len(), wanted)?;
        let themes = match (wanted.has(Kind::Map), pictured) {
            (true, _) => Theme::of(facts),
            (false, true) => vec![Theme::Woods],
            (false, false) => Vec::new(),
        };
        let maps = Map::all(facts, whole, &themes);
        let laid = if pictured || wanted.has(Kind::Pattern) { tiles.each().collect() } else { Vec::new() };
        let sheets: Vec<(Tile, Placed)> =
            laid.into_par_iter().map(|tile| (tile, pattern::placed(facts, &tiles, tile, false))).collect();
        let tiles_behind = Tiles::over(facts.panel, sheet, &facts.spans().mirrored(facts.panel.0));
        let laid = if wanted.has(Kind::Behind) { tiles_behind.each().collect() } else { Vec::new() };
        let behind: Vec<(Tile, Placed)> =
            laid.into_par_iter().map(|tile| (tile, pattern::placed(facts, &tiles_behind, tile, true))).collect();
        let mut pages = vec![Page::Cover];
        if pictured {
            pages.extend([Page::Picture(false), Page::Picture(true)]);
            pages.extend((0..sheets.len()).map(|at| Page::PictureTile(at, false)));
            pages.extend((0..sheets.len()).map(|at| Page::PictureTile(at, true)));
        }
        pages.extend((0..maps.len()).map(Page::Map));
        pages.extend((0..sheets.len()).map(Page::Tile));
        pages.extend((0..behind.len()).map(Page::BehindTile));
        pages.extend(extra.into_iter().map(Page::Extra));
        pages.extend(lists.into_iter().map(Page::List));
        pages.extend(noted.into_iter().map(Page::Notes));
        let picture = picture::paper(facts.panel, whole);
        let mut plan =
            Plan { sheet, paper, picture, maps, tiles, sheets, tiles_behind, behind, items, notes, pages, extras };
        plan.gather_insets(wanted, pictured);
        let pages = &mut plan.pages;
        pages.retain(|page| wanted.has(kind(page)));
        // A stable sort: pages of a kind stay as they were made.
        pages.sort_by_key(kind);
        within_reason(pages.len(), wanted)?;
        Ok(plan)
    }

    /// Insets stand after the pages that they belong to; where only the picture is wanted, after the picture.
    fn gather_insets(&mut self, wanted: &Wanted, pictured: bool) {
        let mut of = vec![(Kind::Map, Sheets::Maps), (Kind::Pattern, Sheets::Tiles)];
        for (kind, _) in of.iter_mut().filter(|(kind, _)| pictured && !wanted.has(*kind)) {
            *kind = Kind::Picture;
        }
        of.extend([(Kind::Copies, Sheets::Prints), (Kind::Prints, Sheets::CutUps), (Kind::Behind, Sheets::Behind)]);
        for (kind, sheets) in of {
            let insets: Vec<&[Inset]> = self.placed(sheets).into_iter().map(|placed| &placed.insets[..]).collect();
            let pages = inset_page::pages(&insets, !matches!(sheets, Sheets::Maps), self.paper);
            self.pages.extend(pages.into_iter().map(|which| Page::Insets(kind, sheets, which)));
        }
    }

    /// What is placed on each of the sheets whose insets are gathered.
    fn placed(&self, sheets: Sheets) -> Vec<&Placed> {
        match sheets {
            Sheets::Maps => self.maps.first().map(|map| &map.placed).into_iter().collect(),
            Sheets::Tiles => self.sheets.iter().map(|(_, placed)| placed).collect(),
            Sheets::Prints => self.extras.prints.iter().map(|print| &print.placed).collect(),
            Sheets::CutUps => self.extras.cut_ups.iter().map(|print| &print.placed).collect(),
            Sheets::Behind => self.behind.iter().map(|(_, placed)| placed).collect(),
        }
    }

    fn paper_of(&self, page: &Page) -> Paper {
        match page {
            Page::Map(at) => self.maps[*at].paper,
            Page::BehindTile(_) => self.tiles_behind.paper,
            Page::Picture(true) => self.maps[0].paper,
            Page::Picture(false) => self.picture,
            Page::Tile(_) | Page::PictureTile(..) => self.tiles.paper,
            Page::Extra(extra) => self.extras.paper(extra),
            _ => self.paper,
        }
    }

    /// All pages on their sheets of paper.
    fn imposed(&self) -> Vec<Imposed> {
        let papers: Vec<Paper> = self.pages.iter().map(|page| self.paper_of(page)).collect();
        impose::sheets(&papers, self.sheet)
    }

    /// The name of every page.
    #[cfg(test)]
    pub fn names(&self) -> Vec<String> {
        self.pages.iter().map(|page| self.name(page)).collect()
    }

    /// The first page of each sheet, for the cover and for the bookmarks.
    fn index(&self) -> Vec<Entry> {
        let mut index: Vec<Entry> = Vec::new();
        for (at, page) in self.pages.iter().enumerate() {
            let name = self.section(page);
            if index.last().is_none_or(|last| last.0 != name) {
                index.push((name.to_owned(), at + 1));
            }
        }
        index
    }
}

fn within_reason(pages: usize, wanted: &Wanted) -> Result<(), Refusal> {
    if pages == 0 {
        return Err(Refusal::new("No page of this kind can be made yet.").way(Way::advice("Ask for other kinds.")));
    }
    if pages <= MOST_PAGES || wanted.many {
        return Ok(());
    }
    Err(Refusal::new(format!("The book would have {pages} pages, more than {MOST_PAGES}."))
        .way(Way::advice("Choose a larger paper, ask for some kinds only, or add --yes.")))
}

fn kind(page: &Page) -> Kind {
    match page {
        Page::Cover => Kind::Cover,
        Page::Picture(_) | Page::PictureTile(..) => Kind::Picture,
        Page::Map(_) => Kind::Map,
        Page::Tile(_) => Kind::Pattern,
        Page::BehindTile(_) => Kind::Behind,
        Page::Insets(kind, ..) => *kind,
        Page::List(_) => Kind::List,
        Page::Notes(_) => Kind::Notes,
        Page::Extra(extra) => extra.kind(),
    }
}

impl Plan {
    /// What the page index calls it.
    fn section(&self, page: &Page) -> &'static str {
        match page {
            Page::PictureTile(_, false) => "Picture at true scale",
            Page::PictureTile(_, true) => "Picture with borders at true scale",
            Page::Map(at) => self.maps[*at].theme.name(),
            Page::Insets(_, sheets, _) => sheets.name(),
            other => kind(other).title(),
        }
    }

    /// What stands at its head.
    fn name(&self, page: &Page) -> String {
        let tile = |at: &usize| self.sheets[*at].0.name();
        match page {
            Page::Picture(true) => "Picture with borders".into(),
            Page::PictureTile(at, false) => format!("Picture {}", tile(at)),
            Page::PictureTile(at, true) => format!("Picture with borders {}", tile(at)),
            Page::Tile(at) => format!("Pattern {}", tile(at)),
            Page::BehindTile(at) => {
                format!("From behind {}, mirrored: left and right are exchanged", self.behind[*at].0.name())
            }
            Page::Extra(Extra::Print(at)) => self.extras.cut_ups[*at].name(),
            Page::Extra(extra) => extra.name(),
            other => self.section(other).to_owned(),
        }
    }
}

impl Plan {
    /// A drawing in words: what it is, and the pieces that it numbers.
    fn told(&self, facts: &Facts, page: &Page) -> String {
        let areas = match page {
            Page::Tile(at) | Page::PictureTile(at, true) => &self.sheets[*at].1.areas,
            Page::BehindTile(at) => &self.behind[*at].1.areas,
            Page::Map(at) => &self.maps[*at].placed.areas,
            _ => return self.name(page),
        };
        let shown = facts.pieces.iter().filter(|piece| areas.contains(&piece.area));
        let numbers: Vec<String> = shown.map(|piece| piece.number.to_string()).collect();
        format!("{}: pieces {}", self.name(page), numbers.join(", "))
    }
}

/// Draws the whole book.
pub(super) fn pdf(facts: &Facts, plan: &Plan, pictures: &Pictures, watch: Watch) -> Result<Vec<u8>, Refusal> {
    let mut document = Document::new_with(SerializeSettings::default());
    let mut heard = TagTree::new().with_lang(Some(LANGUAGE.into()));
    let sheets = plan.imposed();
    let mut groups = Vec::new();
    for (at, sheet) in sheets.iter().enumerate() {
        stopped(watch)?;
        watch.tell("drawing sheets", at as f64 / sheets.len() as f64);
        groups.extend(draw_sheet(&mut document, facts, (plan, sheet), pictures));
    }
    groups.sort_by_key(|(page, _)| *page);
    groups.into_iter().for_each(|(_, group)| heard.push(group));
    document.set_tag_tree(heard);
    document.set_outline(bookmarks(plan, &sheets));
    document.set_metadata(metadata(facts));
    let bytes =
        document.finish().map_err(|error| Refusal::new(format!("The pattern book could not be made: {error:?}.")))?;
    stopped(watch)?;
    Ok(unscaled::unscaled(bytes))
}

/// Draws a sheet with its pages; what is heard of each.
fn draw_sheet(
    document: &mut Document,
    facts: &Facts,
    (plan, imposed): (&Plan, &Imposed),
    pictures: &Pictures,
) -> Vec<(usize, TagGroup)> {
    let size = [imposed.paper.width_mm, imposed.paper.height_mm].map(|mm| (mm / PT_MM) as f32);
    let settings = PageSettings::from_wh(size[0], size[1]).expect("a paper has a size");
    let mut sheet = document.start_page_with(settings);
    let mut surface = sheet.surface();
    if imposed.fields.len() > 1 {
        cuts(&mut Pen::new(&mut surface, &facts.faces), imposed);
    }
    let mut heard = Vec::new();
    for field in &imposed.fields {
        surface.push_transform(&moved(field));
        let mut pen = Pen::new(&mut surface, &facts.faces);
        draw_page(&mut pen, facts, (plan, field.page), pictures);
        heard.push((field.page, pen.all_heard()));
        surface.pop();
    }
    surface.finish();
    sheet.finish();
    heard
}

/// From a page's own places to those of its sheet.
fn moved(field: &Field) -> Transform {
    let [x, y] = [field.place.x, field.place.y].map(|mm| (mm / PT_MM) as f32);
    match field.turned {
        false => Transform::from_translate(x, y),
        true => Transform::from_row(0.0, 1.0, -1.0, 0.0, (field.place.right() / PT_MM) as f32, y),
    }
}

/// Lines along which the pages of a sheet are cut apart.
fn cuts(pen: &mut Pen, imposed: &Imposed) {
    let (w, h) = (imposed.paper.width_mm, imposed.paper.height_mm);
    let first = imposed.fields[0].place;
    let lines = |each: f64, long: f64| (1..(long / each).round() as usize).map(move |at| at as f64 * each);
    lines(first.w, w).for_each(|x| pen.line(weight::PAPER, (x, 0.0), (x, h)));
    lines(first.h, h).for_each(|y| pen.line(weight::PAPER, (0.0, y), (w, y)));
}

/// Draws a page.
fn draw_page(pen: &mut Pen, facts: &Facts, (plan, at): (&Plan, usize), pictures: &Pictures) {
    let page = &plan.pages[at];
    let paper = plan.paper_of(page);
    let (pages, sheet_name) = (plan.pages.len(), plan.name(page));
    if !matches!(page, Page::Extra(extra) if extra.bare()) {
        Frame { paper, title: &facts.title, sheet: &sheet_name, page: at + 1, pages }.draw(pen);
    }
    match page {
        Page::Cover | Page::List(_) | Page::Notes(_) => draw_body(pen, facts, (plan, page), pictures),
        Page::Extra(extra) if extra.tags() => draw_body(pen, facts, (plan, page), pictures),
        Page::Extra(extra) if extra.worded() => {
            pen.heard(Tag::P, |pen| draw_body(pen, facts, (plan, page), pictures));
        }
        _ => pen.heard(Tag::Figure(Some(plan.told(facts, page))), |pen| draw_body(pen, facts, (plan, page), pictures)),
    }
}

fn draw_body(pen: &mut Pen, facts: &Facts, (plan, page): (&Plan, &Page), pictures: &Pictures) {
    match page {
        Page::Cover => cover::draw(pen, facts, plan.sheet, (pictures.lit.as_ref(), &plan.index())),
        Page::Picture(_) | Page::PictureTile(..) => picture_page(pen, facts, (plan, page), pictures),
        Page::Map(at) => plan.maps[*at].draw(pen, facts),
        Page::Insets(_, sheets, which) => plan.insets(pen, facts, *sheets, which),
        Page::Tile(at) => {
            let (tile, placed) = &plan.sheets[*at];
            let drawing = pattern::drawing(facts, &plan.tiles, *tile, false);
            pattern::draw(pen, &drawing, (&plan.tiles, *tile), placed);
        }
        Page::BehindTile(at) => {
            let (tile, placed) = &plan.behind[*at];
            let drawing = pattern::drawing(facts, &plan.tiles_behind, *tile, true);
            pattern::draw(pen, &drawing, (&plan.tiles_behind, *tile), placed);
        }
        Page::Extra(extra) => plan.extras.draw(pen, facts, extra),
        Page::List(rows) => list::draw(pen, facts, plan.paper, &plan.items[rows.clone()]),
        Page::Notes(rows) => notes::draw(pen, plan.paper, &plan.notes[rows.clone()]),
    }
}

impl Sheets {
    fn name(self) -> &'static str {
        match self {
            Sheets::Maps => "Insets of the maps",
            Sheets::Tiles => "Insets of the pattern",
            Sheets::Prints => "Insets of the copies",
            Sheets::CutUps => "Insets of the prints",
            Sheets::Behind => "Insets of from behind",
        }
    }
}

impl Plan {
    /// One of the sheets whose insets are gathered, and what its insets say that they are of.
    fn sheet<'a>(&self, facts: &'a Facts<'a>, sheets: Sheets, at: usize) -> (Drawing<'a>, String) {
        match sheets {
            Sheets::Maps => (self.maps[at].drawing(facts), String::new()),
            Sheets::Prints => (self.extras.prints[at].drawing(facts), format!("print {}", at + 1)),
            Sheets::CutUps => {
                let one = &self.extras.cut_ups[at];
                let drawing = pattern::drawing(facts, &self.tiles, one.tile, false);
                (drawing, format!("print {} {}", one.copy, one.tile.name()))
            }
            Sheets::Tiles => {
                let tile = self.sheets[at].0;
                (pattern::drawing(facts, &self.tiles, tile, false), format!("tile {}", tile.name()))
            }
            Sheets::Behind => {
                let tile = self.behind[at].0;
                (pattern::drawing(facts, &self.tiles_behind, tile, true), format!("tile {}", tile.name()))
            }
        }
    }

    fn insets(&self, pen: &mut Pen, facts: &Facts, sheets: Sheets, which: &[Which]) {
        let placed = self.placed(sheets);
        let one = |&(sheet, inset, at): &Which| {
            let (drawing, of) = self.sheet(facts, sheets, sheet);
            One { sheet: drawing, inset: &placed[sheet].insets[inset], at, of }
        };
        let all: Vec<One> = which.iter().map(one).collect();
        inset_page::draw(pen, &all, |pen, at, drawing, covered| match sheets {
            Sheets::Maps => self.maps[0].base(pen, drawing, covered),
            Sheets::Prints => self.extras.prints[which[at].0].base(pen, drawing),
            Sheets::CutUps => self.extras.cut_ups[which[at].0].base(pen, drawing),
            Sheets::Tiles | Sheets::Behind => {
                drawing.open_areas(pen);
                drawing.borders(pen);
            }
        });
    }
}

fn picture_page(pen: &mut Pen, facts: &Facts, (plan, page): (&Plan, &Page), pictures: &Pictures) {
    let Some(image) = &pictures.picture else { return };
    match page {
        Page::PictureTile(at, with) => {
            let (tile, placed) = &plan.sheets[*at];
            let drawing = pattern::drawing(facts, &plan.tiles, *tile, false);
            pen.within(drawing.lens.window, |pen| {
                picture::under(pen, &drawing, image);
                if *with {
                    picture::over(pen, &drawing, placed);
                }
            });
            let found = if *with { Some(placed) } else { None };
            pattern::around(pen, &plan.tiles, *tile, found);
        }
        Page::Picture(true) => picture::mapped(pen, facts, &plan.maps[0], image),
        _ => picture::whole(pen, facts, (image, plan.picture)),
    }
}

/// Sheets, and below each its pages where they have names of their own.
fn bookmarks(plan: &Plan, sheets: &[Imposed]) -> Outline {
    let to = |page: usize| {
        let fields =
            sheets.iter().enumerate().flat_map(|(at, sheet)| sheet.fields.iter().map(move |field| (at, field)));
        let (at, field) = fields.into_iter().find(|(_, field)| field.page == page).expect("every page has a field");
        let [x, y] = [field.place.x, field.place.y].map(|mm| (mm / PT_MM) as f32);
        XyzDestination::new(at, Point::from_xy(x, y))
    };
    let mut outline = Outline::new();
    for (sheet, first) in plan.index() {
        let mut node = OutlineNode::new(sheet.clone(), to(first - 1)).with_open(true);
        let of_sheet = |page: &&Page| plan.section(page) == sheet;
        let mut last = sheet.clone();
        for (at, page) in plan.pages[first - 1..].iter().take_while(of_sheet).enumerate() {
            let name = plan.name(page);
            if name != last {
                node.push_child(OutlineNode::new(name.clone(), to(first - 1 + at)));
                last = name;
            }
        }
        outline.push_child(node);
    }
    outline
}

fn metadata(facts: &Facts) -> Metadata {
    let authors = facts.work.picture.iter().map(|picture| facts.faces.clean(&picture.author));
    Metadata::new()
        .title(facts.title.clone())
        .description("Pattern book: pieces at true scale, woods and heights.".into())
        .creator("spelk".into())
        .language(LANGUAGE.into())
        .keywords(authors.filter(|author| !author.is_empty()).map(|author| format!("picture by {author}")).collect())
}
