//! Boards and what lies on them.

use measure::length::Um;
use serde_json::{Value, json};

use super::{mm, point, points};
use crate::pattern::Outlines;
use crate::stock::{self, laid};
use crate::work::{Board, BoardId, Laying, Work};

pub(super) fn laying(laying: &Laying) -> Value {
    json!({
        "grain_within_deg": f64::from(laying.grain_within) / 100.0,
        "flip": laying.flip,
        "apart_mm": mm(laying.apart),
        "edge_mm": mm(laying.edge),
        "plane": laying.plane,
        "crosscut": laying.crosscut,
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
    let rings = stock::cut_rings(work, outlines);
    let one = |(number, chosen): (&crate::work::Number, &crate::work::Chosen<crate::work::Lie>)| {
        work.pieces.get(number)?;
        let (lie, ring) = (chosen.value, rings.get(number));
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

pub(super) fn missing(all: Vec<stock::Missing>) -> Vec<Value> {
    let one = |one: stock::Missing| {
        let (count, length, width) = one.boards;
        json!({
            "wood": one.wood,
            "thickness_mm": mm(one.thickness),
            "pieces": one.pieces,
            "net_mm2": one.net_mm2,
            "buy_mm2": one.buy_mm2,
            "boards": {"count": count, "length_mm": mm(length), "width_mm": mm(width)},
            "rough": one.rough.map(|(_, name)| name),
            "board_feet": one.board_feet,
            "price": one.price,
        })
    };
    all.into_iter().map(one).collect()
}

pub(super) fn planing(work: &Work) -> Vec<Value> {
    let board = |one: &stock::Planed| {
        json!({
            "board": one.board,
            "part_mm": one.part.map(|(from, to)| [mm(from), mm(to)]),
            "from_mm": mm(one.from),
            "resaw": one.resaw,
            "short": one.short,
        })
    };
    let one =
        |one: &stock::Setting| json!({"to_mm": mm(one.to), "boards": one.boards.iter().map(board).collect::<Vec<_>>()});
    stock::milling(work).iter().map(one).collect()
}

pub(super) fn crosscuts(work: &Work) -> Vec<Value> {
    let one = |(id, at): (BoardId, Vec<Um>)| json!({"board": id, "at_mm": at.into_iter().map(mm).collect::<Vec<_>>()});
    stock::crosscuts(work).into_iter().map(one).collect()
}
