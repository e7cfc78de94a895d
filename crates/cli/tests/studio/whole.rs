//! A job as the pages make it: picture, draft, accept, merge, undo, wood, relation, heights, view, book.

use serde_json::{Value, json};

use crate::server::{Answer, Events, Server, picture};

struct Page {
    server: Server,
    events: Events,
    seen: Value,
}

impl Page {
    fn look(&mut self) -> &Value {
        self.seen = self.server.get("/api/seen").json();
        &self.seen
    }

    /// Posts on the revision that the page shows; the delta must build on it.
    fn change(&mut self, path: &str, more: Value) -> Value {
        let mut body = more;
        body["at"] = self.seen["revision"].clone();
        let delta = self.server.post(path, &body).json();
        assert_eq!(delta["from"], self.seen["revision"]);
        let told = self.events.wait("delta", |told| told["revision"] == delta["revision"]);
        assert_eq!(told, delta, "the event tells what the answer tells");
        self.look();
        delta
    }

    fn act(&mut self, path: &str, body: Value) {
        let started = self.server.post(path, &body).json();
        self.events.ended(&started);
        self.look();
    }
}

fn begun(server: &Server) -> Answer {
    let asking =
        json!({ "title": "Two rounds", "width": "300 mm", "stock": "thin", "keep_all": true, "author": "spelk" });
    let mut body = Vec::new();
    let part = |body: &mut Vec<u8>, head: &str, bytes: &[u8]| {
        body.extend(format!("--b\r\nContent-Disposition: form-data; {head}\r\n\r\n").as_bytes());
        body.extend(bytes);
        body.extend(b"\r\n");
    };
    part(&mut body, "name=\"asking\"", asking.to_string().as_bytes());
    part(&mut body, "name=\"picture\"; filename=\"two.png\"", &picture());
    body.extend(b"--b--\r\n");
    server.post_bytes("/api/start", "multipart/form-data; boundary=b", &body)
}

#[test]
fn from_a_picture_to_a_book_over_the_wire() {
    let folder = tempfile::tempdir().unwrap();
    let server = Server::start(folder.path(), None);
    let desk = server.get("/api/desk").json();
    assert_eq!(desk["job"], Value::Null);
    assert_eq!(server.get("/api/seen").status, 422, "no job is open yet");
    let seen = begun(&server).json();
    assert_eq!((&seen["setup"]["accepted"], &seen["setup"]["panel"]["width"]), (&json!(false), &json!(300_000)));
    assert!(folder.path().join("Two-rounds.spelk").is_file());

    let events = server.events();
    let mut page = Page { server, events, seen };
    draft_follows(&page.server);
    page.act("/api/accept", json!({ "pieces": 8 }));
    assert_eq!(page.seen["setup"]["accepted"], true);
    assert_eq!(page.seen["undo"], "accept the pattern");
    let pieces = page.seen["pieces"].as_array().unwrap().len();
    assert!((4..=8).contains(&pieces), "{pieces}");

    merge_and_undo(&mut page);
    page.act("/api/ask", json!({ "ask": "choose_woods" }));
    wood_pinned(&mut page);
    page.change("/api/edit", json!({ "edits": [{ "relief": { "relate": {
        "says": { "at_least": { "above": { "piece": 1 }, "below": { "piece": 2 }, "by": 1000 } }, "strength": "must" } } }] }));
    page.act("/api/ask", json!({ "ask": "work_out_heights" }));
    let height = |number: usize| page.seen["pieces"][number]["height"]["value"].as_i64().unwrap();
    assert!(height(0) >= height(1) + 1000, "{} over {}", height(0), height(1));
    lasso(&page);
    pictures(&page.server);
    book(&mut page);
    assert_eq!(page.server.get("/api/desk").json()["recent"][0]["title"], "Two rounds");
}

fn draft_follows(server: &Server) {
    for (asked, fitted) in [(4, false), (8, false), (4, true), (8, true)] {
        let draft = server.post("/api/draft", &json!({ "pieces": asked, "fitted": fitted })).json();
        let drawn = draft["areas"].as_array().unwrap();
        assert!(!drawn.is_empty() && drawn.len() <= asked, "{asked}: {}", drawn.len());
        assert!(drawn.iter().all(|area| area["d"].as_str().is_some_and(|d| d.starts_with('M') && d.ends_with('Z'))));
    }
    assert_eq!(server.post("/api/draft", &json!({ "pieces": 0 })).status, 422);
}

fn merge_and_undo(page: &mut Page) {
    let touching = page.seen["borders"].as_array().unwrap().iter();
    let mut pair = touching.map(|border| (border["left"].clone(), border["right"].clone()));
    let (left, right) = pair.find(|(left, right)| left.is_number() && right.is_number()).unwrap();
    let before = page.seen.clone();
    let merged = page.change("/api/edit", json!({ "edits": [{ "pattern": { "merge": [left, right] } }] }));
    assert_eq!(merged["undo"], "merge areas");
    assert_eq!(merged["gone_areas"].as_array().unwrap().len(), 1);
    assert_eq!(merged["gone_pieces"].as_array().unwrap().len(), 1);
    let back = page.change("/api/undo", json!({}));
    assert_eq!(back["redo"], "merge areas");
    for list in ["areas", "borders", "pieces"] {
        assert_eq!(page.seen[list], before[list], "{list} after undo");
    }
}

fn wood_pinned(page: &mut Page) {
    let wood = page.seen["woods"][3]["key"].clone();
    let choose = json!({ "edits": [{ "wood": { "choose": { "whom": { "piece": 1 }, "wood": wood } } }] });
    let delta = page.change("/api/edit", choose);
    assert_eq!(delta["pieces"][0]["wood"], json!({ "value": wood, "by": "hand" }));
    assert_eq!(delta["areas"][0]["wood"], wood, "the area shows its wood");
    assert_eq!(delta["pieces"].as_array().unwrap().len(), 1);
    let none = page.server.post(
        "/api/edit",
        &json!({ "at": page.seen["revision"], "edits": [
        { "wood": { "choose": { "whom": { "piece": 1 }, "wood": "no-such-wood" } } }] }),
    );
    assert_eq!(none.status, 422);
    assert!(!none.text().is_empty());
}

fn lasso(page: &Page) {
    let round = json!([[-1, -1], [400, -1], [400, 400], [-1, 400]]);
    let all = page.server.post("/api/within", &json!({ "polygon_mm": round, "whole": true })).json();
    assert_eq!(all["areas"].as_array().unwrap().len(), page.seen["areas"].as_array().unwrap().len());
    let none = page.server.post("/api/within", &json!({ "polygon_mm": [[-9, -9], [-1, -9], [-1, -1]] })).json();
    assert_eq!(none["areas"], json!([]));
}

fn pictures(server: &Server) {
    for (path, width) in [("/api/picture.png?px=90", 90), ("/api/view.png?px=120", 120)] {
        let answer = server.get(path);
        assert_eq!((answer.status, answer.header("content-type")), (200, Some("image/png")), "{}", answer.text());
        assert_eq!(image::load_from_memory(&answer.body).unwrap().width(), width, "{path}");
    }
}

fn book(page: &mut Page) {
    page.act("/api/sheets", json!({ "paper": "a4" }));
    let names = page.server.get("/api/sheets").json();
    let kinds = names.as_array().unwrap().iter().map(|name| name.as_str().unwrap());
    for name in kinds {
        let sheet = page.server.get(&format!("/api/sheets/{name}"));
        assert_eq!(sheet.status, 200, "{name}");
        let text = String::from_utf8_lossy(&sheet.body);
        let right = match name.rsplit('.').next().unwrap() {
            "pdf" => text.starts_with("%PDF-") && text.trim_end().ends_with("%%EOF"),
            "svg" => text.contains("<svg") && text.trim_end().ends_with("</svg>"),
            _ => text.lines().count() == 1 + page.seen["pieces"].as_array().unwrap().len(),
        };
        assert!(right, "{name}: {text:.200}");
    }
    assert!(names.to_string().contains(".pdf"), "{names}");
}
