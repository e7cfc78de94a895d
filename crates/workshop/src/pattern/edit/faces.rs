//! What new borders part: the faces of an area once they are in it, and which of them keeps the number.
//!
//! The faces are found by walking the rings of the area with the new borders in it, so that ears of holes, islands and cuts
//! from corner to corner are one case: each ring that runs clockwise bounds one face, and each hole belongs to the smallest
//! of those around it.

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::{Point, inside_rings, line};

use super::at;
use super::settle::SLIVER_UM;
use crate::pattern::outline::{green20, rings, widest};
use crate::work::{
    Area, AreaId, Becomes, Border, BorderId, Changes, Pattern, Piece, Refusal, Side, Spot, Way, Whom, Work,
};

/// The borders of the holes in an area.
pub(super) fn holes(pattern: &Pattern, id: AreaId) -> BTreeSet<BorderId> {
    let (own, lines) = alone(pattern, id);
    let walks = rings::walks(&own, &lines, rings::Turn::Part).remove(&id).unwrap_or_default();
    let holes = walks.into_iter().filter(|walk| green20(&own, walk) < 0);
    holes.flatten().map(|(border, _)| border).collect()
}

/// The borders of one area, and their lines.
fn alone(pattern: &Pattern, id: AreaId) -> (Pattern, BTreeMap<BorderId, Vec<Point>>) {
    let of = |border: &&Border| border.left == Side::Area(id) || border.right == Side::Area(id);
    let borders: BTreeMap<BorderId, Border> =
        pattern.borders.iter().filter(|(_, border)| of(border)).map(|(i, b)| (*i, b.clone())).collect();
    let lines = borders.iter().map(|(i, b)| (*i, line(&b.curve))).collect();
    (Pattern { borders, ..Pattern::default() }, lines)
}

/// Gives each face of an area but the largest an area of its own; the new borders have the area on both sides.
pub(super) fn part(work: &mut Work, id: AreaId, new: &[BorderId], changes: &mut Changes) -> Result<(), Refusal> {
    let (own, lines) = alone(&work.pattern, id);
    let walks = rings::walks(&own, &lines, rings::Turn::Follow).remove(&id).unwrap_or_default();
    let mut faces = faces(&own, &lines, walks);
    if let Some(idle) = new.iter().find(|border| !parts(&faces, **border)) {
        let place = lines[idle][lines[idle].len() / 2];
        return Err(Refusal::new(
            "The line does not part the area: it ends at a hole, and the area goes on around that.",
        )
        .at(Spot { at: Some(place), ..at(id) })
        .way(Way::advice("Draw it on, over the hole, to the outline on the other side.")));
    }
    let poles: Vec<_> = (faces.iter())
        .map(|face| widest::circle(&face.walks.iter().map(|walk| rings::points(walk, &lines)).collect::<Vec<_>>()))
        .collect();
    if let Some(pole) = poles.iter().find(|pole| pole.radius * 2.0 < SLIVER_UM) {
        return Err(Refusal::new("One side of the line is next to nothing.")
            .at(Spot { at: Some(pole.centre), ..at(id) })
            .way(Way::advice("Draw it farther from the border.")));
    }
    let largest = (0..faces.len()).max_by_key(|i| (faces[*i].area20, std::cmp::Reverse(*i))).unwrap_or(0);
    let old = work.pattern.areas[&id];
    work.pattern.areas.insert(id, Area { at: poles[largest].centre, ..old });
    changes.areas.insert(id);
    faces[largest].walks.clear();
    for (face, pole) in faces.iter().zip(&poles).filter(|(face, _)| !face.walks.is_empty()) {
        let added = work.next.new_area();
        give(work, face, added, changes);
        let becomes = name_part(work, old.becomes, added, changes);
        work.pattern.areas.insert(added, Area { at: pole.centre, becomes });
    }
    let beside = changes.borders.iter().filter_map(|id| work.pattern.borders.get(id));
    changes.areas.extend(beside.flat_map(|border| [border.left, border.right]).filter_map(Side::area));
    Ok(())
}

/// One connected part of an area: its outer ring first, then its holes.
pub(super) struct Face {
    pub(super) walks: Vec<rings::Walk>,
    area20: i128,
}

pub(super) fn faces(own: &Pattern, lines: &BTreeMap<BorderId, Vec<Point>>, walks: Vec<rings::Walk>) -> Vec<Face> {
    let (mut outer, holes): (Vec<Face>, Vec<Face>) = walks
        .into_iter()
        .map(|walk| Face { area20: green20(own, &walk), walks: vec![walk] })
        .partition(|f| f.area20 > 0);
    outer.sort_by(|a, b| a.area20.cmp(&b.area20).then(a.walks.cmp(&b.walks)));
    let around: Vec<Vec<Point>> = (outer.iter()).map(|face| rings::points(&face.walks[0], lines)).collect();
    for hole in holes {
        let points = rings::points(&hole.walks[0], lines);
        let lies_within = |ring: &Vec<Point>| {
            points.windows(2).any(|chord| inside_rings([ring.as_slice()], half_way(chord[0], chord[1])))
        };
        // A ring lies beside the face on the other side of its own borders, never within.
        let beside = |face: &Face| face.walks[0].iter().any(|(id, way)| hole.walks[0].contains(&(*id, !way)));
        let home = (0..outer.len()).find(|i| !beside(&outer[*i]) && lies_within(&around[*i]));
        let home = home.unwrap_or(outer.len() - 1);
        outer[home].area20 += hole.area20;
        outer[home].walks.extend(hole.walks);
    }
    outer
}

pub(super) fn half_way(a: Point, b: Point) -> Point {
    Point::new(a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2)
}

/// Whether a border has different faces on its two sides.
pub(super) fn parts(faces: &[Face], border: BorderId) -> bool {
    let has = |face: &Face, forward: bool| face.walks.iter().flatten().any(|step| *step == (border, forward));
    !faces.iter().any(|face| has(face, true) && has(face, false))
}

/// Makes an area the owner of a face's side of each border around it.
fn give(work: &mut Work, face: &Face, added: AreaId, changes: &mut Changes) {
    for (border, forward) in face.walks.iter().flatten() {
        changes.borders.insert(*border);
        let border = work.pattern.borders.get_mut(border).expect("the walk is over borders of the pattern");
        *(if *forward { &mut border.right } else { &mut border.left }) = Side::Area(added);
    }
}

/// What a smaller part becomes: of a piece another, with a new number and all that was decided of the first, in the same
/// part and at the same depth.
fn name_part(work: &mut Work, old: Becomes, added: AreaId, changes: &mut Changes) -> Becomes {
    let Becomes::Piece(number) = old else { return old };
    let given = work.next.new_number();
    let piece = Piece { area: added, ..work.pieces[&number].clone() };
    work.pieces.insert(given, piece);
    changes.pieces.extend([number, given]);
    for (id, part) in work.parts.iter_mut().filter(|(_, part)| part.pieces.contains(&number)) {
        part.pieces.insert(given);
        changes.parts.insert(*id);
    }
    if let Some(depth) = work.marks.get(&Whom::Piece(number)).copied() {
        work.marks.insert(Whom::Piece(given), depth);
        changes.settings = true;
    }
    Becomes::Piece(given)
}
