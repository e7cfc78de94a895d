//! The job as the pages see it, and what of that a change changed.
//!
//! Lines are written as text once and kept while the border or outline stays as it is: a merge in a pattern of 800 pieces
//! writes the path of one.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::sync::Arc;

use measure::colour::Lab;
use measure::length::Um;
use measure::plane::Point;
use workshop::pattern::Outlines;
use workshop::work::{self, AreaId, Becomes, BorderId, Fact, Named, Number, WoodId, Work};
use workshop::{Derived, relief, wood};

use crate::boards;
use crate::wire::{
    Area, Border, Delta, Finding, FitSeen, Label, LineSeen, Logged, Mark, Part, Piece, PieceLength, Relation, Seen,
    Setup, Swallowed, Wood, WoodOf,
};

/// Where a job's history stands, as the pages name it.
#[derive(Clone, Debug, Default)]
pub struct Place {
    /// Counts every change.
    pub revision: u64,
    /// The step of the file's history that the job stands at.
    pub step: i64,
    /// The job's file.
    pub path: String,
    /// What undo would take back.
    pub undo: Option<String>,
    /// What redo would bring back.
    pub redo: Option<String>,
}

/// Paths written before.
#[derive(Default)]
pub struct Drawn {
    outlines: Arc<Outlines>,
    areas: BTreeMap<AreaId, Arc<str>>,
    borders: BTreeMap<BorderId, Arc<str>>,
}

impl Drawn {
    /// Brings the paths to these outlines.
    fn follow(&mut self, outlines: &Arc<Outlines>) {
        if Arc::ptr_eq(&self.outlines, outlines) {
            return;
        }
        let before = std::mem::replace(&mut self.outlines, outlines.clone());
        let kept = |id: &AreaId, rings: &Vec<Vec<Point>>| {
            let same = before.areas.get(id).is_some_and(|old| old.rings == *rings);
            same.then(|| self.areas.get(id).cloned()).flatten()
        };
        let areas: BTreeMap<AreaId, Arc<str>> = outlines
            .areas
            .iter()
            .map(|(id, area)| (*id, kept(id, &area.rings).unwrap_or_else(|| closed(&area.rings))))
            .collect();
        let line = |id: &BorderId, line: &Vec<Point>| {
            let same = before.lines.get(id) == Some(line);
            same.then(|| self.borders.get(id).cloned()).flatten().unwrap_or_else(|| open(line))
        };
        let borders = outlines.lines.iter().map(|(id, points)| (*id, line(id, points))).collect();
        (self.areas, self.borders) = (areas, borders);
    }
}

/// Rings as path data.
pub fn closed(rings: &[Vec<Point>]) -> Arc<str> {
    let mut d = String::new();
    for ring in rings {
        trail(&mut d, ring);
        d.push('Z');
    }
    d.into()
}

fn open(line: &[Point]) -> Arc<str> {
    let mut d = String::new();
    trail(&mut d, line);
    d.into()
}

/// Path data in mm to 0.01 mm, less than a screen or a saw shows: absolute first, then relative steps.
pub fn trail(d: &mut String, points: &[Point]) {
    let hundredths = |um: i32| (um + if um < 0 { -5 } else { 5 }) / 10;
    let (mut at, mut step) = ((0, 0), 0);
    for point in points {
        let to = (hundredths(point.x), hundredths(point.y));
        let (letter, x, y) = if step == 0 { ('M', to.0, to.1) } else { ('l', to.0 - at.0, to.1 - at.1) };
        if step > 0 && (x, y) == (0, 0) {
            continue;
        }
        if step < 2 {
            d.push(letter);
        }
        number(d, x, step > 1);
        number(d, y, true);
        (at, step) = (to, step + 1);
    }
}

/// A number of hundredths, parted from the one before by its sign or a space.
fn number(d: &mut String, hundredths: i32, parted: bool) {
    if parted && hundredths >= 0 {
        d.push(' ');
    }
    let (whole, rest) = (hundredths.abs() / 100, hundredths.abs() % 100);
    let sign = if hundredths < 0 { "-" } else { "" };
    // Writing to a string does not fail.
    let _ = match rest {
        0 => write!(d, "{sign}{whole}"),
        _ if rest % 10 == 0 => write!(d, "{sign}{whole}.{}", rest / 10),
        _ => write!(d, "{sign}{whole}.{rest:02}"),
    };
}

/// The whole view of a job.
pub fn seen(work: &Work, derived: &mut Derived, drawn: &mut Drawn, place: &Place) -> Seen {
    let outlines = derived.outlines(work);
    let colours = derived.colours(work);
    drawn.follow(&outlines);
    let looks: BTreeMap<&WoodId, String> =
        work.woods.iter().map(|(id, one)| (id, hex(wood::look(work, one)))).collect();
    let (held, settled) = (workshop::pattern::held(work), workshop::pattern::settled(work));
    let area = |(id, area): (&AreaId, &work::Area)| {
        let outline = outlines.areas.get(id)?;
        let (becomes, number) = match area.becomes {
            Becomes::Piece(number) => ("piece", Some(number)),
            Becomes::Unnumbered => ("piece", None),
            Becomes::Shadow => ("shadow", None),
            Becomes::Ground => ("ground", None),
        };
        let wood = number.and_then(|number| Some(work.pieces.get(&number)?.values.wood.as_ref()?.value.clone()));
        Some(Area {
            id: *id,
            becomes: becomes.into(),
            number,
            d: drawn.areas.get(id)?.clone(),
            label: Some(label(outline.widest)),
            area_mm2: outline.area_mm2,
            picture: colours.get(id).map(|colour| hex(*colour)),
            look: wood.as_ref().and_then(|wood| looks.get(wood).cloned()),
            wood,
            stays: held.contains(id).then(|| if settled.contains(id) { "settled" } else { "drawn" }.into()),
        })
    };
    Seen {
        revision: place.revision,
        step: place.step,
        path: place.path.clone(),
        undo: place.undo.clone(),
        redo: place.redo.clone(),
        setup: setup(work),
        areas: work.pattern.areas.iter().filter_map(area).collect(),
        borders: work.pattern.borders.iter().filter_map(|(id, one)| border(*id, one, drawn)).collect(),
        pieces: pieces(work, &outlines),
        parts: work.parts.iter().map(|(id, one)| part(work, *id, one)).collect(),
        woods: work.woods.values().map(|one| wood_seen(work, one)).collect(),
        relations: work.relations.iter().map(|(id, one)| relation(work, *id, one)).collect(),
        marks: work.marks.iter().map(|(whom, depth)| Mark { whom: *whom, depth: *depth }).collect(),
        swallowed: work.swallowed.iter().map(swallowed).collect(),
        lines: work.loose_lines.iter().map(|one| line(work, &outlines, one)).collect(),
        boards: work.boards.iter().map(|(id, one)| boards::board(work, *id, one)).collect(),
        lies: boards::lies(work, &outlines),
        missing: boards::missing(derived.missing(work)),
        findings: None,
    }
}

fn label(widest: measure::plane::Circle) -> Label {
    let (x_mm, y_mm) = widest.centre.to_mm();
    Label { x_mm, y_mm, r_mm: widest.radius / 1000.0 }
}

/// A colour as the pages write it.
pub fn hex(colour: Lab) -> String {
    let [r, g, b] = colour.to_rgb();
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn setup(work: &Work) -> Setup {
    let choices = &work.choices;
    Setup {
        title: choices.title.clone(),
        unit: choices.unit,
        panel: work.panel,
        stock: choices.stock.clone(),
        steps: [Named::Hair, Named::Step, Named::Lot].map(|named| choices.named(named)),
        laying: choices.laying.clone(),
        fits: (work.fits.iter())
            .map(|((later, first), meets)| FitSeen { later: *later, first: *first, meets: *meets })
            .collect(),
        spare: choices.saw.spare,
        planer_settings: choices.planer_settings,
        reading: choices.reading,
        frame_depth: choices.frame_depth,
        frame: choices.frame.clone(),
        ground: choices.ground.clone(),
        trace: choices.trace.clone(),
        woods_most: choices.woods_most,
        backer: choices.backer.clone(),
        backer_look: work.woods.get(&choices.backer).map(|one| hex(wood::look(work, one))),
        finish: choices.finish.clone(),
        finishes: wood::finishes().into_iter().map(|(key, finish)| (key, finish.name)).collect(),
        strokes: work.strokes.clone(),
        picture: work.picture.clone(),
        accepted: !work.pattern.areas.is_empty(),
    }
}

fn border(id: BorderId, border: &work::Border, drawn: &Drawn) -> Option<Border> {
    let d = drawn.borders.get(&id)?.clone();
    Some(Border { id, left: border.left.area(), right: border.right.area(), d, gap: border.gap, ink: border.ink })
}

fn pieces(work: &Work, outlines: &Outlines) -> Vec<Piece> {
    let mut logged = logged(work);
    let mut of = |number: &Number| logged.remove(number).unwrap_or_default();
    work.pieces.iter().map(|(number, one)| piece(work, (*number, one), outlines, of(number))).collect()
}

/// What the log of the bench tells of each piece; entries that were struck are left out.
fn logged(work: &Work) -> BTreeMap<Number, Vec<Logged>> {
    let struck = |fact: &Fact| if let Fact::Struck { entry, .. } = fact { Some(*entry) } else { None };
    let struck: BTreeSet<u32> = work.log.iter().filter_map(struck).collect();
    let mut told: BTreeMap<Number, Vec<Logged>> = BTreeMap::new();
    for (entry, fact) in (0..).zip(&work.log) {
        if let (false, Fact::Became { piece, state, on, height }) = (struck.contains(&entry), fact) {
            told.entry(*piece).or_default().push(Logged { entry, state: *state, on: *on, height: *height });
        }
    }
    told
}

fn piece(work: &Work, (number, piece): (Number, &work::Piece), outlines: &Outlines, logged: Vec<Logged>) -> Piece {
    let values = &piece.values;
    let outline = outlines.areas.get(&piece.area);
    let length = |chosen: &Option<work::Chosen<Um>>| chosen.map(|one| PieceLength { value: one.value, by: one.by });
    Piece {
        number,
        area: piece.area,
        part: work.parts.iter().find(|(_, part)| part.pieces.contains(&number)).map(|(id, _)| *id),
        wood: values.wood.as_ref().map(|one| WoodOf { value: one.value.clone(), by: one.by }),
        grain_deg: values.grain.map(|one| one.value.to_degrees()),
        grain_by: values.grain.map(|one| one.by),
        height: length(&values.height),
        thickness: length(&values.thickness),
        raiser: length(&values.raiser),
        widest: Um(outline.map_or(0, |outline| (2.0 * outline.widest.radius) as i32)),
        area_mm2: outline.map_or(0.0, |outline| outline.area_mm2),
        state: piece.state,
        logged,
    }
}

fn part(work: &Work, id: work::PartId, part: &work::Part) -> Part {
    let kept = work.variants.iter().filter(|(_, variant)| variant.part == id);
    Part {
        id,
        name: part.name.clone(),
        within: part.within,
        pieces: part.pieces.iter().copied().collect(),
        variants: kept.map(|(id, variant)| (*id, variant.name.clone())).collect(),
    }
}

/// The years after which colours are shown.
const YEARS: [f64; 5] = [1.0, 2.0, 5.0, 10.0, 20.0];

fn wood_seen(work: &Work, one: &work::Wood) -> Wood {
    Wood {
        key: one.id.clone(),
        name: one.name.clone(),
        latin: one.latin.clone(),
        code: one.code.clone(),
        raw: hex(one.colour.value),
        finished: hex(wood::look(work, one)),
        after: YEARS.map(|years| hex(wood::aged_look((work, one), one.colour.value, years))).to_vec(),
        measured: one.measured,
        hazard: one.hazard.as_ref().map(|said| format!("{} (source: {})", said.value, said.source)),
        protected: one.protected.as_ref().map(|said| format!("{} (source: {})", said.value, said.source)),
    }
}

fn relation(work: &Work, id: work::RelationId, one: &work::Relation) -> Relation {
    let words = relief::in_words(work, &one.says, one.strength);
    let missed = relief::missed_by(work, one);
    let uneven = relief::uneven_climb(work, id, one).map(|worst| (worst.piece, worst.at, worst.even));
    Relation { id, says: one.says.clone(), words, strength: one.strength, by: one.by, named: one.named, missed, uneven }
}

fn swallowed(one: &work::Swallowed) -> Swallowed {
    let (x, y) = one.at.to_mm();
    Swallowed { at_mm: [x, y], widest: one.widest, area_mm2: f64::from(one.area) / 100.0 }
}

fn line(work: &Work, outlines: &Outlines, one: &work::LooseLine) -> LineSeen {
    let mut d = String::new();
    trail(&mut d, &one.along);
    let end = one.place().unwrap_or(Point::new(0, 0));
    let area = workshop::pattern::lies_in(outlines, end);
    let piece = area.and_then(|id| match work.pattern.areas.get(&id)?.becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    });
    LineSeen { d, at_mm: end.to_mm().into(), width: one.width, becomes: one.becomes, writing: one.writing, piece }
}

/// A finding with the places where its sign goes.
pub fn finding(work: &Work, outlines: &Outlines, one: &work::Finding) -> Finding {
    let spot = &one.spot;
    let of_pieces = spot.pieces.iter().filter_map(|number| Some(work.pieces.get(number)?.area));
    let mut areas: Vec<AreaId> = spot.areas.iter().copied().chain(of_pieces).collect();
    areas.sort();
    areas.dedup();
    let middle = |id: &AreaId| outlines.areas.get(id).map(|outline| outline.widest.centre);
    let at: Vec<Point> = match spot.at {
        Some(at) => vec![at],
        None => areas.iter().filter_map(middle).collect(),
    };
    Finding {
        key: one.key.clone(),
        kind: one.kind,
        grave: one.grave,
        what: one.kind.words().into(),
        why: one.why.clone(),
        at_mm: at.into_iter().map(|point| point.to_mm().into()).collect(),
        areas,
        borders: spot.borders.clone(),
        pieces: spot.pieces.clone(),
        relations: spot.relations.clone(),
        ways: one.ways.clone(),
    }
}

/// What leads from one view to the next.
pub fn delta(old: &Seen, new: &Seen) -> Delta {
    let (areas, gone_areas) = changed(&old.areas, &new.areas, |area| area.id);
    let (borders, gone_borders) = changed(&old.borders, &new.borders, |border| border.id);
    let (pieces, gone_pieces) = changed(&old.pieces, &new.pieces, |piece| piece.number);
    let (lies, gone_lies) = changed(&old.lies, &new.lies, |one| one.piece);
    Delta {
        from: old.revision,
        revision: new.revision,
        step: new.step,
        undo: new.undo.clone(),
        redo: new.redo.clone(),
        setup: other(&old.setup, &new.setup),
        areas,
        gone_areas,
        borders,
        gone_borders,
        pieces,
        gone_pieces,
        parts: other(&old.parts, &new.parts),
        woods: other(&old.woods, &new.woods),
        relations: other(&old.relations, &new.relations),
        marks: other(&old.marks, &new.marks),
        swallowed: other(&old.swallowed, &new.swallowed),
        lines: other(&old.lines, &new.lines),
        boards: other(&old.boards, &new.boards),
        lies,
        gone_lies,
        missing: other(&old.missing, &new.missing),
        told: Vec::new(),
    }
}

fn other<T: PartialEq + Clone>(old: &T, new: &T) -> Option<T> {
    (old != new).then(|| new.clone())
}

/// Of two lists in the order of their keys: what is new or changed, and the keys of what went.
fn changed<T: PartialEq + Clone, K: Ord>(old: &[T], new: &[T], key: impl Fn(&T) -> K) -> (Vec<T>, Vec<K>) {
    let find = |list: &[T], wanted: &K| list.binary_search_by(|one| key(one).cmp(wanted)).ok();
    let fresh = new.iter().filter(|one| find(old, &key(one)).is_none_or(|at| old[at] != **one)).cloned().collect();
    let gone = old.iter().map(&key).filter(|key| find(new, key).is_none()).collect();
    (fresh, gone)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_that_fall_together_at_the_start_leave_the_steps_relative() {
        let mut d = String::new();
        super::trail(
            &mut d,
            &[Point { x: 10_001, y: 20_000 }, Point { x: 10_002, y: 20_000 }, Point { x: 9_990, y: 20_000 }],
        );
        assert_eq!(d, "M10 20l-0.01 0");
    }

    #[test]
    fn paths_are_short_and_true_to_a_hundredth() {
        let points = [(0, 0), (10_000, -2500), (10_004, -2500), (9950, -2495)].map(|(x, y)| Point::new(x, y));
        assert_eq!(closed(&[points.to_vec()]).as_ref(), "M0 0l10-2.5-.05 0Z".replace("-.05", "-0.05").as_str());
    }

    #[test]
    fn a_change_tells_what_came_and_went() {
        let old = [(1, "a"), (2, "b"), (4, "d")];
        let new = [(1, "a"), (2, "c"), (5, "e")];
        assert_eq!(changed(&old, &new, |one| one.0), (vec![(2, "c"), (5, "e")], vec![4]));
    }
}
