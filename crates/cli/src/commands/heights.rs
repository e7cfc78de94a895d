//! `spelk heights`: works out heights, or mends them after a change, and tells what moved and what was given up, for few
//! planer settings too.

use std::collections::BTreeMap;

use job::Job;
use measure::length::Um;
use serde_json::{Value, json};
use workshop::relief::{self, GivenUp, Price, Uneven};
use workshop::work::edit::{Edit, setup};
use workshop::work::{Ask, Number, Stock, Work};

use crate::args::{Heights, lengths};
use crate::commands::derive;
use crate::commands::start::{ascending, two};
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;
use crate::words::{pieces, show};

/// Pieces by their height before and now.
type Moved = BTreeMap<Number, (Option<Um>, Option<Um>)>;

pub fn run(typed: &Heights) -> Result<Outcome, Failure> {
    let mut job = Job::open(&typed.job)?;
    if let Some(edit) = other_stock(typed, &job.work().choices.stock)? {
        let label = workshop::label(job.work(), &edit);
        job.apply(std::slice::from_ref(&edit), &label)?;
    }
    let mut derived = derive(&job)?;
    let before = heights(job.work());
    let (ask, label) =
        if typed.mend { (Ask::MendHeights, "mend heights") } else { (Ask::WorkOutHeights, "work out heights") };
    let proposal = watched(|watch| workshop::propose(job.work(), &mut derived, &ask, watch))?;
    job.apply(&[Edit::Take(Box::new(proposal))], label)?;
    let work = job.work();
    let (moved, missed) = (moved(&before, work), relief::given_up(work));
    let price = if typed.mend {
        None
    } else {
        let outlines = derived.outlines(work);
        watched(|watch| relief::price_of_settings(work, &outlines, watch))?
    };
    if typed.json {
        say!("{}", as_json(work, &moved, (&missed, price.as_ref())));
    } else {
        in_words(work, &moved, &missed);
        if work.marks.is_empty() && !typed.mend {
            say!(
                "Nothing is marked near or far: what no relation says is guessed from the borders. Mark what is nearest and \
                 what is farthest, then work the heights out again."
            );
        }
        settings_in_words(work, price.as_ref());
    }
    Ok(Outcome::Done)
}

/// The stock with what was typed added to it, if anything was.
fn other_stock(typed: &Heights, stock: &Stock) -> Result<Option<Edit>, Failure> {
    let mut other = stock.clone();
    if let Some(range) = &typed.range {
        (other.lowest, other.highest) = two(range)?;
    }
    for (typed, of) in [(&typed.add_thickness, &mut other.thicknesses), (&typed.add_raiser, &mut other.raisers)] {
        if let Some(typed) = typed {
            *of = ascending([std::mem::take(of), lengths(typed)?].concat());
        }
    }
    Ok((other != *stock).then_some(Edit::Setup(setup::Edit::Stock(other))))
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
    say!("{} of {} moved.", moved.len(), pieces(work.pieces.len()));
    for (number, (was, now)) in moved {
        say!("  piece {number}: {}, before {}", long(now), long(was));
    }
    for wish in missed {
        let pieces: Vec<String> = wish.pieces.iter().map(Number::to_string).collect();
        let at = format!("at piece{} {}", if pieces.len() == 1 { "" } else { "s" }, pieces.join(" and "));
        say!("Missed by {} {at}: {}", show(wish.by, work.choices.unit), wish.said);
    }
    for worst in relief::uneven(work) {
        say!(
            "Not in even steps: {}; piece {} stands at {}, evenly it would be {}.",
            worst.said,
            worst.piece,
            show(worst.at, work.choices.unit),
            show(worst.even, work.choices.unit)
        );
    }
    let open = work.pieces.values().filter(|piece| piece.values.height.is_none()).count();
    if open > 0 {
        say!("Undecided as before: {}.", pieces(open));
    }
}

fn settings_in_words(work: &Work, price: Option<&Price>) {
    let unit = work.choices.unit;
    let settings = relief::settings(work);
    let long: Vec<String> = settings.keys().map(|thickness| show(*thickness, unit)).collect();
    let wished = work.choices.planer_settings.map(|most| format!(", at most {most} wished")).unwrap_or_default();
    say!("Planer settings: {}{wished}: {}.", settings.len(), long.join(", "));
    if let Some(price) = price {
        say!("{}", relief::price_in_words(work, price));
    }
}

fn as_json(work: &Work, moved: &Moved, (missed, price): (&[GivenUp], Option<&Price>)) -> Value {
    let mm = |height: &Option<Um>| height.map(Um::to_mm);
    let of_piece = |(number, (was, now)): (&Number, &(Option<Um>, Option<Um>))| json!({"piece": number, "from_mm": mm(was), "to_mm": mm(now)});
    let of_wish = |wish: &GivenUp| {
        json!({"relation": wish.relation, "says": work.relations[&wish.relation].says, "by_mm": wish.by.to_mm(),
            "pieces": wish.pieces})
    };
    let of_setting =
        |(thickness, pieces): (&Um, &Vec<Number>)| json!({"thickness_mm": thickness.to_mm(), "pieces": pieces});
    let of_price = |price: &Price| {
        let otherwise: Vec<Value> =
            price.otherwise.iter().map(|(number, to)| json!({"piece": number, "to_mm": to.to_mm()})).collect();
        let [with, without] = price.missed;
        json!({"settings_without": price.settings_without, "otherwise": otherwise, "missed": with, "missed_without": without})
    };
    let of_climb = |worst: Uneven| json!({"relation": worst.relation, "piece": worst.piece, "at_mm": worst.at.to_mm(), "even_mm": worst.even.to_mm()});
    json!({
        "uneven": relief::uneven(work).into_iter().map(of_climb).collect::<Vec<_>>(),
        "moved": moved.iter().map(of_piece).collect::<Vec<_>>(),
        "missed": missed.iter().map(of_wish).collect::<Vec<_>>(),
        "settings": relief::settings(work).iter().map(of_setting).collect::<Vec<_>>(),
        "settings_price": price.map(of_price),
    })
}
