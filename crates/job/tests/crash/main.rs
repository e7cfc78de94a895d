//! What a kill, a power cut and a full disk do to a job file: nothing.

// Helpers of tests are tests, which Clippy does not see.
#![allow(clippy::unwrap_used)]

// `strace` records and disturbs the calls; other systems have the kills alone.
#[cfg(target_os = "linux")]
mod full;
mod kill;
#[cfg(target_os = "linux")]
mod power;
mod stream;
#[cfg(target_os = "linux")]
mod trace;
