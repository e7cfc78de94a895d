//! What becomes of lines that end inside an area.

use measure::length::{Um, mm_text};

use super::GAP_UM;
use crate::pattern::{lies_in, outlines, refuse_if_made};
use crate::work::{Becomes, Changes, LineBecomes, Number, Refusal, Spot, Way, Work};

/// A slot, a burnt line, or nothing; and how wide.
pub(super) fn set(
    work: &mut Work,
    line: usize,
    (becomes, width): (LineBecomes, Option<Um>),
) -> Result<Changes, Refusal> {
    let Some(known) = work.loose_lines.get(line) else {
        let count = work.loose_lines.len();
        return Err(Refusal::new(format!("There is no line {line}: {count} lines of this pattern part nothing."))
            .way(Way::advice("They are counted from 0, as tell --json lists them under lines.")));
    };
    let at = known.place();
    if known.hangs && becomes == LineBecomes::Slot {
        return Err(Refusal::new("A slot from one line to another would saw the piece through.")
            .at(Spot { at, ..Spot::default() })
            .way(Way::advice("Burn the line, or draw a second one, so that both part the area around.")));
    }
    let pieces = piece_of(work, line);
    if known.becomes == LineBecomes::Slot || becomes == LineBecomes::Slot {
        refuse_if_made(work, &pieces)?;
    }
    let width = width.unwrap_or_else(|| Um(known.width.0.clamp(*GAP_UM.start(), *GAP_UM.end())));
    if becomes != LineBecomes::LeftOut && !GAP_UM.contains(&width.0) {
        let what = format!("A line cannot be sawn or burnt {} wide.", mm_text(width));
        return Err(Refusal::new(what)
            .at(Spot { at, ..Spot::pieces(pieces) })
            .way(Way::advice("Give 0.3 to 3 mm; what is wider is a shadow: split the piece and open it.")));
    }
    let known = &mut work.loose_lines[line];
    (known.becomes, known.width) = (becomes, width);
    Ok(Changes { pieces: pieces.into_iter().collect(), ..Changes::default() })
}

/// The piece that a line lies in.
fn piece_of(work: &Work, line: usize) -> Vec<Number> {
    let place = work.loose_lines[line].place();
    let area = place.and_then(|place| lies_in(&outlines(&work.pattern, work.panel), place));
    match area.and_then(|id| work.pattern.areas.get(&id)).map(|area| area.becomes) {
        Some(Becomes::Piece(number)) => vec![number],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use measure::plane::Point;

    use super::*;
    use crate::apply;
    use crate::pattern::sample::accepted;
    use crate::work::edit::{Edit, pattern};
    use crate::work::{LooseLine, State};

    fn edit(line: usize, becomes: LineBecomes, width: Option<Um>) -> Edit {
        Edit::Pattern(pattern::Edit::Line { line, becomes, width })
    }

    /// A line of 0.2 mm from the middle of the first piece to its left edge.
    fn drawn() -> (Work, Number) {
        let mut work = accepted(3, 2);
        let outlines = outlines(&work.pattern, work.panel);
        let (number, piece) = work.pieces.first_key_value().expect("it has pieces");
        let (number, end) = (*number, outlines.areas[&piece.area].widest.centre);
        let along = vec![end, Point::new(0, end.y)];
        work.loose_lines = vec![LooseLine {
            along,
            both: false,
            hangs: false,
            writing: false,
            width: Um(200),
            becomes: LineBecomes::LeftOut,
        }];
        (work, number)
    }

    #[test]
    fn a_line_becomes_a_slot_a_burnt_line_or_nothing() {
        let (mut work, number) = drawn();
        let changes = apply(&mut work, &edit(0, LineBecomes::Slot, None)).unwrap();
        assert_eq!(changes.pieces, [number].into());
        // Drawn finer than a blade saws, it is sawn as wide as a gap is at least.
        assert_eq!((work.loose_lines[0].becomes, work.loose_lines[0].width), (LineBecomes::Slot, Um(300)));
        apply(&mut work, &edit(0, LineBecomes::Burnt, Some(Um(1500)))).unwrap();
        assert_eq!((work.loose_lines[0].becomes, work.loose_lines[0].width), (LineBecomes::Burnt, Um(1500)));
        apply(&mut work, &edit(0, LineBecomes::LeftOut, None)).unwrap();
        assert_eq!(work.loose_lines[0].becomes, LineBecomes::LeftOut);
    }

    #[test]
    fn what_is_not_there_too_wide_or_cut_is_refused() {
        let (mut work, number) = drawn();
        let refused = |work: &mut Work, edit: Edit| apply(work, &edit).unwrap_err().what;
        assert!(refused(&mut work, edit(1, LineBecomes::Slot, None)).contains("no line 1: 1 lines"));
        assert!(refused(&mut work, edit(0, LineBecomes::Slot, Some(Um(4000)))).contains("4 mm wide"));
        work.pieces.get_mut(&number).expect("it is there").state = State::Cut;
        assert!(refused(&mut work, edit(0, LineBecomes::Slot, None)).contains("cut already"));
        apply(&mut work, &edit(0, LineBecomes::Burnt, None)).expect("a cut piece can still be burnt");
    }

    #[test]
    fn tracing_again_keeps_what_was_said_of_a_line() {
        let line = |x: i32, becomes| LooseLine {
            along: vec![Point::new(x, 5000), Point::new(0, 5000)],
            both: false,
            hangs: false,
            writing: false,
            width: Um(600),
            becomes,
        };
        let old = [line(20_000, LineBecomes::Slot), line(40_000, LineBecomes::LeftOut)];
        let new = [
            line(40_300, LineBecomes::LeftOut),
            line(20_900, LineBecomes::LeftOut),
            line(60_000, LineBecomes::LeftOut),
        ];
        let becomes: Vec<LineBecomes> =
            crate::pattern::with_choices(&new, &old).into_iter().map(|line| line.becomes).collect();
        assert_eq!(becomes, [LineBecomes::LeftOut, LineBecomes::Slot, LineBecomes::LeftOut]);
    }
}
