//! Boards on hand, and stock in inches.

use super::*;
use crate::work::{Board, BoardId, Stock, Unit, WoodId};

fn holly() -> WoodId {
    WoodId("holly".into())
}

/// A board of holly 22 mm thick on the rack, and piece 1 of holly.
fn with_a_board() -> (Work, Outlines) {
    let (mut work, outlines) = job(3);
    let board = Board::rectangle("rack 1", holly(), (Um(600_000), Um(120_000), Um(22_000)));
    work.boards.insert(BoardId(1), board);
    work.pieces.get_mut(&Number(1)).unwrap().values.wood = Some(Chosen::hand(holly()));
    (work, outlines)
}

#[test]
fn a_board_counts_for_pieces_of_its_wood_alone() {
    let (mut work, outlines) = with_a_board();
    must(&mut work, Says::At(piece(1), Um(22_000)));
    let landed = solved(&work, &outlines).unwrap();
    assert_eq!((landed[&Number(1)].thickness, landed[&Number(1)].raiser), (Um(22_000), Um(0)));
    taken(&mut work, &landed);
    assert_eq!(kinds(&work, &outlines), []);
    must(&mut work, Says::At(piece(2), Um(22_000)));
    assert!(solved(&work, &outlines).unwrap_err().what.contains("stock gives this: piece 2 at 22 mm"));
}

#[test]
fn few_settings_are_chosen_among_boards_too() {
    let (mut work, outlines) = with_a_board();
    must(&mut work, Says::At(piece(1), Um(22_000)));
    work.choices.planer_settings = Some(2);
    let landed = solved(&work, &outlines).unwrap();
    taken(&mut work, &landed);
    assert!(settings(&work).len() <= 2 && settings(&work).contains_key(&Um(22_000)));
}

#[test]
fn no_piece_is_built_over_what_stock_and_boards_reach() {
    let (mut work, _) = with_a_board();
    let build = |um| Edit::Build { whom: piece(1), thickness: Um(um), raiser: Um(0) };
    refused(&work, build(100_000), "thickest on the highest raiser is 54 mm");
    work.boards.get_mut(&BoardId(1)).unwrap().thickness = Um(60_000);
    apply(&mut work, &build(60_000)).unwrap();
}

/// 0.3 µm is what rounding a 64th of an inch to whole micrometres can give up.
#[test]
fn stock_in_inches_is_of_whole_64ths() {
    for (name, most) in [("thin", 16), ("thick", 112)] {
        let stock = crate::stock(name, Unit::Inch).unwrap();
        for length in stock.thicknesses.iter().chain(&stock.raisers) {
            let parts = f64::from(length.0) * 64.0 / 25_400.0;
            assert!((parts - parts.round()).abs() < 0.002, "{length:?}");
            assert!(parts.round() as i32 <= most);
        }
        let heights: BTreeSet<i32> =
            stock.thicknesses.iter().flat_map(|t| stock.raisers.iter().map(move |r| t.0 + r.0)).collect();
        assert!(heights.contains(&stock.lowest.0) && heights.contains(&stock.highest.0), "{name}");
    }
    assert_eq!(crate::stock("thick", Unit::Mm).unwrap(), Stock::thick());
}
