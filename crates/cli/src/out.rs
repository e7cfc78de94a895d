//! Facts go to standard output; a reader that has seen enough (`spelk check … | head`) ends the command quietly.

use std::fmt;
use std::io::{ErrorKind, Write, stdout};

/// Prints a line.
pub fn line(text: fmt::Arguments) {
    if let Err(error) = stdout().lock().write_fmt(format_args!("{text}\n")) {
        let quiet = error.kind() == ErrorKind::BrokenPipe;
        if !quiet {
            eprintln!("spelk: cannot print: {error}");
        }
        std::process::exit(if quiet { 0 } else { i32::from(crate::failure::EXIT_REFUSED) });
    }
}

/// Prints a line, as `println!` does, but ends quietly when nobody reads any more.
macro_rules! say {
    ($($words:tt)*) => { $crate::out::line(format_args!($($words)*)) };
}
pub(crate) use say;
