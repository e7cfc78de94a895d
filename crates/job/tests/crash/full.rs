//! A full disk at each write in turn, and no right to write: the step is refused in words, and the file is as it was.
//!
//! `strace` answers the call with "no space left" or "permission denied" in the system's place.

use std::fs;
use std::path::Path;

use job::Job;

use crate::stream::{child_command, line_after, line_of, reported};

/// Runs steps with every write from the `nth` on failing; what the child said.
fn on_full_disk(path: &Path, steps: (usize, usize), nth: usize) -> String {
    let fault = format!("inject=pwrite64:error=ENOSPC:when={nth}+");
    let wrapper = ["strace", "-f", "-o", "/dev/null", "-e", "trace=pwrite64", "-e", &fault];
    let out = child_command(&wrapper, path, steps).output().expect("strace must be installed, and may trace");
    String::from_utf8_lossy(&out.stdout).into_owned()
}

#[test]
fn a_step_on_a_full_disk_is_refused_and_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.spelk");
    let made = child_command(&[], &path, (1, 10)).output().unwrap();
    assert_eq!(reported(&String::from_utf8_lossy(&made.stdout)), Some(10));
    let before = fs::read(&path).unwrap();
    for nth in 1.. {
        let said = on_full_disk(&path, (11, 11), nth);
        if reported(&said) == Some(11) {
            assert!(nth > 10, "{nth} writes in a step are too few to have tried any");
            return;
        }
        assert!(said.contains("refused 11") && said.contains("is full"), "write {nth}: {said}");
        assert_eq!(line_of(&Job::open(&path).unwrap()).unwrap(), line_after(10), "write {nth}");
        assert!(fs::read(&path).unwrap() == before, "write {nth} left other bytes");
    }
}

#[test]
fn a_job_that_cannot_be_made_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.spelk");
    for nth in 1.. {
        let said = on_full_disk(&path, (1, 0), nth);
        if path.exists() {
            assert!(nth > 5 && reported(&said) == Some(0));
            return;
        }
        assert!(said.contains("refused to open") && said.contains("job.spelk is full"), "write {nth}: {said}");
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left, ["state"], "write {nth}");
    }
}

/// Rights cannot be taken from root by the mode of a file, so the system's answer is put in its place here too.
#[test]
fn without_the_right_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().canonicalize().unwrap().join("job.spelk");
    child_command(&[], &path, (1, 10)).output().unwrap();
    let before = fs::read(&path).unwrap();
    for (barred, refused) in [("job.spelk", "refused to open"), ("job.spelk-journal", "refused 11")] {
        let barred = path.with_file_name(barred);
        let fault = "inject=openat:error=EACCES";
        let wrapper = ["strace", "-f", "-o", "/dev/null", "-P", barred.to_str().unwrap(), "-e", fault];
        let out = child_command(&wrapper, &path, (11, 11)).output().unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        assert!(said.contains(refused) && said.contains("There is no right"), "{said}");
        assert!(fs::read(&path).unwrap() == before);
    }
}
