//! Boards on their way between a job and the shop, in their files.

use workshop::stock::{Passed, Told, bring as brought, give as given};
use workshop::work::edit::stock;
use workshop::work::{Board, Edit, ShopEdit};

use crate::job::Job;
use crate::problem::Refused;
use crate::shop::ShopFile;

/// Brings the shop's boards of the job's woods, with their photographs, and what the shop knows of those that the job has
/// already. The shop is only looked at.
pub fn bring(job: &mut Job, shop: &ShopFile) -> Result<Passed, Refused> {
    let passed = brought(job.work(), shop.shop(), &job.rack()?.0);
    take_photographs(job, shop, &passed)?;
    if !passed.job.is_empty() {
        job.apply(&passed.job, "bring boards from the shop")?;
    }
    Ok(passed)
}

/// Puts every board of the job into the shop as both know it, and into the job what the shop knew besides. The shop is
/// written first: where the job then cannot be, giving again finds the same boards.
pub fn give_back(job: &mut Job, shop: &mut ShopFile) -> Result<Passed, Refused> {
    let (key, before) = job.rack()?;
    let passed = given(job.work(), shop.shop(), &key, &before);
    for hash in passed.shop.iter().filter_map(|edit| photograph(shop_board(edit)?)) {
        if let Some(bytes) = job.photograph(hash)? {
            shop.put_photograph(&bytes)?;
        }
    }
    // What is taken back is forgotten last, what is told is noted first: either can be told twice without harm.
    let more = passed.told.iter().filter(|one| !before.contains(one)).cloned();
    let noted: Vec<Told> = before.iter().cloned().chain(more).collect();
    job.note_told(&before, &noted)?;
    if !passed.shop.is_empty() {
        shop.apply(&passed.shop, "take boards back")?;
    }
    take_photographs(job, shop, &passed)?;
    if !passed.job.is_empty() {
        job.apply(&passed.job, "give boards to the shop")?;
    }
    job.note_told(&noted, &passed.told)?;
    Ok(passed)
}

/// Copies the photographs of boards that the job is about to hold as the shop has them.
fn take_photographs(job: &mut Job, shop: &ShopFile, passed: &Passed) -> Result<(), Refused> {
    for hash in passed.job.iter().filter_map(|edit| photograph(job_board(edit)?)) {
        if job.photograph(hash)?.is_none()
            && let Some(bytes) = shop.photograph(hash)?
        {
            job.put_picture(&bytes)?;
        }
    }
    Ok(())
}

fn job_board(edit: &Edit) -> Option<&Board> {
    match edit {
        Edit::Stock(stock::Edit::Put(board) | stock::Edit::Agree { of: board, .. }) => Some(board),
        _ => None,
    }
}

fn shop_board(edit: &ShopEdit) -> Option<&Board> {
    match edit {
        ShopEdit::PutBoard { board, .. } | ShopEdit::TakeIn { board, .. } => Some(board),
        _ => None,
    }
}

fn photograph(board: &Board) -> Option<&str> {
    Some(&board.photograph.as_ref()?.hash)
}
