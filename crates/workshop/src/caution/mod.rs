//! What can hurt, and what the law restricts, with from whom we know.
//!
//! A list is never complete: an empty cell of the table is missing data, not a clean bill, and every line here defers to
//! the label of the product, to local rules and to those who are licensed to advise.

use std::collections::BTreeMap;

use crate::wood::{in_use, name};
use crate::work::{Finding, Grave, Kind, Number, Sourced, Spot, Way, Wood, WoodId, Work};

/// Hazards and trade protection of the woods in use.
pub fn findings(work: &Work) -> Vec<Finding> {
    let mut used = in_use(work);
    if used.is_empty() {
        return Vec::new();
    }
    // The backer is sawn too, and its wood may be in no piece.
    used.entry(&work.choices.backer).or_default();
    let mut found = vec![dust(&used)];
    for (id, pieces) in used {
        let Some(wood) = work.woods.get(id) else { continue };
        found.extend(wood.hazard.as_ref().map(|hazard| hazard_note(work, wood, hazard, &pieces)));
        found.extend(wood.protected.as_ref().map(|protected| protected_note(work, wood, protected, &pieces)));
    }
    found
}

/// Wood dust in general, once a job.
fn dust(used: &BTreeMap<&WoodId, Vec<Number>>) -> Finding {
    Finding {
        kind: Kind::Hazard,
        grave: Grave::Note,
        spot: Spot { woods: used.keys().map(|id| (*id).clone()).collect(), ..Spot::default() },
        why: "The dust of every wood can harm: it is carcinogenic to humans (IARC Monographs 62, 1995, and 100C, 2012), and \
              sanding makes the finest. NIOSH recommends no more than 1 mg/m³ in the air; local limits differ and bind."
            .into(),
        ways: vec![
            Way::advice("Take the dust away at the saw and the sander, and wear a dust mask fit for fine dust and eye protection."),
            Way::advice("Hold small pieces in a jig or on a stick while sanding, and never with bare fingers at the drum."),
            Way::advice("Follow the labels of finishes and glues and the rules of your place; ask a doctor about any reaction."),
        ],
        key: "hazard/dust".into(),
    }
}

fn hazard_note(work: &Work, wood: &Wood, hazard: &Sourced<String>, pieces: &[Number]) -> Finding {
    Finding {
        kind: Kind::Hazard,
        grave: Grave::Note,
        spot: place(wood, pieces),
        why: format!("{}: {} (source: {}).", name(work, &wood.id), hazard.value, hazard.source),
        ways: vec![Way::advice(
            "Take more care with its dust and splinters than with others, and leave it if you have reacted to it or its kin; \
             what a doctor and the supplier's safety sheet say goes before this list.",
        )],
        key: format!("hazard/{}", wood.id),
    }
}

fn protected_note(work: &Work, wood: &Wood, protected: &Sourced<String>, pieces: &[Number]) -> Finding {
    Finding {
        kind: Kind::Protected,
        grave: Grave::Note,
        spot: place(wood, pieces),
        why: format!("{}: {} (source: {}).", name(work, &wood.id), protected.value, protected.source),
        ways: vec![Way::advice(
            "Keep the papers of the board, and before buying, selling or sending it abroad look at the current lists \
             (Species+) and the law of both places; they go before this table.",
        )],
        key: format!("protected/{}", wood.id),
    }
}

fn place(wood: &Wood, pieces: &[Number]) -> Spot {
    Spot { pieces: pieces.to_vec(), woods: vec![wood.id.clone()], ..Spot::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wood::table;
    use crate::work::{AreaId, Chosen, Piece, PieceValues, State};

    fn job(wood: Option<&str>) -> Work {
        let wood = wood.map(|id| Chosen::act(WoodId(id.into())));
        let values = PieceValues { wood, ..PieceValues::default() };
        let piece = Piece { area: AreaId(1), values, state: State::Planned };
        Work { woods: table(), pieces: BTreeMap::from([(Number(1), piece)]), ..Work::default() }
    }

    fn keys(work: &Work) -> Vec<String> {
        findings(work).into_iter().map(|finding| finding.key).collect()
    }

    #[test]
    fn each_wood_in_use_carries_its_cautions() {
        let expected =
            ["hazard/dust", "hazard/cocobolo", "protected/cocobolo", "hazard/walnut-black"].map(String::from);
        assert_eq!(keys(&job(Some("cocobolo"))), expected, "the backer is black walnut");
        assert!(findings(&job(Some("cocobolo"))).iter().all(|finding| !finding.ways.is_empty()));
    }

    #[test]
    fn nothing_is_said_of_a_job_without_woods() {
        assert!(keys(&job(None)).is_empty());
    }
}
