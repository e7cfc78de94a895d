//! Pieces, relations and lengths in the maker's words.

use measure::length::{Um, inch_text, mm_text};

use crate::work::{Number, Says, Strength, Unit, Whom, Work};

/// A length in the job's unit.
pub(super) fn length(work: &Work, length: Um) -> String {
    match work.choices.unit {
        Unit::Mm => mm_text(length),
        Unit::Inch if length.0 != 0 && length.0.abs() < 200 => "less than 1/64 in".into(),
        Unit::Inch => inch_text(length),
    }
}

/// How far away: in metres, or feet, to a tenth.
pub(super) fn distance(work: &Work, length: Um) -> String {
    let (um, name) = match work.choices.unit {
        Unit::Mm => (1_000_000.0, "m"),
        Unit::Inch => (304_800.0, "ft"),
    };
    format!("{} {name}", (f64::from(length.0) / um * 10.0).round() / 10.0)
}

/// A length that is measured no finer than to a tenth of a millimetre.
pub(super) fn roughly(work: &Work, length: Um) -> String {
    self::length(work, Um((length.0 + 50) / 100 * 100))
}

/// A piece by its number, a part by its name, an anchor by what it is.
pub fn whom(work: &Work, whom: Whom) -> String {
    match whom {
        Whom::Backer => "the backer's face".into(),
        Whom::Frame => match work.choices.frame_depth {
            Some(depth) => format!("the frame's front at {}", length(work, depth)),
            None => "the frame's front".into(),
        },
        Whom::Piece(number) => format!("piece {number}"),
        Whom::Part(part) => work.parts.get(&part).map_or(format!("part {part}"), |part| format!("“{}”", part.name)),
    }
}

/// `piece 3`, or `pieces 3, 4 and 9`; of many the first few.
pub(super) fn pieces(numbers: &[Number]) -> String {
    const NAMED: usize = 6;
    match numbers {
        [] => "no piece".into(),
        [one] => format!("piece {one}"),
        many if many.len() > NAMED => {
            let named: Vec<String> = many[..NAMED].iter().map(Number::to_string).collect();
            format!("pieces {} and {} more", named.join(", "), many.len() - NAMED)
        }
        many => format!("pieces {}", list(many.iter().map(Number::to_string).collect())),
    }
}

/// `a`, `a and b`, `a, b and c`.
fn list(mut items: Vec<String>) -> String {
    let last = items.pop().unwrap_or_default();
    if items.is_empty() { last } else { format!("{} and {last}", items.join(", ")) }
}

/// A row in its order; of a long one of pieces alone the first few and the last.
fn in_row(work: &Work, row: &[Whom]) -> String {
    const NAMED: usize = 8;
    let number = |of: &Whom| match of {
        Whom::Piece(number) => Some(number.to_string()),
        _ => None,
    };
    match row.iter().map(number).collect::<Option<Vec<String>>>() {
        Some(numbers) if numbers.len() > NAMED => {
            let (first, last) = (numbers[..NAMED / 2].join(", "), numbers.last().map_or("", String::as_str));
            format!("pieces {first} … {last}, {} in a row,", numbers.len())
        }
        Some(numbers) => format!("pieces {}", list(numbers)),
        None => list(row.iter().map(|of| whom(work, *of)).collect()),
    }
}

/// What a relation says: `piece 3 at least 2 mm above “reeds”`.
pub(super) fn says(work: &Work, says: &Says) -> String {
    let (name, long) = (|of: &Whom| whom(work, *of), |um: &Um| length(work, *um));
    match says {
        Says::AtLeast { above: Whom::Frame, below, by: Um(0) } => {
            format!("{} no higher than {}", name(below), name(&Whom::Frame))
        }
        Says::AtLeast { above: Whom::Frame, below, by } => {
            format!("{} at least {} below {}", name(below), long(by), name(&Whom::Frame))
        }
        Says::About { above: Whom::Frame, below, by } => {
            format!("{} about {} below {}", name(below), long(by), name(&Whom::Frame))
        }
        Says::AtLeast { above, below, by: Um(0) } => format!("{} no lower than {}", name(above), name(below)),
        Says::AtLeast { above, below, by } => format!("{} at least {} above {}", name(above), long(by), name(below)),
        Says::About { above, below, by } => format!("{} about {} above {}", name(above), long(by), name(below)),
        Says::Level(a, b) => format!("{} level with {}", name(a), name(b)),
        Says::SameAs(a, b) => format!("{} built the same as {}", name(a), name(b)),
        Says::At(a, at) => format!("{} at {}", name(a), long(at)),
        Says::Within(a, least, most) => format!("{} between {} and {}", name(a), long(least), long(most)),
        Says::Climbs { row, from, to } => {
            format!("{} climbing from {} to {}", in_row(work, row), long(from), long(to))
        }
    }
}

/// The same, with how strongly.
pub fn relation(work: &Work, said: &Says, strength: Strength) -> String {
    match strength {
        Strength::Must => says(work, said),
        Strength::Wish(weight) => format!("{} (a wish of weight {weight})", says(work, said)),
    }
}

/// With a capital letter.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// Where light comes from on the wall, degrees clockwise from above, as the nearest of eight.
pub(super) fn direction(from: u16) -> &'static str {
    const EIGHT: [&str; 8] =
        ["above", "above right", "the right", "below right", "below", "below left", "the left", "above left"];
    EIGHT[usize::from((from % 360 + 22) / 45 % 8)]
}
