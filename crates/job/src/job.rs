//! The job file: a job's plan, its history and its picture.

use std::path::Path;

use sha2::{Digest, Sha256};
use workshop::stock::Told;
use workshop::work::{Changes, Edit, Framing, Work};

use crate::pack::hex;
use crate::problem::{Problem, Refused};
use crate::schema;
use crate::shelf::{Revision, Shelf};

/// A job in its file.
pub struct Job(Shelf<Work>);

impl Job {
    /// Makes a new job file, never over another. `picture` is the image file as it was read, the one that `work` names.
    pub fn create(path: impl AsRef<Path>, work: &Work, picture: Option<&[u8]>, label: &str) -> Result<Job, Problem> {
        let path = path.as_ref();
        let picture = picture.map(|bytes| (picture_hash(bytes), bytes));
        if let (Some(named), Some((hash, _))) = (&work.picture, &picture)
            && named.hash != *hash
        {
            return Err(Problem::NoPicture { path: path.to_path_buf() });
        }
        let shelf = Shelf::make(path, work, label, &|connection| match &picture {
            Some((hash, bytes)) => schema::put_picture(connection, hash, bytes),
            None => Ok(()),
        })?;
        Ok(Job(shelf))
    }

    /// Opens a job file to change it. One at a time may.
    pub fn open(path: impl AsRef<Path>) -> Result<Job, Problem> {
        Shelf::open(path.as_ref()).map(Job)
    }

    /// Opens a job file to look at it as it is now; a writer may have it open.
    pub fn read(path: impl AsRef<Path>) -> Result<Job, Problem> {
        Shelf::read(path.as_ref()).map(Job)
    }

    /// Where the file is, links resolved.
    pub fn path(&self) -> &Path {
        self.0.path()
    }

    /// The job as it stands.
    pub fn work(&self) -> &Work {
        self.0.state()
    }

    /// The picture that the job names, byte for byte as it was read; `None` when it names none.
    pub fn picture(&self) -> Result<Option<Vec<u8>>, Problem> {
        let Some(named) = &self.work().picture else { return Ok(None) };
        match self.0.picture(&named.hash)? {
            Some(bytes) => Ok(Some(bytes)),
            None => Err(Problem::NoPicture { path: self.path().to_path_buf() }),
        }
    }

    /// The same, as it was before a mask left parts of it out.
    pub fn unmasked_picture(&self) -> Result<Option<Vec<u8>>, Problem> {
        match self.work().picture.as_ref().and_then(|named| named.unmasked.as_deref()) {
            Some(hash) => self.0.picture(hash),
            None => self.picture(),
        }
    }

    /// The scan or photograph of the drawing on paper that the job is traced from, as it was read; `None` when there is none.
    pub fn paper(&self) -> Result<Option<Vec<u8>>, Problem> {
        let Some(named) = &self.work().choices.trace.paper else { return Ok(None) };
        match self.0.picture(&named.hash)? {
            Some(bytes) => Ok(Some(bytes)),
            None => Err(Problem::NoPicture { path: self.path().to_path_buf() }),
        }
    }

    /// How that picture lies under the panel, where it is not the whole of it.
    pub fn framing(&self) -> Option<&Framing> {
        self.work().picture.as_ref()?.framing.as_ref()
    }

    /// The photograph of a board that the job names by this hash, as it was kept; `None` when the file holds none.
    pub fn photograph(&self, hash: &str) -> Result<Option<Vec<u8>>, Problem> {
        self.0.picture(hash)
    }

    /// Puts a picture into the file for an edit to name; its SHA-256 in hexadecimal. Pictures that were replaced stay,
    /// so that undo finds them.
    pub fn put_picture(&mut self, bytes: &[u8]) -> Result<String, Problem> {
        self.0.put_picture(bytes)
    }

    /// Applies edits, all or none, as one revision called `label`; it is on the disk when this returns. Edits that leave
    /// everything as it is make no revision.
    pub fn apply(&mut self, edits: &[Edit], label: &str) -> Result<Changes, Refused> {
        self.0.apply(edits, label)
    }

    /// Goes back one revision; the label of what was undone, or `None` at the beginning. What was logged at the bench
    /// goes back only while it is the last revision. Ids and numbers are not given again.
    pub fn undo(&mut self) -> Result<Option<String>, Refused> {
        self.0.undo()
    }

    /// Goes forward to the next revision that was undone; its label, or `None` at the end.
    pub fn redo(&mut self) -> Result<Option<String>, Refused> {
        self.0.redo()
    }

    /// The revisions from the first to the last, those that redo would bring back included.
    pub fn history(&self) -> Result<Vec<Revision>, Problem> {
        self.0.history()
    }

    /// The edits that made a revision of the history; none for the first.
    pub fn edits(&self, revision: i64) -> Result<Vec<Edit>, Problem> {
        self.0.edits(revision)
    }

    /// What the shop knows the job by, and the cuts that the job has told it.
    pub(crate) fn rack(&self) -> Result<(String, Vec<Told>), Problem> {
        let (key, told) = self.0.rack()?;
        let garbled = |_| Problem::damaged(self.path(), "what it has told the shop cannot be read");
        Ok((key, serde_json::from_str(&told).map_err(garbled)?))
    }

    /// Notes the cuts that the job has told the shop, unless it is noted so; undo leaves it.
    pub(crate) fn note_told(&mut self, before: &[Told], told: &[Told]) -> Result<(), Problem> {
        if before == told {
            return Ok(());
        }
        self.0.note_told(&serde_json::to_string(told).expect("rings have a text form"))
    }

    /// Leaves a word for others of this account who want to write the file: where it is open. See `word_of`.
    pub fn leave_word(&self, word: &str) -> Result<(), Problem> {
        crate::owner::leave_word(self.path(), word)
    }

    /// Writes the whole job, history and pictures too, to a new file, never over another. This one stays open.
    pub fn save_as(&self, path: impl AsRef<Path>) -> Result<(), Problem> {
        self.0.save_as(path.as_ref())
    }
}

/// What a job names its picture by: the SHA-256 of its bytes, in hexadecimal.
pub fn picture_hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}
