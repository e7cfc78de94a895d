//! What an open page meets after its server was started again, and when it comes a moment too late.

use std::net::TcpListener;

use serde_json::{Value, json};

use crate::server::{Answer, Server, ask_at, deaf, planned, second_start, title};

/// What a server answers to a cookie that it did not give in this run.
fn shown(server: &Server, cookie: &str) -> Answer {
    server.ask_raw(&format!("GET /api/seen HTTP/1.1\r\n{}{cookie}\r\n", server.host()))
}

#[test]
fn a_new_start_on_the_same_job_knows_the_browser_that_was_let_in() {
    let (folder, job) = planned();
    let mut server = Server::start(folder.path(), Some(&job));
    let (port, cookie) = (server.port, server.cookie());
    let before = server.get("/api/seen").json();
    server.post("/api/edit", &json!({ "at": before["revision"], "edits": [title("Kept")] })).json();
    server.kill();

    let server = Server::started(folder.path(), Some(&job));
    assert_eq!(server.port, port);
    let after = shown(&server, &cookie).json();
    assert_eq!(after["setup"]["title"], "Kept");
    // The page tells by these that it shows another state, and that its last step was kept.
    assert!(after["revision"].as_u64() > before["revision"].as_u64().map(|revision| revision + 1));
    assert!(after["step"].as_i64() > before["step"].as_i64());
    // A wrong value is refused as ever.
    let (name, _) = cookie.trim().split_once('=').unwrap();
    assert_eq!(shown(&server, &format!("{name}=00000000000000000000000000000000\r\n")).status, 401);
}

#[test]
fn a_job_opened_from_the_desk_is_found_again_from_either() {
    let (folder, job) = planned();
    let mut server = Server::start(folder.path(), None);
    let (port, cookie) = (server.port, server.cookie());
    server.post("/api/open", &json!({ "path": job })).json();
    server.kill();
    for again in [Some(job.as_path()), None] {
        let mut server = Server::started(folder.path(), again);
        assert_eq!(server.port, port);
        assert!(matches!(shown(&server, &cookie).status, 200 | 422), "the desk or the job answers");
        server.kill();
    }
}

#[test]
fn where_the_last_port_is_taken_another_is_used_and_the_old_cookie_is_worth_nothing() {
    let (folder, job) = planned();
    let mut server = Server::start(folder.path(), Some(&job));
    let (port, cookie) = (server.port, server.cookie());
    server.kill();
    let _other = TcpListener::bind(("127.0.0.1", port)).unwrap();
    let server = Server::started(folder.path(), Some(&job));
    assert_ne!(server.port, port);
    let renamed = cookie.replacen(&port.to_string(), &server.port.to_string(), 1);
    for cookie in [cookie, renamed] {
        assert_eq!(shown(&server, &cookie).status, 401);
    }
}

#[cfg(unix)]
#[test]
fn only_the_account_can_read_what_lets_a_browser_in() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let cookie = server.cookie();
    let value = cookie.trim().split_once('=').unwrap().1.to_owned();
    let mut kept = 0;
    for entry in std::fs::read_dir(folder.path().join("state/writing")).unwrap() {
        let path = entry.unwrap().path();
        if std::fs::read_to_string(&path).unwrap().contains(&value) {
            kept += 1;
            assert_eq!(path.metadata().unwrap().permissions().mode() & 0o777, 0o600, "{}", path.display());
        }
    }
    assert_eq!(kept, 1);
}

#[test]
fn a_server_whose_terminal_is_closed_serves_on() {
    let (folder, job) = planned();
    let _server = deaf(folder.path(), &job);
    let address = second_start(folder.path(), &job);
    let (port, token) = address.split_once("/open?token=").unwrap();
    let port: u16 = port.rsplit(':').next().unwrap().parse().unwrap();
    let answer = ask_at(port, &format!("GET /open?token={token} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n"));
    assert_eq!(answer.status, 303, "{}", answer.text());
}

fn edit(server: &Server, at: &Value, edit: Value) -> Answer {
    server.post("/api/edit", &json!({ "at": at, "edits": [edit] }))
}

fn revision(answer: Answer) -> Value {
    answer.json()["revision"].clone()
}

fn refused(answer: &Answer, meanwhile: &str) {
    assert_eq!(answer.status, 409, "{}", answer.text());
    let trouble: Value = serde_json::from_slice(&answer.body).unwrap();
    assert!(trouble["stale"] == true && trouble["what"].as_str().unwrap().contains(meanwhile), "{trouble}");
}

/// Two areas that share a border.
fn neighbours(seen: &Value) -> (Value, Value) {
    let border =
        seen["borders"].as_array().unwrap().iter().find(|one| !one["left"].is_null() && !one["right"].is_null());
    (border.unwrap()["left"].clone(), border.unwrap()["right"].clone())
}

#[test]
fn a_step_that_comes_late_is_made_where_what_it_names_is_untouched() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let seen = server.get("/api/seen").json();
    let at = &seen["revision"];
    let (one, other) = neighbours(&seen);
    let wood = seen["woods"][0]["key"].clone();
    let piece = |area: &Value| {
        let found = seen["areas"].as_array().unwrap().iter().find(|each| each["id"] == *area);
        found.unwrap()["number"].clone()
    };
    let choose = |piece: &Value| json!({ "wood": { "choose": { "whom": { "piece": piece }, "wood": wood } } });
    // Another window gives a piece its wood.
    revision(edit(&server, at, choose(&piece(&one))));
    // The same piece's wood: said. Another's, its height, a relation, and the pattern: made.
    refused(&edit(&server, at, choose(&piece(&one))), "choose a wood");
    revision(edit(&server, at, choose(&piece(&other))));
    revision(edit(
        &server,
        at,
        json!({ "relief": { "relate": { "strength": "must", "says": {
        "at_least": { "above": { "piece": piece(&one) }, "below": { "piece": piece(&other) }, "by": 1500 } } } } }),
    ));
    let merged = revision(edit(&server, at, json!({ "pattern": { "merge": [one, other] } })));
    // Now the areas are touched.
    refused(&edit(&server, at, json!({ "pattern": { "open": one } })), "merge");
    refused(&server.post("/api/undo", &json!({ "at": at })), "");
    // A state that this server never showed.
    refused(&edit(&server, &json!(3), title("Long ago")), "");
    let undone = server.post("/api/undo", &json!({ "at": merged })).json();
    refused(&edit(&server, &merged, json!({ "pattern": { "open": one } })), "undo: merge areas");
    revision(edit(&server, &merged, title("Only the title")));
    assert_eq!(undone["redo"], "merge areas");
}

#[test]
fn a_step_sent_while_an_act_ends_is_not_lost() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let mut events = server.events();
    let seen = server.get("/api/seen").json();
    let started = server.post("/api/ask", &json!({ "ask": "work_out_heights" })).json();
    events.ended(&started);
    let (one, other) = neighbours(&seen);
    let delta = edit(&server, &seen["revision"], json!({ "pattern": { "merge": [one, other] } })).json();
    assert_eq!(delta["undo"], "merge areas");
}
