//! Edits of woods and grain.

use super::spelling::near;
use super::whom::whose;
use crate::work::edit::wood::Edit;
use crate::work::{Changes, Chosen, Edit as Any, Number, PieceValues, Refusal, Spot, State, Way, Whom, WoodId, Work};

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    match edit {
        Edit::Choose { whom, wood } => {
            known(work, *whom, wood)?;
            change(work, *whom, |values| values.wood = Some(Chosen::hand(wood.clone())))
        }
        Edit::Unchoose(whom) => change(work, *whom, |values| values.wood = None),
        Edit::Grain { whom, axis } => change(work, *whom, |values| values.grain = Some(Chosen::hand(*axis))),
        Edit::Ungrain(whom) => change(work, *whom, |values| values.grain = None),
    }
}

fn change(work: &mut Work, whom: Whom, make: impl Fn(&mut PieceValues)) -> Result<Changes, Refusal> {
    let numbers = free(work, whom)?;
    let mut changes = Changes::default();
    for number in numbers {
        let Some(piece) = work.pieces.get_mut(&number) else { continue };
        let before = piece.values.clone();
        make(&mut piece.values);
        if piece.values != before {
            changes.pieces.insert(number);
        }
    }
    Ok(changes)
}

fn known(work: &Work, whom: Whom, wood: &WoodId) -> Result<(), Refusal> {
    if work.woods.contains_key(wood) {
        return Ok(());
    }
    let refusal = Refusal::new(format!("“{wood}” is no wood of this job."));
    let mut refusal = refusal.at(Spot { woods: vec![wood.clone()], ..Spot::default() });
    for meant in near(&wood.0, &work.woods) {
        let says = format!("Take {} ({meant}).", work.woods[&meant].name);
        refusal = refusal.way(Way::by(says, vec![Any::Wood(Edit::Choose { whom, wood: meant })]));
    }
    Err(refusal.way(Way::advice("Offer the wood to the job first, with its colour and where that is from.")))
}

/// The pieces of `whom`, all still on paper.
fn free(work: &Work, whom: Whom) -> Result<Vec<Number>, Refusal> {
    let numbers = whose(work, whom);
    if numbers.is_empty() {
        return Err(nobody(work, whom));
    }
    let begun: Vec<Number> = numbers.iter().copied().filter(|n| work.pieces[n].state != State::Planned).collect();
    if begun.is_empty() { Ok(numbers) } else { Err(sawn(work, &begun, whom)) }
}

fn nobody(work: &Work, whom: Whom) -> Refusal {
    match whom {
        Whom::Piece(number) => gone(work, number),
        Whom::Part(part) => match work.parts.get(&part) {
            Some(part) => Refusal::new(format!("The part “{}” has no pieces.", part.name))
                .way(Way::advice("Bring pieces into the part first.")),
            None => Refusal::new(format!("There is no part {part}.")).way(Way::advice("Name a part of this job.")),
        },
    }
}

/// Says where a retired number went, through every later merge.
fn gone(work: &Work, number: Number) -> Refusal {
    let mut into = number;
    // A number is only ever retired into one that lives then, so the chain is no longer than the list.
    for _ in 0..work.retired.len() {
        let Some(next) = work.retired.get(&into) else { break };
        into = next.into;
    }
    if into == number {
        return Refusal::new(format!("There is no piece {number}."))
            .way(Way::advice("Name a piece by the number on the pattern."));
    }
    Refusal::new(format!("Piece {number} is gone: it was merged into piece {into}."))
        .at(Spot::pieces([into]))
        .way(Way::advice(format!("Name piece {into} instead.")))
}

fn sawn(work: &Work, begun: &[Number], whom: Whom) -> Refusal {
    let names: Vec<String> = begun.iter().map(|n| format!("{n} ({})", state(work.pieces[n].state))).collect();
    let (noun, verb) = if begun.len() == 1 { ("Piece", "is") } else { ("Pieces", "are") };
    let refusal =
        Refusal::new(format!("{noun} {} {verb} no longer on paper: wood and grain can't change.", names.join(", ")))
            .at(Spot::pieces(begun.iter().copied()));
    let refusal = match whom {
        Whom::Part(_) => refusal.way(Way::advice("Change the part's other pieces one by one.")),
        Whom::Piece(_) => refusal,
    };
    refusal.way(Way::advice("If the log is wrong, strike the entry first."))
}

fn state(state: State) -> &'static str {
    match state {
        State::Planned => "planned",
        State::Cut => "cut",
        State::Shaped => "shaped",
        State::Set => "set",
    }
}
