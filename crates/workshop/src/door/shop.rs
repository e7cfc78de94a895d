//! Edits of the shop.

use crate::stock;
use crate::work::{BoardId, Refusal, Shop, ShopEdit, Way};

/// Applies edits to the shop in order, all or none.
pub fn apply_to_shop(shop: &mut Shop, edits: &[ShopEdit]) -> Result<(), Refusal> {
    let mut changed = shop.clone();
    edits.iter().try_for_each(|edit| go_through(&mut changed, edit))?;
    *shop = changed;
    Ok(())
}

fn go_through(shop: &mut Shop, edit: &ShopEdit) -> Result<(), Refusal> {
    match edit {
        ShopEdit::PutWood(wood) if wood.id.0.trim().is_empty() => {
            Err(Refusal::new("A wood of the shop has no key.").way(Way::advice("Give it one, such as plum-own.")))
        }
        ShopEdit::PutWood(wood) => {
            shop.woods.insert(wood.id.clone(), (**wood).clone());
            Ok(())
        }
        ShopEdit::PutBoard { id, board } => {
            stock::sound(board)?;
            let id = match id {
                Some(id) if !shop.boards.contains_key(id) => return Err(no_board(*id)),
                Some(id) => *id,
                None => stock::next_number(shop),
            };
            shop.boards.insert(id, (**board).clone());
            Ok(())
        }
        ShopEdit::TakeIn { board, line } => {
            stock::sound(board)?;
            let id = stock::next_number(shop);
            shop.boards.insert(id, (**board).clone());
            shop.lines.insert(id, line.clone());
            Ok(())
        }
        ShopEdit::DropBoard(id) => match shop.boards.remove(id) {
            Some(_) => Ok(()),
            None => Err(no_board(*id)),
        },
        ShopEdit::DropWood(id) => match shop.woods.remove(id) {
            Some(_) => Ok(()),
            None => Err(Refusal::new(format!("The shop has no wood of its own called {id}."))
                .way(Way::advice("Name one of the shop's own woods; the table's woods cannot be dropped."))),
        },
    }
}

fn no_board(id: BoardId) -> Refusal {
    Refusal::new(format!("The shop has no board {id}.")).way(Way::advice("spelk shop lists them."))
}
