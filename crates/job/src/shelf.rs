//! A document in its file: made, opened, changed, walked back and forth.
//!
//! The revisions that are not dropped form one line in the order of their ids. The head stands on one of them; those
//! after it were undone and wait for redo. An edit at the head drops them from the line but leaves them in the file.

use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use serde::{Deserialize, Serialize};
use workshop::work::{Counters, Refusal, Way};

use crate::chain::{self, Entry, Link};
use crate::file::{self, Here, Mode};
use crate::job::picture_hash;
use crate::keep::Keep;
use crate::owner::Owner;
use crate::place;
use crate::problem::{Problem, Refused};
use crate::schema;
use crate::stored::{self, Bad};

/// One step of a document's history.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Revision {
    /// Its place; later steps have higher ones, not always the next.
    pub id: i64,
    /// What was done, in the maker's words.
    pub label: String,
    /// When, in seconds since 1970 (UTC), by the clock of the machine that did it.
    pub at: i64,
    /// The document is in this state now.
    pub head: bool,
    /// It was undone, and redo would bring it back.
    pub undone: bool,
}

pub(crate) struct Shelf<D: Keep> {
    path: PathBuf,
    connection: Connection,
    owner: Option<Owner>,
    state: D,
    head: Link,
    /// SQLite's count of changes by others.
    version: i64,
    // After the connection: dropped in this order.
    _here: Here,
}

impl<D: Keep> Shelf<D> {
    /// Makes a new file with `state` in it; `fill` may put more into its tables.
    pub(crate) fn make(path: &Path, state: &D, label: &str, fill: Fill) -> Result<Shelf<D>, Problem> {
        let folder = place::folder_of(path)?;
        if path.symlink_metadata().is_ok() {
            return Err(Problem::Exists { path: path.to_path_buf() });
        }
        let path = place::true_path(path)?;
        let owner = Owner::of(&path)?;
        let made = file::beside(&path, &folder)?;
        lay(&made, state, label, fill).map_err(|e| e.about(&path))?;
        file::put_in_place(made, &path, &folder)?;
        Shelf::take(path, Some(owner))
    }

    /// Opens a file to change it.
    pub(crate) fn open(path: &Path) -> Result<Shelf<D>, Problem> {
        let path = file::present(path)?;
        let _here = file::whose(&path, D::MARK)?;
        let owner = Owner::of(&path)?;
        // Nothing may be written, not even a setting, before the file is known to be whole.
        drop(Shelf::<D>::look(&path)?);
        Shelf::take(path, Some(owner))
    }

    /// Opens a file to look at it; a writer may have it open.
    pub(crate) fn read(path: &Path) -> Result<Shelf<D>, Problem> {
        let path = file::present(path)?;
        let _here = file::whose(&path, D::MARK)?;
        Shelf::look(&path)
    }

    fn look(path: &Path) -> Result<Shelf<D>, Problem> {
        file::play_back(path)?;
        let shelf = Shelf::take(path.to_path_buf(), None)?;
        file::sound(&shelf.connection, path)?;
        Ok(shelf)
    }

    fn take(path: PathBuf, owner: Option<Owner>) -> Result<Shelf<D>, Problem> {
        let here = file::whose(&path, D::MARK)?;
        let mode = if owner.is_some() { Mode::Write } else { Mode::Read };
        let mut connection = file::connect(&path, mode)?;
        if owner.is_some() {
            let format = connection.pragma_query_value(None, "user_version", |row| row.get(0));
            let format: i64 = format.map_err(|e| Problem::sqlite(&path, e))?;
            if format < schema::FORMAT {
                let upgrade = connection.transaction_with_behavior(TransactionBehavior::Immediate).and_then(|within| {
                    schema::upgrade(&within, format, D::MARK)?;
                    within.commit()
                });
                upgrade.map_err(|e| Problem::sqlite(&path, e))?;
            }
        }
        // One transaction, so that a writer cannot come between the parts.
        let within = connection.transaction().map_err(|e| Problem::sqlite(&path, e))?;
        let (id, next) = head(&within, &path)?;
        let head = chain::read(&within, id, &path)?;
        let version = data_version(&within, &path)?;
        drop(within);
        let state = revive(&head.text, next, &path)?;
        Ok(Shelf { path, connection, owner, state, head, version, _here: here })
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    pub(crate) fn state(&self) -> &D {
        &self.state
    }

    /// A picture of the file by its hash, byte for byte as it was put there.
    pub(crate) fn picture(&self, hash: &str) -> Result<Option<Vec<u8>>, Problem> {
        let sql = "SELECT bytes FROM picture WHERE hash = ?1";
        let found = self.connection.query_row(sql, [hash], |row| row.get::<_, Vec<u8>>(0)).optional();
        match found.map_err(|e| Problem::sqlite(&self.path, e))? {
            Some(bytes) if picture_hash(&bytes) != hash => {
                Err(Problem::damaged(&self.path, "a picture in it is not as it was written"))
            }
            found => Ok(found),
        }
    }

    /// Puts a picture into the file; its hash.
    pub(crate) fn put_picture(&mut self, bytes: &[u8]) -> Result<String, Problem> {
        let hash = picture_hash(bytes);
        self.write(|within, _, path| schema::put_picture(within, &hash, bytes).map_err(|e| Problem::sqlite(path, e)))?;
        Ok(hash)
    }

    /// The file's key, and the text of what it has told the shop. The file is open for writing, so that it has both.
    pub(crate) fn rack(&self) -> Result<(String, String), Problem> {
        schema::rack(&self.connection).map_err(|e| Problem::sqlite(&self.path, e))
    }

    /// Stores the text of what it has told the shop: no revision, so that undo leaves it.
    pub(crate) fn note_told(&mut self, told: &str) -> Result<(), Problem> {
        self.write(|within, _, path| schema::note_told(within, told).map_err(|e| Problem::sqlite(path, e)))
    }

    /// Applies edits, all or none, as one revision that is on the disk when this returns.
    pub(crate) fn apply(&mut self, edits: &[D::Edit], label: &str) -> Result<D::Changes, Refused> {
        let mut state = self.state.clone();
        let changes = state.apply_all(edits)?;
        if state == self.state {
            // Nothing that undo could take back.
            return Ok(changes);
        }
        let text = text_of(&state, &self.path)?;
        let edit_text = serde_json::to_vec(edits).expect("every edit has a text form");
        let fact = edits.iter().any(D::is_fact);
        let entry = Entry { label, at: now(), fact, edits: &edit_text, text };
        let next = next_text(&mut state);
        self.head = self.write(|within, before, path| {
            let sql = "UPDATE revision SET dropped = 1 WHERE dropped = 0 AND id > ?1";
            within.execute(sql, [before.id]).map_err(|e| Problem::sqlite(path, e))?;
            let head = chain::write(within, Some(before), entry, path)?;
            let sql = "UPDATE head SET revision = ?1, next = ?2";
            within.execute(sql, params![head.id, next]).map_err(|e| Problem::sqlite(path, e))?;
            Ok(head)
        })?;
        self.state = state;
        Ok(changes)
    }

    /// Goes back one revision; the label of what was undone, or `None` at the beginning.
    pub(crate) fn undo(&mut self) -> Result<Option<String>, Refused> {
        let Some(parent) = self.head.parent else { return Ok(None) };
        if self.head.fact && self.after_head()?.is_some() {
            return Err(done_at_the_bench(&self.head.label).into());
        }
        let undone = self.head.label.clone();
        self.stand_on(parent)?;
        Ok(Some(undone))
    }

    /// Goes forward one revision that was undone; its label, or `None` at the end.
    pub(crate) fn redo(&mut self) -> Result<Option<String>, Refused> {
        let Some(child) = self.after_head()? else { return Ok(None) };
        self.stand_on(child)?;
        Ok(Some(self.head.label.clone()))
    }

    fn after_head(&self) -> Result<Option<i64>, Problem> {
        let sql = "SELECT min(id) FROM revision WHERE dropped = 0 AND id > ?1";
        self.connection.query_row(sql, [self.head.id], |row| row.get(0)).map_err(|e| Problem::sqlite(&self.path, e))
    }

    fn stand_on(&mut self, id: i64) -> Result<(), Problem> {
        let link = chain::read(&self.connection, id, &self.path)?;
        let next = *self.state.next();
        let state = revive(&link.text, Some(next), &self.path)?;
        self.write(|within, _, path| {
            let set = within.execute("UPDATE head SET revision = ?1", [id]);
            set.map(|_| ()).map_err(|e| Problem::sqlite(path, e))
        })?;
        (self.head, self.state) = (link, state);
        Ok(())
    }

    /// The line of revisions, the oldest first.
    pub(crate) fn history(&self) -> Result<Vec<Revision>, Problem> {
        let asked = || -> rusqlite::Result<Vec<Revision>> {
            let mut query =
                self.connection.prepare("SELECT id, label, at FROM revision WHERE dropped = 0 ORDER BY id")?;
            let rows = query.query_map([], |row| {
                let (id, label, at) = (row.get(0)?, row.get(1)?, row.get(2)?);
                Ok(Revision { id, label, at, head: id == self.head.id, undone: id > self.head.id })
            })?;
            rows.collect()
        };
        asked().map_err(|e| Problem::sqlite(&self.path, e))
    }

    /// The edits that made a revision; none for the first.
    pub(crate) fn edits(&self, id: i64) -> Result<Vec<D::Edit>, Problem> {
        let text = chain::edits(&self.connection, id, &self.path)?;
        let unreadable = |_| Problem::damaged(&self.path, format!("the edits of revision {id} cannot be read"));
        serde_json::from_slice(&text).map_err(unreadable)
    }

    /// One durable change of the file, or none.
    pub(crate) fn write<T>(
        &mut self,
        act: impl FnOnce(&Transaction, &Link, &Path) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let path = &self.path;
        if self.owner.is_none() {
            return Err(Problem::ReadOnly { path: path.clone() });
        }
        let begun = self.connection.transaction_with_behavior(TransactionBehavior::Immediate);
        let within = begun.map_err(|e| Problem::sqlite(path, e))?;
        // The second guards against a commit of our own whose outcome was not known.
        if data_version(&within, path)? != self.version || head(&within, path)?.0 != self.head.id {
            return Err(Problem::Changed { path: path.clone() });
        }
        let done = act(&within, &self.head, path)?;
        within.commit().map_err(|e| Problem::sqlite(path, e))?;
        Ok(done)
    }

    /// Writes the whole document to a new file; this one stays the one that is open.
    pub(crate) fn save_as(&self, path: &Path) -> Result<(), Problem> {
        let folder = place::folder_of(path)?;
        if path.symlink_metadata().is_ok() {
            return Err(Problem::Exists { path: path.to_path_buf() });
        }
        let made = file::beside(path, &folder)?;
        let target = made.to_str().ok_or_else(|| Problem::NoFolder { path: folder.clone() })?;
        self.connection.execute("VACUUM INTO ?1", [target]).map_err(|e| Problem::sqlite(path, e))?;
        file::put_in_place(made, path, &folder)
    }
}

/// What a kind of document puts in a new file beside its state.
pub(crate) type Fill<'a> = &'a dyn Fn(&Connection) -> rusqlite::Result<()>;

/// Fills a new, empty file.
fn lay<D: Keep>(made: &Path, state: &D, label: &str, fill: Fill) -> Result<(), Problem> {
    let mut connection = file::connect(&made.canonicalize().map_err(|e| Problem::io(made, e))?, Mode::Write)?;
    let sql = |e| Problem::sqlite(made, e);
    let within = connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
    schema::upgrade(&within, 0, D::MARK).map_err(sql)?;
    let entry = Entry { label, at: now(), fact: false, edits: b"[]", text: text_of(state, made)? };
    let head = chain::write(&within, None, entry, made)?;
    let next = next_text(&mut state.clone());
    within.execute("INSERT INTO head(one, revision, next) VALUES (1, ?1, ?2)", params![head.id, next]).map_err(sql)?;
    fill(&within).map_err(sql)?;
    within.commit().map_err(sql)?;
    connection.close().map_err(|(_, e)| sql(e))
}

/// The stored text of a state, which is read back first: what could not be read again must never be written.
fn text_of<D: Keep>(state: &D, path: &Path) -> Result<Vec<u8>, Problem> {
    let unwritable = || Problem::Unwritable { path: path.to_path_buf() };
    let text = stored::to_text(state).map_err(|_| unwritable())?;
    match stored::from_text::<D>(&text) {
        Ok(same) if same == *state => Ok(text),
        _ => Err(unwritable()),
    }
}

fn revive<D: Keep>(text: &[u8], next: Option<Counters>, path: &Path) -> Result<D, Problem> {
    let mut state: D = stored::from_text(text).map_err(|bad| match bad {
        Bad::Later(found) => {
            Problem::Later { path: path.to_path_buf(), found: found.into(), known: stored::VERSION.into() }
        }
        Bad::Form(e) => Problem::damaged(path, format!("its state cannot be read ({e})")),
    })?;
    if let Some(highest) = next {
        let own = state.next();
        *own = own.highest(highest);
    }
    Ok(state)
}

fn next_text<D: Keep>(state: &mut D) -> String {
    serde_json::to_string(state.next()).expect("numbers have a text form")
}

/// Where the line stands, and the highest ids ever given.
fn head(connection: &Connection, path: &Path) -> Result<(i64, Option<Counters>), Problem> {
    let row = connection.query_row("SELECT revision, next FROM head", [], |row| {
        Ok((row.get::<_, i64>(0)?, row.get::<_, Option<String>>(1)?))
    });
    let (id, next) = row.map_err(|e| match e {
        rusqlite::Error::QueryReturnedNoRows => Problem::damaged(path, "it does not say which revision is the last"),
        other => Problem::sqlite(path, other),
    })?;
    let next = next.map(|text| serde_json::from_str(&text)).transpose();
    Ok((id, next.map_err(|_| Problem::damaged(path, "the count of its numbers is garbled"))?))
}

fn data_version(connection: &Connection, path: &Path) -> Result<i64, Problem> {
    connection.pragma_query_value(None, "data_version", |row| row.get(0)).map_err(|e| Problem::sqlite(path, e))
}

fn done_at_the_bench(label: &str) -> Refusal {
    Refusal::new(format!("“{label}” was done at the bench, and the plan went on from there: it is no longer undone."))
        .way(Way::advice("Strike the entry in the log, if it was a mistake; or make a new change instead."))
}

fn now() -> i64 {
    // A clock before 1970 is a clock that was never set.
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs() as i64)
}
