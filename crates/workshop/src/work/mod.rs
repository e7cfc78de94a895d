//! The values of a job: plain, comparable, with one text form (serde). No algorithm and no check lives here.
//!
//! `Work` is the whole job; `Shop` is what outlives it; `Edit` is every change that can be made. Lengths are whole
//! micrometres, so that they round-trip and compare exactly. What can be derived (outlines, colours of the picture,
//! findings) is never stored.

mod blade;
mod board;
pub mod edit;
mod finding;
mod fit;
mod framing;
mod ids;
mod loose;
mod mount;
mod pairs;
mod pattern;
mod piece;
mod proposal;
mod relation;
mod setup;
mod shop;
mod wood;

use std::collections::{BTreeMap, BTreeSet};

use measure::plane::Point;
use serde::{Deserialize, Serialize};

pub use blade::{Blade, Saw, Times};
pub use board::{Board, Laying, Lie, Photograph, Used, Zone};
pub use edit::Edit;
pub use finding::{Changes, Finding, Grave, Kind, Refusal, Spot, Way};
pub use fit::Meets;
pub use framing::{Crop, Framing};
pub use ids::{AreaId, BoardId, BorderId, Counters, JunctionId, Number, PartId, RelationId, VariantId, WoodId, runs};
pub use loose::{LineBecomes, LooseLine};
pub use mount::Mount;
pub use pattern::{Area, Becomes, Border, Ends, Origin, Pattern, Side};
pub use piece::{Axis, By, Chosen, Date, Fact, Part, Piece, PieceValues, Retired, State, Variant};
pub use proposal::{Ask, Cost, Landed, Proposal, Swallowed, Values, WoodGrain};
pub use relation::{Depth, Named, Relation, Says, Strength, Whom};
pub use setup::{
    Choices, Choosing, Frame, GroundChoice, InkChoice, OnPaper, PictureRef, Place, Reading, Size, Stock, StockKind,
    SubjectMarks, TraceChoices, Unit,
};
pub use shop::{Line, Shop, ShopEdit};
pub use wood::{Figure, Finish, Shift, Sourced, Wood};

/// The whole job.
#[derive(Clone, Debug, Default, PartialEq, Hash, Serialize, Deserialize)]
pub struct Work {
    /// The rectangle of the pattern.
    pub panel: Size,
    /// What the maker has settled for the job as a whole.
    pub choices: Choices,
    /// The image that the work starts from.
    pub picture: Option<PictureRef>,
    /// The panel divided by borders; empty until a draft is accepted.
    pub pattern: Pattern,
    /// What the last trace found too fine to saw: a side list of the pattern, made anew when the picture is traced again.
    #[serde(default)]
    pub swallowed: Vec<Swallowed>,
    /// Where lines ended in the open, and were left out: what jobs of old have in the place of `loose_lines`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub loose: Vec<Point>,
    /// Lines that part nothing, each with what becomes of it: a side list as the ones above.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub loose_lines: Vec<LooseLine>,
    /// Areas whose outline the maker has drawn or wants kept: tracing again holds them. Areas of pieces that are cut or
    /// that the maker has settled something of are held without being listed.
    #[serde(default)]
    pub held: BTreeSet<AreaId>,
    /// Every piece by its number.
    pub pieces: BTreeMap<Number, Piece>,
    /// Numbers that were merged away, never given again.
    pub retired: BTreeMap<Number, Retired>,
    /// How parts and pieces stand to each other.
    pub relations: BTreeMap<RelationId, Relation>,
    /// Depth marks: near, middle, far.
    #[serde(with = "pairs")]
    pub marks: BTreeMap<Whom, Depth>,
    /// Named groups of pieces.
    pub parts: BTreeMap<PartId, Part>,
    /// Plans of parts kept under a name.
    pub variants: BTreeMap<VariantId, Variant>,
    /// The woods that the job may use, copied from the table and the shop when it began.
    pub woods: BTreeMap<WoodId, Wood>,
    /// Strokes that say how the grain runs over the subject, each a line of points.
    #[serde(default)]
    pub strokes: Vec<Vec<Point>>,
    /// How pieces meet neighbours that are finished first, the later one named before the first; of all others both are
    /// sawn on their shared line.
    #[serde(default, with = "pairs")]
    pub fits: BTreeMap<(Number, Number), Meets>,
    /// The boards of the job.
    #[serde(default)]
    pub boards: BTreeMap<BoardId, Board>,
    /// Of boards that are in the shop: the board as the job and the shop last agreed on it.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub shelf: BTreeMap<BoardId, Board>,
    /// Where each piece is cut from its board.
    #[serde(default)]
    pub layout: BTreeMap<Number, Chosen<Lie>>,
    /// Pieces that were said at their board to be cut, whatever the log tells.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub sawn: BTreeSet<Number>,
    /// What was done at the bench, in order.
    pub log: Vec<Fact>,
    /// The next id of each kind.
    pub next: Counters,
}
