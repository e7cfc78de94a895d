//! States of the line, read and written, each guarded by a hash over itself and the one before.
//!
//! hash = SHA-256(hash of the parent, or 32 zeros ‖ time ‖ label ‖ edits ‖ state), texts preceded by their length. A
//! state is whole every 50 revisions; between, it is packed against its parent's (`pack`).

use std::path::Path;

use rusqlite::{Connection, Row, params};
use sha2::{Digest, Sha256};

use crate::pack::{pack, unpack};
use crate::problem::Problem;

/// How many differences may follow a whole state. More make opening slower (each is unpacked in turn, about a
/// millisecond for a large job), fewer make the file larger (a whole state takes some tens of kB).
const WHOLE_EVERY: i64 = 50;

/// One state of the line, as text.
#[derive(Clone, Debug)]
pub(crate) struct Link {
    pub id: i64,
    pub parent: Option<i64>,
    pub label: String,
    pub fact: bool,
    pub text: Vec<u8>,
    after: i64,
    hash: Vec<u8>,
}

/// What a new state says of itself.
pub(crate) struct Entry<'a> {
    pub label: &'a str,
    pub at: i64,
    pub fact: bool,
    pub edits: &'a [u8],
    pub text: Vec<u8>,
}

struct Stored {
    id: i64,
    parent: Option<i64>,
    label: String,
    at: i64,
    fact: bool,
    after: i64,
    edits: Vec<u8>,
    body: Vec<u8>,
    hash: Vec<u8>,
}

fn digest(before: &[u8], at: i64, texts: [&[u8]; 3]) -> Vec<u8> {
    let mut hasher = Sha256::new_with_prefix(before);
    hasher.update(at.to_le_bytes());
    for text in texts {
        hasher.update((text.len() as u64).to_le_bytes());
        hasher.update(text);
    }
    hasher.finalize().to_vec()
}

/// Writes a state after `before`, in the caller's transaction.
pub(crate) fn write(
    connection: &Connection,
    before: Option<&Link>,
    entry: Entry,
    path: &Path,
) -> Result<Link, Problem> {
    let after = before.map_or(0, |link| (link.after + 1) % WHOLE_EVERY);
    let base = before.filter(|_| after > 0).map_or(&[][..], |link| &link.text);
    let packed = |bytes, before| pack(bytes, before).map_err(|e| Problem::io(path, e));
    let (edits, body) = (packed(entry.edits, &[])?, packed(&entry.text, base)?);
    let hash = digest(
        before.map_or(&[0; 32], |link| &link.hash),
        entry.at,
        [entry.label.as_bytes(), entry.edits, &entry.text],
    );
    let parent = before.map(|link| link.id);
    let kind = if after == 0 { "snapshot" } else { "delta" };
    let sql = "INSERT INTO revision(parent, label, at, fact, kind, after, edits, body, hash) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
    connection
        .execute(sql, params![parent, entry.label, entry.at, entry.fact, kind, after, edits, body, hash])
        .map_err(|e| Problem::sqlite(path, e))?;
    let id = connection.last_insert_rowid();
    Ok(Link { id, parent, label: entry.label.into(), fact: entry.fact, text: entry.text, after, hash })
}

/// Reads the state of revision `id`: back to the whole state it rests on, then forward, checking each hash.
pub(crate) fn read(connection: &Connection, id: i64, path: &Path) -> Result<Link, Problem> {
    let mut back = vec![row(connection, id, path)?];
    while let Some(Stored { after: 1.., parent: Some(parent), .. }) = back.last() {
        if back.len() as i64 > WHOLE_EVERY {
            return Err(Problem::damaged(path, "its revisions run in a circle"));
        }
        back.push(row(connection, *parent, path)?);
    }
    let first = back.last().expect("the revision itself is in the list");
    let mut hash = match first.parent {
        Some(parent) => row(connection, parent, path)?.hash,
        None => vec![0; 32],
    };
    let mut text = Vec::new();
    for stored in back.iter().rev() {
        text = open(stored, &text, &hash).ok_or_else(|| torn(path, stored))?;
        hash = stored.hash.clone();
    }
    let Stored { id, parent, label, fact, after, hash, .. } = back.swap_remove(0);
    Ok(Link { id, parent, label, fact, text, after, hash })
}

/// The edits that made a revision, as JSON.
pub(crate) fn edits(connection: &Connection, id: i64, path: &Path) -> Result<Vec<u8>, Problem> {
    let stored = row(connection, id, path)?;
    unpack(&stored.edits, &[]).map_err(|_| torn(path, &stored))
}

fn torn(path: &Path, stored: &Stored) -> Problem {
    Problem::damaged(path, format!("revision {} ({}) is not as it was written", stored.id, stored.label))
}

/// The state of a stored revision, if it is as it was written.
fn open(stored: &Stored, before: &[u8], hash: &[u8]) -> Option<Vec<u8>> {
    let text = unpack(&stored.body, if stored.after == 0 { &[] } else { before }).ok()?;
    let edits = unpack(&stored.edits, &[]).ok()?;
    (digest(hash, stored.at, [stored.label.as_bytes(), &edits, &text]) == stored.hash).then_some(text)
}

fn row(connection: &Connection, id: i64, path: &Path) -> Result<Stored, Problem> {
    let sql = "SELECT id, parent, label, at, fact, after, edits, body, hash FROM revision WHERE id = ?1";
    let take = |row: &Row| {
        Ok(Stored {
            id: row.get(0)?,
            parent: row.get(1)?,
            label: row.get(2)?,
            at: row.get(3)?,
            fact: row.get(4)?,
            after: row.get(5)?,
            edits: row.get(6)?,
            body: row.get(7)?,
            hash: row.get(8)?,
        })
    };
    connection.query_row(sql, [id], take).map_err(|e| match e {
        rusqlite::Error::QueryReturnedNoRows => Problem::damaged(path, format!("revision {id} is missing")),
        other => Problem::sqlite(path, other),
    })
}
