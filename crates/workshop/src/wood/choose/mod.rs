//! A wood and a grain for each piece that acts may decide.
//!
//! Cost: for each piece area^0.7 × ΔE00 between its finished wood and the picture's tone brought into the range of the
//! woods (`target`), and for each pair of touching pieces what their contrast in wood lacks (`problem`). The power keeps
//! large grounds from deciding everything, and still counts them. At most `woods_most` woods; what hand or fact chose is
//! fixed and counts. Where it fails: the search is local, and a wood's colour is one point, not the spread of its boards.

mod problem;
mod search;
mod target;

use std::collections::{BTreeMap, BTreeSet};

use measure::Watch;

use self::problem::Problem;
use super::grain;
use crate::pattern::Outlines;
use crate::picture::Colours;
use crate::work::{By, Chosen, Number, Piece, Refusal, State, Way, Wood, WoodGrain, WoodId, Work};

/// A wood and a grain for each piece that acts may decide, and the cost (hundredths of the objective above). When the
/// watch stops it the best so far comes back.
pub fn choose(
    work: &Work,
    outlines: &Outlines,
    colours: &Colours,
    watch: Watch,
) -> Result<(BTreeMap<Number, WoodGrain>, i64), Refusal> {
    let offered = offered(work);
    let problem = Problem::new(work, outlines, colours, &offered);
    if !work.pieces.is_empty() && problem.pieces.is_empty() {
        return Err(Refusal::new("No piece has a colour in the picture to choose a wood by.")
            .way(Way::advice("Start from a picture, or choose woods by hand.")));
    }
    let most = most(work, &problem)?;
    let found = search::search(&problem, most, watch);
    let mut woods = settled(work);
    for (piece, wood) in problem.pieces.iter().zip(&found.wood) {
        woods.insert(piece.number, offered[*wood].id.clone());
    }
    let axes = grain::axes(work, outlines, &woods);
    let answer = woods
        .into_iter()
        .filter(|(number, _)| may_decide(&work.pieces[number]))
        .filter_map(|(number, wood)| Some((number, WoodGrain { wood, grain: *axes.get(&number)? })))
        .collect();
    Ok((answer, (found.cost * 100.0).round() as i64))
}

/// How many woods the act may use in all.
fn most(work: &Work, problem: &Problem) -> Result<usize, Refusal> {
    let most = work.choices.woods_most as usize;
    if most == 0 || problem.woods == 0 {
        return Err(Refusal::new("There is no wood to choose from.")
            .way(Way::advice("Allow at least one wood, and offer woods to the job.")));
    }
    Ok(most.max(problem.held.len()))
}

/// The woods that the act may choose from, in order: those offered to the job whose trade is free, and those in use.
/// Wood under CITES is the maker's own choice to make, with its papers.
fn offered(work: &Work) -> Vec<&Wood> {
    let in_use: BTreeSet<&WoodId> = fixed(work).map(|(_, chosen)| &chosen.value).collect();
    let free = |wood: &&Wood| in_use.contains(&wood.id) || !restricted(wood);
    let offered: Vec<&Wood> = work.woods.values().filter(free).collect();
    if offered.is_empty() { work.woods.values().collect() } else { offered }
}

fn restricted(wood: &Wood) -> bool {
    wood.protected.as_ref().is_some_and(|protected| protected.value.starts_with("CITES"))
}

/// Whether an act may decide the piece's wood, its grain, or both.
fn may_decide(piece: &Piece) -> bool {
    piece.state == State::Planned && (acts(&piece.values.wood) || acts(&piece.values.grain))
}

/// Whether only acts have chosen here.
pub(super) fn acts<T>(place: &Option<Chosen<T>>) -> bool {
    place.as_ref().is_none_or(|chosen| chosen.by == By::Act)
}

/// Woods that an act may not change.
fn fixed(work: &Work) -> impl Iterator<Item = (Number, &Chosen<WoodId>)> {
    work.pieces.iter().filter_map(|(number, piece)| {
        let chosen = piece.values.wood.as_ref()?;
        (piece.state != State::Planned || chosen.by != By::Act).then_some((*number, chosen))
    })
}

fn settled(work: &Work) -> BTreeMap<Number, WoodId> {
    fixed(work).map(|(number, chosen)| (number, chosen.value.clone())).collect()
}

#[cfg(test)]
mod tests;
