//! Whether a mend keeps what the maker has said: tried on the musts before it is offered.

use std::collections::BTreeMap;

use measure::length::Um;

use super::choices::{Build, stock_of};
use super::findings::{broken, height};
use super::trial::{musts, stuck};
use crate::wood::whose;
use crate::work::{Chosen, Number, RelationId, Says, Work};

/// A job with nothing in it but its heights and musts, on which moves are tried.
pub(super) struct Keeper {
    work: Work,
    /// The musts that speak of each piece, and by how much each is missed as it stands.
    musts: BTreeMap<Number, Vec<(RelationId, i32)>>,
}

impl Keeper {
    pub(super) fn new(work: &Work) -> Keeper {
        let said = musts(work);
        let mut of: BTreeMap<Number, Vec<(RelationId, i32)>> = BTreeMap::new();
        for (id, relation) in &said {
            let missed = missed(work, &relation.says);
            for number in relation.says.whom().into_iter().flat_map(|whom| whose(work, whom)) {
                of.entry(number).or_default().push((*id, missed));
            }
        }
        let light = Work {
            pieces: work.pieces.clone(),
            parts: work.parts.clone(),
            boards: work.boards.clone(),
            choices: work.choices.clone(),
            relations: said,
            ..Work::default()
        };
        Keeper { work: light, musts: of }
    }

    /// Whether a piece fixed at this height leaves each must as near to met as it is, and possible.
    pub(super) fn keeps(&mut self, number: Number, at: i32) -> bool {
        let Some(said) = self.musts.get(&number).cloned() else { return true };
        let build =
            super::choices::builds(&stock_of(&self.work, number), None, None).into_iter().find(|b| b.height == at);
        let values = self.work.pieces[&number].values.clone();
        self.fix(number, at, build);
        let kept = said.iter().all(|(id, before)| {
            let says = &self.work.relations[id].says;
            missed(&self.work, says) <= *before && (decided(&self.work, says) || stuck(&self.work).is_none())
        });
        if let Some(piece) = self.work.pieces.get_mut(&number) {
            piece.values = values;
        }
        kept
    }

    fn fix(&mut self, number: Number, at: i32, build: Option<Build>) {
        let Some(piece) = self.work.pieces.get_mut(&number) else { return };
        piece.values.height = Some(Chosen::hand(Um(at)));
        piece.values.thickness = build.map(|build| Chosen::hand(build.thickness()));
        piece.values.raiser = build.map(|build| Chosen::hand(Um(build.raiser)));
    }
}

fn missed(work: &Work, says: &Says) -> i32 {
    broken(work, says).map_or(0, |(by, _)| by)
}

/// Whether every height that it speaks of is decided.
fn decided(work: &Work, says: &Says) -> bool {
    says.whom().into_iter().flat_map(|whom| whose(work, whom)).all(|number| height(work, number).is_some())
}
