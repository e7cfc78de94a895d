//! Runs other programs from the root of the project.

use std::path::{Path, PathBuf};
use std::process::Command;

/// The root of the project.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("xtask lies in the root").to_owned()
}

/// Cargo's own output folder.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// A command that starts at the root.
pub fn command(program: impl AsRef<std::ffi::OsStr>) -> Command {
    let mut command = Command::new(program);
    command.current_dir(root());
    command
}

/// Cargo with these words.
pub fn cargo(words: &str) -> Command {
    let mut command = command(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(words.split_whitespace());
    // Lock files of the tests gather here, not in the home folder.
    command.env("SPELK_STATE", target().join("test-state"));
    command
}

/// Runs a command to its end; what failed is the error.
pub fn run(mut command: Command) -> Result<(), String> {
    let said = said(&command);
    eprintln!("\n$ {said}");
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("failed ({status}): {said}")),
        Err(error) => Err(format!("cannot run {said}: {error}")),
    }
}

fn said(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(|word| word.to_string_lossy().into_owned()).collect::<Vec<_>>().join(" ")
}
