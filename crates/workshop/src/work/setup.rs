//! What is settled for the job as a whole.

use std::collections::BTreeMap;

use measure::length::Um;
use measure::plane::Point;
use serde::{Deserialize, Serialize};

use super::{Finish, Framing, Laying, Mount, Named, PartId, Saw, WoodId};

/// Width and height.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Size {
    /// Across.
    pub width: Um,
    /// Down.
    pub height: Um,
}

/// The picture and its papers. Its pixels lie in the job file under `hash`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct PictureRef {
    /// SHA-256 of the file as it was read, hexadecimal.
    pub hash: String,
    /// Pixels across, upright.
    pub width: u32,
    /// Pixels down, upright.
    pub height: u32,
    /// Who made it; empty if not said.
    #[serde(default)]
    pub author: String,
    /// Where it is from; empty if not said.
    #[serde(default)]
    pub source: String,
    /// By what permission it is used; empty if not said.
    #[serde(default)]
    pub permission: String,
    /// What of it fills the panel; the whole where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(as = "Option<Framing>", optional)]
    pub framing: Option<Framing>,
    /// SHA-256 of the picture as it was before a mask left parts of it out, where one did; another mask begins from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(as = "Option<String>", optional)]
    pub unmasked: Option<String>,
}

/// The job's settings, each with a default.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(default)]
pub struct Choices {
    /// The work's title.
    pub title: String,
    /// The unit shown on sheets and in words.
    pub unit: Unit,
    /// What the pieces are sawn from, and the limits that follow.
    pub stock: Stock,
    /// How the picture is traced.
    pub trace: TraceChoices,
    /// At most this many woods.
    pub woods_most: u32,
    /// The picture's colours are gathered into at most this many tones.
    pub tones: u32,
    /// The wood of the backer's front veneer.
    pub backer: WoodId,
    /// The finish that colours are judged under, by its key in the table of finishes.
    pub finish: String,
    /// The maker's own finish, fitted by a pair of samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_finish: Option<Finish>,
    /// What woods are chosen by, besides their colours.
    #[serde(skip_serializing_if = "Choosing::is_default")]
    pub choosing: Choosing,
    /// The saw and its blades.
    pub saw: Saw,
    /// How pieces are laid on boards.
    pub laying: Laying,
    /// Allowances of the backer and of the alignment frame.
    pub mount: Mount,
    /// What "a step" is between pieces; twice the readable step where the maker has set none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<Um>,
    /// Wished: pieces are planed to at most so many thicknesses. As many as serve the other wishes best where none is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planer_settings: Option<u32>,
    /// From where the work is looked at; nothing is found of its reading where that is not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<Reading>,
    /// Depth of the frame before the backer's face.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frame_depth: Option<Um>,
    /// The frame's moulding; where none is given the work hangs without.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frame: Option<Frame>,
    /// The wood of the veneer on the board behind the ground; where none is given it is plain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ground: Option<WoodId>,
}

/// The moulding of a frame with a rabbet: mitred, its lip over the panel's edge.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Frame {
    /// What it is made of.
    pub wood: WoodId,
    /// How wide its face is, seen from the front.
    pub width: Um,
    /// How far its lip lies over the panel, all round.
    pub lip: Um,
}

/// From where the work is looked at, and in which light.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Reading {
    /// From the eye to the work.
    pub distance: Um,
    /// Where the light comes from on the wall, degrees clockwise from above.
    pub from: u16,
    /// How high it stands above the wall, degrees: 0 along it, 90 straight before it.
    pub height: u16,
}

impl Choices {
    /// How much a named step is.
    pub fn named(&self, named: Named) -> Um {
        let readable = self.stock.readable_step;
        let step = self.step.unwrap_or(Um(2 * readable.0)).max(readable);
        match named {
            Named::Hair => Um(step.0 / 2).max(readable),
            Named::Step => step,
            Named::Lot => Um(2 * step.0),
        }
    }
}

impl Default for Choices {
    fn default() -> Choices {
        Choices {
            title: String::new(),
            unit: Unit::Mm,
            stock: Stock::default(),
            trace: TraceChoices::default(),
            woods_most: 9,
            tones: 12,
            backer: WoodId("walnut-black".into()),
            finish: "wax".into(),
            own_finish: None,
            choosing: Choosing::default(),
            saw: Saw::default(),
            laying: Laying::default(),
            mount: Mount::default(),
            step: None,
            planer_settings: None,
            reading: None,
            frame_depth: None,
            frame: None,
            ground: None,
        }
    }
}

/// What woods are chosen by, besides their colours.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(default)]
pub struct Choosing {
    /// How many woods one tone of the picture may have: 1 everywhere the same, 2 or 3 for light, base and shade; 0 lets each
    /// piece have its own.
    pub per_tone: u32,
    /// Woods of one tone differ at least so much, hundredths of ΔE00.
    pub least: u32,
    /// And at most so much.
    pub greatest: u32,
    /// Face of the boards on hand of each wood, mm².
    pub on_hand: BTreeMap<WoodId, u32>,
    /// Whether only what is on hand may be chosen.
    pub only_on_hand: bool,
    /// What a wood costs, hundredths of the maker's coin for a dm² of face.
    pub prices: BTreeMap<WoodId, u32>,
}

impl Choosing {
    fn is_default(&self) -> bool {
        *self == Choosing::default()
    }
}

impl Default for Choosing {
    fn default() -> Choosing {
        Choosing {
            per_tone: 0,
            least: 300,
            greatest: 1500,
            on_hand: BTreeMap::new(),
            only_on_hand: false,
            prices: BTreeMap::new(),
        }
    }
}

/// The unit that lengths are shown in; they are stored in µm either way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches, in fractions to 1/64.
    Inch,
}

/// How the picture is traced.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct TraceChoices {
    /// About this many pieces.
    pub pieces: u32,
    /// What becomes of a plain ground.
    pub ground: GroundChoice,
    /// What becomes of drawn lines.
    pub ink: InkChoice,
    /// Breaks in drawn lines up to this wide are bridged, between ends that face each other.
    #[serde(skip_serializing_if = "none")]
    #[ts(as = "Option<Um>", optional)]
    pub bridge: Um,
    /// Parts whose strokes stay open, or close, whatever becomes of the others.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    #[ts(as = "Option<BTreeMap<PartId, bool>>", optional)]
    pub open_parts: BTreeMap<PartId, bool>,
    /// Where there are to be more pieces, or fewer.
    pub places: Vec<Place>,
    /// What is stroked to be kept or dropped, round by round; without any the ground is found as `ground` has it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<SubjectMarks>>", optional)]
    pub subject: Vec<SubjectMarks>,
    /// The drawing on paper that is traced in the place of a picture.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[ts(as = "Option<OnPaper>", optional)]
    pub paper: Option<OnPaper>,
}

/// A line drawing on paper; its scan or photograph lies in the job file under `hash`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct OnPaper {
    /// SHA-256 of the file as it was read, hexadecimal.
    pub hash: String,
    /// Corners of the sheet, or of the frame drawn on it, clockwise from the top left, millionths of the picture's width and
    /// height; without them the whole picture is the sheet. The panel lies between them.
    pub corners: Option<[[i32; 2]; 4]>,
}

fn none(length: &Um) -> bool {
    *length == Um(0)
}

/// A round of marks over the picture: strokes on the panel, µm.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(default)]
pub struct SubjectMarks {
    /// Over what is subject.
    pub keep: Vec<Vec<Point>>,
    /// Over what is ground; all that it shuts off from what is kept is ground as well.
    pub drop: Vec<Vec<Point>>,
}

/// A place of the picture that is to have more pieces than its share, or fewer.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Place {
    /// A closed line around it on the panel, µm; it need not repeat its first point.
    pub around: Vec<Point>,
    /// About so many pieces in a hundred that it would have: 200 for twice as many, 50 for half.
    pub percent: u32,
}

impl Default for TraceChoices {
    fn default() -> TraceChoices {
        TraceChoices {
            pieces: 180,
            ground: GroundChoice::Drop,
            ink: InkChoice::Leave,
            bridge: Um(0),
            open_parts: BTreeMap::new(),
            places: Vec::new(),
            subject: Vec::new(),
            paper: None,
        }
    }
}

/// What becomes of a plain ground joined to the edges, or of what is transparent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum GroundChoice {
    /// It is ground: nothing is sawn there.
    Drop,
    /// Everything is subject.
    Keep,
}

/// What becomes of the picture's ink, dark drawn lines.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum InkChoice {
    /// It is a colour as any other.
    #[default]
    Leave,
    /// Strokes close to their centre lines; dark areas stay.
    Close,
    /// Strokes stay open as gaps of their own width between the pieces; where they are wider than a gap they are shadow.
    Open,
    /// They close, and nothing else parts the picture: each area that lines close is one, whatever its colours.
    Alone,
}

/// What the pieces are sawn from, and the limits that follow from it; each may be changed.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
pub struct Stock {
    /// Which kind it began as.
    pub kind: StockKind,
    /// Thicknesses that can be had, ascending.
    pub thicknesses: Vec<Um>,
    /// Raisers that can be had, ascending, 0 for none first.
    pub raisers: Vec<Um>,
    /// A piece's widest inscribed circle is at least this wide.
    pub least_width: Um,
    /// A piece is at least this large, mm².
    pub least_area_mm2: u32,
    /// The least step that reads as one.
    pub readable_step: Um,
    /// The lowest top above the backer.
    pub lowest: Um,
    /// The highest top above the backer.
    pub highest: Um,
}

/// Thin plates, thick stock, or a list of the maker's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ts_rs::TS)]
#[serde(rename_all = "snake_case")]
pub enum StockKind {
    /// Plates of 1.5 to 6 mm.
    Thin,
    /// Boards of 12 to 45 mm.
    Thick,
    /// The maker's own thicknesses.
    List,
}

impl Default for Stock {
    fn default() -> Stock {
        Stock::thick()
    }
}

impl Stock {
    /// Thin plates. Limits from memory.
    pub fn thin() -> Stock {
        Stock {
            kind: StockKind::Thin,
            thicknesses: [1500, 2000, 2500, 3000, 4000, 5000, 6000].map(Um).to_vec(),
            raisers: [0, 1000, 1500, 2000, 3000].map(Um).to_vec(),
            least_width: Um(2000),
            least_area_mm2: 8,
            readable_step: Um(500),
            lowest: Um(1500),
            highest: Um(9000),
        }
    }

    /// Thick stock. Limits from memory.
    pub fn thick() -> Stock {
        Stock {
            kind: StockKind::Thick,
            thicknesses: [12000, 15000, 18000, 20000, 25000, 30000, 38000, 45000].map(Um).to_vec(),
            raisers: [0, 3000, 6000, 9000].map(Um).to_vec(),
            least_width: Um(4000),
            least_area_mm2: 25,
            readable_step: Um(1500),
            lowest: Um(12000),
            highest: Um(45000),
        }
    }

    /// Thin plates where inches are used: sixteenths and thirty-seconds. Common practice, no source. The readable step is a
    /// little under 1/32 in, since fractions are rounded to whole micrometres.
    pub fn thin_in_inches() -> Stock {
        Stock {
            thicknesses: in_64ths([4, 6, 8, 10, 12, 16]),
            raisers: in_64ths([0, 2, 4, 8]),
            readable_step: Um(790),
            lowest: Um(1588),
            highest: Um(9525),
            ..Stock::thin()
        }
    }

    /// Thick stock where inches are used: what is planed from 4/4, 5/4, 6/4 and 8/4 boards, and half-inch stock. Common
    /// practice, no source.
    pub fn thick_in_inches() -> Stock {
        Stock {
            thicknesses: in_64ths([32, 40, 48, 56, 64, 80, 96, 112]),
            raisers: in_64ths([0, 8, 16, 24]),
            readable_step: Um(1580),
            lowest: Um(12_700),
            highest: Um(44_450),
            ..Stock::thick()
        }
    }
}

/// An inch is 25 400 µm exactly; fractions are rounded to whole ones.
fn in_64ths<const N: usize>(all: [i32; N]) -> Vec<Um> {
    all.map(|one| Um((one * 25_400 + 32) / 64)).to_vec()
}
