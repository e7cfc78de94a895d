//! Boards on their way between a job and the shop.

use std::collections::BTreeMap;

use workshop::stock::{joined, shelved};
use workshop::work::edit::stock;
use workshop::work::{Board, BoardId, Edit, Shop, ShopEdit, Work};

use crate::job::Job;
use crate::problem::Refused;
use crate::shop::ShopFile;

/// Brings the shop's boards of the job's woods, with their photographs, and what the shop knows of those that the job has
/// already; how many were new, and the names of those that the shop knew more of.
pub fn bring(job: &mut Job, shop: &ShopFile) -> Result<(usize, Vec<String>), Refused> {
    let new = unknown(job.work(), shop.shop());
    for hash in new.iter().filter_map(|board| Some(&board.photograph.as_ref()?.hash)) {
        if let Some(bytes) = shop.photograph(hash)? {
            job.put_picture(&bytes)?;
        }
    }
    let mut names = Vec::new();
    let mut edits = Vec::new();
    for (id, board) in &job.work().boards {
        let Some(other) = board.shop.and_then(|number| shop.shop().boards.get(&number)) else { continue };
        if joined(board, other)? != *board {
            names.push(board.name.clone());
            edits.push(Edit::Stock(stock::Edit::Learn { board: *id, of: Box::new(other.clone()) }));
        }
    }
    let count = new.len();
    edits.extend(new.into_iter().map(|board| Edit::Stock(stock::Edit::Put(Box::new(board)))));
    if !edits.is_empty() {
        job.apply(&edits, "bring boards from the shop")?;
    }
    Ok((count, names))
}

/// The shop's boards of the job's woods that the job has not yet.
fn unknown(work: &Work, shop: &Shop) -> Vec<Board> {
    let known = |id: &BoardId| work.boards.values().any(|board| board.shop == Some(*id));
    let wanted = shop.boards.iter().filter(|(id, board)| !known(id) && work.woods.contains_key(&board.wood));
    wanted.map(|(id, board)| Board { shop: Some(*id), ..shelved(board) }).collect()
}

/// Puts every board of the job into the shop as both know it, and remembers in the job under which number and what the shop
/// knew besides; the names of the boards of which it knew more.
pub fn give_back(job: &mut Job, shop: &mut ShopFile) -> Result<Vec<String>, Refused> {
    let mut next = shop.shop().boards.keys().last().map_or(1, |last| last.0 + 1);
    let (mut into_shop, mut into_job, mut names) = (Vec::new(), Vec::new(), Vec::new());
    for (id, board) in &job.work().boards {
        let other = board.shop.and_then(|number| shop.shop().boards.get(&number));
        let number = board.shop.unwrap_or_else(|| {
            let number = BoardId(next);
            next += 1;
            into_job.push(Edit::Stock(stock::Edit::Shelved { board: *id, shop: number }));
            number
        });
        let both = other.map_or_else(|| Ok(board.clone()), |other| joined(board, other))?;
        if let Some(other) = other.filter(|_| both != *board) {
            names.push(board.name.clone());
            into_job.push(Edit::Stock(stock::Edit::Learn { board: *id, of: Box::new(other.clone()) }));
        }
        into_shop.push(ShopEdit::PutBoard { id: Some(number), board: Box::new(shelved(&both)) });
    }
    for hash in photographs(&job.work().boards) {
        if let Some(bytes) = job.photograph(&hash)? {
            shop.put_photograph(&bytes)?;
        }
    }
    if !into_shop.is_empty() {
        shop.apply(&into_shop, "take boards back")?;
    }
    if !into_job.is_empty() {
        job.apply(&into_job, "give boards to the shop")?;
    }
    Ok(names)
}

fn photographs(boards: &BTreeMap<BoardId, Board>) -> Vec<String> {
    boards.values().filter_map(|board| Some(board.photograph.as_ref()?.hash.clone())).collect()
}
