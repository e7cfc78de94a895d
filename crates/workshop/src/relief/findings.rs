//! What a check finds of heights that are decided. Nothing is said of what is undecided.

use std::collections::BTreeSet;

use measure::length::Um;

use super::anchor::stands_at;
use super::choices::{Build, builds, stock_of};
use super::conflict::contradictions;
use super::edit::{last_into, settled};
use super::frame::out_of_frame;
use super::keep::Keeper;
use super::reading::lost_borders;
use super::settings::too_many;
use super::words;
use crate::pattern::Outlines;
use crate::wood::whose;
use crate::work::edit::relief::Edit as Relief;
use crate::work::{
    Becomes, By, Edit, Finding, Grave, Kind, Number, Relation, RelationId, Says, Spot, State, Strength, Way, Whom, Work,
};

/// What a check finds of heights.
pub fn findings(work: &Work, outlines: &Outlines) -> Vec<Finding> {
    let mut found = no_way(work);
    let (none, mut keeper) = (!found.is_empty(), Keeper::new(work));
    found.extend(work.relations.iter().filter_map(|(id, relation)| unmet(work, (*id, relation), none)));
    found.extend(work.pieces.keys().filter_map(|number| off_stock(work, *number)));
    found.extend(unreadable_steps(work, outlines, &mut keeper));
    found.extend(empty_parts(work));
    found.extend(too_many(work));
    found.extend(lost_borders(work, outlines, &mut keeper));
    found.extend(out_of_frame(work));
    found
}

fn no_way(work: &Work) -> Vec<Finding> {
    let finding = |found: super::conflict::Contradiction| {
        let ids: Vec<String> = found.relations.iter().map(RelationId::to_string).collect();
        Finding {
            kind: Kind::NoWay,
            grave: Grave::Grave,
            spot: found.spot(),
            why: found.what,
            ways: found.ways,
            key: format!("no_way:{}", ids.join(",")),
        }
    };
    contradictions(work).into_iter().map(finding).collect()
}

pub(super) fn height(work: &Work, number: Number) -> Option<i32> {
    Some(work.pieces.get(&number)?.values.height?.value.0)
}

/// The decided heights of a piece or part, each with its piece; that of an anchor.
fn decided(work: &Work, whom: Whom) -> Vec<(i32, Option<Number>)> {
    let pieces = whose(work, whom).into_iter().filter_map(|number| Some((height(work, number)?, Some(number))));
    pieces.chain(stands_at(work, whom).map(|at| (at.0, None))).collect()
}

/// The lowest of one and the highest of another, whose step is the least of all pairs.
fn least_step(work: &Work, above: Whom, below: Whom) -> Option<(i32, Vec<Number>)> {
    let (high, low) = (decided(work, above).into_iter().min()?, decided(work, below).into_iter().max()?);
    Some((high.0 - low.0, [high.1, low.1].into_iter().flatten().collect()))
}

/// Pieces whose decided heights break what is said, and by how much.
pub(super) fn broken(work: &Work, says: &Says) -> Option<(i32, Vec<Number>)> {
    let short = |above, below, by: i32| {
        let (step, pair) = least_step(work, above, below)?;
        (step < by).then_some((by - step, pair))
    };
    let outside = |whom: Whom, least: i32, most: i32| {
        let by = |height: i32| (least - height).max(height - most);
        let worst =
            decided(work, whom).into_iter().max_by_key(|(height, number)| (by(*height), std::cmp::Reverse(*number)))?;
        (by(worst.0) > 0).then(|| (by(worst.0), worst.1.into_iter().collect()))
    };
    let worse = |a: Option<(i32, Vec<Number>)>, b: Option<(i32, Vec<Number>)>| match (a, b) {
        (Some(a), Some(b)) => Some(if b.0 > a.0 { b } else { a }),
        (a, b) => a.or(b),
    };
    match says {
        Says::AtLeast { above, below, by } => short(*above, *below, by.0),
        Says::About { above, below, by } => worse(short(*above, *below, by.0), short(*below, *above, -by.0)),
        Says::Level(a, b) => worse(short(*a, *b, 0), short(*b, *a, 0)),
        Says::SameAs(a, b) => worse(worse(short(*a, *b, 0), short(*b, *a, 0)), otherwise_built(work, *a, *b)),
        Says::At(whom, at) => outside(*whom, at.0, at.0),
        Says::Within(whom, least, most) => outside(*whom, least.0, most.0),
        Says::Climbs { row, from, to } => {
            let ends = worse(
                row.first().and_then(|first| outside(*first, from.0, from.0)),
                row.last().and_then(|last| outside(*last, to.0, to.0)),
            );
            row.windows(2).fold(ends, |worst, pair| worse(worst, short(pair[1], pair[0], 0)))
        }
    }
}

/// The musts that decided heights break.
pub fn broken_musts(work: &Work) -> BTreeSet<RelationId> {
    let is_broken = |relation: &Relation| relation.strength == Strength::Must && broken(work, &relation.says).is_some();
    work.relations.iter().filter(|(_, relation)| is_broken(relation)).map(|(id, _)| *id).collect()
}

/// Two pieces whose decided thicknesses differ though they are to be built the same: the farthest apart.
fn otherwise_built(work: &Work, a: Whom, b: Whom) -> Option<(i32, Vec<Number>)> {
    let thick = |number: &Number| Some((work.pieces.get(number)?.values.thickness?.value.0, *number));
    let all: Vec<(i32, Number)> = whose(work, a).iter().chain(&whose(work, b)).filter_map(thick).collect();
    let (least, most) = (all.iter().min()?, all.iter().max()?);
    (least.0 < most.0).then(|| (most.0 - least.0, vec![most.1, least.1]))
}

fn unmet(work: &Work, (id, relation): (RelationId, &Relation), no_way: bool) -> Option<Finding> {
    if relation.strength != Strength::Must {
        return None;
    }
    let (by, pieces) = broken(work, &relation.says)?;
    let said = words::says(work, &relation.says);
    let why = format!(
        "It must be so: {said}; the heights of {} miss it by {}, so the relief would not read as it was meant.",
        words::pieces(&pieces),
        words::length(work, Um(by))
    );
    let mut ways = vec![Way::advice(if no_way {
        "First mend what cannot hold together, then work out the heights again."
    } else {
        "Work out the heights again."
    })];
    for number in pieces.iter().filter(|number| pinned_by_hand(work, **number)) {
        let unpin = Edit::Relief(Relief::Unpin(Whom::Piece(*number)));
        ways.push(Way::by(
            format!("Leave the height of piece {number} open, then work out the heights again"),
            vec![unpin],
        ));
    }
    ways.push(Way::by(format!("Take back: {said}"), vec![Edit::Relief(Relief::Unrelate(id))]));
    let spot = Spot { relations: vec![id], ..Spot::pieces(pieces) };
    Some(Finding { kind: Kind::Unmet, grave: Grave::Grave, spot, why, ways, key: format!("unmet:{id}") })
}

fn pinned_by_hand(work: &Work, number: Number) -> bool {
    !settled(work, number) && work.pieces[&number].values.height.is_some_and(|height| height.by == By::Hand)
}

fn off_stock(work: &Work, number: Number) -> Option<Finding> {
    let piece = &work.pieces[&number];
    if piece.state != State::Planned {
        return None;
    }
    let (height, stock, long) = (piece.values.height?.value, &stock_of(work, number), |um| words::length(work, um));
    let parts = piece.values.thickness.zip(piece.values.raiser).map(|(t, r)| (t.value, r.value));
    let given = match parts {
        Some((thickness, raiser)) => stock.thicknesses.contains(&thickness) && stock.raisers.contains(&raiser),
        None => stock.thicknesses.iter().any(|t| stock.raisers.iter().any(|r| t.0 + r.0 == height.0)),
    };
    let why = match parts {
        Some((t, r)) if t.0 + r.0 != height.0 => format!(
            "Piece {number} is to stand at {}, but its thickness {} and raiser {} make {}.",
            long(height),
            long(t),
            long(r),
            long(Um(t.0 + r.0))
        ),
        _ if given => return None,
        Some((t, r)) => format!(
            "Piece {number} is to be {} thick on a raiser of {}: that is not in stock, so it would have to be planed or built up.",
            long(t),
            long(r)
        ),
        None => format!(
            "Piece {number} is to stand at {}: no thickness and raiser in stock makes that, so it would have to be planed or built up.",
            long(height)
        ),
    };
    let way = |build: &Build| {
        let (thickness, raiser) = (Um(build.height - build.raiser), Um(build.raiser));
        let lift = if build.raiser > 0 { format!(" on a raiser of {}", long(raiser)) } else { String::new() };
        let says = format!("Build it {} high: {} thick{lift}", long(Um(build.height)), long(thickness));
        Way::by(says, vec![Edit::Relief(Relief::Build { whom: Whom::Piece(number), thickness, raiser })])
    };
    let ways = nearest(&builds(stock, None, None), height.0).iter().map(way).collect();
    let spot = Spot::pieces([number]);
    Some(Finding { kind: Kind::OffStock, grave: Grave::Grave, spot, why, ways, key: format!("off_stock:{number}") })
}

/// The builds next below and next above (or at) a height.
fn nearest(all: &[Build], height: i32) -> Vec<Build> {
    let below = all.iter().rev().find(|build| build.height < height);
    let above = all.iter().find(|build| build.height >= height);
    below.into_iter().chain(above).copied().collect()
}

fn unreadable_steps(work: &Work, outlines: &Outlines, keeper: &mut Keeper) -> Vec<Finding> {
    let number = |area| match work.pattern.areas.get(&area)?.becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    };
    let pairs = outlines.meetings.keys().filter_map(|(a, b)| {
        let (a, b) = (number(*a)?, number(*b)?);
        Some((a.min(b), a.max(b)))
    });
    let pairs: BTreeSet<(Number, Number)> = pairs.filter(|(a, b)| a != b).collect();
    pairs.into_iter().filter_map(|(a, b)| unreadable_step(work, (a, b), keeper)).collect()
}

fn unreadable_step(work: &Work, (a, b): (Number, Number), keeper: &mut Keeper) -> Option<Finding> {
    let step = (height(work, a)? - height(work, b)?).abs();
    let readable = work.choices.stock.readable_step;
    if step == 0 || step >= readable.0 {
        return None;
    }
    let why = format!(
        "Pieces {a} and {b} touch, and their tops differ by {}: under {} a step looks like a mistake, not like depth.",
        words::length(work, Um(step)),
        words::length(work, readable)
    );
    let mut ways: Vec<Way> =
        [level(work, (a, b), keeper), readable_way(work, (a, b), keeper)].into_iter().flatten().collect();
    if ways.is_empty() {
        ways.push(Way::advice(
            "No height of either alone makes it right without breaking a must: take a must back, or work out the heights again.",
        ));
    }
    let spot = Spot::pieces([a, b]);
    Some(Finding {
        kind: Kind::UnreadableStep,
        grave: Grave::Doubt,
        spot,
        why,
        ways,
        key: format!("unreadable_step:{a},{b}"),
    })
}

/// Of two pieces the one to move first: what an act chose before what the hand chose; never a fact.
pub(super) fn movers(work: &Work, a: Number, b: Number) -> Vec<(Number, Number)> {
    let by = |number: Number| work.pieces[&number].values.height.map(|height| height.by);
    let mut order: Vec<(Number, Number)> =
        [(a, b), (b, a)].into_iter().filter(|(mover, _)| !settled(work, *mover)).collect();
    order.sort_by_key(|(mover, _)| (by(*mover), *mover));
    order
}

fn level(work: &Work, (a, b): (Number, Number), keeper: &mut Keeper) -> Option<Way> {
    movers(work, a, b).into_iter().find_map(|(mover, other)| {
        let at = height(work, other)?;
        let says = format!("Make piece {mover} level with piece {other}, at {}", words::length(work, Um(at)));
        keeper.keeps(mover, at).then(|| Way::by(says, vec![stand(work, mover, at)]))
    })
}

/// The nearest height in stock a readable step away that keeps the musts, on the side where the piece stands already if one
/// does there.
fn readable_way(work: &Work, (a, b): (Number, Number), keeper: &mut Keeper) -> Option<Way> {
    let readable = work.choices.stock.readable_step.0;
    let movers = movers(work, a, b);
    let sides =
        [true, false].into_iter().flat_map(|stays| movers.iter().map(move |(mover, other)| (stays, *mover, *other)));
    sides.into_iter().find_map(|(stays, mover, other)| {
        let at = height(work, other)?;
        let up = (height(work, mover)? > at) == stays;
        let to = nearest_kept(work, mover, if up { at + readable } else { at - readable }, (up, keeper))?;
        let says = format!("Make the step readable: piece {mover} at {}", words::length(work, Um(to)));
        Some(Way::by(says, vec![stand(work, mover, to)]))
    })
}

/// The height in stock nearest to a limit, above it or below it, at which a piece keeps the musts.
pub(super) fn nearest_kept(work: &Work, mover: Number, limit: i32, (up, keeper): (bool, &mut Keeper)) -> Option<i32> {
    let all = builds(&stock_of(work, mover), None, None);
    let beyond = |height: &i32| if up { *height >= limit } else { *height <= limit };
    let mut heights: Vec<i32> = all.iter().map(|build| build.height).filter(beyond).collect();
    heights.sort_by_key(|height| (height - limit).abs());
    heights.into_iter().find(|height| keeper.keeps(mover, *height))
}

/// Puts a piece at a height, by stock where stock gives it.
pub(super) fn stand(work: &Work, number: Number, at: i32) -> Edit {
    let whom = Whom::Piece(number);
    Edit::Relief(match builds(&stock_of(work, number), None, None).into_iter().find(|build| build.height == at) {
        Some(build) => Relief::Build { whom, thickness: Um(at - build.raiser), raiser: Um(build.raiser) },
        None => Relief::Height { whom, height: Um(at) },
    })
}

fn empty_parts(work: &Work) -> Vec<Finding> {
    let mut found = Vec::new();
    for whom in work.marks.keys().filter(|whom| whose(work, **whom).is_empty()) {
        let spot = Spot::default();
        let way = Way::by("Take the mark back", vec![Edit::Relief(Relief::Unmark(*whom))]);
        found.push(empty(work, *whom, ("A depth mark", format!("mark:{whom:?}")), (spot, way)));
    }
    for (id, relation) in &work.relations {
        for whom in named(&relation.says).into_iter().filter(|whom| says_nothing(work, *whom)) {
            let spot = Spot { relations: vec![*id], ..Spot::default() };
            let way = Way::by(
                format!("Take back: {}", words::relation(work, &relation.says, relation.strength)),
                vec![Edit::Relief(Relief::Unrelate(*id))],
            );
            found.push(empty(work, whom, ("A relation", format!("{id}:{whom:?}")), (spot, way)));
        }
    }
    found
}

/// A piece or a part that is not there, or an anchor of which nothing is known.
fn says_nothing(work: &Work, whom: Whom) -> bool {
    whose(work, whom).is_empty() && stands_at(work, whom).is_none()
}

fn empty(work: &Work, whom: Whom, (what, key): (&str, String), (spot, way): (Spot, Way)) -> Finding {
    let gone = match whom {
        Whom::Piece(number) if work.retired.contains_key(&number) => {
            format!("which was merged into piece {}", last_into(work, number))
        }
        Whom::Piece(_) => "which is no piece any more".into(),
        Whom::Part(_) => "which has no pieces".into(),
        Whom::Backer | Whom::Frame => "but how deep the frame is has not been said".into(),
    };
    let why = format!("{what} names {}, {gone}: it says nothing.", words::whom(work, whom));
    let mut ways = vec![way];
    if matches!(whom, Whom::Part(_)) {
        ways.push(Way::advice("Or bring pieces into the part."));
    }
    if whom == Whom::Frame {
        ways.push(Way::advice("Or give the frame's depth, on the Relief page under The relief as a whole."));
    }
    Finding { kind: Kind::EmptyPart, grave: Grave::Note, spot, why, ways, key: format!("empty_part:{key}") }
}

fn named(says: &Says) -> Vec<Whom> {
    match says {
        Says::AtLeast { above, below, .. } | Says::About { above, below, .. } => vec![*above, *below],
        Says::Level(a, b) | Says::SameAs(a, b) => vec![*a, *b],
        Says::At(whom, _) | Says::Within(whom, ..) => vec![*whom],
        Says::Climbs { row, .. } => row.clone(),
    }
}
