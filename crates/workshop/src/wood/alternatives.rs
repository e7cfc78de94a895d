//! The best woods for a piece, a part or a tone, told apart from its neighbours; and backers, judged against every piece
//! that they border.

use std::collections::{BTreeMap, BTreeSet};

use measure::colour::{Lab, delta_e_2000};
use serde::Serialize;

use super::choose::restricted;
use super::sure::{Seeing, Verdict, judge};
use super::{findings::seeing, look};
use crate::pattern::Outlines;
use crate::picture::Colours;
use crate::work::{AreaId, Becomes, Number, Wood, WoodId, Work};

/// How many woods are offered.
const OFFERED: usize = 5;

/// How many backers are put side by side.
const BACKERS: usize = 3;

/// What counts first when woods are ranked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum First {
    /// The whole difference.
    #[default]
    Even,
    /// Lightness weighs three times.
    Lightness,
    /// Hue and chroma weigh three times.
    Hue,
}

/// How much more what comes first weighs.
const FIRST_WEIGHS: f64 = 3.0;

/// A wood that could be taken.
#[derive(Clone, Debug, Serialize)]
pub struct Alternative {
    /// The wood.
    pub wood: WoodId,
    /// Its name.
    pub name: String,
    /// Its colour under the job's finish, L*, a*, b*.
    pub finished: [f64; 3],
    /// ΔE00 to the picture's colour brought into the woods' range.
    pub difference: f64,
    /// To each neighbour that has a wood.
    pub neighbours: Vec<Neighbour>,
    /// Board face on hand, mm²; none when nothing is said.
    pub on_hand_mm2: Option<u32>,
    /// What the pieces take, mm².
    pub takes_mm2: f64,
    /// Whether its colour was measured.
    pub measured: bool,
    /// Where its colour comes from.
    pub source: String,
    /// Trade protection and known hazards with their sources; lists change, so current ones and local law decide.
    pub cautions: Vec<String>,
}

/// A wood beside a neighbour.
#[derive(Clone, Debug, Serialize)]
pub struct Neighbour {
    /// The neighbour.
    pub piece: Number,
    /// Its wood.
    pub wood: WoodId,
    /// ΔE00 under the finish.
    pub contrast: f64,
    /// Same, apart, or can't be told.
    pub verdict: &'static str,
}

/// The best five woods for these pieces, the best first. Empty when none of them has a colour in the picture.
pub fn alternatives(
    work: &Work,
    (outlines, colours): (&Outlines, &Colours),
    pieces: &BTreeSet<Number>,
    first: First,
) -> Vec<Alternative> {
    let Some(tone) = tone(work, outlines, colours, pieces) else { return Vec::new() };
    let looks: Vec<Lab> = work.woods.values().map(|wood| look(work, wood)).collect();
    let all = work.pieces.values().filter_map(|piece| Some((*colours.get(&piece.area)?, area(outlines, piece.area))));
    let tones: Vec<(Lab, f64)> = std::iter::once((tone, 0.0)).chain(all).collect();
    let aim = super::choose::Line::new(&tones, &looks).target(tone, &looks);
    let mut ranked: Vec<(f64, &Wood)> =
        work.woods.values().map(|wood| (rank(look(work, wood), aim, first), wood)).collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.id.cmp(&b.1.id)));
    let beside = neighbours(work, outlines, pieces);
    let takes = pieces.iter().filter_map(|n| work.pieces.get(n)).map(|piece| area(outlines, piece.area)).sum();
    ranked.truncate(OFFERED);
    ranked.into_iter().map(|(_, wood)| alternative(work, wood, (aim, takes), &beside)).collect()
}

fn alternative(work: &Work, wood: &Wood, (aim, takes): (Lab, f64), beside: &BTreeMap<Number, &Wood>) -> Alternative {
    let seen = look(work, wood);
    let neighbour = |(piece, other): (&Number, &&Wood)| {
        let (contrast, verdict) = judge(wood, other, seeing(work, 0.0));
        Neighbour { piece: *piece, wood: other.id.clone(), contrast, verdict: verdict.word() }
    };
    let cautions = [&wood.protected, &wood.hazard]
        .into_iter()
        .flatten()
        .map(|fact| format!("{} ({}; current lists and local law decide)", fact.value, fact.source));
    Alternative {
        wood: wood.id.clone(),
        name: wood.name.clone(),
        finished: [seen.l, seen.a, seen.b],
        difference: delta_e_2000(seen, aim),
        neighbours: beside.iter().map(neighbour).collect(),
        on_hand_mm2: work.choices.choosing.on_hand.get(&wood.id).copied(),
        takes_mm2: takes,
        measured: wood.measured,
        source: wood.colour.source.clone(),
        cautions: cautions.collect(),
    }
}

/// Lightness against hue and chroma, in L*a*b*, where one of them comes first.
fn rank(look: Lab, aim: Lab, first: First) -> f64 {
    let weigh = |lightness: f64, hue: f64| {
        let (l, a, b) = (look.l - aim.l, look.a - aim.a, look.b - aim.b);
        lightness * l * l + hue * (a * a + b * b)
    };
    match first {
        First::Even => delta_e_2000(look, aim),
        First::Lightness => weigh(FIRST_WEIGHS * FIRST_WEIGHS, 1.0),
        First::Hue => weigh(1.0, FIRST_WEIGHS * FIRST_WEIGHS),
    }
}

fn area(outlines: &Outlines, area: AreaId) -> f64 {
    outlines.areas.get(&area).map_or(0.0, |outline| outline.area_mm2)
}

/// The mean colour of the pieces in the picture, by area.
fn tone(work: &Work, outlines: &Outlines, colours: &Colours, pieces: &BTreeSet<Number>) -> Option<Lab> {
    let mut sum = [0.0; 4];
    for piece in pieces.iter().filter_map(|n| work.pieces.get(n)) {
        let (Some(c), weight) = (colours.get(&piece.area), area(outlines, piece.area)) else { continue };
        [c.l, c.a, c.b, 1.0].into_iter().enumerate().for_each(|(at, v)| sum[at] += weight * v);
    }
    (sum[3] > 0.0).then(|| Lab::new(sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3]))
}

/// Touching pieces outside, with their woods.
fn neighbours<'a>(work: &'a Work, outlines: &Outlines, pieces: &BTreeSet<Number>) -> BTreeMap<Number, &'a Wood> {
    let number: BTreeMap<AreaId, Number> = work.pieces.iter().map(|(n, piece)| (piece.area, *n)).collect();
    let mut beside = BTreeMap::new();
    for (one, two) in outlines.meetings.keys() {
        let (Some(one), Some(two)) = (number.get(one), number.get(two)) else { continue };
        for (inside, outside) in [(one, two), (two, one)] {
            let wood = work.pieces[outside].values.wood.as_ref().and_then(|chosen| work.woods.get(&chosen.value));
            if let (true, false, Some(wood)) = (pieces.contains(inside), pieces.contains(outside), wood) {
                beside.insert(*outside, wood);
            }
        }
    }
    beside
}

/// A wood as a backer, or as the board behind the ground.
#[derive(Clone, Debug, Serialize)]
pub struct Behind {
    /// The wood.
    pub wood: WoodId,
    /// Its name.
    pub name: String,
    /// Share of the border length along which it is apart from the piece, by the table's colours, 0 to 1.
    pub told_apart: f64,
    /// The piece that it is nearest to, and ΔE00.
    pub nearest: Option<(Number, f64)>,
    /// Pieces that it can't be told from, or that it is not apart from.
    pub unsure: Vec<Number>,
}

/// Three backers for the openings of a kind (`Becomes::Shadow` or `Becomes::Ground`), judged against every piece that
/// borders them: the one that most of the border length is apart from first, then the darker. The one that is chosen now is
/// always among the first four.
pub fn backers(work: &Work, outlines: &Outlines, behind: Becomes) -> Vec<Behind> {
    let borders = bordering(work, outlines, behind);
    let mut found: Vec<(f64, Behind)> = work
        .woods
        .values()
        .filter(|wood| !restricted(wood) || wood.id == work.choices.backer)
        .map(|wood| (look(work, wood).l, against(work, wood, &borders)))
        .collect();
    found.sort_by(|a, b| {
        b.1.told_apart.total_cmp(&a.1.told_apart).then(a.0.total_cmp(&b.0)).then(a.1.wood.cmp(&b.1.wood))
    });
    let now = found.iter().position(|(_, behind)| behind.wood == work.choices.backer);
    let kept = found.iter().enumerate().filter(|(at, _)| *at < BACKERS || now == Some(*at));
    kept.map(|(_, (_, behind))| behind.clone()).collect()
}

/// Length of border in mm of each piece with a wood along openings of the kind.
pub(super) fn bordering(work: &Work, outlines: &Outlines, behind: Becomes) -> BTreeMap<Number, f64> {
    let number: BTreeMap<AreaId, Number> = work.pieces.iter().map(|(n, piece)| (piece.area, *n)).collect();
    let open = |area: &AreaId| work.pattern.areas.get(area).is_some_and(|area| area.becomes == behind);
    let mut found = BTreeMap::new();
    for ((one, two), meeting) in &outlines.meetings {
        for (piece, opening) in [(one, two), (two, one)] {
            if let (Some(number), true) = (number.get(piece), open(opening)) {
                *found.entry(*number).or_default() += meeting.length_mm;
            }
        }
    }
    found
}

fn against(work: &Work, wood: &Wood, borders: &BTreeMap<Number, f64>) -> Behind {
    let mut behind =
        Behind { wood: wood.id.clone(), name: wood.name.clone(), told_apart: 0.0, nearest: None, unsure: Vec::new() };
    let (mut apart, mut all) = (0.0, 0.0);
    for (number, length) in borders {
        let chosen = work.pieces[number].values.wood.as_ref();
        let Some(other) = chosen.and_then(|chosen| work.woods.get(&chosen.value)) else { continue };
        let seeing: Seeing = seeing(work, 0.0);
        let (contrast, verdict) = judge(wood, other, seeing);
        all += length;
        if contrast >= super::VISIBLE && verdict != Verdict::Same {
            apart += length;
        }
        if verdict != Verdict::Apart {
            behind.unsure.push(*number);
        }
        if behind.nearest.is_none_or(|(_, nearest)| contrast < nearest) {
            behind.nearest = Some((*number, contrast));
        }
    }
    behind.told_apart = if all > 0.0 { apart / all } else { 1.0 };
    behind
}

#[cfg(test)]
mod tests;
