//! `spelk heights`: works out heights, or mends them after a change, and tells what moved and what was given up.

use std::collections::BTreeMap;

use job::Job;
use measure::length::Um;
use serde_json::{Value, json};
use workshop::relief::{self, GivenUp};
use workshop::work::edit::Edit;
use workshop::work::{Ask, Number, Work};

use crate::args::Heights;
use crate::commands::derive;
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;
use crate::words::show;

/// Pieces by their height before and now.
type Moved = BTreeMap<Number, (Option<Um>, Option<Um>)>;

pub fn run(typed: &Heights) -> Result<Outcome, Failure> {
    let mut job = Job::open(&typed.job)?;
    let mut derived = derive(&job)?;
    let before = heights(job.work());
    let (ask, label) =
        if typed.mend { (Ask::MendHeights, "mend heights") } else { (Ask::WorkOutHeights, "work out heights") };
    let proposal = watched(|watch| workshop::propose(job.work(), &mut derived, &ask, watch))?;
    job.apply(&[Edit::Take(Box::new(proposal))], label)?;
    let work = job.work();
    let (moved, missed) = (moved(&before, work), relief::given_up(work));
    if typed.json {
        say!("{}", as_json(work, &moved, &missed));
    } else {
        in_words(work, &moved, &missed);
    }
    Ok(Outcome::Done)
}

fn heights(work: &Work) -> BTreeMap<Number, Option<Um>> {
    work.pieces.iter().map(|(number, piece)| (*number, piece.values.height.map(|height| height.value))).collect()
}

fn moved(before: &BTreeMap<Number, Option<Um>>, work: &Work) -> Moved {
    let both = heights(work).into_iter().map(|(number, now)| (number, (before.get(&number).copied().flatten(), now)));
    both.filter(|(_, (was, now))| was != now).collect()
}

fn in_words(work: &Work, moved: &Moved, missed: &[GivenUp]) {
    let long = |height: &Option<Um>| height.map_or("undecided".into(), |height| show(height, work.choices.unit));
    say!("{} of {} pieces moved.", moved.len(), work.pieces.len());
    for (number, (was, now)) in moved {
        say!("  piece {number}: {}, before {}", long(now), long(was));
    }
    for wish in missed {
        say!("Missed by {}: {}", show(wish.by, work.choices.unit), wish.said);
    }
    let open = work.pieces.values().filter(|piece| piece.values.height.is_none()).count();
    if open > 0 {
        say!("Undecided as before: {open} pieces.");
    }
}

fn as_json(work: &Work, moved: &Moved, missed: &[GivenUp]) -> Value {
    let mm = |height: &Option<Um>| height.map(Um::to_mm);
    let of_piece = |(number, (was, now)): (&Number, &(Option<Um>, Option<Um>))| json!({"piece": number, "from_mm": mm(was), "to_mm": mm(now)});
    let of_wish = |wish: &GivenUp| {
        json!({"relation": wish.relation, "says": work.relations[&wish.relation].says, "by_mm": wish.by.to_mm(),
            "pieces": wish.pieces})
    };
    json!({
        "moved": moved.iter().map(of_piece).collect::<Vec<_>>(),
        "missed": missed.iter().map(of_wish).collect::<Vec<_>>(),
    })
}
