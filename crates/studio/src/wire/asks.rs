//! What the page asks for, and the short answers.

use measure::length::Um;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use workshop::work::{AreaId, Ask, Edit, Framing, InkChoice, Number};

/// The state that the page shows: the body of `POST /api/undo` and `/api/redo`, and `asking` of `/api/mask` (multipart, with a
/// picture as `mask`, or without one to take the mask away).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct At {
    /// The revision on the page.
    pub at: u64,
}

/// `POST /api/edit`: edits, all or none.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct EditBody {
    /// The revision on the page.
    pub at: u64,
    /// The edits.
    pub edits: Vec<Edit>,
}

/// `POST /api/open`: a job file of this machine.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Open {
    /// Its path.
    pub path: String,
}

/// The words beside the picture of `POST /api/start` (multipart: `picture`, perhaps a `mask`, and this as `asking`).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Asking {
    /// The work's title; also the name of its file.
    pub title: String,
    /// The finished width as typed: `420 mm`, `16 1/2 in`.
    pub width: String,
    /// `thin`, `thick`, or thicknesses as in `3mm, 6mm`.
    pub stock: String,
    /// Everything becomes pieces: no plain or transparent ground is dropped.
    #[serde(default)]
    pub keep_all: bool,
    /// What becomes of ink.
    #[serde(default)]
    #[ts(as = "Option<InkChoice>", optional)]
    pub ink: InkChoice,
    /// Where the sheet lies in the picture, when that is a line drawing on paper.
    #[serde(default)]
    #[ts(optional)]
    pub paper: Option<Paper>,
    /// How the picture lies under the panel; the whole of it where nothing is said.
    #[serde(default)]
    #[ts(optional)]
    pub framing: Option<Framing>,
    /// At most this many woods.
    #[serde(default)]
    #[ts(optional)]
    pub woods: Option<u32>,
    /// Who made the picture.
    #[serde(default)]
    pub author: String,
    /// Where the picture is from.
    #[serde(default)]
    pub source: String,
    /// By what permission it is used.
    #[serde(default)]
    pub permission: String,
    /// The folder to put the job in, instead of the desk's.
    #[serde(default)]
    #[ts(optional)]
    pub folder: Option<String>,
}

/// A line drawing on paper, scanned or photographed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Paper {
    /// The corners of the sheet, or of the frame drawn on it, clockwise from the top left, shares of the picture's width and height.
    pub corners: [(f64, f64); 4],
    /// The height between them as typed; empty where the picture has to tell it.
    pub height: String,
    /// Breaks in lines up to so wide are bridged, as typed; empty for none.
    pub bridge: String,
}

/// The answer to `POST /api/board/look` (multipart: `photo`, and where the board lies in it as `shot`); its face is at `/api/board/face.png`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct BoardLook {
    /// Its size.
    pub length: Um,
    /// Likewise.
    pub width: Um,
    /// The colour of the most of it, for CSS.
    pub colour: String,
    /// L*, a* and b* of that, thousandths.
    pub lab: [i32; 3],
    /// How far that lies from the table's colour of its wood, ΔE00.
    pub off: f64,
    /// Its zones: what each is called, and its colour for CSS.
    pub zones: Vec<(String, String)>,
}

/// `POST /api/board/put`: the board that was looked at goes on the rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct BoardPut {
    /// The revision on the page.
    pub at: u64,
    /// Its colour takes the place of the table's.
    pub own_colour: bool,
}

/// `POST /api/draft`: about how many pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct DraftFor {
    /// The number.
    pub pieces: u32,
    /// With borders fitted to its own colours, as accepting it will draw them; without it, at once.
    #[serde(default)]
    pub fitted: bool,
}

/// A draft: to look at, never stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Draft {
    /// How many pieces it has.
    pub pieces: u32,
    /// Its areas, ground left out.
    pub areas: Vec<DraftArea>,
    /// Every border as one path.
    pub line_d: String,
}

/// An area of a draft.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct DraftArea {
    /// Its outline.
    pub d: String,
    /// Its colour in the picture, `#rrggbb`.
    pub picture: Option<String>,
}

/// `POST /api/accept`: trace at full quality and take it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Accept {
    /// About how many pieces.
    pub pieces: u32,
}

/// `POST /api/ask`: a long act.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct AskFor {
    /// Which.
    pub ask: Ask,
}

/// A long act has begun; `act` and `act_ended` events tell of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Started {
    /// Its id.
    pub act: u32,
}

/// `POST /api/act/stop`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Stop {
    /// The act.
    pub act: u32,
}

/// `POST /api/within`: a lasso.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Within {
    /// Its corners, mm.
    pub polygon_mm: Vec<[f64; 2]>,
    /// Only areas that lie in it whole; else those whose middle does.
    #[serde(default)]
    pub whole: bool,
}

/// `POST /api/section`: a line drawn over the pattern.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct SectionFor {
    /// Its points, mm.
    pub line_mm: Vec<[f64; 2]>,
}

/// What a drawn line runs over, in its order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Section {
    /// The stretches.
    pub stretches: Vec<SectionStretch>,
}

/// A stretch of a drawn line over one area.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct SectionStretch {
    /// The area.
    pub area: AreaId,
    /// Where it begins along the line, mm.
    pub from_mm: f64,
    /// Where it ends, mm.
    pub to_mm: f64,
}

/// The areas in a lasso.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Chosen {
    /// Their ids.
    pub areas: Vec<AreaId>,
}

/// `POST /api/sheets`: the pattern book.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct SheetsFor {
    /// The paper: `a5` to `a0`, `letter`, `legal`, `tabloid`.
    pub paper: String,
    /// Only these kinds of page; the whole book when empty.
    #[serde(default)]
    pub only: Vec<String>,
    /// Only this part and those within it, by name.
    #[serde(default)]
    #[ts(optional)]
    pub part: Option<String>,
    /// Only this piece.
    #[serde(default)]
    #[ts(optional)]
    pub piece: Option<Number>,
    /// Any number of pages is agreed to.
    #[serde(default)]
    pub many: bool,
}
