//! The job as sheets need it: pieces in the order of the list, woods with code and colour, words cleaned for drawing.
//! What is undecided stays `None` and is shown as a dash; nothing is made up.

use std::collections::BTreeMap;
use std::sync::Arc;

use measure::length::Um;

use super::kinds::Wanted;
use super::letters::Faces;
use super::paper::Rect;
use super::pen::Rgb;
use super::tiles::Spans;
use super::words::Words;
use crate::bench::{self, Copies};
use crate::pattern::{Outline, Outlines, lies_in};
use crate::saw::{self, Sawing};
use crate::work::{
    AreaId, Axis, Becomes, Border, BorderId, LooseLine, Number, PartId, Refusal, State, Way, WoodId, Work,
};

/// Everything that the sheets show.
pub(super) struct Facts<'a> {
    pub work: &'a Work,
    pub outlines: Arc<Outlines>,
    pub faces: Faces,
    pub words: Words,
    pub title: String,
    /// By part, then by number; pieces without a part last.
    pub pieces: Vec<Row>,
    /// In use, by code.
    pub woods: Vec<WoodRow>,
    /// Panel, mm.
    pub panel: (f64, f64),
    /// Which print each piece is cut from.
    pub copies: Copies,
    /// How each piece is sawn.
    pub sawing: BTreeMap<Number, Sawing>,
    /// The box around each area, mm on the panel.
    pub around_area: BTreeMap<AreaId, Rect>,
    /// The box around each border's control points.
    pub around_border: BTreeMap<BorderId, Rect>,
    by_area: BTreeMap<AreaId, usize>,
}

/// A piece on the list.
pub(super) struct Row {
    pub number: Number,
    pub area: AreaId,
    /// Part, and the parts that it lies in, outermost first; empty without one.
    pub part: String,
    /// Its wood's place in `Facts::woods`.
    pub wood: Option<usize>,
    pub thickness: Option<Um>,
    pub raiser: Option<Um>,
    pub height: Option<Um>,
    pub grain: Option<Axis>,
    pub area_mm2: f64,
    pub state: State,
}

/// A wood in use.
pub(super) struct WoodRow {
    pub id: WoodId,
    pub code: String,
    pub name: String,
    /// Its place among all woods of the job, by which it is hatched on every sheet.
    pub place: usize,
    /// Under the job's finish.
    pub colour: Option<Rgb>,
    pub pieces: usize,
    pub area_mm2: f64,
    /// Pieces and mm² by thickness, undecided first.
    pub by_thickness: BTreeMap<Option<Um>, (usize, f64)>,
    /// Known hazard and its source.
    pub hazard: Option<(String, String)>,
    /// Trade protection and its source.
    pub protected: Option<(String, String)>,
}

impl<'a> Facts<'a> {
    /// The lines that part nothing inside an area.
    pub fn lines_in(&self, area: AreaId) -> impl Iterator<Item = &LooseLine> {
        let lies = move |line: &&LooseLine| line.place().and_then(|place| lies_in(&self.outlines, place)) == Some(area);
        self.work.loose_lines.iter().filter(lies)
    }

    pub fn of(work: &'a Work, outlines: Arc<Outlines>) -> Facts<'a> {
        let faces = Faces::new();
        let title = match faces.clean(&work.choices.title) {
            title if title.is_empty() => "Untitled".to_owned(),
            title => title,
        };
        let mut woods = woods(work, &faces);
        let mut pieces = pieces(work, &outlines, &faces, &woods);
        pieces.sort_by(|a, b| (a.part.is_empty(), &a.part, a.number).cmp(&(b.part.is_empty(), &b.part, b.number)));
        for piece in &pieces {
            piece.wood.iter().for_each(|&wood| woods[wood].add(piece));
        }
        let by_area = pieces.iter().enumerate().map(|(at, piece)| (piece.area, at)).collect();
        let panel = (work.panel.width.to_mm(), work.panel.height.to_mm());
        let copies = bench::copies(work, &outlines, bench::MARGIN);
        let (around_area, around_border) = (areas_around(&outlines), borders_around(work));
        let sawing = saw::plan(work, &outlines);
        let words = Words::of(work);
        Facts {
            work,
            copies,
            outlines,
            faces,
            words,
            title,
            pieces,
            woods,
            panel,
            sawing,
            around_area,
            around_border,
            by_area,
        }
    }

    /// Only the pieces that are wanted: of a part and the parts within it, or one.
    pub fn kept(mut self, wanted: &Wanted) -> Result<Facts<'a>, Refusal> {
        if let Some(name) = &wanted.part {
            let part = part_called(self.work, name)?;
            self.pieces.retain(|piece| in_part(self.work, piece.number, part));
        }
        if let Some(number) = wanted.piece {
            self.pieces.retain(|piece| piece.number == number);
            if self.pieces.is_empty() {
                return Err(Refusal::new(format!("There is no piece {number} to print."))
                    .way(Way::advice("The numbers stand on the map and in the list.")));
            }
        }
        self.by_area = self.pieces.iter().enumerate().map(|(at, piece)| (piece.area, at)).collect();
        self.keep_woods();
        Ok(self)
    }

    /// Counts woods again over the pieces that are left, and drops those that none is of.
    fn keep_woods(&mut self) {
        for wood in &mut self.woods {
            (wood.pieces, wood.area_mm2, wood.by_thickness) = (0, 0.0, BTreeMap::new());
        }
        for piece in &self.pieces {
            piece.wood.iter().for_each(|&wood| self.woods[wood].add(piece));
        }
        let mut left = 0..;
        let places: Vec<Option<usize>> =
            self.woods.iter().map(|wood| if wood.pieces > 0 { left.next() } else { None }).collect();
        self.woods.retain(|wood| wood.pieces > 0);
        self.pieces.iter_mut().for_each(|piece| piece.wood = piece.wood.and_then(|wood| places[wood]));
    }

    /// Extents of the pieces on the panel.
    pub fn spans(&self) -> Spans {
        let around = self.pieces.iter().filter_map(|piece| self.around_area.get(&piece.area));
        let (across, down) = around.map(|r| ((r.x, r.right()), (r.y, r.bottom()))).unzip();
        Spans { across, down }
    }

    /// The piece that an area is.
    pub fn piece(&self, area: AreaId) -> Option<&Row> {
        self.by_area.get(&area).map(|&at| &self.pieces[at])
    }

    /// The outline of a piece on the list: the list holds only pieces that have one.
    pub fn outline(&self, area: AreaId) -> &Outline {
        &self.outlines.areas[&area]
    }

    pub fn wood(&self, piece: &Row) -> Option<&WoodRow> {
        piece.wood.map(|at| &self.woods[at])
    }

    /// A piece's wood code, a dash while undecided.
    pub fn code(&self, piece: &Row) -> &str {
        self.wood(piece).map_or("–", |wood| &wood.code)
    }

    pub fn thickness(&self, piece: &Row) -> String {
        self.words.or_dash(piece.thickness)
    }

    /// The height as it is printed beside its thickness and raiser.
    pub fn height(&self, piece: &Row) -> String {
        self.words.or_dash(self.words.height([piece.thickness, piece.raiser, piece.height]))
    }

    /// Wood code and thickness, as `WA 6`; `open` while neither is decided.
    pub fn coded(&self, piece: &Row) -> String {
        if piece.wood.is_none() && piece.thickness.is_none() {
            return "open".into();
        }
        format!("{} {}", self.code(piece), self.thickness(piece))
    }
}

impl WoodRow {
    fn add(&mut self, piece: &Row) {
        self.pieces += 1;
        self.area_mm2 += piece.area_mm2;
        let sum = self.by_thickness.entry(piece.thickness).or_default();
        sum.0 += 1;
        sum.1 += piece.area_mm2;
    }
}

fn areas_around(outlines: &Outlines) -> BTreeMap<AreaId, Rect> {
    let around = |outline: &Outline| Rect::bounding(outline.rings.first()?.iter().map(|point| point.to_mm()));
    outlines.areas.iter().filter_map(|(&id, outline)| Some((id, around(outline)?))).collect()
}

fn borders_around(work: &Work) -> BTreeMap<BorderId, Rect> {
    let around = |border: &Border| Rect::bounding(border.curve.iter().flat_map(|cubic| cubic.0).map(|p| p.to_mm()));
    work.pattern.borders.iter().filter_map(|(&id, border)| Some((id, around(border)?))).collect()
}

/// Woods that pieces are of, by code. A wood that the job does not describe shows under its key.
fn woods(work: &Work, faces: &Faces) -> Vec<WoodRow> {
    let used: std::collections::BTreeSet<&WoodId> =
        work.pieces.values().filter_map(|piece| Some(&piece.values.wood.as_ref()?.value)).collect();
    let mut rows: Vec<WoodRow> = used.into_iter().map(|id| wood(work, faces, id)).collect();
    rows.sort_by(|a, b| (&a.code, &a.id).cmp(&(&b.code, &b.id)));
    rows.iter_mut().enumerate().for_each(|(at, row)| row.place = at);
    rows
}

fn wood(work: &Work, faces: &Faces, id: &WoodId) -> WoodRow {
    let known = work.woods.get(id);
    let sourced = |fact: &Option<crate::work::Sourced<String>>| {
        fact.as_ref().map(|fact| (faces.clean(&fact.value), faces.clean(&fact.source)))
    };
    WoodRow {
        id: id.clone(),
        code: known.map_or_else(|| faces.clean(&id.0), |wood| faces.clean(&wood.code)),
        name: known.map_or_else(|| faces.clean(&id.0), |wood| faces.clean(&wood.name)),
        colour: known.map(|wood| crate::wood::look(work, wood).to_rgb()),
        place: 0,
        pieces: 0,
        area_mm2: 0.0,
        by_thickness: BTreeMap::new(),
        hazard: known.and_then(|wood| sourced(&wood.hazard)),
        protected: known.and_then(|wood| sourced(&wood.protected)),
    }
}

/// Every piece that has an area with an outline.
fn pieces(work: &Work, outlines: &Outlines, faces: &Faces, woods: &[WoodRow]) -> Vec<Row> {
    let parts = part_names(work, faces);
    let row = |(&number, piece): (&Number, &crate::work::Piece)| {
        let outline = outlines.areas.get(&piece.area)?;
        let is_it = work.pattern.areas.get(&piece.area)?.becomes == Becomes::Piece(number);
        let values = &piece.values;
        is_it.then(|| Row {
            number,
            area: piece.area,
            part: parts.get(&number).cloned().unwrap_or_default(),
            wood: values.wood.as_ref().and_then(|wood| woods.iter().position(|row| row.id == wood.value)),
            thickness: values.thickness.map(|chosen| chosen.value),
            raiser: values.raiser.map(|chosen| chosen.value),
            height: values.height.map(|chosen| chosen.value),
            grain: values.grain.map(|chosen| chosen.value),
            area_mm2: outline.area_mm2,
            state: piece.state,
        })
    };
    work.pieces.iter().filter_map(row).collect()
}

/// By piece, its part's name with the names of the parts around it.
fn part_names(work: &Work, faces: &Faces) -> BTreeMap<Number, String> {
    let mut names = BTreeMap::new();
    for &id in work.parts.keys() {
        let name = path_of(work, faces, id);
        names.extend(work.parts[&id].pieces.iter().map(|&piece| (piece, name.clone())));
    }
    names
}

fn path_of(work: &Work, faces: &Faces, id: PartId) -> String {
    let mut names = Vec::new();
    let mut at = Some(id);
    // A ring of parts would be a broken job; the count keeps a sheet from hanging on it.
    while let Some(part) = at.and_then(|id| work.parts.get(&id)).filter(|_| names.len() < work.parts.len()) {
        names.push(faces.clean(&part.name));
        at = part.within;
    }
    names.reverse();
    names.join(" › ")
}

/// The part with this name, in any case.
fn part_called(work: &Work, name: &str) -> Result<PartId, Refusal> {
    let wanted = name.trim().to_lowercase();
    let found = work.parts.iter().find(|(_, part)| part.name.trim().to_lowercase() == wanted);
    found.map(|(id, _)| *id).ok_or_else(|| {
        let known: Vec<&str> = work.parts.values().map(|part| part.name.as_str()).collect();
        let ways = if known.is_empty() {
            "This job has no parts yet.".into()
        } else {
            format!("Choose from {}.", known.join(", "))
        };
        let shown: String = name.trim().chars().filter(|c| !c.is_control()).take(40).collect();
        Refusal::new(format!("No part is called “{shown}”.")).way(Way::advice(ways))
    })
}

/// Whether a piece lies in a part or in a part within it.
fn in_part(work: &Work, number: Number, part: PartId) -> bool {
    let mut at = work.parts.iter().find(|(_, part)| part.pieces.contains(&number)).map(|(id, _)| *id);
    // A ring of parts would be a broken job; the count keeps a sheet from hanging on it.
    for _ in 0..work.parts.len() {
        match at {
            Some(id) if id == part => return true,
            Some(id) => at = work.parts.get(&id).and_then(|part| part.within),
            None => return false,
        }
    }
    false
}
