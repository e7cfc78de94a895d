//! The bench: the log, by which what was done becomes fact; and the prints that pieces are cut from.

mod copies;

use measure::length::{Um, mm_text};

pub use copies::{Copies, MARGIN, copies, touching};

use crate::pattern::state_word;
use crate::stock;
use crate::work::edit::bench::Edit;
use crate::work::{By, Changes, Chosen, Date, Fact, Number, Refusal, Spot, State, Way, Work};

/// No piece stands higher above the backer; it catches slips of the unit.
const HIGHEST_UM: i32 = 200_000;

/// Applies an edit.
pub fn apply(work: &mut Work, edit: &Edit) -> Result<Changes, Refusal> {
    let Edit::Log(fact) = edit;
    let (piece, measured) = match fact {
        Fact::Became { piece, state, on, height } => {
            sound(*on, *height)?;
            (became(work, *piece, *state)?, height.is_some())
        }
        Fact::Struck { entry, .. } => strike(work, *entry)?,
    };
    work.log.push(fact.clone());
    if measured {
        set_height(work, piece);
    }
    set_state(work, piece);
    // What is sawn is gone from its board; a mistaken entry gives the wood back.
    let mut changes = match work.pieces.get(&piece).map(|piece| piece.state) {
        Some(State::Planned) => stock::uncut(work, piece),
        _ => stock::cut(work, &[piece].into()),
    };
    changes.add(Changes { pieces: [piece].into(), settings: true, ..Changes::default() });
    Ok(changes)
}

/// A day of the calendar's form, and a height that a piece can have.
fn sound(Date(_, month, day): Date, height: Option<Um>) -> Result<(), Refusal> {
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return Err(Refusal::new(format!("There is no day {day} in a month {month}."))
            .way(Way::advice("Give year, month and day, such as 2025, 3, 14.")));
    }
    match height {
        Some(height) if !(1..=HIGHEST_UM).contains(&height.0) => {
            let what = format!("A measured height of {} cannot be.", mm_text(height));
            Err(Refusal::new(what).way(Way::advice(format!("Give above 0 to {}.", mm_text(Um(HIGHEST_UM))))))
        }
        _ => Ok(()),
    }
}

fn became(work: &Work, number: Number, state: State) -> Result<Number, Refusal> {
    let piece = work.pieces.get(&number).ok_or_else(|| {
        Refusal::new(format!("There is no piece {number}.")).way(Way::advice("spelk tell --json lists the pieces."))
    })?;
    if state <= piece.state {
        let what =
            format!("Piece {number} is {} already; it cannot become {}.", state_word(piece.state), state_word(state));
        return Err(Refusal::new(what)
            .at(Spot::pieces([number]))
            .way(Way::advice("If that entry was a mistake, strike it with the reason.")));
    }
    Ok(number)
}

/// The piece that the entry speaks of, and whether it told a measured height.
fn strike(work: &Work, entry: u32) -> Result<(Number, bool), Refusal> {
    let Some(Fact::Became { piece, height, .. }) = work.log.get(entry as usize) else {
        return Err(Refusal::new(format!("The log has no entry {entry} that can be struck."))
            .way(Way::advice("Entries are counted from 0; an entry that strikes another stays.")));
    };
    if stricken(&work.log).any(|at| at == entry) {
        return Err(Refusal::new(format!("Entry {entry} of the log is struck already."))
            .way(Way::advice("Log what is so now; nothing more need be struck.")));
    }
    Ok((*piece, height.is_some()))
}

fn stricken(log: &[Fact]) -> impl Iterator<Item = u32> + '_ {
    log.iter().filter_map(|fact| if let Fact::Struck { entry, .. } = fact { Some(*entry) } else { None })
}

/// Brings the height to what was last measured. With no measure left it is what thickness and raiser make, or undecided.
fn set_height(work: &mut Work, number: Number) {
    let measured = standing(&work.log, number).filter_map(|(_, height)| height).last();
    if let Some(piece) = work.pieces.get_mut(&number) {
        let built = piece.values.thickness.zip(piece.values.raiser).map(|(t, r)| Um(t.value.0 + r.value.0));
        piece.values.height = measured.or(built).map(|value| Chosen { value, by: By::Fact });
    }
}

/// Brings a piece to the state that the log tells of, or to cut where that was said at its board.
fn set_state(work: &mut Work, number: Number) {
    let said = if work.sawn.contains(&number) { State::Cut } else { State::Planned };
    let state = furthest(&work.log, number).max(said);
    work.pieces.get_mut(&number).into_iter().for_each(|piece| stock::stands(piece, state));
}

/// How far a piece is by the entries that were not struck.
fn furthest(log: &[Fact], number: Number) -> State {
    standing(log, number).map(|(state, _)| state).max().unwrap_or_default()
}

/// What the entries that were not struck tell of a piece.
fn standing(log: &[Fact], number: Number) -> impl Iterator<Item = (State, Option<Um>)> + '_ {
    let stands = move |at: usize| !stricken(log).any(|entry| entry as usize == at);
    log.iter().enumerate().filter(move |(at, _)| stands(*at)).filter_map(move |(_, fact)| match fact {
        Fact::Became { piece, state, height, .. } if *piece == number => Some((*state, *height)),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::sample::accepted;
    use crate::work::Edit as Any;

    fn log(work: &mut Work, fact: Fact) -> Result<Changes, Refusal> {
        crate::apply(work, &Any::Bench(Edit::Log(fact)))
    }

    fn became(state: State, height: Option<i32>) -> Fact {
        Fact::Became { piece: Number(1), state, on: Date(2025, 3, 14), height: height.map(Um) }
    }

    fn struck(entry: u32) -> Fact {
        Fact::Struck { entry, why: "wrong piece".into() }
    }

    #[test]
    fn what_was_done_becomes_fact_and_a_struck_entry_is_undone() {
        let mut work = accepted(3, 2);
        let values = |work: &Work| work.pieces[&Number(1)].values.clone();
        work.pieces.get_mut(&Number(1)).unwrap().values.thickness = Some(Chosen::act(Um(18_000)));
        work.pieces.get_mut(&Number(1)).unwrap().values.raiser = Some(Chosen::hand(Um(3000)));
        log(&mut work, became(State::Cut, None)).expect("planned, then cut");
        assert_eq!(values(&work).thickness, Some(Chosen { value: Um(18_000), by: By::Fact }));
        log(&mut work, became(State::Set, Some(20_700))).expect("shaping may be skipped");
        assert_eq!(values(&work).height, Some(Chosen { value: Um(20_700), by: By::Fact }));
        log(&mut work, struck(1)).expect("it was a mistake");
        assert_eq!(work.pieces[&Number(1)].state, State::Cut);
        assert_eq!(values(&work).height.map(|chosen| chosen.value), Some(Um(21_000)), "thickness and raiser");
        log(&mut work, struck(0)).expect("a mistake too");
        assert_eq!(work.pieces[&Number(1)].state, State::Planned);
        assert_eq!(values(&work).thickness.map(|chosen| chosen.by), Some(By::Hand));
        assert_eq!(work.log.len(), 4);
    }

    #[test]
    fn what_cannot_have_been_is_refused() {
        let mut work = accepted(3, 2);
        log(&mut work, became(State::Shaped, None)).expect("planned, then shaped");
        let nobody = Fact::Became { piece: Number(99), state: State::Cut, on: Date(2025, 3, 14), height: None };
        let no_day = Fact::Became { piece: Number(2), state: State::Cut, on: Date(2025, 13, 1), height: None };
        let before = work.clone();
        for (fact, says) in [
            (became(State::Cut, None), "shaped already"),
            (became(State::Shaped, None), "shaped already"),
            (became(State::Set, Some(0)), "cannot be"),
            (nobody, "no piece 99"),
            (no_day, "month 13"),
            (struck(7), "no entry 7"),
        ] {
            let refusal = log(&mut work, fact).expect_err("it cannot have been");
            assert!(refusal.what.contains(says) && !refusal.ways.is_empty(), "{refusal}");
            assert_eq!(work, before);
        }
        log(&mut work, struck(0)).expect("a mistake");
        assert!(log(&mut work, struck(0)).expect_err("once only").what.contains("struck already"));
        assert!(log(&mut work, struck(1)).expect_err("it strikes another").what.contains("no entry 1"));
    }
}
