//! Lines of an own drawing that end in the open: nothing is sawn there, and the maker is told where.
//!
//! A place is told until a border runs through it, so drawing the line on to its end settles it.

use measure::length::Um;
use measure::plane::{Point, line};

use super::Outlines;
use super::findings::show;
use super::swallowed::{lies_in, spot};
use crate::work::{Finding, Grave, Kind, Way, Work};

/// So many ends have a finding of their own; the rest is one more.
const EACH: usize = 12;
/// A border this near to an end has taken it in, µm.
const MET_UM: f64 = 250.0;

/// Findings of the loose ends of an own drawing, from the top.
pub fn loose(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    if work.loose.is_empty() {
        return Vec::new();
    }
    let chords: Vec<[Point; 2]> = work
        .pattern
        .borders
        .values()
        .flat_map(|b| line(&b.curve).windows(2).map(|w| [w[0], w[1]]).collect::<Vec<_>>())
        .collect();
    let mut open: Vec<Point> =
        work.loose.iter().copied().filter(|at| !chords.iter().any(|ends| near(*ends, *at))).collect();
    open.sort_by_key(|at| (at.y, at.x));
    let (each, rest) = open.split_at(open.len().min(EACH));
    let mut found: Vec<Finding> = each.iter().map(|at| alone(work, outlines, *at)).collect();
    found.extend(rest.first().map(|at| {
        let why = format!("{} more lines of the drawing end in the open and were left out.", rest.len());
        finding(work, outlines, *at, (why, "loose-rest".into()))
    }));
    found
}

fn alone(work: &Work, outlines: &Outlines, at: Point) -> Finding {
    let (x, y) = (show(work, Um(at.x)), show(work, Um(at.y)));
    let why = format!(
        "{x} from the left and {y} from the top a line of the drawing ends in the open. It parts nothing and was left out."
    );
    finding(work, outlines, at, (why, format!("loose-{:07}-{:07}", at.y, at.x)))
}

fn finding(work: &Work, outlines: &Outlines, at: Point, (why, key): (String, String)) -> Finding {
    let spot = spot(work, lies_in(outlines, at), at);
    let ways = vec![Way::advice("Draw a line from there on to the next border, or leave it out.")];
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
