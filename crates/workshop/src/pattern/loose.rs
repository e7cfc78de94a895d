//! Drawn lines that end in the open: what the maker leaves out is told.
//!
//! A place is told until a border runs through it, so drawing the line on to its end settles it.

use measure::length::Um;
use measure::plane::{Point, line};

use super::Outlines;
use super::findings::show;
use super::swallowed::{lies_in, spot};
use crate::work::edit::pattern;
use crate::work::{Border, Edit, Finding, Grave, Kind, LineBecomes, LooseLine, Pattern, Way, Work};

/// So many ends have a finding of their own; the rest is one more.
const EACH: usize = 12;
/// A line that ends so near to where one ended before is the same one, µm.
const SAME_UM: f64 = 1500.0;
/// A border this near to an end has taken it in, µm.
const MET_UM: f64 = 250.0;

/// What the lines of a new trace become: as the maker said of one that ended in the same place.
pub fn with_choices(new: &[LooseLine], old: &[LooseLine]) -> Vec<LooseLine> {
    let near = |a: Point, b: Point| libm::hypot(f64::from(a.x - b.x), f64::from(a.y - b.y)) <= SAME_UM;
    let ends_near = |one: &LooseLine, other: &LooseLine| one.ends().any(|a| other.ends().any(|b| near(a, b)));
    let chosen = |line: &LooseLine| {
        old.iter().find(|other| other.becomes != LineBecomes::LeftOut && ends_near(line, other)).map_or_else(
            || line.clone(),
            |other| LooseLine { becomes: other.becomes, width: other.width, ..line.clone() },
        )
    };
    new.iter().map(chosen).collect()
}

/// Lines from their open end on to the first border that they meet: what lies beyond is sawn, or parts nothing of its own. One that
/// a border follows from its end on is loose no more.
pub fn still_loose(lines: Vec<LooseLine>, pattern: &Pattern) -> Vec<LooseLine> {
    let chords = if lines.is_empty() { Vec::new() } else { chords(pattern) };
    let left = |line: LooseLine| {
        let first = *line.along.first()?;
        let reach = MET_UM.max(line.width.0.into());
        let off = |p: Point| libm::hypot(f64::from(p.x - first.x), f64::from(p.y - first.y));
        let met = |p: Point| chords.iter().any(|chord| near(*chord, p));
        let mut along = vec![first];
        for pair in line.along.windows(2) {
            let (x, y) = (f64::from(pair[1].x - pair[0].x), f64::from(pair[1].y - pair[0].y));
            let steps = (libm::hypot(x, y) / MET_UM).ceil().max(1.0);
            let place = |k: f64| {
                let share = k / steps;
                Point::new(pair[0].x + (x * share).round() as i32, pair[0].y + (y * share).round() as i32)
            };
            let stops = (1..=steps as usize).map(|k| place(k as f64)).find(|p| met(*p));
            along.push(stops.unwrap_or(pair[1]));
            if let Some(stop) = stops {
                return (off(stop) > reach).then_some(LooseLine { along, both: false, ..line });
            }
        }
        Some(line)
    };
    lines.into_iter().filter_map(left).collect()
}

/// Every border as chords.
fn chords(pattern: &Pattern) -> Vec<[Point; 2]> {
    let of = |border: &Border| line(&border.curve).windows(2).map(|w| [w[0], w[1]]).collect::<Vec<_>>();
    pattern.borders.values().flat_map(of).collect()
}

/// Findings of the lines that end in the open and are left out, from the top.
pub fn loose(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    if work.loose.is_empty() && work.loose_lines.is_empty() {
        return Vec::new();
    }
    let chords = chords(&work.pattern);
    let lines = work.loose_lines.iter().enumerate().filter(|(_, line)| line.becomes == LineBecomes::LeftOut);
    let ends = lines.flat_map(|(at, line)| line.ends().map(move |end| (end, Some(at))));
    let old = work.loose.iter().map(|at| (*at, None));
    let mut open: Vec<(Point, Option<usize>)> =
        old.chain(ends).filter(|(at, _)| !chords.iter().any(|ends| near(*ends, *at))).collect();
    open.sort_by_key(|(at, _)| (at.y, at.x));
    let (each, rest) = open.split_at(open.len().min(EACH));
    let mut found: Vec<Finding> = each.iter().map(|open| alone(work, outlines, *open)).collect();
    found.extend(rest.first().map(|open| {
        let why = format!("{} more lines of the drawing end in the open and are left out.", rest.len());
        finding(work, outlines, *open, (why, "loose-rest".into()))
    }));
    found
}

fn alone(work: &Work, outlines: &Outlines, (at, line): (Point, Option<usize>)) -> Finding {
    let (x, y) = (show(work, Um(at.x)), show(work, Um(at.y)));
    let why = format!(
        "{x} from the left and {y} from the top a line of the drawing ends in the open. It parts nothing and is left out."
    );
    finding(work, outlines, (at, line), (why, format!("loose-{:07}-{:07}", at.y, at.x)))
}

fn finding(
    work: &Work,
    outlines: &Outlines,
    (at, line): (Point, Option<usize>),
    (why, key): (String, String),
) -> Finding {
    let spot = spot(work, lies_in(outlines, at), at);
    let way = |says: &str, line: usize, becomes: LineBecomes| Way {
        says: says.into(),
        edits: vec![Edit::Pattern(pattern::Edit::Line { line, becomes, width: None })],
    };
    let kept = line.filter(|_| !spot.pieces.is_empty()).map(|line| {
        let slot = way("Saw it as a slot, open to the shadow behind.", line, LineBecomes::Slot);
        let says = "Burn it into the face after sanding; ventilate, and burn no finished or treated wood.";
        [slot, way(says, line, LineBecomes::Burnt)]
    });
    let mut ways: Vec<Way> = kept.into_iter().flatten().collect();
    ways.push(Way::advice("Draw a line from there on to the next border, or leave it out."));
    Finding { kind: Kind::LooseEnd, grave: Grave::Note, spot, why, ways, key }
}

/// Whether a chord runs within [`MET_UM`] of a place.
fn near([a, b]: [Point; 2], at: Point) -> bool {
    let of = |p: Point| (f64::from(p.x) - f64::from(at.x), f64::from(p.y) - f64::from(at.y));
    let ((ax, ay), (bx, by)) = (of(a), of(b));
    let (ux, uy) = (bx - ax, by - ay);
    let t = (-(ax * ux + ay * uy) / (ux * ux + uy * uy).max(1e-9)).clamp(0.0, 1.0);
    let (x, y) = (ax + t * ux, ay + t * uy);
    x * x + y * y <= MET_UM * MET_UM
}
