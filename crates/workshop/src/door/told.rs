//! What a change did to what the maker had said, in words: nothing of it goes or changes untold.

use crate::relief;
use crate::work::{Changes, Number, RelationId, State, Work};

/// More than so many are counted, not told one by one.
const TOLD_MOST: usize = 12;

/// Tells of every relation among the changes, and of depth marks that went.
pub(super) fn told(before: &Work, after: &Work, changes: &Changes) -> Vec<String> {
    let mut all: Vec<String> = changes.relations.iter().filter_map(|id| of_relation(before, after, *id)).collect();
    let marks = before.marks.keys().filter(|whom| !after.marks.contains_key(whom));
    if changes.settings {
        all.extend(marks.map(|whom| format!("Gone: the depth mark of {}.", relief::named(before, *whom))));
    }
    let more = all.len().saturating_sub(TOLD_MOST);
    if more > 1 {
        all.truncate(TOLD_MOST);
        all.push(format!("And {more} more of what was said."));
    }
    all.extend(off_boards(before, after, changes));
    all
}

/// The pieces that lay on a board before and lie nowhere now.
fn off_boards(before: &Work, after: &Work, changes: &Changes) -> Option<String> {
    let planned = |number: &Number| after.pieces.get(number).is_some_and(|piece| piece.state == State::Planned);
    let lay = |number: &&Number| before.layout.contains_key(number) && !after.layout.contains_key(number);
    let off: Vec<&Number> = changes.pieces.iter().filter(lay).filter(|number| planned(number)).collect();
    let named = off.iter().take(TOLD_MOST).map(|number| number.to_string()).collect::<Vec<_>>().join(", ");
    let more = off.len().saturating_sub(TOLD_MOST);
    let named = if more > 0 { format!("{named} and {more} more") } else { named };
    match off.len() {
        0 => None,
        1 => Some(format!("Piece {named} lost its place on a board: the next layout seeks it another.")),
        _ => Some(format!("Pieces {named} lost their places on boards: the next layout seeks them others.")),
    }
}

fn of_relation(before: &Work, after: &Work, id: RelationId) -> Option<String> {
    let words = |work: &Work| work.relations.get(&id).map(|one| relief::in_words(work, &one.says, one.strength));
    match (words(before), words(after)) {
        (None, Some(now)) => Some(format!("Relation {id}: {now}.")),
        (Some(was), None) => Some(format!("Gone: relation {id}, {was}.")),
        (Some(was), Some(now)) if was != now => Some(format!("Relation {id} is now: {now}. It was: {was}.")),
        (Some(was), Some(_)) if before.relations[&id] != after.relations[&id] => Some(format!("Relation {id}: {was}.")),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use measure::length::Um;

    use crate::apply;
    use crate::work::edit::{part, relief};
    use crate::work::{
        Area, AreaId, Becomes, Depth, Edit, Number, PartId, Piece, PieceValues, Says, State, Strength, Whom, Work,
    };

    fn two_pieces() -> Work {
        let mut work = Work::default();
        for id in 1..=2 {
            let area = Area { becomes: Becomes::Piece(Number(id)), at: measure::plane::Point::new(0, 0) };
            work.pattern.areas.insert(AreaId(id), area);
            let piece = Piece { area: AreaId(id), values: PieceValues::default(), state: State::Planned };
            work.pieces.insert(Number(id), piece);
        }
        work.next.number = 3;
        work
    }

    #[test]
    fn what_is_said_changed_and_lost_is_told() {
        let mut work = two_pieces();
        let name = part::Edit::Name { name: "wing".into(), pieces: [Number(1)].into(), within: None };
        apply(&mut work, &Edit::Part(name)).unwrap();
        let (wing, two) = (Whom::Part(PartId(1)), Whom::Piece(Number(2)));
        let says = |by| Says::AtLeast { above: wing, below: two, by: Um(by) };
        let (must, wish) = (Strength::Must, Strength::Wish(10));
        let mut told = |edit| apply(&mut work, &edit).unwrap().told;
        let relate = Edit::Relief(relief::Edit::Relate { says: says(3000), strength: must });
        assert_eq!(told(relate), ["Relation 1: “wing” at least 3 mm above piece 2."]);
        let relation = crate::work::RelationId(1);
        let restate = Edit::Relief(relief::Edit::Restate { relation, says: says(2000), strength: wish });
        assert_eq!(told(restate).len(), 1);
        told(Edit::Relief(relief::Edit::Mark { whom: wing, depth: Depth::Near }));
        assert_eq!(
            told(Edit::Part(part::Edit::Disband(PartId(1)))),
            [
                "Gone: relation 1, “wing” at least 2 mm above piece 2 (a wish of weight 10).",
                "Gone: the depth mark of “wing”."
            ]
        );
    }
}
