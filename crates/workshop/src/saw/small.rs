//! Pieces that want another hold than fingers, and pieces that stand on little glue.
//!
//! No published limit was found for either. Both limits are from memory and stand here by name, so that a shop that works
//! otherwise can see what was counted.

use measure::length::Um;

use super::findings::{about, longest, show};
use crate::pattern::{Outline, Outlines, longest_neighbour};
use crate::work::edit::pattern;
use crate::work::{Edit, Finding, Grave, Kind, Number, Piece, Spot, Way, Work};

/// A piece that is shorter than this every way brings fingers too near to the blade, µm: common practice, no source.
const HELD: f64 = 25_000.0;
/// A piece with less underneath than this has little to be glued by, mm²: about 8 by 8 mm; from memory.
const GLUED: f64 = 64.0;

type Planned<'a> = [(Number, &'a Piece, &'a Outline)];

/// Pieces too small to hold by hand and pieces too small to glue, each in one finding: there are many of them or none.
pub fn small(work: &Work, outlines: &Outlines, planned: &Planned) -> Vec<Finding> {
    [held(work, planned), glued(work, outlines, planned)].into_iter().flatten().collect()
}

fn held(work: &Work, planned: &Planned) -> Option<Finding> {
    let found: Vec<(f64, Number)> = planned
        .iter()
        .map(|(number, _, outline)| (longest(outline, 0.0), *number))
        .filter(|(long, _)| *long < HELD)
        .collect();
    let (long, least) = found.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
    let why = format!(
        "{} shorter than {} every way, least of all piece {least} with {}: fingers come too near to the blade, and the \
         piece may drop through the table (common practice, no source).",
        are(found.len()),
        show(work, HELD),
        about(work, long, 100.0)
    );
    let ways = vec![
        Way::advice(
            "Saw it while it hangs on a larger blank, and part it last; push with a stick, not with fingertips.",
        ),
        Way::advice(
            "Cover the table's opening with a sheet that the blade has cut its own slot in, and tape the piece to a backing.",
        ),
        Way::advice(
            "Glue it to a neighbour first and shape the two as one; sand it by hand on a block, never held to a disc or drum.",
        ),
    ];
    let spot = Spot::pieces(found.iter().map(|(_, number)| *number));
    Some(Finding { kind: Kind::Handling, grave: Grave::Note, spot, why, ways, key: "handling".into() })
}

fn glued(work: &Work, outlines: &Outlines, planned: &Planned) -> Option<Finding> {
    let found: Vec<(f64, Number)> = planned
        .iter()
        .map(|(number, _, outline)| (outline.area_mm2, *number))
        .filter(|(mm2, _)| *mm2 < GLUED)
        .collect();
    let (mm2, least) = found.iter().copied().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
    let why = format!(
        "{} less than {GLUED:.0} mm² to be glued by, least of all piece {least} with {mm2:.0} mm² (a limit from memory): a \
         knock may loosen it.",
        if found.len() == 1 { "One piece has".into() } else { format!("{} pieces have", found.len()) }
    );
    let advice = [
        "Glue it to the side of a neighbour that stands as high, as one glue-up, before it is set.",
        "Merge it with a neighbour, or drill for a thin dowel into the backer.",
    ];
    let area = work.pieces.get(&least)?.area;
    let merged = longest_neighbour(work, outlines, area).map(|(other, into)| {
        let says = format!("Merge piece {least} with piece {into}, which it shares the longest border with.");
        Way::by(says, vec![Edit::Pattern(pattern::Edit::Merge(vec![area, other]))])
    });
    let ways = merged.into_iter().chain(advice.map(Way::advice)).collect();
    let spot = Spot::pieces(found.iter().map(|(_, number)| *number));
    Some(Finding { kind: Kind::LittleGlue, grave: Grave::Note, spot, why, ways, key: "little-glue".into() })
}

fn are(count: usize) -> String {
    if count == 1 { "One piece is".into() } else { format!("{count} pieces are") }
}

/// How far a joint opens at the far face when the table is out of square, µm: both neighbours were sawn at the same tilt, so
/// each gives way by the thickness times the tangent.
pub fn out_of_square(thickness: Um, degrees: f64) -> f64 {
    2.0 * f64::from(thickness.0) * libm::tan(degrees.to_radians())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::outlines;
    use crate::pattern::sample::accepted;
    use crate::work::Work;
    use measure::plane::Point;

    /// What is found of the first piece when it is a rectangle of so many µm.
    fn kinds(work: &Work, (length, width): (i32, i32)) -> Vec<Kind> {
        let (number, piece) = work.pieces.iter().next().expect("there is a piece");
        let mut outline = outlines(&work.pattern, work.panel).areas[&piece.area].clone();
        outline.rings =
            vec![[(0, 0), (length, 0), (length, width), (0, width)].map(|(x, y)| Point::new(x, y)).to_vec()];
        outline.area_mm2 = f64::from(length) * f64::from(width) / 1e6;
        small(work, &outlines(&work.pattern, work.panel), &[(*number, piece, &outline)])
            .into_iter()
            .map(|finding| finding.kind)
            .collect()
    }

    #[test]
    fn small_pieces_are_found_at_the_limits() {
        let work = accepted(3, 2);
        // The diagonal of 15 by 20 mm is 25 mm.
        assert_eq!(kinds(&work, (15_000, 20_000)), []);
        assert_eq!(kinds(&work, (15_000, 19_990)), [Kind::Handling]);
        assert_eq!(kinds(&work, (32_000, 2000)), []);
        assert_eq!(kinds(&work, (32_000, 1999)), [Kind::LittleGlue]);
        assert_eq!(kinds(&work, (5000, 5000)), [Kind::Handling, Kind::LittleGlue]);
    }

    /// tan 1° = 0.017455 and tan 0.5° = 0.0087269, as any table of tangents gives them.
    #[test]
    fn a_table_out_of_square_opens_joints() {
        assert!((out_of_square(Um(20_000), 1.0) - 698.2).abs() < 0.05);
        assert!((out_of_square(Um(38_000), 0.5) - 663.2).abs() < 0.05);
        assert!(out_of_square(Um(20_000), 0.0).abs() < 1e-12);
    }
}
