//! `spelk saw`: how the pieces are sawn.

use std::collections::BTreeMap;

use measure::length::Um;
use serde_json::{Value, json};
use workshop::saw::{Sawing, out_of_square, plan};
use workshop::work::{Number, Unit, Work};

use crate::args::Told;
use crate::commands::read;
use crate::failure::{Failure, Outcome};
use crate::out::say;
use crate::words::show;

pub fn run(typed: &Told) -> Result<Outcome, Failure> {
    let (job, mut derived) = read(&typed.job)?;
    let work = job.work();
    let outlines = derived.outlines(work);
    let plan = plan(work, &outlines);
    if typed.json {
        say!("{}", plan.iter().map(|(number, sawing)| told(*number, sawing)).collect::<Value>());
    } else {
        say_plan(work, &plan);
    }
    Ok(Outcome::Done)
}

fn told(number: Number, sawing: &Sawing) -> Value {
    json!({
        "number": number,
        "blade": sawing.blade.number,
        "why": sawing.why,
        "tightest_bend_mm": sawing.bend.map(|bend| bend.to_mm()),
        "line_mm": sawing.line.to_mm(),
        "holes": sawing.holes,
        "hole_mm": sawing.blade.hole().to_mm(),
        "minutes": sawing.minutes,
    })
}

fn say_plan(work: &Work, plan: &BTreeMap<Number, Sawing>) {
    let unit = work.choices.unit;
    let mut by_blade: BTreeMap<(i32, &str), Vec<(Number, &Sawing)>> = BTreeMap::new();
    for (number, sawing) in plan {
        by_blade.entry((sawing.blade.width.0, &sawing.blade.number)).or_default().push((*number, sawing));
    }
    for ((_, blade), pieces) in &by_blade {
        let size = &pieces[0].1.blade;
        let (width, kerf) = (show(size.width, unit), show(size.thickness, unit));
        say!("Blade No. {blade} ({width} wide, kerf {kerf}; {}): {} pieces", size.source, pieces.len());
        say!("    {}", runs(&pieces.iter().map(|(number, _)| number.0).collect::<Vec<_>>()));
        let holes: u32 = pieces.iter().map(|(_, sawing)| sawing.holes).sum();
        if holes > 0 {
            let word = if holes == 1 { "hole" } else { "holes" };
            say!("    {holes} {word} to drill, {} or a little more", show(size.hole(), unit));
        }
    }
    say_minutes(plan, work);
    say_square(work);
    say!("Numbers of blades are no standard: a blade that you measured goes before the table (edit: setup, saw).");
    say!(
        "Guards on, eyes and lungs protected, fingers beside the line and never before the blade; the saw's own manual goes before this."
    );
}

fn say_minutes(plan: &BTreeMap<Number, Sawing>, work: &Work) {
    let line: f64 = plan.values().map(|sawing| sawing.line.to_mm()).sum();
    let line = match work.choices.unit {
        Unit::Mm => format!("{:.1} m", line / 1000.0),
        Unit::Inch => format!("{:.0} ft", line / 304.8),
    };
    let known: Vec<f64> = plan.values().filter_map(|sawing| sawing.minutes).collect();
    let hours = known.iter().sum::<f64>() / 60.0;
    say!(
        "Line to saw: {line}. At the saw about {hours:.1} hours for {} of {} pieces ({}).",
        known.len(),
        plan.len(),
        if work.choices.saw.rates.is_empty() {
            "rates from memory; your own by edit: setup, saw, rates"
        } else {
            "your rates"
        }
    );
}

/// What a table out of square does to joints in the thinnest and the thickest stock of the plan.
fn say_square(work: &Work) {
    let all = || work.pieces.values().filter_map(|piece| piece.values.thickness.map(|chosen| chosen.value));
    let opens = |thickness: Um| {
        let gap = Um(out_of_square(thickness, 1.0) as i32);
        format!("{} in stock of {}", show(gap, work.choices.unit), show(thickness, work.choices.unit))
    };
    if let (Some(thin), Some(thick)) = (all().min(), all().max()) {
        let thinner = if thin < thick { format!("{} and ", opens(thin)) } else { String::new() };
        say!(
            "A table 1° out of square opens joints at the far face by {thinner}{}: check it with a square.",
            opens(thick)
        );
    }
}

/// Numbers as runs: 1–4, 7, 9–12.
fn runs(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let one = |&(from, to): &(u32, u32)| if from == to { from.to_string() } else { format!("{from}–{to}") };
    runs.iter().map(one).collect::<Vec<_>>().join(", ")
}
