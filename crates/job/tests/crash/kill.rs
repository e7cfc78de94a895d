//! Kill -9 at 200 random moments of a stream of steps: each step reported as done is there, and the file opens.

use std::io::Read;
use std::path::PathBuf;
use std::process::Stdio;
use std::thread::sleep;
use std::time::Duration;

use job::Job;

use crate::stream::{Dice, child_command, line_after, line_of, reported};

const KILLS: usize = 200;
/// A new file now and then, so that its making is killed too.
const KILLS_A_FILE: usize = 10;
/// The longest life of a child, in µs: several steps on a slow disk.
const LIFE: usize = 70_000;

#[test]
fn no_reported_step_is_lost_at_200_kills() {
    let folder = tempfile::tempdir().unwrap();
    let mut dice = Dice(1);
    let (mut done, mut journals, mut unmade) = (None, 0, 0);
    for kill in 0..KILLS {
        let path = folder.path().join(format!("{}.spelk", kill / KILLS_A_FILE));
        if kill % KILLS_A_FILE == 0 {
            done = None;
        }
        let from = done.unwrap_or(0) + 1;
        let said = killed(&path, from, Duration::from_micros(dice.below(LIFE) as u64));
        let last = reported(&said).map(|k| k.max(from - 1)).or(done);
        journals += usize::from(path.with_extension("spelk-journal").exists());
        let Some(last) = last.or_else(|| path.exists().then_some(0)) else {
            unmade += 1;
            continue;
        };
        done = Some(found(&path, last));
    }
    println!("{journals} kills left a journal to play back, {unmade} came before the file was made");
}

fn killed(path: &std::path::Path, from: usize, life: Duration) -> String {
    let mut child = child_command(&[], path, (from, from + 10_000)).stdout(Stdio::piped()).spawn().unwrap();
    sleep(life);
    child.kill().unwrap();
    child.wait().unwrap();
    let mut said = String::new();
    child.stdout.take().unwrap().read_to_string(&mut said).unwrap();
    assert!(!said.contains("refused"), "{said}");
    said
}

/// How many steps the file has: those reported, or one more that was done but not yet reported.
fn found(path: &PathBuf, last: usize) -> usize {
    let line = line_of(&Job::open(path).unwrap()).unwrap();
    (last..=last + 1)
        .find(|&k| line == line_after(k))
        .unwrap_or_else(|| panic!("step {last} was reported, but the file has {line:?}"))
}
