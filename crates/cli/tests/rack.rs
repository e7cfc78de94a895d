//! Boards that go between jobs and the shop: what one job cut is gone for the next.

mod common;

use std::io::Cursor;

use common::{Bench, json};
use image::{ImageFormat, Rgb, RgbImage};
use serde_json::Value;

/// Eight fields of two colours.
fn fields() -> Vec<u8> {
    let colour =
        |x: u32, y: u32| if (x / 40 + y / 40).is_multiple_of(2) { Rgb([120, 70, 40]) } else { Rgb([225, 205, 165]) };
    let mut bytes = Cursor::new(Vec::new());
    RgbImage::from_fn(160, 80, colour).write_to(&mut bytes, ImageFormat::Png).expect("a PNG");
    bytes.into_inner()
}

fn shop(bench: &Bench) -> Vec<Value> {
    let told = json(&bench.spelk(&["shop", "--json"]).done());
    told["boards"].as_object().expect("boards by number").values().cloned().collect()
}

fn length(board: &Value) -> i64 {
    let xs = || board["outline"].as_array().expect("a ring").iter().map(|p| p[0].as_i64().expect("µm"));
    xs().max().unwrap_or(0) - xs().min().unwrap_or(0)
}

fn edit(bench: &Bench, job: &str, edits: &str) {
    bench.write("edits.json", edits);
    bench.spelk(&["edit", job, "edits.json"]).done();
}

#[test]
fn what_one_job_cut_from_a_board_of_the_shop_is_gone_for_the_other() {
    let bench = Bench::new();
    bench.write("fields.png", fields());
    for job in ["a.spelk", "b.spelk"] {
        let size = ["--width", "160mm", "--pieces", "8", "--woods", "2"];
        bench.spelk(&[&["start", "fields.png", "--out", job][..], &size].concat()).done();
    }
    let told = json(&bench.spelk(&["tell", "a.spelk", "--json"]).done());
    let wood = told["pieces"][0]["wood"].as_str().expect("a wood").to_owned();
    let of_it = told["pieces"].as_array().expect("pieces").iter().filter(|piece| piece["wood"] == wood.as_str());
    let numbers: Vec<u64> = of_it.filter_map(|piece| piece["number"].as_u64()).collect();
    let plank =
        format!(r#"[{{"stock":{{"put_size":{{"name":"Plank","wood":"{wood}","size":[900000,300000,60000]}}}}}}]"#);
    edit(&bench, "a.spelk", &plank);
    bench.spelk(&["stock", "a.spelk", "--lay-out", "--to-shop"]).done();
    bench.spelk(&["stock", "b.spelk", "--from-shop", "--lay-out"]).done();

    edit(&bench, "a.spelk", &format!(r#"[{{"stock":{{"cut":[{}]}}}}]"#, numbers[0]));
    edit(&bench, "b.spelk", &format!(r#"[{{"stock":{{"cut":[{}]}}}}]"#, numbers[1]));
    bench.spelk(&["stock", "a.spelk", "--to-shop"]).done();
    let said = bench.spelk(&["stock", "b.spelk", "--to-shop"]).done();
    assert!(said.contains("\"Plank\": the shop knew"), "{said}");
    let rack = shop(&bench);
    assert_eq!((rack.len(), rack[0]["used"].as_array().map(Vec::len)), (1, Some(2)), "{rack:?}");
    // The job that had given first learns of the other's cut when it looks again, once.
    assert!(bench.spelk(&["stock", "a.spelk", "--from-shop"]).done().contains("the shop knew"));
    assert!(!bench.spelk(&["stock", "a.spelk", "--from-shop"]).done().contains("the shop knew"));
    let told = json(&bench.spelk(&["tell", "a.spelk", "--json"]).done());
    assert_eq!(told["boards"][0]["used"].as_array().map(Vec::len), Some(2));

    // What one job sawed off does not come back with the other's longer copy.
    edit(&bench, "a.spelk", r#"[{"stock":{"crosscut":{"board":1,"at":700000}}}]"#);
    bench.spelk(&["stock", "a.spelk", "--to-shop"]).done();
    bench.spelk(&["stock", "b.spelk", "--to-shop"]).done();
    let mut lengths: Vec<i64> = shop(&bench).iter().map(length).collect();
    lengths.sort_unstable();
    assert_eq!(lengths, [200_000, 700_000]);
}
