//! Power cuts at random points of a recorded stream, on a disk that keeps only what was synced.
//!
//! The disk is the strictest that POSIX allows: bytes of a file are safe when the file was synced, names when the
//! folder was. Of the rest a cut drops all, or keeps any part in any order, writes torn at sectors of 512 bytes
//! (what may happen: Pillai et al., "All File Systems Are Not Created Equal", OSDI 2014).

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use job::Job;

use crate::stream::{Dice, line_after, line_of};
use crate::trace::{Event, record};

const CUTS: usize = 400;
const STEPS: usize = 60;
const SECTOR: usize = 512;

#[derive(Default)]
struct Disk {
    safe: BTreeMap<usize, Vec<u8>>,
    safe_names: BTreeMap<String, usize>,
    pending: Vec<Event>,
    pending_names: Vec<Event>,
    said: Option<usize>,
}

impl Disk {
    fn take(&mut self, event: &Event) {
        match event {
            Event::Create { .. } | Event::Remove { .. } | Event::Rename { .. } => {
                self.pending_names.push(event.clone())
            }
            Event::Write { .. } | Event::Resize { .. } => self.pending.push(event.clone()),
            Event::Sync { file } => {
                let of_file = |event: &Event| matches!(event, Event::Write { file: f, .. } | Event::Resize { file: f, .. } if f == file);
                let (synced, rest): (Vec<_>, Vec<_>) = self.pending.drain(..).partition(of_file);
                self.pending = rest;
                synced.iter().for_each(|event| change(&mut self.safe, event));
            }
            Event::SyncFolder => {
                let synced: Vec<_> = self.pending_names.drain(..).collect();
                synced.iter().for_each(|event| rename(&mut self.safe_names, event));
            }
            Event::Said { done } => self.said = Some(*done),
        }
    }

    /// What is found after the cut: each pending change survives with the chance `kept` in 4.
    fn cut(&self, dice: &mut Dice, kept: usize) -> BTreeMap<String, Vec<u8>> {
        let (mut files, mut names) = (self.safe.clone(), self.safe_names.clone());
        for event in self.pending.iter().filter_map(|event| torn(event, dice, kept)) {
            change(&mut files, &event);
        }
        for event in &self.pending_names {
            if dice.below(4) < kept {
                rename(&mut names, event);
            }
        }
        names.into_iter().map(|(name, file)| (name, files.remove(&file).unwrap_or_default())).collect()
    }
}

fn torn(event: &Event, dice: &mut Dice, kept: usize) -> Option<Event> {
    if dice.below(4) >= kept {
        return None;
    }
    match event {
        Event::Write { file, at, bytes } if kept < 4 && bytes.len() > SECTOR && dice.below(4) == 0 => {
            let sectors = dice.below(bytes.len() / SECTOR) + 1;
            Some(Event::Write { file: *file, at: *at, bytes: bytes[..sectors * SECTOR].to_vec() })
        }
        whole => Some(whole.clone()),
    }
}

fn change(files: &mut BTreeMap<usize, Vec<u8>>, event: &Event) {
    match event {
        Event::Write { file, at, bytes } => {
            let content = files.entry(*file).or_default();
            content.resize(content.len().max(at + bytes.len()), 0);
            content[*at..at + bytes.len()].copy_from_slice(bytes);
        }
        Event::Resize { file, length } => files.entry(*file).or_default().resize(*length, 0),
        other => panic!("{other:?} changes no bytes"),
    }
}

fn rename(names: &mut BTreeMap<String, usize>, event: &Event) {
    match event {
        Event::Create { name, file } => drop(names.insert(name.clone(), *file)),
        Event::Remove { name } => drop(names.remove(name)),
        Event::Rename { from, to } => {
            if let Some(file) = names.remove(from) {
                names.insert(to.clone(), file);
            }
        }
        other => panic!("{other:?} changes no name"),
    }
}

/// Cuts the power after the first `until` events; what was lost, if anything was.
fn lost(events: &[Event], dice: &mut Dice, kept: usize) -> Option<String> {
    let mut disk = Disk::default();
    events.iter().for_each(|event| disk.take(event));
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in disk.cut(dice, kept) {
        fs::write(folder.path().join(name), bytes).unwrap();
    }
    judge(&folder.path().join("job.spelk"), disk.said)
}

fn judge(path: &Path, said: Option<usize>) -> Option<String> {
    if said.is_none() && !path.exists() {
        return None;
    }
    let job = match Job::open(path) {
        Ok(job) => job,
        Err(problem) => return Some(format!("after {said:?}: {problem}")),
    };
    let last = said.unwrap_or(0);
    let line = match line_of(&job) {
        Ok(line) => line,
        Err(why) => return Some(format!("after {said:?}: {why}")),
    };
    (line != line_after(last) && line != line_after(last + 1)).then(|| format!("after {said:?}: {line:?}"))
}

fn recorded() -> Vec<Event> {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path().canonicalize().unwrap();
    let events = record(&folder.join("job.spelk"), (1, STEPS));
    assert_eq!(events.iter().filter(|event| matches!(event, Event::Said { .. })).count(), STEPS + 1);
    events
}

fn cuts(events: &[Event], number: usize) -> Vec<String> {
    let mut dice = Dice(2);
    (0..number)
        .filter_map(|cut| {
            let until = dice.below(events.len()) + 1;
            // A third each: nothing unsynced survives, some does, nearly all does.
            lost(&events[..until], &mut dice, cut % 3 + usize::from(cut % 3 > 0))
        })
        .collect()
}

#[test]
fn no_reported_step_is_lost_at_400_power_cuts() {
    let losses = cuts(&recorded(), CUTS);
    assert!(losses.is_empty(), "{} of {CUTS} cuts lost something:\n{}", losses.len(), losses.join("\n"));
}

/// The test above can fail: without the syncs of the files, or of the folder, steps are lost.
#[test]
fn a_program_that_did_not_sync_would_be_caught() {
    let events = recorded();
    for kind in
        [|event: &Event| matches!(event, Event::Sync { .. }), |event: &Event| matches!(event, Event::SyncFolder)]
    {
        let careless: Vec<_> = events.iter().filter(|event| !kind(event)).cloned().collect();
        let losses = cuts(&careless, 60);
        println!("{} of 60", losses.len());
        assert!(!losses.is_empty());
    }
}
