//! What carries the work: the outline of the backer, and the alignment frame that holds the pieces while they are glued.
//!
//! The work is all that is not ground. Where a piece lies at its edge the backer stays behind the line, hidden; where open
//! shadow lies there the dark backer is what is seen, so it reaches beyond the line, to be trimmed or to stand proud. The
//! frame follows the work at its clearance. A gap that is opened along the edge itself is not followed.

mod edge;
mod level;
#[cfg(test)]
mod tests;

use measure::length::Um;
use measure::plane::{Point, inside_rings};

use edge::{Edge, Seen};

use crate::pattern::Outlines;
use crate::work::{Becomes, Number, Work};

/// Outlines around the work: rings in µm of the panel, outer ones and holes alike, to be read by the even-odd rule.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Backing {
    /// The edge of the work itself, as sawn.
    pub work: Vec<Vec<Point>>,
    /// The backer.
    pub backer: Vec<Vec<Point>>,
    /// What the alignment frame leaves open for the work: one ring around each part of it that stands alone.
    pub opening: Vec<Vec<Point>>,
    /// The frame's outer edge: a rectangle, by two corners.
    pub around: Option<(Point, Point)>,
    /// Pieces whose widest place lies off the backer: they hang on their neighbours.
    pub uncarried: Vec<Number>,
    /// Whether open shadow lies at the edge anywhere.
    pub shows: bool,
}

/// The backer and the frame of a job, by its allowances.
pub fn backing(work: &Work, outlines: &Outlines) -> Backing {
    let mount = &work.choices.mount;
    let edge = Edge::of(work, outlines);
    let Some((low, high)) = edge.bounds() else { return Backing::default() };
    let [beyond, behind, clearance] = [mount.beyond, mount.behind, mount.clearance].map(Um::to_mm);
    let backer = |near: edge::Near| match (near.seen, near.inside) {
        (Seen::Hidden, true) => near.away - behind,
        (Seen::Hidden, false) => -near.away - behind,
        (Seen::Shadow, true) => near.away + beyond,
        (Seen::Shadow, false) => beyond - near.away,
    };
    let opening = |near: edge::Near| clearance + if near.inside { near.away } else { -near.away };
    let margin = clearance + mount.frame.to_mm();
    let point = |x: f64, y: f64| Point::new((x * 1000.0).round() as i32, (y * 1000.0).round() as i32);
    Backing {
        work: edge.rings(outlines),
        backer: level::rings(&edge, beyond.max(behind), backer),
        opening: outermost(level::rings(&edge, clearance, opening)),
        around: Some((point(low.0 - margin, low.1 - margin), point(high.0 + margin, high.1 + margin))),
        uncarried: uncarried(work, outlines, |at| backer(edge.near(at, beyond.max(behind))) < 0.0),
        shows: edge.shows(),
    }
}

/// Rings that lie in no other: what a ring inside another leaves of the frame hangs on nothing and would fall out when sawn.
fn outermost(rings: Vec<Vec<Point>>) -> Vec<Vec<Point>> {
    let within = |at: usize| {
        let others = (0..rings.len()).filter(|other| *other != at);
        rings[at]
            .first()
            .is_some_and(|first| others.into_iter().any(|other| inside_rings([rings[other].as_slice()], *first)))
    };
    let loose: Vec<bool> = (0..rings.len()).map(within).collect();
    rings.into_iter().zip(loose).filter(|(_, loose)| !loose).map(|(ring, _)| ring).collect()
}

fn uncarried(work: &Work, outlines: &Outlines, off: impl Fn((f64, f64)) -> bool) -> Vec<Number> {
    let pieces = work.pattern.areas.iter().filter_map(|(id, area)| match area.becomes {
        Becomes::Piece(number) => Some((number, outlines.areas.get(id)?.widest.centre)),
        _ => None,
    });
    let mut found: Vec<Number> = pieces.filter(|(_, centre)| off(centre.to_mm())).map(|(number, _)| number).collect();
    found.sort_unstable();
    found
}
