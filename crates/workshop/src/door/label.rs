//! What an edit is called in the history and on the undo button.

use crate::relief;
use crate::work::edit::{Edit, bench, part, pattern, picture, saw, setup, stock, wood};
use crate::work::{Ask, Fact, LineBecomes, Work};

/// The name of an edit, for "undo …", on the job as it stands before. What is said of heights is named by what it says.
pub fn label(work: &Work, edit: &Edit) -> String {
    match edit {
        Edit::Relief(edit) => relief::brief(work, edit),
        other => by_kind(other).into(),
    }
}

fn by_kind(edit: &Edit) -> &'static str {
    match edit {
        Edit::Setup(edit) => of_setup(edit),
        Edit::Picture(picture::Edit::Place(_)) => "place the picture",
        Edit::Picture(picture::Edit::Credit { .. }) => "say whose picture it is",
        Edit::Picture(picture::Edit::Framing(_)) => "frame the picture",
        Edit::Picture(picture::Edit::Mark(round)) if round.keep.is_empty() => "mark what is ground",
        Edit::Picture(picture::Edit::Mark(_)) => "mark the subject",
        Edit::Picture(picture::Edit::Unmark) => "take the marks of the subject away",
        Edit::Picture(picture::Edit::Ground(_)) => "say what becomes of a plain ground",
        Edit::Picture(picture::Edit::Ink(_)) => "say what becomes of ink",
        Edit::Picture(picture::Edit::Bridge(_)) => "say which breaks in lines are bridged",
        Edit::Picture(picture::Edit::Corners(_)) => "say where the sheet lies in its photograph",
        Edit::Pattern(edit) => of_pattern(edit),
        Edit::Part(edit) => of_part(edit),
        Edit::Wood(edit) => of_wood(edit),
        Edit::Relief(_) => "say how pieces stand",
        Edit::Saw(saw::Edit::CutTo { .. }) => "cut a piece to its neighbour",
        Edit::Saw(saw::Edit::LetIn { .. }) => "let a piece in",
        Edit::Saw(saw::Edit::OnLine { .. }) => "saw a joint on its line",
        Edit::Stock(edit) => of_stock(edit),
        Edit::Bench(bench::Edit::Log(Fact::Became { .. })) => "log what was done",
        Edit::Bench(bench::Edit::Log(Fact::Struck { .. })) => "strike an entry of the log",
        Edit::Take(proposal) => match proposal.ask {
            Ask::Trace(_) => "accept the pattern",
            Ask::TurnGrain => "turn the grain",
            Ask::ChooseWoods => "choose woods",
            Ask::WorkOutHeights => "work out heights",
            Ask::MendHeights => "mend heights",
            Ask::LayOut { .. } => "lay out the boards",
        },
    }
}

fn of_setup(edit: &setup::Edit) -> &'static str {
    match edit {
        setup::Edit::Title(_) => "name the work",
        setup::Edit::Panel(_) => "set the panel",
        setup::Edit::Unit(_) => "set the unit",
        setup::Edit::Stock(_) => "set the stock",
        setup::Edit::WoodsMost(_) => "set the number of woods",
        setup::Edit::Tones(_) => "set the number of tones",
        setup::Edit::Backer(_) => "set the backer",
        setup::Edit::Finish(_) => "set the finish",
        setup::Edit::Saw(_) => "set the saw",
        setup::Edit::Step(_) => "set what a step is",
        setup::Edit::PlanerSettings(_) => "set the planer settings",
        setup::Edit::Reading(_) => "say from where it is looked at",
        setup::Edit::FrameDepth(_) => "set the depth of the frame",
        setup::Edit::Frame(Some(_)) => "set the frame",
        setup::Edit::Frame(None) => "take the frame away",
        setup::Edit::Ground(_) => "set the veneer behind the ground",
        setup::Edit::Mount(_) => "set the allowances of the backer",
        setup::Edit::PerTone { .. } => "set the woods of a tone",
        setup::Edit::OnHand { .. } => "say what is on hand",
        setup::Edit::OnlyOnHand(_) => "set whether wood may be bought",
        setup::Edit::Price { .. } => "set the price of a wood",
        setup::Edit::FitFinish { .. } => "fit a finish",
        setup::Edit::Offer(_) => "offer a wood",
    }
}

fn of_pattern(edit: &pattern::Edit) -> &'static str {
    match edit {
        pattern::Edit::Merge(_) => "merge areas",
        pattern::Edit::Split { .. } => "split an area",
        pattern::Edit::Draw { .. } => "draw a line",
        pattern::Edit::Reshape { .. } => "reshape a border",
        pattern::Edit::Smooth { .. } => "smooth a border",
        pattern::Edit::Straighten { .. } => "straighten a border",
        pattern::Edit::Junction { .. } => "move a junction",
        pattern::Edit::Open(_) => "open an area",
        pattern::Edit::Drop(_) => "drop an area to ground",
        pattern::Edit::Close(_) => "close an area",
        pattern::Edit::Hold(_) => "hold an outline",
        pattern::Edit::LetGo(_) => "let an outline go",
        pattern::Edit::Gap { .. } => "set a gap",
        pattern::Edit::Ink { open: true, .. } => "open drawn lines as gaps",
        pattern::Edit::Ink { open: false, .. } => "close drawn lines",
        pattern::Edit::Line { becomes: LineBecomes::Slot, .. } => "saw a line as a slot",
        pattern::Edit::Line { becomes: LineBecomes::Burnt, .. } => "burn a line",
        pattern::Edit::Line { becomes: LineBecomes::LeftOut, .. } => "leave a line out",
    }
}

fn of_part(edit: &part::Edit) -> &'static str {
    match edit {
        part::Edit::Name { .. } => "name a part",
        part::Edit::Rename { .. } => "rename a part",
        part::Edit::Bring { .. } => "bring pieces into a part",
        part::Edit::Release { .. } => "take pieces out of a part",
        part::Edit::Nest { .. } => "nest a part",
        part::Edit::Disband(_) => "disband a part",
        part::Edit::Keep { .. } => "keep a variant",
        part::Edit::PutBack(_) => "put a variant back",
        part::Edit::Forget(_) => "forget a variant",
    }
}

fn of_wood(edit: &wood::Edit) -> &'static str {
    match edit {
        wood::Edit::Choose { .. } => "choose a wood",
        wood::Edit::Unchoose(_) => "leave a wood undecided",
        wood::Edit::Grain { .. } => "turn the grain",
        wood::Edit::Stroke(_) => "draw the grain",
        wood::Edit::Unstroke(_) => "take a stroke of grain away",
        wood::Edit::Ungrain(_) => "leave the grain undecided",
        wood::Edit::Tested { .. } => "take the colour of a finished test piece",
        wood::Edit::Measured { .. } => "take a measured colour of a wood",
    }
}

fn of_stock(edit: &stock::Edit) -> &'static str {
    match edit {
        stock::Edit::Put(_) | stock::Edit::PutSize { .. } => "put a board on the rack",
        stock::Edit::Away(_) => "take a board away",
        stock::Edit::Price { .. } => "set the price of a board",
        stock::Edit::Fault { .. } => "note a fault of a board",
        stock::Edit::Unfault { .. } => "take a fault back",
        stock::Edit::Zone { .. } => "note a zone of a board",
        stock::Edit::Unzone { .. } => "take a zone back",
        stock::Edit::Pin { .. } => "pin a piece to a board",
        stock::Edit::Unpin(_) => "unpin a piece",
        stock::Edit::Cut(_) => "cut pieces from their boards",
        stock::Edit::Uncut(_) => "take a cut back",
        stock::Edit::Crosscut { .. } => "crosscut a board",
        stock::Edit::Resaw { .. } => "resaw a board",
        stock::Edit::Agree { .. } => "agree with the shop on a board",
        stock::Edit::Laying(_) => "set how pieces are laid",
    }
}

/// What history calls a list of edits.
pub fn label_all(work: &Work, edits: &[Edit]) -> String {
    match edits {
        [one] => label(work, one),
        [first, ..] => format!("{} and {} more", label(work, first), edits.len() - 1),
        [] => String::new(),
    }
}
