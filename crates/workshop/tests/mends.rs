//! Heights that we mend in 100 jobs against the fewest pieces and least distance that HiGHS found
//! (`tests/reference/test_mends.py` makes the file).

use workshop::work::{By, State};

#[path = "../examples/mends/jobs.rs"]
mod jobs;

const ANSWERS: &str = include_str!("../../../tests/reference/answers/mends.json");

#[test]
fn as_few_move_as_an_outside_solver_found_and_nothing_that_is_settled() {
    let answers: Vec<Option<[i64; 2]>> = serde_json::from_str(ANSWERS).expect("a list");
    assert_eq!(answers.len(), 100);
    assert!(answers.iter().flatten().filter(|[moved, _]| *moved > 1).count() >= 30, "many jobs need several to move");
    for (seed, expected) in answers.iter().enumerate() {
        let before = jobs::job(seed as u64);
        let after = jobs::mended(&before);
        assert_eq!(after.as_ref().map(|after| jobs::moves(&before, after)), *expected, "job {seed}");
        let Some(after) = after else { continue };
        for (number, piece) in &before.pieces {
            let settled =
                piece.state != State::Planned || piece.values.height.is_none_or(|height| height.by != By::Act);
            assert!(!settled || after.pieces[number] == *piece, "job {seed}: piece {number} is settled or undecided");
        }
    }
}
