//! A Python with the reference libraries, in Cargo's output folder; made once, again when the list changes.

use std::fs;
use std::path::{Path, PathBuf};

use crate::run::{command, root, run, target};

const WANTED: &str = "tests/reference/requirements.txt";

/// The path of a Python that has every library in `tests/reference/requirements.txt`.
pub fn ready() -> Result<PathBuf, String> {
    let folder = target().join("reference-python");
    let python = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let stamp = folder.join("installed.txt");
    let wanted = fs::read_to_string(root().join(WANTED)).map_err(|error| format!("cannot read {WANTED}: {error}"))?;
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) {
        return Ok(python);
    }
    make(&folder)?;
    let mut pip = command(&python);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r", WANTED]);
    run(pip)?;
    fs::write(&stamp, wanted).map_err(|error| format!("cannot write {}: {error}", stamp.display()))?;
    Ok(python)
}

fn make(folder: &Path) -> Result<(), String> {
    let mut venv = command(if cfg!(windows) { "python" } else { "python3" });
    venv.args(["-m", "venv", "--clear"]).arg(folder);
    run(venv).map_err(|why| {
        format!("{why}\nPython 3.11 or later with venv is needed (Debian: apt-get install python3-venv).")
    })
}
