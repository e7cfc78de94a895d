//! `spelk shop`: what outlives a job.

use job::ShopFile;
use workshop::work::ShopEdit;

use crate::args::Shop;
use crate::commands::parse_json;
use crate::failure::{Failure, Outcome};
use crate::files;
use crate::out::say;

pub fn run(typed: &Shop) -> Result<Outcome, Failure> {
    let path = typed.file.clone().map_or_else(ShopFile::usual_path, Ok)?;
    if let Some(edits) = &typed.edits {
        let text = files::read_edits(edits)?;
        let edits: Vec<ShopEdit> = parse_json(&text, edits, "list of shop edits")?;
        ShopFile::open(&path)?.apply(&edits, "change the shop")?;
    }
    let shop = ShopFile::look(&path)?;
    if typed.json {
        say!("{}", serde_json::json!(shop));
    } else if shop.woods.is_empty() && shop.boards.is_empty() {
        say!("The shop holds no woods and no boards of your own; jobs use the table of woods.");
    } else {
        for wood in shop.woods.values() {
            say!("{}  {} ({})", wood.id, wood.name, wood.latin);
        }
        for (id, board) in &shop.boards {
            let thick = measure::length::mm_text(board.thickness);
            say!("board {id}  {}: {}, {thick} thick, {} cut out of it", board.name, board.wood, board.used.len());
        }
    }
    Ok(Outcome::Done)
}
