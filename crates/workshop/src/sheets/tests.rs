//! A job built by hand: a grid of cells with curved borders, one island, shadow, ground and an open gap.

use std::collections::BTreeMap;
use std::sync::Arc;

use measure::Watch;
use measure::colour::Lab;
use measure::length::Um;
use measure::plane::{Circle, Cubic, Point};

use super::copies::Print;
use super::draw::{Drawing, Lens, Placed};
use super::facts::Facts;
use super::kinds::Wanted;
use super::map::{Map, Theme};
use super::paper::Rect;
use super::room::cross;
use super::tiles::{Spans, Tiles};
use super::{book, cut_list, paper, pattern, svg};
use crate::pattern::{Outline, Outlines};
use crate::saw;
use crate::work::{
    Area, AreaId, Axis, Becomes, Blade, Border, BorderId, Chosen, Ends, Figure, JunctionId, Number, Origin, Part,
    PartId, Piece, PieceValues, Side, Size, Sourced, State, Unit, Wood, WoodId, Work,
};

mod random;

const ACROSS: u32 = 8;
const DOWN: u32 = 6;
const CELL: i32 = 45_000;

/// The job, and its outlines.
pub(super) fn job() -> (Work, Arc<Outlines>) {
    let mut work = Work { panel: Size { width: Um(CELL * 8), height: Um(CELL * 6) }, ..Work::default() };
    work.choices.title = "Heron among reeds at dusk".into();
    woods(&mut work);
    let mut make = Maker { outlines: Outlines::default(), work };
    make.grid();
    make.island();
    make.pieces();
    (make.work, Arc::new(make.outlines))
}

fn woods(work: &mut Work) {
    let rows =
        [("maple", "MA", 84.0, 3.0, 18.0), ("cherry", "CH", 62.0, 16.0, 28.0), ("walnut", "WA", 38.0, 8.0, 14.0)];
    for (id, code, l, a, b) in rows {
        let wood = Wood {
            id: WoodId(id.into()),
            name: id.into(),
            latin: String::new(),
            code: code.into(),
            colour: Sourced { value: Lab { l, a, b }, source: "test".into() },
            measured: false,
            spread: 200,
            density: None,
            hardness: None,
            shrinkage: None,
            light: None,
            texture: None,
            oiliness: None,
            figure: Figure { ring: 100, contrast: 20, pores: 10 },
            hazard: (id == "walnut").then(|| Sourced { value: "its dust can irritate".into(), source: "test".into() }),
            protected: None,
        };
        work.woods.insert(wood.id.clone(), wood);
    }
}

struct Maker {
    work: Work,
    outlines: Outlines,
}

impl Maker {
    fn grid(&mut self) {
        for y in 0..=DOWN {
            for x in 0..=ACROSS {
                let at = Point::new(x as i32 * CELL, y as i32 * CELL);
                self.work.pattern.junctions.insert(JunctionId(junction(x, y)), at);
                if x < ACROSS {
                    self.border((x, y), (1, 0), [side(x, y.checked_sub(1)), side(x, (y < DOWN).then_some(y))]);
                }
                if y < DOWN {
                    let (west, east) = (x.checked_sub(1), (x < ACROSS).then_some(x));
                    self.border((x, y), (0, 1), [east, west].map(|x| x.map_or(Side::Beyond, |x| side(x, Some(y)))));
                }
            }
        }
        for y in 0..DOWN {
            for x in 0..ACROSS {
                self.cell(x, y);
            }
        }
    }

    fn border(&mut self, (x, y): (u32, u32), way: (u32, u32), sides: [Side; 2]) {
        let (a, b) = (junction(x, y), junction(x + way.0, y + way.1));
        let ends = [a, b].map(|id| self.work.pattern.junctions.get(&JunctionId(id)).copied());
        let from = ends[0].unwrap();
        let to = Point::new(from.x + way.0 as i32 * CELL, from.y + way.1 as i32 * CELL);
        let edge = sides.contains(&Side::Beyond);
        // Each border bows by its own measure, so that a reader of the sheets can tell them apart.
        let bow = if edge { 0 } else { 5_000 + (border_id(x, y, way) * 613 % 5_000) as i32 };
        let third = |n: i32, off: i32| {
            let (dx, dy) = ((to.x - from.x) / 3 * n, (to.y - from.y) / 3 * n);
            Point::new(from.x + dx + off * way.1 as i32, from.y + dy + off * way.0 as i32)
        };
        let curve = vec![Cubic([from, third(1, bow), third(2, -bow), to])];
        let id = BorderId(border_id(x, y, way));
        let gap = if !edge && x == 3 && y == 3 { Um(1500) } else { Um(0) };
        let origin = if edge { Origin::Edge } else { Origin::Traced };
        self.outlines.lines.insert(id, flat(&curve));
        let ends = Ends::Between(JunctionId(a), JunctionId(b));
        let [left, right] = sides;
        self.work.pattern.borders.insert(id, Border { ends, curve, left, right, gap, ink: Um(0), from: origin });
    }

    fn cell(&mut self, x: u32, y: u32) {
        let walk = [(x, y, (1, 0), true), (x + 1, y, (0, 1), true), (x, y + 1, (1, 0), false), (x, y, (0, 1), false)];
        let mut ring = Vec::new();
        let mut borders = Vec::new();
        for (x, y, way, forward) in walk {
            let id = BorderId(border_id(x, y, way));
            let mut line = self.outlines.lines[&id].clone();
            if !forward {
                line.reverse();
            }
            line.pop();
            ring.extend(line);
            borders.push((id, forward));
        }
        let at = Point::new(x as i32 * CELL + CELL / 2, y as i32 * CELL + CELL / 2);
        let widest = Circle { centre: at, radius: 17_000.0 };
        let outline = Outline { rings: vec![ring], borders: vec![borders], area_mm2: 2025.0, widest };
        self.outlines.areas.insert(AreaId(area(x, y)), outline);
        let becomes = match (x, y) {
            (2, 2) => Becomes::Shadow,
            (0, 0) => Becomes::Ground,
            _ => Becomes::Piece(Number(area(x, y))),
        };
        self.work.pattern.areas.insert(AreaId(area(x, y)), Area { becomes, at });
    }

    /// A small ring in the middle of the cell at (5, 2): its number needs a flag.
    fn island(&mut self) {
        let (x, y, r) = (5 * CELL + CELL / 2, 2 * CELL + CELL / 2, 1500);
        let k = r * 55 / 100;
        let p = |dx: i32, dy: i32| Point::new(x + dx, y + dy);
        let curve = vec![
            Cubic([p(r, 0), p(r, k), p(k, r), p(0, r)]),
            Cubic([p(0, r), p(-k, r), p(-r, k), p(-r, 0)]),
            Cubic([p(-r, 0), p(-r, -k), p(-k, -r), p(0, -r)]),
            Cubic([p(0, -r), p(k, -r), p(r, -k), p(r, 0)]),
        ];
        let (id, inner) = (BorderId(900), AreaId(99));
        let line = flat(&curve);
        let mut ring = line.clone();
        ring.pop();
        self.outlines.lines.insert(id, line);
        let around = self.outlines.areas.get_mut(&AreaId(area(5, 2))).unwrap();
        around.rings.push(ring.iter().rev().copied().collect());
        around.widest = Circle { centre: Point::new(x - 12_000, y), radius: 10_000.0 };
        let widest = Circle { centre: p(0, 0), radius: 1500.0 };
        let outline = Outline { rings: vec![ring], borders: vec![vec![(id, true)]], area_mm2: 7.0, widest };
        self.outlines.areas.insert(inner, outline);
        self.work.pattern.areas.insert(inner, Area { becomes: Becomes::Piece(Number(99)), at: p(0, 0) });
        let sides = (Side::Area(AreaId(area(5, 2))), Side::Area(inner));
        let (left, right) = sides;
        let ends = Ends::Ring(p(r, 0));
        self.work
            .pattern
            .borders
            .insert(id, Border { ends, curve, left, right, gap: Um(0), ink: Um(0), from: Origin::Traced });
    }

    fn pieces(&mut self) {
        let woods = ["maple", "cherry", "walnut"];
        let mut part = Part { name: "near wing".into(), pieces: Default::default(), within: None };
        for (&id, area) in &self.work.pattern.areas {
            let Becomes::Piece(number) = area.becomes else { continue };
            let n = number.0;
            let open = n == 20;
            let chosen = |mm: f64| (!open).then(|| Chosen::act(Um::mm(mm)));
            let values = PieceValues {
                wood: (!open).then(|| Chosen::act(WoodId(woods[n as usize % 3].into()))),
                grain: (!open).then(|| Chosen::act(Axis::degrees(f64::from(n * 37)))),
                height: chosen(18.0 + f64::from(n % 4) * 3.0),
                thickness: chosen(18.0),
                raiser: chosen(f64::from(n % 4) * 3.0),
            };
            self.work.pieces.insert(number, Piece { area: id, values, state: State::Planned });
            if n % 5 == 0 {
                part.pieces.insert(number);
            }
        }
        self.work.parts.insert(PartId(1), part);
    }
}

fn junction(x: u32, y: u32) -> u32 {
    y * (ACROSS + 1) + x + 1
}

fn area(x: u32, y: u32) -> u32 {
    y * ACROSS + x + 1
}

fn side(x: u32, y: Option<u32>) -> Side {
    y.map_or(Side::Beyond, |y| Side::Area(AreaId(area(x, y))))
}

fn border_id(x: u32, y: u32, way: (u32, u32)) -> u32 {
    junction(x, y) * 2 + way.1
}

fn flat(curve: &[Cubic]) -> Vec<Point> {
    let mut line = vec![curve[0].0[0]];
    for cubic in curve {
        let [a, b, c, d] = cubic.0.map(|p| (f64::from(p.x), f64::from(p.y)));
        for i in 1..=24 {
            let t = f64::from(i) / 24.0;
            let s = 1.0 - t;
            let mix = |a: f64, b: f64, c: f64, d: f64| {
                (s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d).round() as i32
            };
            line.push(Point::new(mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1)));
        }
    }
    line
}

fn pdf(work: &Work, outlines: &Arc<Outlines>, name: &str) -> Vec<u8> {
    let facts = Facts::of(work, outlines.clone());
    let plan = book::Plan::of(&facts, &Wanted::book(paper(name).unwrap()), false).unwrap();
    book::pdf(&facts, &plan, &book::Pictures::default(), Watch::silent()).unwrap()
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let (work, outlines) = job();
    let first = pdf(&work, &outlines, "a4");
    assert!(first.starts_with(b"%PDF") && first == pdf(&work, &outlines, "a4"));
}

#[test]
fn a_stop_writes_nothing() {
    let (work, outlines) = job();
    let facts = Facts::of(&work, outlines);
    let stop = std::sync::atomic::AtomicBool::new(true);
    let watch = Watch::new(&|_, _| {}, &stop);
    let plan = book::Plan::of(&facts, &Wanted::book(paper("a4").unwrap()), false).unwrap();
    let refusal = book::pdf(&facts, &plan, &book::Pictures::default(), watch).unwrap_err();
    assert_eq!(refusal.what, "Stopped; no sheet was written.");
}

#[test]
fn the_svg_holds_every_border_once() {
    let (work, outlines) = job();
    let svg = svg::pattern(&Facts::of(&work, outlines));
    assert!(svg.contains("width=\"360mm\" height=\"270mm\" viewBox=\"0 0 360 270\""));
    assert_eq!(svg.matches("id=\"border-").count(), work.pattern.borders.len());
    assert_eq!(svg.matches("<text").count(), work.pieces.len());
    assert!(svg.contains("M0,0C15,0 30,0 45,0\""), "the first edge is drawn as its own cubic");
}

#[test]
fn the_cut_list_reads_back() {
    let (mut work, outlines) = job();
    work.parts.get_mut(&PartId(1)).unwrap().name = "=near".into();
    let bytes = cut_list::csv(&Facts::of(&work, outlines));
    assert!(bytes.windows(2).any(|pair| pair == b"\r\n"));
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    assert_eq!(&reader.headers().unwrap()[4], "thickness (mm)");
    let rows: BTreeMap<u32, csv::StringRecord> =
        reader.records().map(|row| row.unwrap()).map(|row| (row[0].parse().unwrap(), row)).collect();
    assert_eq!(rows.len(), work.pieces.len());
    assert_eq!((&rows[&5][1], &rows[&5][4]), ("'=near", "18"));
    assert_eq!((&rows[&20][2], &rows[&20][6]), ("", ""), "undecided stays empty");
}

#[test]
fn the_cut_list_names_blades_and_what_is_drilled() {
    let (mut work, outlines) = job();
    let own = |number: &str| Blade { number: number.into(), ..saw::blades()[4].clone() };
    work.choices.saw.blades = vec![own("=5")];
    let facts = Facts::of(&work, outlines);
    let bytes = cut_list::csv(&facts);
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows: BTreeMap<u32, csv::StringRecord> =
        reader.records().map(|row| row.unwrap()).map(|row| (row[0].parse().unwrap(), row)).collect();
    let cell = |piece: u32, head: &str| rows[&piece][heads.iter().position(|known| known == head).unwrap()].to_owned();
    let around = area(5, 2);
    assert_eq!(cell(around, "blade"), "'=5");
    assert_eq!(cell(around, "why this blade"), facts.sawing[&Number(around)].why);
    assert_eq!(cell(around, "start holes"), "1");
    let drill: f64 = cell(around, "drill for start holes (mm)").parse().unwrap();
    assert_eq!(Um::mm(drill), saw::blades()[4].hole());
    let bend: f64 = cell(around, "tightest bend, radius (mm)").parse().unwrap();
    assert_eq!(Some(Um::mm(bend)), facts.sawing[&Number(around)].bend);
    assert_eq!((cell(5, "start holes"), cell(5, "drill for start holes (mm)")), (String::new(), String::new()));
}

#[test]
fn inches_show_as_fractions() {
    let (mut work, outlines) = job();
    work.choices.unit = Unit::Inch;
    let facts = Facts::of(&work, outlines);
    let piece = facts.pieces.iter().find(|piece| piece.number == Number(5)).unwrap();
    assert_eq!(facts.thickness(piece), "45/64");
}

/// No label over a border: checked by sampling each label's edge against the winding of the outline, not by the
/// placer's own test.
#[test]
fn labels_lie_wholly_in_their_pieces() {
    let (work, outlines) = job();
    let facts = Facts::of(&work, outlines);
    let window = Rect::new(10.0, 20.0, 190.0, 240.0);
    let lens = Lens::whole(facts.panel, window, 12.0);
    let drawing = Drawing { facts: &facts, lens, words: window };
    let placed = drawing.placed(|piece| Some(facts.code(piece).into()), true, Vec::new());
    judge(&drawing, &placed, "the map");
}

/// On patterns of 60 to 800 pieces, thin ones among them, on maps and tiles of several papers.
#[test]
fn no_word_covers_a_border_or_a_word() {
    for (seed, across, down) in [(1, 10, 6), (2, 14, 10), (3, 20, 14), (4, 26, 20), (5, 32, 25)] {
        let (work, outlines) = random::job(seed, across, down);
        let facts = Facts::of(&work, outlines);
        let paper = paper(["a4", "letter", "a3", "a5", "tabloid"][seed as usize - 1]).unwrap();
        for map in Map::all(&facts, paper, &Theme::of(&facts)) {
            judge(&map.drawing(&facts), &map.placed, &format!("seed {seed} {:?}", map.theme));
        }
        for copy in 1..=facts.copies.number {
            let print = Print::of(&facts, paper, copy);
            judge(&print.drawing(&facts), &print.placed, &format!("seed {seed} print {copy}"));
            let mine = facts.copies.of.values().filter(|of| **of == copy).count();
            assert_eq!(print.placed.areas.len(), mine, "seed {seed}: print {copy} numbers its pieces");
        }
        let spans = Spans { across: Vec::new(), down: Vec::new() };
        let tiles = Tiles::over(facts.panel, paper, &spans);
        for tile in tiles.each() {
            let placed = pattern::placed(&facts, &tiles, tile, false);
            judge(&pattern::drawing(&facts, &tiles, tile, false), &placed, &format!("seed {seed} {}", tile.name()));
        }
    }
}

/// Every piece shown has one number; inside labels lie in their piece, flags in the open; leaders cross nothing.
fn judge(drawing: &Drawing, placed: &Placed, sheet: &str) {
    let labels = &placed.labels;
    let in_insets: usize = placed.insets.iter().map(|inset| inset.areas.len()).sum();
    assert_eq!(labels.seated.len() + labels.flags.len() + in_insets, placed.areas.len(), "{sheet}: a number each");
    for &(piece, rect) in &labels.seated {
        let rings = drawing.rings(placed.areas[piece]);
        assert!(edge_of(rect).iter().all(|&at| turns(&rings, at) == 1), "{sheet}: {rect:?} leaves its piece");
    }
    for flag in &labels.flags {
        let own = drawing.facts.pieces.iter().find(|piece| piece.number.to_string() == flag.words[0].text).unwrap();
        assert_eq!(turns(&drawing.rings(own.area), flag.leader.1), 1, "{sheet}: a dot beside its piece");
        let pieces = || placed.areas.iter().map(|&area| drawing.rings(area));
        let over = |at: (f64, f64)| pieces().any(|rings| turns(&rings, at) != 0);
        assert!(!edge_of(flag.frame).into_iter().any(over), "{sheet}: a flag over a piece");
    }
    let seats = labels.seated.iter().map(|(_, rect)| *rect);
    let frames: Vec<Rect> =
        seats.chain(labels.flags.iter().map(|flag| flag.frame)).chain(labels.notes.iter().map(|note| note.0)).collect();
    for (at, rect) in frames.iter().enumerate() {
        assert!(!frames[..at].iter().any(|other| other.meets(*rect)), "{sheet}: {rect:?} over another");
    }
    for (at, flag) in labels.flags.iter().enumerate() {
        let along = |t: i32| {
            let (a, b, t) = (flag.leader.0, flag.leader.1, f64::from(t) / 40.0);
            (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t)
        };
        let struck = |rect: &Rect| *rect != flag.frame && (1..=40).any(|t| rect.contains(along(t)));
        assert!(!frames.iter().any(struck), "{sheet}: a leader over a label");
        assert!(!labels.flags[..at].iter().any(|other| cross(other.leader, flag.leader)), "{sheet}: leaders cross");
    }
    for inset in &placed.insets {
        let lens = inset.lens(&drawing.lens, (0.0, 0.0));
        let close = Drawing { facts: drawing.facts, lens, words: lens.window };
        let sheet = format!("{sheet} i{}", inset.number);
        let drawn = inset.labels.inside.iter().filter(|word| word.style.bold).count() + inset.labels.flags.len();
        assert_eq!(drawn, inset.areas.len(), "{sheet}: a number each");
        let numbered =
            |words: &str| drawing.facts.pieces.iter().find(|piece| piece.number.to_string() == words).unwrap().area;
        for flag in &inset.labels.flags {
            let own = numbered(&flag.words[0].text);
            assert_eq!(turns(&close.rings(own), flag.leader.1), 1, "{sheet}: a dot beside its piece");
            assert!(!lens.window.meets(flag.frame), "{sheet}: a flag over the pattern");
            assert!(inset.outer.holds(flag.frame), "{sheet}: a flag beyond its place");
        }
        let (mut seats, bold) = (Vec::new(), inset.labels.inside.iter().filter(|word| word.style.bold));
        for ((_, rect), word) in inset.labels.seated.iter().zip(bold) {
            let rings = close.rings(numbered(&word.text));
            assert!(edge_of(*rect).iter().all(|&at| turns(&rings, at) == 1), "{sheet}: {rect:?} leaves its piece");
            seats.push(*rect);
        }
        seats.extend(inset.labels.flags.iter().map(|flag| flag.frame));
        for (at, rect) in seats.iter().enumerate() {
            assert!(!seats[..at].iter().any(|other| other.meets(*rect)), "{sheet}: labels meet in an inset");
        }
    }
}

/// Places along the edge of a box.
fn edge_of(rect: Rect) -> Vec<(f64, f64)> {
    let share = |i: i32| f64::from(i) / 12.0;
    let around = |i: i32| {
        let (x, y) = (rect.x + share(i) * rect.w, rect.y + share(i) * rect.h);
        [(x, rect.y), (x, rect.bottom()), (rect.x, y), (rect.right(), y)]
    };
    (0..=12).flat_map(around).collect()
}

/// Turns of all rings around a point: 1 inside, 0 outside and in holes.
fn turns(rings: &[Vec<(f64, f64)>], at: (f64, f64)) -> i32 {
    let near = Rect::bounding(rings.iter().flatten().copied()).is_some_and(|around| around.contains(at));
    if near { rings.iter().map(|ring| winding(ring, at)).sum() } else { 0 }
}

/// Turns of a ring around a point, +1 clockwise on the page.
fn winding(ring: &[(f64, f64)], (x, y): (f64, f64)) -> i32 {
    let angle = |a: (f64, f64), b: (f64, f64)| {
        let (ax, ay, bx, by) = (a.0 - x, a.1 - y, b.0 - x, b.1 - y);
        libm::atan2(ax * by - ay * bx, ax * bx + ay * by)
    };
    let turns: f64 = (0..ring.len()).map(|i| angle(ring[i], ring[(i + 1) % ring.len()])).sum();
    (turns / std::f64::consts::TAU).round() as i32
}
