//! The whole job from end to end: the demo, two papers, a check without grave findings. First in CI.

mod common;

use std::collections::BTreeSet;
use std::sync::LazyLock;

use common::{Bench, json};

/// The demo, planned once with two threads for all tests of this file; each works on a copy of its own.
static DEMO: LazyLock<Bench> = LazyLock::new(|| {
    let bench = Bench::kept("whole-job");
    bench.spelk(&["demo", "spelk-demo", "--threads", "2"]).done();
    bench
});

/// A folder of its own in which the demo has just been planned.
fn planned() -> Bench {
    let bench = Bench::new();
    bench.copies(&DEMO);
    bench
}

#[test]
fn whole_job() {
    let bench = planned();
    for name in ["heron.png", "view.png", "heron.json", "sheets/pattern-book-a4.pdf", "sheets/pattern-book-letter.pdf"]
    {
        assert!(bench.size_of(&format!("spelk-demo/{name}")) > 10_000, "{name} is missing or empty");
    }
    let findings = json(&bench.spelk(&["check", "spelk-demo/heron.spelk", "--json"]).done());
    let grave = findings.as_array().expect("a list").iter().filter(|finding| finding["grave"] == "grave").count();
    assert_eq!(grave, 0, "the demo has grave findings: {findings:#}");

    let told = json(&bench.spelk(&["tell", "spelk-demo/heron.spelk", "--json"]).done());
    let pieces = told["pieces"].as_array().expect("a list");
    assert!((150..=200).contains(&pieces.len()), "about 180 pieces, not {}", pieces.len());
    for piece in pieces {
        assert!(piece["wood"].is_string() && piece["height_mm"].is_f64(), "the demo decides everything: {piece}");
        assert_eq!(piece["height_mm"].as_f64(), sum(piece), "height is thickness and raiser: {piece}");
    }
    areas_sum_to_the_panel(&told);
    assert!(told["parts"].as_array().is_some_and(|parts| parts.len() >= 8), "the demo names its parts");
}

fn sum(piece: &serde_json::Value) -> Option<f64> {
    let (thickness, raiser) = (piece["thickness_mm"].as_f64()?, piece["raiser_mm"].as_f64()?);
    Some(((thickness + raiser) * 1000.0).round() / 1000.0)
}

fn areas_sum_to_the_panel(told: &serde_json::Value) {
    let mm = |at: usize| told["panel_mm"][at].as_f64().expect("a number");
    let areas = told["areas"].as_array().expect("a list").iter();
    let total: f64 = areas.map(|area| area["area_mm2"].as_f64().expect("a number")).sum();
    assert!((total / (mm(0) * mm(1)) - 1.0).abs() < 1e-6, "areas sum to {total} mm²");
}

/// The variant of the demo holds a case of every finding that `check` can make.
#[test]
fn every_kind_of_finding_has_a_case() {
    let bench = planned();
    let findings = json(&bench.spelk(&["check", "spelk-demo/troubles.spelk", "--json"]).exits(1));
    let found: std::collections::BTreeSet<String> = findings
        .as_array()
        .expect("a list")
        .iter()
        .map(|finding| finding["kind"].as_str().expect("a word").into())
        .collect();
    for kind in [
        "too_thin",
        "too_small",
        "island",
        "swallowed",
        "low_contrast",
        "unsure_colour",
        "too_many_woods",
        "hazard",
        "protected",
        "no_way",
        "unmet",
        "off_stock",
        "unreadable_step",
        "empty_part",
    ] {
        assert!(found.contains(kind), "no case of {kind} among {found:?}");
    }
}

/// The same command twice, with one thread and with two, writes the same bytes of plan, view and sheets.
#[test]
fn same_bytes_with_one_thread_and_two() {
    let bench = Bench::new();
    bench.spelk(&["demo", "one", "--threads", "1"]).done();
    for name in [
        "heron.png",
        "heron.json",
        "view.png",
        "sheets/pattern-book-a4.pdf",
        "sheets/pattern-book-letter.pdf",
        "sheets/pattern.svg",
        "sheets/cut-list.csv",
    ] {
        assert!(bench.bytes(&format!("one/{name}")) == DEMO.bytes(&format!("spelk-demo/{name}")), "{name} differs");
    }
}

/// Undo, redo and history hold across processes.
#[test]
fn edits_undo_and_redo_across_processes() {
    let bench = planned();
    bench.write("title.json", r#"[{"setup": {"title": "Evening"}}]"#);
    let title = || json(&bench.spelk(&["tell", "spelk-demo/heron.spelk", "--json"]).done())["title"].clone();
    let before = title();
    bench.spelk(&["edit", "spelk-demo/heron.spelk", "title.json"]).done();
    assert_eq!(title(), "Evening");
    assert!(bench.spelk(&["undo", "spelk-demo/heron.spelk"]).done().contains("name the work"));
    assert_eq!(title(), before);
    bench.spelk(&["redo", "spelk-demo/heron.spelk"]).done();
    assert_eq!(title(), "Evening");
    assert_eq!(
        json(&bench.spelk(&["history", "spelk-demo/heron.spelk", "--json"]).done()).as_array().map(Vec::len),
        Some(2)
    );
}

/// Traced again with a third of the pieces, a held piece lies where it lay; let go, it is drawn anew.
#[test]
fn what_is_held_outlives_tracing_again() {
    let bench = planned();
    let told = || json(&bench.spelk(&["tell", "spelk-demo/heron.spelk", "--json"]).done());
    let count = |told: &serde_json::Value| told["pieces"].as_array().map_or(0, Vec::len);
    let before = told();
    let held =
        before["pieces"][before["pieces"].as_array().map_or(0, Vec::len) / 2]["number"].as_u64().expect("a number");
    bench.spelk(&["trace", "spelk-demo/heron.spelk", "--pieces", "60", "--hold", &held.to_string()]).done();
    let after = told();
    assert!(3 * count(&after) < 2 * count(&before), "{} of {} pieces", count(&after), count(&before));
    let off = farthest(&outline(&after, held), &outline(&before, held));
    assert!(off < 0.02, "piece {held} lies {off} mm off");
    bench.spelk(&["trace", "spelk-demo/heron.spelk", "--pieces", "30", "--let-go", &held.to_string()]).done();
    assert!(farthest(&outline(&told(), held), &outline(&before, held)) > 0.1, "piece {held} was let go");
}

/// The outer outline of a piece, mm; none if it is gone.
fn outline(told: &serde_json::Value, number: u64) -> Vec<[f64; 2]> {
    let areas = told["areas"].as_array().expect("a list");
    let found = areas.iter().find(|area| area["number"] == number);
    found.map_or(Vec::new(), |area| serde_json::from_value(area["rings_mm"][0].clone()).expect("points"))
}

/// How far a point of `ring` lies from the polygon `of` at most; infinite without points.
fn farthest(ring: &[[f64; 2]], of: &[[f64; 2]]) -> f64 {
    let off = |p: &[f64; 2]| {
        let sides = of.iter().zip(of.iter().cycle().skip(1));
        sides.map(|(a, b)| to_side(*p, *a, *b)).fold(f64::INFINITY, f64::min)
    };
    ring.iter().map(off).reduce(f64::max).unwrap_or(f64::INFINITY)
}

fn to_side(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (along, to) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let square = along[0] * along[0] + along[1] * along[1];
    let share = if square > 0.0 { ((to[0] * along[0] + to[1] * along[1]) / square).clamp(0.0, 1.0) } else { 0.0 };
    let off = [to[0] - share * along[0], to[1] - share * along[1]];
    (off[0] * off[0] + off[1] * off[1]).sqrt()
}

/// The examples of edits that `spelk help edit` prints are edits, and every edit there is has one.
#[test]
fn help_lists_every_edit() {
    let bench = Bench::new();
    let said = bench.spelk(&["help", "edit"]).done();
    let list = &said[said.find("\n[").expect("a list")..];
    let list: Vec<serde_json::Value> = serde_json::from_str(list.trim()).expect("a list of edits");
    let edits: Vec<workshop::work::Edit> =
        list.iter().map(|edit| serde_json::from_value(edit.clone()).expect("each is an edit")).collect();
    assert!(edits.len() > 35);
    let shown: BTreeSet<(String, String)> = (list.iter())
        .filter_map(|edit| edit.as_object()?.iter().next())
        .map(|(owner, inner)| {
            let name = inner.as_object().map_or(inner.as_str(), |inner| inner.keys().next().map(String::as_str));
            (owner.clone(), name.expect("an edit has a name").to_string())
        })
        .collect();
    // The reader names all that it knows when it is given what it does not.
    let named = |error: serde_json::Error| -> Vec<String> {
        let error = error.to_string();
        let known = error.split_once("expected").expect("it says what it expects").1.to_string();
        known.split('`').skip(1).step_by(2).map(str::to_string).collect()
    };
    let unknown = |text: &str| named(serde_json::from_str::<workshop::work::Edit>(text).expect_err("no edit"));
    let owners = unknown(r#"{"?": 0}"#);
    assert!(owners.len() > 8, "{owners:?}");
    // Proposals are taken by the commands that make them; woods come from the shop, and the picture with `start`.
    let elsewhere = [("setup", "offer"), ("picture", "place")];
    for owner in owners.iter().filter(|owner| *owner != "take") {
        for name in unknown(&format!(r#"{{"{owner}": {{"?": 0}}}}"#)) {
            let known = elsewhere.contains(&(owner, &name)) || shown.contains(&(owner.clone(), name.clone()));
            assert!(known, "{owner} {name} has no example");
        }
    }
}
