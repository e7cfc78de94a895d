//! A stream of steps on a job file, and what the history must be after each of them.
//!
//! The same test binary is started again as the child that does the steps, so that it can be killed, traced, or given
//! a full disk. It says `done k` when a step has been reported as done.

use std::env;
use std::io::{Write, stdout};
use std::path::{Path, PathBuf};
use std::process::Command;

use job::{Job, Refused};
use workshop::work::edit::{picture, setup};
use workshop::work::{Edit, PictureRef, Work};

const FILE: &str = "SPELK_TEST_FILE";
const STEPS: &str = "SPELK_TEST_STEPS";

/// A step: mostly an edit, at times an undo or a redo, so that every way of writing is met.
enum Step {
    Title,
    Undo,
    Redo,
}

fn step(k: usize) -> Step {
    match k % 9 {
        3 | 4 | 7 => Step::Undo,
        5 => Step::Redo,
        _ => Step::Title,
    }
}

/// The history after `k` steps, told without the crate: labels in order, and where the head stands.
pub fn line_after(k: usize) -> (Vec<String>, usize) {
    let (mut line, mut head) = (vec!["start".to_string()], 0);
    for k in 1..=k {
        match step(k) {
            Step::Title => {
                line.truncate(head + 1);
                line.push(label(k));
                head += 1;
            }
            Step::Undo => head = head.saturating_sub(1),
            Step::Redo => head = (head + 1).min(line.len() - 1),
        }
    }
    (line, head)
}

fn label(k: usize) -> String {
    format!("step {k}")
}

/// The history that a file has, once its state is the one which the head's label names.
pub fn line_of(job: &Job) -> Result<(Vec<String>, usize), String> {
    let history = job.history().map_err(|problem| problem.to_string())?;
    let head = history.iter().position(|revision| revision.head).ok_or("the history has no head")?;
    let named = &job.work().choices.title;
    let wanted = if head == 0 { "" } else { &history[head].label };
    if named != wanted {
        return Err(format!("the state is \"{named}\", the history says \"{wanted}\""));
    }
    Ok((history.into_iter().map(|revision| revision.label).collect(), head))
}

fn take(job: &mut Job, k: usize) -> Result<(), Refused> {
    match step(k) {
        Step::Title => {
            // Some steps are longer than a page of the file, some than several.
            let filler: String = (0..k % 5 * 2_000).map(|i| char::from(b'a' + (i * i * k % 23) as u8)).collect();
            let title = Edit::Setup(setup::Edit::Title(label(k)));
            let place = Edit::Picture(picture::Edit::Place(PictureRef {
                hash: String::new(),
                width: 1,
                height: 1,
                author: String::new(),
                source: filler.clone(),
                permission: String::new(),
                framing: None,
                unmasked: None,
            }));
            if k % 6 == 1 {
                job.put_picture(format!("picture {k} {filler}").as_bytes())?;
            }
            job.apply(&[title, place], &label(k)).map(|_| ())
        }
        Step::Undo => job.undo().map(|_| ()),
        Step::Redo => job.redo().map(|_| ()),
    }
}

/// The child: opens or makes the file and does its steps. Under plain `cargo test` it has no file and nothing to do.
#[test]
fn child() {
    let Some(path) = env::var_os(FILE).map(PathBuf::from) else { return };
    let steps = env::var(STEPS).unwrap();
    let (from, to) = steps.split_once("..").unwrap();
    let opened = if path.exists() { Job::open(&path) } else { Job::create(&path, &Work::default(), None, "start") };
    let mut job = match opened {
        Ok(job) => job,
        Err(problem) => return say(&format!("refused to open: {problem}")),
    };
    say("done 0");
    for k in from.parse().unwrap()..=to.parse().unwrap() {
        match take(&mut job, k) {
            Ok(()) => say(&format!("done {k}")),
            Err(refused) => return say(&format!("refused {k}: {refused}")),
        }
    }
}

/// In one write, so that a killed child has said it whole or not at all.
fn say(line: &str) {
    stdout().write_all(format!("\n{line}\n").as_bytes()).unwrap();
    stdout().flush().unwrap();
}

/// The last step that the child said was done.
pub fn reported(said: &str) -> Option<usize> {
    said.lines().rev().find_map(|line| line.strip_prefix("done ")?.parse().ok())
}

/// The command that does steps `from..=to` on `path`, under `wrapper` if there is one.
pub fn child_command(wrapper: &[&str], path: &Path, (from, to): (usize, usize)) -> Command {
    let own = env::current_exe().unwrap();
    let mut words = wrapper.iter().map(Path::new).chain([own.as_path()]);
    let mut command = Command::new(words.next().unwrap());
    command.args(words).args(["--exact", "stream::child", "--nocapture", "--test-threads=1"]);
    command
        .env(FILE, path)
        .env(STEPS, format!("{from}..{to}"))
        .env("SPELK_STATE", path.parent().unwrap().join("state"));
    command
}

/// Numbers without a pattern, the same in every run: SplitMix64 (Steele, Lea, Flood 2014).
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}
