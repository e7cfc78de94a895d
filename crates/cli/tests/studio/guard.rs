//! Strangers are refused, floods are bounded, and the job is whole after each.

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use crate::server::{Answer, Server, planned, second_start, title};

/// Every refusal comes with the same dress.
fn dressed(answer: &Answer) {
    let policy = answer.header("content-security-policy").unwrap();
    assert!(policy.contains("default-src 'self'") && policy.contains("frame-ancestors 'none'"), "{policy}");
    assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    assert_eq!(answer.header("cross-origin-resource-policy"), Some("same-origin"));
    assert_eq!(answer.header("access-control-allow-origin"), None);
}

fn whole(server: &Server) {
    let seen = server.get("/api/seen").json();
    assert!(seen["pieces"].as_array().unwrap().len() > 3, "{seen}");
    let done = server.post("/api/edit", &json!({ "at": seen["revision"], "edits": [title("Still whole")] })).json();
    assert_eq!(done["setup"]["title"], "Still whole");
    server.post("/api/undo", &json!({ "at": done["revision"] })).json();
}

#[test]
fn only_the_page_of_this_server_is_answered() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let (port, host, cookie) = (server.port, server.host(), server.cookie());
    let other_port = if port == 65_535 { 65_534 } else { port + 1 };
    let get = |head: String| server.ask_raw(&format!("GET /api/seen HTTP/1.1\r\n{head}\r\n"));
    let strangers = [
        ("foreign host", format!("Host: example.org\r\n{cookie}")),
        ("foreign host, our port", format!("Host: example.org:{port}\r\n{cookie}")),
        ("host without port", format!("Host: 127.0.0.1\r\n{cookie}")),
        ("host of another port", format!("Host: 127.0.0.1:{other_port}\r\n{cookie}")),
        ("host with a tail", format!("Host: 127.0.0.1:{port}.example.org\r\n{cookie}")),
        ("no host", cookie.clone()),
        ("foreign origin", format!("{host}{cookie}Origin: https://example.org\r\n")),
        ("origin of another port", format!("{host}{cookie}Origin: http://127.0.0.1:{other_port}\r\n")),
        ("origin over TLS", format!("{host}{cookie}Origin: https://127.0.0.1:{port}\r\n")),
        ("origin null", format!("{host}{cookie}Origin: null\r\n")),
        ("no cookie", host.clone()),
        ("wrong cookie", format!("{host}Cookie: spelk-{port}=00000000000000000000000000000000\r\n")),
        ("cookie of another port", format!("{host}{}", cookie.replacen(&port.to_string(), &other_port.to_string(), 1))),
    ];
    for (who, head) in strangers {
        let answer = get(head);
        assert!(matches!(answer.status, 400 | 401 | 403 | 421), "{who}: {} {}", answer.status, answer.text());
        assert!(!answer.text().contains("revision"), "{who}: {}", answer.text());
        if answer.status != 400 {
            dressed(&answer);
        }
    }
    // A change from a foreign page, as a browser sends one: no preflight is needed for a form.
    for site in ["cross-site", "same-site"] {
        let head =
            format!("POST /api/undo HTTP/1.1\r\n{host}{cookie}Sec-Fetch-Site: {site}\r\nContent-Length: 0\r\n\r\n");
        assert_eq!(server.ask_raw(&head).status, 403, "{site}");
    }
    let ours = get(format!("{host}{cookie}Origin: http://127.0.0.1:{port}\r\n"));
    dressed(&ours);
    assert_eq!(ours.header("cache-control"), Some("no-store"));
    assert_eq!(get(format!("Host: localhost:{port}\r\n{cookie}")).status, 200);
    whole(&server);
}

#[test]
fn the_token_lets_one_in_once_and_a_second_start_brings_a_fresh_one() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let open = |token: &str| server.ask_raw(&format!("GET /open?token={token} HTTP/1.1\r\n{}\r\n", server.host()));
    for token in [server.token.as_str(), "", "00000000000000000000000000000000"] {
        let answer = open(token);
        assert_eq!((answer.status, answer.header("set-cookie")), (403, None), "{token}");
    }
    let address = second_start(folder.path(), &job);
    let at = format!("http://127.0.0.1:{}/open?token=", server.port);
    let fresh = address.strip_prefix(&at).unwrap_or_else(|| panic!("{address} is not at {at}"));
    assert_eq!(open(fresh).status, 303);
    assert_eq!(open(fresh).status, 403);
    let knock = format!("POST /knock HTTP/1.1\r\n{}X-Spelk-Key: 00\r\nContent-Length: 0\r\n\r\n", server.host());
    assert_eq!(server.ask_raw(&knock).status, 403);
    whole(&server);
}

#[test]
fn no_path_leads_out_of_the_pages() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    for path in [
        "/../shapes.spelk",
        "/../../etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/..%2f..%2fetc%2fpasswd",
        "//etc/passwd",
        "/assets/../../Cargo.toml",
        "/assets/..%5c..%5cshapes.spelk",
        "/api/sheets/..%2fshapes.spelk",
        "/api/sheets/%2fetc%2fpasswd",
        "/api/../shapes.spelk",
    ] {
        let answer = server.get(path);
        let text = answer.text();
        let leaked = text.contains("root:") || text.starts_with("SQLite") || text.contains("[workspace]");
        assert!(!leaked, "{path}: {} {text}", answer.status);
        // An address without a file's ending is a place of the pages themselves.
        let page = answer.header("content-type").is_some_and(|kind| kind.starts_with("text/html"));
        assert!(matches!(answer.status, 400 | 404) || page, "{path}: {}", answer.status);
    }
    whole(&server);
}

#[test]
fn what_is_no_edit_is_refused_in_words() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let deep = "[".repeat(100_000);
    for body in ["", "{", "null", "[]", "{\"at\":-1,\"edits\":[]}", "{\"at\":1}", "\u{0}", &deep] {
        let answer = server.post_bytes("/api/edit", "application/json", body.as_bytes());
        assert!(matches!(answer.status, 400 | 422), "{}: {}", answer.status, answer.text());
        let trouble: serde_json::Value = serde_json::from_slice(&answer.body).unwrap();
        assert!(trouble["what"].as_str().is_some_and(|what| !what.is_empty()), "{trouble}");
    }
    let plain = server.post_bytes("/api/edit", "text/plain", b"{\"at\":1,\"edits\":[]}");
    assert_eq!(plain.status, 415, "a form of a foreign page can send plain text without asking first");
    let old = server.post("/api/edit", &json!({ "at": 4_000_000, "edits": [title("Too late")] }));
    assert_eq!(old.status, 409, "{}", old.text());
    whole(&server);
}

/// One GB is announced and sent as far as the server takes it, once to where 8 MB are the most, once as a picture.
#[test]
fn a_body_of_a_gigabyte_is_refused_and_not_kept() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let before = server.memory();
    let kinds = [
        ("/api/edit", "application/json", true),
        ("/api/edit", "application/json", false),
        ("/api/start", "multipart/form-data; boundary=b", true),
        ("/api/start", "multipart/form-data; boundary=b", false),
    ];
    for (path, kind, sized) in kinds {
        let status = flood(&server, path, kind, sized);
        assert!(matches!(status, Some(400 | 413 | 422) | None), "{path}: {status:?}");
    }
    let grown = server.memory().saturating_sub(before) >> 20;
    assert!(grown < 450, "the server grew by {grown} MB");
    let jobs = std::fs::read_dir(folder.path()).unwrap().flatten();
    assert_eq!(jobs.filter(|entry| entry.path().extension().is_some_and(|end| end == "spelk")).count(), 1);
    whole(&server);
}

/// Sends a gigabyte; the status of the answer, `None` when the server hung up.
fn flood(server: &Server, path: &str, kind: &str, sized: bool) -> Option<u16> {
    const CHUNK: usize = 1 << 20;
    let mut stream = server.connect();
    let length = if sized { "Content-Length: 1073741824" } else { "Transfer-Encoding: chunked" };
    let head =
        format!("POST {path} HTTP/1.1\r\n{}{}Content-Type: {kind}\r\n{length}\r\n\r\n", server.host(), server.cookie());
    stream.write_all(head.as_bytes()).unwrap();
    let part = "--b\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"a.png\"\r\n\r\n";
    let mut block = vec![b' '; CHUNK];
    if kind.starts_with("multipart") {
        block[..part.len()].copy_from_slice(part.as_bytes());
    }
    for sent in 0..1024 {
        if sent == 1 {
            block.fill(b' ');
        }
        let size = if sized { String::new() } else { format!("{CHUNK:x}\r\n") };
        let end: &[u8] = if sized { b"" } else { b"\r\n" };
        let parts = [size.as_bytes(), &block, end];
        if parts.iter().any(|part| stream.write_all(part).is_err()) {
            break;
        }
    }
    let mut answer = [0; 12];
    match stream.read_exact(&mut answer) {
        Ok(()) => std::str::from_utf8(&answer[9..]).unwrap().parse().ok(),
        Err(_) => None,
    }
}

/// Twelve pages of this server send a picture of almost 128 MB each and hold back its end: kept together they would be 1.5 GB.
#[test]
fn many_large_pictures_at_once_are_bounded_together() {
    const PAGES: usize = 12;
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let before = server.memory();
    let held: Vec<(TcpStream, bool)> = thread::scope(|scope| {
        let pages: Vec<_> = (0..PAGES).map(|_| scope.spawn(|| almost_whole(&server))).collect();
        pages.into_iter().map(|page| page.join().unwrap()).collect()
    });
    let taken = held.iter().filter(|(_, whole)| *whole).count();
    assert_eq!(taken, 1, "of {PAGES} pictures so large one is read at a time");
    let grown = server.memory().saturating_sub(before) >> 20;
    assert!(grown < 450, "the server grew by {grown} MB");
    // Small things go on beside them.
    whole(&server);
    drop(held);
    whole(&server);
}

/// A connection that has sent a picture but for its last bytes, and whether the server took all of them.
fn almost_whole(server: &Server) -> (TcpStream, bool) {
    const CHUNKS: usize = 127;
    let mut stream = server.connect();
    // A socket takes a few MB that nobody reads; then it is full for as long as there is no room.
    stream.set_write_timeout(Some(Duration::from_secs(4))).unwrap();
    let length = (CHUNKS + 1) << 20;
    let head = format!(
        "POST /api/start HTTP/1.1\r\n{}{}Content-Type: multipart/form-data; boundary=b\r\nContent-Length: {length}\r\n\r\n",
        server.host(),
        server.cookie()
    );
    let part = "--b\r\nContent-Disposition: form-data; name=\"picture\"; filename=\"a.png\"\r\n\r\n";
    let block = vec![b' '; 1 << 20];
    let mut sent = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(part.as_bytes())).is_ok();
    for _ in 0..CHUNKS {
        sent = sent && stream.write_all(&block).is_ok();
    }
    (stream, sent)
}

/// Of 300 connections that say nothing 256 are held, the others hung up at once; all are hung up after five seconds, and
/// the server answers again.
#[test]
fn three_hundred_connections_are_bounded_and_outlived() {
    let (folder, job) = planned();
    let server = Server::start(folder.path(), Some(&job));
    let begun = Instant::now();
    let mut held: Vec<TcpStream> = (0..300).map(|_| server.connect()).collect();
    for stream in &mut held {
        // Half a head; those hung up already cannot be written to.
        let _ = stream.write_all(b"GET / HTTP/1.1\r\nHost:");
        stream.set_nonblocking(true).unwrap();
    }
    thread::sleep(Duration::from_secs(1));
    let refused = held.iter_mut().map(hung_up).filter(|gone| *gone).count();
    assert!((40..=60).contains(&refused), "{refused} of 300 were hung up at once");
    for stream in &mut held {
        stream.set_nonblocking(false).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        while !hung_up(stream) {
            assert!(begun.elapsed() < Duration::from_secs(60), "a silent connection is still held");
        }
    }
    drop(held);
    whole(&server);
}

/// Whether the server has closed this connection.
fn hung_up(stream: &mut TcpStream) -> bool {
    let mut byte = [0];
    match stream.read(&mut byte) {
        Ok(0) => true,
        Ok(_) => false,
        Err(error) => !matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut),
    }
}
