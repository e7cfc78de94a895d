//! Quick drafts while the number of pieces is slid, which areas lie in a lasso, and what a drawn line runs over.

use std::sync::Arc;

use measure::Watch;
use measure::colour::Lab;
use measure::length::Um;
use measure::plane::{Point, inside_rings};
use workshop::relief;
use workshop::work::{Ask, Becomes, TraceChoices, Values, Work};
use workshop::{Derived, Sketch};

use crate::desk::{Desk, Table};
use crate::see::{closed, hex, trail};
use crate::wire::{Chosen, Draft, DraftArea, DraftFor, Section, SectionFor, SectionStretch, Trouble, Within};

/// A pattern has at most this many pieces.
const PIECES_MOST: u32 = 2000;

/// The number of pieces, if a pattern can have it.
pub fn in_bounds(pieces: u32) -> Result<u32, Trouble> {
    if (1..=PIECES_MOST).contains(&pieces) {
        return Ok(pieces);
    }
    Err(Trouble::of(
        format!("A pattern has 1 to {PIECES_MOST} pieces, not {pieces}."),
        "Choose a number in that range.",
    ))
}

/// A draft at about so many pieces; `None` when a newer one was asked for meanwhile.
pub fn draft(desk: &Arc<Desk>, asked: DraftFor) -> Result<Option<Draft>, Trouble> {
    let pieces = in_bounds(asked.pieces)?;
    let made = desk.acts.draft(|derived, watch| {
        let work = desk.with(|table| Ok(table.for_act(derived)))?;
        let choices = TraceChoices { pieces, ..work.choices.trace.clone() };
        match asked.fitted {
            true => fitted(work, derived, choices, watch),
            false => Ok(sketched(&workshop::sketch(&work, derived, &choices, watch)?)),
        }
    });
    made.transpose()
}

fn sketched(sketch: &Sketch) -> Draft {
    let areas = sketch.areas.iter();
    let areas: Vec<_> = areas.map(|(rings, colour)| area(rings, Some(*colour))).collect();
    Draft { pieces: areas.len() as u32, areas, line_d: lines(&sketch.lines) }
}

/// The pattern that accepting would take.
fn fitted(work: Work, derived: &mut Derived, choices: TraceChoices, watch: Watch) -> Result<Draft, Trouble> {
    let Values::Pattern { draft, .. } = workshop::propose(&work, derived, &Ask::Trace(choices), watch)?.values else {
        return Err(Trouble::broken());
    };
    let drawn = Work { pattern: draft, ..work };
    let (outlines, colours) = (derived.outlines(&drawn), derived.colours(&drawn));
    let sawn = drawn.pattern.areas.iter().filter(|(_, area)| area.becomes != Becomes::Ground);
    let areas: Vec<_> =
        sawn.filter_map(|(id, _)| Some(area(&outlines.areas.get(id)?.rings, colours.get(id).copied()))).collect();
    Ok(Draft { pieces: areas.len() as u32, areas, line_d: lines(outlines.lines.values()) })
}

fn area(rings: &[Vec<Point>], colour: Option<Lab>) -> DraftArea {
    DraftArea { d: closed(rings).as_ref().into(), picture: colour.map(hex) }
}

fn lines<'a>(lines: impl IntoIterator<Item = &'a Vec<Point>>) -> String {
    let mut path = String::new();
    lines.into_iter().for_each(|line| trail(&mut path, line));
    path
}

/// A drawn line has at most so many points: more than a hand draws.
const LINE_MOST: usize = 4000;

/// What a drawn line runs over.
pub fn section(table: &mut Table, asked: &SectionFor) -> Result<Section, Trouble> {
    let line: Vec<Point> = asked.line_mm.iter().map(|[x, y]| Point::new(Um::mm(*x).0, Um::mm(*y).0)).collect();
    if !(2..=LINE_MOST).contains(&line.len()) {
        return Err(Trouble::of("A line has two points at least.", "Draw it across the pieces that you mean."));
    }
    let stretch = |one: relief::Stretch| SectionStretch { area: one.area, from_mm: one.from_mm, to_mm: one.to_mm };
    Ok(Section { stretches: relief::profile(&table.outlines(), &line).into_iter().map(stretch).collect() })
}

/// The areas that lie in a lasso.
pub fn within(table: &mut Table, asked: &Within) -> Result<Chosen, Trouble> {
    let at = |[x, y]: &[f64; 2]| Point::new(Um::mm(*x).0, Um::mm(*y).0);
    let ring: Vec<Point> = asked.polygon_mm.iter().map(at).collect();
    if ring.len() < 3 {
        return Err(Trouble::of("A lasso has three corners at least.", "Draw round the pieces that you mean."));
    }
    let holds = |point: Point| inside_rings([ring.as_slice()], point);
    let outlines = table.outlines();
    let caught = outlines.areas.iter().filter(|(_, outline)| match asked.whole {
        true => outline.rings.iter().flatten().all(|point| holds(*point)),
        false => holds(outline.widest.centre),
    });
    Ok(Chosen { areas: caught.map(|(id, _)| *id).collect() })
}
