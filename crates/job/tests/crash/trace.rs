//! What a program asked of the file system, call by call, as `strace` (strace.io) recorded it.
//!
//! The real calls of the real program are recorded, those of the making of the file and the syncing of its folder too:
//! a file system of our own under SQLite would show neither.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Stdio;

use crate::stream::child_command;

const CALLS: &str = "trace=openat,close,write,pwrite64,fsync,fdatasync,ftruncate,fallocate,unlink,unlinkat,rename,renameat,renameat2,linkat";
/// Longer than any write of the stream: strace must not cut it.
const LONGEST: &str = "1048576";

/// One call that changed the folder, in order.
#[derive(Clone, Debug)]
pub enum Event {
    Create { name: String, file: usize },
    Write { file: usize, at: usize, bytes: Vec<u8> },
    Resize { file: usize, length: usize },
    Remove { name: String },
    Rename { from: String, to: String },
    Sync { file: usize },
    SyncFolder,
    Said { done: usize },
}

/// Runs the stream's steps on `path` and records what they ask of its folder.
pub fn record(path: &Path, steps: (usize, usize)) -> Vec<Event> {
    let log = path.with_extension("trace");
    let log_text = log.to_str().unwrap();
    let wrapper = ["strace", "-f", "-xx", "-s", LONGEST, "-o", log_text, "-e", CALLS];
    let run = child_command(&wrapper, path, steps).stdout(Stdio::null()).status();
    assert!(run.expect("strace must be installed, and may trace").success());
    Reader::new(path.parent().unwrap()).read(&fs::read_to_string(log).unwrap())
}

struct Reader<'a> {
    folder: &'a Path,
    names: BTreeMap<String, usize>,
    open: BTreeMap<i64, Option<usize>>,
    files: usize,
    events: Vec<Event>,
}

struct Call<'a> {
    name: &'a str,
    words: Vec<&'a str>,
    texts: Vec<Vec<u8>>,
    gave: i64,
}

impl<'a> Call<'a> {
    fn parse(line: &'a str) -> Option<Call<'a>> {
        if line.starts_with("+++") || line.starts_with("---") {
            return None;
        }
        let (name, rest) = line.split_once('(')?;
        let (inside, gave) = rest.rsplit_once(" = ")?;
        let gave = gave.split(' ').next()?.parse().unwrap_or(-1);
        let texts = inside.split('"').skip(1).step_by(2).map(from_hex).collect();
        let words = inside.trim_end_matches([')', ' ']).split(", ").collect();
        Some(Call { name, words, texts, gave })
    }

    fn number(&self, at: usize) -> i64 {
        self.words[at].parse().unwrap()
    }
}

/// The calls by thread, in the order of their ends: one that was under way while another thread called comes in two lines.
fn whole_calls(log: &str) -> Vec<(&str, String)> {
    let mut begun = BTreeMap::new();
    let mut whole = Vec::new();
    for line in log.lines() {
        let Some((thread, line)) = line.split_once(' ') else { continue };
        let line = line.trim_start();
        if let Some(start) = line.strip_suffix(" <unfinished ...>") {
            begun.insert(thread, start);
        } else if let Some((_, end)) = line.split_once(" resumed>") {
            let start = begun.remove(thread).unwrap();
            whole.push((thread, format!("{start}{end}")));
        } else {
            whole.push((thread, line.to_string()));
        }
    }
    whole
}

#[test]
fn a_call_in_two_lines_is_read_as_one() {
    let log = "7 write(1, \"\\x6f\", 1 <unfinished ...>\n8  close(4) = 0\n7 <... write resumed>) = 1\n";
    assert_eq!(whole_calls(log), [("8", "close(4) = 0".to_string()), ("7", "write(1, \"\\x6f\", 1) = 1".to_string())]);
}

/// Strace writes `\x41` for each byte.
fn from_hex(text: &str) -> Vec<u8> {
    text.split("\\x").skip(1).map(|byte| u8::from_str_radix(byte, 16).unwrap()).collect()
}

impl Reader<'_> {
    fn new(folder: &Path) -> Reader<'_> {
        Reader { folder, names: BTreeMap::new(), open: BTreeMap::new(), files: 0, events: Vec::new() }
    }

    fn read(mut self, log: &str) -> Vec<Event> {
        let mut doer = None;
        for (thread, line) in whole_calls(log) {
            let Some(call) = Call::parse(&line).filter(|call| call.gave >= 0) else { continue };
            let before = self.events.len();
            self.take(&call);
            if self.events.len() > before {
                assert_eq!(*doer.get_or_insert(thread), thread, "two threads change the folder: {line}");
            }
        }
        self.events
    }

    /// The name in the folder, if that is where the path lies; empty for the folder itself.
    fn name(&self, text: &[u8]) -> Option<String> {
        let path = Path::new(std::str::from_utf8(text).unwrap());
        let rest = path.strip_prefix(self.folder).ok()?.to_str().unwrap();
        (!rest.contains('/') && !rest.starts_with("state")).then(|| rest.to_string())
    }

    fn file(&self, call: &Call) -> Option<usize> {
        self.open.get(&call.number(0)).copied().flatten()
    }

    fn take(&mut self, call: &Call) {
        match call.name {
            "openat" => self.opened(call),
            "close" => drop(self.open.remove(&call.number(0))),
            "write" => self.said(call),
            "pwrite64" => {
                let Some(file) = self.file(call) else { return };
                let bytes = call.texts[0].clone();
                assert_eq!(bytes.len() as i64, call.gave, "a write that was cut short");
                let at = call.words.last().unwrap().parse().unwrap();
                self.events.push(Event::Write { file, at, bytes });
            }
            "ftruncate" => {
                let Some(file) = self.file(call) else { return };
                self.events.push(Event::Resize { file, length: call.number(1) as usize });
            }
            "fsync" | "fdatasync" => match self.open.get(&call.number(0)) {
                Some(Some(file)) => self.events.push(Event::Sync { file: *file }),
                Some(None) => self.events.push(Event::SyncFolder),
                None => {}
            },
            "unlink" | "unlinkat" => {
                let Some(name) = self.name(&call.texts[0]) else { return };
                self.names.remove(&name);
                self.events.push(Event::Remove { name });
            }
            "rename" | "renameat" | "renameat2" => {
                let (from, to) = (self.name(&call.texts[0]), self.name(&call.texts[1]));
                let (Some(from), Some(to)) = (from, to) else { return };
                let file = self.names.remove(&from).unwrap();
                self.names.insert(to.clone(), file);
                self.events.push(Event::Rename { from, to });
            }
            other => panic!("a call that is not accounted for: {other}"),
        }
    }

    fn opened(&mut self, call: &Call) {
        let Some(name) = self.name(&call.texts[0]) else { return };
        assert!(!call.words.iter().any(|word| word.contains("O_TRUNC")), "{name} was emptied without a trace");
        if name.is_empty() {
            self.open.insert(call.gave, None);
            return;
        }
        let file = self.names.get(&name).copied().unwrap_or_else(|| {
            self.files += 1;
            self.names.insert(name.clone(), self.files);
            self.events.push(Event::Create { name, file: self.files });
            self.files
        });
        self.open.insert(call.gave, Some(file));
    }

    fn said(&mut self, call: &Call) {
        assert!(self.file(call).is_none(), "a write that is not accounted for");
        let text = String::from_utf8_lossy(&call.texts[0]).into_owned();
        if let Some(done) = crate::stream::reported(&text) {
            self.events.push(Event::Said { done });
        }
    }
}
