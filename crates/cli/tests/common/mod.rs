//! A folder to work in, and the built command run in it.

#![allow(dead_code, reason = "each test file uses its own part of the bench")]

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};

/// A folder of its own.
pub struct Bench {
    folder: PathBuf,
    /// Takes the folder away when the test ends.
    _until: Option<tempfile::TempDir>,
}

impl Bench {
    pub fn new() -> Bench {
        let until = tempfile::tempdir().expect("a temporary folder");
        Bench { folder: until.path().into(), _until: Some(until) }
    }

    /// A folder in Cargo's own for tests, emptied first: for what outlives each test, since statics are never dropped.
    pub fn kept(name: &str) -> Bench {
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
        if folder.exists() {
            fs::remove_dir_all(&folder).expect("the folder is emptied");
        }
        fs::create_dir_all(&folder).expect("the folder is made");
        Bench { folder, _until: None }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Runs the command with its state and shop in the same folder.
    pub fn spelk(&self, words: &[&str]) -> Ran {
        let output = Command::new(env!("CARGO_BIN_EXE_spelk"))
            .args(words)
            .current_dir(&self.folder)
            .env("SPELK_STATE", self.path("state"))
            .env("SPELK_SHOP", self.path("shop.spelk"))
            .output()
            .expect("the command runs");
        Ran { words: words.join(" "), output }
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.path(name), bytes).expect("the file is written");
    }

    pub fn bytes(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn size_of(&self, name: &str) -> u64 {
        fs::metadata(self.path(name)).map_or(0, |about| about.len())
    }

    /// Brings every file of another folder, the state folder left out.
    pub fn copies(&self, other: &Bench) {
        for (path, bytes) in other.everything() {
            let here = self.path(&path.strip_prefix(&other.folder).expect("a path below").to_string_lossy());
            fs::create_dir_all(here.parent().expect("a folder")).expect("the folder is made");
            fs::write(here, bytes).expect("the file is written");
        }
    }

    /// Every file below the folder with its bytes, the state folder left out.
    pub fn everything(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let mut found = Vec::new();
        gather(&self.folder, &mut found);
        found.sort();
        found
    }
}

fn gather(folder: &std::path::Path, found: &mut Vec<(PathBuf, Vec<u8>)>) {
    for entry in fs::read_dir(folder).expect("the folder is read").flatten() {
        let path = entry.path();
        if path.is_dir() {
            if path.file_name().is_some_and(|name| name != "state") {
                gather(&path, found);
            }
        } else if let Ok(bytes) = fs::read(&path) {
            found.push((path, bytes));
        }
    }
}

/// How a run of the command ended.
pub struct Ran {
    words: String,
    output: Output,
}

impl Ran {
    /// What it printed; it must have exited with 0.
    pub fn done(&self) -> String {
        self.exits(0)
    }

    /// What it printed; it must have exited with this code.
    pub fn exits(&self, code: i32) -> String {
        let error = String::from_utf8_lossy(&self.output.stderr);
        assert_eq!(self.output.status.code(), Some(code), "spelk {}: {error}", self.words);
        String::from_utf8(self.output.stdout.clone()).expect("text")
    }

    /// What it said when it refused; it must have exited with 2, said something and printed nothing.
    pub fn refused(&self) -> String {
        assert_eq!(self.exits(2), "", "spelk {} printed facts while refusing", self.words);
        let error = String::from_utf8(self.output.stderr.clone()).expect("text");
        assert!(!error.trim().is_empty() && !error.contains("panicked"), "spelk {}: {error}", self.words);
        error
    }
}

/// Text as JSON.
pub fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("no JSON: {error}\n{text}"))
}
