//! The life of a job file: made, changed, walked, looked at, saved under another name.

use std::path::PathBuf;

use job::{Job, Problem, Refused, ShopFile};
use workshop::work::edit::setup;
use workshop::work::{Edit, Number, PictureRef, Shop, Work};

fn title(text: &str) -> Vec<Edit> {
    vec![Edit::Setup(setup::Edit::Title(text.into()))]
}

fn place() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heron.spelk");
    (folder, path)
}

#[test]
fn an_edit_is_there_after_opening_again() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    job.apply(&title("Heron"), "Title").unwrap();
    let before = job.work().clone();
    drop(job);
    let job = Job::open(&path).unwrap();
    assert_eq!(job.work().choices.title, "Heron");
    assert_eq!(*job.work(), before);
    let labels: Vec<_> = job.history().unwrap().into_iter().map(|r| (r.label, r.head, r.undone)).collect();
    assert_eq!(labels, [("Start".to_string(), false, false), ("Title".to_string(), true, false)]);
}

#[test]
fn undo_and_redo_walk_over_snapshots_and_across_opening() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    for k in 1..=120 {
        job.apply(&title(&format!("title {k}")), &format!("Title {k}")).unwrap();
    }
    for k in (1..=120).rev() {
        if k % 40 == 0 {
            drop(job);
            job = Job::open(&path).unwrap();
        }
        assert_eq!(job.work().choices.title, format!("title {k}"));
        assert_eq!(job.undo().unwrap(), Some(format!("Title {k}")));
    }
    assert_eq!(job.work().choices.title, "");
    assert_eq!(job.undo().unwrap(), None);
    for k in 1..=120 {
        assert_eq!(job.redo().unwrap(), Some(format!("Title {k}")));
        assert_eq!(job.work().choices.title, format!("title {k}"));
    }
    assert_eq!(job.redo().unwrap(), None);
}

#[test]
fn an_edit_after_undo_leaves_the_line_that_was_undone() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    for name in ["one", "two", "three"] {
        job.apply(&title(name), name).unwrap();
    }
    job.undo().unwrap();
    job.undo().unwrap();
    let undone: Vec<_> = job.history().unwrap().into_iter().filter(|r| r.undone).map(|r| r.label).collect();
    assert_eq!(undone, ["two", "three"]);
    job.apply(&title("other"), "other").unwrap();
    assert_eq!(job.redo().unwrap(), None);
    drop(job);
    let mut job = Job::open(&path).unwrap();
    let labels: Vec<_> = job.history().unwrap().into_iter().map(|r| r.label).collect();
    assert_eq!(labels, ["Start", "one", "other"]);
    assert_eq!(job.undo().unwrap().as_deref(), Some("other"));
    assert_eq!(job.work().choices.title, "one");
}

#[test]
fn a_refused_edit_changes_nothing() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    let bytes = std::fs::read(&path).unwrap();
    let mut edits = title("Heron");
    edits.push(serde_json::from_str(r#"{"pattern":{"merge":[7,8]}}"#).unwrap_or_else(|_| Edit::Setup(setup::Edit::WoodsMost(0))));
    assert!(matches!(job.apply(&edits, "both"), Err(Refused::Refusal(_))));
    assert_eq!(job.work().choices.title, "");
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
}

#[test]
fn a_second_writer_is_refused_and_a_reader_is_not() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    let second = Job::open(&path).err().unwrap();
    assert!(matches!(second, Problem::Owned { .. }), "{second}");
    job.apply(&title("Heron"), "Title").unwrap();
    let mut reader = Job::read(&path).unwrap();
    assert_eq!(reader.work().choices.title, "Heron");
    assert!(matches!(reader.apply(&title("x"), "x"), Err(Refused::Problem(Problem::ReadOnly { .. }))));
    drop(reader);
    job.apply(&title("Egret"), "Title").unwrap();
    drop(job);
    assert_eq!(Job::open(&path).unwrap().work().choices.title, "Egret");
}

#[test]
fn a_picture_comes_back_byte_for_byte() {
    let (_folder, path) = place();
    let bytes: Vec<u8> = (0..300_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let mut job = Job::create(&path, &Work::default(), None, "Start").unwrap();
    assert_eq!(job.picture().unwrap(), None);
    let hash = job.put_picture(&bytes).unwrap();
    drop(job);
    let other = path.with_file_name("other.spelk");
    let picture = PictureRef { hash, width: 1, height: 1, author: String::new(), source: String::new(), permission: String::new() };
    let work = Work { picture: Some(picture), ..Work::default() };
    let wrong = Job::create(&other, &work, Some(b"another"), "Start").err().unwrap();
    assert!(matches!(wrong, Problem::NoPicture { .. }));
    assert!(!other.exists());
    let job = Job::create(&other, &work, Some(&bytes), "Start").unwrap();
    assert_eq!(job.picture().unwrap(), Some(bytes.clone()));
    let copy = path.with_file_name("copy.spelk");
    job.save_as(&copy).unwrap();
    assert!(matches!(job.save_as(&copy), Err(Problem::Exists { .. })));
    assert_eq!(Job::open(&copy).unwrap().picture().unwrap(), Some(bytes));
}

#[test]
fn numbers_are_not_given_again_after_undo() {
    let (_folder, path) = place();
    let mut work = Work::default();
    work.next.new_number();
    let mut job = Job::create(&path, &work, None, "Start").unwrap();
    assert_eq!(job.work().next.number, 2);
    job.undo().unwrap();
    drop(job);
    assert_eq!(Job::open(&path).unwrap().work().next.clone().new_number(), Number(2));
}

#[test]
fn nothing_is_written_over() {
    let (_folder, path) = place();
    std::fs::write(&path, "a letter").unwrap();
    let problem = Job::create(&path, &Work::default(), None, "Start").err().unwrap();
    assert!(matches!(problem, Problem::Exists { .. }), "{problem}");
    assert_eq!(std::fs::read(&path).unwrap(), b"a letter");
}

#[test]
fn the_shop_is_kept_too() {
    let (folder, _) = place();
    let path = folder.path().join("new/shop.spelk");
    assert_eq!(ShopFile::look(&path).unwrap(), Shop::default());
    assert!(!path.exists());
    let shop = ShopFile::open(&path).unwrap();
    assert!(shop.shop().woods.is_empty());
    assert!(matches!(Job::read(&path), Err(Problem::NotOurs { .. })));
}
