//! Kill -9 of the server amid edits: each that was answered is in the file, which opens.

use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::Duration;

use job::Job;
use serde_json::{Value, json};

use crate::server::{Server, planned, title};

const EDITS: u64 = 100;
/// The server is killed this often, each time at another moment.
const KILLS: u64 = 8;

#[test]
fn no_answered_edit_is_lost_by_a_kill() {
    let (folder, path) = planned();
    let mut last = 0;
    while last < EDITS {
        let kill = last * KILLS / EDITS + 1;
        let answered = edit_until_killed(folder.path(), &path, last, last + EDITS / KILLS + 1 + kill % 3);
        // One more may have been written through before its answer was on the way.
        let found = last_title(&path);
        assert!(found == answered || found == answered + 1, "{answered} was answered, {found} is in the file");
        assert!(found > last, "no edit came through");
        last = found;
    }
    let labels: Vec<String> = Job::read(&path).unwrap().history().unwrap().into_iter().map(|step| step.label).collect();
    assert_eq!(labels.len() as u64, 1 + last, "{labels:?}");
}

/// Makes edits after `last` in one thread and kills the server in another once `stop` was sent; the last that was answered.
fn edit_until_killed(folder: &Path, job: &Path, last: u64, stop: u64) -> u64 {
    let mut server = Server::start(folder, Some(job));
    let mut revision = server.get("/api/seen").json()["revision"].clone();
    let (port, cookie) = (server.port, server.cookie());
    let (sent, answered) = (AtomicU64::new(last), AtomicU64::new(last));
    thread::scope(|scope| {
        scope.spawn(|| {
            for step in last + 1.. {
                sent.store(step, Ordering::SeqCst);
                let edit = json!({ "at": revision, "edits": [title(&format!("Step {step}"))] });
                let Some(done) = posted(port, &cookie, &edit) else { return };
                assert_eq!(done["setup"]["title"], format!("Step {step}"));
                revision = done["revision"].clone();
                answered.store(step, Ordering::SeqCst);
            }
        });
        while sent.load(Ordering::SeqCst) < stop {
            thread::sleep(Duration::from_micros(200));
        }
        // Into the midst of the write: it takes several milliseconds.
        thread::sleep(Duration::from_millis(stop * 7 % 23));
        server.kill();
    });
    answered.into_inner()
}

/// The answer to an edit, `None` once the server is dead.
fn posted(port: u16, cookie: &str, edit: &Value) -> Option<Value> {
    let answer =
        crate::server::post_to(port, cookie, "/api/edit", "application/json", edit.to_string().as_bytes()).ok()?;
    Some(answer.json())
}

fn last_title(path: &Path) -> u64 {
    let job = Job::open(path).unwrap();
    job.work().choices.title.strip_prefix("Step ").unwrap().parse().unwrap()
}
