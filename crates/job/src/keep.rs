//! What a document must be able to do to be kept.

use serde::Serialize;
use serde::de::DeserializeOwned;
use workshop::work::{Changes, Counters, Edit, Refusal, Shop, ShopEdit, Work};

/// A document: a value that changes by edits.
pub(crate) trait Keep: Clone + PartialEq + Serialize + DeserializeOwned {
    /// Its edits.
    type Edit: Serialize + DeserializeOwned;
    /// What an edit tells.
    type Changes;
    /// The mark of its files in SQLite's header ("application_id"): four letters.
    const MARK: i32;
    /// What its file is called in messages.
    const CALLED: &'static str;

    /// Applies edits in order, all or none.
    fn apply_all(&mut self, edits: &[Self::Edit]) -> Result<Self::Changes, Refusal>;
    /// Whether the edit logs something that was done at the bench.
    fn is_fact(edit: &Self::Edit) -> bool;
    /// The ids that it gives next.
    fn next(&mut self) -> &mut Counters;
}

impl Keep for Work {
    type Edit = Edit;
    type Changes = Changes;
    const MARK: i32 = i32::from_be_bytes(*b"SpkJ");
    const CALLED: &'static str = "job file";

    fn apply_all(&mut self, edits: &[Edit]) -> Result<Changes, Refusal> {
        workshop::apply_all(self, edits)
    }

    fn is_fact(edit: &Edit) -> bool {
        matches!(edit, Edit::Bench(_))
    }

    fn next(&mut self) -> &mut Counters {
        &mut self.next
    }
}

impl Keep for Shop {
    type Edit = ShopEdit;
    type Changes = ();
    const MARK: i32 = i32::from_be_bytes(*b"SpkS");
    const CALLED: &'static str = "shop file";

    fn apply_all(&mut self, edits: &[ShopEdit]) -> Result<(), Refusal> {
        workshop::apply_to_shop(self, edits)
    }

    fn is_fact(_: &ShopEdit) -> bool {
        false
    }

    fn next(&mut self) -> &mut Counters {
        &mut self.next
    }
}

/// What a file with this mark is, if it is one of ours.
pub(crate) fn called(mark: i32) -> Option<&'static str> {
    [(Work::MARK, Work::CALLED), (Shop::MARK, Shop::CALLED)]
        .into_iter()
        .find(|known| known.0 == mark)
        .map(|known| known.1)
}
