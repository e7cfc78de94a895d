//! What a maintainer runs: `cargo xtask test | tidy | python | bench`.

mod bench;
mod packages;
mod pages;
mod python;
mod run;
mod tests;
mod tidy;

use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask test     installs what the tests need, then format, lint, all tests (what CI runs)
cargo xtask tidy     module order, purity, sources, changelog
cargo xtask wire     writes ui/state/wire.ts anew from the wire types
cargo xtask python   makes the Python with the reference libraries and prints its path
cargo xtask bench book        times the book of an 800-piece job and weighs it
cargo xtask bench studio      times merges and drafts of an 800-piece job through the pages' server, and by hand in a browser
cargo xtask bench view        times views of the demo, and lays one beside what a path tracer (Mitsuba 3) made of it
cargo xtask bench woods [PART…]   colours, the choice of woods and how sure verdicts are, beside outside libraries
cargo xtask bench heights     times heights and landing on stock beside HiGHS
cargo xtask bench layout [--sets FOLDER] [--seconds N] [--seeds N] [--jobs]
                     layouts: open strip sets in FOLDER beside spyrrow, and jobs of our own generator beside bottom-left fill
cargo xtask bench drawing       times 10,000 curves of a drawing parted where they meet
cargo xtask bench subject          measures subjects parted from photographs by marks, beside a cut from a box alone
cargo xtask bench ink ICONS.json   measures closed ink on twelve drawings whose centre lines are known
cargo xtask bench edits [N]     2,000 (or N) random runs of 50 pattern edits: every invariant after each, and undo
cargo xtask bench picture [--baselines] [--sheets] [--validity N]
                     measures regions and borders on the bench pictures, beside what general tools reach; sheets to look at;
                     borders over N label maps that aim at trouble";

fn main() -> ExitCode {
    let typed: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match typed.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["test"] => tests::all(),
        ["tidy"] => tidy::all(),
        ["wire"] => tests::wire(),
        ["python"] => python::ready().map(|path| println!("{}", path.display())),
        ["bench", "book"] => bench::job("book"),
        ["bench", "studio"] => bench::job("studio"),
        ["bench", "view"] => bench::job("view"),
        ["bench", "woods", ref flags @ ..] => bench::woods(flags),
        ["bench", "heights"] => bench::heights(),
        ["bench", "layout", ref flags @ ..] => bench::layout(flags),
        ["bench", "subject"] => bench::subject(),
        ["bench", "drawing"] => bench::drawing(),
        ["bench", "ink", icons] => bench::ink(icons),
        ["bench", "edits"] => bench::edits("2000"),
        ["bench", "edits", count] => bench::edits(count),
        ["bench", "picture", ref flags @ ..] => bench::picture(flags),
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
