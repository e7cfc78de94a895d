//! Long acts: one at a time, beside the door, on a copy of the job; each shows how far it is and stops on demand.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use measure::Watch;
use workshop::Derived;
use workshop::picture::Raster;

use crate::desk::Desk;
use crate::wire::{ActEnded, ActTold, Trouble};

/// Shares are told when they have grown by this: a page draws no finer.
const TOLD_STEP: f64 = 0.01;

/// The long acts of a desk.
pub struct Acts {
    /// What long acts derive: the merge tree above all, which every draft cuts. Its lock lets one act run at a time.
    slow: Mutex<Derived>,
    /// What checks derive.
    checks: Mutex<Derived>,
    /// The draft that is being made; a newer one stops it.
    draft: Mutex<Arc<AtomicBool>>,
    running: Mutex<BTreeMap<u32, Arc<AtomicBool>>>,
    next: AtomicU32,
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // What is behind these locks is a memo or a flag; after a panic it is as good as before.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Acts {
    /// None running.
    pub fn new() -> Acts {
        Acts {
            slow: Mutex::default(),
            checks: Mutex::default(),
            draft: Mutex::default(),
            running: Mutex::default(),
            next: AtomicU32::new(1),
        }
    }

    /// Another job lies on the table: nothing derived from the last one is of use.
    pub fn forget(&self, picture: Option<Arc<Raster>>) {
        *lock(&self.slow) = Derived::with_picture(picture.clone());
        *lock(&self.checks) = Derived::with_picture(picture);
    }

    /// Runs a check with what checks derive.
    pub fn checking<T>(&self, check: impl FnOnce(&mut Derived) -> T) -> T {
        check(&mut lock(&self.checks))
    }

    /// Makes a draft; `None` when a newer one was asked for meanwhile.
    pub fn draft<T>(&self, make: impl FnOnce(&mut Derived, Watch) -> T) -> Option<T> {
        let stop = Arc::new(AtomicBool::new(false));
        std::mem::replace(&mut *lock(&self.draft), stop.clone()).store(true, Ordering::Relaxed);
        let mut derived = lock(&self.slow);
        if stop.load(Ordering::Relaxed) {
            return None;
        }
        let made = make(&mut derived, Watch::new(&|_, _| {}, &stop));
        (!stop.load(Ordering::Relaxed)).then_some(made)
    }

    /// Begins a long act on a thread of its own and gives its id. Well done it may leave a word for the maker.
    pub fn begin(
        &self,
        desk: &Arc<Desk>,
        name: &'static str,
        act: impl FnOnce(&Arc<Desk>, &mut Derived, Watch) -> Result<Option<Trouble>, Trouble> + Send + 'static,
    ) -> u32 {
        let id = self.next.fetch_add(1, Ordering::Relaxed);
        let stop = Arc::new(AtomicBool::new(false));
        lock(&self.running).insert(id, stop.clone());
        let desk = desk.clone();
        std::thread::spawn(move || {
            let last = Mutex::new((String::new(), -1.0));
            let tell = |text: &str, done: f64| {
                let mut last = lock(&last);
                if last.0 != text || (done - last.1).abs() >= TOLD_STEP {
                    *last = (text.into(), done);
                    desk.tell("act", &ActTold { id, name: name.into(), done, text: text.into() }, None);
                }
            };
            tell("waiting for its turn", 0.0);
            // A panic in an act ends the act, never the desk.
            let run = || act(&desk, &mut lock(&desk.acts.slow), Watch::new(&tell, &stop));
            let ended = std::panic::catch_unwind(std::panic::AssertUnwindSafe(run)).unwrap_or_else(|_| {
                Err(Trouble::of(
                    "This act broke off by a fault in spelk. The job is as it was.",
                    "Try again with other settings, and report it.",
                ))
            });
            lock(&desk.acts.running).remove(&id);
            let stopped = stop.load(Ordering::Relaxed);
            let ok = ended.is_ok();
            let ended = ActEnded { id, name: name.into(), ok, stopped, refusal: ended.unwrap_or_else(Some) };
            desk.tell("act_ended", &ended, None);
        });
        id
    }

    /// Asks an act to stop; whether it was running.
    pub fn stop(&self, id: u32) -> bool {
        lock(&self.running).get(&id).is_some_and(|stop| {
            stop.store(true, Ordering::Relaxed);
            true
        })
    }

    /// Asks every act to stop.
    pub fn stop_all(&self) {
        lock(&self.draft).store(true, Ordering::Relaxed);
        lock(&self.running).values().for_each(|stop| stop.store(true, Ordering::Relaxed));
    }
}

impl Default for Acts {
    fn default() -> Acts {
        Acts::new()
    }
}
