//! `cargo xtask test`: everything that must be green, the whole job first.

use crate::run::{cargo, command, run, target};
use crate::{packages, pages, python, tidy};

/// Runs every check; stops at the first that fails.
pub fn all() -> Result<(), String> {
    packages::ready()?;
    run(cargo("build --release --workspace --bins --examples"))?;
    run(cargo("test --release --workspace --test whole_job whole_job -- --exact"))?;
    run(cargo("fmt --all --check"))?;
    run(cargo("clippy --release --workspace --all-targets --quiet -- -D warnings"))?;
    tidy::all()?;
    pages::all()?;
    pages::in_browser()?;
    run(cargo("test --release --workspace"))?;
    references()
}

/// Outside libraries judge what the built program says. Last, so that the runner's summary closes the output.
fn references() -> Result<(), String> {
    let mut pytest = command(python::ready()?);
    let bin = target().join("release");
    // Whole files to each process: what a file's tests share is made once.
    pytest.args(["-m", "pytest", "-q", "tests/reference", "-p", "no:cacheprovider"]);
    pytest.args(["-n", "auto", "--maxprocesses", "4", "--dist", "loadfile"]);
    pytest.env("SPELK", bin.join(format!("spelk{}", std::env::consts::EXE_SUFFIX)));
    pytest.env("SPELK_EXAMPLES", bin.join("examples"));
    run(pytest)
}

/// Writes the TypeScript twin of the wire types; the same test fails in `all` when it is not current.
pub fn wire() -> Result<(), String> {
    let mut test = cargo("test --release --quiet -p studio --lib the_pages_know_the_wire");
    test.env("SPELK_WRITE_WIRE", "1");
    run(test)
}
