//! Progress on a terminal, silence in a pipe, and a clean stop on Ctrl-C.

use std::io::{IsTerminal, stderr};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressStyle};
use measure::Watch;

static STOP: AtomicBool = AtomicBool::new(false);
static HANDLER: OnceLock<()> = OnceLock::new();

/// Steps of the bar: fine enough to move on every report.
const STEPS: u64 = 1000;

/// Runs `work` under a watch that shows its stage and share, and that stops on Ctrl-C.
pub fn watched<T>(work: impl FnOnce(Watch) -> T) -> T {
    HANDLER.get_or_init(|| {
        // Without a handler Ctrl-C ends the process at once, which is safe too: files are renamed into place.
        let _ = ctrlc::set_handler(|| STOP.store(true, Ordering::Relaxed));
    });
    let bar = bar();
    let tell = |stage: &str, share: f64| {
        bar.set_message(stage.to_owned());
        bar.set_position((share.clamp(0.0, 1.0) * STEPS as f64) as u64);
    };
    let result = work(Watch::new(&tell, &STOP));
    bar.finish_and_clear();
    result
}

fn bar() -> ProgressBar {
    if !stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{msg:<28} {bar:30} {percent:>3} %").expect("the template is well formed");
    ProgressBar::new(STEPS).with_style(style)
}
