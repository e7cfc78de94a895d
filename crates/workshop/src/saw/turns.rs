//! Bends, inside corners and thickness against what the blades can do.
//!
//! A blade turns on the spot within its own diagonal, so it follows a bend of half of that; what is tighter is nibbled. An
//! inside corner is sawn from both sides; what is left of it is as wide as the kerf, and the sharper the corner the farther
//! from its tip: at an angle θ by kerf / (2 tan θ/2), and never less than half the diagonal (derived).

use std::cmp::Reverse;

use measure::length::Um;
use measure::plane::Point;

use super::Rack;
use super::bend::{sharpest, tightest_at};
use super::findings::show;
use super::mends;
use crate::pattern::Outline;
use crate::work::{Blade, Finding, Grave, Kind, Number, Piece, Spot, Way, Work};

/// What is left in a corner may be this long, µm: a file's stroke, from memory.
const LEFT: f64 = 1000.0;

type Planned<'a> = [(Number, &'a Piece, &'a Outline)];

/// A piece with the figure that it is found by, and where.
type Found = (f64, Number, Point);

/// Pieces with bends that no blade for their thickness turns in, pieces with corners that no blade saws out, and pieces that
/// no blade is for: a finding each, for there are many of them or none.
pub fn turns(work: &Work, planned: &Planned) -> Vec<Finding> {
    let rack = Rack::of(work);
    [bends(work, &rack, planned), corners(work, &rack, planned), unsuited(work, &rack, planned)]
        .into_iter()
        .flatten()
        .collect()
}

/// The finest blade that saws a piece, or comes nearest to it; of a thickness that is undecided that of the thinnest stock.
fn finest<'r>(work: &Work, rack: &'r Rack, piece: &Piece) -> Option<&'r Blade> {
    let thickness = piece.values.thickness.map(|chosen| chosen.value);
    let thickness = thickness.or(work.choices.stock.thicknesses.first().copied())?;
    rack.finest(thickness).map(|(blade, _)| blade)
}

/// Pieces of a thickness that no blade is for, of those that the saw takes.
fn unsuited(work: &Work, rack: &Rack, planned: &Planned) -> Option<Finding> {
    let thick = |piece: &Piece| {
        let thickness = piece.values.thickness?.value;
        let taken = thickness <= work.choices.saw.thickest;
        rack.finest(thickness).filter(|(_, suits)| taken && !suits).map(|(blade, _)| (thickness, blade))
    };
    let found: Vec<(Um, Number, &Blade, Point)> = planned
        .iter()
        .filter_map(|(number, piece, outline)| {
            let (thickness, blade) = thick(piece)?;
            Some((thickness, *number, blade, outline.widest.centre))
        })
        .collect();
    let (thickness, worst, blade, at) =
        *found.iter().max_by_key(|(thickness, number, ..)| (*thickness, Reverse(*number)))?;
    let why = format!(
        "{} of a thickness that no blade of the list is for, most of all piece {worst}: it is {} thick, and the nearest \
         blade, No. {}, is for {} to {}.",
        if found.len() == 1 { "One piece is".into() } else { format!("{} pieces are", found.len()) },
        show(work, thickness.0.into()),
        blade.number,
        show(work, blade.from.0.into()),
        show(work, blade.to.0.into())
    );
    let ways = vec![
        Way::advice(
            "Plan it in stock that a blade is for, and lift it with a raiser or glue it up from layers sawn alike.",
        ),
        Way::advice("List the blade that you saw it with: edit, setup, saw, blades."),
    ];
    let spot = Spot { at: Some(at), ..Spot::pieces(found.iter().map(|(_, number, ..)| *number)) };
    Some(Finding { kind: Kind::BeyondSaw, grave: Grave::Doubt, spot, why, ways, key: "no-blade".into() })
}

fn bends(work: &Work, rack: &Rack, planned: &Planned) -> Option<Finding> {
    let too_tight = |(number, piece, outline): &(Number, &Piece, &Outline)| {
        let turns = finest(work, rack, piece)?.turns_in() / 2.0;
        let (radius, at) =
            outline.rings.iter().filter_map(|ring| tightest_at(ring)).min_by(|a, b| a.0.total_cmp(&b.0))?;
        (radius < turns).then_some((radius / turns, *number, at))
    };
    let found: Vec<Found> = planned.iter().filter_map(too_tight).collect();
    let worst = *found.iter().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
    let (_, piece, outline) = *planned.iter().find(|(number, ..)| *number == worst.1)?;
    let blade = finest(work, rack, piece)?;
    let turns = blade.turns_in() / 2.0;
    let why = format!(
        "{} a bend tighter than the finest blade for the thickness can follow, most of all piece {}: a radius of {}, where \
         No. {} follows {} (half its diagonal).",
        has(found.len()),
        worst.1,
        show(work, worst.0 * turns),
        blade.number,
        show(work, turns)
    );
    let advice = [
        "Saw it in small bites from the waste side, or drill there first with a bit of the bend's size.",
        "Ease the border with the brush, or plan the piece in thinner stock, which takes a finer blade.",
    ];
    let smoothed = mends::smoothed(work, (piece, outline), worst.2, turns);
    let ways = smoothed.into_iter().chain(advice.map(Way::advice)).collect();
    Some(finding(Kind::TightBend, (&found, worst), why, ways))
}

fn corners(work: &Work, rack: &Rack, planned: &Planned) -> Option<Finding> {
    let left = |(number, piece, outline): &(Number, &Piece, &Outline)| {
        let blade = finest(work, rack, piece)?;
        let (angle, at) = outline.rings.iter().filter_map(|ring| sharpest(ring)).min_by(|a, b| a.0.total_cmp(&b.0))?;
        let left = left_in_corner(blade, angle);
        (left > LEFT).then_some((left, *number, at))
    };
    let found: Vec<Found> = planned.iter().filter_map(left).collect();
    let worst = *found.iter().max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
    let why = format!(
        "{} an inside corner that no blade for the thickness saws out, most of all piece {}: the last {} stay as wide as \
         the kerf (derived).",
        has(found.len()),
        worst.1,
        show(work, worst.0)
    );
    let ways = vec![
        Way::advice("Saw into it from both sides, and cut what is left with a knife or a fine file."),
        Way::advice("Split the piece at that corner, so that both sides run out."),
    ];
    Some(finding(Kind::SharpCorner, (&found, worst), why, ways))
}

/// How much of an inside corner of so many radians a blade leaves, µm.
fn left_in_corner(blade: &Blade, angle: f64) -> f64 {
    (f64::from(blade.thickness.0) / (2.0 * libm::tan(angle / 2.0))).max(blade.turns_in() / 2.0)
}

fn has(count: usize) -> String {
    if count == 1 { "One piece has".into() } else { format!("{count} pieces have") }
}

fn finding(kind: Kind, (found, worst): (&[Found], Found), why: String, ways: Vec<Way>) -> Finding {
    let key = if kind == Kind::TightBend { "tight-bend" } else { "sharp-corner" };
    let spot = Spot { at: Some(worst.2), ..Spot::pieces(found.iter().map(|(_, number, _)| *number)) };
    Finding { kind, grave: Grave::Note, spot, why, ways, key: key.into() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::saw::blades;
    use crate::work::{Chosen, Saw};

    fn kinds(ring: &[(i32, i32)], thickness: f64) -> Vec<Kind> {
        kinds_with(Saw::default(), ring, thickness)
    }

    fn kinds_with(saw: Saw, ring: &[(i32, i32)], thickness: f64) -> Vec<Kind> {
        let mut work = accepted(3, 2);
        work.choices.saw = saw;
        let (number, piece) = work.pieces.iter_mut().next().expect("there is a piece");
        piece.values.thickness = Some(Chosen::hand(Um::mm(thickness)));
        let (number, piece) = (*number, piece.clone());
        let mut outline = outlines(&work.pattern, work.panel).areas[&piece.area].clone();
        outline.rings = vec![ring.iter().map(|(x, y)| Point::new(*x, *y)).collect()];
        turns(&work, &[(number, &piece, &outline)]).into_iter().map(|finding| finding.kind).collect()
    }

    /// A square with a slot from above that ends in half a circle.
    fn slot(radius: f64) -> Vec<(i32, i32)> {
        let mut ring = vec![(0, 0)];
        for k in 0..=24 {
            let way = std::f64::consts::PI * (1.0 - f64::from(k) / 24.0);
            ring.push(((20_000.0 + radius * libm::cos(way)) as i32, (20_000.0 + radius * libm::sin(way)) as i32));
        }
        ring.insert(1, (20_000 - radius as i32, 0));
        ring.extend([(20_000 + radius as i32, 0), (40_000, 0), (40_000, 40_000), (0, 40_000)]);
        ring
    }

    /// The finest blade of the table for 38 mm is wider than that for 3 mm, and so is what it follows.
    #[test]
    fn bends_are_held_against_the_finest_blade_for_the_thickness() {
        assert_eq!(kinds(&slot(2000.0), 38.0), []);
        assert_eq!(kinds(&slot(450.0), 38.0), [Kind::TightBend]);
        assert_eq!(kinds(&slot(450.0), 3.0), []);
    }

    /// A list that ends at 20 mm is told of stock of 38, and bends are held against its nearest blade all the same.
    #[test]
    fn stock_that_no_blade_is_for_is_found() {
        let rack = |to| Saw {
            blades: blades()
                .iter()
                .map(|blade| Blade { to: blade.to.min(to), from: blade.from.min(to), ..blade.clone() })
                .collect(),
            ..Saw::default()
        };
        let square = [(0, 0), (40_000, 0), (40_000, 40_000), (0, 40_000)];
        assert_eq!(kinds_with(rack(Um(20_000)), &square, 38.0), [Kind::BeyondSaw]);
        assert_eq!(kinds_with(rack(Um(20_000)), &square, 18.0), []);
        assert_eq!(kinds_with(rack(Um(20_000)), &slot(300.0), 38.0), [Kind::TightBend, Kind::BeyondSaw]);
    }

    #[test]
    fn a_sharp_notch_is_found_and_a_square_one_is_not() {
        let notch = |half: i32| {
            vec![
                (0, 0),
                (20_000 - half, 0),
                (20_000, 10_000),
                (20_000 + half, 0),
                (40_000, 0),
                (40_000, 40_000),
                (0, 40_000),
            ]
        };
        assert_eq!(kinds(&notch(10_000), 18.0), []);
        assert_eq!(kinds(&notch(800), 18.0), [Kind::SharpCorner]);
        // The same angle standing out is none of the saw's troubles.
        let spike = [(0, 0), (19_200, 0), (20_000, -10_000), (20_800, 0), (40_000, 0), (40_000, 40_000), (0, 40_000)];
        assert_eq!(kinds(&spike, 18.0), []);
    }
}
