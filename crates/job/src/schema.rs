//! The tables, and how a file of an earlier format comes to the present one.

use rusqlite::{Connection, Result, params};

/// From each format to the next; the first makes the tables of an empty file.
const STEPS: [&str; 2] = [FIRST, SECOND];

/// The format that is written (SQLite's "user_version").
pub(crate) const FORMAT: i64 = STEPS.len() as i64;

/// `revision`: the line of states. `parent` is the one before; `dropped` says that it was undone and then departed
/// from, and is no longer on the line. `kind`: the body is a whole state, or a difference to the parent's state, the
/// `after`th since a whole one. `edits` is the list of edits as JSON. `hash`: see `chain`.
/// `head`: where the line stands; `next` the highest ids ever given, which undo does not lower.
/// `picture`: bytes as they were read, by their SHA-256.
const FIRST: &str = "
CREATE TABLE revision(
    id INTEGER PRIMARY KEY,
    parent INTEGER REFERENCES revision(id),
    label TEXT NOT NULL,
    at INTEGER NOT NULL,
    fact INTEGER NOT NULL CHECK(fact IN (0, 1)),
    dropped INTEGER NOT NULL DEFAULT 0 CHECK(dropped IN (0, 1)),
    kind TEXT NOT NULL CHECK(kind IN ('snapshot', 'delta')),
    after INTEGER NOT NULL CHECK((kind = 'snapshot') = (after = 0)),
    edits BLOB NOT NULL,
    body BLOB NOT NULL,
    hash BLOB NOT NULL CHECK(length(hash) = 32)
) STRICT;
CREATE TABLE head(
    one INTEGER PRIMARY KEY CHECK(one = 1),
    revision INTEGER NOT NULL REFERENCES revision(id),
    next TEXT
) STRICT;
CREATE TABLE picture(
    hash TEXT PRIMARY KEY CHECK(length(hash) = 64),
    bytes BLOB NOT NULL
) STRICT;
";

/// `rack`: what a job says of itself in the shop, beside what undo takes back. `key`: drawn when the file is made; a copy of the
/// file has the same. `told`: the cuts that the shop was told, as JSON.
const SECOND: &str = "
CREATE TABLE rack(
    one INTEGER PRIMARY KEY CHECK(one = 1),
    key TEXT NOT NULL,
    told TEXT NOT NULL
) STRICT;
INSERT INTO rack(one, key, told) VALUES (1, lower(hex(randomblob(16))), '[]');
";

/// Brings the tables from format `from` to the present one, and marks the file as ours; within the caller's
/// transaction.
pub(crate) fn upgrade(connection: &Connection, from: i64, mark: i32) -> Result<()> {
    for step in STEPS.iter().skip(usize::try_from(from).unwrap_or(0)) {
        connection.execute_batch(step)?;
    }
    connection.pragma_update(None, "application_id", mark)?;
    connection.pragma_update(None, "user_version", FORMAT)
}

/// Stores a picture, unless it is there, under its hash.
pub(crate) fn put_picture(connection: &Connection, hash: &str, bytes: &[u8]) -> Result<()> {
    let sql = "INSERT INTO picture(hash, bytes) VALUES (?1, ?2) ON CONFLICT DO NOTHING";
    connection.execute(sql, params![hash, bytes]).map(|_| ())
}

/// The key of a file, and what it holds of the cuts that the shop was told, as text.
pub(crate) fn rack(connection: &Connection) -> Result<(String, String)> {
    connection.query_row("SELECT key, told FROM rack", [], |row| Ok((row.get(0)?, row.get(1)?)))
}

/// Stores the text of the cuts that the shop was told.
pub(crate) fn note_told(connection: &Connection, told: &str) -> Result<()> {
    connection.execute("UPDATE rack SET told = ?1", [told]).map(|_| ())
}
