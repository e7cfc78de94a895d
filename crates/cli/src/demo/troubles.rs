//! One case of every finding, made in the demo's own scene by edits that a maker could make.

use std::collections::BTreeSet;

use measure::length::Um;
use measure::plane::Point;
use workshop::Derived;
use workshop::pattern::{Outline, Outlines};
use workshop::work::edit::{Edit, part, pattern, relief, setup, wood};
use workshop::work::{AreaId, Becomes, Depth, Number, PartId, Says, Strength, Whom, Wood, WoodId, Work};

/// The edits that bring every kind of trouble into a planned scene.
pub fn edits(work: &Work, derived: &mut Derived) -> Vec<Edit> {
    let outlines = derived.outlines(work);
    let colours = derived.colours(work);
    let wide = widest_first(work, &outlines);
    let mut edits = Vec::new();
    edits.extend(too_small_and_too_thin(&wide, &outlines));
    edits.extend(alike(work, &outlines, |a, b| {
        let colour = |area| colours.get(&area).copied().unwrap_or_default();
        measure::colour::delta_e_2000(colour(a), colour(b))
    }));
    edits.extend(unsure_woods(work, &wide));
    edits.extend(no_way(&wide));
    edits.extend(odd_heights(&wide, work, &outlines));
    edits.extend(empty_part(work));
    edits.push(Edit::Setup(setup::Edit::WoodsMost(2)));
    edits
}

/// Pieces by their widest circle, the widest first.
fn widest_first(work: &Work, outlines: &Outlines) -> Vec<(AreaId, Number)> {
    let mut pieces: Vec<(AreaId, Number)> = work.pieces.iter().map(|(number, piece)| (piece.area, *number)).collect();
    pieces.sort_by(|a, b| {
        let width = |area: &AreaId| outlines.areas[area].widest.radius;
        width(&b.0).total_cmp(&width(&a.0)).then(a.1.cmp(&b.1))
    });
    pieces
}

/// Two islands drawn into the two widest pieces: one under the least area, one under the least width.
fn too_small_and_too_thin(wide: &[(AreaId, Number)], outlines: &Outlines) -> Vec<Edit> {
    let island = |at: usize, half: (i32, i32)| {
        let area = wide[at].0;
        Edit::Pattern(pattern::Edit::Split { area, along: oval(&outlines.areas[&area], half) })
    };
    vec![island(0, (2400, 2400)), island(1, (8000, 1500))]
}

/// A closed line of eight points about the widest circle's centre.
fn oval(outline: &Outline, (across, down): (i32, i32)) -> Vec<Point> {
    const ROUND: [(i32, i32); 9] = [(10, 0), (7, 7), (0, 10), (-7, 7), (-10, 0), (-7, -7), (0, -10), (7, -7), (10, 0)];
    let centre = outline.widest.centre;
    ROUND.map(|(x, y)| Point::new(centre.x + x * across / 10, centre.y + y * down / 10)).to_vec()
}

/// The touching pieces that differ most in the picture get one wood and one height.
fn alike(work: &Work, outlines: &Outlines, difference: impl Fn(AreaId, AreaId) -> f64) -> Vec<Edit> {
    let number = |area: AreaId| match work.pattern.areas[&area].becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    };
    let long = outlines.meetings.iter().filter(|(_, meeting)| meeting.length_mm > 40.0);
    let pairs = long.filter_map(|(&(a, b), _)| Some((difference(a, b), number(a)?, number(b)?)));
    let Some((_, a, b)) = pairs.max_by(|one, other| one.0.total_cmp(&other.0)) else { return Vec::new() };
    let wood = work.pieces[&a].values.wood.as_ref().map(|chosen| chosen.value.clone()).unwrap_or_default();
    let choose = |number| Edit::Wood(wood::Edit::Choose { whom: Whom::Piece(number), wood: wood.clone() });
    vec![choose(a), choose(b), height(a, 18_000), height(b, 18_000)]
}

fn height(number: Number, um: i32) -> Edit {
    Edit::Relief(relief::Edit::Height { whom: Whom::Piece(number), height: Um(um) })
}

/// Woods whose colour nobody measured, whose dust is known to harm, and whose trade is restricted.
fn unsure_woods(work: &Work, wide: &[(AreaId, Number)]) -> Vec<Edit> {
    let kinds: [fn(&&Wood) -> bool; 3] =
        [|wood| !wood.measured, |wood| wood.hazard.is_some(), |wood| wood.protected.is_some()];
    let find = |is: &fn(&&Wood) -> bool| work.woods.values().find(is).map(|wood| wood.id.clone());
    let woods: Vec<WoodId> = kinds.iter().filter_map(find).collect();
    let give = |(at, wood): (usize, WoodId)| Edit::Wood(wood::Edit::Choose { whom: Whom::Piece(wide[2 + at].1), wood });
    woods.into_iter().enumerate().map(give).collect()
}

/// Each of two pieces must stand above the other.
fn no_way(wide: &[(AreaId, Number)]) -> Vec<Edit> {
    let (a, b) = (Whom::Piece(wide[6].1), Whom::Piece(wide[7].1));
    let above = |above, below| {
        let says = Says::AtLeast { above, below, by: Um(3000) };
        Edit::Relief(relief::Edit::Relate { says, strength: Strength::Must })
    };
    vec![above(a, b), above(b, a)]
}

/// A height that no stock gives, and a step beside it that is too small to read.
fn odd_heights(wide: &[(AreaId, Number)], work: &Work, outlines: &Outlines) -> Vec<Edit> {
    let (area, number) = wide[8];
    let beside = outlines.meetings.keys().find_map(|&(a, b)| {
        let other = if a == area {
            b
        } else if b == area {
            a
        } else {
            return None;
        };
        match work.pattern.areas[&other].becomes {
            Becomes::Piece(other) => Some(other),
            _ => None,
        }
    });
    let mut edits = vec![height(number, 17_300)];
    edits.extend(beside.map(|other| height(other, 17_900)));
    edits
}

/// A part that has lost its pieces, with a mark that now speaks of nothing.
fn empty_part(work: &Work) -> Vec<Edit> {
    let Some(number) = work.pieces.keys().next_back().copied() else { return Vec::new() };
    let (moon, pieces) = (PartId(work.next.part), BTreeSet::from([number]));
    let home = work.parts.iter().find(|(_, part)| part.pieces.contains(&number)).map(|(id, _)| *id);
    let leave = match home {
        Some(home) => part::Edit::Bring { part: home, pieces: pieces.clone() },
        None => part::Edit::Release { part: moon, pieces: pieces.clone() },
    };
    let name = part::Edit::Name { name: "moon".into(), pieces, within: None };
    let mark = relief::Edit::Mark { whom: Whom::Part(moon), depth: Depth::Far };
    vec![Edit::Part(name), Edit::Relief(mark), Edit::Part(leave)]
}
