//! What a maintainer runs: `cargo xtask test | tidy | python`.

mod packages;
mod python;
mod run;
mod tests;
mod tidy;

use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask test     installs what the tests need, then format, lint, all tests (what CI runs)
cargo xtask tidy     module order, purity, sources, changelog
cargo xtask python   makes the Python with the reference libraries and prints its path";

fn main() -> ExitCode {
    let typed: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match typed.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["test"] => tests::all(),
        ["tidy"] => tidy::all(),
        ["python"] => python::ready().map(|path| println!("{}", path.display())),
        _ => Err(USAGE.into()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
