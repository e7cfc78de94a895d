//! The desk: the open job, and every change to it in one order.
//!
//! One lock holds the job. An edit is made, written through to the disk, seen anew and told to every page, in that order,
//! before the next begins. Long acts run beside it on a copy and come back through the same lock.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::{SystemTime, UNIX_EPOCH};

use job::{Job, Problem, Refused, Seat};
use serde::Serialize;
use tokio::sync::broadcast;
use workshop::pattern::Outlines;
use workshop::picture::{Colours, Raster, Sheet};
use workshop::work::{Edit, PictureRef, Refusal, Way, Work};
use workshop::{Derived, Gathered};

use crate::acts::Acts;
use crate::meanwhile::Meanwhile;
use crate::see::{self, Drawn, Place};
use crate::view::Newest;
use crate::wire::{Delta, Finding, Found, Seen, Trouble};

/// Events that a slow page may fall behind by before it is told to fetch everything.
const EVENTS_KEPT: usize = 256;

/// An event for the pages.
#[derive(Clone, Debug)]
pub struct Told {
    /// Its name.
    pub name: &'static str,
    /// JSON.
    pub data: Arc<str>,
    /// The revision, for a `delta`.
    pub id: Option<u64>,
}

/// The open job.
pub struct Table {
    job: Job,
    derived: Derived,
    drawn: Drawn,
    seen: Seen,
    meanwhile: Meanwhile,
    photographs: BTreeMap<String, Arc<Raster>>,
}

/// The state that a change is for.
#[derive(Clone, Copy)]
pub enum On<'a> {
    /// Whatever stands.
    Any,
    /// The revision that the page shows, and no other.
    Only(u64),
    /// The revision that the page shows, or a later one as long as what these edits name stands as it was.
    Since(u64, &'a [Edit]),
}

impl Table {
    fn stands(&self, on: On) -> Result<(), Trouble> {
        let now = self.seen.revision;
        match on {
            On::Only(at) if at != now => Err(self.meanwhile.stale(at)),
            On::Since(at, edits) if at != now => self.meanwhile.admits(at, edits),
            _ => Ok(()),
        }
    }
}

impl Table {
    /// The job as values.
    pub fn work(&self) -> &Work {
        self.job.work()
    }

    /// The job's picture, decoded and framed.
    pub fn picture(&self) -> Option<Arc<Raster>> {
        self.derived.picture().cloned()
    }

    /// The job's picture, decoded, with what its framing leaves out.
    pub fn whole_picture(&self) -> Result<Option<Arc<Raster>>, Trouble> {
        if self.job.framing().is_none() {
            return Ok(self.picture());
        }
        let bytes = self.job.picture().map_err(|problem| Trouble::from(&problem))?;
        Ok(bytes.map(|bytes| workshop::picture::read(&bytes)).transpose()?.map(Arc::new))
    }

    /// The job's picture as it was before a mask, byte for byte.
    pub fn unmasked_picture(&self) -> Result<Option<Vec<u8>>, Trouble> {
        self.job.unmasked_picture().map_err(|problem| Trouble::from(&problem))
    }

    /// The drawing on paper that the job is traced from, byte for byte.
    pub fn paper(&self) -> Result<Option<Vec<u8>>, Trouble> {
        self.job.paper().map_err(|problem| Trouble::from(&problem))
    }

    /// The drawing on paper that the job is traced from, and where its sheet lies in it.
    pub fn sheet(&self) -> Result<Option<(Vec<u8>, Sheet)>, Trouble> {
        let work = self.work();
        let paper = work.choices.trace.paper.as_ref();
        Ok(self.paper()?.zip(paper).map(|(bytes, paper)| (bytes, Sheet::again(paper, work.panel))))
    }

    /// The job, and `derived` looking at its picture.
    pub fn for_act(&self, derived: &mut Derived) -> Work {
        derived.set_picture(self.picture());
        self.work().clone()
    }

    /// Reads the picture anew after its framing has changed.
    fn look_again(&mut self, before: Option<&PictureRef>) -> Result<(), Trouble> {
        if self.work().picture.as_ref() != before {
            self.derived.set_picture(framed(&self.job)?);
        }
        Ok(())
    }

    /// A photograph of one of its boards, as the file keeps it.
    pub fn photograph(&self, hash: &str) -> Result<Option<Vec<u8>>, Trouble> {
        self.job.photograph(hash).map_err(|problem| Trouble::from(&problem))
    }

    /// The photographs of its boards, decoded; a board whose photograph is not in the file does without.
    pub fn photographs(&mut self) -> Result<BTreeMap<String, Arc<Raster>>, Trouble> {
        let named = self.job.work().boards.values().filter_map(|board| board.photograph.as_ref());
        for hash in named.map(|photograph| photograph.hash.clone()) {
            if self.photographs.contains_key(&hash) {
                continue;
            }
            if let Some(bytes) = self.job.photograph(&hash).map_err(|problem| Trouble::from(&problem))? {
                self.photographs.insert(hash, Arc::new(workshop::picture::read(&bytes)?));
            }
        }
        Ok(self.photographs.clone())
    }

    /// The outlines of its areas.
    pub fn outlines(&mut self) -> Arc<Outlines> {
        self.derived.outlines(self.job.work())
    }

    /// The colours that the picture has in its areas.
    pub fn colours(&mut self) -> Arc<Colours> {
        self.derived.colours(self.job.work())
    }

    /// The picture's tones.
    pub fn tones(&mut self) -> Vec<Gathered> {
        workshop::tones(self.job.work(), &mut self.derived)
    }
}

/// A job's picture, decoded and framed.
fn framed(job: &Job) -> Result<Option<Arc<Raster>>, Trouble> {
    let bytes = job.picture().map_err(|problem| Trouble::from(&problem))?;
    Ok(bytes.map(|bytes| workshop::picture::read_framed(&bytes, job.framing())).transpose()?.map(Arc::new))
}

/// The desk, shared by all requests.
pub struct Desk {
    table: Mutex<Option<Table>>,
    /// Revisions are counted on over all jobs of this server, so that no page takes one job for another.
    revision: AtomicU64,
    /// Long acts.
    pub acts: Acts,
    /// The newest lit picture of a page.
    pub lit: Newest,
    /// The newest solid of a page.
    pub solid: Newest,
    events: broadcast::Sender<Told>,
    /// Where new jobs are put.
    pub folder: PathBuf,
    left: Left,
}

/// What is left beside each job that is opened.
pub struct Left {
    /// For a second start meanwhile: where the job is open.
    pub word: String,
    /// For the next start: where open pages look for it.
    pub seat: Seat,
}

/// The first revision of a server: milliseconds since 1970. Counting from there, no later start gives one again that an open
/// page already shows, for no job is changed a thousand times a second.
fn first_revision() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis() as u64)
}

impl Desk {
    /// A desk without a job.
    pub fn new(folder: PathBuf, left: Left) -> Arc<Desk> {
        let events = broadcast::channel(EVENTS_KEPT).0;
        let table = Mutex::new(None);
        let revision = AtomicU64::new(first_revision());
        let [lit, solid] = [Newest::default(), Newest::default()];
        Arc::new(Desk { table, revision, acts: Acts::new(), lit, solid, events, folder, left })
    }

    /// A new listener.
    pub fn listen(&self) -> broadcast::Receiver<Told> {
        self.events.subscribe()
    }

    /// Tells every page.
    pub fn tell(&self, name: &'static str, value: &impl Serialize, id: Option<u64>) {
        let data = serde_json::to_string(value).expect("wire values have a text form").into();
        // Nobody listening is no fault.
        let _ = self.events.send(Told { name, data, id });
    }

    /// A poisoned lock holds a job whose file is whole: what panicked had not changed the state in memory.
    fn lock(&self) -> MutexGuard<'_, Option<Table>> {
        self.table.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Does something with the open job.
    pub fn with<T>(&self, what: impl FnOnce(&mut Table) -> Result<T, Trouble>) -> Result<T, Trouble> {
        match self.lock().as_mut() {
            Some(table) => what(table),
            None => Err(Trouble::of("No job is open.", "Start one from a picture, or open one.")),
        }
    }

    /// The open job's file.
    pub fn path(&self) -> Option<PathBuf> {
        self.lock().as_ref().map(|table| table.job.path().to_path_buf())
    }

    /// The revision on the table.
    pub fn revision(&self) -> Option<u64> {
        self.lock().as_ref().map(|table| table.seen.revision)
    }

    /// The whole view.
    pub fn seen(&self) -> Result<Seen, Trouble> {
        self.with(|table| Ok(table.seen.clone()))
    }

    /// Opens a job file in place of the one on the table.
    pub fn open(self: &Arc<Desk>, path: &Path) -> Result<Seen, Trouble> {
        // The old job is let go first: it may be the same file, and one may write at a time.
        self.acts.stop_all();
        let before = self.lock().take().map(|table| table.job.path().to_path_buf());
        self.laid(path).inspect_err(|_| {
            // What was open goes on; that it is in its file is all that matters if it cannot.
            if let Some(before) = before {
                let _ = self.laid(&before);
            }
        })
    }

    fn laid(self: &Arc<Desk>, path: &Path) -> Result<Seen, Trouble> {
        self.put(Job::open(path).map_err(|problem| Trouble::from(&problem))?)
    }

    /// Lays a job on the table.
    pub fn put(self: &Arc<Desk>, job: Job) -> Result<Seen, Trouble> {
        let raster = framed(&job)?;
        self.acts.stop_all();
        self.acts.forget(raster.clone());
        let (mut derived, mut drawn) = (Derived::with_picture(raster), Drawn::default());
        let place = self.place(&job)?;
        let seen = see::seen(job.work(), &mut derived, &mut drawn, &place);
        // What is remembered of recent jobs is a comfort; without it the job is as good.
        let _ = job::recent::remember(job.path(), &job.work().choices.title);
        let _ = job.leave_word(&self.left.word);
        let _ = self.left.seat.keep(job.path());
        *self.lock() = Some(Table {
            job,
            derived,
            drawn,
            seen: seen.clone(),
            meanwhile: Meanwhile::default(),
            photographs: BTreeMap::new(),
        });
        self.tell("resync", &crate::wire::Hello { revision: Some(seen.revision) }, None);
        self.check();
        Ok(seen)
    }

    fn place(&self, job: &Job) -> Result<Place, Trouble> {
        let history = job.history().map_err(|problem| Trouble::from(&problem))?;
        let head = history.iter().position(|revision| revision.head).unwrap_or(0);
        Ok(Place {
            revision: self.revision.fetch_add(1, Ordering::Relaxed) + 1,
            step: history.get(head).map_or(0, |revision| revision.id),
            path: job.path().display().to_string(),
            undo: (head > 0).then(|| history[head].label.clone()),
            redo: history.get(head + 1).map(|revision| revision.label.clone()),
        })
    }

    /// Makes a change on the state that it is for, and tells every page. What the change says of itself is told with it.
    pub fn change(
        self: &Arc<Desk>,
        on: On,
        make: impl FnOnce(&mut Job) -> Result<Vec<String>, Refused>,
    ) -> Result<Delta, Trouble> {
        let delta = self.with(|table| {
            table.stands(on)?;
            let before = table.work().picture.clone();
            let told = make(&mut table.job)?;
            table.look_again(before.as_ref())?;
            let place = self.place(&table.job)?;
            let seen = see::seen(table.job.work(), &mut table.derived, &mut table.drawn, &place);
            let delta = Delta { told, ..see::delta(&table.seen, &seen) };
            table.meanwhile.add(&table.seen, &delta);
            let findings = table.seen.findings.take();
            // Until the next check is done, the last one's findings stand.
            table.seen = Seen { findings, ..seen };
            self.tell("delta", &delta, Some(delta.revision));
            Ok(delta)
        })?;
        self.check();
        Ok(delta)
    }

    /// Applies edits, all or none.
    pub fn edit(self: &Arc<Desk>, at: Option<u64>, edits: &[Edit]) -> Result<Delta, Trouble> {
        let on = at.map_or(On::Any, |at| On::Since(at, edits));
        if edits.is_empty() {
            return Err(Trouble::of("No edit was sent.", "Send at least one."));
        }
        self.change(on, |job| {
            let label = workshop::label_all(job.work(), edits);
            Ok(job.apply(edits, &label)?.told)
        })
    }

    /// Checks the job as it stands on a thread of its own; a newer change makes an older check pointless.
    fn check(self: &Arc<Desk>) {
        let desk = self.clone();
        std::thread::spawn(move || {
            let Some(revision) = desk.revision() else { return };
            let found: Option<Vec<Finding>> = desk.acts.checking(|derived| {
                let same = |table: &mut Table| Ok((table.seen.revision == revision).then(|| table.for_act(derived)));
                let work = desk.with(same).ok()??;
                let findings = workshop::check(&work, derived);
                let outlines = derived.outlines(&work);
                Some(findings.iter().map(|one| see::finding(&work, &outlines, one)).collect())
            });
            let Some(findings) = found else { return };
            let told = desk.with(|table| {
                let current = table.seen.revision == revision;
                if current {
                    table.seen.findings = Some(findings.clone());
                }
                Ok(current)
            });
            if told == Ok(true) {
                desk.tell("findings", &Found { revision, findings }, None);
            }
        });
    }
}

impl Trouble {
    /// What cannot be, and what to do instead.
    pub fn of(what: impl Into<String>, way: &str) -> Trouble {
        Trouble { what: what.into(), ways: vec![Way::advice(way)], ..Trouble::default() }
    }

    /// Something that cannot be, was.
    pub fn broken() -> Trouble {
        Trouble::of(
            "spelk broke off by a fault of its own. The job is as it was.",
            "Try again, and report it if it stays.",
        )
    }

    /// The page showed an older state.
    pub fn stale() -> Trouble {
        Trouble {
            stale: true,
            ..Trouble::of("The job has changed since this page was drawn.", "Look again, then try once more.")
        }
    }
}

impl From<Refusal> for Trouble {
    fn from(refusal: Refusal) -> Trouble {
        Trouble { what: refusal.what, spot: refusal.spot, ways: refusal.ways, stale: false }
    }
}

impl From<&Problem> for Trouble {
    fn from(problem: &Problem) -> Trouble {
        Trouble { what: problem.to_string(), ..Trouble::default() }
    }
}

impl From<Refused> for Trouble {
    fn from(refused: Refused) -> Trouble {
        match refused {
            Refused::Refusal(refusal) => refusal.into(),
            Refused::Problem(problem) => Trouble::from(&problem),
        }
    }
}
