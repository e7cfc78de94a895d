//! Woods that come near what is picked, and the picture's tones with the pieces that they make up.

use std::collections::BTreeMap;

use workshop::work::{Becomes, Number};
use workshop::{Gathered, wood};

use crate::desk::Table;
use crate::see::hex;
use crate::wire::{BehindSeen, Judged, Offer, Offers, OffersFor, TestPair, Tone, Tones, Trouble};

/// The woods that come nearest to some pieces.
pub fn woods(table: &mut Table, asked: &OffersFor) -> Result<Offers, Trouble> {
    let pieces = asked.pieces.iter().copied().collect();
    let (outlines, colours) = (table.outlines(), table.colours());
    let near = wood::alternatives(table.work(), (&outlines, &colours), &pieces, wood::First::Even);
    Ok(Offers { woods: near.iter().map(offer).collect() })
}

fn offer(one: &wood::Alternative) -> Offer {
    let judged = |verdict: wood::Verdict| {
        let said = one.neighbours.iter().filter(|neighbour| neighbour.verdict == verdict.word());
        said.map(|neighbour| neighbour.piece).collect()
    };
    Offer {
        wood: one.wood.clone(),
        difference: one.difference,
        apart: judged(wood::Verdict::Apart),
        same: judged(wood::Verdict::Same),
        untold: judged(wood::Verdict::CantTell),
        short: one.on_hand_mm2.is_some_and(|on_hand| f64::from(on_hand) < one.takes_mm2),
    }
}

/// What the woods as they are chosen leave open.
pub fn judged(table: &mut Table) -> Result<Judged, Trouble> {
    let (outlines, colours) = (table.outlines(), table.colours());
    let work = table.work();
    let behind = |kind| wood::backers(work, &outlines, kind).iter().map(behind).collect();
    let grounds = work.pattern.areas.values().any(|area| area.becomes == Becomes::Ground);
    Ok(Judged {
        tests: wood::offcuts(work, &outlines, &colours).into_iter().map(pair).collect(),
        backers: behind(Becomes::Shadow),
        grounds: if grounds { behind(Becomes::Ground) } else { Vec::new() },
    })
}

fn pair(test: wood::Offcuts) -> TestPair {
    let wood::Offcuts { woods, coats, pieces, border_mm, difference, .. } = test;
    TestPair { woods, coats, pieces, border_mm, difference }
}

fn behind(one: &wood::Behind) -> BehindSeen {
    BehindSeen { wood: one.wood.clone(), told_apart: one.told_apart, nearest: one.nearest, unsure: one.unsure.clone() }
}

/// The picture's tones, the most of the panel first.
pub fn tones(table: &mut Table) -> Result<Tones, Trouble> {
    let gathered = table.tones();
    let whole: f64 = gathered.iter().map(|tone| tone.area_mm2).sum();
    let most = most(&gathered);
    let tone = |(at, tone): (usize, &Gathered)| Tone {
        name: tone.name.clone(),
        colour: hex(tone.colour),
        share: tone.area_mm2 / whole.max(1.0),
        pieces: most.iter().filter(|(_, (of, _))| *of == at).map(|(piece, _)| *piece).collect(),
    };
    let mut tones: Vec<Tone> = gathered.iter().enumerate().map(tone).collect();
    tones.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.name.cmp(&b.name)));
    Ok(Tones { tones })
}

/// Which tone makes up the most of each piece.
fn most(tones: &[Gathered]) -> BTreeMap<Number, (usize, f64)> {
    let mut most: BTreeMap<Number, (usize, f64)> = BTreeMap::new();
    for (at, tone) in tones.iter().enumerate() {
        for (piece, mm2) in &tone.pieces {
            if most.get(piece).is_none_or(|(_, before)| mm2 > before) {
                most.insert(*piece, (at, *mm2));
            }
        }
    }
    most
}

#[cfg(test)]
mod tests {
    use measure::colour::Lab;

    use super::*;

    #[test]
    fn a_piece_belongs_to_the_tone_that_makes_up_the_most_of_it() {
        let tone = |pieces: &[(u32, f64)]| Gathered {
            name: "red".into(),
            colour: Lab::new(50.0, 40.0, 20.0),
            area_mm2: 10.0,
            pieces: pieces.iter().map(|(piece, mm2)| (Number(*piece), *mm2)).collect(),
        };
        let most = most(&[tone(&[(1, 5.0), (2, 2.0)]), tone(&[(2, 3.0), (3, 1.0)])]);
        let of: Vec<(u32, usize)> = most.iter().map(|(piece, (at, _))| (piece.0, *at)).collect();
        assert_eq!(of, [(1, 0), (2, 1), (3, 1)]);
    }
}
