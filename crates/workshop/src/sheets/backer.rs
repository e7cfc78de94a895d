//! The backer and the alignment frame: both on one page with their measures, then each that is no rectangle at true scale on
//! tiles. A rectangle is sawn by its measures, and tiles of it would be nearly blank; tiles that show no line are left out.

use measure::length::Um;
use measure::plane::Point;

use super::dims;
use super::draw::{Lens, scale_words};
use super::facts::Facts;
use super::frame::{Frame, SOFT};
use super::letters::{Style, size};
use super::paper::{Paper, Rect, Spot};
use super::pattern;
use super::pen::{Line, Pen, Rgb, Trail, weight};
use super::room::{distance, enters};
use super::tiles::{Spans, Tile, Tiles};
use crate::mount::{Backing, backing};

/// Room for the words on the first page, mm.
const SAYS_MM: f64 = 34.0;
/// The edge of the work, for comparison; never sawn here.
const WORK: Line = Line { pt: 0.3, colour: [150; 3], dash: &[] };

/// What a sheet of tiles shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shows {
    Backer,
    Frame,
}

/// A page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Page {
    Both,
    Tile(Shows, Tile),
}

impl Page {
    pub fn name(self) -> String {
        match self {
            Page::Both => "Backer and alignment frame".into(),
            Page::Tile(Shows::Backer, tile) => format!("Backer {}", tile.name()),
            Page::Tile(Shows::Frame, tile) => format!("Alignment frame {}", tile.name()),
        }
    }
}

/// Both, laid out.
pub(super) struct Backer {
    made: Backing,
    paper: Paper,
    sheets: [Sheet; 2],
}

/// Lines over tiles.
struct Sheet {
    shows: Shows,
    tiles: Tiles,
    /// The box around all lines, mm of the panel.
    around: Rect,
    lines: Vec<(Line, Vec<Vec<Spot>>)>,
}

impl Backer {
    pub fn of(facts: &Facts, paper: Paper) -> Option<Backer> {
        let made = backing(facts.work, &facts.outlines);
        let (low, high) = made.around?;
        let frame = Rect::bounding([low.to_mm(), high.to_mm()])?;
        let (work, opening) = (closed(&made.work), closed(&made.opening));
        let backer = (weight::SAW, closed(&made.backer));
        let outside = (weight::EDGE, vec![closed_ring(frame.corners())]);
        let sheets = [
            Sheet::over(Shows::Backer, paper, vec![(WORK, work.clone()), backer]),
            Sheet::over(Shows::Frame, paper, vec![(WORK, work), (weight::SAW, opening), outside]),
        ];
        Some(Backer { made, paper: super::map::turned((frame.w, frame.h), super::impose::field(paper)), sheets })
    }

    pub fn pages(&self) -> Vec<Page> {
        let tiled = self.sheets.iter().filter(|sheet| sheet.boxed().is_none());
        let tiles = tiled.flat_map(|sheet| {
            let shown = sheet.tiles.each().filter(|tile| sheet.on(*tile));
            shown.map(|tile| Page::Tile(sheet.shows, tile))
        });
        std::iter::once(Page::Both).chain(tiles).collect()
    }

    fn sheet(&self, shows: Shows) -> &Sheet {
        &self.sheets[usize::from(shows == Shows::Frame)]
    }

    pub fn paper(&self, page: Page) -> Paper {
        match page {
            Page::Both => self.paper,
            Page::Tile(shows, _) => self.sheet(shows).tiles.paper,
        }
    }

    pub fn draw(&self, pen: &mut Pen, facts: &Facts, page: Page) {
        match page {
            Page::Both => self.both(pen, facts),
            Page::Tile(shows, tile) => self.sheet(shows).tile(pen, tile),
        }
    }

    fn both(&self, pen: &mut Pen, facts: &Facts) {
        let body = Frame::body(self.paper);
        let frame = self.sheet(Shows::Frame);
        let boxes = self.boxes();
        let aside = boxes.len() as f64 * dims::PITCH_MM;
        let most = Rect::new(body.x + aside, body.y + 5.0 + aside, body.w - aside, body.h - SAYS_MM - aside);
        let scale = Lens::whole((frame.around.w, frame.around.h), most, 2.0).scale;
        // The words follow the drawing: no white between that the eye must cross.
        let space = Rect { h: most.h.min(frame.around.h * scale + 4.0), ..most };
        let lens = Lens::whole((frame.around.w, frame.around.h), space, 2.0);
        let lens = Lens { from: (lens.from.0 + frame.around.x, lens.from.1 + frame.around.y), ..lens };
        let mut ring = Trail::default();
        self.sheets[0].lines[1].1.iter().for_each(|line| ring.ring(line.iter().map(|&at| lens.page(at))));
        pen.fill(BACKER, ring);
        for (line, rings) in self.sheets.iter().flat_map(|sheet| &sheet.lines) {
            let mut trail = Trail::default();
            rings.iter().for_each(|ring| trail.ring(ring.iter().map(|&at| lens.page(at))));
            pen.stroke(*line, trail);
        }
        if let Some(backer) = self.sheet(Shows::Backer).boxed() {
            let across = Um::mm((backer.w * backer.w + backer.h * backer.h).sqrt());
            let words = format!("both diagonals {}", facts.words.length(across));
            dims::diagonals(pen, lens.rect(backer), (BACKER, &words));
        }
        let edge = lens.rect(frame.around);
        for (at, one) in boxes.iter().enumerate() {
            let words = [one.w, one.h].map(|long| facts.words.length(Um::mm(long)));
            dims::sides(pen, (lens.rect(*one), edge), at + 1, &words);
        }
        let mut y = space.bottom() + 5.0;
        let style = Style::plain(size::BODY);
        for line in self.says(facts, lens.scale).iter().flat_map(|words| pen.faces.wrap(style, words, body.w)) {
            if y < body.bottom() {
                pen.text(style, (body.x, y), &line);
            }
            y += style.line_mm();
        }
        let legend =
            if boxes.is_empty() { "" } else { " Measures, from within: backer, opening of the frame, its outside." };
        let legend =
            format!("Grey: backer. Between the two outer lines: frame. Thin grey line: edge of the work.{legend}");
        pen.text(Style::plain(size::SMALL).in_colour(SOFT), (body.x, body.y + 3.0), &legend);
    }

    /// What has measures, from within: the backer and the frame's opening where they are rectangles, then the frame.
    fn boxes(&self) -> Vec<Rect> {
        let within: Vec<Rect> = self.sheets.iter().filter_map(Sheet::boxed).collect();
        if within.is_empty() { within } else { [&within[..], &[self.sheet(Shows::Frame).around]].concat() }
    }

    fn says(&self, facts: &Facts, scale: f64) -> Vec<String> {
        let (words, mount) = (facts.words, &facts.work.choices.mount);
        let sized = |rect: Rect| format!("{} × {}", words.bare(Um::mm(rect.w)), words.length(Um::mm(rect.h)));
        let backer = Rect::bounding(self.sheets[0].lines[1].1.iter().flatten().copied());
        let size = backer.map_or_else(|| "none: the allowance leaves nothing".into(), sized);
        let edge = match self.made.shows {
            true => {
                format!("Where open shadow lies at the edge it reaches {} beyond the line.", words.length(mount.beyond))
            }
            false => "No open shadow lies at the edge.".into(),
        };
        let mut says = vec![
            format!(
                "Backer: {size}. Its edge stays {} behind the line where pieces hide it. {edge}",
                words.length(mount.behind)
            ),
            format!(
                "Alignment frame: {} outside. Its opening is {} clear of the work all round; try it before gluing.",
                sized(self.sheet(Shows::Frame).around),
                words.fine(mount.clearance)
            ),
            self.tiled(scale),
        ];
        if self.sheet(Shows::Backer).boxed().is_some() {
            says.push("Saw the backer by its measures; it is square when both diagonals are alike.".into());
        }
        if !self.made.uncarried.is_empty() {
            let numbers: Vec<String> = self.made.uncarried.iter().map(ToString::to_string).collect();
            says.push(format!(
                "Off the backer at their widest place, held by their neighbours only: {}.",
                numbers.join(", ")
            ));
        }
        says
    }
}

/// Fill of the backer.
const BACKER: Rgb = [214; 3];

impl Backer {
    /// The scale, and what follows at true scale.
    fn tiled(&self, scale: f64) -> String {
        let names = ["backer", "frame's opening"];
        let tiled = self.sheets.iter().zip(names).filter(|(sheet, _)| sheet.boxed().is_none());
        let tiled: Vec<&str> = tiled.map(|(_, name)| name).collect();
        let follow = match tiled.is_empty() {
            true => "backer and opening are rectangles and need no tiles".into(),
            false => format!("the tiles that follow show the {} at true scale", tiled.join(" and the ")),
        };
        format!("Scale {}. Do not measure here; {follow}.", scale_words(scale))
    }
}

/// How far a point of a rectangle's outline may lie off its sides, mm: under what paper and saw can tell. At its corners it
/// may be rounded, as the clear line around a corner is.
const STRAIGHT_MM: f64 = 0.05;
const ROUND_MM: f64 = 1.0;

impl Sheet {
    /// What is sawn within, where it is an upright rectangle.
    fn boxed(&self) -> Option<Rect> {
        let [(_, rings), ..] = &self.lines[1..] else { return None };
        let [ring] = &rings[..] else { return None };
        let around = Rect::bounding(ring.iter().copied())?;
        let corners = around.corners();
        let at_corner = |at: Spot, corner: Spot| distance(at, corner) <= ROUND_MM;
        let on_side = |(x, y): Spot| {
            let off = [x - around.x, around.right() - x, y - around.y, around.bottom() - y];
            off.into_iter().fold(f64::MAX, f64::min) <= STRAIGHT_MM
        };
        let straight = ring.iter().all(|&at| on_side(at) || corners.iter().any(|&corner| at_corner(at, corner)));
        (straight && corners.iter().all(|&corner| ring.iter().any(|&at| at_corner(at, corner)))).then_some(around)
    }

    fn over(shows: Shows, paper: Paper, lines: Vec<(Line, Vec<Vec<Spot>>)>) -> Sheet {
        let places = lines.iter().flat_map(|(_, rings)| rings).flatten().copied();
        let around = Rect::bounding(places).expect("the work has an edge");
        let tiles = Tiles::over((around.w, around.h), paper, &Spans::default());
        Sheet { shows, tiles, around, lines }
    }

    /// Whether a tile shows a line that is sawn.
    fn on(&self, tile: Tile) -> bool {
        let shows = self.tiles.shows(tile);
        let window = Rect { x: shows.x + self.around.x, y: shows.y + self.around.y, ..shows };
        let sawn = self.lines.iter().filter(|(line, _)| *line != WORK).flat_map(|(_, rings)| rings);
        sawn.flat_map(|ring| ring.windows(2)).any(|pair| enters(window, pair[0], pair[1]))
    }

    fn tile(&self, pen: &mut Pen, tile: Tile) {
        let (shows, window) = (self.tiles.shows(tile), self.tiles.window(tile));
        let lens = Lens::tile(window, shows);
        let page = |at: &Spot| lens.page((at.0 - self.around.x, at.1 - self.around.y));
        pen.within(window, |pen| {
            for (line, rings) in &self.lines {
                let mut trail = Trail::default();
                rings.iter().for_each(|ring| trail.ring(ring.iter().map(page)));
                pen.stroke(*line, trail);
            }
            pattern::marks(pen, &self.tiles, &lens);
        });
        pattern::joins(pen, &self.tiles, tile);
        pattern::index(pen, &self.tiles, tile);
    }
}

/// Rings in mm, the first point repeated at the end.
fn closed(rings: &[Vec<Point>]) -> Vec<Vec<Spot>> {
    rings.iter().map(|ring| closed_ring(ring.iter().map(|point| point.to_mm()))).collect()
}

fn closed_ring(points: impl IntoIterator<Item = Spot>) -> Vec<Spot> {
    let mut ring: Vec<Spot> = points.into_iter().collect();
    ring.extend(ring.first().copied());
    ring
}
