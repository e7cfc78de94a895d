//! Makes the pages with Node and lists their files for `include_bytes!`.
//!
//! Everything is written below `OUT_DIR`, but for `node_modules`, which npm wants beside `package.json`. Without Node, or
//! without the sources of the pages, nothing is listed, and the crate shows one page that says how to get them.
//! `SPELK_PAGES` names a folder of pages that were built elsewhere.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-env-changed=SPELK_PAGES");
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("Cargo names the output folder"));
    let pages = match env::var_os("SPELK_PAGES") {
        Some(folder) => watched(PathBuf::from(folder)),
        None => built(&out),
    };
    let mut files = Vec::new();
    if let Some(pages) = pages {
        gather(&pages, &pages, &mut files);
    }
    files.sort();
    let rows: Vec<String> =
        files.iter().map(|(name, path)| format!("    ({name:?}, include_bytes!({path:?})),\n")).collect();
    let text = format!("pub(crate) static FILES: &[(&str, &[u8])] = &[\n{}];\n", rows.concat());
    fs::write(out.join("files.rs"), text).expect("the output folder takes a file");
}

fn watched(folder: PathBuf) -> Option<PathBuf> {
    println!("cargo::rerun-if-changed={}", folder.display());
    Some(folder)
}

/// The pages built from `ui/`; none when that is not possible here.
fn built(out: &Path) -> Option<PathBuf> {
    let own = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").expect("Cargo names the crate's folder"));
    let ui = own.join("../../ui");
    println!("cargo::rerun-if-changed={}", own.display());
    if !ui.join("package.json").is_file() {
        return None;
    }
    watch_sources(&ui);
    if !runs(Command::new("npm").arg("--version")) {
        println!("cargo::warning=npm is not here: the pages are left out (see README.md)");
        return None;
    }
    installed(&ui);
    let dist = out.join("pages");
    let _ = fs::remove_dir_all(&dist);
    let mut build = npm(&ui);
    build.args(["run", "build", "--", "--outDir"]).arg(&dist).arg("--emptyOutDir");
    assert!(runs(&mut build), "the pages do not build: run `npm run build` in ui/ to see why");
    Some(dist)
}

/// Everything in `ui/` but what npm and the build put there.
fn watch_sources(ui: &Path) {
    for entry in fs::read_dir(ui).into_iter().flatten().flatten() {
        let name = entry.file_name();
        if name != "node_modules" && name != "dist" {
            println!("cargo::rerun-if-changed={}", entry.path().display());
        }
    }
}

/// Runs `npm ci` unless the lock file is the one that was installed last.
fn installed(ui: &Path) {
    let lock = fs::read(ui.join("package-lock.json")).expect("ui/ has a package-lock.json");
    let kept = ui.join("node_modules/.spelk-installed");
    if fs::read(&kept).is_ok_and(|known| known == lock) {
        return;
    }
    let mut ci = npm(ui);
    ci.args(["ci", "--no-audit", "--no-fund"]);
    assert!(runs(&mut ci), "npm ci failed in ui/: is the network there?");
    fs::write(kept, lock).expect("npm made node_modules");
}

fn npm(ui: &Path) -> Command {
    let mut npm = Command::new(if cfg!(windows) { "npm.cmd" } else { "npm" });
    npm.current_dir(ui);
    npm
}

fn runs(command: &mut Command) -> bool {
    // What npm prints to standard output would be read as orders to Cargo.
    command.output().is_ok_and(|output| {
        eprintln!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        output.status.success()
    })
}

fn gather(top: &Path, folder: &Path, files: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            gather(top, &path, files);
        } else {
            let name = path.strip_prefix(top).expect("it lies below").to_string_lossy().replace('\\', "/");
            files.push((name, path.canonicalize().expect("it is there").to_string_lossy().into_owned()));
        }
    }
}
