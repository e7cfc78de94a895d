//! `cargo xtask bench`: figures beside baselines, measured from outside on what was built.

use crate::run::{cargo, command, run, target};
use crate::{packages, python};

/// A strip packer to measure layouts beside; the bench alone needs it.
const SPYRROW: &str = "spyrrow==0.9.0";
/// A cut from a box to measure subjects beside.
const OPENCV: &str = "opencv-python-headless==5.0.0.93";

/// Measures the way from pictures to borders. `--validity N` runs the proof over N troubled label maps first; other flags
/// go to `benches/picture.py`.
pub fn picture(flags: &[&str]) -> Result<(), String> {
    packages::ready()?;
    run(cargo("build --release -p spelk -p workshop --bins --example borders"))?;
    let flags = validity(flags)?;
    let bin = target().join("release");
    let mut python = command(python::ready()?);
    python.arg("benches/picture.py");
    python.arg(bin.join(format!("spelk{}", std::env::consts::EXE_SUFFIX)));
    python.args([bin.join("examples"), target().join("bench")]).args(flags);
    run(python)
}

/// Times curves parted into a plane graph.
pub fn drawing() -> Result<(), String> {
    run(cargo("build --release -p measure --example arranged"))?;
    run(command(target().join("release/examples").join(format!("arranged{}", std::env::consts::EXE_SUFFIX))))
}

/// Measures ink closed to its centre lines on drawings of `icons`: `benches/ink.py` says whose.
pub fn ink(icons: &str) -> Result<(), String> {
    run(cargo("build --release -p spelk"))?;
    let bin = target().join("release");
    let mut python = command(python::ready()?);
    python.arg("benches/ink.py").arg(bin.join(format!("spelk{}", std::env::consts::EXE_SUFFIX)));
    python.arg(target().join("bench")).arg(icons);
    run(python)
}

/// Times heights and landing on stock beside HiGHS.
pub fn heights() -> Result<(), String> {
    run(cargo("build --release -p measure --examples"))?;
    let mut python = command(python::ready()?);
    python.arg("benches/heights.py").env("SPELK_EXAMPLES", target().join("release").join("examples"));
    run(python)
}

/// Measures the rooms of woods and colour, bar by bar.
pub fn woods(flags: &[&str]) -> Result<(), String> {
    packages::ready()?;
    run(cargo("build --release -p measure -p workshop --examples"))?;
    let mut python = command(python::ready()?);
    python.arg("benches/woods.py").args(flags).env("SPELK_EXAMPLES", target().join("release").join("examples"));
    run(python)
}

/// Measures layouts: open strip sets from a folder, beside spyrrow, and jobs of our own generator.
pub fn layout(flags: &[&str]) -> Result<(), String> {
    run(cargo("build --release -p workshop --example layout"))?;
    let mut python = command(with_extra(SPYRROW)?);
    python.arg("benches/layout.py").args(flags);
    python.env("SPELK_EXAMPLES", target().join("release").join("examples"));
    run(python)
}

/// Measures subjects parted from photographs by marks, beside OpenCV's cut from a box alone.
pub fn subject() -> Result<(), String> {
    packages::ready()?;
    run(cargo("build --release -p workshop --example subject"))?;
    let mut python = command(with_extra(OPENCV)?);
    python.arg("benches/subject.py").arg(target().join("bench"));
    python.env("SPELK_EXAMPLES", target().join("release").join("examples"));
    run(python)
}

/// Python with a library that the bench alone needs.
fn with_extra(library: &str) -> Result<std::path::PathBuf, String> {
    let path = python::ready()?;
    let mut pip = command(&path);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", library]);
    run(pip)?;
    Ok(path)
}

/// Times something of an 800-piece job with the built command: `benches/NAME.py` says what.
pub fn job(name: &str) -> Result<(), String> {
    packages::ready()?;
    run(cargo("build --release -p spelk"))?;
    let bin = target().join("release");
    let mut python = command(python::ready()?);
    python.arg(format!("benches/{name}.py")).arg(bin.join(format!("spelk{}", std::env::consts::EXE_SUFFIX)));
    python.arg(target().join("bench"));
    run(python)
}

/// Random runs of fifty edits, 2,000 unless told otherwise: every invariant after every edit, and undo.
pub fn edits(count: &str) -> Result<(), String> {
    count.parse::<u32>().map_err(|_| "bench edits takes a number")?;
    let mut tests = cargo("test --release -p job --test sequences -- --nocapture");
    tests.env("SPELK_SEQUENCES", count);
    run(tests)
}

fn validity<'a>(flags: &[&'a str]) -> Result<Vec<&'a str>, String> {
    let Some(at) = flags.iter().position(|flag| *flag == "--validity") else { return Ok(flags.to_vec()) };
    let count = flags.get(at + 1).filter(|count| count.parse::<u32>().is_ok()).ok_or("--validity takes a number")?;
    let mut tests = cargo("test --release -p workshop --lib trouble_is_fitted_whole");
    tests.env("SPELK_CASES", count);
    run(tests)?;
    Ok([&flags[..at], &flags[at + 2..]].concat())
}
