//! `spelk test`: finished test pieces are measured in a photograph beside a grey card, and the woods judged again.

use std::collections::BTreeSet;

use job::Job;
use measure::colour::Lab;
use serde_json::json;
use workshop::Derived;
use workshop::picture;
use workshop::stock::{TestPiece, TestShot, tested};
use workshop::wood::{self, Offcuts};
use workshop::work::edit::wood::Edit as WoodEdit;
use workshop::work::{Edit, WoodId};

use crate::args::Test;
use crate::commands::board::{four, reflects};
use crate::commands::derive;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;

pub fn run(typed: &Test) -> Result<Outcome, Failure> {
    let raster = files::within(&typed.photo, picture::read(&files::read_picture(&typed.photo)?))?;
    let mut job = Job::open(&typed.job)?;
    let found = tested(job.work(), &raster, &shot(typed)?)?;
    let mut derived = derive(&job)?;
    let before = offcuts(&job, &mut derived);
    if !typed.look {
        let edits: Vec<Edit> = found.iter().map(|(wood, lab)| edit(typed, wood, *lab)).collect();
        let label = workshop::label_all(job.work(), &edits);
        job.apply(&edits, &label)?;
    }
    tell(typed, &job, &found, &settled(&before, &offcuts(&job, &mut derived)));
    Ok(Outcome::Done)
}

fn shot(typed: &Test) -> Result<TestShot, Failure> {
    let piece = |text: &String| {
        let (wood, places) = text.trim().split_once(' ').unwrap_or((text, ""));
        Ok(TestPiece { wood: WoodId(wood.into()), corners: four(places, "--piece, after the wood,")? })
    };
    Ok(TestShot {
        white: four(&typed.white, "--white")?,
        reflects: reflects(typed.grey_card, typed.reflects),
        pieces: typed.piece.iter().map(piece).collect::<Result<_, Failure>>()?,
    })
}

fn edit(typed: &Test, wood: &WoodId, colour: Lab) -> Edit {
    let lab = [colour.l, colour.a, colour.b].map(|value| (value * 1000.0).round() as i32);
    Edit::Wood(WoodEdit::Tested { wood: wood.clone(), lab, coats: typed.coats, from: typed.by.clone() })
}

fn offcuts(job: &Job, derived: &mut Derived) -> Vec<Offcuts> {
    let (outlines, colours) = (derived.outlines(job.work()), derived.colours(job.work()));
    wood::offcuts(job.work(), &outlines, &colours)
}

/// Pairs that were on the list of tests and are no more.
fn settled(before: &[Offcuts], after: &[Offcuts]) -> Vec<[WoodId; 2]> {
    let open: BTreeSet<&[WoodId; 2]> = after.iter().map(|test| &test.woods).collect();
    before.iter().map(|test| &test.woods).filter(|woods| !open.contains(woods)).cloned().collect()
}

fn tell(typed: &Test, job: &Job, found: &[(WoodId, Lab)], settled: &[[WoodId; 2]]) {
    let work = job.work();
    let verdict = |[one, two]: &[WoodId; 2]| {
        let judged = wood::judged(work, one, two)?;
        Some(json!({"woods": [one, two], "difference": judged.0, "verdict": judged.1.word()}))
    };
    if typed.json {
        let colours: Vec<_> = found.iter().map(|(wood, lab)| json!({"wood": wood, "finished_lab": lab})).collect();
        let settled: Vec<_> = settled.iter().filter_map(verdict).collect();
        say!("{}", json!({"pieces": colours, "settled": settled}));
        return;
    }
    let name = |id: &WoodId| work.woods.get(id).map_or("", |wood| wood.name.as_str());
    for (wood, lab) in found {
        say!("{}: finished L* {:.1}, a* {:.1}, b* {:.1}", name(wood), lab.l, lab.a, lab.b);
    }
    for [one, two] in settled {
        if let Some((difference, verdict)) = wood::judged(work, one, two) {
            say!("  {} beside {}: {} now (ΔE {difference:.1})", name(one), name(two), verdict.word());
        }
    }
}
