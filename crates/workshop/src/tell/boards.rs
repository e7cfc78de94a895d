//! Boards and what lies on them.

use serde_json::{Value, json};

use super::{mm, point, points};
use crate::pattern::Outlines;
use crate::stock::laid;
use crate::work::{Board, BoardId, Laying, Work};

pub(super) fn laying(laying: &Laying) -> Value {
    json!({
        "grain_within_deg": f64::from(laying.grain_within) / 100.0,
        "flip": laying.flip,
        "apart_mm": mm(laying.apart),
        "edge_mm": mm(laying.edge),
        "plane": laying.plane,
        "allowance_percent": laying.allowance,
    })
}

pub(super) fn of_one(id: BoardId, board: &Board) -> Value {
    json!({
        "id": id,
        "name": board.name,
        "wood": board.wood,
        "thickness_mm": mm(board.thickness),
        "grain_deg": board.grain.to_degrees(),
        "outline_mm": points(&board.outline),
        "zones": board.zones.iter().map(|zone| json!({
            "name": zone.name, "outline_mm": points(&zone.outline), "keep": zone.keep,
        })).collect::<Vec<_>>(),
        "faults_mm": board.faults.iter().map(|fault| points(fault)).collect::<Vec<_>>(),
        "used": board.used.iter().map(|used| json!({
            "piece": used.piece, "ring_mm": points(&used.ring),
        })).collect::<Vec<_>>(),
        "price": board.price,
        "from": board.from,
        "shop": board.shop,
    })
}

pub(super) fn layout(work: &Work, outlines: &Outlines) -> Vec<Value> {
    let one = |(number, chosen): (&_, &crate::work::Chosen<crate::work::Lie>)| {
        let piece = work.pieces.get(number)?;
        let lie = chosen.value;
        let ring = outlines.areas.get(&piece.area).and_then(|outline| outline.rings.first());
        Some(json!({
            "piece": number,
            "board": lie.board,
            "turn_deg": f64::from(lie.turn) / 100.0,
            "at_mm": point(lie.at),
            "by": chosen.by,
            "ring_mm": ring.map(|ring| points(&laid(ring, &lie))),
        }))
    };
    work.layout.iter().filter_map(one).collect()
}
