//! The whole relief against the depth of its frame.

use measure::length::Um;

use super::edit::settled;
use super::trial::{Trial, musts};
use super::words;
use crate::work::edit::setup;
use crate::work::{Edit, Finding, Grave, Kind, Number, Spot, Stock, Way, Work};

/// Pieces that stand out of the frame, if its depth is given.
pub(super) fn out_of_frame(work: &Work) -> Option<Finding> {
    let depth = work.choices.frame_depth?;
    let tops = work.pieces.iter().filter_map(|(number, piece)| Some((piece.values.height?.value, *number)));
    let mut out: Vec<(Um, Number)> = tops.filter(|(top, _)| *top > depth).collect();
    out.sort_unstable_by_key(|(top, number)| (std::cmp::Reverse(*top), *number));
    let (highest, _) = *out.first()?;
    let pieces: Vec<Number> = out.iter().map(|(_, number)| *number).collect();
    let long = |um: Um| words::length(work, um);
    let why = format!(
        "{} {} out of the frame, by {} at the most: it is {} deep before the backer, and what stands out can be knocked, \
         and lies against glass.",
        words::sentence(&words::pieces(&pieces)),
        if pieces.len() == 1 { "stands" } else { "stand" },
        long(Um(highest.0 - depth.0)),
        long(depth),
    );
    let deepen = Edit::Setup(setup::Edit::FrameDepth(Some(highest)));
    let mut ways: Vec<Way> = lower(work, depth, &pieces).into_iter().collect();
    ways.push(Way::by(format!("Take a frame that is {} deep", long(highest)), vec![deepen]));
    let key = "out_of_frame".into();
    Some(Finding { kind: Kind::OutOfFrame, grave: Grave::Doubt, spot: Spot::pieces(pieces), why, ways, key })
}

/// Heights kept within the frame from now on, where that leaves any and some piece can move.
fn lower(work: &Work, depth: Um, pieces: &[Number]) -> Option<Way> {
    let stock = &work.choices.stock;
    let within = Stock { highest: depth, ..stock.clone() };
    let leaves = stock.thicknesses.iter().any(|one| (stock.lowest..=depth).contains(one))
        && Trial::new(work).holds_on(&musts(work), within.clone());
    let moves = pieces.iter().any(|number| !settled(work, *number));
    let says = format!("Let no height be above {}, then work out the heights again", words::length(work, depth));
    let edit = Edit::Setup(setup::Edit::Stock(within));
    (leaves && moves && depth < stock.highest).then(|| Way::by(says, vec![edit]))
}

#[cfg(test)]
mod tests {
    use super::super::tests::job;
    use super::*;
    use crate::work::{By, Chosen};

    #[test]
    fn what_stands_out_of_the_frame_is_found_with_its_mends() {
        let (mut work, _) = job(3);
        for (number, um) in [(1, 20_000), (2, 30_000), (3, 33_000)] {
            work.pieces.get_mut(&Number(number)).unwrap().values.height = Some(Chosen { value: Um(um), by: By::Act });
        }
        assert_eq!(out_of_frame(&work), None, "no frame is given");
        work.choices.frame_depth = Some(Um(33_000));
        assert_eq!(out_of_frame(&work), None);
        work.choices.frame_depth = Some(Um(25_000));
        let found = out_of_frame(&work).unwrap();
        assert_eq!(found.spot.pieces, [Number(3), Number(2)]);
        assert!(found.why.contains("by 8 mm"), "{}", found.why);
        let [lower, deepen] = found.ways.as_slice() else { panic!("two ways: {:?}", found.ways) };
        let with = |way: &Way| {
            let mut work = work.clone();
            way.edits.iter().for_each(|edit| {
                crate::apply(&mut work, edit).unwrap();
            });
            work
        };
        assert_eq!(with(lower).choices.stock.highest, Um(25_000));
        assert_eq!(out_of_frame(&with(deepen)), None);
    }
}
