//! System packages that the tests need: installed on Debian as root, named elsewhere.

use std::path::Path;

use crate::run::{command, run};

/// A Debian package, and a path that shows that it is there.
const WANTED: &[(&str, &str)] = &[
    ("openclipart-svg", "/usr/share/openclipart/svg"),
    // The pages are tried in a real browser.
    ("chromium", "/usr/bin/chromium"),
    // The crash tests replay what the program asks of the system.
    ("strace", "/usr/bin/strace"),
];

/// Installs what is missing, or says the line to type.
pub fn ready() -> Result<(), String> {
    let missing: Vec<&str> =
        WANTED.iter().filter(|(_, shows)| !Path::new(shows).exists()).map(|(package, _)| *package).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let line = format!("apt-get install -y {}", missing.join(" "));
    if !Path::new("/etc/debian_version").exists() || !root_here() {
        return Err(format!("The tests need packages of Debian; as root type: {line}"));
    }
    run(apt(&["update"]))?;
    run(apt(&[&["install", "-y", "--no-install-recommends"], &missing[..]].concat()))
}

fn apt(words: &[&str]) -> std::process::Command {
    let mut apt = command("apt-get");
    apt.arg("-qq").args(words).env("DEBIAN_FRONTEND", "noninteractive");
    apt
}

fn root_here() -> bool {
    std::process::Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout == b"0\n")
}
