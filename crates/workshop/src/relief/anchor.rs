//! Anchors: what stands fixed whatever heights are worked out, so that pieces can be said to stand to it.
//!
//! The backer's face and the front of the frame are anchors by name. Every piece whose height is pinned, built or a fact
//! is one too, under its number.

use measure::length::Um;

use super::words;
use crate::work::{Refusal, Way, Whom, Work};

/// Whether it is an anchor by name: no piece, and no part.
pub(super) fn is_anchor(whom: Whom) -> bool {
    matches!(whom, Whom::Backer | Whom::Frame)
}

/// How high an anchor by name stands above the backer; `None` for pieces and parts, and for a frame of unknown depth.
pub(super) fn stands_at(work: &Work, whom: Whom) -> Option<Um> {
    match whom {
        Whom::Backer => Some(Um(0)),
        Whom::Frame => work.choices.frame_depth,
        Whom::Piece(_) | Whom::Part(_) => None,
    }
}

/// The anchor is there, and something that is sawn is said to stand to it, before the backer.
pub(super) fn check_stands(work: &Work, (above, below): (Whom, Whom), by: Um) -> Result<(), Refusal> {
    let unknown = [above, below].into_iter().find(|whom| is_anchor(*whom) && stands_at(work, *whom).is_none());
    if unknown.is_some() {
        let way = "Give the frame's depth, on the Relief page under The relief as a whole or by an edit of setup.frame_depth.";
        return Err(Refusal::new("How deep the frame is has not been said, so nothing can be said of its front.")
            .way(Way::advice(way)));
    }
    if is_anchor(above) && is_anchor(below) {
        let what = "The backer and the frame's front stand where they are: no piece is named.";
        return Err(Refusal::new(what).way(Way::advice("Name a piece or a part that stands to one of them.")));
    }
    let behind = above == Whom::Backer || stands_at(work, above).is_some_and(|front| by >= front);
    if behind {
        let what =
            format!("{} would stand at the backer's face or behind it.", words::sentence(&words::whom(work, below)));
        return Err(Refusal::new(what).way(Way::advice("What is glued on the backer stands before it: say less.")));
    }
    Ok(())
}

/// An anchor where only what is sawn can be named.
pub(super) fn no_piece(work: &Work, whom: Whom) -> Refusal {
    let what = format!("{} is no piece and no part: it stands where it is.", words::sentence(&words::whom(work, whom)));
    Refusal::new(what).way(Way::advice(
        "Say of a piece or a part that it stands at least, about or level to it; heights themselves count from the backer.",
    ))
}
