//! The pages in the browser: installed as the lock file says, types, format, lint, tests.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::run::{command, root, run, target};

/// Checks the pages. Without Node they are left out, and that is said.
pub fn all() -> Result<(), String> {
    if !there() {
        eprintln!("\nNode is not here: the pages in ui/ were NOT checked (Node 20.19 or later with npm is wanted)");
        return Ok(());
    }
    installed()?;
    for script in ["types", "lint", "test"] {
        run(npm(&["run", "--silent", script]))?;
    }
    Ok(())
}

/// Tries the built program's pages in a real browser. Without Node or a browser that is left out, and said.
pub fn in_browser() -> Result<(), String> {
    let known = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
    let browser = std::env::var_os("SPELK_CHROMIUM").is_some() || known.iter().any(|path| Path::new(path).exists());
    if !there() || !browser {
        eprintln!(
            "\nNode or Chromium is not here: the pages were NOT tried in a browser (SPELK_CHROMIUM names one elsewhere)"
        );
        return Ok(());
    }
    let mut test = npm(&["run", "--silent", "browser"]);
    test.env("SPELK", target().join("release").join(format!("spelk{}", std::env::consts::EXE_SUFFIX)));
    run(test)
}

/// Whether npm can be run.
pub fn there() -> bool {
    npm(&["--version"]).output().is_ok_and(|output| output.status.success())
}

/// `npm ci`, unless what is installed is what the lock file says. The build of `ui-assets` keeps the same stamp.
pub fn installed() -> Result<(), String> {
    let ui = root().join("ui");
    let stamp = ui.join("node_modules/.spelk-installed");
    let lock =
        fs::read(ui.join("package-lock.json")).map_err(|error| format!("cannot read ui/package-lock.json: {error}"))?;
    if fs::read(&stamp).is_ok_and(|known| known == lock) {
        return Ok(());
    }
    run(npm(&["ci", "--no-audit", "--no-fund"]))?;
    fs::write(&stamp, lock).map_err(|error| format!("cannot write {}: {error}", stamp.display()))
}

fn npm(words: &[&str]) -> Command {
    let mut npm = command(if cfg!(windows) { "npm.cmd" } else { "npm" });
    npm.current_dir(root().join("ui")).args(words);
    npm
}
