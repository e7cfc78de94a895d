//! What a check finds of the boards. Nothing is said until there is a board.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::Point;

use super::buy::RESAWING;
use super::cut::cut_rings;
use super::edit::{show, why_words};
use super::lay::{Rules, Sheet, bounds, claimed, turned, usable};
use super::layout::groups;
use super::place::{Wrong, carried, turns, wrong};
use crate::pattern::Outlines;
use crate::work::edit::stock;
use crate::work::{Board, BoardId, By, Edit, Finding, Grave, Kind, Number, Spot, Way, WoodId, Work};

/// So many boards are.
const BOARDS_NAMED: usize = 3;

/// Sizes are told in tenths of a millimetre, µm.
const TENTH: i32 = 100;

/// What a check finds.
pub fn findings(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    if work.boards.is_empty() {
        return Vec::new();
    }
    let rings = cut_rings(work, outlines);
    let mut found: Vec<Finding> = wrong(work, &rings).iter().filter_map(|one| lies_wrong(work, one)).collect();
    for ((wood, thickness), pieces) in groups(work) {
        let left: Vec<Number> = pieces.into_iter().filter(|number| !work.layout.contains_key(number)).collect();
        if !left.is_empty() {
            found.push(no_board(work, &rings, (&wood, thickness), left));
        }
    }
    found
}

fn lies_wrong(work: &Work, one: &Wrong) -> Option<Finding> {
    let chosen = work.layout.get(&one.piece)?;
    let board = work.boards.get(&chosen.value.board)?;
    let mut ways = vec![Way::advice("Lay out the boards again.")];
    if chosen.by == By::Hand {
        ways.insert(0, Way::by("Unpin it, then lay out again.", vec![Edit::Stock(stock::Edit::Unpin(one.piece))]));
    }
    Some(Finding {
        kind: Kind::LiesWrong,
        grave: Grave::Doubt,
        spot: Spot { boards: vec![chosen.value.board], ..Spot::pieces([one.piece]) },
        why: why_words(work, one.piece, board, one.why),
        ways,
        key: format!("lies-{:05}-{:?}", one.piece.0, one.why),
    })
}

fn no_board(
    work: &Work,
    rings: &BTreeMap<Number, Vec<Point>>,
    (wood, thickness): (&WoodId, Um),
    left: Vec<Number>,
) -> Finding {
    let name = work.woods.get(wood).map_or(wood.0.as_str(), |wood| wood.name.as_str());
    let Help { why, way, room } = help(work, rings, (wood, thickness), &left);
    let why = format!("{} {name}, {} thick. {why}", count(&left), show(work, thickness));
    let resawn = resawn(work, (wood, thickness)).filter(|_| room);
    Finding {
        kind: Kind::NoBoard,
        grave: Grave::Doubt,
        spot: Spot { woods: vec![wood.clone()], ..Spot::pieces(left) },
        why,
        ways: resawn.into_iter().chain([Way::advice(way)]).collect(),
        key: format!("no-board-{wood}-{:06}", thickness.0),
    }
}

/// A board that carries something else and is thick enough to be resawn, so that its second half gives these pieces.
fn resawn(work: &Work, (wood, thickness): (&WoodId, Um)) -> Option<Way> {
    let enough = |(id, board): (&BoardId, &Board)| {
        let to = carried(work, *id).filter(|_| board.wood == *wood)?;
        (to.0 + RESAWING + thickness.0 <= board.thickness.0).then(|| (*id, board.name.clone(), to))
    };
    let (board, name, to) = work.boards.iter().find_map(enough)?;
    let says = format!(
        "Resaw board \"{name}\": {} for what lies on it, the rest for these. Then lay out again.",
        show(work, to)
    );
    Some(Way::by(says, vec![Edit::Stock(stock::Edit::Resaw { board, to })]))
}

fn count(left: &[Number]) -> String {
    match left {
        [one] => format!("Piece {one} lies on no board:"),
        [one, two] => format!("Pieces {one} and {two} lie on no board:"),
        many => format!("{} pieces lie on no board:", many.len()),
    }
}

/// Why pieces lie on no board, and what would help.
struct Help {
    why: String,
    way: String,
    /// Whether room alone is missing.
    room: bool,
}

fn help(work: &Work, rings: &BTreeMap<Number, Vec<Point>>, (wood, thickness): (&WoodId, Um), left: &[Number]) -> Help {
    let told = |why: String, way: String| Help { why, way, room: false };
    let want = format!("{} thick{}", show(work, thickness), if work.choices.laying.plane { " or thicker" } else { "" });
    let of_wood: Vec<&Board> = work.boards.values().filter(|board| board.wood == *wood).collect();
    if of_wood.is_empty() {
        return told("There is no board of this wood.".into(), format!("Put one on the rack, {want}."));
    }
    let fits = |board: &&&Board| match work.choices.laying.plane {
        true => board.thickness >= thickness,
        false => board.thickness == thickness,
    };
    let thick: Vec<&Board> = of_wood.iter().filter(fits).copied().collect();
    if thick.is_empty() {
        let most = of_wood.iter().map(|board| board.thickness).max().unwrap_or_default();
        let why = format!("No board of this wood is {want}; the thickest is {}.", show(work, most));
        return told(why, format!("Put one on the rack, {want}, or plan these pieces thinner with raisers."));
    }
    let sizes = left.iter().filter_map(|number| Some((size(work, *number, rings.get(number)?), *number)));
    let (long, wide) = largest(&thick);
    let edge = 2 * work.choices.laying.edge.0;
    if let Some(((length, width), number)) = sizes.filter(|((l, w), _)| l + edge > long || w + edge > wide).max() {
        let up = |length: i32| show(work, Um((length + TENTH - 1) / TENTH * TENTH));
        let why = format!(
            "Piece {number} is {} along the grain and {} across; the boards reach {} by {}.",
            up(length),
            up(width),
            show(work, Um(long / TENTH * TENTH)),
            show(work, Um(wide / TENTH * TENTH))
        );
        return told(why, "Glue up a wider board, split the piece, or put a larger board on the rack.".into());
    }
    if faulty(work, rings, &thick, left) {
        return told(
            "The faults noted on the boards of this wood take about all of their face.".into(),
            "Take back a fault that can be sawn round or turned to the backer, or put a sound board on the rack."
                .into(),
        );
    }
    if !work.layout.values().any(|chosen| chosen.by == By::Act) {
        return told("Nothing has been laid out yet.".into(), "Lay out the boards.".into());
    }
    if let Some(why) = planed_otherwise(work, (wood, thickness)) {
        let way = format!(
            "Crosscut a board that has room first, or let the layout crosscut boards, so that each part is planed by itself; or put one on the rack, {want}."
        );
        return Help { why, way, room: true };
    }
    Help {
        why: "No room is left for them on the boards of this wood.".into(),
        way: format!(
            "Put another board on the rack, {want}, allow more turn off the grain, or lay out with more effort."
        ),
        room: true,
    }
}

/// That every board which is thick enough is planed whole to another thickness, where none may be crosscut.
fn planed_otherwise(work: &Work, (wood, thickness): (&WoodId, Um)) -> Option<String> {
    if work.choices.laying.crosscut {
        return None;
    }
    let plane = work.choices.laying.plane;
    let fits = |board: &Board| board.thickness == thickness || plane && board.thickness > thickness;
    let boards = work.boards.iter().filter(|(_, board)| board.wood == *wood && fits(board));
    let planed = |(id, board): (&BoardId, &Board)| {
        let to = carried(work, *id).filter(|to| *to != thickness)?;
        let whole = if to < board.thickness { "is planed whole to" } else { "stays whole at" };
        Some(format!("Board \"{}\" {whole} {} for what lies on it.", board.name, show(work, to)))
    };
    let said: Vec<String> = boards.map(planed).collect::<Option<_>>()?;
    let more = said.len().saturating_sub(BOARDS_NAMED);
    let also = if more > 0 { format!(" So it is with {more} more.") } else { String::new() };
    Some(format!("{}{also}", said[..said.len() - more].join(" ")))
}

/// Whether the faults of boards leave less of each than the smallest piece asks for.
fn faulty(work: &Work, rings: &BTreeMap<Number, Vec<Point>>, boards: &[&Board], left: &[Number]) -> bool {
    let laying = &work.choices.laying;
    let rules = Rules { apart: laying.apart, edge: laying.edge };
    let asks = left.iter().filter_map(|number| rings.get(number)).map(|ring| claimed(ring, rules));
    let Some(least) = asks.min_by(f64::total_cmp) else { return false };
    let sheet = |board: &Board, faults: &[Vec<Point>]| Sheet {
        outer: board.outline.clone(),
        faults: faults.to_vec(),
        ..Sheet::default()
    };
    let left_of = |board: &&&Board| usable(&sheet(board, &board.faults), rules) < least;
    let sound = |board: &&&Board| usable(&sheet(board, &[]), rules) >= least;
    boards.iter().filter(sound).count() > 0 && boards.iter().filter(sound).all(|board| left_of(&board))
}

/// Along the grain and across, turned straight to it.
pub(super) fn size(work: &Work, number: Number, ring: &[Point]) -> (i32, i32) {
    let grain = work.pieces.get(&number).and_then(|piece| piece.values.grain).map(|grain| grain.value);
    let (from, to) = turns(grain, &work.choices.laying)[0];
    let (low, high) = bounds(&turned(ring, if grain.is_some() { from + (to - from) / 2 } else { 0 }));
    (high.x - low.x, high.y - low.y)
}

/// The longest and the widest of boards, each turned with its grain to the right.
fn largest(boards: &[&Board]) -> (i32, i32) {
    let box_of = |board: &&Board| bounds(&turned(&board.outline, -i32::from(board.grain.0)));
    let sizes = || boards.iter().map(box_of).map(|(low, high)| (high.x - low.x, high.y - low.y));
    (sizes().map(|size| size.0).max().unwrap_or(0), sizes().map(|size| size.1).max().unwrap_or(0))
}
