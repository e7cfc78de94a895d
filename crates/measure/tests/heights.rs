//! Our costs of 500 random jobs against those that HiGHS found (`tests/reference/test_heights.py` makes the file).

use measure::solve::{Unsolved, cost, positive_cycle, solve};

#[path = "../examples/heights/jobs.rs"]
mod jobs;

const ANSWERS: &str = include_str!("../../../tests/reference/answers/heights.json");

#[test]
fn costs_equal_those_of_an_outside_solver() {
    let answers: Vec<Option<i128>> = serde_json::from_str(ANSWERS).unwrap();
    assert_eq!(answers.len(), 500);
    assert!(answers.iter().filter(|answer| answer.is_none()).count() >= 50, "some jobs have no solution");
    for (seed, expected) in answers.iter().enumerate() {
        let job = jobs::job(seed as u64, None);
        match solve(job.nodes, &job.rows) {
            Ok(x) => assert_eq!(cost(&job.rows, &x), *expected, "job {seed}"),
            Err(Unsolved::Conflict(cycle)) => {
                assert_eq!(*expected, None, "job {seed}");
                for left_out in 0..cycle.len() {
                    let mut rest: Vec<_> = cycle.iter().map(|at| job.rows[*at]).collect();
                    rest.remove(left_out);
                    assert_eq!(positive_cycle(job.nodes, &rest), None, "job {seed}");
                }
            }
            Err(other) => panic!("job {seed}: {other}"),
        }
    }
}
