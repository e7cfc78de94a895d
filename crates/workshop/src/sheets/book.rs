//! The pattern book: which pages there are, and the PDF that holds them.
//!
//! No date and no random id goes in, so the same job gives the same bytes.

use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::{Document, SerializeSettings};
use measure::Watch;

use super::cover::{self, Entry};
use super::extra::{Extra, Extras};
use super::facts::Facts;
use super::frame::Frame;
use super::kinds::{Kind, Wanted};
use super::letters::PT_MM;
use super::paper::{Paper, Rect};
use super::pen::Pen;
use super::tiles::{Tile, Tiles};
use super::{list, map, notes, pattern, stopped, unscaled};
use crate::picture::Raster;
use crate::view::Lit;
use crate::work::{Refusal, Way};

/// More pages than this are a slip of the size or the paper, not a wish.
const MOST_PAGES: usize = 500;

/// Pictures that the book shows.
pub(super) struct Pictures<'a> {
    pub lit: Option<&'a Lit>,
    pub picture: Option<&'a Raster>,
}

/// A page before it is drawn.
enum Page {
    Cover,
    Picture,
    Map,
    Tile(Tile),
    List(std::ops::Range<usize>),
    Notes(std::ops::Range<usize>),
    Extra(Extra),
}

/// All pages, and what they are cut from.
struct Plan {
    paper: Paper,
    map_paper: Paper,
    tiles: Tiles,
    items: Vec<list::Item>,
    notes: Vec<notes::Note>,
    pages: Vec<Page>,
    extras: Extras,
}

impl Plan {
    fn of(facts: &Facts, wanted: &Wanted, pictures: &Pictures) -> Result<Plan, Refusal> {
        let paper = wanted.paper;
        let (extras, extra) = Extras::of(facts, wanted);
        let tiles = Tiles::over(facts.panel, paper);
        let (items, notes) = (list::items(facts), notes::notes(facts, paper));
        let lists = list::pages(&items, paper);
        let noted = notes::pages(&notes, paper);
        let mut pages = vec![Page::Cover];
        pages.extend(pictures.picture.map(|_| Page::Picture));
        pages.push(Page::Map);
        pages.extend(tiles.each().map(Page::Tile));
        pages.extend(extra.into_iter().map(Page::Extra));
        pages.extend(lists.into_iter().map(Page::List));
        pages.extend(noted.into_iter().map(Page::Notes));
        pages.retain(|page| wanted.has(kind(page)));
        // A stable sort: pages of a kind stay as they were made.
        pages.sort_by_key(kind);
        within_reason(pages.len(), wanted)?;
        Ok(Plan { extras, paper, map_paper: map::turned(facts.panel, paper), tiles, items, notes, pages })
    }

    fn paper_of(&self, page: &Page) -> Paper {
        match page {
            Page::Map => self.map_paper,
            Page::Tile(_) => self.tiles.paper,
            Page::Extra(extra) => self.extras.paper(extra),
            Page::Cover | Page::Picture | Page::List(_) | Page::Notes(_) => self.paper,
        }
    }

    /// The first page of each sheet, for the cover and for the bookmarks.
    fn index(&self) -> Vec<Entry> {
        let mut index: Vec<Entry> = Vec::new();
        for (at, page) in self.pages.iter().enumerate() {
            let name = kind(page).title();
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
        Page::Picture => Kind::Picture,
        Page::Map => Kind::Map,
        Page::Tile(_) => Kind::Pattern,
        Page::List(_) => Kind::List,
        Page::Notes(_) => Kind::Notes,
        Page::Extra(extra) => extra.kind(),
    }
}

fn name(page: &Page) -> String {
    match page {
        Page::Tile(tile) => format!("Pattern {}", tile.name()),
        Page::Extra(extra) => extra.name(),
        other => kind(other).title().to_owned(),
    }
}

/// Draws the whole book.
pub(super) fn pdf(facts: &Facts, wanted: &Wanted, pictures: &Pictures, watch: Watch) -> Result<Vec<u8>, Refusal> {
    let plan = Plan::of(facts, wanted, pictures)?;
    let mut document = Document::new_with(SerializeSettings::default());
    for (at, page) in plan.pages.iter().enumerate() {
        stopped(watch)?;
        watch.tell("drawing sheets", at as f64 / plan.pages.len() as f64);
        draw_page(&mut document, facts, (&plan, at, page), pictures);
    }
    document.set_outline(bookmarks(&plan));
    document.set_metadata(metadata(facts));
    let bytes =
        document.finish().map_err(|error| Refusal::new(format!("The pattern book could not be made: {error:?}.")))?;
    stopped(watch)?;
    Ok(unscaled::unscaled(bytes))
}

fn draw_page(document: &mut Document, facts: &Facts, (plan, at, page): (&Plan, usize, &Page), pictures: &Pictures) {
    let paper = plan.paper_of(page);
    let size = [paper.width_mm, paper.height_mm].map(|mm| (mm / PT_MM) as f32);
    let settings = PageSettings::from_wh(size[0], size[1]).expect("a paper has a size");
    let mut sheet = document.start_page_with(settings);
    let mut surface = sheet.surface();
    let mut pen = Pen::new(&mut surface, &facts.faces);
    match page {
        Page::Cover => cover::draw(&mut pen, facts, paper, (pictures.lit, &plan.index())),
        Page::Picture => picture(&mut pen, paper, pictures),
        Page::Map => map::draw(&mut pen, facts, paper),
        Page::Tile(tile) => pattern::draw(&mut pen, facts, &plan.tiles, *tile),
        Page::List(rows) => list::draw(&mut pen, facts, paper, &plan.items[rows.clone()]),
        Page::Extra(extra) => plan.extras.draw(&mut pen, facts, extra),
        Page::Notes(rows) => notes::draw(&mut pen, paper, &plan.notes[rows.clone()]),
    }
    let bare = matches!(page, Page::Extra(extra) if extra.bare());
    let (pages, sheet_name) = (plan.pages.len(), name(page));
    if !bare {
        Frame { paper, title: &facts.title, sheet: &sheet_name, page: at + 1, pages }.draw(&mut pen);
    }
    surface.finish();
    sheet.finish();
}

/// The picture as large as the page takes it.
fn picture(pen: &mut Pen, paper: Paper, pictures: &Pictures) {
    let Some(raster) = pictures.picture else { return };
    let body = Frame::body(paper);
    let space = Rect::new(body.x, body.y + 2.0, body.w, body.h - 4.0);
    let shown = cover::within(space, f64::from(raster.width), f64::from(raster.height));
    let pixels = raster.pixels.iter().flatten().copied().collect();
    pen.image(Image::from_rgba8(pixels, raster.width, raster.height), shown);
}

/// Sheets, and each tile below the pattern.
fn bookmarks(plan: &Plan) -> Outline {
    let to = |page: usize| XyzDestination::new(page, Point::from_xy(0.0, 0.0));
    let mut outline = Outline::new();
    for (sheet, first) in plan.index() {
        let mut node = OutlineNode::new(sheet, to(first - 1)).with_open(true);
        for (at, page) in plan.pages.iter().enumerate().skip(first - 1) {
            match page {
                Page::Tile(_) if matches!(plan.pages[first - 1], Page::Tile(_)) => {
                    node.push_child(OutlineNode::new(name(page), to(at)));
                }
                _ => break,
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
        .language("en-GB".into())
        .keywords(authors.filter(|author| !author.is_empty()).map(|author| format!("picture by {author}")).collect())
}
