//! Boards as the pages see them.

use measure::plane::Point;
use workshop::pattern::Outlines;
use workshop::stock::{self, lay};
use workshop::work::{Board, BoardId, Chosen, Lie, Number, Work};

use crate::see::closed;
use crate::wire::{BoardPart, BoardSeen, Lying, MissingSeen, ZoneSeen};

/// A board.
pub fn board(work: &Work, id: BoardId, board: &Board) -> BoardSeen {
    let box_mm = |ring: &[Point]| {
        let (low, high) = lay::bounds(ring);
        [low.x, low.y, high.x - low.x, high.y - low.y].map(|um| f64::from(um) / 1000.0)
    };
    let rings = |rings: Vec<Vec<Point>>| closed(&rings).to_string();
    BoardSeen {
        id,
        name: board.name.clone(),
        wood: board.wood.clone(),
        thickness: board.thickness,
        parts: (stock::parts(work, id).into_iter())
            .map(|part| BoardPart { from: part.from, to: part.to, thickness: part.thickness })
            .collect(),
        grain: board.grain.0,
        box_mm: box_mm(&board.outline),
        d: rings(vec![board.outline.clone()]),
        faults_d: rings(board.faults.clone()),
        faults: board.faults.iter().map(|fault| box_mm(fault)).collect(),
        zones_d: rings(board.zones.iter().map(|zone| zone.outline.clone()).collect()),
        zones: (board.zones.iter())
            .map(|zone| ZoneSeen { name: zone.name.clone(), keep: zone.keep, box_mm: box_mm(&zone.outline) })
            .collect(),
        used_d: rings(board.used.iter().map(|used| used.ring.clone()).collect()),
        price: board.price,
        photograph: board.photograph.as_ref().map(|one| (one.hash.clone(), one.length.to_mm(), one.width.to_mm())),
    }
}

/// Every lie, by piece.
pub fn lies(work: &Work, outlines: &Outlines) -> Vec<Lying> {
    let rings = stock::cut_rings(work, outlines);
    let one = |(number, chosen): (&Number, &Chosen<Lie>)| {
        let outline = outlines.areas.get(&work.pieces.get(number)?.area)?;
        let outer = rings.get(number)?;
        let at = stock::laid_point(outer, outline.widest.centre, &chosen.value);
        let label = at.to_mm();
        let mut laid = vec![stock::laid(outer, &chosen.value)];
        let at = |point: &Point| stock::laid_point(outer, *point, &chosen.value);
        laid.extend(outline.rings[1..].iter().map(|hole| hole.iter().map(at).collect::<Vec<_>>()));
        let d = closed(&laid).to_string();
        Some(Lying { piece: *number, lie: chosen.value, by: chosen.by, d, label_mm: [label.0, label.1] })
    };
    work.layout.iter().filter_map(one).collect()
}

/// What is still to be bought.
pub fn missing(all: Vec<stock::Missing>) -> Vec<MissingSeen> {
    let one = |one: stock::Missing| {
        let (count, length, width) = one.boards;
        MissingSeen {
            wood: one.wood,
            thickness: one.thickness,
            pieces: one.pieces,
            count,
            length,
            width,
            rough: one.rough.map(|(_, name)| name),
            board_feet: one.board_feet,
            buy_m2: one.buy_mm2 / 1e6,
            price: one.price,
        }
    };
    all.into_iter().map(one).collect()
}
