//! The whole view of a job, and what of it an edit changed.

use std::sync::Arc;

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use workshop::work::{
    AreaId, BoardId, BorderId, By, Date, Depth, Frame, Grave, Kind, Laying, Lie, LineBecomes, Meets, Named, Number,
    PartId, PictureRef, Reading, RelationId, Says, Size, State, Stock, Strength, TraceChoices, Unit, VariantId, Way,
    Whom, WoodId,
};

/// `GET /api/seen`: everything that the pages show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Seen {
    /// Counts every change, undo too; never lower after a new start.
    pub revision: u64,
    /// The step of the file's history that the job stands at; the same after a new start.
    pub step: i64,
    /// The job's file.
    pub path: String,
    /// What undo would take back.
    pub undo: Option<String>,
    /// What redo would bring back.
    pub redo: Option<String>,
    /// What is settled for the job as a whole.
    pub setup: Setup,
    /// Every area.
    pub areas: Vec<Area>,
    /// Every border.
    pub borders: Vec<Border>,
    /// Every piece.
    pub pieces: Vec<Piece>,
    /// Every part.
    pub parts: Vec<Part>,
    /// The woods that the job may use.
    pub woods: Vec<Wood>,
    /// Every relation.
    pub relations: Vec<Relation>,
    /// Every depth mark.
    pub marks: Vec<Mark>,
    /// What the last trace found too fine to saw.
    pub swallowed: Vec<Swallowed>,
    /// Lines that part nothing, in the order in which edits count them.
    pub lines: Vec<LineSeen>,
    /// Every board.
    pub boards: Vec<BoardSeen>,
    /// Where pieces lie, by piece.
    pub lies: Vec<Lying>,
    /// What is still to be bought.
    pub missing: Vec<MissingSeen>,
    /// What the last check found; `None` while the first is under way.
    pub findings: Option<Vec<Finding>>,
}

/// A drawn line that parts nothing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct LineSeen {
    /// Its middle.
    pub d: String,
    /// Where it ends, mm.
    pub at_mm: [f64; 2],
    /// How wide it is.
    pub width: Um,
    /// What becomes of it.
    pub becomes: LineBecomes,
    /// Whether it is taken for writing.
    pub writing: bool,
    /// The piece that it ends in.
    pub piece: Option<Number>,
}

/// A piece that is fitted to a neighbour.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct FitSeen {
    /// The piece with the spare wood.
    pub later: Number,
    /// The one that is finished first.
    pub first: Number,
    /// How they meet.
    pub meets: Meets,
}

/// What is settled for the job as a whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Setup {
    /// The work's title.
    pub title: String,
    /// The unit that lengths are shown in.
    pub unit: Unit,
    /// Width and height.
    pub panel: Size,
    /// What the pieces are sawn from, and the limits that follow.
    pub stock: Stock,
    /// A hair, a step and a lot between pieces.
    pub steps: [Um; 3],
    /// How pieces are laid on boards.
    pub laying: Laying,
    /// How pieces are fitted to neighbours, where they are not sawn on their shared line.
    pub fits: Vec<FitSeen>,
    /// Spare wood that they are sawn with there.
    pub spare: Um,
    /// Wished: at most so many planer settings.
    pub planer_settings: Option<u32>,
    /// From where the work is looked at.
    pub reading: Option<Reading>,
    /// Depth of the frame before the backer's face.
    pub frame_depth: Option<Um>,
    /// The frame's moulding.
    pub frame: Option<Frame>,
    /// The veneer of the board behind the ground.
    pub ground: Option<WoodId>,
    /// How the picture was, or will be, traced.
    pub trace: TraceChoices,
    /// At most this many woods.
    pub woods_most: u32,
    /// The wood of the backer's face.
    pub backer: WoodId,
    /// The backer's colour under the finish, `#rrggbb`.
    pub backer_look: Option<String>,
    /// The finish, by its key.
    pub finish: String,
    /// The finishes that there are: key and name.
    pub finishes: Vec<(String, String)>,
    /// Strokes of grain as they were drawn, µm.
    pub strokes: Vec<Vec<Point>>,
    /// The picture and its papers.
    pub picture: Option<PictureRef>,
    /// Whether a pattern was accepted.
    pub accepted: bool,
}

/// An area of the pattern.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Area {
    /// Its id.
    pub id: AreaId,
    /// What it becomes.
    #[ts(type = "\"piece\" | \"shadow\" | \"ground\"")]
    pub becomes: String,
    /// Its piece's number.
    pub number: Option<Number>,
    /// Its outline, holes too (fill rule evenodd).
    #[ts(type = "string")]
    pub d: Arc<str>,
    /// Where its number fits.
    pub label: Option<Label>,
    /// Its area, mm².
    pub area_mm2: f64,
    /// Its colour in the picture, `#rrggbb`.
    pub picture: Option<String>,
    /// Its wood.
    pub wood: Option<WoodId>,
    /// How that wood looks under the finish, `#rrggbb`.
    pub look: Option<String>,
    /// Why tracing again leaves it as it lies: its outline was drawn or held by hand, or what it becomes is settled.
    #[ts(type = "\"drawn\" | \"settled\" | null")]
    pub stays: Option<String>,
}

/// The widest circle inside an area.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Label {
    /// Its centre, to the right.
    pub x_mm: f64,
    /// Its centre, down.
    pub y_mm: f64,
    /// Its radius.
    pub r_mm: f64,
}

/// A border of the pattern.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Border {
    /// Its id.
    pub id: BorderId,
    /// The area to its left, `None` beyond the panel.
    pub left: Option<AreaId>,
    /// The area to its right, `None` beyond the panel.
    pub right: Option<AreaId>,
    /// Its line.
    #[ts(type = "string")]
    pub d: Arc<str>,
    /// How far its areas stand apart, 0 for a plain saw line.
    pub gap: Um,
    /// How wide the drawn line is that was closed on it; 0 where it follows none.
    pub ink: Um,
}

/// A piece.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Piece {
    /// Its number.
    pub number: Number,
    /// Its area.
    pub area: AreaId,
    /// The part that it lies in.
    pub part: Option<PartId>,
    /// Its wood.
    pub wood: Option<WoodOf>,
    /// Its grain: degrees counterclockwise from "to the right", 0 to 180.
    pub grain_deg: Option<f64>,
    /// Who turned the grain.
    pub grain_by: Option<By>,
    /// Top above the backer.
    pub height: Option<PieceLength>,
    /// Thickness.
    pub thickness: Option<PieceLength>,
    /// Raiser under it, 0 for none.
    pub raiser: Option<PieceLength>,
    /// Diameter of the widest circle inside it.
    pub widest: Um,
    /// Its area, mm².
    pub area_mm2: f64,
    /// How far it is.
    pub state: State,
    /// What the log of the bench tells of it, in its order; what was struck is left out.
    pub logged: Vec<Logged>,
}

/// An entry of the log of the bench that stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct Logged {
    /// Its place in the log, by which it is struck.
    pub entry: u32,
    /// What its piece became.
    pub state: State,
    /// The day.
    pub on: Date,
    /// The piece's measured height.
    pub height: Option<Um>,
}

/// A piece's wood and who chose it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct WoodOf {
    /// The wood.
    pub value: WoodId,
    /// Who chose it.
    pub by: By,
}

/// A length of a piece and who chose it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct PieceLength {
    /// The length.
    pub value: Um,
    /// Who chose it.
    pub by: By,
}

/// A named part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Part {
    /// Its id.
    pub id: PartId,
    /// Its name.
    pub name: String,
    /// The part that it lies in.
    pub within: Option<PartId>,
    /// Its own pieces.
    pub pieces: Vec<Number>,
    /// Its plans that were kept, with their names.
    pub variants: Vec<(VariantId, String)>,
}

/// A wood that the job may use.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Wood {
    /// Its key.
    pub key: WoodId,
    /// Its name in the trade.
    pub name: String,
    /// Its Latin name.
    pub latin: String,
    /// Its short code on sheets.
    pub code: String,
    /// Its raw colour, `#rrggbb`.
    pub raw: String,
    /// Its colour under the finish, `#rrggbb`.
    pub finished: String,
    /// The same after 1, 2, 5, 10 and 20 years on a wall.
    pub after: Vec<String>,
    /// Whether its colour was measured.
    pub measured: bool,
    /// What its dust or splinters are known to do; `None` is missing data, not a clean bill.
    pub hazard: Option<String>,
    /// Trade protection.
    pub protected: Option<String>,
}

/// A relation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Relation {
    /// Its id.
    pub id: RelationId,
    /// What is said.
    pub says: Says,
    /// The same in words.
    pub words: String,
    /// How strongly.
    pub strength: Strength,
    /// Who said it.
    pub by: By,
    /// The named step that its distance is, if it is one.
    pub named: Option<Named>,
    /// By how much the decided heights miss it, if it is a wish that they give up.
    pub missed: Option<Um>,
    /// Of a climb: the piece that is farthest off its even height, where it stands and where it would stand evenly.
    pub uneven: Option<(Number, Um, Um)>,
}

/// A depth mark.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Mark {
    /// Of whom.
    pub whom: Whom,
    /// How deep.
    pub depth: Depth,
}

/// Something in the picture that was too fine to saw.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Swallowed {
    /// Where it was, mm.
    pub at_mm: [f64; 2],
    /// Its widest inscribed circle.
    pub widest: Um,
    /// Its area, mm².
    pub area_mm2: f64,
}

/// A board.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct BoardSeen {
    /// Its id.
    pub id: BoardId,
    /// What the maker calls it.
    pub name: String,
    /// Its wood.
    pub wood: WoodId,
    /// Its thickness.
    pub thickness: Um,
    /// Its parts from the left end on: one, or several between straight cuts.
    pub parts: Vec<BoardPart>,
    /// Its grain: hundredths of a degree counterclockwise from "to the right".
    pub grain: u16,
    /// Left and upper end of the box around it, width and height, mm.
    pub box_mm: [f64; 4],
    /// Its edge.
    pub d: String,
    /// Its faults.
    pub faults_d: String,
    /// The box around each fault: left, top, width and height, mm.
    pub faults: Vec<[f64; 4]>,
    /// Its zones.
    pub zones_d: String,
    /// What each zone is called.
    pub zones: Vec<ZoneSeen>,
    /// What was cut from it.
    pub used_d: String,
    /// What it cost, hundredths of a coin.
    pub price: Option<u32>,
    /// Its photograph at `/api/photograph/` and this, and how much of x and y it covers, mm.
    pub photograph: Option<(String, f64, f64)>,
}

/// A part of a board that is planed by itself.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct BoardPart {
    /// Where it begins, from the board's left end.
    pub from: Um,
    /// Where it ends.
    pub to: Um,
    /// How thick what lies on it becomes, if anything does.
    pub thickness: Option<Um>,
}

/// A zone of a board.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct ZoneSeen {
    /// What the maker calls it.
    pub name: String,
    /// Whether it is kept for pieces that are pinned there.
    pub keep: bool,
    /// The box around it: left, top, width and height, mm.
    pub box_mm: [f64; 4],
}

/// Where a piece lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Lying {
    /// The piece.
    pub piece: Number,
    /// Where.
    pub lie: Lie,
    /// Who laid it.
    pub by: By,
    /// Its outer ring on the board.
    pub d: String,
    /// The middle of its widest circle there, mm.
    pub label_mm: [f64; 2],
}

/// Wood that is still to be bought.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct MissingSeen {
    /// The wood.
    pub wood: WoodId,
    /// The finished thickness.
    pub thickness: Um,
    /// The pieces.
    pub pieces: Vec<Number>,
    /// How many boards.
    pub count: u32,
    /// The length of each.
    pub length: Um,
    /// The width of each.
    pub width: Um,
    /// Rough thickness in the trade's words.
    pub rough: Option<String>,
    /// Board feet.
    pub board_feet: Option<f64>,
    /// With the allowance, m².
    pub buy_m2: f64,
    /// By the maker's price, hundredths of a coin.
    pub price: Option<i64>,
}

/// Something that a check found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, TS)]
pub struct Finding {
    /// The same for the same trouble at the same place.
    pub key: String,
    /// What kind it is.
    pub kind: Kind,
    /// How grave.
    pub grave: Grave,
    /// The kind in words.
    pub what: String,
    /// What is wrong and why it matters.
    pub why: String,
    /// Where to put its sign, mm.
    pub at_mm: Vec<[f64; 2]>,
    /// Areas that it speaks of, those of its pieces too.
    pub areas: Vec<AreaId>,
    /// Borders that it speaks of.
    pub borders: Vec<BorderId>,
    /// Pieces that it speaks of.
    pub pieces: Vec<Number>,
    /// Relations that it speaks of.
    pub relations: Vec<RelationId>,
    /// What mends it.
    pub ways: Vec<Way>,
}

/// What a change changed: the answer to an edit, and the event `delta`. A list that is `None` is as it was.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, TS)]
pub struct Delta {
    /// The revision that it builds on.
    pub from: u64,
    /// The revision that it leads to.
    pub revision: u64,
    /// The step of the file's history that the job stands at now.
    pub step: i64,
    /// What undo would take back now.
    pub undo: Option<String>,
    /// What redo would bring back now.
    pub redo: Option<String>,
    /// Settings.
    pub setup: Option<Setup>,
    /// Areas that are new or changed.
    pub areas: Vec<Area>,
    /// Areas that went.
    pub gone_areas: Vec<AreaId>,
    /// Borders that are new or changed.
    pub borders: Vec<Border>,
    /// Borders that went.
    pub gone_borders: Vec<BorderId>,
    /// Pieces that are new or changed.
    pub pieces: Vec<Piece>,
    /// Pieces that went.
    pub gone_pieces: Vec<Number>,
    /// All parts.
    pub parts: Option<Vec<Part>>,
    /// All woods.
    pub woods: Option<Vec<Wood>>,
    /// All relations.
    pub relations: Option<Vec<Relation>>,
    /// All marks.
    pub marks: Option<Vec<Mark>>,
    /// All that the last trace found too fine to saw.
    pub swallowed: Option<Vec<Swallowed>>,
    /// All lines that part nothing.
    pub lines: Option<Vec<LineSeen>>,
    /// All boards.
    pub boards: Option<Vec<BoardSeen>>,
    /// Pieces that lie otherwise than before.
    pub lies: Vec<Lying>,
    /// Pieces that lie nowhere any more.
    pub gone_lies: Vec<Number>,
    /// All that is still to be bought.
    pub missing: Option<Vec<MissingSeen>>,
    /// For who made the change: what came of the relations and depth marks that it touched, in words.
    pub told: Vec<String>,
}
