//! What is cut, shaped or set is not touched.

use crate::work::{Number, Refusal, Spot, State, Way, Work};

/// Refuses to touch pieces that are cut, shaped or set.
pub fn refuse_if_made(work: &Work, numbers: &[Number]) -> Result<(), Refusal> {
    let made = |number: &&Number| work.pieces.get(number).is_some_and(|piece| piece.state != State::Planned);
    match numbers.iter().find(made) {
        None => Ok(()),
        Some(number) => {
            let what = format!("Piece {number} is {} already.", state_word(work.pieces[number].state));
            Err(Refusal::new(what)
                .at(Spot::pieces([*number]))
                .way(Way::advice("Leave it as it is, or strike the entry of the log if it was a mistake.")))
        }
    }
}

/// A state in a word.
pub fn state_word(state: State) -> &'static str {
    match state {
        State::Planned => "planned",
        State::Cut => "cut",
        State::Shaped => "shaped",
        State::Set => "set",
    }
}
