//! `spelk studio`: the pages in the browser.

use std::io::{Write, stdout};
use std::path::{Path, PathBuf};

use studio::{Options, serve};
use workshop::work::{Refusal, Way};

use crate::args::Studio;
use crate::demo;
use crate::failure::{Failure, Outcome};

pub fn run(typed: &Studio) -> Result<Outcome, Failure> {
    let folder = typed.folder.clone().unwrap_or_else(|| PathBuf::from("."));
    let folder = folder.canonicalize().map_err(Failure::file(&folder, "open"))?;
    let demo = |folder: &Path| demo::job(folder).map_err(|failure| wire(&failure));
    let options = Options { job: typed.job.clone(), folder, port: typed.port, demo: Box::new(demo) };
    serve(options, |address| open(address, typed.no_browser)).map_err(|trouble| {
        let refusal = Refusal { what: trouble.what, spot: trouble.spot, ways: trouble.ways };
        Failure::Refused(refusal)
    })?;
    Ok(Outcome::Done)
}

fn open(address: &str, by_hand: bool) {
    print(&format!("The pages: {address}"));
    print("This address lets one browser in, once. Ctrl-C ends; every change is in the job file already.");
    if !by_hand && webbrowser::open(address).is_err() {
        print("No browser could be opened: open that address in one yourself.");
    }
}

/// The server goes on when nobody reads what it prints: its terminal may be closed, its job is open.
fn print(text: &str) {
    let _ = writeln!(stdout().lock(), "{text}");
}

fn wire(failure: &Failure) -> studio::wire::Trouble {
    studio::wire::Trouble {
        what: failure.to_string(),
        ways: vec![Way::advice("Mend that, then try again.")],
        ..studio::wire::Trouble::default()
    }
}
