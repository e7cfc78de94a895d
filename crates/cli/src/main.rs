//! The `spelk` command: what was typed becomes what will be done, and the outcome an exit code. Nothing more.

mod args;
mod commands;
mod demo;
mod failure;
mod files;
mod out;
mod progress;
mod words;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    match commands::run(args::Args::parse()) {
        Ok(outcome) => outcome.into(),
        Err(failure) => {
            eprintln!("spelk: {failure}");
            ExitCode::from(failure::EXIT_REFUSED)
        }
    }
}
