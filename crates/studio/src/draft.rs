//! Quick drafts while the number of pieces is slid, and which areas lie in a lasso.

use std::sync::Arc;

use measure::length::Um;
use measure::plane::{Point, inside};
use workshop::work::{Ask, Becomes, TraceChoices, Values, Work};

use crate::desk::{Desk, Table};
use crate::see::{closed, hex, trail};
use crate::wire::{Chosen, Draft, DraftArea, Trouble, Within};

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

/// A draft at about `pieces`; `None` when a newer one was asked for meanwhile.
pub fn draft(desk: &Arc<Desk>, pieces: u32) -> Result<Option<Draft>, Trouble> {
    let pieces = in_bounds(pieces)?;
    let work = desk.with(|table| Ok(Work { pattern: workshop::work::Pattern::default(), ..table.work().clone() }))?;
    let ask = Ask::Trace(TraceChoices { pieces, ..work.choices.trace.clone() });
    let made = desk.acts.draft(|derived, watch| {
        let Values::Pattern { draft, .. } = workshop::propose(&work, derived, &ask, watch)?.values else {
            return Err(Trouble::broken());
        };
        let drawn = Work { pattern: draft, ..work };
        let (outlines, colours) = (derived.outlines(&drawn), derived.colours(&drawn));
        let sawn = drawn.pattern.areas.iter().filter(|(_, area)| area.becomes != Becomes::Ground);
        let areas: Vec<DraftArea> = sawn
            .filter_map(|(id, _)| {
                let picture = colours.get(id).map(|colour| hex(*colour));
                Some(DraftArea { d: closed(&outlines.areas.get(id)?.rings).as_ref().into(), picture })
            })
            .collect();
        let mut line_d = String::new();
        outlines.lines.values().for_each(|line| trail(&mut line_d, line));
        Ok(Draft { pieces: areas.len() as u32, areas, line_d })
    });
    made.transpose()
}

/// The areas that lie in a lasso.
pub fn within(table: &mut Table, asked: &Within) -> Result<Chosen, Trouble> {
    let at = |[x, y]: &[f64; 2]| Point::new(Um::mm(*x).0, Um::mm(*y).0);
    let ring: Vec<Point> = asked.polygon_mm.iter().map(at).collect();
    if ring.len() < 3 {
        return Err(Trouble::of("A lasso has three corners at least.", "Draw round the pieces that you mean."));
    }
    let holds = |point: Point| inside([ring.as_slice()], point);
    let outlines = table.outlines();
    let caught = outlines.areas.iter().filter(|(_, outline)| match asked.whole {
        true => outline.rings.iter().flatten().all(|point| holds(*point)),
        false => holds(outline.widest.centre),
    });
    Ok(Chosen { areas: caught.map(|(id, _)| *id).collect() })
}
