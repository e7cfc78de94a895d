//! The demo's boards: invented, and called so, of the sizes that its own shopping list asks for.

use workshop::Derived;
use workshop::work::edit::{Edit, stock};
use workshop::work::{Ask, Board, Work};

use crate::failure::Failure;
use crate::progress::watched;

/// Puts invented boards on the demo's rack and lays its pieces on them.
pub fn put_and_lay(work: &mut Work, derived: &mut Derived) -> Result<(), Failure> {
    let boards: Vec<Board> = (derived.missing(work).into_iter())
        .flat_map(|one| {
            let (count, length, width) = one.boards;
            (0..count).map(move |_| Board::rectangle("", one.wood.clone(), (length, width, one.thickness)))
        })
        .collect();
    let named = boards.into_iter().enumerate().map(|(at, board)| {
        let name = format!("Invented board {}", at + 1);
        Edit::Stock(stock::Edit::Put(Box::new(Board { name, ..board })))
    });
    workshop::apply_all(work, &named.collect::<Vec<_>>())?;
    let proposal = watched(|watch| workshop::propose(work, derived, &Ask::LayOut { effort: 0 }, watch))?;
    workshop::apply(work, &Edit::Take(Box::new(proposal)))?;
    Ok(())
}
