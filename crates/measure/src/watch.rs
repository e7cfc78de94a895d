//! How long work tells how far it is, and how it is asked to stop.

use std::sync::atomic::{AtomicBool, Ordering};

/// Handed to long work: it reports its share done and asks now and then whether to stop.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    tell: &'a (dyn Fn(&str, f64) + Sync),
    stop: &'a AtomicBool,
}

static NEVER: AtomicBool = AtomicBool::new(false);

impl<'a> Watch<'a> {
    /// Reports through `tell` (stage in the maker's words, share 0 to 1) and stops once `stop` is true.
    pub fn new(tell: &'a (dyn Fn(&str, f64) + Sync), stop: &'a AtomicBool) -> Watch<'a> {
        Watch { tell, stop }
    }

    /// Nobody listens, nobody stops it.
    pub fn silent() -> Watch<'static> {
        Watch { tell: &|_, _| {}, stop: &NEVER }
    }

    /// `share` of `stage` is done.
    pub fn tell(&self, stage: &str, share: f64) {
        (self.tell)(stage, share);
    }

    /// Whether the work was asked to stop.
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}
