//! Drawn lines that part nothing: what the maker leaves out is told.
//!
//! A place is told until a border runs through it, so drawing the line on to its end settles it.

use std::collections::BTreeSet;

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
    let ends_near = |one: &LooseLine, other: &LooseLine| one.places().any(|a| other.places().any(|b| near(a, b)));
    let chosen = |line: &LooseLine| {
        old.iter().find(|other| other.becomes != LineBecomes::LeftOut && ends_near(line, other)).map_or_else(
            || line.clone(),
            |other| LooseLine { becomes: other.becomes, width: other.width, ..line.clone() },
        )
    };
    new.iter().map(chosen).collect()
}

/// Lines from their open end on to the first border that they meet: what lies beyond is sawn, or parts nothing of its own. One that
/// a border follows from its end on is loose no more, and so is one that only led from line to line and has one over its middle.
pub fn still_loose(lines: Vec<LooseLine>, pattern: &Pattern) -> Vec<LooseLine> {
    let chords = if lines.is_empty() { Vec::new() } else { chords(pattern) };
    let met = |p: Point| chords.iter().any(|chord| near(*chord, p));
    let left = |line: LooseLine| -> Vec<LooseLine> {
        let met_at = |p: &Point| met(*p);
        if line.hangs {
            return if line.places().any(|p| met_at(&p)) { Vec::new() } else { vec![line] };
        }
        let Some((along, off)) = to_border(&line.along, met_at) else { return vec![line] };
        let reach = MET_UM.max(line.width.0.into());
        let back = line.both.then(|| line.along.iter().rev().copied().collect::<Vec<_>>());
        let back = back.and_then(|back| to_border(&back, met_at));
        let parts = [Some((along, off)), back].into_iter().flatten().filter(|(_, off)| *off > reach);
        parts.map(|(along, _)| LooseLine { along, both: false, ..line.clone() }).collect()
    };
    lines.into_iter().flat_map(left).collect()
}

/// A line from its first end on to where a border is met, and how far from that end, µm.
fn to_border(line: &[Point], met: impl Fn(&Point) -> bool) -> Option<(Vec<Point>, f64)> {
    let first = *line.first()?;
    let mut along = vec![first];
    for pair in line.windows(2) {
        let (x, y) = (f64::from(pair[1].x - pair[0].x), f64::from(pair[1].y - pair[0].y));
        let steps = (libm::hypot(x, y) / MET_UM).ceil().max(1.0);
        let place = |k: f64| {
            let share = k / steps;
            Point::new(pair[0].x + (x * share).round() as i32, pair[0].y + (y * share).round() as i32)
        };
        if let Some(stop) = (1..=steps as usize).map(|k| place(k as f64)).find(&met) {
            along.push(stop);
            return Some((along, libm::hypot(f64::from(stop.x - first.x), f64::from(stop.y - first.y))));
        }
        along.push(pair[1]);
    }
    None
}

/// Every border as chords.
fn chords(pattern: &Pattern) -> Vec<[Point; 2]> {
    let of = |border: &Border| line(&border.curve).windows(2).map(|w| [w[0], w[1]]).collect::<Vec<_>>();
    pattern.borders.values().flat_map(of).collect()
}

/// Findings of the lines that part nothing and are left out, those first that were most likely drawn to part something.
pub fn loose(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    if work.loose.is_empty() && work.loose_lines.is_empty() {
        return Vec::new();
    }
    let chords = chords(&work.pattern);
    let left_out = |line: &LooseLine| line.becomes == LineBecomes::LeftOut && !line.writing;
    let lines = work.loose_lines.iter().enumerate().filter(|(_, line)| left_out(line));
    let ends = lines.flat_map(|(at, line)| line.places().map(move |end| (end, Some(at))));
    let old = work.loose.iter().map(|at| (*at, None));
    let mut open: Vec<(Point, Option<usize>)> =
        old.chain(ends).filter(|(at, _)| !chords.iter().any(|ends| near(*ends, *at))).collect();
    let rank = |line: Option<usize>| line.map(|at| work.loose_lines[at].rank());
    open.sort_by_key(|(at, line)| (rank(*line), at.y, at.x));
    let (each, rest) = open.split_at(open.len().min(EACH));
    let mut found: Vec<Finding> = each.iter().map(|open| alone(work, outlines, *open)).collect();
    let more: BTreeSet<(Option<usize>, Option<Point>)> = rest
        .iter()
        .filter(|(_, line)| line.is_none() || each.iter().all(|(_, told)| told != line))
        .map(|(at, line)| (*line, line.is_none().then_some(*at)))
        .collect();
    found.extend(rest.first().filter(|_| !more.is_empty()).map(|open| {
        let why = match more.len() {
            1 => "One more line of the drawing parts nothing and is left out.".into(),
            more => format!("{more} more lines of the drawing part nothing and are left out."),
        };
        finding(work, outlines, *open, (why, "loose-rest".into()))
    }));
    found
}

fn alone(work: &Work, outlines: &Outlines, (at, line): (Point, Option<usize>)) -> Finding {
    let (x, y) = (show(work, Um(at.x)), show(work, Um(at.y)));
    let what = if hangs(work, line) { "only leads from one line to another" } else { "ends in the open" };
    let why = format!(
        "{x} from the left and {y} from the top a line of the drawing {what}. It parts nothing and is left out."
    );
    // Findings are told in the order of their keys.
    let (kind, longest) = line.map_or((0, 0), |at| work.loose_lines[at].rank());
    let key = format!("loose-{kind}-{:08}-{:07}-{:07}", LONGEST + longest, at.y, at.x);
    finding(work, outlines, (at, line), (why, key))
}

/// No line is longer, µm.
const LONGEST: i64 = 99_999_999;

fn hangs(work: &Work, line: Option<usize>) -> bool {
    line.is_some_and(|at| work.loose_lines[at].hangs)
}

fn finding(
    work: &Work,
    outlines: &Outlines,
    (at, line): (Point, Option<usize>),
    (why, key): (String, String),
) -> Finding {
    let hangs = hangs(work, line);
    let spot = spot(work, lies_in(outlines, at), at);
    let way = |says: &str, line: usize, becomes: LineBecomes| Way {
        says: says.into(),
        edits: vec![Edit::Pattern(pattern::Edit::Line { line, becomes, width: None })],
    };
    let kept = line.filter(|_| !spot.pieces.is_empty()).map(|line| {
        let slot = way("Saw it as a slot, open to the shadow behind.", line, LineBecomes::Slot);
        let says = "Burn it into the face after sanding; ventilate, and burn no finished or treated wood.";
        (Some(slot).filter(|_| !hangs).into_iter()).chain([way(says, line, LineBecomes::Burnt)])
    });
    let mut ways: Vec<Way> = kept.into_iter().flatten().collect();
    let on =
        if hangs { "a second line from there to another border" } else { "a line from there on to the next border" };
    ways.push(Way::advice(format!("Draw {on}, or leave it out.")));
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
