//! Files that are not what they should be: one clear message each, and every byte as it was.

// Helpers of tests are tests, which Clippy does not see.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::{Path, PathBuf};

use job::{Job, Problem, Refused, ShopFile};
use rusqlite::Connection;
use workshop::work::edit::{picture, setup};
use workshop::work::{Edit, PictureRef, Work};

fn title(text: &str) -> Vec<Edit> {
    vec![Edit::Setup(setup::Edit::Title(text.into()))]
}

struct Bench {
    _folder: tempfile::TempDir,
    path: PathBuf,
}

/// A job of a few revisions with a picture.
fn bench() -> Bench {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heron.spelk");
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    let hash = job.put_picture(&vec![7; 20_000]).unwrap();
    for k in 0..60 {
        let place = PictureRef {
            hash: hash.clone(),
            width: 1,
            height: 1,
            author: String::new(),
            source: "reeds ".repeat(k * 9),
            permission: String::new(),
            framing: None,
            unmasked: None,
        };
        let edits = [title(&format!("{k}")), vec![Edit::Picture(picture::Edit::Place(place))]].concat();
        job.apply(&edits, &format!("Title {k}")).unwrap();
    }
    Bench { _folder: folder, path }
}

/// Opening and looking fail alike, nothing beside the file comes or goes, no byte of it changes.
fn refused(path: &Path, right: fn(&Problem) -> bool, words: &str) {
    let before = fs::read(path).ok();
    let listing = || {
        let mut names: Vec<_> = fs::read_dir(path.parent().unwrap()).unwrap().map(|e| e.unwrap().file_name()).collect();
        names.sort();
        names
    };
    let names = listing();
    for problem in [Job::open(path).err(), Job::read(path).err()] {
        let problem = problem.expect("it must not open");
        let said = problem.to_string();
        assert!(right(&problem), "{problem:?}");
        assert!(said.contains(words) && said.contains(path.file_name().unwrap().to_str().unwrap()), "{said}");
        assert!(said.ends_with('.') && said.matches(['.', ';', ',']).count() > 1, "no way out is given: {said}");
    }
    assert!(fs::read(path).ok() == before);
    assert_eq!(listing(), names);
}

fn altered(path: &Path, alter: impl Fn(&mut Vec<u8>)) {
    let mut bytes = fs::read(path).unwrap();
    alter(&mut bytes);
    fs::write(path, bytes).unwrap();
}

#[test]
fn what_is_no_job_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heron.spelk");
    refused(&path, |p| matches!(p, Problem::Missing { .. }), "There is no file");
    refused(folder.path(), |p| matches!(p, Problem::Folder { .. }), "is a folder");
    for (bytes, found) in [
        (&b""[..], "an empty file"),
        (b"short", "some other kind of file"),
        (&[0x89; 5_000], "some other kind of file"),
        (b"\x89PNG\r\n\x1a\n0000", "some other kind of file"),
    ] {
        fs::write(&path, bytes).unwrap();
        refused(&path, |p| matches!(p, Problem::NotOurs { .. }), found);
    }
    fs::write(&path, b"SQLite format 3\0and no more").unwrap();
    refused(&path, |p| matches!(p, Problem::Damaged { .. }), "only its beginning");
}

#[test]
fn another_programs_database() {
    let folder = tempfile::tempdir().unwrap();
    for (mode, mark) in [("delete", 0), ("delete", 1234), ("wal", 1234)] {
        let path = folder.path().join(format!("{mode}{mark}.db"));
        let theirs = Connection::open(&path).unwrap();
        theirs.pragma_update(None, "journal_mode", mode).unwrap();
        theirs.pragma_update(None, "application_id", mark).unwrap();
        theirs.execute_batch("CREATE TABLE t(x); INSERT INTO t VALUES (1)").unwrap();
        drop(theirs);
        refused(&path, |p| matches!(p, Problem::NotOurs { .. }), "another program");
    }
}

#[test]
fn our_other_kind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.spelk");
    drop(ShopFile::open(&path).unwrap());
    refused(&path, |p| matches!(p, Problem::NotOurs { .. }), "is not a job file but a shop file");
}

#[test]
fn a_later_version() {
    let Bench { _folder, path } = bench();
    // The format stands at byte 60 of SQLite's header.
    altered(&path, |bytes| bytes[60..64].copy_from_slice(&99i32.to_be_bytes()));
    refused(&path, |p| matches!(p, Problem::Later { found: 99, .. }), "later spelk");
}

#[test]
fn a_mode_that_loses_edits() {
    let Bench { _folder, path } = bench();
    Connection::open(&path).unwrap().pragma_update(None, "journal_mode", "wal").unwrap();
    refused(&path, |p| matches!(p, Problem::Unsafe { .. }), "journal_mode is wal");
}

#[test]
fn cut_short_anywhere() {
    let Bench { _folder, path } = bench();
    let whole = fs::read(&path).unwrap();
    for share in 1..20 {
        fs::write(&path, &whole[..whole.len() * share / 20]).unwrap();
        refused(&path, |p| matches!(p, Problem::Damaged { .. }), "is damaged");
    }
}

#[test]
fn a_garbled_page_never_gives_a_wrong_job() {
    let Bench { _folder, path } = bench();
    let whole = fs::read(&path).unwrap();
    let (work, history) = {
        let job = Job::read(&path).unwrap();
        (job.work().clone(), job.history().unwrap().len())
    };
    let mut caught = 0;
    for page in 0..whole.len() / 4096 {
        for at in [0, 5, 1_000, 2_500, 4_000] {
            altered(&path, |bytes| bytes[page * 4096 + at..][..24].iter_mut().for_each(|byte| *byte ^= 0x5a));
            let before = fs::read(&path).unwrap();
            match Job::open(&path) {
                Err(_) => {
                    caught += 1;
                    assert!(fs::read(&path).unwrap() == before);
                }
                // Spare bytes, the picture, or an old revision: the present state must be right.
                Ok(job) => assert!(*job.work() == work && job.history().map_or(true, |line| line.len() == history)),
            }
            fs::write(&path, &whole).unwrap();
        }
    }
    assert!(caught > 20, "{caught}");
}

#[test]
fn a_state_that_is_not_the_one_written() {
    let Bench { _folder, path } = bench();
    let theirs = Connection::open(&path).unwrap();
    theirs.execute_batch("UPDATE revision SET label = 'Title 58, honestly' WHERE label = 'Title 58'").unwrap();
    drop(theirs);
    refused(&path, |p| matches!(p, Problem::Damaged { .. }), "not as it was written");
}

#[test]
fn a_picture_that_is_not_the_one_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heron.spelk");
    let bytes = vec![9; 50_000];
    let hash =
        Job::create(folder.path().join("first.spelk"), &Work::default(), None, "Start").unwrap().put_picture(&bytes);
    let (author, source, permission) = Default::default();
    let picture = Some(PictureRef {
        hash: hash.unwrap(),
        width: 1,
        height: 1,
        author,
        source,
        permission,
        framing: None,
        unmasked: None,
    });
    let work = Work { picture, ..Work::default() };
    drop(Job::create(&path, &work, Some(&bytes), "Start").unwrap());
    altered(&path, |bytes| {
        let at = bytes.windows(64).rposition(|window| window == [9; 64]).unwrap();
        bytes[at] = 8;
    });
    assert!(matches!(Job::open(&path).unwrap().picture(), Err(Problem::Damaged { .. })));
}

#[test]
fn changed_by_another_machine() {
    let Bench { _folder, path } = bench();
    let mut job = Job::open(&path).unwrap();
    // Without our lock, as from another machine that shares the drive.
    let theirs = Connection::open(&path).unwrap();
    theirs.execute_batch("UPDATE revision SET label = 'theirs' WHERE id = 3").unwrap();
    let refused = job.apply(&title("ours"), "ours").err().unwrap();
    assert!(matches!(refused, Refused::Problem(Problem::Changed { .. })), "{refused}");
    assert!(job.undo().is_err());
    drop(job);
    Job::open(&path).unwrap().apply(&title("ours"), "ours").unwrap();
}

#[test]
fn held_by_another_program() {
    let Bench { _folder, path } = bench();
    let mut job = Job::open(&path).unwrap();
    let theirs = Connection::open(&path).unwrap();
    theirs.execute_batch("BEGIN IMMEDIATE").unwrap();
    let refused = job.apply(&title("ours"), "ours").err().unwrap();
    assert!(matches!(refused, Refused::Problem(Problem::Busy { .. })), "{refused}");
    theirs.execute_batch("ROLLBACK").unwrap();
    job.apply(&title("ours"), "ours").unwrap();
}

#[cfg(unix)]
#[test]
fn moved_away_or_replaced_while_open() {
    let Bench { _folder, path } = bench();
    let mut job = Job::open(&path).unwrap();
    fs::rename(&path, path.with_extension("old")).unwrap();
    fs::write(&path, "a letter").unwrap();
    let refused = job.apply(&title("ours"), "ours").err().unwrap();
    assert!(matches!(refused, Refused::Problem(Problem::Moved { .. })), "{refused}");
    assert_eq!(fs::read(&path).unwrap(), b"a letter");
}

#[test]
fn a_folder_that_is_not_there() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("none/heron.spelk");
    let problem = Job::create(&path, &Work::default(), None, "Start").err().unwrap();
    assert!(matches!(problem, Problem::NoFolder { .. }), "{problem}");
}
