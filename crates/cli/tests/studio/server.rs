//! A server in a folder of its own, and a client that says every byte itself: a browser's or a library's would not send
//! what an attacker sends.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

use serde_json::Value;

/// Long enough for a trace on a busy machine; a server that hangs fails the test.
const PATIENCE: Duration = Duration::from_secs(180);

/// A running `spelk studio`, killed when dropped.
pub struct Server {
    child: Child,
    /// Held open: a command whose reader has gone ends.
    _said: BufReader<ChildStdout>,
    pub port: u16,
    pub token: String,
    cookie: String,
}

impl Server {
    /// Starts it in `folder` and trades the token for the cookie.
    pub fn start(folder: &Path, job: Option<&Path>) -> Server {
        let mut server = Server::started(folder, job);
        let answer = server.ask_raw(&format!("GET /open?token={} HTTP/1.1\r\n{}\r\n", server.token, server.host()));
        assert_eq!(answer.status, 303, "{}", answer.text());
        let cookie = answer.header("set-cookie").unwrap();
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
        server.cookie = cookie.split(';').next().unwrap().to_owned();
        server
    }

    /// Starts it and leaves the token unused.
    pub fn started(folder: &Path, job: Option<&Path>) -> Server {
        let mut child = command(folder, job).spawn().unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let address = address_of(&mut said);
        let (port, token) = address.split_once("/open?token=").unwrap();
        let port = port.rsplit(':').next().unwrap().parse().unwrap();
        Server { child, _said: said, port, token: token.to_owned(), cookie: String::new() }
    }

    pub fn host(&self) -> String {
        format!("Host: 127.0.0.1:{}\r\n", self.port)
    }

    pub fn cookie(&self) -> String {
        format!("Cookie: {}\r\n", self.cookie)
    }

    /// Sends these bytes and reads the answer.
    pub fn ask_raw(&self, head: &str) -> Answer {
        let mut stream = self.connect();
        stream.write_all(head.as_bytes()).unwrap();
        Answer::read(stream)
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.set_write_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask_raw(&format!("GET {path} HTTP/1.1\r\n{}{}\r\n", self.host(), self.cookie()))
    }

    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.post_bytes(path, "application/json", body.to_string().as_bytes())
    }

    pub fn post_bytes(&self, path: &str, kind: &str, body: &[u8]) -> Answer {
        post_to(self.port, &self.cookie(), path, kind, body).unwrap()
    }

    /// Resident memory of the server, bytes; 0 where the system does not say.
    pub fn memory(&self) -> u64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        peak.and_then(|line| line.trim().split(' ').next()?.parse::<u64>().ok()).unwrap_or(0) * 1024
    }

    /// Kill -9.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Listens to events from now on.
    pub fn events(&self) -> Events {
        let mut stream = self.connect();
        write!(stream, "GET /api/events HTTP/1.1\r\n{}{}\r\n", self.host(), self.cookie()).unwrap();
        Events(BufReader::new(stream))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Posts to a server that may die meanwhile.
pub fn post_to(port: u16, cookie: &str, path: &str, kind: &str, body: &[u8]) -> std::io::Result<Answer> {
    let mut stream = TcpStream::connect(("127.0.0.1", port))?;
    stream.set_read_timeout(Some(PATIENCE))?;
    let long = body.len();
    write!(
        stream,
        "POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{cookie}Origin: http://127.0.0.1:{port}\r\n\
         Content-Type: {kind}\r\nContent-Length: {long}\r\n\r\n"
    )?;
    stream.write_all(body)?;
    Answer::try_read(stream)
}

fn command(folder: &Path, job: Option<&Path>) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spelk"));
    command.args(["studio", "--no-browser"]).args(job).current_dir(folder);
    command.env("SPELK_STATE", folder.join("state")).env("SPELK_SHOP", folder.join("shop.spelk"));
    command.stdout(Stdio::piped());
    command
}

/// The address that the command prints.
fn address_of(said: &mut impl BufRead) -> String {
    let mut line = String::new();
    while !line.contains("http://") {
        line.clear();
        assert!(said.read_line(&mut line).unwrap() > 0, "the server said no address");
    }
    line[line.find("http://").unwrap()..].trim().to_owned()
}

/// What a second start of the same job prints; it ends by itself.
pub fn second_start(folder: &Path, job: &Path) -> String {
    let mut child = command(folder, Some(job)).spawn().unwrap();
    let mut said = BufReader::new(child.stdout.take().unwrap());
    let address = address_of(&mut said);
    assert!(child.wait().unwrap().success());
    address
}

/// A server whose reader has gone before it said anything, killed when dropped.
pub fn deaf(folder: &Path, job: &Path) -> impl Drop {
    let mut child = command(folder, Some(job)).spawn().unwrap();
    drop(child.stdout.take());
    // Until it has the job open, a second start would be the first.
    let word = || {
        fs::read_dir(folder.join("state/writing"))
            .is_ok_and(|all| all.flatten().any(|one| one.path().extension().is_some_and(|ending| ending == "word")))
    };
    while !word() {
        assert!(child.try_wait().unwrap().is_none(), "the server ended");
        std::thread::sleep(Duration::from_millis(20));
    }
    Deaf(child)
}

struct Deaf(Child);

impl Drop for Deaf {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Sends a whole head to a port and reads the answer.
pub fn ask_at(port: u16, head: &str) -> Answer {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    stream.write_all(head.as_bytes()).unwrap();
    Answer::read(stream)
}

/// An answer of the server.
pub struct Answer {
    pub status: u16,
    head: Vec<String>,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn read(stream: TcpStream) -> Answer {
        Answer::try_read(stream).unwrap()
    }

    fn try_read(stream: TcpStream) -> std::io::Result<Answer> {
        let mut reader = BufReader::new(stream);
        let mut head = Vec::new();
        loop {
            let mut line = String::new();
            if reader.read_line(&mut line)? == 0 {
                return Err(std::io::ErrorKind::UnexpectedEof.into());
            }
            if line.trim().is_empty() {
                break;
            }
            head.push(line.trim().to_owned());
        }
        let status = head[0].split(' ').nth(1).unwrap().parse().unwrap();
        let mut answer = Answer { status, head, body: Vec::new() };
        let long: usize = answer.header("content-length").map_or(0, |long| long.parse().unwrap());
        answer.body.resize(long, 0);
        reader.read_exact(&mut answer.body)?;
        Ok(answer)
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.iter().skip(1).find_map(|line| {
            let (known, value) = line.split_once(':')?;
            known.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// Its JSON; the status must be 200.
    pub fn json(&self) -> Value {
        assert_eq!(self.status, 200, "{}", self.text());
        serde_json::from_slice(&self.body).unwrap()
    }
}

/// The stream of events.
pub struct Events(BufReader<TcpStream>);

impl Events {
    /// The next event called `name` that `wanted` takes.
    pub fn wait(&mut self, name: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        let mut event = String::new();
        loop {
            let mut line = String::new();
            assert!(self.0.read_line(&mut line).unwrap() > 0, "the stream of events ended");
            if let Some(told) = line.strip_prefix("event:") {
                event = told.trim().to_owned();
            }
            if let Some(data) = line.strip_prefix("data:")
                && event == name
            {
                let data = serde_json::from_str(data.trim()).unwrap();
                if wanted(&data) {
                    return data;
                }
            }
        }
    }

    /// Waits for an act to end well.
    pub fn ended(&mut self, started: &Value) {
        let told = self.wait("act_ended", |told| told["id"] == started["act"]);
        assert_eq!(told["ok"], true, "{told}");
    }
}

/// Our own picture, 360 × 240: four plain shapes on a ground, a PNG.
pub fn picture() -> Vec<u8> {
    let shapes = image::RgbImage::from_fn(360, 240, |x, y| {
        let (x, y) = (i64::from(x), i64::from(y));
        let round = |cx: i64, cy: i64, r: i64| (x - cx) * (x - cx) + (y - cy) * (y - cy) < r * r;
        image::Rgb(match () {
            () if round(110, 110, 45) => [196, 120, 62],
            () if round(250, 90, 30) => [232, 210, 160],
            () if y > 190 => [72, 48, 34],
            () if x + y < 200 => [150, 160, 170],
            () => [120, 140, 90],
        })
    });
    let mut bytes = std::io::Cursor::new(Vec::new());
    shapes.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// A folder with a job that `spelk start` planned in it.
pub fn planned() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("shapes.png"), picture()).unwrap();
    let words = "start shapes.png --out shapes.spelk --width 300mm --pieces 8 --stock thin --keep-all";
    let mut command = Command::new(env!("CARGO_BIN_EXE_spelk"));
    command.args(words.split(' ')).current_dir(folder.path());
    command.env("SPELK_STATE", folder.path().join("state")).env("SPELK_SHOP", folder.path().join("shop.spelk"));
    let output = command.output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let job = folder.path().join("shapes.spelk");
    (folder, job)
}

/// The edit that names the work.
pub fn title(name: &str) -> Value {
    serde_json::json!({ "setup": { "title": name } })
}
