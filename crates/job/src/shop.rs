//! The shop file: what outlives a job, kept as a job is.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use workshop::work::{Shop, ShopEdit, Wood, WoodId};

use crate::place;
use crate::problem::{Problem, Refused};
use crate::shelf::{Revision, Shelf};

/// The shop in its file.
pub struct ShopFile(Shelf<Shop>);

impl ShopFile {
    /// Where the account's shop file lies; the environment variable `SPELK_SHOP` overrides it.
    pub fn usual_path() -> Result<PathBuf, Problem> {
        place::shop()
    }

    /// Opens the shop file to change it, making an empty one, and its folder, where there is none.
    pub fn open(path: impl AsRef<Path>) -> Result<ShopFile, Problem> {
        let path = path.as_ref();
        match Shelf::open(path) {
            Err(Problem::Missing { .. }) => {
                let folder = path.parent().unwrap_or(Path::new("."));
                std::fs::create_dir_all(folder).map_err(|e| Problem::io(folder, e))?;
                Shelf::make(path, &Shop::default(), "Open the shop", &|_| Ok(())).map(ShopFile)
            }
            opened => opened.map(ShopFile),
        }
    }

    /// Opens the shop file to look at it and at its photographs; a writer may have it open.
    pub fn read(path: impl AsRef<Path>) -> Result<ShopFile, Problem> {
        Shelf::read(path.as_ref()).map(ShopFile)
    }

    /// The shop as it stands in the file; an empty one where there is no file yet.
    pub fn look(path: impl AsRef<Path>) -> Result<Shop, Problem> {
        match Shelf::<Shop>::read(path.as_ref()) {
            Ok(shelf) => Ok(shelf.state().clone()),
            Err(Problem::Missing { .. }) => Ok(Shop::default()),
            Err(problem) => Err(problem),
        }
    }

    /// The woods that a new job may use: the table's, and the account's own over them.
    pub fn woods() -> Result<BTreeMap<WoodId, Wood>, Problem> {
        let mut woods = workshop::wood::table();
        woods.extend(ShopFile::look(ShopFile::usual_path()?)?.woods);
        Ok(woods)
    }

    /// The shop as it stands.
    pub fn shop(&self) -> &Shop {
        self.0.state()
    }

    /// The photograph of a board that the shop names by this hash, as it was kept; `None` when the file holds none.
    pub fn photograph(&self, hash: &str) -> Result<Option<Vec<u8>>, Problem> {
        self.0.picture(hash)
    }

    /// Puts a photograph of a board into the file for an edit to name; its SHA-256 in hexadecimal.
    pub fn put_photograph(&mut self, bytes: &[u8]) -> Result<String, Problem> {
        self.0.put_picture(bytes)
    }

    /// Applies edits, all or none, as one revision; it is on the disk when this returns.
    pub fn apply(&mut self, edits: &[ShopEdit], label: &str) -> Result<(), Refused> {
        self.0.apply(edits, label)
    }

    /// Goes back one revision; the label of what was undone, or `None` at the beginning.
    pub fn undo(&mut self) -> Result<Option<String>, Refused> {
        self.0.undo()
    }

    /// Goes forward one revision that was undone; its label, or `None` at the end.
    pub fn redo(&mut self) -> Result<Option<String>, Refused> {
        self.0.redo()
    }

    /// The revisions from the first to the last.
    pub fn history(&self) -> Result<Vec<Revision>, Problem> {
        self.0.history()
    }
}
