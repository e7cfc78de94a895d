//! Boards that go between jobs and the shop: no wood is offered twice, none is lost.

mod common;

use std::io::Cursor;
use std::sync::LazyLock;

use common::Bench;
use image::{ImageFormat, Rgb, RgbImage};
use serde_json::{Value, json};

/// Eight fields of two colours.
fn fields() -> Vec<u8> {
    let colour =
        |x: u32, y: u32| if (x / 40 + y / 40).is_multiple_of(2) { Rgb([120, 70, 40]) } else { Rgb([225, 205, 165]) };
    let mut bytes = Cursor::new(Vec::new());
    RgbImage::from_fn(160, 80, colour).write_to(&mut bytes, ImageFormat::Png).expect("a PNG");
    bytes.into_inner()
}

/// Two jobs that hold a plank of 900 × 300 × 60 mm which the first has given to the shop, and the files as they then were.
struct Two {
    bench: Bench,
    wood: String,
    pieces: Vec<u64>,
}

const FILES: [&str; 3] = ["a.spelk", "b.spelk", "shop.spelk"];

/// Planned once for all tests.
static FIRST: LazyLock<Bench> = LazyLock::new(|| {
    let bench = Bench::kept("rack");
    bench.write("fields.png", fields());
    for job in ["a.spelk", "b.spelk"] {
        let size = ["--width", "160mm", "--pieces", "8", "--woods", "2"];
        bench.spelk(&[&["start", "fields.png", "--out", job][..], &size].concat()).done();
    }
    bench
});

impl Two {
    fn new() -> Two {
        let bench = Bench::new();
        bench.copies(&FIRST);
        let told = common::json(&bench.spelk(&["tell", "a.spelk", "--json"]).done());
        let wood = told["pieces"][0]["wood"].as_str().expect("a wood").to_owned();
        let of_it = told["pieces"].as_array().expect("pieces").iter().filter(|piece| piece["wood"] == wood.as_str());
        let pieces = of_it.filter_map(|piece| piece["number"].as_u64()).collect();
        let two = Two { bench, wood, pieces };
        assert!(two.stock("b", "--from-shop").contains("no shop yet"));
        two.put("a", "Plank");
        two.bench.write("before.spelk", two.bench.bytes("a.spelk"));
        two.stock("a", "--to-shop");
        two.stock("b", "--from-shop");
        for file in FILES {
            two.bench.write(&format!("{file}.first"), two.bench.bytes(file));
        }
        two
    }

    /// Everything as it was at first.
    fn again(&self) {
        for file in FILES {
            self.bench.write(file, self.bench.bytes(&format!("{file}.first")));
        }
    }

    fn put(&self, job: &str, name: &str) {
        let wood = &self.wood;
        self.edit(job, &format!(r#"{{"put_size":{{"name":"{name}","wood":"{wood}","size":[900000,300000,60000]}}}}"#));
    }

    fn edit(&self, job: &str, stock: &str) {
        self.bench.write("edits.json", format!(r#"[{{"stock":{stock}}}]"#));
        self.bench.spelk(&["edit", &format!("{job}.spelk"), "edits.json"]).done();
    }

    /// Cuts a piece, by its place in the list, out of the job's first board, its middle so far along it.
    fn cut(&self, job: &str, piece: usize, mm: u64) {
        let piece = self.pieces[piece];
        let lie = format!(r#"{{"board":1,"turn":0,"at":[{mm}000,150000]}}"#);
        let edits = format!(
            r#"[{{"wood":{{"ungrain":{{"piece":{piece}}}}}}},{{"stock":{{"pin":{{"piece":{piece},"lie":{lie}}}}}}},
            {{"stock":{{"cut":[{piece}]}}}}]"#
        );
        self.bench.write("edits.json", edits);
        self.bench.spelk(&["edit", &format!("{job}.spelk"), "edits.json"]).done();
    }

    fn uncut(&self, job: &str, piece: usize) {
        self.edit(job, &format!(r#"{{"uncut":{}}}"#, self.pieces[piece]));
    }

    fn fault(&self, job: &str, mm: u64) {
        let (left, right) = (mm - 20, mm + 20);
        let around = format!("[[{left}000,50000],[{right}000,50000],[{right}000,90000],[{left}000,90000]]");
        self.edit(job, &format!(r#"{{"fault":{{"board":1,"around":{around}}}}}"#));
    }

    fn stock(&self, job: &str, way: &str) -> String {
        self.bench.spelk(&["stock", &format!("{job}.spelk"), way]).done()
    }

    fn undo(&self, job: &str) {
        self.bench.spelk(&["undo", &format!("{job}.spelk")]).done();
    }

    fn shop_edit(&self, edits: &Value) {
        self.bench.write("shop-edits.json", edits.to_string());
        self.bench.spelk(&["shop", "shop-edits.json"]).done();
    }

    /// The shop's boards by their numbers.
    fn boards(&self) -> serde_json::Map<String, Value> {
        common::json(&self.bench.spelk(&["shop", "--json"]).done())["boards"]
            .as_object()
            .expect("boards by number")
            .clone()
    }

    /// Of each board of the shop: where it begins and ends, its thickness, where its cuts begin and how many faults it has.
    fn rack(&self) -> Vec<Seen> {
        let ends = |ring: &Value| {
            let xs = || ring.as_array().expect("a ring").iter().map(|p| p[0].as_i64().expect("µm") / 1000);
            (xs().min().unwrap_or(0), xs().max().unwrap_or(0))
        };
        let seen = |board: &Value| {
            let (from, to) = ends(&board["outline"]);
            let cuts: Vec<(i64, i64)> =
                board["used"].as_array().expect("cuts").iter().map(|used| ends(&used["ring"])).collect();
            assert!(cuts.iter().all(|cut| from <= cut.0 && cut.1 <= to), "beyond the edge: {board}");
            let thick = board["thickness"].as_i64().expect("µm") / 1000;
            (from, to, thick, cuts.len(), board["faults"].as_array().map_or(0, Vec::len))
        };
        self.boards().values().map(seen).collect()
    }

    /// The same of the job's boards: their cuts alone.
    fn cuts(&self, job: &str) -> Vec<usize> {
        let told = common::json(&self.bench.spelk(&["tell", &format!("{job}.spelk"), "--json"]).done());
        let boards = told["boards"].as_array().expect("boards");
        boards.iter().map(|board| board["used"].as_array().map_or(0, Vec::len)).collect()
    }
}

/// From, to, thickness, cuts, faults.
type Seen = (i64, i64, i64, usize, usize);

const WHOLE: Seen = (0, 900, 60, 0, 0);

#[test]
fn what_one_job_cut_from_a_board_of_the_shop_is_gone_for_the_other() {
    let two = Two::new();
    two.cut("a", 0, 100);
    two.cut("b", 1, 300);
    two.stock("a", "--to-shop");
    let said = two.stock("b", "--to-shop");
    assert!(said.contains("\"Plank\": the shop knew"), "{said}");
    assert_eq!(two.rack(), [(0, 900, 60, 2, 0)]);
    // The job that had given first learns of the other's cut when it looks again, once.
    assert!(two.stock("a", "--from-shop").contains("the shop knew"));
    assert!(!two.stock("a", "--from-shop").contains("the shop knew"));
    assert_eq!((two.cuts("a"), two.cuts("b")), (vec![2], vec![2]));
    // What a job takes back is back in the shop, by its word or by undo, and the other's stays.
    two.uncut("a", 0);
    two.stock("a", "--to-shop");
    assert_eq!(two.rack(), [(0, 900, 60, 1, 0)]);
    two.cut("a", 0, 600);
    two.stock("a", "--to-shop");
    assert_eq!(two.rack(), [(0, 900, 60, 2, 0)]);
    two.undo("a");
    two.undo("a");
    two.stock("a", "--to-shop");
    assert_eq!((two.rack(), two.cuts("a")), (vec![(0, 900, 60, 1, 0)], vec![1]));
    two.stock("b", "--from-shop");
    assert_eq!(two.cuts("b"), [1]);
}

#[test]
fn a_board_sawn_by_one_job_carries_what_the_other_cut_whoever_gives_first() {
    let two = Two::new();
    let crosscut = (r#"{"crosscut":{"board":1,"at":700000}}"#, [(0, 700, 60, 0, 0), (700, 900, 60, 1, 1)]);
    let resaw = (r#"{"resaw":{"board":1,"to":30000}}"#, [(0, 900, 30, 1, 1), (0, 900, 25, 1, 1)]);
    for (saw, parted) in [crosscut, resaw] {
        for order in [["a", "b"], ["b", "a"]] {
            two.again();
            two.cut("b", 0, 800);
            two.fault("b", 850);
            two.edit("a", saw);
            order.iter().for_each(|job| _ = two.stock(job, "--to-shop"));
            assert_eq!(two.rack(), parted, "{saw} {order:?}");
            // What is told can be taken back, also from the part that the job does not hold.
            two.uncut("b", 0);
            two.stock("b", "--to-shop");
            assert!(two.rack().iter().all(|board| board.3 == 0), "{saw} {order:?}");
        }
    }
}

#[test]
fn boards_given_again_after_an_undo_or_from_a_copy_of_the_job_are_the_same_boards() {
    let two = Two::new();
    two.undo("a");
    assert!(two.stock("a", "--from-shop").contains("Brought from the shop: what is new of boards known already"));
    two.stock("a", "--to-shop");
    assert_eq!((two.rack(), two.cuts("a").len()), (vec![WHOLE], 1));
    two.bench.write("a.spelk", two.bench.bytes("before.spelk"));
    two.edit("a", r#"{"crosscut":{"board":1,"at":700000}}"#);
    two.bench.write("sawn.spelk", two.bench.bytes("a.spelk"));
    two.stock("a", "--to-shop");
    two.bench.write("a.spelk", two.bench.bytes("sawn.spelk"));
    two.cut("a", 0, 100);
    two.stock("a", "--to-shop");
    assert_eq!(two.rack(), [(0, 700, 60, 1, 0), (700, 900, 60, 0, 0)]);
}

#[test]
fn a_board_sawn_in_two_ways_is_not_given_and_the_others_are() {
    let two = Two::new();
    two.edit("a", r#"{"resaw":{"board":1,"to":30000}}"#);
    two.edit("b", r#"{"resaw":{"board":1,"to":20000}}"#);
    two.put("b", "Other");
    two.stock("a", "--to-shop");
    let said = two.stock("b", "--to-shop");
    assert!(said.contains("Not passed: Board \"Plank\"") && said.contains("spelk shop"), "{said}");
    assert_eq!(two.rack(), [(0, 900, 30, 0, 0), (0, 900, 25, 0, 0), WHOLE]);
    // Taken off, rest first, the shop's boards are brought.
    two.edit("b", r#"{"away":2}"#);
    two.edit("b", r#"{"away":1}"#);
    assert!(two.stock("b", "--from-shop").contains("2 boards"));
    // Sawn alike in both it was sawn once.
    two.again();
    two.edit("a", r#"{"crosscut":{"board":1,"at":400000}}"#);
    two.edit("b", r#"{"crosscut":{"board":1,"at":400000}}"#);
    two.cut("b", 0, 100);
    two.stock("a", "--to-shop");
    assert!(!two.stock("b", "--to-shop").contains("Not passed"));
    assert_eq!(two.rack(), [(0, 400, 60, 1, 0), (400, 900, 60, 0, 0)]);
}

#[test]
fn a_dropped_board_stays_dropped_and_its_number_is_not_given_again() {
    let two = Two::new();
    two.put("a", "Second");
    two.stock("a", "--to-shop");
    two.shop_edit(&json!([{ "drop_board": 2 }]));
    two.put("b", "Third");
    two.stock("b", "--to-shop");
    assert_eq!(two.boards().keys().collect::<Vec<_>>(), ["1", "3"]);
    two.cut("a", 0, 100);
    let said = two.stock("a", "--to-shop");
    assert!(said.contains("\"Second\" is no longer in the shop"), "{said}");
    assert_eq!(two.rack(), [(0, 900, 60, 1, 0), WHOLE]);
    two.edit("a", r#"{"away":2}"#);
}

#[test]
fn what_only_the_shop_changed_holds() {
    let two = Two::new();
    let mut plank = two.boards()["1"].clone();
    (plank["name"], plank["price"]) = ("Old plank".into(), 9000.into());
    two.shop_edit(&json!([{ "put_board": { "id": 1, "board": plank } }]));
    two.stock("a", "--to-shop");
    let now = two.boards()["1"].clone();
    assert_eq!((&now["name"], &now["price"]), (&json!("Old plank"), &json!(9000)));
    two.stock("b", "--from-shop");
    two.edit("b", r#"{"crosscut":{"board":1,"at":300000}}"#);
    two.stock("b", "--to-shop");
    two.stock("a", "--to-shop");
    assert_eq!(two.boards().values().map(|board| board["price"].clone()).collect::<Vec<_>>(), [3000, 6000]);
}

#[test]
fn one_job_alone_is_told_nothing_of_its_own() {
    let two = Two::new();
    two.cut("a", 0, 780);
    two.fault("a", 700);
    two.stock("a", "--to-shop");
    assert_eq!(two.rack(), [(0, 900, 60, 1, 1)]);
    two.edit("a", r#"{"crosscut":{"board":1,"at":700000}}"#);
    assert!(!two.stock("a", "--to-shop").contains("the shop knew"));
    assert_eq!(two.rack(), [(0, 700, 60, 0, 1), (700, 900, 60, 1, 1)]);
    two.edit("a", r#"{"unfault":{"board":1,"fault":0}}"#);
    two.stock("a", "--to-shop");
    assert_eq!(two.rack()[0], (0, 700, 60, 0, 0));
}

#[test]
fn a_board_whose_cuts_the_shop_does_not_know_is_not_taken_off_the_job() {
    let two = Two::new();
    two.cut("a", 0, 100);
    two.bench.write("edits.json", r#"[{"stock":{"away":1}}]"#);
    let said = two.bench.spelk(&["edit", "a.spelk", "edits.json"]).refused();
    assert!(said.contains("--to-shop"), "{said}");
    two.stock("a", "--to-shop");
    two.edit("a", r#"{"away":1}"#);
    two.stock("a", "--from-shop");
    assert_eq!(two.cuts("a"), [1]);
    // The piece is still known for the job's own.
    two.uncut("a", 0);
    two.stock("a", "--to-shop");
    assert_eq!(two.rack(), [WHOLE]);
}
