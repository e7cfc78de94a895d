//! Rules that no compiler keeps: module order, purity, documented walls, the changelog.

use std::fs;
use std::path::{Path, PathBuf};

use crate::run::root;

/// The modules of `workshop` in order: each may use only those before it.
const ORDER: &[&str] = &[
    "work", "picture", "pattern", "wood", "relief", "saw", "stock", "mount", "bench", "derived", "caution", "letters",
    "check", "tell", "view", "sheets", "door",
];
/// The crates in order: each may depend only on those before it.
const CRATES: &[(&str, &str)] = &[
    ("crates/measure", "measure"),
    ("crates/workshop", "workshop"),
    ("crates/job", "job"),
    ("crates/ui-assets", "ui-assets"),
    ("crates/studio", "studio"),
    ("crates/cli", "spelk"),
];
/// What no pure crate may name.
const IMPURE: &[&str] = &[
    "std::fs",
    "std::net",
    "std::time::SystemTime",
    "SystemTime::now",
    "Instant::now",
    "std::env",
    "std::process",
    "thread_rng",
];
/// A file that passes this holds more than one idea.
const LINES_MOST: usize = 700;

/// Checks every rule and reports every breach.
pub fn all() -> Result<(), String> {
    let mut breaches = Vec::new();
    module_order(&mut breaches);
    crate_order(&mut breaches);
    purity(&mut breaches);
    lengths(&mut breaches);
    changelog(&mut breaches);
    sources(&mut breaches);
    if breaches.is_empty() {
        Ok(())
    } else {
        Err(format!("tidy: {} breaches\n{}", breaches.len(), breaches.join("\n")))
    }
}

fn module_order(breaches: &mut Vec<String>) {
    for (at, module) in ORDER.iter().enumerate() {
        for (path, text) in sources_of(&format!("crates/workshop/src/{module}")) {
            for later in &ORDER[at + 1..] {
                if uses(&text, later) {
                    breaches.push(format!("{}: `{module}` uses `{later}`, which comes after it", path.display()));
                }
            }
        }
    }
}

/// Whether a module's text, its tests left out, names a sibling module by its path from the crate's root.
fn uses(text: &str, module: &str) -> bool {
    let body = text.split("#[cfg(test)]").next().unwrap_or_default();
    let alone = body
        .lines()
        .any(|line| line.contains(&format!("crate::{module}::")) || line.contains(&format!("crate::{module};")));
    let grouped = body.split("use crate::{").skip(1).any(|rest| {
        let list = rest.split("};").next().unwrap_or_default();
        list.split([',', '{', '}', '\n']).any(|item| item.trim().split("::").next() == Some(module))
    });
    alone || grouped
}

fn crate_order(breaches: &mut Vec<String>) {
    for (at, (folder, name)) in CRATES.iter().enumerate() {
        let manifest = read(&root().join(folder).join("Cargo.toml"));
        for (_, later) in &CRATES[at + 1..] {
            if manifest.lines().any(|line| line.starts_with(&format!("{later}."))) {
                breaches.push(format!("{folder}/Cargo.toml: `{name}` depends on `{later}`, which comes after it"));
            }
        }
    }
}

fn purity(breaches: &mut Vec<String>) {
    for folder in ["crates/measure/src", "crates/workshop/src"] {
        // A test may ask how many cases to run, or print what it took.
        for (path, text) in sources_of(folder).into_iter().filter(|(path, _)| !path.ends_with("tests.rs")) {
            for word in IMPURE {
                if text.contains(word) {
                    breaches
                        .push(format!("{}: `{word}` in a crate that opens no file and asks no clock", path.display()));
                }
            }
        }
    }
}

fn lengths(breaches: &mut Vec<String>) {
    for folder in ["crates", "xtask"] {
        for (path, text) in sources_of(folder) {
            let lines = text.lines().count();
            if lines > LINES_MOST {
                breaches.push(format!("{}: {lines} lines, {LINES_MOST} at most; part it by ideas", path.display()));
            }
        }
    }
}

fn changelog(breaches: &mut Vec<String>) {
    let version = env!("CARGO_PKG_VERSION");
    if !read(&root().join("CHANGELOG.md")).contains(&format!("## {version}")) {
        breaches.push(format!("CHANGELOG.md: no entry for {version}"));
    }
}

/// Every table in `data/` says its sources.
fn sources(breaches: &mut Vec<String>) {
    for (path, text) in files_of(&root().join("data"), "csv") {
        let heading = text.lines().find(|line| !line.starts_with('#')).unwrap_or_default();
        if !heading.contains("source") {
            breaches.push(format!("{}: no column for sources", path.display()));
        }
    }
}

fn sources_of(folder: &str) -> Vec<(PathBuf, String)> {
    let place = root().join(folder);
    let file = place.with_extension("rs");
    let mut found = files_of(&place, "rs");
    if file.is_file() {
        found.push((file.clone(), read(&file)));
    }
    found
}

/// Files below a folder with this ending, in the order of their paths.
fn files_of(folder: &Path, ending: &str) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else { return found };
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() && path.file_name().is_none_or(|name| name != "target" && name != "node_modules") {
            found.extend(files_of(&path, ending));
        } else if path.extension().is_some_and(|found| found == ending) {
            let text = read(&path);
            found.push((path, text));
        }
    }
    found.sort();
    found
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::uses;

    #[test]
    fn a_use_is_seen_alone_in_a_list_and_by_path() {
        assert!(uses("use crate::sheets::Paper;", "sheets"));
        assert!(uses("use crate::{check,\n    sheets};", "sheets"));
        assert!(uses("use crate::{sheets::Paper, check};", "sheets"));
        assert!(uses("let p = crate::sheets::paper();", "sheets"));
        assert!(!uses("use crate::work::edit::wood::Edit;", "wood"));
        assert!(!uses("#[cfg(test)]\nmod tests { use crate::sheets::Paper; }", "sheets"));
    }
}
