//! The life of a job file: made, changed, walked, looked at, saved under another name.

// Helpers of tests are tests, which Clippy does not see.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

use job::{Job, Problem, Refused, ShopFile};
use measure::colour::Lab;
use measure::length::Um;
use workshop::work::edit::{bench, part, setup, stock};
use workshop::work::{
    AreaId, Date, Depth, Edit, Fact, Figure, Number, PartId, PictureRef, Piece, PieceValues, Shop, ShopEdit, Sourced,
    State, Whom, Wood, WoodId, Work,
};

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
    edits.push(Edit::Setup(setup::Edit::WoodsMost(0)));
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
    let picture = PictureRef {
        hash,
        width: 1,
        height: 1,
        author: String::new(),
        source: String::new(),
        permission: String::new(),
        framing: None,
        unmasked: None,
    };
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
fn ids_are_not_given_again_after_undo() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &with_a_piece(), None, "Start").unwrap();
    let make =
        |name: &str| vec![Edit::Part(part::Edit::Name { name: name.into(), pieces: [Number(1)].into(), within: None })];
    job.apply(&make("near wing"), "Part").unwrap();
    let given = *job.work().parts.keys().next().unwrap();
    job.undo().unwrap();
    assert!(job.work().parts.is_empty() && job.work().next.part > given.0);
    drop(job);
    let mut job = Job::open(&path).unwrap();
    job.apply(&make("far wing"), "Part").unwrap();
    let again = *job.work().parts.keys().next().unwrap();
    assert!(again > given, "{again} was given before");
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

fn log(number: u32) -> Edit {
    let fact = Fact::Became { piece: Number(number), state: State::Cut, on: Date(2025, 3, 9), height: None };
    Edit::Bench(bench::Edit::Log(fact))
}

/// A job with one piece that can be cut.
fn with_a_piece() -> Work {
    let piece = Piece { area: AreaId(1), values: PieceValues::default(), state: State::Planned };
    Work { pieces: [(Number(1), piece)].into(), ..Work::default() }
}

#[test]
fn a_fact_of_the_bench_is_undone_only_while_it_is_the_last_revision() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &with_a_piece(), None, "Start").unwrap();
    job.apply(&[log(1)], "Cut 1").unwrap();
    assert_eq!(job.undo().unwrap().as_deref(), Some("Cut 1"));
    assert_eq!(job.redo().unwrap().as_deref(), Some("Cut 1"));
    job.apply(&title("Heron"), "Title").unwrap();
    job.undo().unwrap();
    drop(job);
    let mut job = Job::open(&path).unwrap();
    let refused = job.undo().err().unwrap();
    assert!(matches!(refused, Refused::Refusal(_)) && refused.to_string().contains("Cut 1"), "{refused}");
    assert_eq!(job.work().log.len(), 1);
    assert_eq!(job.redo().unwrap().as_deref(), Some("Title"));
}

#[test]
fn every_edit_can_be_read_back_from_its_revision() {
    let (_folder, path) = place();
    let mut job = Job::create(&path, &with_a_piece(), None, "Start").unwrap();
    let lists = [title("one"), vec![log(1)], [title("two"), title("three")].concat()];
    for list in &lists {
        job.apply(list, "step").unwrap();
    }
    let line = job.history().unwrap();
    assert!(job.edits(line[0].id).unwrap().is_empty());
    for (revision, list) in line[1..].iter().zip(&lists) {
        assert_eq!(job.edits(revision.id).unwrap(), *list);
    }
}

/// Marks have pieces and parts as keys, colours are floats: both must come back exactly.
#[test]
fn values_come_back_exactly() {
    let (_folder, path) = place();
    let mut work = with_a_piece();
    work.marks = [(Whom::Piece(Number(1)), Depth::Near), (Whom::Part(PartId(4)), Depth::Far)].into();
    let mut dice = 1u64;
    for k in 0..200 {
        let mut float = || {
            dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (dice >> 11) as f64 / (1u64 << 53) as f64 * 100.0
        };
        let lab = Lab { l: float(), a: float(), b: float() };
        work.woods.insert(WoodId(format!("wood-{k}")), wood(&format!("wood-{k}"), lab));
    }
    drop(Job::create(&path, &work, None, "Start").unwrap());
    assert_eq!(*Job::read(&path).unwrap().work(), work);
    work.woods.insert(WoodId("none".into()), wood("none", Lab { l: f64::NAN, a: 0.0, b: 0.0 }));
    let other = path.with_file_name("other.spelk");
    assert!(matches!(Job::create(&other, &work, None, "Start"), Err(Problem::Unwritable { .. })));
    assert!(!other.exists());
}

fn wood(id: &str, lab: Lab) -> Wood {
    Wood {
        id: WoodId(id.into()),
        name: id.into(),
        latin: String::new(),
        code: id.into(),
        colour: Sourced { value: lab, source: "from memory".into() },
        measured: false,
        spread: 100,
        density: None,
        hardness: None,
        shrinkage: None,
        light: None,
        texture: None,
        oiliness: None,
        figure: Figure { ring: 1, contrast: 1, pores: 1 },
        hazard: None,
        protected: None,
    }
}

#[test]
fn the_shop_goes_back_and_forth() {
    let (_folder, path) = place();
    let mut shop = ShopFile::open(&path).unwrap();
    let plum = wood("plum-own", Lab { l: 50.1, a: 12.3, b: 20.7 });
    shop.apply(&[ShopEdit::PutWood(Box::new(plum.clone()))], "Plum").unwrap();
    assert!(shop.apply(&[ShopEdit::DropWood(WoodId("elm-own".into()))], "Elm").is_err());
    shop.undo().unwrap();
    drop(shop);
    let mut shop = ShopFile::open(&path).unwrap();
    assert!(shop.shop().woods.is_empty());
    shop.redo().unwrap();
    assert_eq!(shop.shop().woods.values().collect::<Vec<_>>(), [&plum]);
    assert_eq!(ShopFile::look(&path).unwrap(), *shop.shop());
}

/// A file of the first format has no key by which the shop knows the job; it gets one, and keeps it.
#[test]
fn a_job_of_the_earlier_format_gives_its_boards_and_is_known_again() {
    let folder = tempfile::tempdir().unwrap();
    let (path, shop) = (folder.path().join("a.spelk"), folder.path().join("shop.spelk"));
    let put = stock::Edit::PutSize {
        name: "plank".into(),
        wood: "walnut-black".into(),
        size: (Um(900_000), Um(200_000), Um(25_000)),
    };
    let work = Work { woods: workshop::wood::table(), ..Work::default() };
    let mut job = Job::create(&path, &work, None, "Begin").unwrap();
    job.apply(&[Edit::Stock(put)], "Put").unwrap();
    drop(job);
    let old = rusqlite::Connection::open(&path).unwrap();
    old.execute_batch("DROP TABLE rack; PRAGMA user_version = 1").unwrap();
    drop(old);
    assert_eq!(Job::read(&path).unwrap().work().boards.len(), 1, "it can be looked at as it is");
    let mut shop = ShopFile::open(&shop).unwrap();
    let mut job = Job::open(&path).unwrap();
    assert_eq!(job::give_back(&mut job, &mut shop).unwrap().new, 1);
    job.undo().unwrap();
    drop(job);
    let mut job = Job::open(&path).unwrap();
    assert_eq!(job::bring(&mut job, &shop).unwrap().new, 0, "its own board is not brought beside itself");
    assert_eq!(job::give_back(&mut job, &mut shop).unwrap().new, 0);
    assert_eq!(shop.shop().boards.len(), 1);
}
