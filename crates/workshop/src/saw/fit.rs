//! Fit: how each piece meets its neighbours, which spare wood that asks for, and the gap that is left.
//!
//! Both sawn through the middle of their shared line lose half a kerf each, so one kerf is left between them. A piece that
//! is cut to the finished edge of a neighbour has spare wood at that joint, is traced off there and sawn beside the line; an
//! opening for a piece that is let in is sawn too small and opened out. Both leave next to nothing. These three ways are the
//! trade's; that a kerf or 1/16 in is tolerated is said in several shops' instructions. The spare wood is from memory.

use std::collections::{BTreeMap, BTreeSet};

use measure::length::{Um, mm_text};

use super::{Sawing, out_of_square};
use crate::pattern::{Outlines, outer_rings};
use crate::work::edit::saw::Edit;
use crate::work::{
    AreaId, Becomes, Border, BorderId, Changes, Meets, Number, Pattern, Refusal, Spot, State, Way, Work,
};

/// A gap that is tolerated between pieces sawn on their line, µm: 1/16 in.
pub const TOLERATED: f64 = 1600.0;

/// A border between two pieces, and how they meet there.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// The border.
    pub border: BorderId,
    /// The piece that is finished first, or the lower number where both are sawn on the line.
    pub first: Number,
    /// The other; it has the spare wood, if there is any.
    pub later: Number,
    /// How the later meets the first; `None` on the shared line.
    pub meets: Option<Meets>,
    /// How long it is.
    pub length: Um,
    /// Spare wood that the later is sawn with.
    pub spare: Um,
    /// What is left between them on the show face: the border's own gap, and a kerf where both are sawn on the line.
    pub gap: Um,
    /// By how much more it opens at the far face for each degree that the saw's table is out of square; `None` while both
    /// thicknesses are undecided.
    pub opens: Option<Um>,
}

/// The pieces on the two sides of a border.
fn pieces(pattern: &Pattern, border: &Border) -> Option<(Number, Number)> {
    let of = |area: Option<AreaId>| match pattern.areas.get(&area?)?.becomes {
        Becomes::Piece(number) => Some(number),
        _ => None,
    };
    let (left, right) = (of(border.left.area())?, of(border.right.area())?);
    (left != right).then_some((left.min(right), left.max(right)))
}

/// How two neighbours meet: the later, the first, and how; `None` on the shared line.
fn met(work: &Work, (a, b): (Number, Number)) -> Option<(Number, Number, Meets)> {
    let say = |later, first| work.fits.get(&(later, first)).map(|meets| (later, first, *meets));
    say(a, b).or_else(|| say(b, a))
}

/// The spare wood that a piece is sawn with along a border; 0 nearly everywhere.
pub fn spare(work: &Work, number: Number, border: BorderId) -> Um {
    if work.fits.is_empty() {
        return Um(0);
    }
    let Some(border) = work.pattern.borders.get(&border).filter(|border| border.gap.0 == 0) else { return Um(0) };
    let later = pieces(&work.pattern, border).and_then(|two| met(work, two)).map(|(later, ..)| later);
    if later == Some(number) { work.choices.saw.spare } else { Um(0) }
}

/// Every border between two pieces, with what is left between them when they are sawn as planned.
pub fn joints(work: &Work, outlines: &Outlines, plan: &BTreeMap<Number, Sawing>) -> Vec<Joint> {
    let kerf = |number: Number| plan.get(&number).map_or(0, |sawing| sawing.blade.thickness.0);
    let joint = |(id, border): (&BorderId, &Border)| {
        let two = pieces(&work.pattern, border)?;
        let fitted = met(work, two).filter(|_| border.gap.0 == 0);
        let (later, first) = fitted.map_or((two.1, two.0), |(later, first, _)| (later, first));
        let on_line = Um((kerf(first) + kerf(later)) / 2 + border.gap.0);
        let thick = |number| work.pieces.get(&number)?.values.thickness.map(|chosen| chosen.value);
        let deep = thick(first).into_iter().chain(thick(later)).min();
        Some(Joint {
            border: *id,
            first,
            later,
            meets: fitted.map(|(.., meets)| meets),
            length: Um((length(outlines.lines.get(id)?)) as i32),
            spare: spare(work, later, *id),
            gap: if fitted.is_some() { Um(0) } else { on_line },
            opens: deep.map(|deep| Um(out_of_square(deep, 1.0) as i32)),
        })
    };
    work.pattern.borders.iter().filter_map(joint).collect()
}

fn length(line: &[measure::plane::Point]) -> f64 {
    line.windows(2).map(|two| libm::hypot(f64::from(two[1].x - two[0].x), f64::from(two[1].y - two[0].y))).sum()
}

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    let (later, first, meets) = match *edit {
        Edit::CutTo { piece, to } => (piece, to, Some(Meets::CutTo)),
        Edit::LetIn { piece, into } => (into, piece, Some(Meets::LetsIn)),
        Edit::OnLine { piece, with } => (piece, with, None),
    };
    let (later, first) = match (meets, met(work, (later, first))) {
        (None, Some((later, first, _))) => (later, first),
        _ => (later, first),
    };
    let shared = may_meet(work, (later, first))?;
    may_wait(work, later)?;
    if meets.is_some() {
        open_joint(work, (later, first), &shared)?;
    }
    if meets == Some(Meets::LetsIn) {
        lies_within(work, (later, first))?;
    }
    let known: BTreeSet<Number> = work.pieces.keys().copied().collect();
    work.fits.retain(|(a, b), _| known.contains(a) && known.contains(b));
    work.fits.remove(&(first, later));
    match meets {
        Some(meets) => work.fits.insert((later, first), meets),
        None => work.fits.remove(&(later, first)),
    };
    no_circle(work, later)?;
    Ok(Changes {
        pieces: [later, first].into(),
        borders: shared.into_iter().collect(),
        settings: true,
        ..Changes::default()
    })
}

/// The borders that two pieces share; refused when there is none.
fn may_meet(work: &Work, (later, first): (Number, Number)) -> Result<Vec<BorderId>, Refusal> {
    if let Some(none) = [later, first].into_iter().find(|number| !work.pieces.contains_key(number)) {
        return Err(
            Refusal::new(format!("There is no piece {none}.")).way(Way::advice("spelk tell --json lists the pieces."))
        );
    }
    let two = (later.min(first), later.max(first));
    let shared = work.pattern.borders.iter().filter(|(_, border)| pieces(&work.pattern, border) == Some(two));
    let shared: Vec<BorderId> = shared.map(|(id, _)| *id).collect();
    if shared.is_empty() {
        let what = format!("Pieces {} and {} share no border, so neither is fitted to the other.", two.0, two.1);
        return Err(Refusal::new(what).at(Spot::pieces([two.0, two.1])).way(Way::advice("Name two that touch.")));
    }
    Ok(shared)
}

/// Once it is cut, a piece has the wood that it has.
fn may_wait(work: &Work, later: Number) -> Result<(), Refusal> {
    if work.pieces[&later].state == State::Planned {
        return Ok(());
    }
    let what = format!("Piece {later} is cut already: its spare wood can no longer be chosen.");
    Err(Refusal::new(what).at(Spot::pieces([later])).way(Way::advice("Fit the neighbour to it instead.")))
}

fn open_joint(work: &Work, (later, first): (Number, Number), shared: &[BorderId]) -> Result<(), Refusal> {
    let gaps = shared.iter().map(|id| work.pattern.borders[id].gap);
    let Some(gap) = gaps.min().filter(|gap| gap.0 > 0) else { return Ok(()) };
    let what =
        format!("Pieces {later} and {first} stand {} apart by choice, so nothing is fitted there.", mm_text(gap));
    Err(Refusal::new(what).at(Spot::pieces([later, first])).way(Way::advice("Close the gap of their border first.")))
}

/// A piece is let into another only when nothing but that other is around it.
fn lies_within(work: &Work, (host, inner): (Number, Number)) -> Result<(), Refusal> {
    let two = (host.min(inner), host.max(inner));
    let area = work.pieces[&inner].area;
    let outer = outer_rings(&work.pattern, &[area].into());
    let around = outer.get(&area).map_or(&[][..], |outer| &outer.borders);
    if !around.is_empty() && around.iter().all(|(id, _)| pieces(&work.pattern, &work.pattern.borders[id]) == Some(two))
    {
        return Ok(());
    }
    let what = format!("Piece {inner} is not surrounded by piece {host}, so it cannot be let into it.");
    let way = format!("Cut piece {inner} to the finished edge of piece {host} instead.");
    let cut_to = crate::work::Edit::Saw(Edit::CutTo { piece: inner, to: host });
    Err(Refusal::new(what).at(Spot::pieces([inner, host])).way(Way::by(way, vec![cut_to])))
}

/// Each waits for the one whose edge it is cut to; nobody may wait for itself.
fn no_circle(work: &Work, start: Number) -> Result<(), Refusal> {
    let (mut seen, mut next) = (BTreeSet::new(), vec![start]);
    while let Some(waits) = next.pop() {
        let for_whom = work.fits.range((waits, Number(0))..=(waits, Number(u32::MAX))).map(|((_, first), _)| *first);
        for first in for_whom {
            if first == start {
                let what = format!("Piece {start} would wait for itself: {waits} is cut to it already.");
                return Err(Refusal::new(what)
                    .at(Spot::pieces([start, waits]))
                    .way(Way::advice("Let one of them be sawn on its line.")));
            }
            if seen.insert(first) {
                next.push(first);
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::saw::{blades, plan};
    use crate::work::Chosen;

    fn job() -> Work {
        let mut work = accepted(3, 2);
        for piece in work.pieces.values_mut() {
            piece.values.thickness = Some(Chosen::hand(Um(20_000)));
        }
        work
    }

    fn told(work: &Work) -> Vec<Joint> {
        let outlines = outlines(&work.pattern, work.panel);
        joints(work, &outlines, &plan(work, &outlines))
    }

    /// Two pieces that share a border.
    fn touching(work: &Work) -> (Number, Number) {
        let joint = &told(work)[0];
        (joint.first, joint.later)
    }

    #[test]
    fn a_shared_line_leaves_one_kerf_and_a_fitted_joint_none() {
        let mut work = job();
        let (a, b) = touching(&work);
        let kerfs: BTreeSet<i32> = blades().iter().map(|blade| blade.thickness.0).collect();
        // tan 1° is 0.017455: two edges of 20 mm stock open by 0.698 mm.
        assert!(told(&work).iter().all(|joint| joint.meets.is_none() && kerfs.contains(&joint.gap.0)));
        assert!(told(&work).iter().all(|joint| joint.opens == Some(Um(698)) && joint.spare.0 == 0));
        apply(&mut work, &Edit::CutTo { piece: b, to: a }).expect("they touch");
        let fitted: Vec<Joint> = told(&work).into_iter().filter(|joint| joint.meets.is_some()).collect();
        assert!(!fitted.is_empty());
        assert!(fitted.iter().all(|joint| (joint.first, joint.later, joint.gap) == (a, b, Um(0))));
        assert!(fitted.iter().all(|joint| joint.spare == work.choices.saw.spare && joint.length.0 > 0));
        // The other way round replaces it, and the line takes both back.
        apply(&mut work, &Edit::CutTo { piece: a, to: b }).expect("they touch");
        assert_eq!(work.fits.keys().collect::<Vec<_>>(), [&(a, b)]);
        apply(&mut work, &Edit::OnLine { piece: b, with: a }).expect("they touch");
        assert!(work.fits.is_empty());
    }

    #[test]
    fn what_cannot_be_fitted_is_refused() {
        let mut work = job();
        let (a, b) = touching(&work);
        let refused = |work: &mut Work, edit| apply(&mut work.clone(), &edit).expect_err("it cannot be").what;
        assert!(refused(&mut work, Edit::CutTo { piece: a, to: Number(999) }).contains("no piece 999"));
        assert!(refused(&mut work, Edit::LetIn { piece: a, into: b }).contains("not surrounded"));
        let apart: Vec<Number> = work
            .pieces
            .keys()
            .copied()
            .filter(|other| {
                told(&work).iter().all(|joint| {
                    ![joint.first, joint.later].contains(other) || ![joint.first, joint.later].contains(&a)
                })
            })
            .filter(|other| *other != a)
            .collect();
        assert!(refused(&mut work, Edit::CutTo { piece: a, to: apart[0] }).contains("share no border"));
        let border = told(&work)[0].border;
        work.pattern.borders.get_mut(&border).expect("it stands").gap = Um(500);
        assert!(refused(&mut work, Edit::CutTo { piece: a, to: b }).contains("apart by choice"));
        work.pattern.borders.get_mut(&border).expect("it stands").gap = Um(0);
        work.pieces.get_mut(&a).expect("it stands").state = State::Cut;
        assert!(refused(&mut work, Edit::CutTo { piece: a, to: b }).contains("cut already"));
        apply(&mut work, &Edit::CutTo { piece: b, to: a }).expect("a cut edge is finished");
    }

    #[test]
    fn nobody_waits_for_itself() {
        let mut work = job();
        let told = told(&work);
        let touch = |a: Number, b: Number| told.iter().any(|joint| [joint.first, joint.later] == [a.min(b), a.max(b)]);
        // Four cells around a junction.
        let all: Vec<Number> = work.pieces.keys().copied().collect();
        let beside = |a: Number, but: &[Number]| -> Vec<Number> {
            all.iter().copied().filter(|b| touch(a, *b) && !but.contains(b)).collect()
        };
        let a = all[0];
        let round = beside(a, &[]).into_iter().find_map(|b| {
            beside(b, &[a])
                .into_iter()
                .find_map(|c| beside(c, &[a, b]).into_iter().find(|d| touch(*d, a)).map(|d| [a, b, c, d]))
        });
        let [a, b, c, d] = round.expect("four cells of the sample meet in a junction");
        for (piece, to) in [(a, b), (b, c), (c, d)] {
            apply(&mut work, &Edit::CutTo { piece, to }).expect("they touch");
        }
        assert!(
            apply(&mut work, &Edit::CutTo { piece: d, to: a }).expect_err("round").what.contains("wait for itself")
        );
    }

    #[test]
    fn an_island_is_let_into_the_piece_around_it() {
        let mut work = job();
        let outlines = outlines(&work.pattern, work.panel);
        let holes = |number: &Number| outlines.areas[&work.pieces[number].area].rings.len() - 1;
        let cell = |number: &Number| outlines.areas[&work.pieces[number].area].area_mm2 > 200.0;
        let host = *work.pieces.keys().find(|number| holes(number) == 1 && cell(number)).expect("the second cell");
        let inner = *work.pieces.keys().find(|number| holes(number) == 1 && !cell(number)).expect("the island");
        apply(&mut work, &Edit::LetIn { piece: inner, into: host }).expect("it lies within");
        let joint = told(&work).into_iter().find(|joint| joint.meets.is_some()).expect("it is fitted");
        assert_eq!((joint.first, joint.later, joint.meets), (inner, host, Some(Meets::LetsIn)));
        assert!(apply(&mut work.clone(), &Edit::LetIn { piece: host, into: inner }).is_err());
    }
}
