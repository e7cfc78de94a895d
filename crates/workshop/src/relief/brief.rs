//! What a change of heights is called in the history and on the undo button: of whom, and what is said.

use super::words::{self, length};
use crate::work::edit::relief::Edit;
use crate::work::{Depth, Named, RelationId, Says, Strength, Whom, Work};

/// A few words for an edit, on the job as it stands before.
pub fn brief(work: &Work, edit: &Edit) -> String {
    let name = |whom: &Whom| short(work, *whom);
    match edit {
        Edit::Relate { says, .. } => says_briefly(work, says, None),
        Edit::RelateBy { says, named, .. } => says_briefly(work, says, Some(*named)),
        Edit::KeepApart { one, other, named, .. } => {
            format!("keep {} and {} apart by {}", name(one), name(other), step(*named))
        }
        Edit::Restate { relation, says, strength } => restated(work, *relation, (says, *strength)),
        Edit::Unrelate(id) => match work.relations.get(id) {
            Some(relation) => format!("take back: {}", says_briefly(work, &relation.says, relation.named)),
            None => "take a relation back".into(),
        },
        Edit::Mark { whom, depth } => format!("mark {} {}", name(whom), deep(*depth)),
        Edit::Unmark(whom) => format!("take back the mark of {}", name(whom)),
        Edit::Height { whom, height } => format!("pin {} at {}", name(whom), length(work, *height)),
        Edit::Build { whom, thickness, raiser } => {
            let raiser = if raiser.0 == 0 { String::new() } else { format!(" on {}", length(work, *raiser)) };
            format!("fix {} as {} thick{raiser}", name(whom), length(work, *thickness))
        }
        Edit::Unpin(whom) => format!("leave the height of {} open", name(whom)),
    }
}

fn short(work: &Work, whom: Whom) -> String {
    match whom {
        Whom::Piece(number) => number.to_string(),
        Whom::Frame => "the frame's front".into(),
        _ => words::whom(work, whom),
    }
}

fn step(named: Named) -> &'static str {
    match named {
        Named::Hair => "a hair",
        Named::Step => "a step",
        Named::Lot => "a lot",
    }
}

/// A depth in the maker's word.
pub fn deep(depth: Depth) -> &'static str {
    match depth {
        Depth::Far => "far",
        Depth::Middle => "middle",
        Depth::Near => "near",
    }
}

fn restated(work: &Work, id: RelationId, (says, strength): (&Says, Strength)) -> String {
    let before = work.relations.get(&id);
    let named = before.filter(|relation| relation.says == *says).and_then(|relation| relation.named);
    let same = before.is_some_and(|relation| relation.says == *says && relation.strength != strength);
    let what = match (same, strength) {
        (false, _) => "say instead".into(),
        (true, Strength::Must) => "now a must".into(),
        (true, Strength::Wish(weight)) => format!("now a wish of weight {weight}"),
    };
    format!("{what}: {}", says_briefly(work, says, named))
}

fn says_briefly(work: &Work, says: &Says, named: Option<Named>) -> String {
    let name = |whom: &Whom| short(work, *whom);
    let by = |by: &measure::length::Um| named.map_or_else(|| length(work, *by), |named| step(named).into());
    let pair = |above: &Whom, below: &Whom, far: String| match above {
        Whom::Frame => format!("{} below {} by {far}", name(below), name(above)),
        _ => format!("{} above {} by {far}", name(above), name(below)),
    };
    match says {
        Says::AtLeast { above, below, by: measure::length::Um(0) } if named.is_none() => match above {
            Whom::Frame => format!("{} no higher than {}", name(below), name(above)),
            _ => format!("{} no lower than {}", name(above), name(below)),
        },
        Says::AtLeast { above, below, by: far } => pair(above, below, format!("at least {}", by(far))),
        Says::About { above, below, by: far } => pair(above, below, format!("about {}", by(far))),
        Says::Level(a, b) => format!("{} level with {}", name(a), name(b)),
        Says::SameAs(a, b) => format!("{} built the same as {}", name(a), name(b)),
        Says::At(whom, at) => format!("{} at {}", name(whom), length(work, *at)),
        Says::Within(whom, least, most) => {
            format!("{} between {} and {}", name(whom), length(work, *least), length(work, *most))
        }
        Says::Climbs { row, from, to } => {
            let ends = [row.first(), row.last()].into_iter().flatten().map(name).collect::<Vec<_>>().join("…");
            format!("climb {ends} from {} to {}", length(work, *from), length(work, *to))
        }
    }
}

#[cfg(test)]
mod tests {
    use measure::length::Um;

    use super::super::tests::job;
    use super::*;
    use crate::work::{Number, Strength};

    #[test]
    fn a_long_row_is_said_by_its_ends() {
        let (work, _) = job(12);
        let said = |last| {
            let row = (1..=last).map(|number| Whom::Piece(Number(number))).collect();
            words::says(&work, &Says::Climbs { row, from: Um(12_000), to: Um(36_000) })
        };
        assert_eq!(said(3), "pieces 1, 2 and 3 climbing from 12 mm to 36 mm");
        assert_eq!(said(12), "pieces 1, 2, 3, 4 … 12, 12 in a row, climbing from 12 mm to 36 mm");
    }

    #[test]
    fn every_relation_is_called_by_what_it_says() {
        let (work, _) = job(4);
        let piece = |number| Whom::Piece(Number(number));
        let says = Says::AtLeast { above: piece(2), below: piece(1), by: Um(3000) };
        let brief = |edit: Edit| brief(&work, &edit);
        let must = Strength::Must;
        assert_eq!(brief(Edit::Relate { says: says.clone(), strength: must }), "2 above 1 by at least 3 mm");
        assert_eq!(brief(Edit::RelateBy { says, strength: must, named: Named::Lot }), "2 above 1 by at least a lot");
        let climb = Says::Climbs { row: vec![piece(1), piece(2), piece(4)], from: Um(12_000), to: Um(36_000) };
        assert_eq!(brief(Edit::Relate { says: climb, strength: must }), "climb 1…4 from 12 mm to 36 mm");
        let under = Says::About { above: Whom::Frame, below: piece(3), by: Um(2000) };
        assert!(brief(Edit::Relate { says: under, strength: must }).starts_with("3 below the frame's front"));
        assert_eq!(brief(Edit::Mark { whom: piece(1), depth: Depth::Near }), "mark 1 near");
    }
}
