//! `spelk saw`: how the pieces are sawn.

use std::collections::BTreeMap;

use job::Job;
use measure::length::Um;
use measure::plane::Point;
use serde_json::{Value, json};
use workshop::saw::{Joint, Sawing, TOLERATED, blades_used, hours, joints, out_of_square, plan};
use workshop::stock::cut_rings;
use workshop::work::edit::{Edit, saw};
use workshop::work::{Meets, Number, Saw, Times, Unit, Work, runs};

use crate::args;
use crate::commands::read;
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::words::{self, fine, show};

pub fn run(typed: &args::Saw) -> Result<Outcome, Failure> {
    let edits = edits(typed);
    if !edits.is_empty() {
        let mut job = Job::open(&typed.job)?;
        let label = workshop::label_all(job.work(), &edits);
        job.apply(&edits, &label)?;
    }
    let (job, mut derived) = read(&typed.job)?;
    let work = job.work();
    let outlines = derived.outlines(work);
    let plan = plan(work, &outlines);
    let joints = joints(work, &outlines, &plan);
    if typed.json {
        let rings = cut_rings(work, &outlines);
        let pieces: Value = plan.iter().map(|(number, sawing)| told(*number, sawing, rings.get(number))).collect();
        let hours = hours(work, &plan, &joints);
        let minutes = json!({
            "sawing": hours.sawing, "starts": hours.starts, "drilling": hours.drilling, "handling": hours.handling,
            "fitting": hours.fitting, "gluing": hours.gluing,
        });
        let used: Vec<Value> =
            blades_used(work, &plan).iter().map(|(blade, count)| json!({"blade": blade, "count": count})).collect();
        let joints: Vec<Value> = joints.iter().map(told_joint).collect();
        say!("{}", json!({"pieces": pieces, "joints": joints, "minutes": minutes, "blades_used": used}));
    } else {
        say_plan(work, &plan, &joints);
    }
    Ok(Outcome::Done)
}

fn edits(typed: &args::Saw) -> Vec<Edit> {
    let cut_to = typed.cut_to.iter().map(|(piece, to)| saw::Edit::CutTo { piece: Number(*piece), to: Number(*to) });
    let let_in =
        typed.let_in.iter().map(|(piece, into)| saw::Edit::LetIn { piece: Number(*piece), into: Number(*into) });
    let on_line =
        typed.on_line.iter().map(|(piece, with)| saw::Edit::OnLine { piece: Number(*piece), with: Number(*with) });
    on_line.chain(cut_to).chain(let_in).map(Edit::Saw).collect()
}

fn told_joint(joint: &Joint) -> Value {
    json!({
        "border": joint.border,
        "first": joint.first,
        "later": joint.later,
        "meets": joint.meets,
        "length_mm": joint.length.to_mm(),
        "spare_mm": joint.spare.to_mm(),
        "gap_mm": joint.gap.to_mm(),
        "opens_mm_per_degree": joint.opens.map(|opens| opens.to_mm()),
    })
}

fn told(number: Number, sawing: &Sawing, ring: Option<&Vec<Point>>) -> Value {
    json!({
        "number": number,
        "blade": sawing.blade.number,
        "why": sawing.why,
        "tightest_bend_mm": sawing.bend.map(|bend| bend.to_mm()),
        "line_mm": sawing.line.to_mm(),
        "holes": sawing.holes,
        "hole_mm": sawing.blade.hole().to_mm(),
        "minutes": sawing.minutes,
        "cut_outline_mm": ring.map(|ring| ring.iter().map(|point| point.to_mm()).collect::<Vec<_>>()),
    })
}

fn say_plan(work: &Work, plan: &BTreeMap<Number, Sawing>, joints: &[Joint]) {
    let unit = work.choices.unit;
    let mut by_blade: BTreeMap<(i32, &str), Vec<(Number, &Sawing)>> = BTreeMap::new();
    for (number, sawing) in plan {
        by_blade.entry((sawing.blade.width.0, &sawing.blade.number)).or_default().push((*number, sawing));
    }
    for ((_, blade), pieces) in &by_blade {
        let size = &pieces[0].1.blade;
        let (width, kerf) = (fine(size.width, unit), fine(size.thickness, unit));
        say!("Blade No. {blade} ({width} wide, kerf {kerf}; {}): {}", size.source, words::pieces(pieces.len()));
        say!("    {}", runs(pieces.iter().map(|(number, _)| *number)));
        let holes: u32 = pieces.iter().map(|(_, sawing)| sawing.holes).sum();
        if holes > 0 {
            let word = if holes == 1 { "hole" } else { "holes" };
            say!("    {holes} {word} to drill, {} or a little more", fine(size.hole(), unit));
        }
    }
    say_minutes(plan, work, joints);
    say_joints(work, joints);
    say_square(work);
    say!("Numbers of blades are no standard: a blade that you measured goes before the table (edit: setup, saw).");
    say!(
        "Guards on, eyes and lungs protected, fingers beside the line and never before the blade; the saw's own manual goes before this."
    );
}

fn say_minutes(plan: &BTreeMap<Number, Sawing>, work: &Work, joints: &[Joint]) {
    if plan.is_empty() {
        say!("There is no piece to saw yet: trace a picture or draw one first.");
        return;
    }
    let line: f64 = plan.values().map(|sawing| sawing.line.to_mm()).sum();
    let line = match work.choices.unit {
        Unit::Mm => format!("{:.1} m", line / 1000.0),
        Unit::Inch => format!("{:.0} ft", line / 304.8),
    };
    let known = plan.values().filter(|sawing| sawing.minutes.is_some()).count();
    let saw = &work.choices.saw;
    let said = |own: bool, what: &str| {
        if own { "your own".to_owned() } else { format!("from memory; your own by edit: setup, saw, {what}") }
    };
    let hours = hours(work, plan, joints);
    say!(
        "Line to saw: {line}. At the line about {:.1} hours for {known} of {} (rates {}).",
        hours.sawing / 60.0,
        words::pieces(plan.len()),
        said(!saw.rates.is_empty(), "rates")
    );
    if known < plan.len() {
        say!(
            "{} no thickness yet, and minutes go by it: spelk heights works the thicknesses out.",
            if plan.len() - known == 1 { "1 piece has".into() } else { format!("{} pieces have", plan.len() - known) }
        );
    }
    say!(
        "Beside it, in minutes: starts {:.0}, drilling {:.0}, handling {:.0}, fitting {:.0}, gluing {:.0} (times {}). In all \
         about {:.1} hours, shaping and finishing not counted.",
        hours.starts,
        hours.drilling,
        hours.handling,
        hours.fitting,
        hours.gluing,
        said(saw.times != Times::default(), "times"),
        hours.all() / 60.0
    );
    let used: Vec<String> =
        blades_used(work, plan).iter().map(|(number, count)| format!("{count} of No. {number}")).collect();
    say!(
        "Blades used up: about {} (their life {}).",
        used.join(", "),
        said(saw.blade_life != Saw::default().blade_life, "blade_life")
    );
}

/// What is left between pieces as they are planned to be sawn.
fn say_joints(work: &Work, joints: &[Joint]) {
    let unit = work.choices.unit;
    let on_line = || joints.iter().filter(|joint| joint.meets.is_none()).map(|joint| joint.gap);
    if let (Some(least), Some(most)) = (on_line().min(), on_line().max()) {
        let gaps =
            if least == most { fine(least, unit) } else { format!("{} to {}", fine(least, unit), fine(most, unit)) };
        let tolerated = fine(Um(TOLERATED as i32), unit);
        say!(
            "{} borders are sawn on their shared line: {gaps} is left there, a kerf and the border's own gap; {tolerated} \
             is tolerated. Closer: spelk saw --cut-to, --let-in.",
            on_line().count()
        );
    }
    for joint in joints {
        let (first, later, spare) = (joint.first, joint.later, show(joint.spare, unit));
        let (length, spare) = (show(joint.length, unit), format!("{spare} of spare wood (from memory)"));
        match joint.meets {
            Some(Meets::CutTo) => say!(
                "Piece {later} is sawn with {spare} along {length} and cut to the finished edge of piece {first}: traced off \
                 it, sawn beside the line and sanded to fit; next to no gap."
            ),
            Some(Meets::LetsIn) => say!(
                "Piece {first} is let into piece {later}: the opening is sawn {spare} too small and opened out around the \
                 finished piece; next to no gap."
            ),
            None => {}
        }
    }
}

/// What a table out of square does to joints in the thinnest and the thickest stock of the plan.
fn say_square(work: &Work) {
    let all = || work.pieces.values().filter_map(|piece| piece.values.thickness.map(|chosen| chosen.value));
    let opens = |thickness: Um| {
        let gap = Um(out_of_square(thickness, 1.0) as i32);
        format!("{} in stock of {}", fine(gap, work.choices.unit), show(thickness, work.choices.unit))
    };
    if let (Some(thin), Some(thick)) = (all().min(), all().max()) {
        let thinner = if thin < thick { format!("{} and ", opens(thin)) } else { String::new() };
        say!(
            "A table 1° out of square opens joints at the far face by {thinner}{}: check it with a square.",
            opens(thick)
        );
    }
}
