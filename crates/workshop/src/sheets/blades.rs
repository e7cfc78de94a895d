//! Blades: each put in once, the finest first, with the pieces that it saws, why, and the holes to drill for its starts.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::boards::Item;
use super::facts::Facts;
use super::frame::{Frame, SOFT};
use super::letters::{Style, size};
use super::paper::Paper;
use super::table::{Set, Table, Words};
use crate::saw::Sawing;
use crate::work::{Blade, Number, runs};

const LEGEND: &str = "Each blade is put in once, in this order. Numbers of blades are no standard: compare width and kerf with \
    your own. The least bend is the radius that a blade follows; a tighter one is sawn in small bites, a sharp corner from both sides. A start \
    hole is drilled as wide as given or a little more, inside the opening and beside the line.";
const UNDECIDED: &str = "What has no thickness yet counts as the thinnest of the stock.";

/// Pieces that take one blade for one reason.
struct Those<'a> {
    blade: &'a Blade,
    why: &'a str,
    pieces: Vec<(Number, u32)>,
}

/// All rows in order; none without a piece.
pub(super) fn items(facts: &Facts, paper: Paper) -> Vec<Item> {
    let all = those(facts);
    if all.is_empty() {
        return Vec::new();
    }
    let body = Frame::body(paper);
    let style = Style::plain(size::SMALL).in_colour(SOFT);
    let open = facts.pieces.iter().any(|piece| piece.thickness.is_none());
    let told = if open { format!("{LEGEND} {UNDECIDED}") } else { LEGEND.to_owned() };
    let wrapped = facts.faces.wrap(style, &told, body.w);
    let mut items: Vec<Item> = wrapped.into_iter().map(|line| Item::Words(style, line)).collect();
    items.push(Item::Space);
    let table = Arc::new(Table::of(&facts.faces, words(facts, &all), body.w));
    items.extend((0..table.len()).map(|row| Item::Row(table.clone(), row)));
    items
}

/// By blade, the finest first, then by reason.
fn those<'a>(facts: &'a Facts) -> Vec<Those<'a>> {
    let mut all: BTreeMap<(i32, &str, &str), Those> = BTreeMap::new();
    let mut sawn: Vec<(Number, &Sawing)> =
        facts.pieces.iter().filter_map(|piece| Some((piece.number, facts.sawing.get(&piece.number)?))).collect();
    sawn.sort_by_key(|(number, _)| *number);
    for (number, sawing) in sawn {
        let (blade, why) = (&sawing.blade, sawing.why.as_str());
        let key = (blade.width.0, blade.number.as_str(), why);
        let those = all.entry(key).or_insert_with(|| Those { blade, why, pieces: Vec::new() });
        those.pieces.push((number, sawing.holes));
    }
    all.into_values().collect()
}

fn words(facts: &Facts, all: &[Those]) -> Words {
    let words = facts.words;
    let heads = [
        ("Blade", Set::Left),
        ("Wide", Set::Right),
        ("Kerf", Set::Right),
        ("Least bend", Set::Right),
        ("Start hole", Set::Right),
    ];
    let row = |those: &Those| {
        let blade = those.blade;
        let bend = measure::length::Um((blade.turns_in() / 2.0).round() as i32);
        let drills = those.pieces.iter().any(|(_, holes)| *holes > 0);
        let cells = vec![
            format!("No. {}", facts.faces.clean(&blade.number)),
            words.hair(blade.width),
            words.hair(blade.thickness),
            words.hair(bend),
            if drills { words.hair(blade.hole()) } else { String::new() },
        ];
        (cells, said(those))
    };
    Words {
        heads: heads.map(|(head, set)| (head.to_owned(), set)).into(),
        last: "Pieces, and why".into(),
        rows: all.iter().map(row).collect(),
    }
}

/// The pieces as runs, the reason, and what is drilled.
fn said(those: &Those) -> String {
    let numbers = runs(those.pieces.iter().map(|(number, _)| *number));
    let hole = |(number, holes): &(Number, u32)| match holes {
        0 => None,
        1 => Some(number.to_string()),
        some => Some(format!("{number} ({some} holes)")),
    };
    let drilled: Vec<String> = those.pieces.iter().filter_map(hole).collect();
    let drilled = if drilled.is_empty() { String::new() } else { format!(" Start holes in {}.", drilled.join(", ")) };
    let mut why = those.why.chars();
    let why: String = why.next().into_iter().flat_map(char::to_uppercase).chain(why).collect();
    format!("{numbers}. {why}.{drilled}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::tests::job;
    use crate::sheets::{Kind, Wanted, book, paper};

    /// Every piece once, each blade in one run of rows, and the piece around the island with its hole.
    #[test]
    fn every_piece_has_its_blade_and_a_piece_around_an_island_its_start_hole() {
        let (work, outlines) = job();
        let facts = Facts::of(&work, outlines);
        let all = those(&facts);
        let mut pieces: Vec<Number> =
            all.iter().flat_map(|those| those.pieces.iter().map(|(piece, _)| *piece)).collect();
        pieces.sort();
        assert_eq!(pieces, work.pieces.keys().copied().collect::<Vec<_>>());
        assert!(all.windows(2).all(|two| two[0].blade.width <= two[1].blade.width));
        let around = facts.pieces.iter().find(|piece| facts.outline(piece.area).rings.len() > 1).expect("an island");
        let holed = all.iter().find(|those| those.pieces.contains(&(around.number, 1))).expect("it is drilled");
        assert!(said(holed).contains(&format!("Start holes in {}.", around.number)));
        let row = &words(&facts, &all).rows[all.iter().position(|those| std::ptr::eq(those, holed)).expect("a row")];
        assert_eq!(row.0[4], facts.words.hair(holed.blade.hole()));
    }

    #[test]
    fn the_book_has_a_sheet_of_blades() {
        let (work, outlines) = job();
        let facts = Facts::of(&work, outlines);
        for only in [Vec::new(), vec![Kind::Blades]] {
            let wanted = Wanted { only, ..Wanted::book(paper("a4").expect("a paper")) };
            assert!(book::Plan::of(&facts, &wanted, false).expect("a plan").names().contains(&"Blades".to_owned()));
        }
    }
}
