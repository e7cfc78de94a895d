//! The bench log: what was done becomes fact.

use measure::length::Um;

use crate::pattern::state_word;
use crate::work::edit::bench::Edit;
use crate::work::{By, Changes, Chosen, Fact, Number, Refusal, Spot, State, Way, Work};

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    let Edit::Log(fact) = edit;
    let piece = match fact {
        Fact::Became { piece, state, height, .. } => became(work, *piece, *state, *height)?,
        Fact::Struck { entry, .. } => strike(work, *entry)?,
    };
    work.log.push(fact.clone());
    let piece = set_state(work, piece);
    Ok(Changes { pieces: [piece].into(), settings: true, ..Changes::default() })
}

fn became(work: &mut Work, number: Number, state: State, height: Option<Um>) -> Result<Number, Refusal> {
    let piece = work.pieces.get_mut(&number).ok_or_else(|| {
        Refusal::new(format!("There is no piece {number}.")).way(Way::advice("spelk tell lists the pieces."))
    })?;
    if state <= piece.state {
        let what =
            format!("Piece {number} is {} already; it cannot become {}.", state_word(piece.state), state_word(state));
        return Err(Refusal::new(what)
            .at(Spot::pieces([number]))
            .way(Way::advice("If that entry was a mistake, strike it with the reason.")));
    }
    if let Some(height) = height {
        piece.values.height = Some(Chosen { value: height, by: By::Fact });
    }
    Ok(number)
}

fn strike(work: &mut Work, entry: u32) -> Result<Number, Refusal> {
    let Some(Fact::Became { piece, .. }) = work.log.get(entry as usize) else {
        return Err(Refusal::new(format!("The log has no entry {entry} that can be struck."))
            .way(Way::advice("Entries are counted from 0; an entry that strikes another stays.")));
    };
    if stricken(&work.log).any(|at| at == entry) {
        return Err(Refusal::new(format!("Entry {entry} of the log is struck already.")));
    }
    Ok(*piece)
}

fn stricken(log: &[Fact]) -> impl Iterator<Item = u32> + '_ {
    log.iter().filter_map(|fact| if let Fact::Struck { entry, .. } = fact { Some(*entry) } else { None })
}

/// Brings a piece to the state that the log tells of, and its values to who then stands for them: what is decided of a
/// piece that was made is fact; of one that is planned again, the hand's.
fn set_state(work: &mut Work, number: Number) -> Number {
    let state = furthest(&work.log, number);
    if let Some(piece) = work.pieces.get_mut(&number) {
        let by = if state == State::Planned { By::Hand } else { By::Fact };
        piece.state = state;
        let values = &mut piece.values;
        values.wood.iter_mut().for_each(|chosen| chosen.by = by);
        values.grain.iter_mut().for_each(|chosen| chosen.by = by);
        for length in [&mut values.height, &mut values.thickness, &mut values.raiser] {
            length.iter_mut().for_each(|chosen| chosen.by = by);
        }
    }
    number
}

/// How far a piece is by the entries that were not struck.
fn furthest(log: &[Fact], number: Number) -> State {
    let stands = |at: usize| !stricken(log).any(|entry| entry as usize == at);
    let of = |fact: &Fact| match fact {
        Fact::Became { piece, state, .. } if *piece == number => Some(*state),
        _ => None,
    };
    log.iter().enumerate().filter(|(at, _)| stands(*at)).filter_map(|(_, fact)| of(fact)).max().unwrap_or_default()
}
