//! Blades as the pages see them.

use measure::length::Um;
use workshop::saw::plan;
use workshop::work::Blade;

use crate::desk::Table;
use crate::wire::{BladeSeen, Sawn, SawnPiece, Trouble};

/// A blade for each piece of the job, with the reason.
pub fn sawn(table: &mut Table) -> Result<Sawn, Trouble> {
    let outlines = table.outlines();
    let plan = plan(table.work(), &outlines);
    let mut blades: Vec<&Blade> = Vec::new();
    for sawing in plan.values() {
        if !blades.contains(&&sawing.blade) {
            blades.push(&sawing.blade);
        }
    }
    blades.sort_by(|a, b| (a.width, &a.number).cmp(&(b.width, &b.number)));
    let pieces = plan.iter().filter_map(|(piece, sawing)| {
        let blade = blades.iter().position(|blade| **blade == sawing.blade)?;
        Some(SawnPiece { piece: *piece, blade, why: sawing.why.clone(), bend: sawing.bend, holes: sawing.holes })
    });
    Ok(Sawn { pieces: pieces.collect(), blades: blades.into_iter().map(seen).collect() })
}

fn seen(blade: &Blade) -> BladeSeen {
    BladeSeen {
        number: blade.number.clone(),
        width: blade.width,
        kerf: blade.thickness,
        bend: Um((blade.turns_in() / 2.0).round() as i32),
        hole: blade.hole(),
    }
}
