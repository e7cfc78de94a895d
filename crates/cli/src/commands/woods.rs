//! `spelk woods`: woods chosen, woods that could be taken, backers, and what to test on offcuts.

use std::collections::BTreeSet;

use job::Job;
use serde_json::json;
use workshop::Derived;
use workshop::wood::{self, Alternative, Behind, Offcuts};
use workshop::work::edit::Edit;
use workshop::work::{Ask, Becomes, Number, PartId, Refusal, Way, Whom, Work};

use crate::args::{First, Woods};
use crate::commands::{derive, read};
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::progress::watched;
use crate::words::{pieces, say_job};

pub fn run(typed: &Woods) -> Result<Outcome, Failure> {
    if typed.choose {
        return choose(typed);
    }
    let (job, mut derived) = read(&typed.job)?;
    match whom(typed) {
        Some(whom) => offer(typed, whom, job.work(), &mut derived),
        None => {
            overview(typed, job.work(), &mut derived);
            Ok(Outcome::Done)
        }
    }
}

/// Chooses woods and grain for all that acts may decide.
fn choose(typed: &Woods) -> Result<Outcome, Failure> {
    let mut job = Job::open(&typed.job)?;
    let mut derived = derive(&job)?;
    let proposal = watched(|watch| workshop::propose(job.work(), &mut derived, &Ask::ChooseWoods, watch))?;
    let changes = job.apply(&[Edit::Take(Box::new(proposal))], "choose woods")?;
    if typed.json {
        say!("{}", json!(changes));
        return Ok(Outcome::Done);
    }
    say!("{} changed.", pieces(changes.pieces.len()));
    say_job(job.work(), &mut derived);
    Ok(Outcome::Done)
}

fn whom(typed: &Woods) -> Option<Whom> {
    let piece = typed.piece.map(|n| Whom::Piece(Number(n)));
    piece.or_else(|| typed.part.map(|n| Whom::Part(PartId(n))))
}

fn offer(typed: &Woods, whom: Whom, work: &Work, derived: &mut Derived) -> Result<Outcome, Failure> {
    let pieces: BTreeSet<Number> = wood::whose(work, whom).into_iter().collect();
    if pieces.is_empty() {
        return Err(Refusal::new("No such piece, or no pieces in that part.")
            .way(Way::advice("Name a piece by its number on the pattern, a part by its id in spelk tell --json."))
            .into());
    }
    let first = match typed.first {
        None => wood::First::Even,
        Some(First::Lightness) => wood::First::Lightness,
        Some(First::Hue) => wood::First::Hue,
    };
    let (outlines, colours) = (derived.outlines(work), derived.colours(work));
    let offered = wood::alternatives(work, (&outlines, &colours), &pieces, first);
    if typed.json {
        say!("{}", json!(offered));
    } else {
        offered.iter().for_each(say_alternative);
    }
    Ok(Outcome::Done)
}

fn say_alternative(one: &Alternative) {
    let measured = if one.measured { "measured" } else { "not measured" };
    say!("{} ({}): ΔE {:.1} to the picture, colour {measured}: {}", one.name, one.wood, one.difference, one.source);
    if let Some(on_hand) = one.on_hand_mm2 {
        say!("  on hand {:.0} cm², {:.0} cm² asked", f64::from(on_hand) / 100.0, one.takes_mm2 / 100.0);
    }
    for beside in &one.neighbours {
        say!("  beside piece {} in {}: ΔE {:.1}, {}", beside.piece, beside.wood, beside.contrast, beside.verdict);
    }
    for caution in &one.cautions {
        say!("  {caution}");
    }
}

fn overview(typed: &Woods, work: &Work, derived: &mut Derived) {
    let (outlines, colours) = (derived.outlines(work), derived.colours(work));
    let tests = wood::offcuts(work, &outlines, &colours);
    let [shadow, ground] = [Becomes::Shadow, Becomes::Ground].map(|kind| wood::backers(work, &outlines, kind));
    if typed.json {
        say!("{}", json!({"tests": tests, "backers": shadow, "grounds": ground}));
        return;
    }
    say!("Backers, against every piece that borders an opening:");
    shadow.iter().for_each(say_behind);
    say!("Boards behind the ground, against every piece that borders it:");
    ground.iter().for_each(say_behind);
    say!("To be told on offcuts, the longest border first:");
    tests.iter().for_each(|test| say_test(work, test));
}

fn say_behind(behind: &Behind) {
    let nearest = behind
        .nearest
        .map_or(String::new(), |(piece, contrast)| format!(", nearest to piece {piece} (ΔE {contrast:.1})"));
    say!("  {}: apart along {:.0} %{nearest}", behind.name, 100.0 * behind.told_apart);
}

fn say_test(work: &Work, test: &Offcuts) {
    let [one, two] = &test.woods;
    let name = |id| work.woods.get(id).map_or("", |wood| wood.name.as_str());
    say!(
        "  {} beside {}, {} coats of {}: {:.0} mm of border hang on it (ΔE {:.1} by the table)",
        name(one),
        name(two),
        test.coats,
        test.finish,
        test.border_mm,
        test.difference
    );
}
